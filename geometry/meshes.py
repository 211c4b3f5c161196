"""Closed triangle meshes of shapes and solids, with the bound of their deviation (mm)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.bodies import Axis, Box, Cylinder, Posed, Primitive, Prism, Shape
from geometry.errors import KernelError, ShapeError
from geometry.prisms import arc_angles, outline_edges

Points = NDArray[np.float64]
Triangles = NDArray[np.int32]

DEFAULT_TOLERANCE = 0.002  # mm; well below the 0.005 mm to which gaps are promised
_MERGE = 1e-7  # mm; the kernel's own tolerance: nodes of neighbouring faces that are one point
_SIDE_BY_SIDE = 1e-6  # mm; what rounding to a file's single precision may join
_OTHER_AXES: dict[Axis, tuple[int, int, int]] = {"x": (1, 2, 0), "y": (0, 2, 1), "z": (0, 1, 2)}
_BOX_TRIANGLES = np.array(
    [
        *([0, 2, 1], [1, 2, 3], [4, 5, 6], [5, 7, 6], [0, 1, 4], [1, 5, 4]),
        *([2, 6, 3], [3, 6, 7], [0, 4, 2], [2, 4, 6], [1, 3, 5], [3, 7, 5]),
    ],
    dtype=np.int32,
)


@dataclass(frozen=True, eq=False)
class Mesh:
    """A triangle mesh: vertices (n, 3) mm, triangles (m, 3) counter-clockwise from outside.

    `chord_error` (mm) bounds the distance between the true surface and the mesh, both ways. `curved` (m,)
    marks the triangles that stand for curved faces; the others are exact up to the edges that they share with
    those. None: all may be.
    """

    vertices: Points
    triangles: Triangles
    chord_error: float
    curved: NDArray[np.bool_] | None = None

    @cached_property
    def corners(self) -> Points:
        """The corners of every triangle, (m, 3, 3) mm."""
        return self.vertices[self.triangles]

    @cached_property
    def bounds(self) -> tuple[Points, Points]:
        """Low and high corner of the box around the mesh, (3,) mm each."""
        return self.vertices.min(axis=0), self.vertices.max(axis=0)

    @cached_property
    def piece_points(self) -> Points:
        """One vertex of every connected piece, (k, 3) mm."""
        pieces = component_of_vertices(self)
        return self.vertices[np.unique(pieces[np.unique(self.triangles)])]


def mesh_of(shape: Shape, tolerance: float = DEFAULT_TOLERANCE) -> Mesh:
    """Mesh a shape of boxes and cylinders within `tolerance` (mm); boxes are exact.

    Cylinders have their facets centred on the true surface, and equal radii have equal facets, so a shaft
    in a bore of its own size touches without overlapping. Raises ShapeError where nothing is left.
    """
    pieces = [_primitive_mesh(primitive, tolerance) for primitive in shape.adds]
    cuts = [_primitive_mesh(primitive, tolerance) for primitive in shape.cuts]
    if not pieces:
        raise ShapeError("a shape without a solid piece", "give it at least one box or cylinder")
    if len(pieces) == 1 and not cuts:
        return pieces[0]
    solid = _union(pieces) - _union(cuts) if cuts else _union(pieces)
    if solid.is_empty():
        raise ShapeError("the cuts leave nothing of the shape", "make the cuts smaller than the body")
    mesh = mesh_from_manifold(solid, max(piece.chord_error for piece in pieces + cuts))
    curved = np.zeros(len(mesh.triangles), dtype=np.bool_)
    for piece in shape.adds + shape.cuts:
        if isinstance(piece, Posed):
            vertices = (mesh.vertices - np.array(piece.origin)) @ np.array(piece.axes).T
            curved |= _on_rounds(replace(mesh, vertices=vertices), _rounds(piece.piece))
        else:
            curved |= _on_rounds(mesh, _rounds(piece))
    return replace(mesh, curved=curved)


def _rounds(piece: Box | Cylinder | Prism) -> list[Cylinder]:
    """Give the cylinders that a piece's round sides lie on."""
    if isinstance(piece, Cylinder):
        return [piece]
    if isinstance(piece, Box):
        return []
    arcs = [(math.dist(start, centre), centre) for start, _, centre in outline_edges(piece) if centre]
    return [Cylinder("z", centre, radius, piece.span) for radius, centre in dict.fromkeys(arcs)]


def _on_rounds(mesh: Mesh, rounds: list[Cylinder]) -> NDArray[np.bool_]:
    """Mark the triangles that lie along the round side of a cylinder."""
    corners = mesh.corners
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    marked = np.zeros(len(corners), dtype=np.bool_)
    for cylinder in rounds:
        first, second, along = _OTHER_AXES[cylinder.axis]
        radii = np.hypot(
            corners[:, :, first] - cylinder.centre[0], corners[:, :, second] - cylinder.centre[1]
        )
        near = (np.abs(radii - cylinder.radius) <= mesh.chord_error + _MERGE).all(axis=1)
        marked |= near & (np.abs(normal[:, along]) <= 1e-6 * np.linalg.norm(normal, axis=1))
    return marked


def facet_count(radius: float, tolerance: float) -> int:
    """Facets of a circle (radius, tolerance in mm) that keep centred facets within the tolerance.

    With corners outside and facet middles inside by the same e: e = r tan^2(pi / 2n) (plane geometry).
    """
    return max(12, 4 * math.ceil(math.pi / (8.0 * math.atan(math.sqrt(tolerance / radius)))))


def _primitive_mesh(primitive: Primitive, tolerance: float) -> Mesh:
    if isinstance(primitive, Box):
        return _box_mesh(primitive)
    if isinstance(primitive, Prism):
        return _prism_mesh(primitive, tolerance)
    if isinstance(primitive, Posed):
        made = _primitive_mesh(primitive.piece, tolerance)
        return replace(made, vertices=made.vertices @ np.array(primitive.axes) + np.array(primitive.origin))
    return _cylinder_mesh(primitive, tolerance)


def _box_mesh(box: Box) -> Mesh:
    ends = np.array([box.low, box.high], dtype=np.float64)
    if not np.all(ends[0] < ends[1]):
        raise ShapeError(
            f"a box from {box.low} to {box.high} mm has no volume", "give low below high on each axis"
        )
    picks = np.array([[(corner >> axis) & 1 for axis in range(3)] for corner in range(8)])
    return Mesh(ends[picks, np.arange(3)], _BOX_TRIANGLES.copy(), 0.0, np.zeros(12, dtype=np.bool_))


def _cylinder_mesh(cylinder: Cylinder, tolerance: float) -> Mesh:
    low, high = cylinder.span
    if not (cylinder.radius > 0.0 and low < high):
        raise ShapeError(
            f"a cylinder of radius {cylinder.radius} mm from {low} to {high} mm has no volume",
            "give a radius above 0 and a span from low to high",
        )
    count = facet_count(cylinder.radius, tolerance)
    corner_radius = 2.0 * cylinder.radius / (1.0 + math.cos(math.pi / count))
    angles = np.arange(count) * (2.0 * math.pi / count)
    first, second, along = _OTHER_AXES[cylinder.axis]
    ring = np.empty((count, 3))
    ring[:, first] = cylinder.centre[0] + corner_radius * np.cos(angles)
    ring[:, second] = cylinder.centre[1] + corner_radius * np.sin(angles)
    vertices = np.vstack([ring, ring])
    vertices[:count, along], vertices[count:, along] = low, high
    triangles = _prism_triangles(count)
    if cylinder.axis == "y":  # x, z, y is left-handed
        triangles = triangles[:, ::-1]
    curved = np.arange(len(triangles)) < 2 * count
    return Mesh(vertices, np.ascontiguousarray(triangles), corner_radius - cylinder.radius, curved)


def _prism_mesh(prism: Prism, tolerance: float) -> Mesh:
    """Mesh a prism, its arcs as chords between points on them, so that its flats are exact."""
    import manifold3d

    points, error = [], 0.0
    for start, end, centre in outline_edges(prism):
        points.append(start)
        if centre is not None:
            radius, (first, last) = math.dist(start, centre), arc_angles(start, end, centre)
            step = 2.0 * math.acos(max(1.0 - tolerance / radius, 0.5))
            count = math.ceil((last - first) / step)
            angles = np.linspace(first, last, count + 1)[1:-1]
            around = np.column_stack([np.cos(angles), np.sin(angles)]) * radius + centre
            points += [(x, y) for x, y in around.tolist()]
            error = max(error, radius * (1.0 - math.cos((last - first) / count / 2.0)))
    outline, count = np.array(points, dtype=np.float64), len(points)
    caps = np.array(manifold3d.triangulate([outline]), dtype=np.int32)
    low = np.arange(count)
    after = (low + 1) % count
    sides = [np.column_stack([low, after, after + count]), np.column_stack([low, after + count, low + count])]
    vertices = np.vstack([np.column_stack([outline, np.full(count, z)]) for z in prism.span])
    mesh = Mesh(vertices, np.vstack([*sides, caps[:, ::-1], caps + count]).astype(np.int32), error)
    return replace(mesh, curved=_on_rounds(mesh, _rounds(prism)))


def _prism_triangles(count: int) -> Triangles:
    low = np.arange(count)
    after = (low + 1) % count
    cap = np.array(list(_polygon_triangles(0, count - 1)))
    sides = [np.column_stack([low, after, after + count]), np.column_stack([low, after + count, low + count])]
    return np.vstack([*sides, cap[:, ::-1], cap + count]).astype(np.int32)


def _polygon_triangles(first: int, last: int) -> Iterable[tuple[int, int, int]]:
    # Halving instead of a fan: compact triangles keep the bounding-volume tree tight.
    if last - first < 2:
        return
    middle = (first + last) // 2
    yield first, middle, last
    yield from _polygon_triangles(first, middle)
    yield from _polygon_triangles(middle, last)


def turned_mesh(outline: Sequence[tuple[float, float]], tolerance: float) -> Mesh:
    """Turn a closed outline (r, z, mm), counter-clockwise, about z, its circles within `tolerance` (mm)."""
    import manifold3d

    section = manifold3d.CrossSection([np.array(outline, dtype=np.float64)])
    largest = max(r for r, _ in outline)
    count = max(12, 4 * math.ceil(math.pi / (4.0 * math.acos(max(1.0 - tolerance / largest, 0.5)))))
    error = largest * (1.0 - math.cos(math.pi / count))
    return mesh_from_manifold(manifold3d.Manifold.revolve(section, count), error)


def moved(mesh: Mesh, shift: Iterable[float]) -> Mesh:
    """Shift a mesh (mm)."""
    return replace(mesh, vertices=mesh.vertices + np.array(tuple(shift)))


def signed_volume(mesh: Mesh) -> float:
    """Enclosed volume (mm3); negative when the mesh is inside out (divergence theorem)."""
    a, b, c = np.moveaxis(mesh.corners - mesh.vertices.mean(axis=0), 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def surface_area(mesh: Mesh) -> float:
    """Area of all triangles (mm2)."""
    a, b, c = np.moveaxis(mesh.corners, 1, 0)
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2.0)


def free_edges(mesh: Mesh) -> NDArray[np.int64]:
    """Edges (k, 2) by vertex number that no neighbour closes: none in a closed mesh of one orientation."""
    edges, edge_of_side, forward = edges_of(mesh.triangles)
    return np.asarray(edges[np.bincount(edge_of_side, weights=np.where(forward, 1, -1)) != 0])


def edges_of(triangles: Triangles) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_]]:
    """Edges (k, 2), lower vertex number first; of every triangle side its edge and whether it runs that way.

    Sides (3 m) are in the order: first to second corner of all triangles, second to third, third to first.
    """
    sides = np.vstack([triangles[:, pair] for pair in ([0, 1], [1, 2], [2, 0])]).astype(np.int64)
    low, high = sides.min(axis=1), sides.max(axis=1)
    count = int(triangles.max()) + 1
    keys, edge_of_side = np.unique(low * count + high, return_inverse=True)
    return np.column_stack(np.divmod(keys, count)), edge_of_side, sides[:, 0] == low


def component_of_vertices(mesh: Mesh) -> NDArray[np.int64]:
    """The number of the connected piece of each vertex, (n,); unused vertices are pieces of their own."""
    label = np.arange(len(mesh.vertices))
    while True:
        lowest = label[mesh.triangles].min(axis=1)
        before = label.copy()
        np.minimum.at(label, mesh.triangles.ravel(), np.repeat(lowest, 3))
        label = label[label]
        if np.array_equal(label, before):
            return label


def mesh_faults(mesh: Mesh) -> tuple[str, ...]:
    """Say why a mesh cannot answer what is inside it; empty for a closed, outward oriented mesh."""
    if len(mesh.triangles) == 0:
        return ("no triangles",)
    if not np.isfinite(mesh.vertices).all():
        return ("coordinates that are not finite",)
    edges = free_edges(mesh)
    if len(edges):
        lengths = np.linalg.norm(mesh.vertices[edges[:, 0]] - mesh.vertices[edges[:, 1]], axis=1)
        x, y, z = mesh.vertices[edges[int(lengths.argmax())]].mean(axis=0)
        place = f"the longest, {lengths.max():.3g} mm, at ({x:.4g}, {y:.4g}, {z:.4g})"
        return (f"{len(edges)} free edges or flipped neighbours, {place}",)
    volume = signed_volume(mesh)
    return () if volume > 0.0 else (f"inside out: volume {volume:.6g} mm3",)


def manifold_of(mesh: Mesh) -> Any:
    """Give the mesh to manifold3d in double precision. Raises KernelError where it is not a manifold."""
    import manifold3d

    solid = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.ascontiguousarray(mesh.vertices, dtype=np.float64),
            tri_verts=np.ascontiguousarray(mesh.triangles, dtype=np.uint64),
        )
    )
    if solid.status() != manifold3d.Error.NoError:
        raise KernelError(f"the mesh is not a closed manifold: {solid.status()}")
    return solid


def mesh_from_manifold(solid: Any, chord_error: float) -> Mesh:
    """Take a mesh back from manifold3d, with the chord error (mm) of what it was made from.

    Corners that a boolean left side by side become one: in a file they would, and edges would get four faces.
    """
    mesh = solid.simplify(_SIDE_BY_SIDE).to_mesh64()
    vertices = np.array(mesh.vert_properties, dtype=np.float64)[:, :3]
    return Mesh(np.ascontiguousarray(vertices), np.array(mesh.tri_verts, dtype=np.int32), chord_error)


def _union(meshes: list[Mesh]) -> Any:
    import manifold3d

    return manifold3d.Manifold.batch_boolean([manifold_of(mesh) for mesh in meshes], manifold3d.OpType.Add)


def merged(
    vertices: Points, triangles: NDArray[Any], chord_error: float, curved: NDArray[np.bool_] | None = None
) -> Mesh:
    """Merge vertices that lie within 1e-7 mm of each other and drop the triangles that vanish with it."""
    _, first, inverse = np.unique(
        np.round(vertices / _MERGE).astype(np.int64), axis=0, return_index=True, return_inverse=True
    )
    joined = inverse.ravel()[triangles]
    a, b, c = joined.T
    kept = (a != b) & (b != c) & (c != a)
    marks = None if curved is None else curved[kept]
    return Mesh(np.ascontiguousarray(vertices[first]), joined[kept].astype(np.int32), chord_error, marks)


def distance_to_triangles(points: Points, corners: Points) -> Points:
    """Distance (k,) mm of each point (k, 3) to its own triangle (k, 3, 3), which may be flat or a segment.

    The nearest point is inside the triangle where the foot of the perpendicular is, else on one of its sides.
    """
    a, b, c = np.moveaxis(corners, 1, 0)
    normal = np.cross(b - a, c - a)
    square = np.einsum("ij,ij->i", normal, normal)
    sides = np.min([_distance_to_segment(points, p, q) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    inside = square > 0.0
    for p, q in ((a, b), (b, c), (c, a)):
        inside &= np.einsum("ij,ij->i", np.cross(q - p, points - p), normal) >= 0.0
    height = np.abs(np.einsum("ij,ij->i", points - a, normal)) / np.sqrt(np.where(square > 0.0, square, 1.0))
    return np.asarray(np.where(inside, height, sides))


def _distance_to_segment(points: Points, a: Points, b: Points) -> Points:
    along = b - a
    square = np.einsum("ij,ij->i", along, along)
    share = np.einsum("ij,ij->i", points - a, along) / np.where(square > 0.0, square, 1.0)
    return np.asarray(np.linalg.norm(points - a - np.clip(share, 0.0, 1.0)[:, None] * along, axis=1))

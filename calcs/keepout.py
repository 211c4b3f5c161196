"""Keep-out solids: all the room that bodies take over the travel, grown by a clearance (mm)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calcs.grown_primitives import (
    Simple,
    around,
    ball,
    bounds,
    hole,
    hull,
    inside,
    is_bore,
    meet,
    sums,
    united,
    vertices,
)
from geometry.bodies import Body, Box, Cylinder, Shape
from geometry.errors import ShapeError
from geometry.meshes import Mesh, manifold_of, mesh_faults, mesh_from_manifold

TOLERANCE = 0.01  # mm a keep-out of boxes and cylinders may reach beyond the true solid
TRIANGLE_LIMIT = 1500  # of a mesh grown by a Minkowski sum: 2 to 5 ms a triangle
_MINKOWSKI_SHARE = (
    0.05  # of the growth that a ball may reach beyond in a Minkowski sum, whose cost is its facets
)
_FLAT = 1e-9  # a face whose normal leans less than this towards the travel sweeps nothing

Points = NDArray[np.float64]
_Part = tuple[Any, float]  # a manifold3d solid and how far it reaches beyond the true one (mm)


@dataclass(frozen=True)
class _Sweep:
    """From where to where along z, grown by how much, within which tolerance (mm)."""

    travel: tuple[float, float]
    growth: float
    tolerance: float


def keep_out(
    bodies: Sequence[tuple[Body, Mesh]],
    travel: tuple[float, float],
    growth: float = 0.0,
    tolerance: float = TOLERANCE,
) -> Mesh:
    """Sweep every body given along +z over the travel, grow the sweep by `growth`, unite (mm).

    A body is taken at s = 0: from its boxes and cylinders where it has them, else from its mesh, which must
    be closed. The result contains the true grown sweep; its `chord_error` is how far it may reach beyond. (A
    file body, or one with flats, that is not grown is as true as its mesh, both ways.) `tolerance` bounds the
    excess for boxes and cylinders; a mesh that is not convex adds 5 % of the growth. Raises ShapeError for no
    bodies, numbers that make no sweep, or a mesh too fine to grow. Source: sweep and Minkowski sum of a union
    are the unions of those of its pieces, from memory.
    """
    if not bodies:
        raise ShapeError("no body to sweep", "give at least one body that moves")
    if not (math.isfinite(travel[0]) and math.isfinite(travel[1]) and travel[0] <= travel[1]):
        raise ShapeError(f"a travel from {travel[0]} to {travel[1]} mm", "give it from low to high")
    if not (math.isfinite(growth) and growth >= 0.0):
        raise ShapeError(f"a growth of {growth} mm", "give 0 or more")
    if not (math.isfinite(tolerance) and tolerance > 0.0):
        raise ShapeError(f"a tolerance of {tolerance} mm", "give more than 0")
    sweep = _Sweep(travel, growth, tolerance)
    parts = [part for body, mesh in bodies for part in _parts(body, mesh, sweep)]
    return mesh_from_manifold(united([solid for solid, _ in parts]), max(excess for _, excess in parts))


def closed_solid(body: Body, mesh: Mesh) -> Any:
    """Give a body's mesh (mm) to manifold3d. Raises ShapeError, with the body's name, where it is not closed.

    Source: manifold3d's conditions on a mesh.
    """
    faults = mesh_faults(mesh)
    if faults:
        raise ShapeError(
            f"{body.name}: its mesh is not closed: {', '.join(faults)}",
            "give a closed solid, or boxes and cylinders around it",
        )
    return manifold_of(mesh)


def swept_mesh(solid: Any, vector: Sequence[float]) -> Any:
    """Sweep a manifold3d solid along a vector (mm): both ends united with its front faces, extruded.

    A front patch that covers itself when seen along the vector (a thread's flank) goes triangle by triangle:
    extruded whole it would run through itself. Source: common practice, no source.
    """
    path = np.asarray(vector, dtype=np.float64)
    length = float(np.linalg.norm(path))
    if length == 0.0:
        return solid
    moved = solid.translate(path)
    if _is_convex(solid):
        return hull(np.vstack([vertices(solid), vertices(moved)]))
    points = vertices(solid)
    faces = np.array(solid.to_mesh64().tri_verts, dtype=np.int64)
    a, b, c = np.moveaxis(points[faces], 1, 0)
    normal = np.cross(b - a, c - a)
    front = normal @ path > _FLAT * length * np.linalg.norm(normal, axis=1)
    return united([solid, moved, *_extrusions(points, faces[front], path)])


def _extrusions(points: Points, faces: NDArray[np.int64], path: Points) -> list[Any]:
    import manifold3d

    used, joined = np.unique(faces, return_inverse=True)
    faces, count = joined.reshape(-1, 3), len(used)
    edges = {(a, b) for face in faces.tolist() for a, b in zip(face, face[1:] + face[:1], strict=True)}
    a, b = np.array(sorted(edge for edge in edges if edge[::-1] not in edges)).T
    sides = [np.column_stack([a, b, b + count]), np.column_stack([a, b + count, a + count])]
    ends = np.vstack([points[used], points[used] + path])
    triangles = np.vstack([faces[:, ::-1], faces + count, *sides]).astype(np.uint64)
    whole = manifold3d.Manifold(manifold3d.Mesh64(vert_properties=ends, tri_verts=triangles))
    patches = whole.decompose() if whole.status() == manifold3d.Error.NoError else []
    if patches and all(_seen_once(patch, path) for patch in patches):
        return list(patches)
    return [hull(ends[np.concatenate([face, face + count])]) for face in faces]


def _seen_once(patch: Any, path: Points) -> bool:
    """Tell whether no line along the path meets an extruded patch twice: volume is outline times length."""
    length = float(np.linalg.norm(path))
    along = path / length
    side = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    side /= np.linalg.norm(side)
    turned = patch.transform(np.column_stack([np.vstack([side, np.cross(along, side), along]), np.zeros(3)]))
    outline = float(turned.project().area()) * length
    return abs(float(patch.volume()) - outline) <= 1e-6 * outline


def _parts(body: Body, mesh: Mesh, sweep: _Sweep) -> list[_Part]:
    adds, cuts = _simple(body)
    if not adds:
        # The facets may lie inside the true surface or outside it: grow by the error, allow for it twice.
        error = mesh.chord_error if sweep.growth > 0.0 else 0.0
        wider = _Sweep(sweep.travel, sweep.growth + error, sweep.tolerance)
        return [_meshed_part(body.name, (closed_solid(body, mesh), mesh.chord_error + error), wider)]
    parts = []
    for piece in adds:
        met = [cut for cut in cuts if meet(piece, cut)]
        apart = not any(meet(one, other) for one, other in combinations(met, 2))
        if apart and all(is_bore(piece, cut) for cut in met):
            parts.append(_bored_part(piece, met, sweep))
        else:
            parts.append(_meshed_part(body.name, _facets(piece, met, sweep.tolerance), sweep))
    return parts


def _simple(body: Body) -> tuple[list[Simple], list[Simple]]:
    """Give the boxes and cylinders of a body; none for a file, or where other sections are among them."""
    if not isinstance(body.shape, Shape):
        return [], []
    adds = [piece for piece in body.shape.adds if isinstance(piece, Box | Cylinder)]
    cuts = [piece for piece in body.shape.cuts if isinstance(piece, Box | Cylinder)]
    whole = len(adds) == len(body.shape.adds) and len(cuts) == len(body.shape.cuts)
    return (adds, cuts) if whole else ([], [])


def _bored_part(piece: Simple, bores: Sequence[Simple], sweep: _Sweep) -> _Part:
    """Sweep and grow a piece whose cuts run right through it along the travel: they stay cuts."""
    points, excess = around(piece, sweep.growth, sweep.tolerance)
    solid = hull(np.vstack([points + np.array([0.0, 0.0, s]) for s in sweep.travel]))
    low, high = bounds(piece)
    span = (float(low[2]) + sweep.travel[0], float(high[2]) + sweep.travel[1])
    for bore in bores:
        open_part, short = hole(bore, span, sweep.growth, sweep.tolerance)
        solid -= open_part
        excess = max(excess, short)
    return solid, excess


def _facets(piece: Simple, cuts: Sequence[Simple], tolerance: float) -> _Part:
    points, excess = around(piece, 0.0, tolerance)
    solid = hull(points)
    for cut in cuts:
        points, short = inside(cut, tolerance)
        solid -= hull(points)
        excess = max(excess, short)
    return solid, excess


def _meshed_part(name: str, part: _Part, sweep: _Sweep) -> _Part:
    """Sweep and grow any closed solid by its facets: its cuts vanish where they are swept over."""
    solid, excess = part
    start, end = sweep.travel
    swept = swept_mesh(solid.translate((0.0, 0.0, start)), (0.0, 0.0, end - start))
    if sweep.growth == 0.0:
        return swept, excess
    if _is_convex(swept):
        corners, beyond = ball(sweep.growth, sweep.tolerance)
        return hull(sums(vertices(swept), corners)), excess + beyond
    if swept.num_tri() > TRIANGLE_LIMIT:
        raise ShapeError(
            f"{name}: its sweep has {swept.num_tri()} triangles; up to {TRIANGLE_LIMIT} can be grown",
            "export it coarser, or give boxes and cylinders around it",
        )
    corners, beyond = ball(sweep.growth, max(sweep.tolerance, _MINKOWSKI_SHARE * sweep.growth))
    return swept.minkowski_sum(hull(corners)), excess + beyond


def _is_convex(solid: Any) -> bool:
    volume = float(solid.volume())
    return float(solid.hull().volume()) - volume <= 1e-9 * volume

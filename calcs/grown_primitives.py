"""Boxes, cylinders and bores grown by a clearance: points for convex hulls, from outside the true shape (mm).

Every function takes a tolerance (mm) and returns, beside its shape, how far that shape really is from the
true one; it is never on the other side. A ball is a polyhedron around the true one, flat across the axes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.bodies import Box, Cylinder

Points = NDArray[np.float64]
Simple = Box | Cylinder  # what can be grown piece by piece


def around(primitive: Simple, growth: float, tolerance: float) -> tuple[Points, float]:
    """Points (n, 3) mm whose hull contains the primitive grown by `growth`, and its excess (mm).

    Source: Minkowski sum of convex shapes = hull of the sums of their corners, from memory.
    """
    if isinstance(primitive, Box):
        corners = _corners(primitive)
        if growth == 0.0:
            return corners, 0.0
        corners_of_ball, excess = ball(growth, tolerance)
        return sums(corners, corners_of_ball), excess
    arc, excess = _quarter(growth, tolerance / 2.0)
    low, high = primitive.span
    outline = [(primitive.radius + r, end) for r, h in arc for end in (low - h, high + h)]
    count = _facets(primitive.radius + growth, tolerance / 2.0)
    widen = 1.0 / math.cos(math.pi / count)
    reach = max(r for r, _ in outline) * (widen - 1.0)
    return np.vstack([_ring(primitive, r * widen, height, count) for r, height in outline]), excess + reach


def inside(primitive: Simple, tolerance: float) -> tuple[Points, float]:
    """Points (n, 3) mm whose hull lies inside the primitive, and how far it stays away from its surface (mm).

    Source: chord of a circle (plane geometry).
    """
    if isinstance(primitive, Box):
        return _corners(primitive), 0.0
    count = _facets(primitive.radius, tolerance)
    rings = [_ring(primitive, primitive.radius, height, count) for height in primitive.span]
    return np.vstack(rings), primitive.radius * (1.0 - math.cos(math.pi / count))


def hole(bore: Simple, span: tuple[float, float], growth: float, tolerance: float) -> tuple[Any, float]:
    """What stays open (manifold3d) of a bore along z through a piece that fills `span`, its wall grown (mm).

    Inside the bore the nearest material is its wall, so the hole is the column less the grown wall: straight
    between the ends, flared in the growth beyond them. Source: plane geometry.
    """
    low, high = span[0] - growth - 1.0, span[1] + growth + 1.0
    if isinstance(bore, Box):
        column = hull(_corners(Box((*bore.low[:2], low), (*bore.high[:2], high))))
        if growth == 0.0:
            return column, 0.0
        walls = [around(wall, growth, tolerance) for wall in _walls(bore, span)]
        return column - united([hull(points) for points, _ in walls]), walls[0][1]
    points, excess = inside(Cylinder("z", bore.centre, bore.radius, (low, high)), tolerance)
    if growth == 0.0:
        return hull(points), excess
    wall, reach = _grown_wall(bore, span, growth, tolerance / 2.0)
    return hull(points) - wall, max(excess, reach)


def ball(radius: float, tolerance: float) -> tuple[Points, float]:
    """Corners (n, 3) mm of a polyhedron around a ball, flat where the axes leave it, and its excess (mm).

    Source: geodesic sphere, scaled until its nearest facet touches the ball.
    """
    import manifold3d

    for segments in range(8, 132, 4):
        inscribed = manifold3d.Manifold.sphere(radius, segments)
        polyhedron = inscribed.scale((radius / _nearest_facet(inscribed),) * 3)
        corners = vertices(polyhedron ^ manifold3d.Manifold.cube((2.0 * radius,) * 3, True))
        excess = float(np.linalg.norm(corners, axis=1).max()) - radius
        if excess <= tolerance:
            break
    return corners, excess


def bounds(primitive: Simple) -> tuple[Points, Points]:
    """Low and high corner (3,) mm of the box around a primitive."""
    if isinstance(primitive, Box):
        return np.array(primitive.low), np.array(primitive.high)
    along = "xyz".index(primitive.axis)
    low, high = (np.array(primitive.centre) + side * primitive.radius for side in (-1.0, 1.0))
    return np.insert(low, along, primitive.span[0]), np.insert(high, along, primitive.span[1])


def is_bore(piece: Simple, cut: Simple) -> bool:
    """Tell whether a cut runs along z right through a piece of constant section, inside that section."""
    if any(isinstance(part, Cylinder) and part.axis != "z" for part in (piece, cut)):
        return False
    (low, high), (cut_low, cut_high) = bounds(piece), bounds(cut)
    if cut_low[2] > low[2] or cut_high[2] < high[2]:
        return False
    if isinstance(piece, Box):
        return bool(np.all(cut_low[:2] > low[:2]) and np.all(cut_high[:2] < high[:2]))
    if isinstance(cut, Cylinder):
        return math.dist(cut.centre, piece.centre) + cut.radius < piece.radius
    centre = np.array(piece.centre)
    farthest = np.maximum(abs(cut_low[:2] - centre), abs(cut_high[:2] - centre))
    return float(np.linalg.norm(farthest)) < piece.radius


def meet(one: Simple, other: Simple) -> bool:
    """Tell whether the boxes around two primitives share more than a face."""
    (low, high), (other_low, other_high) = bounds(one), bounds(other)
    return bool(np.all(low < other_high) and np.all(other_low < high))


def sums(points: Points, others: Points) -> Points:
    """Every point (n, 3) plus every other (m, 3), as (n m, 3) mm."""
    return np.concatenate(points[:, None, :] + others[None, :, :])


def vertices(solid: Any) -> Points:
    """The vertices (n, 3) mm of a manifold3d solid."""
    return np.array(solid.to_mesh64().vert_properties, dtype=np.float64)


def hull(points: Points) -> Any:
    """The convex hull (manifold3d) of points (n, 3) mm."""
    import manifold3d

    return manifold3d.Manifold.hull_points(np.ascontiguousarray(points))


def united(solids: Sequence[Any]) -> Any:
    """The union of manifold3d solids."""
    import manifold3d

    return manifold3d.Manifold.batch_boolean(list(solids), manifold3d.OpType.Add)


def _corners(box: Box) -> Points:
    picks = np.array([[(corner >> axis) & 1 for axis in range(3)] for corner in range(8)])
    corners: Points = np.array([box.low, box.high], dtype=np.float64)[picks, np.arange(3)]
    return corners


def _ring(cylinder: Cylinder, radius: float, height: float, count: int) -> Points:
    # Half a step turned: the flats of a circumscribed ring face the axes, so its box is the true one.
    angle = (np.arange(count) + 0.5) * (2.0 * math.pi / count)
    across = (cylinder.centre[0] + radius * np.cos(angle), cylinder.centre[1] + radius * np.sin(angle))
    return np.insert(np.column_stack(across), "xyz".index(cylinder.axis), height, axis=1)


def _facets(radius: float, tolerance: float) -> int:
    return max(16, 4 * math.ceil(math.pi / 4.0 / math.acos(radius / (radius + tolerance))))


def _quarter(growth: float, tolerance: float) -> tuple[list[tuple[float, float]], float]:
    """Corners (outward, along) of a polygon around a quarter circle, flat at both ends, and its excess."""
    if growth == 0.0:
        return [(0.0, 0.0)], 0.0
    steps = max(2, math.ceil(math.pi / 4.0 / math.acos(growth / (growth + tolerance))))
    half = math.pi / 4.0 / steps
    radius = growth / math.cos(half)
    corners = [(radius * math.cos(half * k), radius * math.sin(half * k)) for k in range(1, 2 * steps, 2)]
    return [(growth, 0.0), *corners, (0.0, growth)], radius - growth


def _walls(bore: Box, span: tuple[float, float]) -> list[Box]:
    walls = []
    for axis in (0, 1):
        for end in (bore.low[axis], bore.high[axis]):
            low, high = [*bore.low[:2], span[0]], [*bore.high[:2], span[1]]
            low[axis] = high[axis] = end
            walls.append(Box((low[0], low[1], low[2]), (high[0], high[1], high[2])))
    return walls


def _grown_wall(
    bore: Cylinder, span: tuple[float, float], growth: float, tolerance: float
) -> tuple[Any, float]:
    import manifold3d

    arc, excess = _quarter(growth, tolerance)
    upper = [(bore.radius - r, span[1] + h) for r, h in reversed(arc)]
    lower = [(bore.radius - r, span[0] - h) for r, h in arc]
    count = _facets(bore.radius, tolerance)
    outer = (bore.radius + growth) / math.cos(math.pi / count)  # its flats lie outside the bore's column
    outline = [*upper, *lower, (outer, lower[-1][1]), (outer, upper[0][1])]
    wall = manifold3d.Manifold.revolve(manifold3d.CrossSection([np.array(outline)]), count)
    return wall.translate((*bore.centre, 0.0)), excess + bore.radius * (1.0 - math.cos(math.pi / count))


def _nearest_facet(solid: Any) -> float:
    mesh = solid.to_mesh64()
    a, b, c = np.moveaxis(vertices(solid)[np.array(mesh.tri_verts, dtype=np.int64)], 1, 0)
    normal = np.cross(b - a, c - a)
    return float((np.einsum("ij,ij->i", normal, a) / np.linalg.norm(normal, axis=1)).min())

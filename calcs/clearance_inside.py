"""Is one body inside the other: what a distance between surfaces cannot tell (mm)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calcs.clearance_sweep import Sweep
from geometry.meshes import Mesh, Points

_SEAM = 1e-9  # of a triangle's side
_CHUNK = 2_000_000  # triangle-point pairs at a time: about 200 MB


def winding_numbers(mesh: Mesh, points: Points) -> Points:
    """Winding numbers (k,) of a mesh around points (k, 3): 1 inside, 0 outside, fractions where it is open.

    Sum of the solid angles of all triangles over 4 pi (van Oosterom and Strackee 1983; from memory).
    """
    corners = mesh.corners
    count = 1 + len(points) * len(corners) // _CHUNK
    return np.concatenate([_winding(corners, part) for part in np.array_split(points, count)])


def _winding(corners: Points, points: Points) -> Points:
    a, b, c = np.moveaxis(corners[None] - points[:, None, None, :], 2, 0)
    la, lb, lc = (np.linalg.norm(side, axis=2) for side in (a, b, c))
    triple = np.einsum("pti,pti->pt", a, np.cross(b, c))
    dots = [np.einsum("pti,pti->pt", u, v) * length for u, v, length in ((a, b, lc), (b, c, la), (c, a, lb))]
    half_angles = np.arctan2(triple, la * lb * lc + sum(dots))
    return np.asarray(half_angles.sum(axis=1) / (2.0 * np.pi))


def is_inside(mesh: Mesh, points: Points) -> NDArray[np.bool_]:
    """Tell for each point (k, 3) whether a closed mesh encloses it; outside the mesh's box that is free."""
    low, high = mesh.bounds
    near = np.flatnonzero(((points > low) & (points < high)).all(axis=1))
    answer = np.zeros(len(points), dtype=np.bool_)
    answer[near] = np.abs(winding_numbers(mesh, points[near])) > 0.5
    return answer


def one_holds_the_other(
    swept: Sweep, obstacle: Mesh, *, obstacle_is_solid: bool, mover_is_solid: bool
) -> bool:
    """Tell whether a piece of one body lies inside the other or in its path, where boundaries never touch.

    One vertex of each connected piece decides, both ways: the mover's in the obstacle at the start, the
    obstacle's in the mover's path. A body that is not solid holds nothing, but its surface has a path too.
    """
    mover, start = swept.mover, swept.start * swept.mover.direction
    if obstacle_is_solid and is_inside(obstacle, mover.mesh.piece_points + start).any():
        return True
    low, high = swept.boundary.bounds
    points = obstacle.piece_points
    points = points[((points > low) & (points < high)).all(axis=1)] - start
    back = (swept.start - swept.stop) * mover.direction
    if any(_segment_crosses(mover.mesh.corners, point, back) for point in points):
        return True
    return mover_is_solid and bool(is_inside(mover.mesh, points).any())


def _segment_crosses(corners: Points, origin: Points, along: Points) -> bool:
    """Tell whether a segment meets a triangle (method of Moeller and Trumbore 1997; from memory)."""
    a = corners[:, 0]
    first, second = corners[:, 1] - a, corners[:, 2] - a
    across = np.cross(along, second)
    determinant = np.einsum("ij,ij->i", first, across)
    facing = determinant != 0.0
    scale = np.where(facing, determinant, np.inf)
    offset = origin - a
    u = np.einsum("ij,ij->i", offset, across) / scale
    turned = np.cross(offset, first)
    v = (turned @ along) / scale
    t = np.einsum("ij,ij->i", second, turned) / scale
    # A segment along the seam of two triangles must not slip between them.
    within = (u >= -_SEAM) & (v >= -_SEAM) & (u + v <= 1.0 + _SEAM) & (t >= 0.0) & (t <= 1.0)
    return bool((facing & within).any())

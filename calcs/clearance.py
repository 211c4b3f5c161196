"""The least gap of a pair of bodies over a stretch of travel, bounded and self-checked (mm).

Surfaces by calcs.clearance_sweep, what lies inside what by calcs.clearance_inside; windows of travel, overlap
and verdicts build on `nearest` and `comes_nearer`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calcs.clearance_inside import one_holds_the_other
from calcs.clearance_sweep import (
    TOUCH,
    Gap,
    Mover,
    Obstacle,
    Sweep,
    around,
    mover_of,
    pose_distance,
    sweep,
    swept_gap,
)
from geometry.errors import KernelError
from geometry.meshes import Mesh, Points, distance_to_triangles

_SELF_CHECK = 1e-6  # mm between the swept query and the pose query at its travel


@dataclass(frozen=True, eq=False)
class Pair:
    """A mover and an obstacle; what is not solid (an open mesh) has a surface but no inside."""

    mover: Mover
    obstacle: Obstacle
    mover_is_solid: bool = True
    obstacle_is_solid: bool = True

    @property
    def chord_error(self) -> float:
        """Sum of the chord errors (mm): the true distance lies within this of the distance of the meshes."""
        return self.mover.mesh.chord_error + self.obstacle.mesh.chord_error


@dataclass(frozen=True)
class Nearest:
    """The least surface distance over a stretch of travel, and whether a body holds a piece of the other."""

    gap: Gap
    held: bool

    @property
    def apart(self) -> bool:
        """Neither touching, nor crossing, nor one inside the other."""
        return self.gap.distance > TOUCH and not self.held


def nearest(pair: Pair, swept: Sweep) -> tuple[Nearest, Pair]:
    """Give the continuous minimum over a sweep, exact for the meshes, and the pair with the obstacle it took.

    A cropped obstacle grows until the gap found lies within its margin. The gap is compared with the distance
    of the pose at its own travel; raises KernelError where the two differ.
    """
    gap = swept_gap(swept, pair.obstacle)
    while gap is None:
        pair = replace(pair, obstacle=around(pair.obstacle.mesh, swept, 2.0 * pair.obstacle.margin))
        gap = swept_gap(swept, pair.obstacle)
    held = gap.distance > TOUCH and _holds(pair, swept)
    if gap.distance > TOUCH:
        again = pose_distance(pair.mover, gap.travel, pair.obstacle)
        # What lies inside the path is met by the faces that the swept boundary leaves out.
        if again > gap.distance + _SELF_CHECK or (again < gap.distance - _SELF_CHECK and not held):
            raise KernelError(
                f"least distance {gap.distance} mm over the travel, {again} mm at s = {gap.travel} mm"
            )
    return Nearest(gap, held), pair


def sharper_bounds(pair: Pair, swept: Sweep, gap: Gap) -> tuple[float, float, float]:
    """Bound the true gap (low, nominal, high) by what is nearest: flat faces are exact, curved ones are not.

    A flat face ends at curved ones within their chord error, so every place where it may be wrong is also
    that near to a curved triangle, and is bounded with it.
    """
    margin = gap.distance + pair.chord_error
    low = margin
    for ours, our_error in _flat_and_curved(pair.mover.mesh):
        part = sweep(mover_of(ours, pair.mover.direction), swept.start, swept.stop)
        for theirs, their_error in _flat_and_curved(pair.obstacle.mesh):
            found = swept_gap(part, around(theirs, part, margin))
            low = min(low, (margin if found is None else found.distance) - our_error - their_error)
    here = np.array(gap.on_mover) - gap.travel * pair.mover.direction
    error = _error_at(here, pair.mover.mesh) + _error_at(np.array(gap.on_obstacle), pair.obstacle.mesh)
    return min(low, gap.distance), gap.distance, gap.distance + error


def _flat_and_curved(mesh: Mesh) -> Iterator[tuple[Mesh, float]]:
    """Split a mesh into its exact triangles and those with its chord error; empty halves are left out."""
    curved = _curved(mesh)
    for part, error in ((~curved, 0.0), (curved, mesh.chord_error)):
        if part.any():
            yield Mesh(mesh.vertices, mesh.triangles[part], error), error


def _curved(mesh: Mesh) -> NDArray[np.bool_]:
    if mesh.chord_error > 0.0 and mesh.curved is not None:
        return mesh.curved
    return np.full(len(mesh.triangles), mesh.chord_error > 0.0)


def _error_at(point: Points, mesh: Mesh) -> float:
    """How far (mm) a point of the mesh may be off the true surface: exact when no curved triangle is near."""
    corners = mesh.corners[_curved(mesh)]
    if not len(corners):
        return 0.0
    near = distance_to_triangles(np.broadcast_to(point, (len(corners), 3)), corners).min()
    return 0.0 if near > 2.0 * mesh.chord_error else mesh.chord_error


def comes_nearer(pair: Pair, threshold: float, start: float, stop: float) -> bool:
    """Tell whether the pair comes nearer than `threshold` (mm) from `start` to `stop`, inside included."""
    swept = sweep(pair.mover, start, stop)
    gap = swept_gap(swept, pair.obstacle)
    return (gap is not None and gap.distance < threshold) or _holds(pair, swept)


def _holds(pair: Pair, swept: Sweep) -> bool:
    return one_holds_the_other(
        swept,
        pair.obstacle.mesh,
        obstacle_is_solid=pair.obstacle_is_solid,
        mover_is_solid=pair.mover_is_solid,
    )

"""How far what moves may shift in each direction before a pair falls below its required gap (mm)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calcs.clearance import Pair, comes_nearer
from calcs.clearance_sweep import Obstacle, Sweep, around, mover_of, shifted_distance
from geometry.meshes import Points

DIRECTIONS = {
    "+x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "+y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "+z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}
_NEAR = 1e-4  # mm to which the shift is found
_STEPS = 16  # before a shift beside a wall is decided by one sweep instead


@dataclass(frozen=True)
class Room:
    """The room in one direction (mm) and the pair that ends it; None where nothing stands in the way."""

    distance: float | None
    a: str = ""
    b: str = ""


@dataclass(frozen=True, eq=False)
class Neighbours:
    """A body of the group, swept over the usable stroke, and one beside it.

    `required` is the gap to keep (mm, chord errors included), `gap` the one there is.
    """

    a: str
    b: str
    swept: Sweep
    obstacle: Obstacle
    required: float
    gap: float


def room_of(neighbours: Sequence[Neighbours]) -> dict[str, Room]:
    """Give the room in the six directions over the sweeps of the group (mm).

    The gap changes by at most the shift, so a shift by what is left of the gap can pass nothing by; beside a
    wall, where that creeps, the sweep of the sweep along the shift decides.
    """
    by_spare = sorted(neighbours, key=lambda n: n.gap - n.required)
    return {name: _room_along(by_spare, np.array(way)) for name, way in DIRECTIONS.items()}


def _room_along(by_spare: Sequence[Neighbours], way: Points) -> Room:
    best = Room(None)
    limit = np.inf
    for pair in by_spare:
        if pair.gap - pair.required >= limit:
            break  # sorted: no later pair can be met sooner
        reach = min(limit, _farthest(pair, way))
        shift = _first_below(pair, way, reach) if reach > 0.0 else None
        if shift is not None and shift < limit:
            limit, best = shift, Room(shift, pair.a, pair.b)
    return best


def _farthest(pair: Neighbours, way: Points) -> float:
    """Give the shift after which the boxes have passed each other; below 0 where they never come near."""
    low, high = pair.swept.boundary.bounds
    other_low, other_high = pair.obstacle.mesh.bounds
    across = way == 0.0
    if ((low - pair.required > other_high) | (high + pair.required < other_low))[across].any():
        return -np.inf
    past = np.where(way > 0.0, other_high - low, high - other_low)[~across]
    return float(past[0]) + pair.required


def _first_below(pair: Neighbours, way: Points, reach: float) -> float | None:
    """Give the least shift at which the gap falls to the required one; None if that is not before `reach`."""
    if pair.gap < pair.required:
        return 0.0
    obstacle = _within(pair, reach)
    shift = 0.0
    for _ in range(_STEPS):
        spare = shifted_distance(pair.swept, shift * way, obstacle) - pair.required
        if spare < _NEAR:
            return shift + max(spare, 0.0)
        shift += spare
        if shift >= reach:
            return None
    return _bisected(pair, obstacle, way, shift, reach)


def _bisected(pair: Neighbours, obstacle: Obstacle, way: Points, low: float, high: float) -> float | None:
    again = Pair(mover_of(pair.swept.boundary, way), obstacle, mover_is_solid=False, obstacle_is_solid=False)
    if not comes_nearer(again, pair.required, low, high):
        return None
    start = low
    while high - low > _NEAR:
        middle = (low + high) / 2.0
        low, high = (low, middle) if comes_nearer(again, pair.required, start, middle) else (middle, high)
    return (low + high) / 2.0


def _within(pair: Neighbours, reach: float) -> Obstacle:
    """A cropped obstacle has to hold all that the shifted sweep can come near to."""
    if pair.obstacle.margin >= reach + pair.required:
        return pair.obstacle
    return around(pair.obstacle.mesh, pair.swept, reach + pair.required)

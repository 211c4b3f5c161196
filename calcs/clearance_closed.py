"""The gap of boxes and cylinders along the travel in closed form: no facets, so no chord error (mm).

A box or a cylinder along z is a section times a span, and so is what it sweeps along z. Two such products are
as far apart as the hypotenuse of the distances of their sections and of their spans. Source: plane geometry.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from calcs.grown_primitives import Points, Simple, bounds, is_bore, meet
from geometry.bodies import Box, Cylinder, Posed, Prism, Shape


@dataclass(frozen=True)
class _Piece:
    """A box or a cylinder along z, and the bores that run right through it, apart from each other."""

    outline: Simple
    bores: tuple[Simple, ...]


def closed_gap(mover: Shape, obstacle: Shape, start: float, stop: float) -> tuple[float, float] | None:
    """Bound the gap (low, high) of a shape that moves along +z from `start` to `stop` and one that stands.

    Both are the gap itself, but where a bored piece passes over the end of another: whether material or a
    bore faces it is not looked at, so `high` may be infinite. None where a piece is no box and no cylinder
    along z, where a cut is no bore right through along z, or where two pieces may touch.
    """
    ours, theirs = _pieces(mover), _pieces(obstacle)
    if ours is None or theirs is None:
        return None
    gaps = [_gap(one, other, start, stop) for one, other in product(ours, theirs)]
    low, high = (min(ends) for ends in zip(*gaps, strict=True))
    return (low, high) if low > 0.0 else None


def _pieces(shape: Shape) -> list[_Piece] | None:
    pieces = []
    cuts = [cut for cut in shape.cuts if isinstance(cut, Box | Cylinder)]
    for piece in shape.adds:
        if isinstance(piece, Prism | Posed) or (isinstance(piece, Cylinder) and piece.axis != "z"):
            return None
        bores = tuple(cut for cut in cuts if meet(piece, cut))
        apart = not any(meet(one, other) for one, other in combinations(bores, 2))
        if not (apart and all(is_bore(piece, bore) for bore in bores)):
            return None
        pieces.append(_Piece(piece, bores))
    return pieces if len(cuts) == len(shape.cuts) else None


def _gap(mover: _Piece, obstacle: _Piece, start: float, stop: float) -> tuple[float, float]:
    """Bound the gap of two pieces; nothing or less where they may touch."""
    (low, high), (other_low, other_high) = bounds(mover.outline), bounds(obstacle.outline)
    along = max(float(other_low[2] - high[2]) - stop, float(low[2] - other_high[2]) + start, 0.0)
    across = _across(mover, obstacle)
    if across > 0.0:
        return math.hypot(across, along), math.hypot(across, along)
    return along, math.inf if mover.bores or obstacle.bores else along


def _across(one: _Piece, other: _Piece) -> float:
    """How far two sections are apart: outlines beside each other, or one inside a bore of the other."""
    held = [_inside(other.outline, bore) for bore in one.bores]
    held += [_inside(one.outline, bore) for bore in other.bores]
    return max([_beside(one.outline, other.outline), *held])


def _beside(one: Simple, other: Simple) -> float:
    """Distance of two outlines; nothing or less where they overlap."""
    (low, high, radius), (other_low, other_high, other_radius) = _core(one), _core(other)
    between = np.maximum(np.maximum(other_low - high, low - other_high), 0.0)
    return math.hypot(*between.tolist()) - radius - other_radius


def _inside(one: Simple, bore: Simple) -> float:
    """Distance of an outline from the wall of a bore around it; nothing or less where it is not inside."""
    low, high, radius = _core(one)
    if isinstance(bore, Cylinder):
        corner = np.maximum(np.abs(low - bore.centre), np.abs(high - bore.centre))
        return bore.radius - math.hypot(*corner.tolist()) - radius
    walls = np.minimum(low - bore.low[:2], bore.high[:2] - high)
    return float(walls.min()) - radius


def _core(piece: Simple) -> tuple[Points, Points, float]:
    """Give an outline as low and high corner (2,) of what lies within a radius of it: a box, or a centre."""
    if isinstance(piece, Box):
        return np.array(piece.low[:2]), np.array(piece.high[:2]), 0.0
    return np.array(piece.centre), np.array(piece.centre), piece.radius

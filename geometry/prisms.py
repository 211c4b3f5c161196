"""Sections that are neither round nor square: discs with flats, a rib or a slot, pulled along z (mm)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from geometry.bodies import Prism
from geometry.errors import ShapeError

Corner = tuple[float, float]
Span = tuple[float, float]


@dataclass(frozen=True)
class SectionMoments:
    """Area and moments of a prism's section about the axes of its frame (powers of the unit of length)."""

    area: float
    x: float
    y: float
    xx: float
    yy: float
    xy: float


def section_moments(prism: Prism) -> SectionMoments:
    """Give area, first and second moments of a prism's section in closed form (mm or m in, same unit out).

    Source: Green's theorem along the outline, triangles and circular sectors from the axis (from memory).
    """
    totals = [0.0] * 6
    for start, end, arc in outline_edges(prism):
        for place, part in enumerate(_sector(start, end) if arc else _triangle(start, end)):
            totals[place] += part
    return SectionMoments(*totals)


def outline_edges(prism: Prism) -> Iterator[tuple[Corner, Corner, bool]]:
    """Give start, end and whether it is an arc about the axis of each edge, counter-clockwise."""
    pairs = pairwise((*prism.corners, prism.corners[0]))
    for (start, end), arc in zip(pairs, prism.arcs, strict=True):
        yield start, end, arc


def arc_angles(start: Corner, end: Corner) -> tuple[float, float]:
    """Give the angles (rad) at which an arc about the axis starts and ends, rising."""
    first, last = math.atan2(start[1], start[0]), math.atan2(end[1], end[0])
    return first, last if last > first else last + math.tau


def _triangle(start: Corner, end: Corner) -> tuple[float, ...]:
    (a, b), (c, d) = start, end
    twice = a * d - c * b
    return (
        twice / 2,
        twice * (a + c) / 6,
        twice * (b + d) / 6,
        twice * (a * a + a * c + c * c) / 12,
        twice * (b * b + b * d + d * d) / 12,
        twice * (a * d + 2 * a * b + 2 * c * d + c * b) / 24,
    )


def _sector(start: Corner, end: Corner) -> tuple[float, ...]:
    radius, (first, last) = math.hypot(*start), arc_angles(start, end)
    turn, doubled = last - first, (math.sin(2 * last) - math.sin(2 * first)) / 4
    return (
        radius**2 * turn / 2,
        radius**3 * (math.sin(last) - math.sin(first)) / 3,
        radius**3 * (math.cos(first) - math.cos(last)) / 3,
        radius**4 * (turn / 2 + doubled) / 4,
        radius**4 * (turn / 2 - doubled) / 4,
        radius**4 * (math.sin(last) ** 2 - math.sin(first) ** 2) / 8,
    )


def flatted_disc(diameter: float, across: Iterable[tuple[float, float]], span: Span) -> Prism:
    """Give a disc about the axis cut by flats, each at an angle (rad) and a distance from the axis (mm).

    Flats that meet inside the disc leave a corner, others an arc between them. Raises ShapeError for a flat
    that leaves the disc whole or takes its axis away.
    """
    radius = diameter / 2
    flats = sorted((angle % math.tau, distance) for angle, distance in across)
    for _, distance in flats:
        if not 0.0 < distance < radius:
            raise ShapeError(
                f"a flat {distance:g} mm from the axis of a round of {diameter:g} mm does not flatten it",
                f"take a distance above 0 and below {radius:g} mm",
            )
    corners: list[Corner] = []
    arcs: list[bool] = []
    for (angle, distance), (next_angle, next_distance) in pairwise((*flats, flats[0])):
        turn = (next_angle - angle) % math.tau or math.tau
        reach, next_reach = math.acos(distance / radius), math.acos(next_distance / radius)
        if turn >= reach + next_reach - 1e-12:
            corners += [_at(radius, angle + reach), _at(radius, angle + turn - next_reach)]
            arcs += [True, False]
        else:
            corners.append(_meeting(angle, distance, turn, next_distance))
            arcs.append(False)
    return Prism(tuple(corners), tuple(arcs), span)


def _at(radius: float, angle: float) -> Corner:
    return radius * math.cos(angle), radius * math.sin(angle)


def _meeting(angle: float, distance: float, turn: float, next_distance: float) -> Corner:
    """Give where two flats meet, one a turn (rad) further than the other."""
    along = (next_distance - distance * math.cos(turn)) / math.sin(turn)
    cos, sin = math.cos(angle), math.sin(angle)
    return distance * cos - along * sin, distance * sin + along * cos


def two_flats(diameter: float, across: float, span: Span) -> Prism:
    """Give a disc with two flats across x, a width apart (mm)."""
    return flatted_disc(diameter, [(0.0, across / 2), (math.pi, across / 2)], span)


def regular(count: int, across: float, diameter: float, span: Span) -> Prism:
    """Give a square (4) or hexagon (6) by its width across flats, its corners turned to a diameter (mm).

    A square has its flats across x and y.
    """
    # Corners beyond the circle are sharp: the circle through them cuts nothing.
    widest = min(diameter, across / math.cos(math.pi / count) * (1 + 1e-9))
    flats = [(math.tau * index / count, across / 2) for index in range(count)]
    return flatted_disc(widest, flats, span)


def ribbed_disc(diameter: float, width: float, height: float, span: Span) -> Prism:
    """Give a disc with a rib along it on the side of +y: a key or a return, its height above the round (mm).

    Raises ShapeError for a rib as wide as the disc.
    """
    radius, half = diameter / 2, width / 2
    if not 0.0 < half < radius:
        raise ShapeError(
            f"a rib of {width:g} mm does not stand on a round of {diameter:g} mm",
            f"take a width below {diameter:g} mm",
        )
    foot, top = math.sqrt(radius**2 - half**2), radius + height
    # A corner where a cylinder has its seam: two rounds of one radius then meet seam to seam in a boolean.
    corners = ((half, foot), (half, top), (-half, top), (-half, foot), (radius, 0.0))
    return Prism(corners, (False, False, False, True, True), span)

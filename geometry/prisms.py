"""Sections that are neither round nor square: discs with flats or a rib, hulls, pulled along z (mm)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import NamedTuple

from geometry.bodies import Prism
from geometry.errors import ShapeError

Corner = tuple[float, float]
Span = tuple[float, float]
AXIS: Corner = (0.0, 0.0)


class SectionMoments(NamedTuple):
    """Area and moments of a prism's section about the axes of its frame (powers of the unit of length)."""

    area: float
    x: float
    y: float
    xx: float
    yy: float
    xy: float


def section_moments(prism: Prism) -> SectionMoments:
    """Give area, first and second moments of a prism's section in closed form (mm or m in, same unit out).

    Source: Green's theorem along the outline, triangles from the axis and circular sectors (from memory).
    """
    totals = [0.0] * 6
    for start, end, centre in outline_edges(prism):
        pieces = [_triangle(start, end)]
        if centre is not None:
            pieces = [_triangle(start, centre), _sector(start, end, centre), _triangle(centre, end)]
        totals = [sum(parts) for parts in zip(totals, *pieces, strict=True)]
    return SectionMoments(*totals)


def outline_edges(prism: Prism) -> Iterator[tuple[Corner, Corner, Corner | None]]:
    """Give start, end and an arc's centre (None: straight) of each edge, counter-clockwise (mm)."""
    pairs = pairwise((*prism.corners, prism.corners[0]))
    for (start, end), centre in zip(pairs, prism.arcs, strict=True):
        yield start, end, centre


def arc_angles(start: Corner, end: Corner, centre: Corner) -> tuple[float, float]:
    """Give the angles (rad) at which an arc about a centre starts and ends, rising."""
    first, last = (math.atan2(y - centre[1], x - centre[0]) for x, y in (start, end))
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


def _sector(start: Corner, end: Corner, centre: Corner) -> tuple[float, ...]:
    radius, (first, last) = math.dist(start, centre), arc_angles(start, end, centre)
    turn, doubled = last - first, (math.sin(2 * last) - math.sin(2 * first)) / 4
    area = radius**2 * turn / 2
    x, y = (
        radius**3 / 3 * part for part in (math.sin(last) - math.sin(first), math.cos(first) - math.cos(last))
    )
    xx, yy = (radius**4 * (turn / 2 + sign * doubled) / 4 for sign in (1, -1))
    xy = radius**4 * (math.sin(last) ** 2 - math.sin(first) ** 2) / 8
    a, b = centre
    return (
        area,
        x + area * a,
        y + area * b,
        xx + 2 * a * x + area * a * a,
        yy + 2 * b * y + area * b * b,
        xy + a * y + b * x + area * a * b,
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
    arcs: list[Corner | None] = []
    for (angle, distance), (next_angle, next_distance) in pairwise((*flats, flats[0])):
        turn = (next_angle - angle) % math.tau or math.tau
        reach, next_reach = math.acos(distance / radius), math.acos(next_distance / radius)
        if turn >= reach + next_reach - 1e-12:
            corners += [_at(radius, angle + reach), _at(radius, angle + turn - next_reach)]
            arcs += [AXIS, None]
        else:
            corners.append(_meeting(angle, distance, turn, next_distance))
            arcs.append(None)
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
    return Prism(corners, (None, None, None, AXIS, AXIS), span)


def hull_of_rounds(first: float, second: float, at: Corner, span: Span) -> Prism:
    """Give the hull of a round about the axis and one about another centre, by their radii (mm).

    Raises ShapeError where one round lies inside the other. Source: plane geometry, outer tangents.
    """
    apart, way = math.hypot(*at), math.atan2(at[1], at[0])
    if abs(first - second) >= apart:
        raise ShapeError(
            f"a round of {second:g} mm radius {apart:g} mm beside one of {first:g} mm lies in it",
            "take radii that differ by less than the distance",
        )
    lean = math.acos((first - second) / apart)
    corners = [
        _at(first, way + lean),
        _at(first, way - lean),
        _at(second, way - lean),
        _at(second, way + lean),
    ]
    corners[2:] = [(x + at[0], y + at[1]) for x, y in corners[2:]]
    return Prism(tuple(corners), (AXIS, None, at, None), span)


def shifted_prism(prism: Prism, x: float, y: float, z: float) -> Prism:
    """Give a prism moved (mm). No source needed."""
    corners = tuple((a + x, b + y) for a, b in prism.corners)
    arcs = tuple(None if centre is None else (centre[0] + x, centre[1] + y) for centre in prism.arcs)
    return Prism(corners, arcs, (prism.span[0] + z, prism.span[1] + z))


def prism_bounds(prism: Prism) -> tuple[Corner, Corner]:
    """Give low and high corner (mm) of a box around a prism's section, its arcs counted as full circles."""
    points = list(prism.corners)
    for start, _, centre in outline_edges(prism):
        if centre is not None:
            radius = math.dist(start, centre)
            points += [(centre[0] - radius, centre[1] - radius), (centre[0] + radius, centre[1] + radius)]
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))

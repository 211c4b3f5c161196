"""A thread of the user's own outline: points over one pitch, or crest, depth and flank angles, with radii."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import combinations, pairwise

import numpy as np

from geometry.errors import InputError, Problem
from geometry.outlines import Array, Corner, Outline, Piece, Point, outline
from geometry.threads import MOST_STARTS, Hand, Thread

FAMILY = "own outline"
CHORDS = 64  # of each arc, to find the pitch diameter and the flanks: within 1e-4 of its radius


def symmetric_points(
    pitch_mm: float, depth_mm: float, crest_mm: float, flanks_deg: tuple[float, float]
) -> tuple[Point, ...]:
    """The four corners (axial, depth) in mm of an outline from its crest, depth and half flank angles.

    The first flank faces +z. Raises InputError where the flanks leave no root. Source: geometry.
    """
    first, second = (math.tan(math.radians(angle)) for angle in flanks_deg)
    root = pitch_mm - crest_mm - depth_mm * (first + second)
    if root < -1e-9:
        deepest = (pitch_mm - crest_mm) / (first + second)
        repair = f"take a depth of at most {deepest:.4g} mm" if deepest > 0 else "take a narrower crest"
        raise _refused(
            f"the outline leaves no root: a crest of {crest_mm:g} mm and flanks {depth_mm:g} mm deep take "
            f"{pitch_mm - root:.4g} mm of a pitch of {pitch_mm:g} mm",
            f"{repair}, steeper flanks or a larger pitch",
        )
    low = crest_mm + depth_mm * first
    corners = ((0.0, 0.0), (crest_mm, 0.0), (low, depth_mm), (low + max(root, 0.0), depth_mm))
    return tuple(dict.fromkeys(corners))


@lru_cache(maxsize=64)
def outline_thread(
    diameter_mm: float,
    pitch_mm: float,
    points: tuple[Point, ...],
    *,
    radii_mm: tuple[float, ...] = (),
    clearance_mm: float = 0.0,
    starts: int = 1,
    hand: Hand = "right",
) -> Thread:
    """A thread from its own outline, and the nut that goes with it (mm).

    `points` are (axial, depth below the diameter) over one pitch, the last joined to the first of the next;
    `radii_mm` rounds each of them. The nut has the same outline, moved outward by the clearance. Raises
    InputError for an outline that runs back or crosses itself, that leaves no root or no core, or whose radii
    do not fit. Source: the user.
    """
    if not 1 <= starts <= MOST_STARTS:
        raise _refused(f"{starts} starts: they must be 1 to {MOST_STARTS}", f"write {MOST_STARTS} or fewer")
    _must_be_an_outline(points, pitch_mm, diameter_mm / 2)
    if radii_mm and len(radii_mm) != len(points):
        raise _refused(
            f"{len(radii_mm)} radii are given for {len(points)} points", "give one for each point, 0 for none"
        )
    heights = [(s, diameter_mm / 2 - depth) for s, depth in points]
    external = _rounded(heights, pitch_mm, radii_mm or (0.0,) * len(points))
    internal = Outline(
        tuple(Piece(tuple((s, r + clearance_mm) for s, r in piece.poles)) for piece in external.pieces)
    )
    major, root = 2 * external.largest_radius_mm, 2 * external.smallest_radius_mm
    minor = root + 2 * clearance_mm
    if minor >= major:
        raise _refused(
            f"a clearance of {clearance_mm:g} mm leaves the flanks {(major - minor) / 2:.3g} mm to meet on",
            f"take a clearance below {(major - root) / 2:g} mm",
        )
    chords = _chords(external)
    middle = _pitch_radius(chords, external)
    lead = f"{starts * pitch_mm:g}(P{pitch_mm:g})" if starts > 1 else f"{pitch_mm:g}"
    return Thread(
        designation=f"{FAMILY} {diameter_mm:g}x{lead}" + (" LH" if hand == "left" else ""),
        family=FAMILY,
        pitch_mm=pitch_mm,
        lead_mm=starts * pitch_mm,
        starts=starts,
        hand=hand,
        major_diameter_mm=major,
        pitch_diameter_mm=2 * middle,
        minor_diameter_mm=minor,
        root_diameter_mm=root,
        internal_major_diameter_mm=major + 2 * clearance_mm,
        internal_minor_diameter_mm=minor,
        engagement_depth_mm=(major - minor) / 2,
        root_clearance_mm=clearance_mm,
        flank_angle_deg=_flank_angle(chords, (major + root) / 4, -1),
        back_flank_angle_deg=_flank_angle(chords, (major + root) / 4, 1),
        external=external,
        internal=internal,
        source="the user's own outline",
    )


def _refused(message: str, repair: str) -> InputError:
    return InputError(Problem(message, repair))


def _must_be_an_outline(points: tuple[Point, ...], pitch: float, radius: float) -> None:
    if len(points) < 2:
        raise _refused(f"the outline has {len(points)} points", "give at least two: a crest and a root")
    closed = [*points, (points[0][0] + pitch, points[0][1])]
    for i, ((s0, d0), (s1, d1)) in enumerate(pairwise(closed), start=1):
        if (s0, d0) == (s1, d1):
            raise _refused(f"points {i} and {i % len(points) + 1} of the outline coincide", "leave one out")
        if s1 < s0 - 1e-12:
            _refuse_running_back(closed, i, pitch)
    depths = [depth for _, depth in points]
    if max(depths) - min(depths) <= 0:
        raise _refused(
            f"the outline leaves no root: every point lies {depths[0]:g} mm deep",
            "give the points of the root a larger depth",
        )
    if min(depths) < 0:
        raise _refused(
            f"the outline stands {-min(depths):g} mm outside its diameter of {2 * radius:g} mm",
            "count depths from the diameter inward, from 0",
        )
    if max(depths) >= radius:
        raise _refused(
            f"the outline leaves no core: it is {max(depths):g} mm deep in a radius of {radius:g} mm",
            f"take depths below {radius:g} mm or a larger diameter",
        )


def _refuse_running_back(closed: list[Point], i: int, pitch: float) -> None:
    (s0, _), (s1, _) = closed[i - 1], closed[i]
    segments = list(pairwise(closed))
    for one, other in combinations(range(len(segments)), 2):
        if _cross(segments[one], segments[other]):
            names = [f"{n + 1}-{(n + 1) % (len(closed) - 1) + 1}" for n in (one, other)]
            raise _refused(
                f"the outline crosses itself: its sides {names[0]} and {names[1]} meet",
                "list the points in the order in which they follow along the axis",
            )
    if i == len(closed) - 1:
        raise _refused(
            f"the outline is longer than a pitch: point {i} stands at {s0:g} mm, the next begins at {s1:g}",
            f"keep every point within {pitch:g} mm of the first",
        )
    raise _refused(
        f"the outline runs back along the axis: point {i} stands at {s0:g} mm, point {i + 1} at {s1:g}",
        f"place point {i + 1} at {s0:g} mm or beyond: an undercut flank cannot be made",
    )


def _cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether two segments cross in a point inside both."""

    def side(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    (a, b), (c, d) = one, other
    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _rounded(points: list[Point], pitch: float, radii: tuple[float, ...]) -> Outline:
    """The outline with its corners rounded, from behind the first corner to behind the next turn's."""
    count = len(points)
    around = [(points[-1][0] - pitch, points[-1][1]), *points, (points[0][0] + pitch, points[0][1])]
    ways = [np.subtract(b, a) for a, b in pairwise(around)]
    lengths = [float(np.hypot(*way)) for way in ways]
    units = [way / length for way, length in zip(ways, lengths, strict=True)]
    turns = [math.acos(max(-1.0, min(1.0, float(units[i] @ units[i + 1])))) for i in range(count)]
    reach = [radius * math.tan(turn / 2) for radius, turn in zip(radii, turns, strict=True)]
    for i in range(count):
        following, room = (i + 1) % count, lengths[i + 1]
        if reach[i] + reach[following] > room + 1e-9:
            most = max(radii[i], radii[following]) * room / (reach[i] + reach[following])
            raise _refused(
                f"the radii of points {i + 1} and {following + 1} need {reach[i] + reach[following]:.4g} mm "
                f"of the {room:.4g} mm between them",
                f"take radii of at most {math.floor(most * 1000) / 1000:g} mm there",
            )
    corners: list[Corner] = []
    start = tuple(np.add(points[0], reach[0] * units[1]))
    for i in [*range(1, count), 0]:
        centre = np.add(points[i], (0.0 if i else pitch, 0.0))
        into, out = centre - reach[i] * units[i], centre + reach[i] * units[i + 1]
        corners.append(Corner(_point(into)))
        if reach[i] > 1e-12:
            across = units[i + 1] - units[i]
            inward = radii[i] / math.cos(turns[i] / 2) - radii[i]
            middle = centre + inward * across / np.hypot(*across)
            corners.append(Corner(_point(out), _point(middle)))
    return outline(_point(start), _distinct(_point(start), corners))


def _point(value: Array | tuple[float, ...]) -> Point:
    return float(value[0]), float(value[1])


def _distinct(start: Point, corners: list[Corner]) -> list[Corner]:
    """The corners without straight pieces of no length, between arcs that meet."""
    kept, here = [], start
    for corner in corners:
        if corner.through is None and math.dist(here, corner.to) < 1e-9:
            continue
        # A wall at right angles to the axis must not lean back by a rounding error.
        here = (here[0] if abs(corner.to[0] - here[0]) < 1e-9 else corner.to[0], corner.to[1])
        kept.append(Corner(here, corner.through))
    return kept


def _chords(shape: Outline) -> Array:
    """The outline as straight chords (n, 2, 2) of (s, r)."""
    u = np.linspace(0.0, 1.0, CHORDS + 1)
    points = [piece.at(u if piece.degree > 1 else u[[0, -1]]) for piece in shape.pieces]
    return np.concatenate([np.stack((p[:-1], p[1:]), axis=1) for p in points])


def _pitch_radius(chords: Array, shape: Outline) -> float:
    """The radius at which ridge and groove are equally wide; the middle where that holds over a wall."""
    (s0, r0), (s1, r1) = chords[:, 0].T, chords[:, 1].T
    low, high = np.minimum(r0, r1), np.maximum(r0, r1)

    def ridge(radius: float) -> float:
        level = high - low < 1e-12
        share = np.where(level, low > radius, (high - radius) / np.where(level, 1.0, high - low))
        return float(((s1 - s0) * np.clip(share, 0.0, 1.0)).sum())

    def edge(wanted: float) -> float:
        bottom, top = shape.smallest_radius_mm, shape.largest_radius_mm
        for _ in range(60):
            middle = (bottom + top) / 2
            bottom, top = (middle, top) if ridge(middle) > wanted else (bottom, middle)
        return (bottom + top) / 2

    half, slack = shape.pitch_mm / 2, 1e-9 * shape.pitch_mm
    return (edge(half + slack) + edge(half - slack)) / 2


def _flank_angle(chords: Array, radius: float, direction: int) -> float:
    """Half angle of the flank that crosses a radius, falling (-1) or rising along s; 90 degrees for none."""
    (s0, r0), (s1, r1) = chords[:, 0].T, chords[:, 1].T
    crosses = (
        (np.sign(r1 - r0) == direction) & (np.minimum(r0, r1) <= radius) & (radius <= np.maximum(r0, r1))
    )
    found = np.flatnonzero(crosses)
    if not len(found):
        return 90.0
    i = found[0]
    return math.degrees(math.atan2(float(s1[i] - s0[i]), abs(float(r1[i] - r0[i]))))

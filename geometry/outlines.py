"""The outline of a thread over one pitch, and the integrals of it that need no CAD kernel.

An outline is a chain of Bezier pieces (s, r): s along the axis, r the radius, in mm. A thread of n starts
repeats it every pitch; the point (s, r) runs along the helix (r cos t, r sin t, s + lead t / 2 pi). For the
external member the material lies below the outline, for the internal member above it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from geometry.errors import ShapeError

Array = npt.NDArray[np.float64]
Point = tuple[float, float]

ARC_DEGREE = 5
LARGEST_ARC = math.pi / 3
GAUSS_POINTS = 24  # exact to degree 47: r^6 s' of a fifth-degree piece has degree 34


class Corner(NamedTuple):
    """Where a piece of an outline ends (mm): a straight line, or an arc through one more point."""

    to: Point
    through: Point | None = None


class Piece(NamedTuple):
    """One Bezier curve of an outline by its poles (s, r) in mm."""

    poles: tuple[Point, ...]

    @property
    def degree(self) -> int:
        """Degree of the curve: 1 for a straight flank or land."""
        return len(self.poles) - 1

    @property
    def is_land(self) -> bool:
        """Whether it is straight and parallel to the axis, so that its surface is a cylinder."""
        return self.degree == 1 and self.poles[0][1] == self.poles[1][1]

    @property
    def width_mm(self) -> float:
        """Axial distance between its ends."""
        return self.poles[-1][0] - self.poles[0][0]

    def at(self, u: Array) -> Array:
        """Points (n, 2) as (s, r) in mm at the parameters u (n,) from 0 to 1."""
        points: Array = bernstein(self.degree, u) @ np.array(self.poles)
        return points


class Outline(NamedTuple):
    """The pieces over one pitch, s rising, the last ending one pitch after the first begins (mm)."""

    pieces: tuple[Piece, ...]

    @property
    def pitch_mm(self) -> float:
        """Axial distance after which the outline repeats."""
        return self.pieces[-1].poles[-1][0] - self.pieces[0].poles[0][0]

    @property
    def corners(self) -> tuple[Point, ...]:
        """Where the pieces begin, as (s, r) in mm."""
        return tuple(piece.poles[0] for piece in self.pieces)

    @property
    def largest_radius_mm(self) -> float:
        """Largest radius: arcs are split there, so it is always a corner."""
        return max(r for _, r in self.corners)

    @property
    def smallest_radius_mm(self) -> float:
        """Smallest radius: arcs are split there, so it is always a corner."""
        return min(r for _, r in self.corners)


@cache
def _binomials(degree: int) -> Array:
    return np.array([math.comb(degree, i) for i in range(degree + 1)], dtype=float)


def bernstein(degree: int, u: Array) -> Array:
    """Bernstein polynomials (n, degree + 1) at the parameters u (n,)."""
    powers = np.arange(degree + 1)
    x = np.asarray(u, dtype=float)[:, None]
    values: Array = _binomials(degree) * x**powers * (1.0 - x) ** (degree - powers)
    return values


def outline(start: Point, corners: Sequence[Corner]) -> Outline:
    """Chain of pieces from a start point through the corners (mm); arcs become quintic Beziers.

    Raises ShapeError where s does not rise, where a radius is not positive, or where the end is not one
    pitch after the start at the same radius.
    """
    pieces: list[Piece] = []
    here = start
    for corner in corners:
        if corner.through is None:
            pieces.append(Piece((here, corner.to)))
        else:
            pieces.extend(_arc(here, corner.through, corner.to))
        here = corner.to
    made = Outline(tuple(pieces))
    _must_be_sound(made)
    return made


def _must_be_sound(made: Outline) -> None:
    for number, piece in enumerate(made.pieces, start=1):
        # A wall at right angles to the axis (s constant) is a flank too: that of a square thread.
        if any(b[0] < a[0] for a, b in pairwise(piece.poles)):
            raise ShapeError(
                f"piece {number} of the thread outline runs back along the axis: {piece.poles}",
                "list the corners in the order of rising s",
            )
    if made.smallest_radius_mm <= 0:
        raise ShapeError(
            f"the thread outline reaches radius {made.smallest_radius_mm:.4f} mm, it must stay above 0",
            "take a larger diameter or a finer pitch",
        )
    first, last = made.pieces[0].poles[0][1], made.pieces[-1].poles[-1][1]
    if abs(first - last) > 1e-9:
        raise ShapeError(
            f"the thread outline begins at radius {first:.6f} and ends at {last:.6f} mm",
            "let the last corner end at the radius of the start",
        )


def _arc(start: Point, through: Point, end: Point) -> list[Piece]:
    """Pieces of the circular arc, cut where its radius is extreme and into at most 60 degrees each."""
    centre, radius = _circle(start, through, end)
    first, middle, last = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (start, through, end))
    turn = (last - first) % math.tau
    if (middle - first) % math.tau > turn:
        turn -= math.tau
    extremes = {q * math.pi / 2 for q in (-5, -3, -1, 1, 3, 5)}  # straight above or below the centre
    between = (a for a in extremes if min(first, first + turn) + 1e-9 < a < max(first, first + turn) - 1e-9)
    stations = [first, *sorted(between, reverse=turn < 0), first + turn]
    pieces = []
    for a, b in pairwise(stations):
        parts = math.ceil(abs(b - a) / LARGEST_ARC - 1e-9)
        marks = np.linspace(a, b, parts + 1)
        pieces += [_short_arc(centre, radius, c, d) for c, d in pairwise(marks)]
    # The given ends, not those computed from the circle, so that neighbours share their corner exactly.
    pieces[0] = Piece((start, *pieces[0].poles[1:]))
    pieces[-1] = Piece((*pieces[-1].poles[:-1], end))
    return pieces


def _circle(a: Point, b: Point, c: Point) -> tuple[Point, float]:
    """Centre and radius of the circle through three points."""
    matrix = 2 * np.array([[b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]])
    if abs(np.linalg.det(matrix)) < 1e-12 * math.dist(a, b) * math.dist(a, c):
        raise ShapeError(f"the arc through {a}, {b} and {c} is straight", "leave out the middle point")
    square = [p[0] ** 2 + p[1] ** 2 for p in (a, b, c)]
    x, y = np.linalg.solve(matrix, [square[1] - square[0], square[2] - square[0]])
    return (float(x), float(y)), math.dist((x, y), a)


def _short_arc(centre: Point, radius: float, first: float, last: float) -> Piece:
    """Quintic Bezier through six points of the arc; up to 60 degrees it errs by 1.8e-6 radius at most."""
    u = (1 - np.cos(np.pi * np.arange(ARC_DEGREE + 1) / ARC_DEGREE)) / 2
    angle = first + (last - first) * u
    points = np.column_stack((centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle)))
    poles = np.linalg.solve(bernstein(ARC_DEGREE, u), points)
    return Piece(tuple((float(s), float(r)) for s, r in poles))


@cache
def gauss() -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights (24,) on 0 to 1."""
    nodes, weights = np.polynomial.legendre.leggauss(GAUSS_POINTS)
    return (nodes + 1) / 2, weights / 2


def radius_integral(outline: Outline, *powers: int) -> tuple[float, ...]:
    """Integrals of r^power ds over one pitch (mm^(power + 1)), one for each power up to 8.

    Exact to rounding: the pieces are polynomials, and the quadrature is exact for their degree.
    """
    nodes, weights = gauss()
    totals = [0.0] * len(powers)
    for piece in outline.pieces:
        poles = np.array(piece.poles)
        radius = bernstein(piece.degree, nodes) @ poles[:, 1]
        slope = bernstein(piece.degree - 1, nodes) @ (piece.degree * np.diff(poles[:, 0]))
        for index, power in enumerate(powers):
            totals[index] += float(weights @ (radius**power * slope))
    return tuple(totals)


def section_area(outline: Outline) -> float:
    """Area of any cross-section inside the outline (mm2), the same all along the thread.

    Source: Pappus; the area of the axial outline turned about the axis, divided by the pitch.
    """
    (square,) = radius_integral(outline, 2)
    return math.pi / outline.pitch_mm * square


def section_polar_moment(outline: Outline) -> float:
    """Polar second moment of area about the axis of any cross-section inside the outline (mm4).

    Source: the integral of r^3 dr dt; times length and density it is the moment of inertia about the axis.
    """
    (fourth,) = radius_integral(outline, 4)
    return math.pi / (2 * outline.pitch_mm) * fourth

"""Helices and spirals as B-splines, without a CAD kernel.

A uniform B-spline whose poles lie on a helix is, to within 1.2e-9 of its radius (degree 7, sixteen spans a
turn), a helix itself. Every helical edge and flank is a stretch of that one global spline between two of
its knots, so neighbours agree to rounding. Plane points are complex numbers x + iy.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from geometry.errors import KernelError
from geometry.outlines import bernstein

Array = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]

DEGREE = 7
# At twelve spans a turn the error is 1.2e-8: enough for the volume, but readers of STEP files mend the gaps.
SPAN = math.tau / 16
SPIRAL_ERROR_MM = 1e-8
MOST_SPIRAL_SPANS = 96


def clamped_knots(spans: int) -> Array:
    """Knots (spans + 15,) of a degree 7 spline over 0 to spans, one apart, its ends repeated eight times."""
    return np.concatenate((np.zeros(DEGREE), np.arange(spans + 1.0), np.full(DEGREE, float(spans))))


def greville(knots: Array) -> Array:
    """Greville abscissae (n,): the poles of the function x itself."""
    windows = np.lib.stride_tricks.sliding_window_view(knots[1:-1], DEGREE)
    means: Array = windows.mean(axis=1)
    return means


def basis(knots: Array, x: Array) -> Array:
    """Values (len(x), len(knots) - 8) of the degree 7 B-splines at x. Source: Cox and de Boor's recursion."""
    last = np.searchsorted(knots, knots[-1]) - 1
    span = np.minimum(np.searchsorted(knots, x, side="right") - 1, last)
    values: Array = (np.arange(len(knots) - 1) == span[:, None]).astype(float)
    for degree in range(1, DEGREE + 1):
        width = knots[degree:] - knots[:-degree]
        inverse = np.divide(1.0, width, out=np.zeros_like(width), where=width > 0)
        rising = (x[:, None] - knots[: -degree - 1]) * inverse[:-1]
        falling = (knots[degree + 1 :] - x[:, None]) * inverse[1:]
        values = rising * values[:, :-1] + falling * values[:, 1:]
    return values


@cache
def unit_helix(spans: int) -> tuple[Complex, Array]:
    """Poles (spans + 7,) of exp(i t) over t = 0 to spans * SPAN, and the poles of t itself."""
    knots = clamped_knots(spans)
    abscissae = greville(knots)
    uniform = np.arange(-DEGREE, spans + DEGREE + 1.0)
    # The pole of each uniform basis function stands at the middle of its support.
    middles = (uniform[: -DEGREE - 1] + uniform[DEGREE + 1 :]) / 2
    raw = np.exp(1j * SPAN * middles)
    # Scale the poles' radius so that the spline meets the helix at the knots.
    at_zero = basis(uniform, np.zeros(1)) @ raw
    values = basis(uniform, abscissae) @ (raw / at_zero.real)
    poles: Complex = np.linalg.solve(basis(knots, abscissae).astype(complex), values)
    return poles, abscissae * SPAN


@dataclass(frozen=True)
class Stretch:
    """The stretch of the global helix between two of its knots that covers an angle range."""

    first: int
    spans: int

    @classmethod
    def covering(cls, low: float, high: float) -> Stretch:
        """The shortest stretch over the angles low to high (rad)."""
        first = math.floor(low / SPAN)
        return cls(first, max(1, math.ceil(high / SPAN) - first))

    @property
    def knots(self) -> list[float]:
        """Distinct knots (rad)."""
        return [(self.first + i) * SPAN for i in range(self.spans + 1)]

    def poles(self) -> tuple[Complex, Array]:
        """Poles of exp(i t) and of t over the stretch."""
        circle, angle = unit_helix(self.spans)
        return circle * np.exp(1j * SPAN * self.first), angle + SPAN * self.first


@cache
def _interpolation(spans: int) -> tuple[Array, Array, Array, Array]:
    """Stations, inverse of their basis, and check points with theirs, all on 0 to 1."""
    knots = clamped_knots(spans)
    stations = greville(knots)
    checks: Array = np.linspace(0.0, spans, 8 * spans + 8)
    inverse = np.linalg.inv(basis(knots, stations)).astype(np.float64)
    return stations / spans, inverse, checks / spans, basis(knots, checks)


def spirals(piece: tuple[Array, Array], axial: Array, slope: Array, k: float) -> Array:
    """Poles (n, m, 3) of the curves in which n cut surfaces z = axial + slope r meet one thread flank (mm).

    `piece` holds the Bezier poles s and r of the flank, `phase` (n,) turns each curve about the axis, and
    k = 2 pi / lead. The curve is r exp(i (k (axial + slope r - s) )) over the flank's parameter 0 to 1, on
    m - 7 uniform spans, as many as keep the error below 1e-8 mm. Raises KernelError where 96 spans don't.
    """
    s_poles, r_poles = piece
    degree = len(s_poles) - 1
    turn = k * (np.abs(np.diff(s_poles)).sum() + np.abs(slope).max() * np.abs(np.diff(r_poles)).sum())
    spans = max(1, math.ceil(turn / SPAN))

    def curve(u: Array) -> tuple[Complex, Array]:
        weights = bernstein(degree, u)
        s, r = (weights @ s_poles)[:, None], (weights @ r_poles)[:, None]
        return r * np.exp(1j * k * (axial + slope * r - s)), axial + slope * r

    while spans <= MOST_SPIRAL_SPANS:
        stations, inverse, checks, check_basis = _interpolation(spans)
        plane, height = curve(stations)
        poles = inverse @ plane
        if np.abs(check_basis @ poles - curve(checks)[0]).max() < SPIRAL_ERROR_MM:
            stacked: Array = np.stack((poles.real, poles.imag, inverse @ height), axis=-1)
            return np.swapaxes(stacked, 0, 1)
        spans *= 2
    raise KernelError(f"a spiral edge of {math.degrees(turn):.0f} degrees cannot be fitted to 1e-8 mm")

"""Where a thread's end cone is split into two half turns, without a CAD kernel.

The loop in which the cone meets the thread folds back over itself in angle, so that a single face would
reach beyond a full turn; such faces pass the validity check but break later booleans. Two opposite generators
of the cone split the loop's edges where they cross, and no face reaches over more than half a turn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.outlines import Array, bernstein
from geometry.thread_ends import Cut


@dataclass(frozen=True)
class Crossing:
    """Where a generator crosses a strand's cut: its share of the strand, its angle (rad) and radius (mm)."""

    share: float
    angle: float
    radius: float


@dataclass(frozen=True)
class Sectors:
    """The angle (rad) of the first generator, and the crossings of each strand, in order."""

    start: float
    crossings: list[list[Crossing]]


def sectors(strands: list[tuple[Array, Array]], cut: Cut, k: float) -> Sectors:
    """Split the loop of a cone cut by two opposite generators that stay clear of its corners and folds.

    `strands` holds the Bezier poles s and r (mm) of each edge of the loop, k = 2 pi / lead.
    """
    polynomials = [_polynomial(k * (cut.axial + cut.slope * r - s)) for s, r in strands]
    start = _clear_angle(polynomials)
    return Sectors(start, [_crossings(p, r, start) for p, (_, r) in zip(polynomials, strands, strict=True)])


def _polynomial(poles: Array) -> np.polynomial.Polynomial:
    """The Bezier curve of these poles as a polynomial over 0 to 1."""
    degree = len(poles) - 1
    u = (1 - np.cos(np.pi * np.arange(degree + 1) / degree)) / 2
    return np.polynomial.Polynomial.fit(u, bernstein(degree, u) @ poles, degree, domain=[0, 1])


def _inside(polynomial: np.polynomial.Polynomial) -> list[float]:
    roots = np.atleast_1d(polynomial.roots())
    return sorted(float(root.real) for root in roots if abs(root.imag) < 1e-9 and 0 < root.real < 1)


def _clear_angle(polynomials: list[np.polynomial.Polynomial]) -> float:
    """The middle of the widest gap, by half turns, between the angles of corners and of folds."""
    taken = [
        float(polynomial(u)) % math.pi
        for polynomial in polynomials
        for u in [0.0, *(_inside(polynomial.deriv()) if polynomial.degree() > 1 else [])]
    ]
    marks = np.sort(taken)
    gaps = np.diff(np.append(marks, marks[0] + math.pi))
    widest = int(gaps.argmax())
    return float(marks[widest] + gaps[widest] / 2)


def _crossings(polynomial: np.polynomial.Polynomial, r: Array, start: float) -> list[Crossing]:
    low, high = _range(polynomial)
    halves = range(math.ceil((low - start) / math.pi), math.floor((high - start) / math.pi) + 1)
    found = [
        (u, start + half * math.pi) for half in halves for u in _inside(polynomial - start - half * math.pi)
    ]
    radii = bernstein(len(r) - 1, np.array([u for u, _ in found])) @ r
    return [
        Crossing(u, angle, float(radius)) for (u, angle), radius in sorted(zip(found, radii, strict=True))
    ]


def _range(polynomial: np.polynomial.Polynomial) -> tuple[float, float]:
    stations = [0.0, 1.0, *_inside(polynomial.deriv())]
    values = [float(polynomial(u)) for u in stations]
    return min(values), max(values)

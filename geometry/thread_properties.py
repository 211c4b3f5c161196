"""Volume, centroid and inertia of threaded rods and bores in closed form, end cones and journals included.

The integrands are polynomials on each piece, so that Gauss quadrature is exact to rounding. Unlike the
kernel's integration it costs the same for one turn and for a thousand.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from geometry.outlines import Array, Outline, bernstein, gauss
from geometry.thread_ends import RadiusHeight, ThreadedLength


class RoundSolid(NamedTuple):
    """Geometric properties of a solid about its axis z, to be multiplied by a density.

    The transverse moment is the mean over all directions across the axis, about the centroid on the axis. The
    trace by which a single-start thread that ends within a turn is off its axis is left out.
    """

    volume_mm3: float
    centroid_z_mm: float
    axial_moment_mm5: float
    transverse_moment_mm5: float


def threaded_solid(part: ThreadedLength) -> RoundSolid:
    """Volume (mm3), centroid (mm) and second moments (mm5) of a rod, or of the void of a bore.

    Source: closed form; the section's area is starts k / 2 times the integral of r^2 ds, k = 2 pi / lead, and
    a 45 degree cone cuts each line along the thread (s constant) after |r - mouth radius|.
    """
    totals = _threaded(part)
    for sign, end in ((-1.0, part.near), (1.0, part.far)):
        # The near end is turned from the thread down to its tip: integrating along z runs the other way.
        for corners in pairwise(end.turned):
            totals += sign * _frustum(*corners)
    volume, first, second, axial = totals
    centroid = first / volume
    return RoundSolid(
        float(volume),
        float(centroid),
        float(axial),
        float(axial / 2 + second - volume * centroid**2),
    )


def _moments(radius: Array, z: Array) -> Array:
    """Per radian and mm of z: volume, first and second moment along the axis, moment about the axis."""
    square = radius**2 / 2
    first = square * z
    return np.array((square, first, first * z, square**2))


def _threaded(part: ThreadedLength) -> Array:
    s_weight, radius = _outline_nodes(part.outline)
    near, far = part.near, part.far
    near_cone = np.abs(radius - near.mouth_radius_mm) if near.mouth_radius_mm is not None else 0 * radius
    far_cone = np.abs(radius - far.mouth_radius_mm) if far.mouth_radius_mm is not None else 0 * radius
    marks = (near.height_mm + 0 * radius, near.height_mm + near_cone, far.height_mm - far_cone)
    stations = (*marks, far.height_mm + 0 * radius)
    radii = (near.mouth_radius_mm or radius, radius, radius, far.mouth_radius_mm or radius)
    nodes, weights = gauss()
    totals = np.zeros(4)
    for (z0, z1), (r0, r1) in zip(pairwise(stations), pairwise(radii), strict=True):
        z = z0 + np.multiply.outer(nodes, z1 - z0)
        r = r0 + np.multiply.outer(nodes, np.asarray(r1 - r0))
        totals += weights @ _moments(r + 0 * z, z) @ (s_weight * (z1 - z0))
    # A step ds along the outline at fixed z is a turn k ds.
    return part.thread.starts * math.tau / part.thread.lead_mm * totals


def _outline_nodes(outline: Outline) -> tuple[Array, Array]:
    """Weights ds and radii at the quadrature points of all pieces."""
    _, weights = gauss()
    steps, radii = [], []
    for piece in outline.pieces:
        poles = np.array(piece.poles)
        radii.append(_at_nodes(piece.degree) @ poles[:, 1])
        steps.append(weights * (_at_nodes(piece.degree - 1) @ (piece.degree * np.diff(poles[:, 0]))))
    return np.concatenate(steps), np.concatenate(radii)


@cache
def _at_nodes(degree: int) -> Array:
    """Bernstein polynomials at the quadrature points (n, degree + 1)."""
    return bernstein(degree, gauss()[0])


def _frustum(start: RadiusHeight, end: RadiusHeight) -> Array:
    """Moments of the turned piece between two corners, negative where z falls."""
    nodes, weights = gauss()
    r = start[0] + nodes * (end[0] - start[0])
    z = start[1] + nodes * (end[1] - start[1])
    moments: Array = math.tau * (end[1] - start[1]) * (_moments(r, z) @ weights)
    return moments

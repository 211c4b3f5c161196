"""Gears and rings as closed triangle meshes: their outlines extruded, without the CAD kernel (mm)."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from geometry.gear_blanks import Toothed, check_blank
from geometry.gear_teeth import Array, Complex, GearTeeth
from geometry.meshes import DEFAULT_TOLERANCE, Mesh, facet_count

BETWEEN = np.arange(1, 8) / 8.0  # where a chord is measured against its curve


def toothed_mesh(blank: Toothed, tolerance: float = DEFAULT_TOLERANCE) -> Mesh:
    """Mesh a gear or ring where it stands within `tolerance` (mm).

    The teeth's points lie on the outline; the facets of a bore or outside are centred on it and stand as a
    cylinder's do, however the teeth are turned. Raises ShapeError as `gear_solid` and `ring_solid` do.
    """
    gear, diameter = blank.teeth, blank.round_diameter
    check_blank(gear, blank.width, diameter)
    teeth, error = outline(gear, tolerance)
    loops = [teeth * np.exp(1j * blank.turn)]
    if diameter > 0.0:
        circle, beyond = _circle(diameter / 2.0, tolerance)
        loops, error = [*loops, circle], max(error, beyond)
    if gear.internal:
        loops.reverse()
    return _extruded([loop + complex(blank.x, blank.y) for loop in loops], blank.span, error)


def outline(gear: GearTeeth, tolerance: float) -> tuple[Complex, float]:
    """Give the outline of all teeth as points (n,) counter-clockwise, and its chord error (mm)."""
    half, error = _half_tooth(gear, tolerance)
    # The middles of tip and root are shared: one by both halves, the other with the next tooth.
    tooth = np.concatenate((np.conj(half[:0:-1]), half[:-1]))
    turns = np.exp(1j * gear.pitch * np.arange(gear.teeth))
    return (turns[:, None] * tooth).ravel(), error


def _half_tooth(gear: GearTeeth, tolerance: float) -> tuple[Complex, float]:
    """Points from the tip's middle along flank and fillet to the root's middle."""
    rolls = (gear.tip_roll, max(gear.form_roll, 0.0))
    tip, root = gear.flank(np.array(rolls[:1]) / gear.base_radius)[0], gear.fillet(np.array([1.0]))[0]
    curves: tuple[Callable[[Array], Complex], ...] = (
        _arc(abs(tip), 0.0, float(np.angle(tip))),
        lambda u: gear.flank((rolls[0] + u * (rolls[1] - rolls[0])) / gear.base_radius),
        gear.fillet,
        _arc(abs(root), float(np.angle(root)), math.pi / gear.teeth),
    )
    pieces = [_sampled(curve, tolerance) for curve in curves]
    points = [piece[:-1] for piece, _ in pieces[:-1]] + [pieces[-1][0]]
    return np.concatenate(points), max(error for _, error in pieces)


def _arc(radius: float, start: float, end: float) -> Callable[[Array], Complex]:
    return lambda u: radius * np.exp(1j * (start + u * (end - start)))


def _sampled(curve: Callable[[Array], Complex], tolerance: float) -> tuple[Complex, float]:
    """Points of a curve over 0 to 1 whose chords keep within the tolerance, and how far they are off (mm)."""
    count = 1
    while True:
        ends = np.linspace(0.0, 1.0, count + 1)
        points = curve(ends)
        error = _deviation(curve, ends, points)
        if error <= tolerance:
            return points, error
        # A chord's height falls with the square of its length.
        count = max(count + 1, math.ceil(0.9 * count * math.sqrt(error / tolerance)))


def _deviation(curve: Callable[[Array], Complex], ends: Array, points: Complex) -> float:
    middle = curve((ends[:-1, None] + np.multiply.outer(np.diff(ends), BETWEEN)).ravel())
    chord = np.repeat(np.diff(points), len(BETWEEN))
    height = np.imag((middle - np.repeat(points[:-1], len(BETWEEN))) * np.conj(chord)) / np.abs(chord)
    return float(np.abs(height).max())


def _circle(radius: float, tolerance: float) -> tuple[Complex, float]:
    """Corners of a round with facets centred on it, as `meshes.mesh_of` makes a cylinder's."""
    count = facet_count(radius, tolerance)
    corner = 2.0 * radius / (1.0 + math.cos(math.pi / count))
    return corner * np.exp(1j * math.tau / count * np.arange(count)), corner - radius


def _extruded(loops: Sequence[Complex], span: tuple[float, float], error: float) -> Mesh:
    """Extrude an outer loop and the holes in it along z; all loops come counter-clockwise."""
    import manifold3d

    loops = [loops[0], *(hole[::-1] for hole in loops[1:])]
    plane = [np.column_stack((loop.real, loop.imag)) for loop in loops]
    caps = np.array(manifold3d.triangulate(plane), dtype=np.int32)
    count, first, sides = sum(map(len, loops)), 0, []
    for loop in loops:
        low = first + np.arange(len(loop))
        after = first + (np.arange(len(loop)) + 1) % len(loop)
        sides += [
            np.column_stack((low, after, after + count)),
            np.column_stack((low, after + count, low + count)),
        ]
        first += len(loop)
    vertices = np.vstack([np.column_stack((np.vstack(plane), np.full(count, z))) for z in span])
    triangles = np.vstack((*sides, caps[:, ::-1], caps + count)).astype(np.int32)
    return Mesh(vertices, triangles, error, np.arange(len(triangles)) < 2 * count)

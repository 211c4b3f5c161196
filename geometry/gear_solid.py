"""Gears, rings and carriers as exact solids: one outline extruded, without a boolean on the teeth (mm).

A flank is one Bezier curve through points of the exact involute at Chebyshev roll angles, a fillet one
through points of the trochoid; tips and roots are arcs.

Imports the CAD kernel: import this module only where a solid is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.Geom import Geom_BezierCurve
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.TColgp import TColgp_Array1OfPnt
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Solid, TopoDS_Vertex, TopoDS_Wire

from geometry import thread_brep as brep
from geometry.gear_blanks import Toothed, check_blank
from geometry.gear_teeth import Array, Complex, GearTeeth
from geometry.outlines import bernstein

FLANK_POINTS = 9
FILLET_POINTS = 13


def gear_solid(gear: GearTeeth, width: float, *, bore_diameter: float = 0.0) -> TopoDS_Solid:
    """Build an external gear from z = 0 to its width, a tooth on the x axis, its bore through (mm).

    Raises ShapeError for teeth that cannot be made, or a bore that leaves no rim under them.
    """
    check_blank(gear, width, bore_diameter)
    holes = [_circle(bore_diameter / 2.0)] if bore_diameter > 0.0 else []
    return _extruded(_outline(gear), holes, width)


def ring_solid(ring: GearTeeth, width: float, *, outer_diameter: float) -> TopoDS_Solid:
    """Build a ring from z = 0 to its width, a tooth on the x axis (mm).

    Raises ShapeError for teeth that cannot be made, or an outer diameter that leaves no rim behind them.
    """
    check_blank(ring, width, outer_diameter)
    return _extruded(_circle(outer_diameter / 2.0), [_outline(ring)], width)


def blank_solid(blank: Toothed) -> TopoDS_Solid:
    """Build a gear or ring from z = 0 to its width, neither turned nor moved (mm); errors as of both."""
    if blank.teeth.internal:
        return ring_solid(blank.teeth, blank.width, outer_diameter=blank.round_diameter)
    return gear_solid(blank.teeth, blank.width, bore_diameter=blank.round_diameter)


def placed_solid(
    solid: TopoDS_Solid, *, turn: float = 0.0, x: float = 0.0, y: float = 0.0, z: float = 0.0
) -> TopoDS_Solid:
    """Turn a solid about its z axis (rad), then move it (mm); equal gears go on sharing their geometry."""
    turned, moved = gp_Trsf(), gp_Trsf()
    turned.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), turn)
    moved.SetTranslation(gp_Vec(x, y, z))
    return TopoDS.Solid_s(solid.Moved(TopLoc_Location(moved.Multiplied(turned))))


def _extruded(outer: TopoDS_Wire, holes: list[TopoDS_Wire], width: float) -> TopoDS_Solid:
    plane = brep.plane(0.0, facing_up=True)
    face = brep.face(plane, outer, *(TopoDS.Wire_s(hole.Reversed()) for hole in holes))
    return TopoDS.Solid_s(BRepPrimAPI_MakePrism(face, gp_Vec(0, 0, width)).Shape())


def _circle(radius: float) -> TopoDS_Wire:
    start = brep.vertex(radius, 0.0, 0.0)
    return brep.wire([brep.edge(brep.circle(radius, 0.0, 0.0), 0.0, math.tau, start, start)])


def _outline(gear: GearTeeth) -> TopoDS_Wire:
    """The closed outline of all teeth, counter-clockwise, neighbouring edges on one vertex."""
    flank, fillet = flank_poles(gear), fillet_poles(gear)
    return brep.wire(_edges(gear, flank, fillet))


def flank_poles(gear: GearTeeth) -> Complex:
    """Give the Bezier poles of the half tooth's flank from tip to form circle (mm)."""
    rolls = (gear.tip_roll, max(gear.form_roll, 0.0))
    share = _chebyshev(FLANK_POINTS)
    points = gear.flank((rolls[0] + share * (rolls[1] - rolls[0])) / gear.base_radius)
    return _through(points, share)


def fillet_poles(gear: GearTeeth) -> Complex:
    """Give the Bezier poles of the half tooth's fillet from the flank to the root circle (mm)."""
    share = _chebyshev(FILLET_POINTS)
    return _through(gear.fillet(share), share)


def _chebyshev(count: int) -> Array:
    """Chebyshev's extreme points from 0 to 1, both ends included so that neighbours meet exactly."""
    nodes: Array = 0.5 - 0.5 * np.cos(np.pi * np.arange(count) / (count - 1))
    return nodes


def _through(points: Complex, share: Array) -> Complex:
    """Poles of the Bezier curve through points at its parameters, its ends exact."""
    poles: Complex = np.linalg.solve(bernstein(len(points) - 1, share), points).astype(np.complex128)
    poles[0], poles[-1] = points[0], points[-1]
    return poles


def _edges(gear: GearTeeth, flank: Complex, fillet: Complex) -> Iterator[TopoDS_Edge]:
    """Edges tooth by tooth: fillet and flank up, tip, flank and fillet down, root to the next tooth."""
    tip, form, root = flank[0], flank[-1], fillet[-1]
    rising = [np.conj(fillet[::-1]), np.conj(flank[::-1])]
    starts = [[np.conj(root), np.conj(form), np.conj(tip), tip, form, root] for _ in range(gear.teeth)]
    turns = np.exp(1j * gear.pitch * np.arange(gear.teeth))
    corners = [[_vertex(point * turn) for point in tooth] for tooth, turn in zip(starts, turns, strict=True)]
    half_tip, half_root = float(np.angle(tip)), math.pi / gear.teeth - float(np.angle(root))
    for index, turn in enumerate(turns):
        own, after = corners[index], corners[(index + 1) % gear.teeth]
        angle = index * gear.pitch
        yield _bezier(rising[0] * turn, own[0], own[1])
        yield _bezier(rising[1] * turn, own[1], own[2])
        yield _arc(abs(tip), angle - half_tip, 2.0 * half_tip, own[2], own[3])
        yield _bezier(flank * turn, own[3], own[4])
        yield _bezier(fillet * turn, own[4], own[5])
        yield _arc(abs(root), angle + gear.pitch / 2.0 - half_root, 2.0 * half_root, own[5], after[0])


def _vertex(point: complex) -> TopoDS_Vertex:
    return brep.vertex(abs(point), float(np.angle(point)), 0.0)


def _arc(radius: float, start: float, turn: float, first: TopoDS_Vertex, last: TopoDS_Vertex) -> TopoDS_Edge:
    return brep.edge(brep.circle(radius, 0.0, start), 0.0, turn, first, last)


def _bezier(poles: Complex, first: TopoDS_Vertex, last: TopoDS_Vertex) -> TopoDS_Edge:
    array = TColgp_Array1OfPnt(1, len(poles))
    for index, pole in enumerate(poles.tolist(), start=1):
        array.SetValue(index, gp_Pnt(pole.real, pole.imag, 0.0))
    return brep.edge(Geom_BezierCurve(array), 0.0, 1.0, first, last)

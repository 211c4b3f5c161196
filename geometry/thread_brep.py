"""The few boundary representation tools that thread solids are put together with.

Imports the CAD kernel: import this module only where a solid is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from OCP.BRep import BRep_Builder
from OCP.Geom import (
    Geom_BSplineCurve,
    Geom_BSplineSurface,
    Geom_Circle,
    Geom_ConicalSurface,
    Geom_Curve,
    Geom_CylindricalSurface,
    Geom_Line,
    Geom_Plane,
    Geom_Surface,
)
from OCP.Geom2d import Geom2d_BezierCurve, Geom2d_BSplineCurve, Geom2d_Curve, Geom2d_Line
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d, TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import (
    TopoDS,
    TopoDS_Edge,
    TopoDS_Face,
    TopoDS_Iterator,
    TopoDS_Shell,
    TopoDS_Solid,
    TopoDS_Vertex,
    TopoDS_Wire,
)

from geometry.outlines import Array, Point

TOLERANCE_MM = 1e-6
FORWARD, REVERSED = TopAbs_Orientation.TopAbs_FORWARD, TopAbs_Orientation.TopAbs_REVERSED

_builder = BRep_Builder()
_here = TopLoc_Location()
_up, _down = gp_Dir(0, 0, 1), gp_Dir(0, 0, -1)


def _reals(values: Sequence[float]) -> TColStd_Array1OfReal:
    array = TColStd_Array1OfReal(1, len(values))
    for index, value in enumerate(values, start=1):
        array.SetValue(index, value)
    return array


def _clamped(count: int, degree: int) -> TColStd_Array1OfInteger:
    """Multiplicities of knots: the ends degree + 1 times, those between once."""
    array = TColStd_Array1OfInteger(1, count)
    array.Init(1)
    array.SetValue(1, degree + 1)
    array.SetValue(count, degree + 1)
    return array


def spline_curve(poles: Array, knots: Sequence[float], degree: int) -> Geom_BSplineCurve:
    """Clamped B-spline curve from poles (n, 3) in mm and its distinct knots."""
    array = TColgp_Array1OfPnt(1, len(poles))
    for index, pole in enumerate(poles.tolist(), start=1):
        array.SetValue(index, gp_Pnt(*pole))
    return Geom_BSplineCurve(array, _reals(knots), _clamped(len(knots), degree), degree)


def spline_surface(
    poles: Array, knots: tuple[Sequence[float], Sequence[float]], degrees: tuple[int, int]
) -> Geom_BSplineSurface:
    """Clamped B-spline surface from poles (n, m, 3) in mm, its distinct knots and degrees along n and m."""
    rows, columns, _ = poles.shape
    array = TColgp_Array2OfPnt(1, rows, 1, columns)
    for i, row in enumerate(poles.tolist(), start=1):
        for j, pole in enumerate(row, start=1):
            array.SetValue(i, j, gp_Pnt(*pole))
    values = [_reals(line) for line in knots]
    counts = [_clamped(len(line), degree) for line, degree in zip(knots, degrees, strict=True)]
    return Geom_BSplineSurface(array, *values, *counts, *degrees)


def circle(radius: float, z: float, angle: float, *, clockwise: bool = False) -> Geom_Circle:
    """Circle about the axis whose parameter 0 lies at an angle (rad)."""
    x = gp_Dir(math.cos(angle), math.sin(angle), 0)
    return Geom_Circle(gp_Ax2(gp_Pnt(0, 0, z), _down if clockwise else _up, x), radius)


def line(start: tuple[float, float, float], end: tuple[float, float, float]) -> Geom_Line:
    """Line from a point towards another, its parameter the distance (mm)."""
    return Geom_Line(gp_Pnt(*start), gp_Dir(*(b - a for a, b in zip(start, end, strict=True))))


def cylinder(radius: float, angle: float) -> Geom_CylindricalSurface:
    """Cylinder about the axis, its parameter line u = 0 at an angle (rad), v = z."""
    return Geom_CylindricalSurface(_frame(0.0, angle), radius)


def cone(radius: float, z: float, half_angle: float, angle: float) -> Geom_ConicalSurface:
    """Cone about the axis: a radius at z, a half angle (rad) at which it grows with z, u = 0 at an angle."""
    return Geom_ConicalSurface(_frame(z, angle), half_angle, radius)


def plane(z: float, *, facing_up: bool) -> Geom_Plane:
    """Plane across the axis at z."""
    return Geom_Plane(gp_Pnt(0, 0, z), _up if facing_up else _down)


def _frame(z: float, angle: float) -> gp_Ax3:
    return gp_Ax3(gp_Pnt(0, 0, z), _up, gp_Dir(math.cos(angle), math.sin(angle), 0))


def level_line(u: float, v: float, direction: int = 1) -> Geom2d_Line:
    """Line of constant v from (u, v) towards rising (1) or falling (-1) u, its parameter the distance."""
    return Geom2d_Line(gp_Pnt2d(u, v), gp_Dir2d(direction, 0))


def upright_line(u: float, v: float, direction: int = 1) -> Geom2d_Line:
    """Line of constant u from (u, v) towards rising (1) or falling (-1) v."""
    return Geom2d_Line(gp_Pnt2d(u, v), gp_Dir2d(0, direction))


def straight_2d(first: float, last: float, start: Point, end: Point) -> Geom2d_BSplineCurve:
    """Straight curve from start to end whose parameter runs from first to last."""
    poles = TColgp_Array1OfPnt2d(1, 2)
    poles.SetValue(1, gp_Pnt2d(*start))
    poles.SetValue(2, gp_Pnt2d(*end))
    return Geom2d_BSplineCurve(poles, _reals((first, last)), _clamped(2, 1), 1)


def bezier_2d(u: Array, v: Array) -> Geom2d_BezierCurve:
    """Bezier curve from its poles, parameter 0 to 1."""
    poles = TColgp_Array1OfPnt2d(1, len(u))
    for index, pole in enumerate(zip(u.tolist(), v.tolist(), strict=True), start=1):
        poles.SetValue(index, gp_Pnt2d(*pole))
    return Geom2d_BezierCurve(poles)


def vertex(radius: float, angle: float, z: float) -> TopoDS_Vertex:
    """Vertex at a radius, an angle (rad) and a height."""
    made = TopoDS_Vertex()
    point = gp_Pnt(radius * math.cos(angle), radius * math.sin(angle), z)
    _builder.MakeVertex(made, point, TOLERANCE_MM)
    return made


def edge(
    curve: Geom_Curve, first: float, last: float, start: TopoDS_Vertex, end: TopoDS_Vertex
) -> TopoDS_Edge:
    """Edge on a curve between two parameters and two vertices (the same for a full circle)."""
    made = TopoDS_Edge()
    _builder.MakeEdge(made, curve, TOLERANCE_MM)
    _builder.Add(made, start.Oriented(FORWARD))
    _builder.Add(made, end.Oriented(REVERSED))
    _builder.Range(made, first, last)
    return made


def lay(made: TopoDS_Edge, surface: Geom_Surface, *curves: Geom2d_Curve) -> None:
    """Lay an edge on a surface along its 2D curve; a seam has two, the one of its forward use first."""
    _builder.UpdateEdge(made, *curves, surface, _here, TOLERANCE_MM)


def wire(edges: Iterable[TopoDS_Edge]) -> TopoDS_Wire:
    """Closed wire of edges already oriented head to tail."""
    made = TopoDS_Wire()
    _builder.MakeWire(made)
    for part in edges:
        _builder.Add(made, part)
    made.Closed(True)
    return made


def face(surface: Geom_Surface, *wires: TopoDS_Wire) -> TopoDS_Face:
    """Face on a surface: its outer wire, then its holes."""
    made = TopoDS_Face()
    _builder.MakeFace(made, surface, _here, TOLERANCE_MM)
    for bound in wires:
        _builder.Add(made, bound)
    return made


def with_hole(given: TopoDS_Face, hole: TopoDS_Wire) -> TopoDS_Face:
    """A copy of a face on the same edges, with one more hole."""
    made = TopoDS.Face_s(given.EmptyCopied())
    wires = TopoDS_Iterator(given)
    while wires.More():
        _builder.Add(made, wires.Value())
        wires.Next()
    _builder.Add(made, hole)
    return made


def solid(faces: Iterable[TopoDS_Face]) -> TopoDS_Solid:
    """Solid of the faces that close it, oriented outwards."""
    shell, made = TopoDS_Shell(), TopoDS_Solid()
    _builder.MakeShell(shell)
    for part in faces:
        _builder.Add(shell, part)
    shell.Closed(True)
    _builder.MakeSolid(made)
    _builder.Add(made, shell)
    return made

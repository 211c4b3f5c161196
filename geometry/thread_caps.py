"""The faces that close a thread at its ends: planes, 45 degree cones, journals, and the end faces of a nut.

Imports the CAD kernel: import this module only where a solid is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Vertex, TopoDS_Wire

from geometry import thread_brep as brep
from geometry.thread_ends import RadiusHeight, ThreadEnd
from geometry.thread_skin import Loop


@dataclass(frozen=True)
class _Circle:
    """A full circle about the axis: counter-clockwise from its one vertex at an angle (rad)."""

    radius: float
    z: float
    angle: float
    vertex: TopoDS_Vertex
    edge: TopoDS_Edge


def rod_end(end: ThreadEnd, loop: Loop, *, far: bool) -> list[TopoDS_Face]:
    """The faces beyond one end of a rod's thread, oriented outwards."""
    if end.mouth_radius_mm is None:
        surface = brep.plane(loop.cut.axial, facing_up=far)
        return [brep.face(surface, brep.wire(_around(loop, 0, far)))]
    cone, circle = _cone(loop, end.mouth_radius_mm, end.height_mm, far)
    return [cone, *_turned(end.turned, circle, far)]


def bore_end(end: ThreadEnd, loop: Loop, *, far: bool) -> tuple[list[TopoDS_Face], TopoDS_Wire]:
    """The faces of a bore's countersink, and the hole it makes in the end face of the nut."""
    if end.mouth_radius_mm is None:
        return [], brep.wire(_around(loop, 0, not far))
    cone, circle = _cone(loop, end.mouth_radius_mm, end.height_mm, far)
    hole = circle.edge.Oriented(brep.REVERSED if far else brep.FORWARD)
    return [cone.Oriented(brep.REVERSED)], brep.wire([hole])


def _around(loop: Loop, first: int, backwards: bool) -> list[TopoDS_Edge]:
    """The loop's edges head to tail from vertex `first` round to it again."""
    edges = loop.edges[first:] + loop.edges[:first]
    return [edge.Oriented(brep.REVERSED) for edge in reversed(edges)] if backwards else edges


def _circle(radius: float, z: float, angle: float) -> _Circle:
    vertex = brep.vertex(radius, angle, z)
    edge = brep.edge(brep.circle(radius, z, angle), 0.0, math.tau, vertex, vertex)
    return _Circle(radius, z, angle, vertex, edge)


def _cone(loop: Loop, mouth: float, z: float, far: bool) -> tuple[TopoDS_Face, _Circle]:
    """Cone between the loop and its mouth circle, oriented away from the axis.

    Its seam runs to the loop's vertex nearest the circle: to any other it could cross the loop.
    """
    count, slope = len(loop.strands), loop.cut.slope
    nearest = min(range(count), key=lambda i: abs(loop.strands[i].r[0] - mouth))
    origin = float(loop.angles[nearest]) - math.tau
    circle = _circle(mouth, z, origin)
    surface = brep.cone(mouth, z, slope * math.pi / 4, origin)
    for i, (strand, edge) in enumerate(zip(loop.strands, loop.edges, strict=True)):
        back = origin if i >= nearest else origin + math.tau
        across = (strand.r - mouth) * slope * math.sqrt(2)
        if strand.is_land:
            brep.lay(edge, surface, brep.level_line(float(loop.angles[i]) - back, float(across[0]), -1))
        else:
            turn = loop.k * (loop.cut.axial + slope * strand.r - strand.s) - back
            brep.lay(edge, surface, brep.bezier_2d(turn, across))
    brep.lay(circle.edge, surface, brep.level_line(0.0, 0.0))
    reach = abs(float(loop.strands[nearest].r[0]) - mouth)
    seam = _seam(
        circle, z + (-reach if far else reach), float(loop.strands[nearest].r[0]), loop.vertices[nearest]
    )
    at_start, at_end = (brep.upright_line(u, 0.0, -1 if far else 1) for u in (0.0, math.tau))
    brep.lay(seam, surface, *((at_start, at_end) if far else (at_end, at_start)))
    back_seam, back_circle = (edge.Oriented(brep.REVERSED) for edge in (seam, circle.edge))
    around = _around(loop, nearest, far)
    edges = [*around, back_seam, back_circle, seam] if far else [circle.edge, seam, *around, back_seam]
    return brep.face(surface, brep.wire(edges)), circle


def _seam(circle: _Circle, z: float, radius: float, end: TopoDS_Vertex) -> TopoDS_Edge:
    """Straight edge from the circle's vertex along a generator."""
    cos, sin = math.cos(circle.angle), math.sin(circle.angle)
    start = (circle.radius * cos, circle.radius * sin, circle.z)
    line = brep.line(start, (radius * cos, radius * sin, z))
    return brep.edge(line, 0.0, math.hypot(radius - circle.radius, z - circle.z), circle.vertex, end)


def _turned(corners: tuple[RadiusHeight, ...], first: _Circle, far: bool) -> Iterator[TopoDS_Face]:
    """The faces from the cone's circle through the corners to the axis."""
    here = first
    for (radius, _), (next_radius, next_z) in pairwise(corners):
        if next_radius == 0.0:
            outline = brep.wire([_oriented(here, not far)])
            yield brep.face(brep.plane(here.z, facing_up=far), outline)
            return
        following = _circle(next_radius, next_z, first.angle)
        if next_z == here.z:
            yield _shoulder(here, following, facing_up=far == (next_radius < radius))
        else:
            yield _lateral(*((here, following) if far else (following, here)))
        here = following


def _oriented(circle: _Circle, backwards: bool) -> TopoDS_Edge:
    return circle.edge.Oriented(brep.REVERSED if backwards else brep.FORWARD)


def _shoulder(one: _Circle, other: _Circle, *, facing_up: bool) -> TopoDS_Face:
    """Plane ring between two circles."""
    outer, inner = (one, other) if one.radius > other.radius else (other, one)
    surface = brep.plane(one.z, facing_up=facing_up)
    return brep.face(
        surface, brep.wire([_oriented(outer, not facing_up)]), brep.wire([_oriented(inner, facing_up)])
    )


def _lateral(low: _Circle, high: _Circle) -> TopoDS_Face:
    """Cylinder or cone between two circles, oriented away from the axis."""
    height, growth = high.z - low.z, high.radius - low.radius
    length = math.hypot(height, growth)
    if growth:
        surface, v_low = brep.cone(low.radius, low.z, math.atan2(growth, height), low.angle), 0.0
    else:
        surface, v_low = brep.cylinder(low.radius, low.angle), low.z
    brep.lay(low.edge, surface, brep.level_line(0.0, v_low))
    brep.lay(high.edge, surface, brep.level_line(0.0, v_low + length))
    seam = _seam(low, high.z, high.radius, high.vertex)
    brep.lay(seam, surface, brep.upright_line(math.tau, v_low), brep.upright_line(0.0, v_low))
    edges = [low.edge, seam, _oriented(high, backwards=True), seam.Oriented(brep.REVERSED)]
    return brep.face(surface, brep.wire(edges))

"""The faces that close a thread at its ends: planes, 45 degree cones, journals, and the end faces of a nut.

Imports the CAD kernel: import this module only where a solid is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import chain, pairwise

from OCP.TopoDS import TopoDS_Face, TopoDS_Wire

from geometry import thread_brep as brep
from geometry.thread_cone import Circle, cone_faces, full_circle, oriented
from geometry.thread_ends import RadiusHeight, ThreadEnd
from geometry.thread_skin import Loop


def rod_end(end: ThreadEnd, loop: Loop, *, far: bool) -> list[TopoDS_Face]:
    """The faces beyond one end of a rod's thread, oriented outwards."""
    if end.mouth_radius_mm is None:
        around = oriented(chain.from_iterable(loop.edges), backwards=far)
        return [brep.face(brep.plane(end.height_mm, facing_up=far), brep.wire(around))]
    cone, circle = cone_faces(loop, end.mouth_radius_mm, end.height_mm, far=far)
    return [*cone, *_turned(end.turned, circle, far)]


def bore_end(end: ThreadEnd, loop: Loop, *, far: bool) -> tuple[list[TopoDS_Face], TopoDS_Wire]:
    """The faces of a bore's countersink, and the hole it makes in the end face of the nut."""
    if end.mouth_radius_mm is None:
        return [], brep.wire(oriented(chain.from_iterable(loop.edges), backwards=not far))
    cone, circle = cone_faces(loop, end.mouth_radius_mm, end.height_mm, far=far)
    hole = brep.wire(oriented(circle.edges, backwards=far))
    return [face.Oriented(brep.REVERSED) for face in cone], hole


def _turned(corners: tuple[RadiusHeight, ...], first: Circle, far: bool) -> Iterator[TopoDS_Face]:
    """The faces from the cone's circle through the corners to the axis."""
    here = first
    for (radius, _), (next_radius, next_z) in pairwise(corners):
        if next_radius == 0.0:
            outline = brep.wire(oriented(here.edges, backwards=not far))
            yield brep.face(brep.plane(here.z, facing_up=far), outline)
            return
        following = full_circle(next_radius, next_z, first.angle, arcs=1)
        if next_z == here.z:
            yield _shoulder(here, following, facing_up=far == (next_radius < radius))
        else:
            yield lateral(*((here, following) if far else (following, here)))
        here = following


def _shoulder(one: Circle, other: Circle, *, facing_up: bool) -> TopoDS_Face:
    """Plane ring between two circles."""
    outer, inner = (one, other) if one.radius > other.radius else (other, one)
    surface = brep.plane(one.z, facing_up=facing_up)
    return brep.face(
        surface,
        brep.wire(oriented(outer.edges, backwards=not facing_up)),
        brep.wire(oriented(inner.edges, backwards=facing_up)),
    )


def lateral(low: Circle, high: Circle) -> TopoDS_Face:
    """Cylinder or cone between two circles, oriented away from the axis."""
    height, growth = high.z - low.z, high.radius - low.radius
    length = math.hypot(height, growth)
    if growth:
        surface, v_low = brep.cone(low.radius, low.z, math.atan2(growth, height), low.angle), 0.0
    else:
        surface, v_low = brep.cylinder(low.radius, low.angle), low.z
    for circle, v in ((low, v_low), (high, v_low + length)):
        for edge in circle.edges:
            brep.lay(edge, surface, brep.level_line(0.0, v))
    cos, sin = math.cos(low.angle), math.sin(low.angle)
    ends = [(circle.radius * cos, circle.radius * sin, circle.z) for circle in (low, high)]
    seam = brep.edge(brep.line(ends[0], ends[1]), 0.0, length, low.vertices[0], high.vertices[0])
    brep.lay(seam, surface, brep.upright_line(math.tau, v_low), brep.upright_line(0.0, v_low))
    edges = [*low.edges, seam, *oriented(high.edges, backwards=True), seam.Oriented(brep.REVERSED)]
    return brep.face(surface, brep.wire(edges))

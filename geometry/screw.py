"""The screw: its envelope at the major diameter, its turned profile, its solid light or detailed (mm)."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from geometry.bodies import Cylinder, Shape
from geometry.frames import stations_of
from geometry.screw_ends import Step, steps_of, with_ends
from geometry.screw_thread import thread_of
from geometry.thread_ends import ThreadedLength, ThreadEnd

if TYPE_CHECKING:
    from geometry.design import Design

Corner = tuple[float, float]


def screw_envelope(design: Design) -> Shape:
    """Give the screw as cylinders: near ends, thread at its major diameter, far ends, its bore (mm).

    Chamfers, grooves, flats and drives are left out: the envelope is never smaller than the screw.
    """
    at, screw = stations_of(design), design.screw
    radius = thread_of(screw).major_diameter_mm / 2
    near = [_round(step, at.thread_start) for step in steps_of(screw, "near")]
    far = [_round(step, at.thread_start) for step in steps_of(screw, "far")]
    body = Cylinder("z", (0.0, 0.0), radius, (at.thread_start, at.thread_end))
    adds = (*reversed(near), body, *far)
    if screw.bore is None:
        return Shape(adds)
    deepest = at.screw_end - (screw.bore_depth or math.inf)
    spans = ((max(piece.span[0], deepest), piece.span[1]) for piece in adds)
    return Shape(
        adds, tuple(Cylinder("z", (0.0, 0.0), screw.bore / 2, span) for span in spans if span[0] < span[1])
    )


def _round(step: Step, start: float) -> Cylinder:
    low, high = sorted((step.shoulder + start, step.free_end + start))
    return Cylinder("z", (0.0, 0.0), step.journal.diameter / 2, (low, high))


def threaded_screw(design: Design) -> ThreadedLength:
    """Give the screw's thread with what is turned beside it, from z = 0 (mm); ShapeError without a thread."""
    return with_ends(design.screw)[0]


def screw_profile(design: Design) -> tuple[Corner, ...]:
    """Give the corners (radius, z) of the light screw from the near end's axis to the far end's (mm).

    The thread is a cylinder at its major diameter between the same 45 degree cones as the real one has; what
    is joined to the ends is left out.
    """
    start = stations_of(design).thread_start
    return tuple((radius, z + start) for radius, z in rod_profile(threaded_screw(design)))


def rod_profile(rod: ThreadedLength) -> tuple[Corner, ...]:
    """Give the corners (radius, z) of a threaded rod as a cylinder at its major diameter (mm)."""
    major = rod.thread.major_diameter_mm / 2
    return (*reversed(_end_corners(rod.near, major)), *_end_corners(rod.far, major))


def _end_corners(end: ThreadEnd, major: float) -> list[Corner]:
    """Corners of one end from the thread's crest inward to the axis."""
    if end.mouth_radius_mm is None:
        return [(major, end.height_mm), (0.0, end.height_mm)]
    crest = (major, end.cut.height(major))
    mouth = (end.mouth_radius_mm, end.height_mm)
    return list(dict.fromkeys([crest, mouth, *end.turned]))


def turned_volume(profile: tuple[Corner, ...]) -> float:
    """Give the volume (mm3) of the body that a profile of corners (radius, z) turns about the axis.

    A sum of cone frusta, any textbook of mensuration.
    """
    edges = pairwise(profile)
    return sum(math.pi / 3 * (z1 - z0) * (r0 * r0 + r0 * r1 + r1 * r1) for (r0, z0), (r1, z1) in edges)


def screw_solid(design: Design, *, detailed: bool) -> Any:
    """Build the screw (TopoDS_Solid, mm), its threads real, or as cylinders at their major diameters.

    Both have the same bounding box. Raises ShapeError for ends that leave no thread.
    """
    if detailed:
        from geometry.thread_solid import solid_of

        return _whole(design, solid_of)
    return _whole(design, lambda rod: turned_solid(rod_profile(rod)))


def _whole(design: Design, build: Callable[[ThreadedLength], Any]) -> Any:
    """Put the screw together from its threads, built as asked, and its milled ends; then bore it."""
    screw, start = design.screw, stations_of(design).thread_start
    rod, pieces = with_ends(screw)
    made = build(rod)
    if pieces or screw.bore is not None:
        from geometry.screw_join import bored, joined
        from geometry.solids import solid_of

        for piece in pieces:
            form = piece.form
            end = build(form) if isinstance(form, ThreadedLength) else solid_of(form, "screw")
            made = joined(made, end, piece.z)
        if screw.bore is not None:
            low, high = bore_span(design)
            made = bored(made, screw.bore / 2, low - start, high - start, through=screw.bore_depth is None)
    return raised_solid(made, start) if start else made


def bore_span(design: Design) -> tuple[float, float]:
    """Give from where to where the centre bore reaches (z, mm)."""
    at, depth = stations_of(design), design.screw.bore_depth
    return (design.screw.position if depth is None else at.screw_end - depth), at.screw_end


def turned_solid(profile: tuple[Corner, ...]) -> Any:
    """Turn a profile of corners (radius, z), on the axis at both ends, about z (TopoDS_Solid, mm)."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt
    from OCP.TopoDS import TopoDS

    outline = BRepBuilderAPI_MakePolygon()
    for radius, z in profile:
        outline.Add(gp_Pnt(radius, 0.0, z))
    outline.Close()
    half = BRepBuilderAPI_MakeFace(outline.Wire()).Face()
    axis = gp_Ax1(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 0.0, 1.0))
    return TopoDS.Solid_s(BRepPrimAPI_MakeRevol(half, axis).Shape())


def raised_solid(solid: Any, height: float) -> Any:
    """Give a solid higher along z by a height (mm), its geometry moved and no placement left on it."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Trsf, gp_Vec
    from OCP.TopoDS import TopoDS

    move = gp_Trsf()
    move.SetTranslation(gp_Vec(0.0, 0.0, height))
    return TopoDS.Solid_s(BRepBuilderAPI_Transform(solid, move, True).Shape())

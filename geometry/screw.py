"""The screw: its envelope at the major diameter, its turned profile, its solid light or detailed (mm)."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from geometry.bodies import Cylinder, Shape
from geometry.errors import Problem
from geometry.frames import stations_of
from geometry.thread_ends import Journal, ThreadedLength, ThreadEnd, threaded_rod
from geometry.threads import thread

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_parts import Journal as JournalGiven

Corner = tuple[float, float]


def screw_envelope(design: Design) -> Shape:
    """Give the screw as cylinders: near journal, thread at its major diameter, far journal (mm).

    The thread's end chamfers are left out: the envelope is never smaller than the screw.
    """
    at, screw = stations_of(design), design.screw
    radius = thread(screw.thread).major_diameter_mm / 2
    pieces = [Cylinder("z", (0.0, 0.0), radius, (at.thread_start, at.thread_end))]
    if screw.near_journal:
        pieces.insert(0, _journal(screw.near_journal, 0.0))
    if screw.far_journal:
        pieces.append(_journal(screw.far_journal, at.thread_end))
    return Shape(tuple(pieces))


def _journal(journal: JournalGiven, start: float) -> Cylinder:
    return Cylinder("z", (0.0, 0.0), journal.diameter / 2, (start, start + journal.length))


def screw_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of the screw: journals at both ends that keep the nut from being put on."""
    near, far = design.screw.near_journal, design.screw.far_journal
    bore = thread(design.screw.thread).internal_minor_diameter_mm
    if near is None or far is None or min(near.diameter, far.diameter) <= bore:
        return ()
    thin, field = (far, "far") if far.diameter <= near.diameter else (near, "near")
    return (
        Problem(
            f"journals of {near.diameter:g} and {far.diameter:g} mm: the nut, {bore:g} mm inside its thread, "
            "passes over neither end",
            f"turn the journal of {thin.diameter:g} mm down to {bore:g} mm or less",
            field=f"screw.{field}_journal.diameter",
        ),
    )


def threaded_screw(design: Design) -> ThreadedLength:
    """Give the screw's thread with its ends, from z = 0 (mm); ShapeError if they leave no thread."""
    screw = design.screw
    return threaded_rod(
        thread(screw.thread),
        screw.length,
        ends=screw.thread_ends,
        near_journal=_as_turned(screw.near_journal),
        far_journal=_as_turned(screw.far_journal),
    )


def _as_turned(journal: JournalGiven | None) -> Journal | None:
    return None if journal is None else Journal(journal.diameter, journal.length)


def screw_profile(design: Design) -> tuple[Corner, ...]:
    """Give the corners (radius, z) of the light screw from the near end's axis to the far end's (mm).

    The thread is a cylinder at its major diameter between the same 45 degree cones as the real one has.
    """
    rod = threaded_screw(design)
    major, shift = rod.thread.major_diameter_mm / 2, stations_of(design).thread_start
    corners = [*reversed(_end_corners(rod.near, major)), *_end_corners(rod.far, major)]
    return tuple((radius, z + shift) for radius, z in corners)


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
    """Build the screw (TopoDS_Solid, mm), its thread real, or as a cylinder at the major diameter.

    Both have the same bounding box. Raises ShapeError for ends that leave no thread.
    """
    if not detailed:
        return turned_solid(screw_profile(design))
    from geometry.thread_solid import solid_of

    return raised_solid(solid_of(threaded_screw(design)), stations_of(design).thread_start)


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

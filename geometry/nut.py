"""The nut: cylindrical or flanged either way, its envelope and its solid, bored plain or threaded (mm)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from geometry.bodies import Cylinder, Shape
from geometry.errors import Problem
from geometry.frames import Missing, missing, raised_shape, required, stations_of
from geometry.screw import raised_solid
from geometry.thread_ends import CONE_BEYOND_PITCHES
from geometry.threads import thread

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_parts import Nut

_FLANGE = ("flange_diameter", "flange_thickness")
_BOLTS = ("bolt_circle", "bolt_holes", "bolt_hole")


def nut_envelope(design: Design) -> Shape | Missing:
    """Give the nut at s = 0 with its bolt holes, bored to its thread's major diameter (mm).

    At the major diameter the light nut and the light screw do not overlap, as real threads do not. What that
    leaves out, the thread's depth, lies inside the screw's own envelope wherever the nut is on its thread; a
    nut that leaves its thread fails by its engagement. Nut against screw is decided on their outlines.
    """
    outer = nut_blank(design)
    if isinstance(outer, Missing):
        return outer
    bore = thread(design.screw.thread).internal_major_diameter_mm / 2
    bores = tuple(Cylinder("z", (0.0, 0.0), bore, piece.span) for piece in _rounds(outer))
    return Shape(outer.adds, bores + outer.cuts)


def _rounds(shape: Shape) -> Iterator[Cylinder]:
    return (piece for piece in shape.adds if isinstance(piece, Cylinder))


def nut_blank(design: Design) -> Shape | Missing:
    """Give the nut at s = 0 without its bore (mm): body, flange, bolt holes; or what the design lacks."""
    nut, at = design.nut, stations_of(design)
    if at.nut_near is None or at.nut_far is None or nut.body_diameter is None:
        return missing(design, *_fields(nut))
    if nut.kind == "cylindrical":
        return Shape((_round(nut.body_diameter, at.nut_near, at.nut_far),))
    if nut.flange_diameter is None or nut.flange_thickness is None:
        return missing(design, *_fields(nut))
    if nut.flange == "away from motor":
        seat = at.nut_far - nut.flange_thickness
        flange = _round(nut.flange_diameter, seat, at.nut_far)
        body = _round(nut.body_diameter, at.nut_near, seat)
    else:
        seat = at.nut_near + nut.flange_thickness
        flange = _round(nut.flange_diameter, at.nut_near, seat)
        body = _round(nut.body_diameter, seat, at.nut_far)
    only_flange = nut.flange_thickness >= nut.length
    return Shape((flange,) if only_flange else (body, flange), _bolt_holes(nut, flange.span))


def _fields(nut: Nut) -> tuple[str, ...]:
    flange = tuple(f"nut.{name}" for name in _FLANGE) if nut.kind == "flanged" else ()
    return ("nut.position", "nut.body_diameter", *flange)


def _round(diameter: float, low: float, high: float) -> Cylinder:
    return Cylinder("z", (0.0, 0.0), diameter / 2, (low, high))


def _bolt_holes(nut: Nut, span: tuple[float, float]) -> tuple[Cylinder, ...]:
    """Holes on the bolt circle, straddling the x axis (common practice, no source)."""
    if nut.bolt_circle is None or nut.bolt_holes is None or nut.bolt_hole is None:
        return ()
    count, radius = nut.bolt_holes, nut.bolt_circle / 2
    angles = [math.pi * (2 * index + 1) / count for index in range(count)]
    return tuple(
        Cylinder("z", (radius * math.cos(angle), radius * math.sin(angle)), nut.bolt_hole / 2, span)
        for angle in angles
    )


def nut_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of the nut: no wall, a flange its kind denies, misplaced bolt holes."""
    nut = design.nut
    return (*_wall_problems(design), *(_bolt_problems(nut) if nut.kind == "flanged" else _kind_problems(nut)))


def _wall_problems(design: Design) -> Iterator[Problem]:
    body, made = design.nut.body_diameter, thread(design.screw.thread)
    mouth = made.internal_major_diameter_mm + 2 * CONE_BEYOND_PITCHES * made.pitch_mm
    if body is not None and body <= mouth:
        yield Problem(
            f"a body of {body:g} mm leaves no wall around the mouth of {made.designation}, {mouth:g} mm wide",
            f"write a body_diameter above {mouth:g} mm",
            field="nut.body_diameter",
        )


def _kind_problems(nut: Nut) -> Iterator[Problem]:
    given = [name for name in (*_FLANGE, *_BOLTS) if getattr(nut, name) is not None]
    if given:
        yield Problem(
            f"the nut is cylindrical but has {', '.join(given)}",
            'write kind = "flanged", or leave these out',
            field=f"nut.{given[0]}",
        )


def _bolt_problems(nut: Nut) -> Iterator[Problem]:
    absent = [name for name in _BOLTS if getattr(nut, name) is None]
    if nut.bolt_circle is None or nut.bolt_holes is None or nut.bolt_hole is None:
        if len(absent) < len(_BOLTS):
            message = f"the bolt holes lack {' and '.join(absent)}"
            yield Problem(message, "give all of bolt_circle, bolt_holes and bolt_hole, or none", field="nut")
        return
    circle, hole = nut.bolt_circle, nut.bolt_hole
    if nut.flange_diameter is not None and circle + hole >= nut.flange_diameter:
        yield Problem(
            f"bolt holes of {hole:g} mm on {circle:g} mm reach {circle + hole:g} mm, outside the flange of "
            f"{nut.flange_diameter:g} mm",
            f"write a bolt_circle below {nut.flange_diameter - hole:g} mm or a larger flange_diameter",
            field="nut.bolt_circle",
        )
    if nut.body_diameter is not None and circle - hole < nut.body_diameter:
        yield Problem(
            f"bolt holes of {hole:g} mm on {circle:g} mm begin at {circle - hole:g} mm, inside the nut's "
            f"body of {nut.body_diameter:g} mm",
            f"write a bolt_circle of {nut.body_diameter + hole:g} mm or more",
            field="nut.bolt_circle",
        )
    pitch = circle * math.sin(math.pi / nut.bolt_holes)
    if nut.bolt_holes > 1 and pitch <= hole:
        yield Problem(
            f"{nut.bolt_holes} holes of {hole:g} mm on {circle:g} mm run together: {pitch:.3g} mm apart",
            f"write {max(1, math.floor(math.pi / math.asin(min(hole / circle, 1.0)) - 1e-9))} holes or fewer",
            field="nut.bolt_holes",
        )


def nut_solid(design: Design, *, detailed: bool) -> Any:
    """Build the nut at s = 0 (TopoDS_Solid, mm), its bore threaded to mate with the screw, or plain.

    Raises ShapeError where the design lacks a size or the thread does not fit the bore.
    """
    from geometry.solids import solid_of

    if not detailed:
        return solid_of(required(nut_envelope(design), "nut"), "nut")
    from geometry import thread_solid

    at, outer = stations_of(design), required(nut_blank(design), "nut")
    assert at.nut_near is not None  # nut_blank needs it
    # In the thread's own frame, whose origin is where the screw's thread begins, so that the two mate.
    low = at.nut_near - at.thread_start
    blank = solid_of(raised_shape(outer, -at.thread_start), "nut")
    made = thread(design.screw.thread)
    threaded = thread_solid.nut_solid(blank, made, low, low + design.nut.length, ends="chamfered")
    return raised_solid(threaded, at.thread_start)

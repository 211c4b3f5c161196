"""The nut: round, flanged or square, with flats or a key, alone or as a pair under a spring (mm)."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from geometry.bodies import Cylinder, Primitive, Shape
from geometry.cap_screws import clearance_hole, tap_drill
from geometry.errors import KernelError
from geometry.frames import Missing, missing, required, shifted_shape, stations_of
from geometry.prisms import regular, ribbed_disc, two_flats
from geometry.screw import raised_solid
from geometry.screw_thread import solid_thread, thread_of

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_parts import Nut

Span = tuple[float, float]
FLANGE = ("flange_diameter", "flange_thickness")


def nut_envelope(design: Design) -> Shape | Missing:
    """Give the nut at s = 0 with its bolt holes, bored to its thread's major diameter (mm).

    At the major diameter the light nut and the light screw do not overlap, as real threads do not. What that
    leaves out, the thread's depth, lies inside the screw's own envelope wherever the nut is on its thread; a
    nut that leaves its thread fails by its engagement. Nut against screw is decided on their outlines.
    """
    return _bored(design, nut_blank(design))


def half_envelope(design: Design) -> Shape | Missing:
    """Give the second half of an anti-backlash nut at s = 0, bored as the first (mm)."""
    return _bored(design, half_blank(design))


def _bored(design: Design, outer: Shape | Missing) -> Shape | Missing:
    if isinstance(outer, Missing):
        return outer
    bore = thread_of(design.screw).internal_major_diameter_mm / 2
    bores = tuple(Cylinder("z", (0.0, 0.0), bore, span_of(piece)) for piece in outer.adds)
    return Shape(outer.adds, bores + outer.cuts)


def span_of(piece: Primitive) -> Span:
    """Give from where to where a piece reaches along z (mm); every piece of a nut has its span along z."""
    span: Span | None = getattr(piece, "span", None)
    if span is None:
        raise KernelError("a nut is made of sections along its axis, not of boxes")
    return span


def nut_blank(design: Design) -> Shape | Missing:
    """Give the nut at s = 0 without its bore (mm): body, flange, bolt holes; or what the design lacks."""
    nut, at = design.nut, stations_of(design)
    lacking = missing(design, *_fields(nut))
    if lacking.fields or at.nut_near is None or at.nut_far is None:
        return lacking
    whole = (at.nut_near, at.nut_far)
    if nut.kind != "flanged":
        return Shape(_body(nut, whole))
    seat, body = _flange_and_body(nut, whole)
    flange = _flange(nut, seat)
    only_flange = (nut.flange_thickness or 0.0) >= nut.length
    return Shape((flange,) if only_flange else (*_body(nut, body), flange), _bolt_holes(nut, seat))


def _fields(nut: Nut) -> tuple[str, ...]:
    own = {"flanged": ("body_diameter", *FLANGE), "square": ("across_flats",)}
    return ("nut.position", *(f"nut.{name}" for name in own.get(nut.kind, ("body_diameter",))))


def _flange_and_body(nut: Nut, whole: Span) -> tuple[Span, Span]:
    """Give where the flange lies and where the body, whichever way the flange faces."""
    thickness = nut.flange_thickness or 0.0
    if nut.flange == "away from motor":
        seat = whole[1] - thickness
        return (seat, whole[1]), (whole[0], seat)
    seat = whole[0] + thickness
    return (whole[0], seat), (seat, whole[1])


def _flange(nut: Nut, span: Span) -> Primitive:
    assert nut.flange_diameter is not None  # nut_blank asks for it
    if nut.flange_flats is not None:
        return two_flats(nut.flange_diameter, nut.flange_flats, span)
    return Cylinder("z", (0.0, 0.0), nut.flange_diameter / 2, span)


def _body(nut: Nut, span: Span) -> tuple[Primitive, ...]:
    if nut.kind == "square":
        assert nut.across_flats is not None  # nut_blank asks for it
        return (regular(4, nut.across_flats, nut.body_diameter or math.inf, span),)
    assert nut.body_diameter is not None  # nut_blank asks for it
    if nut.across_flats is not None:
        return (two_flats(nut.body_diameter, nut.across_flats, span),)
    if nut.key is not None:
        return (ribbed_disc(nut.body_diameter, nut.key.width, nut.key.height, span),)
    cap = nut.balls.cap if nut.balls else None
    if cap is None:
        return (Cylinder("z", (0.0, 0.0), nut.body_diameter / 2, span),)
    low, high = ((span[0] + span[1] + side * cap.length) / 2 for side in (-1, 1))
    rounds = (
        Cylinder("z", (0.0, 0.0), nut.body_diameter / 2, part) for part in ((span[0], low), (high, span[1]))
    )
    return (*rounds, ribbed_disc(nut.body_diameter, cap.width, cap.height, (low, high)))


def bolt_hole_diameter(nut: Nut) -> float | None:
    """Give the diameter of the holes in the flange (mm): through, or the core of the tapped thread.

    Raises InputError for a bolt that no table has.
    """
    if nut.bolt is None:
        return nut.bolt_hole
    return tap_drill(nut.bolt) if nut.bolt_fit == "tapped" else clearance_hole(nut.bolt, nut.bolt_fit)


def bolt_places(nut: Nut) -> tuple[tuple[float, float], ...]:
    """Give the holes' centres (mm), straddling the x axis (common practice, no source)."""
    if nut.bolt_circle is None or nut.bolt_holes is None:
        return ()
    count, radius = nut.bolt_holes, nut.bolt_circle / 2
    angles = [math.pi * (2 * index + 1) / count for index in range(count)]
    return tuple((radius * math.cos(angle), radius * math.sin(angle)) for angle in angles)


def _bolt_holes(nut: Nut, span: Span) -> tuple[Cylinder, ...]:
    hole = bolt_hole_diameter(nut)
    return () if hole is None else tuple(Cylinder("z", at, hole / 2, span) for at in bolt_places(nut))


def half_blank(design: Design) -> Shape | Missing:
    """Give the second half of an anti-backlash nut without its bore (mm), or what the design lacks."""
    span = _half_span(design)
    lacking = missing(design, *_fields(design.nut), "nut.second")
    if lacking.fields or span is None:
        return lacking
    return Shape(_body(design.nut, span))


def spring_envelope(design: Design) -> Shape | Missing:
    """Give the spring between both halves as a tube (mm), or what the design lacks."""
    second, half, at = design.nut.second, _half_span(design), stations_of(design)
    if second is None or half is None or at.nut_near is None or at.nut_far is None:
        return missing(design, "nut.position", "nut.second")
    span = (half[1], at.nut_near) if half[1] < at.nut_near else (at.nut_far, half[0])
    outer, bore = (
        Cylinder("z", (0.0, 0.0), diameter / 2, span)
        for diameter in (second.spring_diameter, second.spring_bore)
    )
    return Shape((outer,), (bore,))


def _half_span(design: Design) -> Span | None:
    """The second half lies behind the flange; without one, on the side away from the motor."""
    second, at = design.nut.second, stations_of(design)
    if second is None or at.nut_near is None or at.nut_far is None:
        return None
    if design.nut.kind == "flanged" and design.nut.flange == "away from motor":
        end = at.nut_near - second.spring_length
        return end - second.length, end
    start = at.nut_far + second.spring_length
    return start, start + second.length


def nut_solid(design: Design, *, detailed: bool) -> Any:
    """Build the nut at s = 0 (TopoDS_Solid, mm), its bore threaded to mate with the screw, or plain.

    Raises ShapeError where the design lacks a size or the thread does not fit the bore.
    """
    if detailed:
        return _threaded(design, required(nut_blank(design), "nut"))
    from geometry.solids import solid_of

    return solid_of(required(nut_envelope(design), "nut"), "nut")


def half_solid(design: Design, *, detailed: bool) -> Any:
    """Build the second half of an anti-backlash nut (TopoDS_Solid, mm) as the first. Raises ShapeError."""
    if detailed:
        return _threaded(design, required(half_blank(design), "nut_half"))
    from geometry.solids import solid_of

    return solid_of(required(half_envelope(design), "nut_half"), "nut_half")


def length_of(blank: Shape) -> Span:
    """Give from where to where a nut or half reaches along z (mm)."""
    spans = [span_of(piece) for piece in blank.adds]
    return min(low for low, _ in spans), max(high for _, high in spans)


def _threaded(design: Design, blank: Shape) -> Any:
    """Thread a blank in the thread's own frame, whose origin is where the screw's begins: the two mate."""
    from geometry import thread_solid
    from geometry.solids import solid_of

    start = stations_of(design).thread_start
    low, high = length_of(blank)
    outer = solid_of(shifted_shape(blank, (0.0, 0.0, -start)), "nut")
    made = solid_thread(design.screw, design.nut)
    threaded = thread_solid.nut_solid(outer, made, low - start, high - start, ends="chamfered")
    return raised_solid(threaded, start)

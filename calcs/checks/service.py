"""Room for the cable behind the encoder, in closed form on the primitive bodies."""

from __future__ import annotations

import math

from calcs.case import shape_in_metres
from calcs.check import check
from calcs.finding import Finding, at_least, digits, not_checked
from geometry.bodies import Body, Box, Cylinder, FileShape, Posed, Primitive, Prism, Shape
from geometry.prisms import prism_bounds

TOUCH_M = 1e-9  # faces this close count as flush
STANDING = (0.0, 0.0)  # the travel of what does not move
BEND = "bend radius in cable diameters: common practice, no source"
NO_SIDE = "The bend's room to the side is not counted: the design does not say to which side it goes"


@check(
    "service.cable_room",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="room >= straight + bend factor x D + D",
    source=BEND,
    asked_by=("service.cable",),
)
def cable_room(
    bodies: tuple[Body, ...],
    cable_diameter_m: float,
    cable_straight_m: float,
    cable_bend_factor: float,
    cable_direction: tuple[float, float, float],
    travel_low_m: float,
    travel_high_m: float,
    seen_cable_room_m: tuple[float, str] | None = None,
    limit: float | None = None,
) -> Finding:
    """Room behind the motor for the cable and its bend."""
    cable = next((body.shape for body in bodies if body.name == "cable"), None)
    if not isinstance(cable, Shape):
        return not_checked("the cable has no place yet", "give the lengths of gears, motor and encoder")
    needed = cable_straight_m + (cable_bend_factor + 1.0) * cable_diameter_m if limit is None else limit
    column = shape_in_metres(cable).adds[0]
    room, blocker, unseen = math.inf, "", []
    if isinstance(column, Posed) and seen_cable_room_m is None:
        shown = ", ".join(f"{digits(part)}" for part in cable_direction)
        return not_checked(
            f"the cable leaves askew, along [{shown}]: `make` measures it", "run strokebox make"
        )
    for body in bodies:
        if body.part_of_actuator or not isinstance(column, Cylinder):
            continue
        sense = math.copysign(1.0, cable_direction["xyz".index(column.axis)])
        if isinstance(body.shape, FileShape):
            unseen.append(body.name)
            continue
        free = free_m(column, sense, shape_in_metres(body.shape), _sweep(body, travel_low_m, travel_high_m))
        if free < room:
            room, blocker = free, body.name
    if seen_cable_room_m is not None:  # the meshes of all bodies were there, files too
        (room, blocker), unseen = seen_cable_room_m, []
    bend = f"bend radius {cable_bend_factor:g} x {cable_diameter_m * 1e3:g} mm"
    note = f"{cable_straight_m * 1e3:g} mm straight, {bend}"
    if room >= needed and unseen:
        return not_checked(f"{note}; {', '.join(unseen)} is a file: `make` measures it", "run strokebox make")
    if math.isinf(room):
        return Finding(None, "PASS", needed, note=f"{note}; nothing stands in the way")
    thinner = (room - cable_straight_m) / (cable_bend_factor + 1.0)
    remedy = f"move {blocker} {digits((needed - room) * 1e3)} mm away"
    remedy += f", or a cable of {math.floor(thinner * 1e4) / 10:g} mm or less" if thinner > 1e-4 else ""
    return at_least(
        room,
        needed,
        note=f"{note}; have {room * 1e3:.4g} mm to {blocker}, need {needed * 1e3:.4g} mm",
        remedy=remedy,
        cautions=() if len(cable.adds) > 1 else (NO_SIDE,),
    )


def _sweep(body: Body, low_m: float, high_m: float) -> tuple[float, float]:
    return (low_m, high_m) if body.moves else STANDING


def free_m(column: Cylinder, sense: float, shape: Shape, sweep: tuple[float, float]) -> float:
    """Length from the cable's exit to the first piece in its way (m), infinite where there is none."""
    start = column.span[0] if sense > 0.0 else column.span[1]
    nearest = math.inf
    for piece in shape.adds:
        spans = piece_spans(piece, sweep)
        if not _meets(column, spans, piece) or any(_passes(column, cut, piece) for cut in shape.cuts):
            continue
        low, high = spans["xyz".index(column.axis)]
        near, far = (low - start, high - start) if sense > 0.0 else (start - high, start - low)
        if far > TOUCH_M:
            nearest = min(nearest, max(near, 0.0))
    return nearest


def piece_spans(piece: Primitive, sweep: tuple[float, float] = STANDING) -> list[tuple[float, float]]:
    """The box around a piece, drawn out along z by its travel."""
    if isinstance(piece, Posed):
        spans = _posed_spans(piece)
    elif isinstance(piece, Box):
        spans = [(a, b) for a, b in zip(piece.low, piece.high, strict=True)]
    elif isinstance(piece, Prism):
        (x0, y0), (x1, y1) = prism_bounds(piece)
        spans = [(x0, x1), (y0, y1), piece.span]
    else:
        across = iter(piece.centre)
        spans = [
            piece.span if axis == piece.axis else (c - piece.radius, c + piece.radius)
            for axis in "xyz"
            for c in ([0.0] if axis == piece.axis else [next(across)])
        ]
    low, high = spans[2]
    return [*spans[:2], (low + sweep[0], high + sweep[1])]


def _posed_spans(piece: Posed) -> list[tuple[float, float]]:
    """The box around the box that a piece fills in its own frame."""
    inner = piece_spans(piece.piece)
    reaches = [
        [sorted(axis[i] * end for end in span) for axis, span in zip(piece.axes, inner, strict=True)]
        for i in range(3)
    ]
    return [
        (start + sum(low for low, _ in reach), start + sum(high for _, high in reach))
        for start, reach in zip(piece.origin, reaches, strict=True)
    ]


def _meets(column: Cylinder, spans: list[tuple[float, float]], piece: Primitive) -> bool:
    """Whether the cable's section meets the piece as seen along the cable."""
    if isinstance(piece, Cylinder) and piece.axis == column.axis:
        return math.dist(piece.centre, column.centre) < piece.radius + column.radius - TOUCH_M
    across = [span for axis, span in zip("xyz", spans, strict=True) if axis != column.axis]
    gaps = [max(low - c, c - high, 0.0) for (low, high), c in zip(across, column.centre, strict=True)]
    return math.hypot(*gaps) < column.radius - TOUCH_M


def _passes(column: Cylinder, cut: Primitive, piece: Primitive) -> bool:
    """Whether the cable goes through a hole of the piece."""
    along = "xyz".index(column.axis)
    hole, body = piece_spans(cut)[along], piece_spans(piece)[along]
    if hole[0] > body[0] + TOUCH_M or hole[1] < body[1] - TOUCH_M:
        return False
    if isinstance(cut, Cylinder):
        return cut.axis == column.axis and math.dist(cut.centre, column.centre) + column.radius <= cut.radius
    across = [span for axis, span in zip("xyz", piece_spans(cut), strict=True) if axis != column.axis]
    return all(
        low + column.radius <= c <= high - column.radius
        for (low, high), c in zip(across, column.centre, strict=True)
    )

"""The bellows on the screw: their shortest form at the retracted end, their longest at the extended one."""

from __future__ import annotations

from calcs.case import shape_in_metres
from calcs.check import check, derived
from calcs.finding import Finding, at_least, at_most, info, not_checked
from geometry.bodies import Body, Cylinder, Shape

STACK = "geometry of the stack; lengths: the design's own"
LIP = "a lip seal keeps its length"
TOGETHER = "the drive goes with what travels: the bellows keep their length"


@derived()
def bellows_m(bodies: tuple[Body, ...]) -> float | None:
    """Length of the bellows at s = 0 (m), from where they stand to what they follow."""
    body = next((body for body in bodies if body.stretches), None)
    if body is None or not isinstance(body.shape, Shape):
        return None
    (piece,) = shape_in_metres(body.shape).adds
    assert isinstance(piece, Cylinder)  # the seal is a round
    return piece.span[1] - piece.span[0]


def _does_not_stretch(kind: str, turns: str, travels: str, known: bool) -> Finding | None:
    if kind == "lip" or turns == travels:
        return info(None, LIP if kind == "lip" else TOGETHER)
    return None if known else not_checked("needs nut.position", "give nut.position")


@check(
    "travel.bellows_retracted",
    unless="no_seal",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="z_end + s_low - z_start >= L pushed together",
    source=STACK,
    asked_by=("seal",),
    limit="seal_length_m",
)
def bellows_retracted(
    seal_kind: str,
    travel_low_m: float,
    bellows_m: float | None = None,
    turning_part: str = "screw",
    travelling_part: str = "nut",
    limit: float | None = None,
) -> Finding:
    """Room for the bellows pushed together at the retracted end."""
    other = _does_not_stretch(seal_kind, turning_part, travelling_part, bellows_m is not None)
    if other is not None or bellows_m is None or limit is None:
        return other or not_checked("needs seal.length", "give seal.length")
    room = bellows_m + travel_low_m
    lacking = (limit - room) * 1e3
    return at_least(
        room,
        limit,
        note=f"at s = {travel_low_m * 1e3:g} mm they have {room * 1e3:.4g} mm",
        remedy=f"bellows that push together to {room * 1e3:.4g} mm, or what they follow {lacking:.4g} mm "
        "further out",
    )


@check(
    "travel.bellows_extended",
    unless="no_seal",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="z_end + s_high - z_start <= L drawn out",
    source=STACK,
    asked_by=("seal",),
    limit="seal_extended_m",
)
def bellows_extended(
    seal_kind: str,
    travel_high_m: float,
    bellows_m: float | None = None,
    turning_part: str = "screw",
    travelling_part: str = "nut",
    limit: float | None = None,
) -> Finding:
    """Length to which the bellows are drawn out at the extended end."""
    other = _does_not_stretch(seal_kind, turning_part, travelling_part, bellows_m is not None)
    if other is not None or bellows_m is None:
        return other or not_checked("needs nut.position", "give nut.position")
    drawn = bellows_m + travel_high_m
    return at_most(
        drawn,
        limit,
        note=f"at s = {travel_high_m * 1e3:g} mm they are drawn out to {drawn * 1e3:.4g} mm",
        remedy=f"bellows that draw out to {drawn * 1e3:.4g} mm",
    )

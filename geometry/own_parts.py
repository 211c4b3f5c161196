"""The actuator's own parts as the design gives them: how each envelope is made and where it sits (mm)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from geometry.bodies import Point, Role, Shape
from geometry.cable import cable_envelope
from geometry.frames import Missing, stations_of
from geometry.gear_envelope import gear_envelope, spur_envelope
from geometry.motor import cover_envelope, encoder_envelope, motor_envelope
from geometry.nut import half_envelope, nut_envelope, spring_envelope
from geometry.push_rod import bush_envelope, rod_envelope
from geometry.screw import screw_envelope
from geometry.seal import seal_envelope

if TYPE_CHECKING:
    from geometry.design import Design

Colour = tuple[float, float, float, float]

PART_COLOURS: dict[str, Colour] = {
    "motor": (0.24, 0.25, 0.28, 1.0),
    "gear": (0.58, 0.60, 0.63, 1.0),
    "spur_gear": (0.58, 0.60, 0.63, 1.0),
    "encoder": (0.10, 0.30, 0.22, 1.0),
    "motor_cover": (0.35, 0.36, 0.38, 1.0),
    "screw_seal": (0.30, 0.31, 0.33, 1.0),
    "cable": (0.12, 0.12, 0.13, 1.0),
    "screw": (0.74, 0.76, 0.80, 1.0),
    "nut": (0.90, 0.87, 0.78, 1.0),
    "nut_half": (0.82, 0.78, 0.66, 1.0),
    "nut_spring": (0.62, 0.64, 0.68, 1.0),
    "push_rod": (0.80, 0.82, 0.85, 1.0),
    "push_rod_bush": (0.72, 0.55, 0.30, 1.0),
}


class Part(NamedTuple):
    """One of the actuator's own parts: what the design says of it, and how its envelope is made."""

    name: str
    section: Any
    envelope: Callable[[Design], Shape | Missing]
    seat: float | None
    """z that a file's origin goes to."""
    role: Role = "actuator"
    material: str = ""
    mass: float | None = None
    shift: Point = (0.0, 0.0, 0.0)
    """Where the envelope's own frame stands: the motor's side has its own axis."""


def own_parts(design: Design) -> Iterator[Part]:
    """Give the parts that the design has, from the motor to the rod (seats: z in mm). No source needed."""
    at, motor, gears = stations_of(design), design.motor, design.gears
    beside = (*at.offset, 0.0)
    if motor is not None:
        yield Part("motor", motor, motor_envelope, at.gear_rear, shift=beside)
    if gears is not None and gears.inline:
        yield Part("gear", gears, gear_envelope, 0.0, shift=(*at.offset, at.gear_front or 0.0))
    if gears is not None and gears.spur is not None:
        yield Part("spur_gear", gears.spur, spur_envelope, None)
    if motor is not None and motor.encoder is not None:
        yield Part("encoder", motor.encoder, encoder_envelope, at.motor_rear, shift=beside)
    if motor is not None and motor.cover is not None:
        yield Part("motor_cover", motor.cover, cover_envelope, None, shift=beside)
    if design.seal is not None:
        yield Part("screw_seal", design.seal, seal_envelope, None)
    if design.service.cable is not None:
        yield Part("cable", design.service.cable, cable_envelope, at.rear, role="cable", shift=beside)
    yield Part("screw", design.screw, screw_envelope, design.screw.position)
    yield from _nut_parts(design, at.nut_near)
    rod = design.push_rod
    if rod is not None:
        yield Part("push_rod", rod, rod_envelope, at.rod_near)
        if rod.guide is not None:
            yield Part("push_rod_bush", rod.guide, bush_envelope, None)


def _nut_parts(design: Design, seat: float | None) -> Iterator[Part]:
    nut = design.nut
    if nut.kind == "none":
        return
    material = nut.material or ""
    yield Part("nut", nut, nut_envelope, seat, material=material, mass=nut.mass)
    if nut.second is not None:
        half, spring = nut.second.mass, nut.second.spring_mass
        yield Part("nut_half", None, half_envelope, None, material=material, mass=half)
        yield Part("nut_spring", None, spring_envelope, None, mass=spring)

"""Motor, encoder and cable: the envelopes behind the gear (mm)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from geometry.bodies import Axis, Cylinder, Shape
from geometry.errors import Problem
from geometry.frames import Missing, missing, required, stations_of

if TYPE_CHECKING:
    from geometry.bodies import Point
    from geometry.design import Design

_DIRECTION = "service.cable.direction"


def motor_envelope(design: Design) -> Shape | Missing:
    """Give the motor's body as a cylinder behind the gear, or behind z = 0 without one (mm)."""
    front, rear = stations_of(design).gear_rear, stations_of(design).motor_rear
    diameter = design.motor.diameter if design.motor else None
    if front is None or rear is None or diameter is None:
        return missing(design, *_gear_length(design), "motor.length", "motor.diameter")
    return Shape((Cylinder("z", (0.0, 0.0), diameter / 2, (rear, front)),))


def encoder_envelope(design: Design) -> Shape | Missing:
    """Give the encoder as a cylinder on the motor's rear (mm)."""
    front, rear = stations_of(design).motor_rear, stations_of(design).rear
    encoder = design.motor.encoder if design.motor else None
    if front is None or rear is None or encoder is None:
        return missing(design, *_gear_length(design), "motor.length", "motor.encoder")
    return Shape((Cylinder("z", (0.0, 0.0), encoder.diameter / 2, (rear, front)),))


def cable_length(design: Design) -> float:
    """Give the room that the cable needs along its direction (mm): straight, bend, its own thickness.

    Common practice, no source: the bend's radius counts in cable diameters and is measured to the inside.
    """
    cable = design.service.cable
    return 0.0 if cable is None else cable.straight + (cable.bend_factor + 1.0) * cable.diameter


def cable_envelope(design: Design) -> Shape | Missing:
    """Give the room of the cable along its direction as a cylinder of its own diameter (mm).

    It starts in the centre of the rear face, or close to that on the side of the encoder (the motor without
    one). To which side the cable bends the design does not say, so the bend's own width is not in the shape.
    """
    rear, cable, motor = stations_of(design).rear, design.service.cable, design.motor
    if rear is None or cable is None or motor is None:
        return missing(design, *_gear_length(design), "motor", "motor.length", "service.cable")
    axis, sense = _along(cable.direction)
    if axis == "z":
        start, centre = rear, (0.0, 0.0)
    else:
        diameter = motor.encoder.diameter if motor.encoder else motor.diameter
        if diameter is None:
            return missing(design, "motor.diameter")
        start, centre = sense * diameter / 2, (0.0, rear + cable.diameter / 2)
    end = start + sense * cable_length(design)
    return Shape((Cylinder(axis, centre, cable.diameter / 2, (min(start, end), max(start, end))),))


def motor_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of motor, encoder and cable: a cable that leaves askew, or into the motor."""
    cable = design.service.cable
    if cable is None:
        return ()
    if max(abs(part) for part in cable.direction) < 1.0 - 1e-9:
        message = (
            f"the cable leaves askew, along {_shown(cable.direction)}; its room is a cylinder along an axis"
        )
        return (Problem(message, "write the nearest axis, [0, 0, -1] for straight back", field=_DIRECTION),)
    if cable.direction[2] > 0.5:
        message = "the cable leaves the rear face toward +z, into the motor"
        return (Problem(message, "write [0, 0, -1], or a side such as [0, -1, 0]", field=_DIRECTION),)
    return ()


def motor_solid(design: Design) -> Any:
    """Build the motor's envelope (TopoDS_Solid, mm); ShapeError where the design lacks a size."""
    from geometry.solids import solid_of

    return solid_of(required(motor_envelope(design), "motor"), "motor")


def encoder_solid(design: Design) -> Any:
    """Build the encoder's envelope (TopoDS_Solid, mm); ShapeError where the design lacks a size."""
    from geometry.solids import solid_of

    return solid_of(required(encoder_envelope(design), "encoder"), "encoder")


def cable_solid(design: Design) -> Any:
    """Build the cable's room (TopoDS_Solid, mm); ShapeError where the design lacks a size."""
    from geometry.solids import solid_of

    return solid_of(required(cable_envelope(design), "cable"), "cable")


def _gear_length(design: Design) -> tuple[str, ...]:
    return ("gears.length",) if design.gears else ()


def _along(direction: Point) -> tuple[Axis, Literal[1, -1]]:
    axes: tuple[Axis, Axis, Axis] = ("x", "y", "z")
    largest = max(range(3), key=lambda index: abs(direction[index]))
    return axes[largest], 1 if direction[largest] > 0 else -1


def _shown(direction: Point) -> str:
    return "[" + ", ".join(f"{part:.3g}" for part in direction) + "]"

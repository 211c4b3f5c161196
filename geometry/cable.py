"""The cable: the room of its straight length and its bend, along its direction from the rear (mm)."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from geometry.bodies import Axis, Box, Cylinder, Posed, Shape
from geometry.frames import Missing, missing, stations_of
from geometry.motor import gear_length, motor_width

if TYPE_CHECKING:
    from geometry.bodies import Point
    from geometry.design import Design
    from geometry.design_drive import Motor
    from geometry.design_sections import Cable

Span = tuple[float, float]
LEAST_ACROSS = 0.1  # of a side: what leans less lies along the cable


def cable_length(design: Design) -> float:
    """Give the room that the cable needs along its direction (mm): straight, bend, its own thickness.

    Common practice, no source: the bend's radius counts in cable diameters and is measured to the inside.
    """
    cable = design.service.cable
    return 0.0 if cable is None else cable.straight + (cable.bend_factor + 1.0) * cable.diameter


def cable_envelope(design: Design) -> Shape | Missing:
    """Give the room of the cable along its direction as a cylinder of its own diameter (mm).

    It starts in the centre of the rear face, or close to that on the side of the encoder (the motor without
    one). With a side to which it bends the room of the bend lies beside the cylinder as a box.
    """
    rear, cable, motor = stations_of(design).rear, design.service.cable, design.motor
    if rear is None or cable is None or motor is None:
        return missing(design, *gear_length(design), "motor", "motor.length", "service.cable")
    x, y, _ = cable.direction
    start: Point = (0.0, 0.0, rear)
    if along(cable.direction)[0] != "z":
        diameter = _exit_diameter(motor)
        if diameter is None:
            return missing(design, "motor.diameter")
        out = diameter / 2 / math.hypot(x, y)
        start = (out * x, out * y, rear + cable.diameter / 2)
    side = across(cable.bend, cable.direction) if cable.bend is not None else None
    if is_straight(cable.direction) and (side is None or is_straight(side)):
        return _straight_room(cable, cable_length(design), start, side)
    return _askew_room(cable, cable_length(design), start, side)


def is_straight(direction: Point) -> bool:
    """Tell whether a direction lies along an axis."""
    return max(abs(part) for part in direction) > 1.0 - 1e-9


def across(side: Point, direction: Point) -> Point | None:
    """Give the part of a side that lies across a direction as a unit vector; None where it lies along it."""
    share = sum(a * b for a, b in zip(side, direction, strict=True))
    x, y, z = (a - share * b for a, b in zip(side, direction, strict=True))
    length = math.hypot(x, y, z)
    return (x / length, y / length, z / length) if length > LEAST_ACROSS else None


def _straight_room(cable: Cable, length: float, start: Point, side: Point | None) -> Shape:
    axis, sense = along(cable.direction)
    place = "xyz".index(axis)
    first, second = (part for index, part in enumerate(start) if index != place)
    begin, straight, end = start[place], start[place] + sense * cable.straight, start[place] + sense * length
    column = Cylinder(axis, (first, second), cable.diameter / 2, (min(begin, end), max(begin, end)))
    if side is None:
        return Shape((column,))
    return Shape((column, _bend(column, (min(straight, end), max(straight, end)), side)))


def _askew_room(cable: Cable, length: float, start: Point, side: Point | None) -> Shape:
    """The same in a frame of its own: z along the cable, x toward the side to which it bends."""
    direction, radius = cable.direction, cable.diameter / 2
    least = min(range(3), key=lambda index: abs(direction[index]))
    other = across((float(least == 0), float(least == 1), float(least == 2)), direction)
    x_axis = side or other
    assert x_axis is not None  # the axis that the cable leans away from most lies across it
    column = Posed(Cylinder("z", (0.0, 0.0), radius, (0.0, length)), start, direction, x_axis)
    if side is None:
        return Shape((column,))
    bend = Box((0.0, -radius, cable.straight), (length - cable.straight - radius, radius, length))
    return Shape((column, Posed(bend, start, direction, x_axis)))


def _exit_diameter(motor: Motor) -> float | None:
    if motor.cover is not None:
        return motor.cover.diameter
    return motor.encoder.diameter if motor.encoder else motor_width(motor)


def _bend(column: Cylinder, span: Span, direction: Point) -> Box:
    """The room of a quarter bend beside the cable's column, as wide as the column is long there."""
    axis, sense = along(direction)
    centre = list(column.centre)
    centre.insert("xyz".index(column.axis), 0.0)
    sides = [(middle - column.radius, middle + column.radius) for middle in centre]
    sides["xyz".index(column.axis)] = span
    place = "xyz".index(axis)
    reach = centre[place] + sense * (span[1] - span[0] - column.radius)
    sides[place] = (min(centre[place], reach), max(centre[place], reach))
    (x0, x1), (y0, y1), (z0, z1) = sides
    return Box((x0, y0, z0), (x1, y1, z1))


def along(direction: Point) -> tuple[Axis, Literal[1, -1]]:
    """Give the axis nearest to a direction, and which way it goes along it."""
    axes: tuple[Axis, Axis, Axis] = ("x", "y", "z")
    largest = max(range(3), key=lambda index: abs(direction[index]))
    return axes[largest], 1 if direction[largest] > 0 else -1

"""What cannot be built of motor, encoder, cover and cable: parts that run into one another."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from geometry.cable import across, along
from geometry.cap_screws import tap_drill
from geometry.errors import InputError, Problem
from geometry.frames import stations_of
from geometry.motor import front_of, is_square, motor_width, screw_diameter

if TYPE_CHECKING:
    from geometry.bodies import Point
    from geometry.design import Design
    from geometry.design_drive import Motor

_DIRECTION = "service.cable.direction"
INTO_MOTOR = 0.5  # of a direction that goes +z: more of it leads into the motor


def motor_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of the drive's bodies, each at its field with the smallest repair."""
    motor = design.motor
    if motor is not None and (unknown := tuple(_bolt_problems(motor))):
        return unknown  # without its holes the front face is not known
    own = () if motor is None else (*_body_problems(motor), *_reach_problems(design, motor))
    bores = () if motor is None else tuple(_bore_problems(motor))
    front = () if motor is None else tuple(_front_problems(design, motor))
    return (*own, *bores, *front, *_cable_problems(design))


def _bolt_problems(motor: Motor) -> Iterator[Problem]:
    own = motor.front
    if own is None or own.bolt is None:
        return
    if own.hole is not None:
        message = f"the mounting holes are given twice, as {own.hole:g} mm and by {own.bolt}"
        yield Problem(message, "keep hole or bolt", field="motor.front.bolt")
        return
    try:
        tap_drill(own.bolt)
    except InputError as error:
        for problem in error.problems:
            yield replace(problem, field="motor.front.bolt")


def _body_problems(motor: Motor) -> Iterator[Problem]:
    if motor.frame is not None and (motor.square is not None or motor.diameter is not None):
        field = "square" if motor.square is not None else "diameter"
        yield Problem(
            f"{motor.frame} says the body's width already, {motor_width(motor):g} mm",
            f"leave {field} out, or frame",
            field=f"motor.{field}",
        )
    elif motor.square is not None and motor.diameter is not None and motor.diameter <= motor.square:
        yield Problem(
            f"a square body {motor.square:g} mm wide is not turned to {motor.diameter:g} mm over its corners",
            f"leave diameter out, or write one above {motor.square:g} mm",
            field="motor.diameter",
        )
    width, face = motor_width(motor), front_of(motor)
    if width is None:
        return
    if face.pilot_diameter is not None and face.pilot_diameter >= width:
        yield Problem(
            f"a pilot of {face.pilot_diameter:g} mm is wider than the motor, {width:g} mm",
            f"write a pilot_diameter below {width:g} mm",
            field="motor.front.pilot_diameter",
        )
    for x, y in face.holes:
        reach = max(abs(x), abs(y)) if is_square(motor) else math.hypot(x, y)
        if face.hole is not None and 2 * reach + face.hole >= width:
            yield Problem(
                f"mounting holes of {face.hole:g} mm reach {2 * reach + face.hole:.4g} mm, over the motor's "
                f"{width:g} mm",
                "write a smaller hole_circle",
                field="motor.front.hole_circle",
            )
            return


def _front_problems(design: Design, motor: Motor) -> Iterator[Problem]:
    """Pilot, bore, shaft and holes share the front face."""
    face = front_of(motor)
    pilot = face.pilot_diameter if face.pilot_height else None
    if pilot is not None and face.pilot_height and design.gears is None:
        passes = max(motor.bore or 0.0, screw_diameter(design, 0.0, face.pilot_height) or 0.0)
        if pilot <= passes:
            yield Problem(
                f"a pilot of {pilot:g} mm leaves no ring around {passes:g} mm of bore or screw",
                f"write a pilot_diameter above {passes:g} mm",
                field="motor.front.pilot_diameter",
            )
    if motor.bore is not None and face.shaft_length is not None:
        yield Problem(
            f"a motor with a bore of {motor.bore:g} mm has no shaft",
            "leave shaft_length or bore out",
            field="motor.front.shaft_length",
        )
    if face.hole is None or not face.holes:
        return
    x, y = face.holes[0]
    inner, taken = 2 * math.hypot(x, y) - face.hole, max(pilot or 0.0, motor.bore or 0.0)
    if inner <= taken:
        yield Problem(
            f"mounting holes of {face.hole:g} mm begin at {inner:.4g} mm, in {taken:g} mm of pilot or bore",
            f"write a hole_circle above {taken + face.hole:.4g} mm, or a smaller pilot or bore",
            field="motor.front.hole_circle",
        )
    apart = 2 * math.hypot(x, y) * math.sin(math.pi / len(face.holes))
    if len(face.holes) > 1 and apart <= face.hole:
        yield Problem(
            f"{len(face.holes)} mounting holes of {face.hole:g} mm run together: {apart:.3g} mm apart",
            "write fewer holes or a larger hole_circle",
            field="motor.front.holes",
        )


def _bore_problems(motor: Motor) -> Iterator[Problem]:
    encoder = motor.encoder
    for field, bore, width in (
        ("motor.bore", motor.bore, motor_width(motor)),
        ("motor.encoder.bore", encoder.bore if encoder else None, encoder.diameter if encoder else None),
    ):
        if bore is not None and width is not None and bore >= width:
            message = f"a bore of {bore:g} mm leaves nothing of {width:g} mm"
            yield Problem(message, f"write a bore below {width:g} mm", field=field)


def _reach_problems(design: Design, motor: Motor) -> Iterator[Problem]:
    """Shaft, connector, terminals and cover must not reach into what stands beside them."""
    face, gears = front_of(motor), design.gears
    if face.shaft_length and gears is not None and gears.length is not None:
        if face.shaft_length > gears.length:
            yield Problem(
                f"the motor's shaft of {face.shaft_length:g} mm reaches through the gear of "
                f"{gears.length:g} mm",
                f"write a shaft_length of {gears.length:g} mm or less",
                field="motor.front.shaft_length",
            )
    elif face.shaft_length and gears is None and 0.0 < design.screw.position < face.shaft_length:
        yield Problem(
            f"the motor's shaft of {face.shaft_length:g} mm reaches into the screw, which begins at "
            f"{design.screw.position:g} mm",
            f"write a screw.position of {face.shaft_length:g} mm or more, or 0: the screw is the shaft",
            field="motor.front.shaft_length",
        )
    connector = motor.connector
    if connector is not None and motor.length is not None:
        end = connector.from_rear + connector.length
        if end > motor.length:
            into = "the gear" if gears is not None else "what the motor is mounted on"
            yield Problem(
                f"the connector reaches {end:g} mm from the motor's rear, {end - motor.length:.4g} mm "
                f"into {into}",
                f"write from_rear and length of {motor.length:g} mm together or less",
                field="motor.connector.from_rear",
            )
        width = motor_width(motor)
        if width is not None and connector.width >= width:
            yield Problem(
                f"a connector {connector.width:g} mm wide does not stand on a motor of {width:g} mm",
                f"write a width below {width:g} mm",
                field="motor.connector.width",
            )
    if motor.terminals is not None and motor.encoder is not None:
        yield Problem(
            "the terminals on the rear face reach into the encoder",
            "leave terminals out: with an encoder the wires leave it",
            field="motor.terminals",
        )
    yield from _terminal_problems(motor)
    yield from _cover_problems(design, motor)


def _terminal_problems(motor: Motor) -> Iterator[Problem]:
    """The blades stand on the rear face, clear of its edge, of the bore and of one another."""
    own, width = motor.terminals, motor_width(motor)
    if own is None or width is None:
        return
    reach = math.hypot(own.spacing + own.thickness, own.width)
    if reach >= width:
        yield Problem(
            f"the terminals reach {reach:.4g} mm, over the motor's {width:g} mm",
            "write a smaller spacing or width",
            field="motor.terminals.spacing",
        )
    least = (motor.bore or 0.0) + own.thickness
    if own.spacing <= least:
        yield Problem(
            f"terminals {own.spacing:g} mm apart stand in one another or in the bore",
            f"write a spacing above {least:g} mm",
            field="motor.terminals.spacing",
        )


def _cover_problems(design: Design, motor: Motor) -> Iterator[Problem]:
    cover, at, width = motor.cover, stations_of(design), motor_width(motor)
    if cover is None or at.rear is None or at.motor_rear is None or width is None:
        return
    inner = cover.diameter - 2 * cover.wall
    covered = [motor.encoder.diameter] if motor.encoder else []
    if at.rear + cover.length > at.motor_rear:
        covered.append(width * (math.sqrt(2.0) if is_square(motor) else 1.0))
    if covered and inner < max(covered):
        yield Problem(
            f"the cover is {inner:g} mm wide inside, what it covers {max(covered):.4g} mm",
            f"write a diameter of {max(covered) + 2 * cover.wall:.4g} mm or more",
            field="motor.cover.diameter",
        )
    if cover.wall >= cover.length:
        yield Problem(
            f"a rear of {cover.wall:g} mm leaves no room in a cover of {cover.length:g} mm",
            f"write a length above {cover.wall:g} mm",
            field="motor.cover.length",
        )


def _cable_problems(design: Design) -> Iterator[Problem]:
    cable = design.service.cable
    if cable is None:
        return
    if cable.direction[2] > INTO_MOTOR:
        message = f"the cable leaves the rear face toward +z, along {_shown(cable.direction)}, into the motor"
        yield Problem(message, "write [0, 0, -1], or a side such as [0, -1, 0]", field=_DIRECTION)
    if cable.bend is not None and across(cable.bend, cable.direction) is None:
        yield Problem(
            f"the cable bends toward {_shown(cable.bend)}, along itself",
            "write a side across its direction, such as [1, 0, 0]"
            if along(cable.direction)[0] != "x"
            else "write a side across its direction, such as [0, 1, 0]",
            field="service.cable.bend",
        )


def _shown(direction: Point) -> str:
    return "[" + ", ".join(f"{part:.3g}" for part in direction) + "]"

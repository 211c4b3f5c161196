"""Motor, encoder and cover: the envelopes at and behind the gear (mm)."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from geometry.bodies import Box, Cylinder, Primitive, Shape
from geometry.cap_screws import tap_drill
from geometry.design_drive import Front
from geometry.frames import Missing, missing, stations_of
from geometry.prisms import regular
from geometry.screw_ends import steps_of
from geometry.screw_thread import thread_of

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_drive import Connector, Motor

Span = tuple[float, float]
TABLE = Path(__file__).with_name("nema_frames.toml")


class NemaFrame(NamedTuple):
    """A square stepper flange (mm): body width, over its corners, hole spacing and hole, pilot, shaft."""

    width: float
    corners: float
    spacing: float
    hole: float
    bolt: str
    pilot_diameter: float
    pilot_height: float
    shaft: float


@cache
def nema_frames() -> dict[str, NemaFrame]:
    """Give the square frames by name (mm). Source: the table's own source line (NEMA ICS 16, from memory)."""
    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))["frame"]
    return {f"NEMA {size}": NemaFrame(**row) for size, row in table.items()}


class Face(NamedTuple):
    """What a motor has on its front face (mm): pilot, shaft, holes and their centres; None for nothing."""

    pilot_diameter: float | None
    pilot_height: float | None
    shaft_diameter: float | None
    shaft_length: float | None
    hole: float | None
    hole_depth: float
    holes: tuple[tuple[float, float], ...]


def front_of(motor: Motor) -> Face:
    """Give what is on the motor's front face: the user's own numbers before those of its NEMA frame.

    Raises InputError for a bolt that is no thread.
    """
    known, own = nema_frames().get(motor.frame or ""), motor.front or Front()
    tapped = None if own.bolt is None else tap_drill(own.bolt)
    return Face(
        own.pilot_diameter or (known.pilot_diameter if known else None),
        own.pilot_height or (known.pilot_height if known else None),
        own.shaft_diameter or (known.shaft if known else None),
        own.shaft_length,
        own.hole or tapped or (known.hole if known else None),
        own.hole_depth,
        _holes(own, known),
    )


def _holes(own: Front, known: NemaFrame | None) -> tuple[tuple[float, float], ...]:
    """Centres of the holes: the user's circle straddling the x axis, or the frame's square."""
    if own.hole_circle and own.holes:
        angles = [math.pi * (2 * index + 1) / own.holes for index in range(own.holes)]
        return tuple(
            (own.hole_circle / 2 * math.cos(angle), own.hole_circle / 2 * math.sin(angle)) for angle in angles
        )
    if known is None:
        return ()
    half = known.spacing / 2
    return ((half, half), (-half, half), (-half, -half), (half, -half))


def motor_width(motor: Motor) -> float | None:
    """Give the diameter of a round motor or the width of a square one (mm)."""
    known = nema_frames().get(motor.frame or "")
    return known.width if known else motor.square or motor.diameter


def is_square(motor: Motor) -> bool:
    """Tell whether the motor's body is square."""
    return motor.frame is not None or motor.square is not None


def motor_envelope(design: Design) -> Shape | Missing:
    """Give the motor behind the gear, or behind z = 0 without one (mm).

    Behind a gear its pilot and shaft lie inside the gear. Without a gear the pilot is bored for the screw;
    the shaft is there where the screw begins beyond it, else the screw itself is the shaft.
    """
    motor, at = design.motor, stations_of(design)
    width = None if motor is None else motor_width(motor)
    if motor is None or at.gear_rear is None or at.motor_rear is None or width is None:
        return missing(design, *gear_length(design), "motor.length", "motor.diameter")
    span = (at.motor_rear, at.gear_rear)
    adds: list[Primitive] = [_body(motor, width, span)]
    cuts: list[Primitive] = []
    if motor.connector is not None:
        adds.append(_connector(motor.connector, width, at.motor_rear))
    if motor.terminals is not None:
        adds += _terminals(motor, at.motor_rear)
    if design.gears is None:
        more, holes = _front(design, motor, span)
        adds += more
        cuts += holes
    if motor.bore is not None:
        cuts.append(round_along_z(motor.bore, span))
    return Shape(tuple(adds), tuple(cuts))


def round_along_z(diameter: float, span: Span) -> Cylinder:
    """Give a cylinder about the screw's axis (mm). No source needed."""
    return Cylinder("z", (0.0, 0.0), diameter / 2, span)


def _body(motor: Motor, width: float, span: Span) -> Primitive:
    if not is_square(motor):
        return round_along_z(width, span)
    known = nema_frames().get(motor.frame or "")
    return regular(4, width, known.corners if known else motor.diameter or math.inf, span)


def _connector(connector: Connector, width: float, rear: float) -> Box:
    """Give the connector as a box on its side of the motor (mm), from inside the body outwards."""
    low, high = rear + connector.from_rear, rear + connector.from_rear + connector.length
    half, out = connector.width / 2, width / 2 + connector.height
    inner = math.sqrt(max((width / 2) ** 2 - half**2, 0.0)) * 0.9  # its foot reaches below a round side
    sense = 1.0 if connector.side[0] == "+" else -1.0
    near, far = sorted((sense * inner, sense * out))
    if connector.side[1] == "x":
        return Box((near, -half, low), (far, half, high))
    return Box((-half, near, low), (half, far, high))


def _terminals(motor: Motor, rear: float) -> list[Box]:
    own = motor.terminals
    assert own is not None  # asked before
    middles = (-own.spacing / 2, own.spacing / 2)
    return [
        Box(
            (x - own.thickness / 2, -own.width / 2, rear - own.length),
            (x + own.thickness / 2, own.width / 2, rear),
        )
        for x in middles
    ]


def _front(design: Design, motor: Motor, span: Span) -> tuple[list[Primitive], list[Primitive]]:
    """Pilot, shaft and mounting holes on the front face at z = 0."""
    face = front_of(motor)
    adds: list[Primitive] = []
    cuts: list[Primitive] = []
    begins = design.screw.position
    if face.pilot_diameter and face.pilot_height:
        pilot = (0.0, face.pilot_height)
        adds.append(round_along_z(face.pilot_diameter, pilot))
        passes = screw_diameter(design, *pilot)
        if passes is not None:
            cuts.append(round_along_z(passes, pilot))
    if face.shaft_diameter and face.shaft_length and begins > 0.0:
        foot = face.pilot_height or 0.0 if adds else 0.0
        adds.append(round_along_z(face.shaft_diameter, (foot, face.shaft_length)))
    depth = max(span[0], -face.hole_depth)
    if face.hole:
        cuts += [Cylinder("z", at, face.hole / 2, (depth, 0.0)) for at in face.holes]
    return adds, cuts


def screw_diameter(design: Design, low: float, high: float) -> float | None:
    """Give the largest diameter of the screw between two heights (z, mm, s = 0), None where it is not."""
    at, screw = stations_of(design), design.screw
    pieces = [(thread_of(screw).major_diameter_mm, at.thread_start, at.thread_end)]
    for step in (*steps_of(screw, "near"), *steps_of(screw, "far")):
        ends = sorted((step.shoulder + at.thread_start, step.free_end + at.thread_start))
        pieces.append((step.journal.diameter, ends[0], ends[1]))
    met = [diameter for diameter, start, end in pieces if start < high and end > low]
    return max(met, default=None)


def encoder_envelope(design: Design) -> Shape | Missing:
    """Give the encoder as a cylinder on the motor's rear (mm)."""
    at = stations_of(design)
    encoder = design.motor.encoder if design.motor else None
    if at.motor_rear is None or at.encoder_rear is None or encoder is None:
        return missing(design, *gear_length(design), "motor.length", "motor.encoder")
    span = (at.encoder_rear, at.motor_rear)
    return Shape(
        (round_along_z(encoder.diameter, span),), (round_along_z(encoder.bore, span),) if encoder.bore else ()
    )


def cover_envelope(design: Design) -> Shape | Missing:
    """Give the cap over motor and encoder: its rear wall and its tube (mm)."""
    at = stations_of(design)
    cover = design.motor.cover if design.motor else None
    if at.rear is None or at.encoder_rear is None or cover is None:
        return missing(design, *gear_length(design), "motor.length", "motor.cover")
    end = at.rear + cover.length
    inner = cover.diameter - 2 * cover.wall
    return Shape(
        (round_along_z(cover.diameter, (at.rear, end)),), (round_along_z(inner, (at.encoder_rear, end)),)
    )


def gear_length(design: Design) -> tuple[str, ...]:
    """Name the field of the gear's length where there is a gear. No source needed."""
    return ("gears.length",) if design.gears else ()

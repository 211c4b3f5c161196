"""Where the parts stand along the screw and beside it, and the named frames to rely on (mm).

The common frame has its origin on the screw in the gear's front face (the motor's, without a gear) and +z
along the screw away from the motor; everything is told at travel s = 0.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from geometry.bodies import Box, Point, Posed, Primitive, Prism, Shape
from geometry.errors import ShapeError
from geometry.prisms import shifted_prism
from geometry.spur_train import placed_spur

if TYPE_CHECKING:
    from geometry.design import Design


class Stations(NamedTuple):
    """z of each part's faces at s = 0 (mm); None where the design lacks a length that it takes."""

    gear_front: float | None
    """The front of the gear on the motor's axis, or of the motor: 0, or the rear of a spur stage."""
    gear_rear: float | None
    motor_rear: float | None
    rear: float | None
    """The face that the cable leaves: the cover's rear, or the encoder's, or the motor's."""
    encoder_rear: float | None
    """The encoder's rear, or the motor's without an encoder: where a cover ends inside."""
    thread_start: float
    thread_end: float
    screw_end: float
    nut_near: float | None
    nut_far: float | None
    nut_seat: float | None
    rod_near: float | None
    """Where a push rod begins: the nut's far face, or the end of a travelling screw; None without a rod."""
    rod_end: float | None
    offset: tuple[float, float]
    """x and y of the motor's axis, on which all that is behind a spur stage stands."""


class NamedFrame(NamedTuple):
    """A frame with a stable name: origin (mm, at s = 0), z direction (out of its face), whether it moves."""

    name: str
    origin: Point
    z_direction: Point
    moves: bool = False

    @property
    def axes(self) -> tuple[Point, Point, Point]:
        """Directions of x, y and z: x as the common frame's, y completing a right-handed frame."""
        sense = self.z_direction[2]
        return (1.0, 0.0, 0.0), (0.0, sense, 0.0), self.z_direction


class Missing(NamedTuple):
    """The dotted fields that a part's shape or place still needs."""

    fields: tuple[str, ...]


def required(shape: Shape | Missing, name: str) -> Shape:
    """Give the shape, or raise ShapeError with the fields that the part lacks."""
    if isinstance(shape, Missing):
        raise ShapeError(f"the {name} has no shape yet", f"give {', '.join(shape.fields)}", name)
    return shape


def missing(design: Design, *fields: str) -> Missing:
    """Give those of the dotted fields that the design leaves out."""
    return Missing(tuple(field for field in fields if _value(design, field) is None))


def _value(design: Design, field: str) -> Any:
    value: Any = design
    for name in field.split("."):
        value = getattr(value, name, None)
    return value


def stations_of(design: Design) -> Stations:
    """Give z of the faces along the screw (mm): the chain from the gear's front face both ways."""
    screw, nut, motor = design.screw, design.nut, design.motor
    gears = design.gears
    spur = placed_spur(design)
    gear_front = -spur.length if spur else None if gears and gears.spur else 0.0
    gear_rear = _behind(gear_front, gears.length) if gears and gears.inline else gear_front
    motor_rear = _behind(gear_rear, motor.length) if motor else None
    encoder = motor.encoder if motor else None
    start = screw.position + sum(end.length for end in (screw.near_journal, screw.near_tip) if end)
    encoder_rear = _behind(motor_rear, encoder.length) if encoder else motor_rear
    cover = motor.cover if motor else None
    end = start + screw.length
    near = nut.position
    far = None if near is None else near + nut.length
    screw_end = end + sum(turned.length for turned in (screw.far_journal, screw.far_tip) if turned)
    rod = design.push_rod
    rod_near = None if rod is None else far if design.motion.travels == "nut" else screw_end
    return Stations(
        gear_front=gear_front,
        gear_rear=gear_rear,
        motor_rear=motor_rear,
        rear=_behind(encoder_rear, cover.wall) if cover else encoder_rear,
        encoder_rear=encoder_rear,
        thread_start=start,
        thread_end=end,
        screw_end=screw_end,
        nut_near=near,
        nut_far=far,
        nut_seat=_seat(design),
        rod_near=rod_near,
        rod_end=None if rod is None or rod_near is None else rod_near + rod.length,
        offset=spur.offset if spur else (0.0, 0.0),
    )


DRIVE = ("motor", "gear", "spur_gear", "encoder", "cable", "motor_cover", "screw_seal")
NUT = ("nut", "nut_half", "nut_spring")


def moving_parts(design: Design) -> frozenset[str]:
    """Give the names of the own parts that go along the travel: what turns takes its drive along."""
    travelling = NUT if design.motion.travels == "nut" else ("screw",)
    drive = DRIVE if design.motion.turns == design.motion.travels else ()
    return frozenset((*travelling, "push_rod", *drive))


def _behind(face: float | None, length: float | None) -> float | None:
    return None if face is None or length is None else face - length


def _seat(design: Design) -> float | None:
    """Where the flange carries its load: its +z face, whichever end of the nut the flange is at."""
    nut = design.nut
    if nut.kind != "flanged" or nut.position is None:
        return None
    if nut.flange == "away from motor":
        return nut.position + nut.length
    return None if nut.flange_thickness is None else nut.position + nut.flange_thickness


def frames_of(design: Design) -> tuple[NamedFrame, ...]:
    """Give the named frames of the actuator (mm, s = 0): names stay the same from revision to revision.

    A frame whose place the design does not tell is left out. z points out of a face, along +z on the axis.
    """
    at, moving = stations_of(design), moving_parts(design)
    nut, screw = "nut" in moving, "screw" in moving
    stops = design.motion.hard_stops if nut else None
    low = None if stops is None or at.nut_near is None else at.nut_near + stops.low
    high = None if stops is None or at.nut_far is None else at.nut_far + stops.high
    rows: Iterable[tuple[str, float | None, float, bool]] = (
        ("mount_face", 0.0, 1.0, "gear" in moving),
        ("screw_axis", 0.0, 1.0, False),
        ("motor_rear", at.motor_rear, -1.0, "motor" in moving),
        ("thread_start", at.thread_start, -1.0, screw),
        ("thread_end", at.thread_end, 1.0, screw),
        ("screw_end", at.screw_end, 1.0, screw),
        ("nut_near_face", at.nut_near, -1.0, nut),
        ("nut_far_face", at.nut_far, 1.0, nut),
        ("nut_flange_seat", at.nut_seat, 1.0, nut),
        ("push_rod_end", at.rod_end, 1.0, True),
        ("nut_near_face_at_low_stop", low, -1.0, False),
        ("nut_far_face_at_high_stop", high, 1.0, False),
    )
    on_motor = {"motor_rear": at.offset}
    return tuple(
        NamedFrame(name, (*on_motor.get(name, (0.0, 0.0)), z), (0.0, 0.0, sense), moves)
        for name, z, sense, moves in rows
        if z is not None
    )


def shifted_shape(shape: Shape, shift: Point) -> Shape:
    """Give a shape moved by a vector (mm)."""
    adds, cuts = ([_shifted(piece, shift) for piece in pieces] for pieces in (shape.adds, shape.cuts))
    return Shape(tuple(adds), tuple(cuts))


def _shifted(piece: Primitive, shift: Point) -> Primitive:
    x, y, z = shift
    if isinstance(piece, Box):
        (x0, y0, z0), (x1, y1, z1) = piece.low, piece.high
        return Box((x0 + x, y0 + y, z0 + z), (x1 + x, y1 + y, z1 + z))
    if isinstance(piece, Prism):
        return shifted_prism(piece, x, y, z)
    if isinstance(piece, Posed):
        a, b, c = piece.origin
        return piece._replace(origin=(a + x, b + y, c + z))
    along = shift["xyz".index(piece.axis)]
    first, second = (part for axis, part in zip("xyz", shift, strict=True) if axis != piece.axis)
    centre = (piece.centre[0] + first, piece.centre[1] + second)
    return piece._replace(centre=centre, span=(piece.span[0] + along, piece.span[1] + along))

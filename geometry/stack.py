"""The parts placed as one assembly at s = 0 in its surroundings: bodies, contacts, clearance classes (mm)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from geometry.bodies import (
    Body,
    ClearanceClasses,
    Contact,
    FileShape,
    Role,
    Shape,
)
from geometry.design_bodies import Fixed, HousingBody, KeepOut, Moving, file_shape, shape_of
from geometry.errors import InputError, Problem
from geometry.frames import Missing, missing, moving_parts, raised_shape, stations_of
from geometry.gear_envelope import gear_envelope, gear_problems
from geometry.gear_train import gear_train, train_problems, why_no_teeth
from geometry.motor import (
    cable_envelope,
    cover_envelope,
    encoder_envelope,
    motor_envelope,
    seal_envelope,
)
from geometry.motor_problems import motor_problems
from geometry.nut import half_envelope, half_solid, nut_envelope, nut_solid, spring_envelope
from geometry.nut_problems import nut_problems
from geometry.screw import screw_envelope, screw_solid
from geometry.screw_problems import screw_problems

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.placed import PlacedBody, Placement

Colour = tuple[float, float, float, float]

PART_COLOURS: dict[str, Colour] = {
    "motor": (0.24, 0.25, 0.28, 1.0),
    "gear": (0.58, 0.60, 0.63, 1.0),
    "encoder": (0.10, 0.30, 0.22, 1.0),
    "motor_cover": (0.35, 0.36, 0.38, 1.0),
    "screw_seal": (0.16, 0.16, 0.17, 1.0),
    "cable": (0.12, 0.12, 0.13, 1.0),
    "screw": (0.74, 0.76, 0.80, 1.0),
    "nut": (0.90, 0.87, 0.78, 1.0),
    "nut_half": (0.82, 0.78, 0.66, 1.0),
    "nut_spring": (0.62, 0.64, 0.68, 1.0),
}
ROLE_COLOURS: dict[Role, Colour] = {
    "actuator": (0.58, 0.60, 0.63, 1.0),
    "load": (0.23, 0.45, 0.72, 1.0),
    "guide": (0.50, 0.52, 0.56, 1.0),
    "housing": (0.80, 0.81, 0.83, 0.35),
    "cover": (0.86, 0.84, 0.78, 0.30),
    "electronics": (0.07, 0.42, 0.20, 1.0),
    "cable": (0.12, 0.12, 0.13, 1.0),
    "keep_out": (0.85, 0.20, 0.15, 0.25),
}


@dataclass(frozen=True)
class Unplaced:
    """A body that the design asks for but that cannot be placed: it stays unchecked, for this reason."""

    name: str
    reason: str
    fields: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Part:
    """One of the actuator's own parts: what the design says of it, and how its envelope is made."""

    name: str
    section: Any
    envelope: Callable[[Design], Shape | Missing]
    seat: float | None
    role: Role = "actuator"
    material: str = ""
    mass: float | None = None


def travel_of(design: Design) -> tuple[float, float]:
    """Give the travel that is checked (mm): hard stop to hard stop, or the stroke where there are none."""
    travel = design.motion.hard_stops or design.motion.stroke
    return travel.low, travel.high


def classes_of(design: Design) -> ClearanceClasses:
    """Give the required gap of each class of pairs (mm)."""
    given = design.clearance
    return ClearanceClasses(
        moving_to_fixed=given.moving_to_fixed,
        moving_to_electronics=given.moving_to_electronics,
        moving_to_cable=given.moving_to_cable,
        moving_to_moving=given.moving_to_moving,
        fixed_to_fixed=given.fixed_to_fixed,
    )


def contacts_of(design: Design) -> tuple[Contact, ...]:
    """Give the pairs that are meant to touch; nut and screw always are, by their thread (travel in mm)."""
    given = [
        Contact(
            pair.a, pair.b, None if pair.travel is None else (pair.travel.low, pair.travel.high), pair.overlap
        )
        for pair in design.contact
    ]
    known = [{pair.a, pair.b} for pair in given]
    given += [Contact(*pair) for pair in _own_contacts(design) if set(pair) not in known]
    return tuple(given)


def _own_contacts(design: Design) -> Iterator[tuple[str, str]]:
    """Give the pairs of the actuator's own parts that touch by what they are."""
    if design.nut.kind != "none":
        yield "nut", "screw"
    if design.nut.second is not None:
        yield from (("nut_half", "screw"), ("nut", "nut_spring"), ("nut_half", "nut_spring"))


def problems_of(design: Design) -> tuple[Problem, ...]:
    """Give every combination of sizes that makes no part, each at its field with the smallest repair."""
    return (
        *screw_problems(design),
        *nut_problems(design),
        *gear_problems(design),
        *train_problems(design),
        *motor_problems(design),
        *_seat_problems(design),
        *_name_problems(design),
    )


def _seat_problems(design: Design) -> Iterator[Problem]:
    travels = design.motion.travels
    for index, body in enumerate(design.moving):
        rides = {"frame": "", "screw end": "screw"}.get(body.on, "nut")
        if rides and rides != travels:
            yield Problem(
                f'"{body.name}" moves and sits on the {body.on}, but it is the {travels} that travels',
                f'write on = "{"nut" if travels == "nut" else "screw end"}", or travels = "{rides}"',
                field=f"moving[{index}].on",
            )
    if design.nut.kind == "flanged":
        return
    for index, body in enumerate(design.moving):
        if body.on == "nut flange":
            yield Problem(
                f'"{body.name}" sits on the nut\'s flange, but the nut is {design.nut.kind}',
                'write on = "nut" and z from its near face, or give the nut kind = "flanged"',
                field=f"moving[{index}].on",
            )


def _name_problems(design: Design) -> Iterator[Problem]:
    if not design.housing.file:
        return
    for field, body in _user_bodies(design):
        if body.name == "housing":
            yield Problem(
                'the name "housing" is taken by the housing\'s file',
                'write "housing_2" or a better name',
                field=f"{field}.name",
            )


def bodies_of(design: Design) -> tuple[Body, ...]:
    """Give every body at s = 0: the actuator's own, what moves, what stands, housing, keep-outs (mm, kg).

    Raises InputError with every problem of `problems_of`. A body that the design does not describe enough is
    left out and listed by `unplaced_of`.
    """
    if problems := problems_of(design):
        raise InputError(*_with_places(design, problems))
    own = [body for part in _parts(design) if not isinstance(body := _own_body(design, part), Missing)]
    users = [
        body
        for _, given in _user_bodies(design)
        if not isinstance(body := _user_body(design, given), Missing)
    ]
    return (*own, *users, *_housing_file(design))


def unplaced_of(design: Design) -> tuple[Unplaced, ...]:
    """Give the bodies that the design asks for but does not describe enough, and what they lack."""
    own = [(part.name, _own_body(design, part)) for part in _parts(design)]
    found = [_lacking(name, body) for name, body in own if isinstance(body, Missing)]
    placed = [(given.name, _user_body(design, given)) for _, given in _user_bodies(design)]
    found += [_lacking(name, body) for name, body in placed if isinstance(body, Missing)]
    found += [
        Unplaced(
            name, f'has no envelope of its own; give it as a [[fixed]] body "{name}_body" with its shape'
        )
        for name in ("coupling", "brake")
        if getattr(design, name) is not None
    ]
    return tuple(found)


def _lacking(name: str, needs: Missing) -> Unplaced:
    return Unplaced(name, f"needs {', '.join(needs.fields)}", needs.fields)


def _with_places(design: Design, problems: tuple[Problem, ...]) -> Iterator[Problem]:
    for problem in problems:
        line, column = design.place(problem.field)
        yield replace(problem, file=design.path, line=line, column=column)


def _parts(design: Design) -> Iterator[_Part]:
    at, motor = stations_of(design), design.motor
    if motor is not None:
        yield _Part("motor", motor, motor_envelope, at.gear_rear)
    if design.gears is not None:
        yield _Part("gear", design.gears, gear_envelope, 0.0)
    if motor is not None and motor.encoder is not None:
        yield _Part("encoder", motor.encoder, encoder_envelope, at.motor_rear)
    if motor is not None and motor.cover is not None:
        yield _Part("motor_cover", motor.cover, cover_envelope, None)
    if design.seal is not None:
        yield _Part("screw_seal", design.seal, seal_envelope, None)
    if design.service.cable is not None:
        yield _Part("cable", design.service.cable, cable_envelope, at.rear, role="cable")
    yield _Part("screw", design.screw, screw_envelope, design.screw.position)
    yield from _nut_parts(design, at.nut_near)


def _nut_parts(design: Design, seat: float | None) -> Iterator[_Part]:
    nut = design.nut
    if nut.kind == "none":
        return
    material = nut.material or ""
    yield _Part("nut", nut, nut_envelope, seat, material=material, mass=nut.mass)
    if nut.second is not None:
        half, spring = nut.second.mass, nut.second.spring_mass
        yield _Part("nut_half", None, half_envelope, None, material=material, mass=half)
        yield _Part("nut_spring", None, spring_envelope, None, mass=spring)


def _own_body(design: Design, part: _Part) -> Body | Missing:
    """The part as a body: its envelope, or the user's file, its origin in the part's front or near face."""
    file = getattr(part.section, "shape", None)
    shape: Shape | FileShape | Missing = part.envelope(design)
    if file and part.seat is not None:
        shape = FileShape(file, shift=(0.0, 0.0, part.seat))
    if isinstance(shape, Missing):
        return shape
    return Body(
        name=part.name,
        role=part.role,
        moves=part.name in moving_parts(design),
        shape=shape,
        part_of_actuator=True,
        material=part.material or getattr(part.section, "material", None) or "",
        mass_kg=part.mass or getattr(part.section, "mass", None),
        colour=PART_COLOURS[part.name],
        source=file or "envelope",
    )


UserBody = Moving | Fixed | HousingBody | KeepOut


def _user_bodies(design: Design) -> Iterator[tuple[str, UserBody]]:
    lists: tuple[tuple[str, tuple[UserBody, ...]], ...] = (
        ("moving", design.moving),
        ("fixed", design.fixed),
        ("housing.body", design.housing.body),
        ("keep_out", design.keep_out),
    )
    for name, bodies in lists:
        for index, body in enumerate(bodies):
            yield f"{name}[{index}]", body


def _user_body(design: Design, given: UserBody) -> Body | Missing:
    """A body of the user at s = 0, what sits on the nut raised by its seat."""
    height = _seat_height(design, given)
    if isinstance(height, Missing):
        return height
    role: Role = "keep_out" if isinstance(given, KeepOut) else given.role
    return Body(
        name=given.name,
        role=role,
        moves=isinstance(given, Moving),
        shape=_raised(shape_of(given), height),
        material=given.material or "",
        mass_kg=given.mass,
        centre=None if given.centre is None else (*given.centre[:2], given.centre[2] + height),
        colour=ROLE_COLOURS[role],
        source=given.file or "design file",
    )


def _raised(shape: Shape | FileShape, height: float) -> Shape | FileShape:
    if isinstance(shape, Shape):
        return raised_shape(shape, height)
    x, y, z = shape.shift
    return replace(shape, shift=(x, y, z + height))


def _seat_height(design: Design, given: UserBody) -> float | Missing:
    """How far above the frame's origin z is measured from."""
    if not isinstance(given, Moving) or given.on == "frame":
        return 0.0
    at = stations_of(design)
    if given.on == "screw end":
        return at.screw_end
    seat = at.nut_near if given.on == "nut" else at.nut_seat
    return missing(design, "nut.position", "nut.flange_thickness") if seat is None else seat


def _housing_file(design: Design) -> Iterator[Body]:
    housing = design.housing
    if housing.file:
        colour = ROLE_COLOURS[housing.role]
        shape = file_shape(housing)
        yield Body("housing", housing.role, False, shape, colour=colour, source=housing.file)


def solids_of(
    design: Design, placement: Placement, *, detailed: bool, bodies: Iterable[Body] | None = None
) -> tuple[tuple[Body, Any], ...]:
    """Build placed bodies at s = 0 as one valid solid each (TopoDS_Solid, mm), threads real or as cylinders.

    In detail a gear whose stages have teeth and modules is hollow, and its members follow it as bodies of
    their own. `bodies` limits the work to some of the placement's. An STL has no exact solid and is left out.
    Light and detailed solids have one bounding box. Raises InputError for sizes that make no solid.
    """
    wanted = None if bodies is None else {body.name for body in bodies}
    chosen = [placed for placed in placement.bodies if wanted is None or placed.body.name in wanted]
    pairs = (pair for placed in chosen for pair in _solids(design, placed, detailed))
    return tuple((body, solid) for body, solid in pairs if solid is not None)


def _solids(design: Design, placed: PlacedBody, detailed: bool) -> Iterator[tuple[Body, Any]]:
    body = placed.body
    own_gear = body.part_of_actuator and body.name == "gear" and placed.from_file is None
    train = gear_train(design) if detailed and own_gear and not why_no_teeth(design) else None
    if train is None:
        yield body, _solid(design, placed, detailed)
        if detailed and body.part_of_actuator and body.name == "nut" and placed.from_file is None:
            yield from _balls(design, body)
        return
    from geometry.gear_parts import gear_members, housing_shape
    from geometry.solids import solid_of

    rear = stations_of(design).gear_rear
    assert isinstance(body.shape, Shape)  # the gear is no file
    assert rear is not None  # gear_train needs its length
    yield body, solid_of(housing_shape(body.shape, train, rear), body.name)
    for member in gear_members(train):
        own = replace(body, name=f"gear_{member.name}", mass_kg=None, colour=member.colour, source="teeth")
        yield own, member.solid


def _balls(design: Design, nut: Body) -> Iterator[tuple[Body, Any]]:
    """The balls of a ball nut that are to be shown, each a body of its own that goes with the nut."""
    from geometry.ball_nut import ball_solids

    for number, solid in enumerate(ball_solids(design), start=1):
        colour = PART_COLOURS["screw"]
        yield replace(nut, name=f"nut_ball_{number}", mass_kg=None, colour=colour, source="balls"), solid


def _solid(design: Design, placed: PlacedBody, detailed: bool) -> Any:
    from geometry.housing import placed_solid
    from geometry.solids import solid_of

    body = placed.body
    if placed.from_file is not None:
        return placed_solid(placed.from_file)
    if body.part_of_actuator and body.name == "screw":
        return screw_solid(design, detailed=detailed)
    if body.part_of_actuator and body.name == "nut":
        return nut_solid(design, detailed=detailed)
    if body.part_of_actuator and body.name == "nut_half":
        return half_solid(design, detailed=detailed)
    assert isinstance(body.shape, Shape)  # a file body has its solid from its file
    return solid_of(body.shape, body.name)

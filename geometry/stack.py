"""The parts placed as one assembly at s = 0 in its surroundings: bodies, contacts, clearance classes (mm)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from geometry.bodies import Body, ClearanceClasses, Contact, FileShape, Role, Shape
from geometry.design_bodies import Fixed, HousingBody, KeepOut, Moving, file_shape, shape_of
from geometry.errors import InputError, Problem
from geometry.frames import Missing, missing, moving_parts, shifted_shape, stations_of
from geometry.gear_envelope import gear_problems
from geometry.gear_train import train_problems
from geometry.motor_problems import motor_problems
from geometry.nut_problems import nut_problems
from geometry.own_parts import PART_COLOURS, Colour, Part, own_parts
from geometry.push_rod import rod_problems
from geometry.screw_problems import screw_problems
from geometry.seal import is_drawn_out, seal_problems
from geometry.spur_train import spur_problems

if TYPE_CHECKING:
    from geometry.design import Design

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


class Unplaced(NamedTuple):
    """A body that the design asks for but that cannot be placed: it stays unchecked, for this reason."""

    name: str
    reason: str
    fields: tuple[str, ...] = ()


class Arrangement(NamedTuple):
    """Every body at s = 0 (mm, kg), and the bodies that the design does not describe enough."""

    bodies: tuple[Body, ...]
    unplaced: tuple[Unplaced, ...]


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
    if design.push_rod is not None and design.push_rod.guide is not None:
        yield "push_rod", "push_rod_bush"
    if is_drawn_out(design):  # fastened at both ends
        gears = design.gears
        own_gear = "spur_gear" if gears and gears.spur else "gear"
        foot = own_gear if gears else "motor" if design.motor else None
        top = "screw" if design.motion.travels == "screw" else "nut" if design.nut.kind != "none" else None
        yield from ((name, "screw_seal") for name in (foot, top) if name)


def problems_of(design: Design) -> tuple[Problem, ...]:
    """Give every combination of sizes that makes no part, each at its field with the smallest repair."""
    return (
        *screw_problems(design),
        *nut_problems(design),
        *gear_problems(design),
        *train_problems(design),
        *spur_problems(design),
        *motor_problems(design),
        *seal_problems(design),
        *rod_problems(design),
        *_seat_problems(design),
        *_bearing_problems(design),
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


def _bearing_problems(design: Design) -> Iterator[Problem]:
    """A travelling nut must stay between the bearings of its screw."""
    ends, nut, travel = design.ends, design.nut, design.motion.hard_stops or design.motion.stroke
    if design.motion.travels != "nut" or nut.position is None:
        return
    low, high = nut.position + travel.low, nut.position + nut.length + travel.high
    if ends.near_bearing is not None and ends.near_bearing > low:
        yield Problem(
            f"the near bearing at z = {ends.near_bearing:g} mm is beyond the nut, whose near face comes to "
            f"{low:g} mm",
            f"write near_bearing below {low:g} mm",
            field="ends.near_bearing",
        )
    if ends.far_bearing is not None and ends.far != "free" and ends.far_bearing < high:
        yield Problem(
            f"the far bearing at z = {ends.far_bearing:g} mm stands in the way of the nut, whose far face "
            f"comes to {high:g} mm",
            f"write far_bearing above {high:g} mm",
            field="ends.far_bearing",
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


def arrangement_of(design: Design) -> Arrangement:
    """Place every body at s = 0: the actuator's own, what moves, what stands, housing, keep-outs (mm, kg).

    Raises InputError with every problem of `problems_of`.
    """
    if problems := problems_of(design):
        raise InputError(*_with_places(design, problems))
    made = [(part.name, _own_body(design, part)) for part in own_parts(design)]
    made += [(given.name, _user_body(design, given)) for _, given in _user_bodies(design)]
    lacking = [_lacking(name, body) for name, body in made if isinstance(body, Missing)]
    lacking += [
        Unplaced(
            name, f'has no envelope of its own; give it as a [[fixed]] body "{name}_body" with its shape'
        )
        for name in ("coupling", "brake")
        if getattr(design, name) is not None
    ]
    placed = (body for _, body in made if not isinstance(body, Missing))
    return Arrangement((*placed, *_housing_file(design)), tuple(lacking))


def _lacking(name: str, needs: Missing) -> Unplaced:
    return Unplaced(name, f"needs {', '.join(needs.fields)}", needs.fields)


def _with_places(design: Design, problems: tuple[Problem, ...]) -> Iterator[Problem]:
    for problem in problems:
        line, column = design.place(problem.field)
        yield replace(problem, file=design.path, line=line, column=column)


def _own_body(design: Design, part: Part) -> Body | Missing:
    """The part as a body: its envelope, or the user's file, its origin in the part's front or near face."""
    file = getattr(part.section, "shape", None)
    shape: Shape | FileShape | Missing = part.envelope(design)
    if file and part.seat is not None:
        x, y, z = part.shift
        shape = FileShape(file, shift=(x, y, z + part.seat))
    elif isinstance(shape, Shape):
        shape = shifted_shape(shape, part.shift)
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
        stretches=part.name == "screw_seal" and is_drawn_out(design),
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
        return shifted_shape(shape, (0.0, 0.0, height))
    x, y, z = shape.shift
    return shape._replace(shift=(x, y, z + height))


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

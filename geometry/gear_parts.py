"""The members of a gear with teeth where they stand: gears, carriers, bearings, housing (mm)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from geometry.bodies import Body, Cylinder, Point, Primitive, Shape
from geometry.frames import required, shifted_shape, stations_of
from geometry.gear_blanks import Toothed
from geometry.gear_envelope import gear_envelope
from geometry.gear_train import PIN_PLAY, SHAFT_PLAY, GearTrain, PlacedStage, gear_train, why_no_teeth
from geometry.meshes import Mesh, mesh_of
from geometry.spur_train import SpurTrain, placed_spur
from geometry.toothed_meshes import toothed_mesh

if TYPE_CHECKING:
    from geometry.design import Design

Colour = tuple[float, float, float, float]

SUN: Colour = (0.62, 0.64, 0.68, 1.0)
PLANET: Colour = (0.80, 0.68, 0.36, 1.0)
RING: Colour = (0.44, 0.46, 0.50, 1.0)
CARRIER: Colour = (0.55, 0.40, 0.30, 1.0)
BEARING: Colour = (0.78, 0.80, 0.83, 1.0)


@dataclass(frozen=True, eq=False)
class Member:
    """A part of the gear train: name within the gear, form where it stands, colour."""

    name: str
    form: Shape | Toothed
    colour: Colour


def toothed_parts(design: Design, body: Body) -> tuple[Shape, tuple[Member, ...]] | None:
    """Give the hollow housing and the members of a gear whose teeth are known, where they stand (mm).

    None for other bodies, for what comes from a file, and where `why_no_teeth` has a reason.
    """
    if not (body.part_of_actuator and isinstance(body.shape, Shape)):
        return None
    if body.name == "spur_gear" and (spur := placed_spur(design)):
        return spur_housing(spur), spur_members(spur)
    if body.name != "gear" or why_no_teeth(design) or (train := gear_train(design)) is None:
        return None
    at = stations_of(design)
    shift = (*at.offset, at.gear_front or 0.0)
    housing = housing_shape(required(gear_envelope(design), body.name), train, train.rear)
    return shifted_shape(housing, shift), tuple(_shifted(member, shift) for member in gear_members(train))


def _shifted(member: Member, shift: Point) -> Member:
    form = member.form
    if isinstance(form, Shape):
        return replace(member, form=shifted_shape(form, shift))
    (x, y, z), (low, high) = shift, form.span
    return replace(member, form=replace(form, x=form.x + x, y=form.y + y, span=(low + z, high + z)))


def housing_shape(envelope: Shape, train: GearTrain, rear: float) -> Shape:
    """Give the gear's envelope hollowed for its stages, with the holes for motor shaft and output (mm)."""
    output = train.output
    low, high = train.hollow
    cuts: list[Primitive] = [
        _round(train.hollow_radius, low, high),
        _round(train.stages[0].sun_bore / 2.0 + SHAFT_PLAY, rear, low),
        _round(output.shaft_radius + SHAFT_PLAY, high, 0.0),
    ]
    if output.flange is not None:
        cuts.append(_round(output.flange[0] + SHAFT_PLAY, -output.flange_depth, 0.0))
    if output.bearings:
        cuts.append(_round(output.bearing_radius, output.bearings[-1][0], 0.0 - output.flange_depth))
    return Shape(envelope.adds, (*envelope.cuts, *cuts))


def _round(radius: float, low: float, high: float, x: float = 0.0, y: float = 0.0) -> Cylinder:
    return Cylinder("z", (x, y), radius, (low, high))


def gear_members(train: GearTrain) -> tuple[Member, ...]:
    """Give every member but the housing."""
    members = [member for index in range(len(train.stages)) for member in _stage(train, index)]
    return (*members, *_output(train))


def member_solids(members: Iterable[Member]) -> Iterator[tuple[Member, Any]]:
    """Build members as one valid solid each (TopoDS_Solid); a stage's planets share one geometry.

    Raises ShapeError as `gear_solid` and `ring_solid` do.
    """
    from geometry.gear_solid import blank_solid, placed_solid
    from geometry.solids import solid_of

    cut: dict[tuple[int, float, float], Any] = {}  # by the very teeth
    for member in members:
        form = member.form
        if isinstance(form, Shape):
            yield member, solid_of(form, member.name)
            continue
        key = id(form.teeth), form.width, form.round_diameter
        if key not in cut:
            cut[key] = blank_solid(form)
        yield member, placed_solid(cut[key], turn=form.turn, x=form.x, y=form.y, z=form.span[0])


def member_mesh(member: Member, tolerance: float) -> Mesh:
    """Mesh a member where it stands within `tolerance` (mm), without the CAD kernel. Raises ShapeError."""
    form = member.form
    return mesh_of(form, tolerance) if isinstance(form, Shape) else toothed_mesh(form, tolerance)


def _stage(train: GearTrain, index: int) -> Iterator[Member]:
    placed = train.stages[index]
    stage, name, span = placed.stage, f"stage_{index + 1}", placed.teeth
    yield Member(f"{name}_sun", Toothed(stage.sun, span, placed.sun_bore), SUN)
    for number, angle in enumerate(stage.planet_angles(), start=1):
        x, y = stage.centre_distance * math.cos(angle), stage.centre_distance * math.sin(angle)
        planet = Toothed(stage.planet, span, placed.planet_bore, stage.planet_turn(angle), x, y)
        yield Member(f"{name}_planet_{number}", planet, PLANET)
    ring = Toothed(stage.ring, span, 2.0 * train.hollow_radius, stage.ring_turn())
    yield Member(f"{name}_ring", ring, RING)
    yield Member(f"{name}_carrier", _carrier(train, index), CARRIER)


def _carrier(train: GearTrain, index: int) -> Shape:
    """A disc with the planets' pins behind it, and before it the next sun's shaft, or the output."""
    placed = train.stages[index]
    low, high = placed.disc
    adds: list[Primitive] = [_round(placed.disc_radius, low, high), *_pins(placed)]
    if index + 1 < len(train.stages):
        after = train.stages[index + 1]
        adds.append(_round(after.sun_bore / 2.0, high, after.teeth[1]))
    else:
        adds.append(_round(train.output.shaft_radius, high, 0.0))
    return Shape(tuple(adds))


def _pins(placed: PlacedStage) -> Iterator[Cylinder]:
    distance, radius = placed.stage.centre_distance, placed.planet_bore / 2.0 - PIN_PLAY
    for angle in placed.stage.planet_angles():
        x, y = distance * math.cos(angle), distance * math.sin(angle)
        yield _round(radius, placed.teeth[0], placed.disc[0], x, y)


def _output(train: GearTrain) -> Iterator[Member]:
    """The flange on the output shaft, and its bearings as rings: envelopes, as bought."""
    output = train.output
    if output.flange is not None:
        radius, thickness = output.flange
        yield Member("output_flange", _tube(output.shaft_radius, radius, -thickness, 0.0), CARRIER)
    for number, (low, high) in enumerate(output.bearings, start=1):
        ring = _tube(output.shaft_radius, output.bearing_radius, low, high)
        yield Member(f"output_bearing_{number}", ring, BEARING)


def _tube(inner: float, outer: float, low: float, high: float) -> Shape:
    return Shape((_round(outer, low, high),), (_round(inner, low, high),))


def spur_housing(train: SpurTrain) -> Shape:
    """Give the housing of a spur stage hollowed for its gears, with the holes for both shafts (mm)."""
    envelope, (low, high), (x, y) = train.housing(), train.hollow, train.offset
    (wheel, pinion), (wheel_bore, pinion_bore) = train.hollow_radii, train.bores
    return Shape(
        envelope.adds,
        (
            _round(wheel, low, high),
            _round(pinion, low, high, x, y),
            _round(wheel_bore / 2.0 + SHAFT_PLAY, high, 0.0),
            _round(pinion_bore / 2.0 + SHAFT_PLAY, -train.length, low, x, y),
        ),
    )


def spur_members(train: SpurTrain) -> tuple[Member, ...]:
    """Give wheel, pinion and output shaft of a spur stage, in mesh."""
    stage, (x, y) = train.stage, train.offset
    wheel_bore, pinion_bore = train.bores
    way = math.atan2(y, x)
    # A tooth of the wheel points at the pinion, which meets it with the middle of a space.
    facing = way + math.pi + stage.pinion.pitch / 2.0
    return (
        Member("wheel", Toothed(stage.wheel, train.teeth, wheel_bore, way), PLANET),
        Member("pinion", Toothed(stage.pinion, train.teeth, pinion_bore, facing, x, y), SUN),
        Member("shaft", Shape((_round(wheel_bore / 2.0, train.teeth[0], 0.0),)), CARRIER),
    )

from __future__ import annotations

import math

import pytest

from exports.part_meshes import part_meshes
from geometry.bodies import Body, Box, Cylinder, FileShape, Prism, Shape
from geometry.design import Design, read_text
from geometry.errors import InputError
from geometry.frames import frames_of, moving_parts, stations_of
from geometry.meshes import manifold_of, signed_volume
from geometry.placed import place
from geometry.solid_meshes import mesh_of_solid
from geometry.solids import bounding_box, volume_of_solid
from geometry.spur_stage import design_spur
from geometry.spur_train import placed_spur, spur_notes, spur_train
from geometry.stack import arrangement_of, problems_of
from geometry.stack_solids import solids_of
from geometry.stack_words import stack_parts, stack_sentence

BASE = """
[motion]
stroke = "0..20 mm"
speed = "10 mm/s"
mass = "0.1 kg"
{motion}
[screw]
thread = "Tr8x1.5"
length = "60 mm"
[nut]
friction = 0.15
length = "8 mm"
position = "15 mm"
body_diameter = "14 mm"
[gears]
{gears}
[gears.spur]
pinion = {pinion}
wheel = 42
module = "0.5 mm"
direction = {direction}
{spur}
[motor]
{motor}
[motor.encoder]
diameter = "15 mm"
length = "8 mm"
[motor.cover]
diameter = "20 mm"
length = "24 mm"
wall = "1 mm"
[service.cable]
diameter = "3 mm"
{more}
"""
ROUND = 'diameter = "16 mm"\nlength = "30 mm"'
STEPPER = 'frame = "NEMA 11"\nlength = "30 mm"'
INLINE = 'diameter = "16 mm"\nlength = "16 mm"'
MOUNT = '[gears.mount]\npilot_diameter = "10 mm"\npilot_height = "1 mm"\npilot_bore = "9 mm"'
STAGE = '[[gears.stage]]\nsun = 12\nplanet = 12\nring = 36\nmodule = "0.3 mm"'
DISTANCE = design_spur(14, 42, module=0.5).centre_distance


def design(
    gears: str = "",
    spur: str = 'width = "5 mm"',
    direction: str = "[1, 0, 0]",
    motor: str = ROUND,
    motion: str = "",
    more: str = "",
    pinion: int = 14,
) -> Design:
    return read_text(
        BASE.format(
            gears=gears, spur=spur, direction=direction, motor=motor, motion=motion, more=more, pinion=pinion
        )
    )


def bodies(made: Design) -> dict[str, Body]:
    return {body.name: body for body in arrangement_of(made).bodies}


def first(body: Body) -> object:
    assert isinstance(body.shape, Shape)
    return body.shape.adds[0]


@pytest.mark.parametrize("direction", [(1.0, 0.0), (0.6, -0.8), (-0.8, 0.6)])
def test_the_motors_side_stands_beside_the_screw_by_the_centre_distance(
    direction: tuple[float, float],
) -> None:
    made = design(direction=f"[{direction[0]}, {direction[1]}, 0]")
    found, length = bodies(made), stations_of(made).gear_front
    assert length is not None
    centre = tuple(pytest.approx(DISTANCE * part) for part in direction)
    assert first(found["motor"]) == Cylinder("z", centre, 8.0, (length - 30.0, length))  # type: ignore[arg-type] # approx
    encoder, cover, cable = (first(found[name]) for name in ("encoder", "motor_cover", "cable"))
    for piece in (encoder, cover, cable):
        assert isinstance(piece, Cylinder)
        assert piece.centre == centre
    screw = first(found["screw"])
    assert isinstance(screw, Cylinder)
    assert screw.centre == (0.0, 0.0)
    (rear,) = [frame for frame in frames_of(made) if frame.name == "motor_rear"]
    assert rear.origin == (*centre, pytest.approx(length - 30.0))


def test_the_housing_is_the_hull_around_wheel_and_pinion() -> None:
    made = design()
    train = spur_train(made)
    assert train is not None
    housing = first(bodies(made)["spur_gear"])
    assert isinstance(housing, Prism)
    assert housing.span == (-train.length, 0.0)
    (x0, y0, _), (x1, _, _) = bounding_box(solids_of(made, place(made), detailed=False)[1][1])
    wheel, pinion = train.stage.wheel.tip_radius, train.stage.pinion.tip_radius
    around = train.gap + train.wall
    assert (x0, y0, x1) == pytest.approx(
        (-wheel - around, -wheel - around, DISTANCE + pinion + around), abs=1e-6
    )


def test_an_inline_gear_stands_between_spur_stage_and_motor_with_its_teeth() -> None:
    made = design(f"{INLINE}", more=STAGE, direction="[0, 1, 0]")
    at = stations_of(made)
    assert at.gear_front is not None
    assert (at.gear_rear, at.motor_rear) == (at.gear_front - 16.0, at.gear_front - 46.0)
    gear = first(bodies(made)["gear"])
    assert gear == Cylinder("z", (0.0, pytest.approx(DISTANCE)), 8.0, (at.gear_rear, at.gear_front))  # type: ignore[arg-type] # approx
    solids = {body.name: solid for body, solid in solids_of(made, place(made), detailed=True)}
    low, high = bounding_box(solids["gear_stage_1_sun"])
    assert ((low[1] + high[1]) / 2, low[0] + high[0]) == pytest.approx((DISTANCE, 0.0), abs=1e-3)
    assert at.gear_rear < low[2] < high[2] < at.gear_front
    box = bounding_box(solids["gear"])
    assert (box[0][2], box[1][2]) == pytest.approx((at.gear_rear, at.gear_front), abs=1e-6)


def test_a_square_motor_and_a_file_stand_on_the_motors_axis_too() -> None:
    texts = [
        BASE.format(gears="", spur="", direction="[0, 1, 0]", motor=motor, motion="", more="", pinion=14)
        for motor in (STEPPER, f'{ROUND}\nshape = "motor.step"')
    ]
    made, own = (read_text(text[: text.index("[motor.encoder]")]) for text in texts)
    square = first(bodies(made)["motor"])
    assert isinstance(square, Prism)
    middle = [sum(part) / len(square.corners) for part in zip(*square.corners, strict=True)]
    assert middle == pytest.approx([0.0, DISTANCE], abs=1e-9)
    shape = bodies(own)["motor"].shape
    assert isinstance(shape, FileShape)
    assert shape.shift == pytest.approx((0.0, DISTANCE, stations_of(own).gear_front))


@pytest.mark.parametrize("direction", ["[1, 0, 0]", "[0.3, -0.7, 0]"])
def test_in_detail_wheel_and_pinion_mesh_within_their_hollow_housing(direction: str) -> None:
    made = design(direction=direction)
    solids = {body.name: solid for body, solid in solids_of(made, place(made), detailed=True)}
    parts = {
        name: manifold_of(mesh_of_solid(solids[f"spur_gear{name}"], 0.003))
        for name in ("", "_wheel", "_pinion", "_shaft")
    }
    for one, other in (("_wheel", "_pinion"), ("", "_wheel"), ("", "_pinion"), ("_pinion", "_shaft")):
        assert (parts[one] ^ parts[other]).volume() < 1e-9, (one, other)
    # Turned by more than its backlash either way the pinion's teeth run into the wheel's.
    train = placed_spur(made)
    assert train is not None
    x, y = train.offset
    turn = math.degrees(2.0 * train.stage.backlash / train.stage.pinion.base_radius)
    for way in (-1.0, 1.0):
        turned = parts["_pinion"].translate((-x, -y, 0.0)).rotate((0.0, 0.0, way * turn))
        assert (parts["_wheel"] ^ turned.translate((x, y, 0.0))).volume() > 1e-4


def test_solids_and_meshes_to_print_are_the_same_parts() -> None:
    made = design(INLINE, more=STAGE, direction="[0, 1, 0]")
    placement = place(made)
    solids = {body.name: solid for body, solid in solids_of(made, placement, detailed=True)}
    for placed in placement.bodies:
        if placed.body.name not in ("gear", "spur_gear"):
            continue
        for name, mesh in part_meshes(made, placed, 0.005):
            assert signed_volume(mesh) == pytest.approx(volume_of_solid(solids[name]), rel=0.01), name
            low, high = bounding_box(solids[name])
            assert [*mesh.bounds[0], *mesh.bounds[1]] == pytest.approx([*low, *high], abs=0.02)
    assert {"spur_gear_wheel", "spur_gear_pinion", "spur_gear_shaft", "gear_stage_1_sun"} <= set(solids)


def test_the_housing_moves_with_a_drive_that_goes_along() -> None:
    assert "spur_gear" in moving_parts(design(motion='turns = "nut"'))


def test_it_is_said_in_trade_words() -> None:
    assert stack_parts(design())["spur_gear"] == f"spur stage 14/42 module 0.5 mm offset {DISTANCE:.4g} mm"
    assert "gear" not in stack_parts(design())
    both = stack_sentence(design(f"{INLINE}\nratio = 12"))
    assert "gear 4:1 16 x 16 mm, spur stage 14/42" in both
    assert "1-stage planetary gear 4:1" in stack_sentence(design(INLINE, more=STAGE))
    (note,) = spur_notes(design())
    assert "14/42, module 0.5 mm, centre distance" in note
    assert "backlash 25 um" in note


@pytest.mark.parametrize(
    ("made", "field", "said", "repair"),
    [
        (design(direction="[1, 0, 1]"), "gears.spur.direction", "leans 45 deg along it", "across the screw"),
        (design(spur='width = "5 mm"\nlength = "6 mm"'), "gears.spur.length", "needs 8.", "or more"),
        (design(pinion=4), "gears.spur", "spur stage: ", ""),
        (design(INLINE), "gears", "its ratio is not known", "write ratio = motor : screw in all"),
        (
            design(
                more='[gears.mount]\npilot_diameter = "10 mm"\npilot_height = "1 mm"\npilot_bore = "9 mm"'
            ),
            "gears.mount",
            "lies against the spur stage",
            "leave mount out",
        ),
    ],
)
def test_what_cannot_be_built_is_said_with_number_and_repair(
    made: Design, field: str, said: str, repair: str
) -> None:
    (problem,) = problems_of(made)
    assert problem.field == field
    assert said in problem.message
    assert repair in problem.repair
    with pytest.raises(InputError):
        arrangement_of(made)


def test_the_housing_may_be_longer_than_it_needs() -> None:
    made = design(spur='width = "5 mm"\nlength = "12 mm"')
    train = spur_train(made)
    assert train is not None
    assert (train.length, train.hollow[0] < train.teeth[0] < train.teeth[1] < train.hollow[1]) == (12.0, True)
    assert problems_of(made) == ()
    assert arrangement_of(made).unplaced == ()


def test_the_cable_room_is_measured_from_the_motors_axis() -> None:
    from calcs.check_design import check_design

    floor = '[[fixed]]\nname = "floor"\nbox = ["{}", "-5..5 mm", "-90..-80 mm"]'
    beside = design(more=floor.format("-5..5 mm"))
    before = design(more=floor.format("10..20 mm"))
    rows = [{row.id: row for row in check_design(made).results} for made in (beside, before)]
    assert rows[0]["service.cable_room"].value is None
    room = 80.0 + (stations_of(before).rear or 0.0)
    assert rows[1]["service.cable_room"].value == pytest.approx(room)
    assert Box((10.0, -5.0, -90.0), (20.0, 5.0, -80.0)) == first(bodies(before)["floor"])

from __future__ import annotations

import math

import pytest

from geometry.bodies import Body, Box, Shape
from geometry.cable import cable_envelope
from geometry.design import Design, read_text
from geometry.frames import frames_of
from geometry.meshes import mesh_faults
from geometry.motor import cover_envelope, motor_envelope, nema_frames
from geometry.motor_problems import motor_problems
from geometry.placed import place
from geometry.seal import seal_envelope
from geometry.solids import bounding_box, solid_of, volume_of_solid
from geometry.stack import arrangement_of, problems_of

BASE = """
[motion]
stroke = "0..20 mm"
speed = "10 mm/s"
mass = "0.1 kg"
{motion}
[screw]
thread = "Tr8x1.5"
length = "60 mm"
{screw}
[nut]
friction = 0.15
position = "15 mm"
length = "8 mm"
body_diameter = "14 mm"
material = "POM"
"""
ROUND = '[motor]\ndiameter = "16 mm"\nlength = "30 mm"'
NEMA = '[motor]\nkind = "stepper"\nframe = "NEMA 17"\nlength = "40 mm"'
GEARS = '[gears]\ndiameter = "16 mm"\nlength = "16 mm"'


def design(*lines: str, screw: str = "", motion: str = "") -> Design:
    return read_text("\n".join((BASE.format(screw=screw, motion=motion), *lines)))


def shape(found: object) -> Shape:
    assert isinstance(found, Shape)
    return found


def test_nema_bolt_circles_are_those_of_the_standard() -> None:
    # NEMA ICS 16 gives bolt circles of 1.725 in for size 17 and 2.625 in for size 23 (from memory).
    frames = nema_frames()
    assert list(frames) == [f"NEMA {size}" for size in (8, 11, 14, 17, 23, 24)]
    assert frames["NEMA 17"].spacing * math.sqrt(2) / 25.4 == pytest.approx(1.725, abs=0.002)
    assert frames["NEMA 23"].spacing * math.sqrt(2) / 25.4 == pytest.approx(2.625, abs=0.002)
    assert frames["NEMA 23"].pilot_diameter == pytest.approx(1.5 * 25.4, abs=0.01)
    assert frames["NEMA 17"].pilot_diameter == pytest.approx(0.866 * 25.4, abs=0.01)
    for frame in frames.values():
        assert frame.pilot_diameter + frame.hole < frame.spacing * math.sqrt(2)
        assert frame.spacing + frame.hole < frame.width < frame.corners < frame.width * math.sqrt(2)


@pytest.mark.parametrize("name", list(nema_frames()))
def test_a_stepper_with_the_screw_on_its_shaft_is_one_valid_solid(name: str) -> None:
    from OCP.BRepCheck import BRepCheck_Analyzer

    made, frame = design(NEMA.replace("NEMA 17", name)), nema_frames()[name]
    assert problems_of(made) == ()
    envelope = shape(motor_envelope(made))
    solid = solid_of(envelope, "motor")
    assert BRepCheck_Analyzer(solid).IsValid()
    body = solid_of(Shape(envelope.adds[:1]), "body")
    ring = math.pi / 4 * (frame.pilot_diameter**2 - 64) * frame.pilot_height
    holes = 4 * math.pi / 4 * frame.hole**2 * 4
    assert volume_of_solid(solid) == pytest.approx(volume_of_solid(body) + ring - holes, rel=1e-9)
    low, high = bounding_box(solid)
    half = frame.width / 2
    assert (*low, *high) == pytest.approx((-half, -half, -40, half, half, frame.pilot_height), abs=1e-6)


FRONT = """
[motor.front]
pilot_diameter = "9 mm"
pilot_height = "1.5 mm"
shaft_diameter = "3 mm"
shaft_length = "10 mm"
hole = "1.6 mm"
hole_circle = "12 mm"
holes = 2
hole_depth = "3 mm"
"""
CONNECTOR = """
[motor.connector]
width = "8 mm"
height = "5 mm"
length = "9 mm"
from_rear = "1 mm"
side = "{side}"
"""
TERMINALS = '[motor.terminals]\nspacing = "8 mm"\nwidth = "2.8 mm"\nthickness = "0.5 mm"\nlength = "5 mm"'


def test_a_motor_before_a_coupling_shows_pilot_shaft_holes_and_terminals() -> None:
    made = design(ROUND, FRONT, TERMINALS, screw='position = "12 mm"')
    assert problems_of(made) == ()
    solid = solid_of(shape(motor_envelope(made)), "motor")
    wanted = (
        math.pi * 64 * 30
        + math.pi * 4.5**2 * 1.5
        + math.pi * 2.25 * 8.5
        - 2 * math.pi * 0.64 * 3
        + 2 * 2.8 * 0.5 * 5
    )
    assert volume_of_solid(solid) == pytest.approx(wanted, rel=1e-9)
    low, high = bounding_box(solid)
    assert (low[2], high[2]) == pytest.approx((-35, 10), abs=1e-6)


def test_the_bolt_of_the_front_face_says_the_core_of_its_holes() -> None:
    tapped = design(ROUND, FRONT.replace('hole = "1.6 mm"', 'bolt = "M2"'))
    assert shape(motor_envelope(tapped)) == shape(motor_envelope(design(ROUND, FRONT)))


def test_behind_a_gear_pilot_and_shaft_lie_inside_it() -> None:
    made = design(ROUND, FRONT.replace('"10 mm"', '"15 mm"'), GEARS)
    assert len(shape(motor_envelope(made)).adds) == 1
    assert problems_of(made) == ()


@pytest.mark.parametrize(
    ("side", "box"),
    [("+y", (-8, 13)), ("-y", (-13, 8))],
)
@pytest.mark.parametrize("motor", [ROUND, ROUND.replace("diameter", "square")])
def test_a_connector_stands_on_its_side(motor: str, side: str, box: tuple[float, float]) -> None:
    made = design(motor, CONNECTOR.format(side=side))
    solid = solid_of(shape(motor_envelope(made)), "motor")
    low, high = bounding_box(solid)
    assert (low[1], high[1]) == pytest.approx(box, abs=1e-6)
    (motor_body,) = (body for body in place(made).bodies if body.body.name == "motor")
    assert mesh_faults(motor_body.mesh) == ()


ENCODER = '[motor.encoder]\ndiameter = "15.5 mm"\nlength = "8 mm"'
COVER = '[motor.cover]\ndiameter = "{}"\nlength = "20 mm"\nwall = "1 mm"'
CABLE = '[service.cable]\ndiameter = "3 mm"\nbend_factor = 4\n'


def test_a_cover_closes_the_rear_and_the_cable_leaves_it() -> None:
    made = design(ROUND, ENCODER, COVER.format("18 mm"), CABLE)
    assert problems_of(made) == ()
    solid = solid_of(shape(cover_envelope(made)), "cover")
    assert volume_of_solid(solid) == pytest.approx(math.pi * (81 * 20 - 64 * 19), rel=1e-9)
    low, high = bounding_box(solid)
    assert (low[2], high[2]) == pytest.approx((-39, -19), abs=1e-6)
    assert shape(cable_envelope(made)).adds[0].span == pytest.approx((-57, -39))  # type: ignore[union-attr]  # a cylinder


def test_a_cable_takes_room_to_the_side_to_which_it_bends() -> None:
    made = design(ROUND, CABLE + "bend = [-1, 0, 0]")
    column, bend = shape(cable_envelope(made)).adds
    assert bend == Box((-13.5, -1.5, -48.0), (0.0, 1.5, -33.0))
    assert column.span == (-48.0, -30.0)  # type: ignore[union-attr]  # a cylinder
    assert motor_problems(made) == ()


SEAL = '[seal]\nkind = "{}"\ndiameter = "{}"\nbore = "{}"\nlength = "{}"'


def test_a_lip_seal_sits_on_the_pilot() -> None:
    made = design(NEMA, SEAL.format("lip", "18 mm", "9 mm", "4 mm"))
    assert problems_of(made) == ()
    (ring,) = shape(seal_envelope(made)).adds
    assert (ring.radius, ring.span) == (9.0, (2.0, 6.0))  # type: ignore[union-attr]  # a cylinder


@pytest.mark.parametrize(
    ("lines", "field", "says"),
    [
        ((NEMA, 'square = "42 mm"'), "motor.square", "leave square out"),
        ((ROUND, 'square = "20 mm"'), "motor.diameter", "above 20 mm"),
        (
            (ROUND, FRONT.replace('"9 mm"', '"16 mm"').replace("holes = 2", "")),
            "motor.front.pilot_diameter",
            "below 16 mm",
        ),
        ((ROUND, FRONT.replace('"12 mm"', '"15 mm"')), "motor.front.hole_circle", "smaller hole_circle"),
        ((ROUND, 'bore = "4 mm"', FRONT), "motor.front.shaft_length", "leave shaft_length or bore out"),
        ((NEMA, 'bore = "22 mm"'), "motor.front.pilot_diameter", "above 22 mm"),
        ((ROUND, FRONT.replace('"12 mm"', '"9 mm"')), "motor.front.hole_circle", "above 10.6 mm"),
        ((ROUND, FRONT, 'bolt = "M2"'), "motor.front.bolt", "keep hole or bolt"),
        ((ROUND, FRONT.replace('hole = "1.6 mm"', 'bolt = "Q2"')), "motor.front.bolt", ""),
        ((ROUND, FRONT.replace("holes = 2", "holes = 30")), "motor.front.holes", "fewer holes"),
        ((ROUND, FRONT.replace('"10 mm"', '"17 mm"'), GEARS), "motor.front.shaft_length", "16 mm or less"),
        (
            (ROUND, CONNECTOR.format(side="+x").replace('"1 mm"', '"22 mm"'), GEARS),
            "motor.connector.from_rear",
            "30 mm together",
        ),
        (
            (ROUND, CONNECTOR.format(side="+x").replace('"8 mm"', '"16 mm"')),
            "motor.connector.width",
            "below 16 mm",
        ),
        ((ROUND, TERMINALS.replace('"8 mm"', '"16 mm"')), "motor.terminals.spacing", "smaller spacing"),
        ((ROUND, 'bore = "8 mm"', TERMINALS), "motor.terminals.spacing", "above 8.5 mm"),
        ((ROUND, TERMINALS, ENCODER), "motor.terminals", "leave terminals out"),
        ((ROUND, 'bore = "16 mm"'), "motor.bore", "below 16 mm"),
        ((ROUND, ENCODER, 'bore = "15.5 mm"'), "motor.encoder.bore", "below 15.5 mm"),
        ((ROUND, ENCODER, COVER.format("17 mm")), "motor.cover.diameter", "18 mm or more"),
        (
            (ROUND, COVER.format("20 mm").replace('"20 mm"\nwall = "1 mm"', '"1 mm"\nwall = "1 mm"')),
            "motor.cover.length",
            "above 1 mm",
        ),
        ((ROUND, SEAL.format("lip", "9 mm", "9 mm", "4 mm")), "seal.bore", "below 9 mm"),
        ((ROUND, SEAL.format("lip", "12 mm", "7 mm", "4 mm")), "seal.bore", "8 mm or more"),
        ((ROUND, CABLE + "bend = [0, 0, 1]"), "service.cable.bend", "a side across"),
        ((ROUND, GEARS, 'bore = "16 mm"'), "gears.bore", "below 16 mm"),
    ],
)
def test_what_runs_into_its_neighbour_is_refused_with_its_repair(
    lines: tuple[str, ...], field: str, says: str
) -> None:
    (problem,) = problems_of(design(*lines))
    assert problem.field == field
    assert says in problem.repair


def test_a_shaft_that_reaches_into_the_screw_is_refused() -> None:
    (problem,) = motor_problems(design(ROUND, FRONT, screw='position = "9 mm"'))
    assert problem.field == "motor.front.shaft_length"
    assert "write a screw.position of 10 mm or more, or 0" in problem.repair


def moving(made: Design) -> set[str]:
    return {body.name for body in arrangement_of(made).bodies if body.moves}


@pytest.mark.parametrize(
    ("turns", "travels", "wanted"),
    [
        ("screw", "nut", {"nut"}),
        ("nut", "screw", {"screw"}),
        ("screw", "screw", {"screw", "motor", "gear", "cable"}),
        ("nut", "nut", {"nut", "motor", "gear", "cable"}),
    ],
)
def test_what_turns_takes_its_drive_along(turns: str, travels: str, wanted: set[str]) -> None:
    made = design(ROUND, GEARS, CABLE, motion=f'turns = "{turns}"\ntravels = "{travels}"')
    assert moving(made) == wanted
    moves = {frame.name for frame in frames_of(made) if frame.moves}
    assert ("screw_end" in moves) == ("screw" in wanted)
    assert ("motor_rear" in moves) == ("motor" in wanted)


TRAVELLING = """
[motor]
diameter = "28 mm"
length = "30 mm"
bore = "{bore}"
[[moving]]
name = "plunger"
on = "screw end"
box = ["-5..5 mm", "-5..5 mm", "0..4 mm"]
[[fixed]]
name = "wall"
box = ["-20..20 mm", "-20..20 mm", "-66..-60 mm"]
"""


def travelling(bore: str) -> Design:
    return design(
        TRAVELLING.format(bore=bore),
        screw='position = "-50 mm"',
        motion='turns = "nut"\ntravels = "screw"\nhard_stops = "-15..25 mm"',
    )


def bodies(made: Design) -> dict[str, Body]:
    return {body.name: body for body in arrangement_of(made).bodies}


def test_a_travelling_screw_sweeps_behind_the_motor_and_fit_sees_it() -> None:
    from calcs.fit_design import fit_design

    made = travelling("10 mm")
    plunger = bodies(made)["plunger"].shape
    assert isinstance(plunger, Shape)
    assert plunger.adds[0] == Box((-5.0, -5.0, 10.0), (5.0, 5.0, 14.0))
    report = fit_design(made)
    pairs = {frozenset((pair.a, pair.b)): pair for pair in report.pairs}
    wall = pairs[frozenset(("screw", "wall"))]
    assert wall.verdict == "FAIL"  # z = -50 - 15 at the low stop, the wall begins at -60
    assert wall.gap is not None
    assert wall.gap.nominal < 0.0
    bore = pairs[frozenset(("screw", "motor"))]
    assert bore.gap is not None
    assert bore.gap.nominal == pytest.approx(1.0, abs=0.01)


def test_a_body_on_what_stands_still_is_refused() -> None:
    made = design('[[moving]]\nname = "arm"\non = "screw end"\nbox = ["0..1 mm", "0..1 mm", "0..1 mm"]')
    (problem,) = problems_of(made)
    assert problem.field == "moving[0].on"
    assert 'write on = "nut"' in problem.repair


def test_the_engagement_of_a_travelling_screw_counts_from_its_other_end() -> None:
    from calcs.check_design import check_design

    results = {row.id: row for row in check_design(travelling("10 mm")).results}
    # The thread reaches from -50 to 10, the nut from 15 to 23: off the thread unless the screw goes out.
    retracted = results["travel.engagement_retracted"]
    assert retracted.value == pytest.approx(-28.0)  # 10 - 15 - 23 mm
    extended = results["travel.engagement_extended"]
    assert extended.value == pytest.approx(40.0)  # 15 - (-50) - 25 mm


WALL = '[[fixed]]\nname = "wall"\nbox = ["-20..20 mm", "-20..20 mm", "-110..-100 mm"]'


def test_a_bend_with_a_side_needs_no_caution() -> None:
    from calcs.check_design import check_design

    for bend, cautions in (("", 1), ("bend = [1, 0, 0]", 0)):
        results = {row.id: row for row in check_design(design(ROUND, CABLE + bend, WALL)).results}
        said = [text for text in results["service.cable_room"].cautions if "to the side" in text]
        assert len(said) == cautions

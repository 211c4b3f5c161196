from __future__ import annotations

import math

import pytest

from geometry.bodies import Body, Cylinder, Shape
from geometry.design import Design, read_text
from geometry.errors import InputError
from geometry.frames import frames_of, moving_parts
from geometry.placed import place
from geometry.solids import volume_of_solid
from geometry.stack import arrangement_of, contacts_of, problems_of
from geometry.stack_solids import solids_of
from geometry.stack_words import stack_parts, stack_sentence

BASE = """
[motion]
stroke = "0..60 mm"
hard_stops = "-4..64 mm"
speed = "25 mm/s"
mass = "0.45 kg"
{motion}
[screw]
thread = "Tr8x1.5"
length = "96 mm"
position = "8 mm"
{screw}
[nut]
length = "16 mm"
friction = 0.15
{nut}
[push_rod]
diameter = "14 mm"
{rod}
"""
NUT = 'position = "14 mm"\nbody_diameter = "15 mm"\nmaterial = "POM"'
TUBE = 'bore = "9.2 mm"\nlength = "120 mm"'
BUSH = '[push_rod.guide]\nbore = "{bore}"\ndiameter = "20 mm"\nlength = "20 mm"\nposition = "112 mm"'
GUIDED = f"{TUBE}\n{BUSH.format(bore='14.05 mm')}"


def design(rod: str = GUIDED, motion: str = "", screw: str = "", nut: str = NUT) -> Design:
    return read_text(BASE.format(rod=rod, motion=motion, screw=screw, nut=nut))


def bodies(made: Design) -> dict[str, Body]:
    return {body.name: body for body in arrangement_of(made).bodies}


def test_a_tube_goes_on_from_the_nut_over_the_screw_and_its_bush_stands() -> None:
    found = bodies(design())
    tube, bush = found["push_rod"], found["push_rod_bush"]
    assert tube.shape == Shape(
        (Cylinder("z", (0.0, 0.0), 7.0, (30.0, 150.0)),), (Cylinder("z", (0.0, 0.0), 4.6, (30.0, 150.0)),)
    )
    assert isinstance(bush.shape, Shape)
    assert bush.shape.adds[0].span == (112.0, 132.0)  # type: ignore[union-attr] # a cylinder
    assert (tube.moves, tube.material, bush.moves, bush.part_of_actuator) == (True, "steel", False, True)
    assert ("push_rod", "push_rod_bush") in {(c.a, c.b) for c in contacts_of(design())}


def test_a_travelling_screw_carries_a_solid_rod_at_its_end() -> None:
    made = design(
        f'length = "94 mm"\n{BUSH.format(bore="14 mm")}'.replace("112 mm", "177 mm"),
        motion='travels = "screw"\nturns = "nut"',
        screw='far_journal = { diameter = "5 mm", length = "9 mm" }',
    )
    rod = bodies(made)["push_rod"]
    assert rod.shape == Shape((Cylinder("z", (0.0, 0.0), 7.0, (113.0, 207.0)),))
    assert {"push_rod", "screw"} <= moving_parts(made)
    assert "push_rod_bush" not in moving_parts(made)


def test_a_travelling_screw_must_not_follow_its_rod_into_the_bush() -> None:
    made = design(
        f'length = "94 mm"\n{BUSH.format(bore="14 mm")}'.replace("112 mm", "176.9 mm"),
        motion='travels = "screw"\nturns = "nut"',
        screw='far_journal = { diameter = "5 mm", length = "9 mm" }',
    )
    with pytest.raises(InputError) as refused:
        bodies(made)
    (problem,) = refused.value.problems
    assert problem.field == "push_rod.guide.position"
    assert problem.message.startswith("at s = 64 mm the screw ends and the rod begins at z = 177 mm")
    assert problem.repair == "write a position of 177 mm or more"


def test_the_rods_end_is_a_named_frame_that_moves() -> None:
    (end,) = [frame for frame in frames_of(design()) if frame.name == "push_rod_end"]
    assert (end.origin, end.moves) == ((0.0, 0.0, 150.0), True)
    assert "push_rod_end" not in {f.name for f in frames_of(read_text(BASE.split("[push_rod]")[0].format(
        motion="", screw="", nut=NUT)))}  # fmt: skip


def test_rod_and_bush_are_solids_of_their_closed_form() -> None:
    made = design()
    solids = {body.name: solid for body, solid in solids_of(made, place(made), detailed=True)}
    tube, bush = math.pi * (49 - 4.6**2) * 120, math.pi * (100 - 7.025**2) * 20
    assert volume_of_solid(solids["push_rod"]) == pytest.approx(tube, rel=1e-9)
    assert volume_of_solid(solids["push_rod_bush"]) == pytest.approx(bush, rel=1e-9)


def test_a_nut_without_a_place_leaves_the_rod_out_and_says_so() -> None:
    lacking = {
        part.name: part.fields for part in arrangement_of(design(nut='body_diameter = "15 mm"')).unplaced
    }
    assert lacking["push_rod"] == ("nut.position",)


def test_rod_and_bush_are_said_in_trade_words() -> None:
    parts = stack_parts(design(GUIDED + '\nmaterial = "brass"'))
    assert parts["push_rod"] == "steel push tube 14/9.2 x 120 mm in a bush 20 mm long"
    assert parts["push_rod_bush"] == "brass bush 20/14.05 x 20 mm"
    assert "steel push tube 14/9.2 x 120 mm" in stack_sentence(design(TUBE))
    assert stack_sentence(design(TUBE)).endswith("150 mm long without the cable")


@pytest.mark.parametrize(
    ("rod", "field", "said", "repair"),
    [
        (
            'length = "120 mm"',
            "push_rod",
            "runs into the screw, 8 mm: radial clearance -4 mm",
            "9 mm or more",
        ),
        (TUBE.replace("9.2", "7"), "push_rod.bore", "radial clearance -0.5 mm", "9 mm or more"),
        (TUBE.replace("9.2", "14"), "push_rod.bore", "leaves no wall in a tube of 14 mm", "below 14 mm"),
        (TUBE.replace("120", "70"), "push_rod.length", "the screw comes out of it", "78 mm or more"),
        (GUIDED.replace("120", "100"), "push_rod.length", "ends at z = 126 mm", "106 mm or more"),
        (
            f"{TUBE}\n{BUSH.format(bore='13.9 mm')}",
            "push_rod.guide.bore",
            "radial clearance -0.05 mm",
            "14 mm or more",
        ),
        (
            f"{TUBE}\n{BUSH.format(bore='20 mm')}",
            "push_rod.guide.diameter",
            "no wall in a bush of 20 mm",
            "above 20 mm",
        ),
    ],
)
def test_what_cannot_be_built_is_said_with_number_and_repair(
    rod: str, field: str, said: str, repair: str
) -> None:
    (problem,) = problems_of(design(rod))
    assert problem.field == field
    assert said in problem.message
    assert repair in problem.repair
    with pytest.raises(InputError):
        arrangement_of(design(rod))


def test_the_smallest_repair_of_a_length_is_enough() -> None:
    assert problems_of(design(GUIDED.replace("120", "106"))) == ()
    assert problems_of(design(TUBE.replace("120", "78"))) == ()

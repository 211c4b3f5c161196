from __future__ import annotations

import math
from itertools import pairwise

import pytest

from geometry.ball_nut import ball_centres, ball_problems
from geometry.bodies import Shape
from geometry.design import Design, read_text
from geometry.nut import nut_blank, nut_envelope
from geometry.nut_problems import nut_problems
from geometry.placed import place
from geometry.prisms import section_moments
from geometry.solids import volume_of_solid
from geometry.stack import problems_of
from geometry.stack_solids import solids_of
from geometry.thread_ends import threaded_bore
from geometry.thread_properties import threaded_solid
from geometry.threads import thread

BASE = """
[motion]
stroke = "0..5 mm"
speed = "10 mm/s"
mass = "0.1 kg"
[screw]
thread = "{thread}"
length = "50 mm"
[nut]
friction = 0.005
position = "10.3 mm"
length = "24 mm"
body_diameter = "22 mm"
material = "steel"
{nut}
[nut.balls]
dynamic_load = "3 kN"
{balls}
"""
SHOWN = "shown = true\nturns = 3.5"
CAP = 'cap = { width = "10 mm", height = "3 mm", length = "14 mm" }'


def design(balls: str, thread: str = "Ball10x2", nut: str = "") -> Design:
    return read_text(BASE.format(thread=thread, balls=balls, nut=nut))


@pytest.mark.parametrize("designation", ["Ball10x2", "Ball10x2 LH"])
def test_the_balls_lie_in_the_groove_and_clear_of_one_another(designation: str) -> None:
    made, record = design(SHOWN, designation), thread(designation)
    assert problems_of(made) == ()
    centres, ball = ball_centres(made), record.ball_diameter_mm
    assert ball is not None
    assert (
        len(centres)
        == 2
        * math.floor(math.pi * 3.5 / (1.05 * ball / math.hypot(record.pitch_diameter_mm / 2, 1 / math.pi)))
        + 1
    )
    for x, y, _ in centres:
        assert math.hypot(x, y) == pytest.approx(record.pitch_diameter_mm / 2)
    gaps = [math.dist(one, other) for one, other in pairwise(centres)]
    assert min(gaps) > ball
    assert max(gaps) < 1.06 * ball
    heights = [z for *_, z in centres]
    assert (min(heights) + max(heights)) / 2 == pytest.approx(22.3, abs=1e-9)
    (x, y, z), (x1, y1, z1) = centres[:2]
    turn = (math.atan2(y1, x1) - math.atan2(y, x)) % math.tau
    assert (turn < math.pi) is (record.hand == "right")
    assert z1 > z


def test_every_ball_is_a_solid_that_goes_with_the_nut_and_stays_out_of_nut_and_screw() -> None:
    from OCP.BRepClass3d import BRepClass3d_SolidClassifier
    from OCP.gp import gp_Pnt
    from OCP.TopAbs import TopAbs_State

    made = design(SHOWN)
    found = solids_of(made, place(made), detailed=True)
    balls = [(body, solid) for body, solid in found if body.source == "balls"]
    assert len(balls) == len(ball_centres(made))
    assert all(body.moves and body.name.startswith("nut_ball_") for body, _ in balls)
    ball = thread("Ball10x2").ball_diameter_mm or 0.0
    assert volume_of_solid(balls[0][1]) == pytest.approx(math.pi / 6 * ball**3, rel=1e-9)
    for body, solid in found:
        if body.name in ("nut", "screw"):
            classifier = BRepClass3d_SolidClassifier(solid)
            for x, y, z in ball_centres(made)[::5]:
                # Nearly at the ball's own bottom and top, where only a groove leaves it room.
                for share in (-0.47, 0.0, 0.47):
                    radius = 1.0 + share * ball / math.hypot(x, y)
                    classifier.Perform(gp_Pnt(x * radius, y * radius, z), 1e-6)
                    assert classifier.State() == TopAbs_State.TopAbs_OUT
    light = solids_of(made, place(made), detailed=False)
    assert not [body for body, _ in light if body.source == "balls"]


def test_the_return_is_a_cap_on_the_body() -> None:
    made = design(CAP)
    assert nut_problems(made) == ()
    blank = nut_blank(made)
    assert isinstance(blank, Shape)
    assert [piece.span for piece in blank.adds] == [  # type: ignore[union-attr]  # all along z
        (10.3, pytest.approx(15.3)),
        (pytest.approx(29.3), pytest.approx(34.3)),
        (pytest.approx(15.3), pytest.approx(29.3)),
    ]
    record = thread("Ball10x2")
    bore = threaded_solid(threaded_bore(record, 10.3, 34.3, ends="chamfered")).volume_mm3
    outer = math.pi * 121 * 10 + section_moments(blank.adds[2]).area * 14  # type: ignore[arg-type]  # the cap's prism
    (_, solid), *_ = [pair for pair in solids_of(made, place(made), detailed=True) if pair[0].name == "nut"]
    assert volume_of_solid(solid) == pytest.approx(outer - bore, rel=1e-6)
    assert isinstance(nut_envelope(made), Shape)


@pytest.mark.parametrize(
    ("balls", "thread", "nut", "field", "says"),
    [
        (SHOWN, "Tr10x2", "", "nut.balls.shown", "leave shown out"),
        ("shown = true", "Ball10x2", "", "nut.balls.turns", "give turns"),
        ("shown = true\nturns = 12", "Ball10x2", "", "nut.balls.turns", "or fewer"),
        (CAP, "Ball10x2", 'across_flats = "20 mm"', "nut.balls.cap", "leave out the return"),
        (CAP.replace('"10 mm"', '"22 mm"'), "Ball10x2", "", "nut.balls.cap.width", "below 22 mm"),
        (CAP.replace('"14 mm"', '"24 mm"'), "Ball10x2", "", "nut.balls.cap.length", "below 24 mm"),
    ],
)
def test_what_cannot_be_shown_is_refused_with_its_repair(
    balls: str, thread: str, nut: str, field: str, says: str
) -> None:
    (problem,) = ball_problems(design(balls, thread, nut))
    assert problem.field == field
    assert says in problem.repair


def test_the_repair_of_too_many_turns_is_enough() -> None:
    (problem,) = ball_problems(design("shown = true\nturns = 12"))
    turns = problem.repair.split()[3]
    assert tuple(ball_problems(design(f"shown = true\nturns = {turns}"))) == ()

"""Ball grooves: the balls bear where they should, and those that don't fit are refused with a number."""

import math

import numpy as np
import pytest

from geometry.errors import InputError
from geometry.threads import family_thread, thread


def clearances(made, member):
    """Distances (n,) from a ball's surface, its centre on the ball circle, to the groove's arcs (mm)."""
    u = np.linspace(0, 1, 400)
    points = np.concatenate([piece.at(u) for piece in member.pieces if not piece.is_land])
    centre = np.array([made.pitch_mm / 2, made.pitch_diameter_mm / 2])
    away = points - centre
    return np.hypot(*away.T) - made.ball_diameter_mm / 2, away


@pytest.mark.parametrize("designation", ["Ball8x2", "Ball16x5", "Ball32x10", "Ball16x16"])
@pytest.mark.parametrize("member", ["external", "internal"])
def test_a_gothic_groove_touches_the_ball_at_the_contact_angle_on_both_flanks(designation, member):
    made = thread(designation)
    gap, away = clearances(made, getattr(made, member))
    assert gap.min() == pytest.approx(0.0, abs=1e-5)
    touching = np.abs(away[gap < 2e-6])
    angles = np.degrees(np.arctan2(touching[:, 0], touching[:, 1]))
    assert angles == pytest.approx(45.0, abs=1.5)
    assert len({s > 0 for s in away[gap < 1e-5, 0]}) == 2


@pytest.mark.parametrize("member", ["external", "internal"])
def test_a_circular_groove_bears_at_the_contact_angle_once_it_is_pushed_aside(member):
    made = thread("Ball16x5 arc")
    excess = (0.54 - 0.5) * made.ball_diameter_mm
    gap, _ = clearances(made, getattr(made, member))
    # The ball has play until its centre lies at the contact angle from the arc's centre.
    assert gap.min() == pytest.approx(excess * (1 - math.cos(math.radians(45))), abs=1e-5)


def test_fields_change_the_groove():
    wide = family_thread("ball groove", 16.0, 5.0, ball_mm=3.5, conformity=0.52, contact_angle_deg=40.0)
    assert (wide.ball_diameter_mm, wide.contact_angle_deg) == (3.5, 40.0)
    assert wide.root_diameter_mm < thread("Ball16x5").root_diameter_mm
    assert "groove radius 0.52" in wide.notes[0]


@pytest.mark.parametrize(
    ("fields", "message", "repair"),
    [
        ({"ball_mm": 5.5}, "leaves no land at a pitch of 5 mm", "balls of at most 5.0"),
        ({"conformity": 0.48}, "radius 1.524 mm, no larger than the ball's 1.587 mm", "above 0.5"),
        ({"contact_angle_deg": 80.0}, "bear on the edge of the groove", "below 73 degrees"),
    ],
)
def test_balls_that_do_not_fit_are_refused(fields, message, repair):
    with pytest.raises(InputError) as refusal:
        family_thread("ball groove", 16.0, 5.0, **fields)
    (problem,) = refusal.value.problems
    assert message in problem.message
    assert repair in problem.repair


def test_the_largest_ball_that_is_named_fits():
    with pytest.raises(InputError) as refusal:
        family_thread("ball groove", 16.0, 5.0, ball_mm=5.5)
    words = refusal.value.problems[0].repair.split()
    largest = float(words[words.index("most") + 1])
    assert family_thread("ball groove", 16.0, 5.0, ball_mm=largest).ball_diameter_mm == largest

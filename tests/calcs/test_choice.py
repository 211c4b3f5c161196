"""The design's screw beside other kinds under the same duty."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from demo_rows import DEMO, changed, given, rows

from calcs.check_design import check_design
from calcs.choice import KINDS, compare_screws
from geometry.design import read_text

SLOPE = 2.0 / (math.pi * 8.0)  # of the ball groove of 8 mm with a lead of 2 mm


def rolling(friction: float) -> float:
    """Friction angle of balls, whose friction is stated for the thrust: the contact angle is in it."""
    return math.atan(friction)


def back(friction: float) -> float:
    return math.tan(math.atan(SLOPE) - rolling(friction)) / SLOPE


def sliding(lead: float, diameter: float, flank: float, friction: float) -> float:
    angle = math.atan(lead / (math.pi * diameter))
    return math.tan(angle) / math.tan(angle + math.atan(friction / math.cos(math.radians(flank))))


def test_kinds_of_the_demos_duty() -> None:
    found = compare_screws(changed())
    assert [c.designation for c in found] == ["Tr8x1.5", "M8x1.25", "5/16-14 ACME", "Ball8x2"]
    own, metric, acme, balls = found
    table = rows()
    assert own.torque_nm.nominal * 1e3 == pytest.approx(table["drive.raise_torque"].value.nominal)
    assert own.efficiency == pytest.approx(table["drive.efficiency"].value)
    assert own.holding == pytest.approx(table["drive.holding"].value.low)
    assert own.life.cycles is not None
    # the demo wears 0.243 mm at worst over 500 000 cycles, and 0.1 mm is allowed
    assert own.life.cycles.low == pytest.approx(500_000 * 0.1 / 0.24276, rel=1e-3)
    assert own.heat_w == pytest.approx(6.6248 * 0.025 * (1.0 / 0.29475 - 1.0), rel=1e-3)
    assert (own.holds, metric.holds, balls.holds) == (True, True, False)
    assert balls.efficiency.nominal > 2.0 * max(own.efficiency.nominal, acme.efficiency.nominal)
    assert balls.back_efficiency > 0.0 > own.back_efficiency
    assert balls.back_efficiency == pytest.approx(back(0.003), rel=1e-9)
    assert balls.efficiency.nominal == pytest.approx(SLOPE / math.tan(math.atan(SLOPE) + rolling(0.005)))
    assert balls.efficiency.low == pytest.approx(SLOPE / math.tan(math.atan(SLOPE) + rolling(0.010)))
    assert balls.life.cycles is None
    load = changed().find("equivalent_load_n")
    assert load is not None
    # 1.2 times the load over 30 million turns of a lead of 2 mm
    assert balls.asked_rating_n == pytest.approx(1.2 * load.value * 30.0 ** (1.0 / 3.0))
    assert acme.efficiency.nominal == pytest.approx(
        0.34208, rel=1e-4
    )  # 5/16-14 by its lead angle of 4.69 deg
    assert metric.holding == pytest.approx(
        0.08 / math.cos(math.radians(30.0)) / (1.25 / (math.pi * 7.188)), rel=1e-4
    )
    assert own.asked_rating_n is None
    # grade T7: 52 um in any 300 mm, and over 60 mm 2 x 60 / 300 of that again
    assert balls.lead_error_m == pytest.approx((52e-6, 72.8e-6, 72.8e-6))
    assert metric.lead_error_m == pytest.approx((1e-4, 2e-4, 3e-4))


def test_a_ball_screws_own_friction_is_kept_and_the_others_take_theirs() -> None:
    friction = ('friction = "0.08..0.15..0.20"', 'friction = "0.002..0.004..0.006"')
    found = compare_screws(changed(("Tr8x1.5", "Ball8x2"), friction))
    assert [c.family for c in found[1:]] == ["ISO metric", "metric trapezoidal", "Acme general purpose"]
    assert found[0].efficiency.nominal > 0.9
    # greased sliding friction of 0.08 to 0.20 on M8x1.25
    low, usual, high = (sliding(1.25, 7.188, 30.0, friction) for friction in (0.20, 0.15, 0.08))
    assert found[1].efficiency == pytest.approx((low, usual, high), rel=1e-4)


def test_what_the_design_leaves_out_stays_open() -> None:
    bare = compare_screws(changed(("cycles = 500000", "#"), ('wear_limit = "0.10 mm"', "#")))
    assert all(c.life.cycles is None and c.asked_rating_n is None for c in bare)
    assert {c.life.verdict for c in bare} == {"NOT CHECKED"}
    assert "needs nut.wear_coefficient and nut.wear_limit" in bare[0].life.words
    assert bare[-1].life.words == "no dynamic rating of a ball nut is given"


def test_life_says_what_it_stands_on() -> None:
    own, _, _, balls = compare_screws(changed())
    assert own.life.verdict == "NOT PROVEN"
    assert balls.life.verdict == "NOT CHECKED"
    assert balls.life.words == "no dynamic rating of a ball nut is given: it would need 24.3 N"
    short = compare_screws(changed(("cycles = 500000", "cycles = 5000000")))
    assert short[0].life.verdict == "FAIL"  # 2.2 million even with the lowest coefficient


BALL_NUT = (
    ("Tr8x1.5", "Ball8x2"),
    ('friction = "0.08..0.15..0.20"', 'friction = "0.002..0.004..0.006"\nballs = { dynamic_load = "40 N" }'),
)


def test_a_ball_nut_of_the_designs_own_lives_by_its_rating() -> None:
    own, *others = compare_screws(changed(*BALL_NUT))
    load = changed(*BALL_NUT).find("equivalent_load_n")
    assert load is not None
    assert own.life.cycles is not None
    # turns of a lead of 2 mm, 120 mm a cycle
    assert own.life.cycles.nominal == pytest.approx((40.0 / (1.2 * load.value)) ** 3 * 1e6 * 2.0 / 120.0)
    assert own.life.verdict == "PASS"
    assert own.assumed[0] == "nut.friction as given"
    assert all("common practice" in c.assumed[0] for c in others)
    weak = compare_screws(changed(*BALL_NUT, ("40 N", "20 N")))[0]
    assert weak.life.verdict == "FAIL"
    idle = compare_screws(changed(*BALL_NUT, ("cycles = 500000", "#")))[0]
    assert idle.life.verdict == "INFO"
    preloaded = compare_screws(changed(*BALL_NUT, ('"40 N"', '"40 N", preload = "60 N", load_factor = 1.5')))[
        0
    ]
    assert preloaded.life.cycles is not None
    held = changed(*BALL_NUT, ('"40 N"', '"40 N", preload = "60 N"')).find("ball_load_n")
    assert held is not None
    assert held.value > 60.0
    assert preloaded.life.cycles.nominal == pytest.approx(
        (40.0 / (1.5 * held.value)) ** 3 * 1e6 * 2.0 / 120.0
    )


def test_sliding_kinds_share_the_friction_of_the_designs_own_nut() -> None:
    own, metric, acme, balls = compare_screws(changed(('"0.08..0.15..0.20"', '"0.05..0.06..0.07"')))
    assert own.holding < 1.0
    assert metric.holding == pytest.approx(
        0.05 / math.cos(math.radians(30.0)) / (1.25 / (math.pi * 7.188)), rel=1e-4
    )
    assert own.assumed[0] == "nut.friction as given"
    assert metric.assumed[0] == acme.assumed[0] == "friction of the design's own nut"
    assert balls.assumed[0] == "friction 0.003..0.005..0.01 of balls: common practice, no source"


def test_lead_errors_that_are_given_are_kept() -> None:
    rolled = compare_screws(changed())[0]
    assert rolled.assumed[1].startswith("lead error 0.1 to 0.3 mm in 300 mm of a rolled screw")
    own, other, *_ = compare_screws(changed(given("screw", 'lead_error = "0.05 mm"')))
    assert own.lead_error_m == pytest.approx((1e-5, 5e-5, 5e-5))
    assert own.assumed[1] == "screw.lead_error as given"
    assert other.lead_error_m == pytest.approx((1e-4, 2e-4, 3e-4))
    graded = compare_screws(changed(*BALL_NUT, given("screw", 'grade = "P5"')))[0]
    assert graded.lead_error_m.high == pytest.approx(46e-6)
    assert graded.assumed[1] == "grade P5 as given"


def test_speed_of_the_screw() -> None:
    assert [c.screw_speed_rad_s * 30.0 / math.pi for c in compare_screws(changed())] == pytest.approx(
        [1000.0, 1200.0, 25.0 * 60.0 / (25.4 / 14.0), 750.0]
    )
    assert [c.own for c in compare_screws(changed())] == [True, False, False, False]


def test_a_plain_check_compares_nothing() -> None:
    design = read_text(DEMO)
    assert check_design(design).screws == ()
    assert check_design(design, flips=True).screws == compare_screws(changed())


def test_a_thread_holds_while_friction_needs_more_than_the_load_gives() -> None:
    own = compare_screws(changed())[0]
    assert [replace(own, holding=ratio).holds for ratio in (0.99, 1.0, 1.05)] == [False, False, True]


def test_cycles_follow_the_stroke_from_end_to_end() -> None:
    whole, shorter = changed(), changed(('"0..60 mm"', '"5..60 mm"'))
    own, less = (compare_screws(case)[0].life.cycles for case in (whole, shorter))
    assert own is not None
    assert less is not None
    # the shorter one begins behind the clips: 8 N over 4 of 60 mm on the way up
    clips = 8.0 * 4.0 / 60.0 / (6.6248 + 2.2013)
    assert less.nominal / own.nominal == pytest.approx(60.0 / 55.0 * (1.0 + clips), rel=1e-5)
    # k p s: 16 mm of nut are 10.67 turns of 1.5 mm; the mean of 6.625 N raising and 2.201 N lowering
    pressure = (6.6248 + 2.2013) / 2.0 * (1.0 + clips) / (math.pi * 7.25e-3 * 0.75e-3 * 16.0 / 1.5)
    slid = 2.0 * 0.060 * math.hypot(math.pi * 7.25, 1.5) / 1.5
    worn = math.sqrt(1e-15 * 1e-14) * pressure * slid / math.cos(math.radians(15.0))
    assert own.nominal == pytest.approx(0.1e-3 / worn, rel=1e-4)


def test_two_starts_have_half_the_pitch() -> None:
    two, one = (compare_screws(changed(*lead))[0].life.cycles for lead in ([("Tr8x1.5", "Tr8x3(P1.5)")], []))
    assert two is not None
    assert one is not None
    # the same pressure on the same turns, but half the way along the helix
    share = math.hypot(math.pi * 7.25, 3.0) / math.hypot(math.pi * 7.25, 1.5) / 2.0
    assert one.nominal / two.nominal == pytest.approx(share, rel=1e-6)


def test_the_lead_error_of_a_rolled_screw_grows_beyond_300_mm() -> None:
    case = changed()
    for stroke, times in ((0.3, 1.0), (0.6, 2.0)):
        (metric,) = [c for c in compare_screws(case.changed("usable_high_m", stroke)) if c.family == KINDS[0]]
        assert metric.lead_error_m == pytest.approx((times * 1e-4, times * 2e-4, times * 3e-4))


def test_a_light_load_lives_by_itself() -> None:
    case = changed(*BALL_NUT)
    assert case.find("ball_load_n") is not None
    own = compare_screws(case.changed("ball_load_n", 0.5))[0]
    assert own.life.cycles is not None
    assert own.life.cycles.nominal == pytest.approx((40.0 / (1.2 * 0.5)) ** 3 * 1e6 * 2.0 / 120.0)

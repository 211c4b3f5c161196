"""The design's screw beside other kinds under the same duty."""

from __future__ import annotations

import math

import pytest
from demo_rows import changed, rows

from calcs.choice import compare_screws

SLOPE = 2.0 / (math.pi * 8.0)  # of the ball groove of 8 mm with a lead of 2 mm


def rolling(friction: float) -> float:
    """Friction angle of balls, whose friction is stated for the thrust: the contact angle is in it."""
    return math.atan(friction)


def back(friction: float) -> float:
    return math.tan(math.atan(SLOPE) - rolling(friction)) / SLOPE


def test_kinds_of_the_demos_duty() -> None:
    found = compare_screws(changed())
    assert [c.designation for c in found] == ["Tr8x1.5", "M8x1.25", "5/16-14 ACME", "Ball8x2"]
    own, metric, acme, balls = found
    table = rows()
    assert own.torque_nm.nominal * 1e3 == pytest.approx(table["drive.raise_torque"].value.nominal)
    assert own.efficiency == pytest.approx(table["drive.efficiency"].value)
    assert own.holding == pytest.approx(table["drive.holding"].value.low)
    assert own.cycles is not None
    # the demo wears 0.229 mm at worst over 500 000 cycles, and 0.1 mm is allowed
    assert own.cycles.low == pytest.approx(500_000 * 0.1 / 0.2289, rel=1e-3)
    assert own.heat_w == pytest.approx(6.6248 * 0.025 * (1.0 / 0.29475 - 1.0), rel=1e-3)
    assert (own.holds, metric.holds, balls.holds) == (True, True, False)
    assert balls.efficiency.nominal > 2.0 * max(own.efficiency.nominal, acme.efficiency.nominal)
    assert balls.back_efficiency > 0.0 > own.back_efficiency
    assert balls.back_efficiency == pytest.approx(back(0.003), rel=1e-9)
    assert balls.efficiency.nominal == pytest.approx(SLOPE / math.tan(math.atan(SLOPE) + rolling(0.005)))
    assert balls.efficiency.low == pytest.approx(SLOPE / math.tan(math.atan(SLOPE) + rolling(0.010)))
    assert balls.cycles is None
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
    assert balls.lead_error_m.high == pytest.approx(72.8e-6)
    assert metric.lead_error_m == pytest.approx((1e-4, 2e-4, 3e-4))


def test_a_ball_screws_own_friction_is_kept_and_the_others_take_theirs() -> None:
    friction = ('friction = "0.08..0.15..0.20"', 'friction = "0.002..0.004..0.006"')
    found = compare_screws(changed(("Tr8x1.5", "Ball8x2"), friction))
    assert [c.family for c in found[1:]] == ["ISO metric", "metric trapezoidal", "Acme general purpose"]
    assert found[0].efficiency.nominal > 0.9
    assert found[1].efficiency.nominal < 0.3


def test_what_the_design_leaves_out_stays_open() -> None:
    bare = compare_screws(changed(("cycles = 500000", "#"), ('wear_limit = "0.10 mm"', "#")))
    assert all(c.cycles is None and c.asked_rating_n is None for c in bare)

"""Burman, Special Electrical Machines, Examples 3.4 and 3.5 (page 192), outputs of a worked notebook."""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.formulas import gearing, motor

PUBLISHED = (
    Case("Burman", "example 3.4", 2, "notebook"),
    Case("Burman", "example 3.5", 1, "notebook"),
)


@pytest.mark.parametrize(
    ("degrees", "pulses_per_second", "turns_per_second"), [(1.8, 4000.0, 20.0), (3.0, 3600.0, 30.0)]
)
def test_speed(degrees: float, pulses_per_second: float, turns_per_second: float) -> None:
    time = motor.step_time_s(2.0 * math.pi * turns_per_second, 360.0 / degrees)
    assert 1.0 / time == pytest.approx(pulses_per_second, rel=1e-9)


def test_30_pulses_turn_it_by_54_degrees() -> None:
    # a "lead" of 360 degrees a turn makes the step an angle
    assert 54.0 / gearing.step_m(360.0, 200.0, 1.0) == pytest.approx(30.0, rel=1e-9)

"""Khurmi & Gupta, Theory of Machines, Examples 10.3 (p. 272) and 10.10 (p. 279): a worked notebook.

The notebook of 10.3 uses tan(x) where the angle atan(x) is meant; the test shows it.
"""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.formulas import screw

PUBLISHED = (
    Case("Khurmi & Gupta", "example 10.3", 1, "notebook"),
    Case("Khurmi & Gupta", "example 10.10", 2, "notebook"),
)


def test_example_10_10_screw_jack() -> None:
    # mean diameter 50 mm, pitch 12.5 mm, friction 0.13, square thread, 25 kN
    thread = (0.050, 0.0125, 0.13, 0.0, 0.0, 0.0)
    raising, lowering = (turn(25e3, *thread) for turn in (screw.raise_torque_nm, screw.lower_torque_nm))
    assert 100.0 * screw.efficiency(0.0125, 0.050, 0.13, 0.0) == pytest.approx(37.6, abs=0.05)
    assert raising / lowering == pytest.approx(4.2, abs=0.05)


def test_example_10_3_power_of_a_driven_nut() -> None:
    # 75 kN at 300 mm/min, square thread of 6 mm pitch on 40 mm, friction 0.1
    mean, lead, force = 0.037, 0.006, 75e3
    speed = screw.rotation_rad_s(0.300 / 60.0, lead)
    power = screw.raise_torque_nm(force, mean, lead, 0.1, 0.0, 0.0, 0.0) * speed
    assert power == pytest.approx(1107.2, abs=0.5)
    # the notebook's 1114 W is 0.6 % high: tan where the arc tangent is meant, which gives 1113 W here
    wrong = force * math.tan(math.tan(0.1) + math.tan(lead / (math.pi * mean))) * mean / 2.0 * speed
    assert wrong == pytest.approx(1114.0, rel=1.5e-3)
    assert power < 0.9955 * wrong

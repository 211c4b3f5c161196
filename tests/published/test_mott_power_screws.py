"""Mott, Machine Elements in Mechanical Design, 4th edition, Example Problem 17-1 (page 703)."""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.formulas import screw

# Acme 1 1/2-4: pitch diameter 1.3429 in, lead 0.25 in; friction 0.15, load 12 500 lb, flank angle 14.5 deg
DIAMETER, LEAD, FORCE = 1.3429, 0.25, 12500.0
FLANK = math.radians(14.5)

PUBLISHED = (Case("Mott", "example problem 17-1", 2, "page"),)


def test_lead_angle_is_3_39_degrees() -> None:
    assert math.degrees(screw.lead_angle_rad(LEAD, DIAMETER)) == pytest.approx(3.39, abs=0.005)


def test_printed_raising_torque_of_1809_lb_in_is_a_slip_of_the_page() -> None:
    torque = screw.raise_torque_nm(FORCE, DIAMETER, LEAD, 0.15, FLANK, 0.0, 0.0)
    # the page's own rounded factors, cos 0.968 and tan 0.0592, give 1814, not the printed 1809 (0.3 % low)
    by_hand = FORCE * DIAMETER / 2.0 * (0.968 * 0.0592 + 0.15) / (0.968 - 0.15 * 0.0592)
    assert by_hand == pytest.approx(1814.1, abs=0.1)
    assert torque == pytest.approx(by_hand, rel=3e-4)
    assert torque == pytest.approx(1809.0, rel=0.004)

"""Fitzgerald, Kingsley & Umans, Electric Machinery, Example 7.9 (page 389), outputs of a worked notebook.

A permanent-magnet motor of 1.03 ohm turns at 2100 rpm without load from 50 V and takes 1.25 A.
"""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.formulas import motor

RPM = math.pi / 30.0
NO_LOAD = 2100.0 * RPM
ROUNDED_CONSTANT = 0.22  # the example goes on with 0.22 V s for 0.2215

PUBLISHED = (Case("Fitzgerald, Kingsley & Umans", "example 7.9", 3, "notebook"),)


def test_torque_constant_is_0_22() -> None:
    # the constant for which the torque line gives the measured no-load speed
    constant = (50.0 - 1.25 * 1.03) / NO_LOAD
    assert constant == pytest.approx(ROUNDED_CONSTANT, abs=0.003)
    assert motor.speed_at_torque_rad_s(50.0, 1.03, constant, 1.25, 0.0) == pytest.approx(NO_LOAD, rel=1e-12)
    assert motor.voltage_v(1.25, 1.03, constant, NO_LOAD) == pytest.approx(50.0, rel=1e-12)


def test_no_load_rotational_loss_is_61_w() -> None:
    constant = (50.0 - 1.25 * 1.03) / NO_LOAD
    assert motor.torque_nm(1.25, constant, 0.0) * NO_LOAD == pytest.approx(61.0, abs=0.5)


def test_output_at_48_v_and_1700_rpm_is_275_w() -> None:
    speed = 1700.0 * RPM
    electromagnetic = motor.available_torque_nm(48.0, 1.03, ROUNDED_CONSTANT, 0.0, speed) * speed
    rotational = 50.0 * 1.25 - 1.25**2 * 1.03  # the loss of the no-load point, 60.9 W, at any speed
    assert electromagnetic - rotational == pytest.approx(275.05, abs=0.1)

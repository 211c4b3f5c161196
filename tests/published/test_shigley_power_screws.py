"""Shigley's Mechanical Engineering Design, 9th edition, Example 8-1 (pages 419 to 421), printed answers."""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.formulas import nut, screw, strength

# square thread, major diameter 32 mm, pitch 4 mm, double start, friction 0.08 in thread and collar,
# mean collar diameter 40 mm, load 6.4 kN
FORCE, LEAD, MEAN, ROOT, PITCH = 6400.0, 0.008, 0.030, 0.028, 0.004
THREAD = (MEAN, LEAD, 0.08, 0.0)
COLLAR = (0.08, 0.040)

PUBLISHED = (
    Case("Shigley 9e", "example 8-1", 8, "page"),
    Case("Shigley 9e", "example 8-1, von Mises stress", 1, "memory"),
    Case("Shigley 9e", "table 4-2", 4, "page"),
)


def test_raising_torque_with_collar_is_26_18_nm() -> None:
    assert screw.raise_torque_nm(FORCE, *THREAD, *COLLAR) == pytest.approx(26.18, abs=0.01)


def test_lowering_torque_with_collar_is_9_77_nm() -> None:
    assert screw.lower_torque_nm(FORCE, *THREAD, *COLLAR) == pytest.approx(9.77, abs=0.01)


def test_without_the_collar_the_load_drives_the_screw() -> None:
    assert screw.lower_torque_nm(FORCE, *THREAD, 0.0, 0.0) == pytest.approx(-0.466, abs=0.001)
    assert screw.holding_ratio(LEAD, MEAN, 0.08, 0.0) < 1.0


def test_overall_efficiency_is_0_311() -> None:
    torque = screw.raise_torque_nm(FORCE, *THREAD, *COLLAR)
    assert FORCE * LEAD / (2.0 * math.pi * torque) == pytest.approx(0.311, abs=0.0006)


def test_body_stresses() -> None:
    torque = screw.raise_torque_nm(FORCE, *THREAD, *COLLAR)
    shear, axial = strength.torsion_stress_pa(torque, ROOT), strength.axial_stress_pa(FORCE, ROOT)
    assert shear == pytest.approx(6.07e6, abs=0.01e6)
    assert axial == pytest.approx(10.39e6, abs=0.01e6)


def test_bearing_pressure_and_root_bending_of_the_first_turn() -> None:
    # one turn that carries 0.38 of the load, p / 2 high
    share = 0.38 * FORCE
    assert nut.thread_pressure_pa(share, MEAN, PITCH / 2.0, 1.0, 1.0) == pytest.approx(12.9e6, abs=0.05e6)
    assert nut.thread_bending_pa(share, ROOT, 1.0, PITCH) == pytest.approx(41.5e6, abs=0.05e6)


def test_von_mises_stress_of_the_example_from_memory() -> None:
    # the printed 48.7 MPa is recalled; it combines sigma_x = 41.5, sigma_y = -10.39 and tau = 6.07 MPa
    torque = screw.raise_torque_nm(FORCE, *THREAD, *COLLAR)
    x = nut.thread_bending_pa(0.38 * FORCE, ROOT, 1.0, PITCH)
    y = -strength.axial_stress_pa(FORCE, ROOT)
    tau = strength.torsion_stress_pa(torque, ROOT)
    assert strength.body_stress_pa(math.sqrt(x * x - x * y + y * y), tau) == pytest.approx(48.7e6, abs=0.1e6)


def test_table_4_2_end_factors() -> None:
    """Table 4-2, theoretical: fixed-free 1/4, rounded 1, fixed-rounded 2, fixed-fixed 4."""
    from calcs.checks.strength import END_FACTORS

    assert END_FACTORS["fixed", "free"] == 0.25
    assert END_FACTORS["supported", "supported"] == 1.0
    assert END_FACTORS["fixed", "fixed"] == 4.0
    # the table rounds the exact solution of tan x = x, (x / pi)^2 = 2.0457 (Timoshenko 2.046, from memory)
    assert END_FACTORS["fixed", "supported"] == pytest.approx(2.0, rel=0.025)

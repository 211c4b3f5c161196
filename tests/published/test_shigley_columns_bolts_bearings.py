"""Shigley's Mechanical Engineering Design, 9th edition: examples 4-16, 8-3, 11-1, table 8-1 (from memory)."""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.formulas import ball, strength
from geometry.threads import thread


def test_example_4_16_pinned_column_of_37_48_mm() -> None:
    # 22 kN with a design factor of 4 over 1.5 m, rounded ends, 207 GPa, 500 MPa
    assert strength.euler_load_n(207e9, 37.48e-3, 1.5, 1.0) == pytest.approx(88e3, rel=1e-3)
    assert strength.transition_slenderness(207e9, 500e6) == pytest.approx(90.4, abs=0.05)
    # the preferred 40 mm: l / k = 150
    assert strength.slenderness(1.5, 0.040, 1.0) == pytest.approx(150.0, abs=0.05)


def test_example_8_3_preload_and_torque_of_a_bolt() -> None:
    # 3/4 in - 16, preload 25 kip on 0.373 in2, K = 0.2
    assert strength.bolt_preload_n(0.373, 67.02e3, 1.0) == pytest.approx(25e3, rel=1e-3)
    assert strength.tightening_torque_nm(25e3, 0.75, 0.2) == pytest.approx(3750.0, abs=0.5)


def test_example_11_1_catalogue_load_of_3211_pounds() -> None:
    # 400 lbf over 5 kh at 1725 rpm
    assert ball.dynamic_load_n(400.0, 5000.0 * 60.0 * 1725.0, 1.0) == pytest.approx(3211.0, abs=0.5)
    assert ball.basic_life_turns(3211.0, 400.0, 1.0) == pytest.approx(5000.0 * 60.0 * 1725.0, rel=1e-3)


# table 8-1, coarse metric threads, tensile stress area in mm2 as in ISO 898-1
STRESS_AREAS = {
    "M1.6": 1.27, "M2": 2.07, "M2.5": 3.39, "M3": 5.03, "M4": 8.78, "M5": 14.2, "M6": 20.1, "M8": 36.6,
    "M10": 58.0, "M12": 84.3, "M16": 157.0, "M20": 245.0,
}  # fmt: skip

PUBLISHED = (
    Case("Shigley 9e", "example 4-16", 3, "memory"),
    Case("Shigley 9e", "example 8-3", 2, "memory"),
    Case("Shigley 9e", "example 11-1", 1, "memory"),
    Case("Shigley 9e, ISO 898-1", "table 8-1", len(STRESS_AREAS), "memory"),
    Case("Shigley 9e", "equation 5-21", 1, "memory"),
)


@pytest.mark.parametrize("size", sorted(STRESS_AREAS))
def test_tensile_stress_area(size: str) -> None:
    record = thread(size)
    area = strength.stress_area_m2(record.pitch_diameter_mm, record.root_diameter_mm)
    assert area == pytest.approx(STRESS_AREAS[size], rel=5e-3)  # three printed digits


def test_shear_yield_of_the_distortion_energy_theory() -> None:
    # eq. 5-21: 0.577 Sy, the rounded 1 / sqrt(3)
    assert strength.shear_yield_pa(1.0) == pytest.approx(1.0 / math.sqrt(3.0), abs=5e-4)

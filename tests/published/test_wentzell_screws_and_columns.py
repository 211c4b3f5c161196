"""Wentzell, Machine Design, Examples 3.5 (p. 53), 12.3 (p. 258), 18.3 and 18.4 (p. 399-405).

Outputs of a worked notebook: a recomputation by a third party, not the printed page.
"""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.formulas import screw, strength, teeth

STEEL_PSI = 30e6

PUBLISHED = (
    Case("Wentzell", "example 18.3", 1, "notebook"),
    Case("Wentzell", "example 3.5", 1, "notebook"),
    Case("Wentzell", "example 18.4", 2, "notebook"),
    Case("Wentzell", "example 12.3", 3, "notebook"),
)


def test_example_18_3_lead_angle_is_3_31_degrees() -> None:
    # Acme 1 1/2-4: pitch diameter 1.375 in, lead 0.25 in
    assert math.degrees(screw.lead_angle_rad(0.25, 1.375)) == pytest.approx(3.31, abs=0.005)


def test_example_3_5_column_constant() -> None:
    # steel of 30 Mpsi and 42 kpsi yield
    assert strength.transition_slenderness(STEEL_PSI, 42e3) == pytest.approx(118.74, abs=0.01)


def test_example_18_4_ball_screw_at_90_percent() -> None:
    # T = 0.177 F L: the factor is 1 / (2 pi 0.9) = 0.1768, rounded up by 0.09 %
    assert screw.torque_at_efficiency_nm(1.0, 1.0, 0.9) == pytest.approx(0.177, abs=0.0003)
    assert screw.torque_at_efficiency_nm(2900.0, 0.5, 0.9) == pytest.approx(256.65, rel=1e-3)


def test_example_12_3_lewis_force_of_the_pinion() -> None:
    # 47.5 kpsi, 8 teeth per inch, face 1 in, form factor 0.32 of 20 teeth
    assert teeth.lewis_bending_pa(1900.0, 1.0, 1.0 / 8.0, 0.32) == pytest.approx(47.5e3, rel=1e-9)


@pytest.mark.parametrize(("count", "factor"), [(20, 0.320), (60, 0.421)])
def test_example_12_3_form_factors_are_a_little_below_the_recalled_table(count: int, factor: float) -> None:
    assert teeth.lewis_factor(float(count)) == pytest.approx(factor, abs=0.0021)

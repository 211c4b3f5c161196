"""Wentzell, Machine Design, Examples 3.5 and 3.6 (p. 53-55), 12.3 (p. 258), 18.1 to 18.4 (p. 399-405).

Outputs of a worked notebook: a recomputation by a third party, not the printed page.
"""

from __future__ import annotations

import math

import pytest

from calcs.formulas import screw, strength, teeth

STEEL_PSI = 30e6


def test_example_18_3_acme_screw() -> None:
    # Acme 1 1/2-4: pitch diameter 1.375 in, lead 0.25 in; 2900 lb a screw, friction 0.15
    thread = (1.375, 0.25, 0.15, math.radians(14.5))
    assert math.degrees(screw.lead_angle_rad(0.25, 1.375)) == pytest.approx(3.31, abs=0.005)
    assert screw.raise_torque_nm(2900.0, *thread, 0.0, 0.0) == pytest.approx(428.13, abs=0.05)


def test_example_3_5_slender_round_column() -> None:
    # 5/8 in round, 30 in long, pinned
    assert strength.slenderness(30.0, 0.625, 1.0) == pytest.approx(192.0, abs=0.01)
    assert strength.euler_load_n(STEEL_PSI, 0.625, 30.0, 1.0) == pytest.approx(2464.16, abs=0.1)
    assert strength.buckling_load_n(STEEL_PSI, 42e3, 0.625, 30.0, 1.0) == pytest.approx(2464.16, abs=0.1)


@pytest.mark.parametrize(("yield_psi", "constant"), [(42e3, 118.74), (36e3, 128.25)])
def test_column_constant(yield_psi: float, constant: float) -> None:
    assert strength.transition_slenderness(STEEL_PSI, yield_psi) == pytest.approx(constant, abs=0.01)


def test_examples_18_1_and_18_2_square_thread() -> None:
    # 3 threads per inch on 1.354 in, friction 0.15, which give all three answers; 2900 lb a screw
    thread = (1.0 / 3.0, 1.354)
    assert math.degrees(screw.lead_angle_rad(*thread)) == pytest.approx(4.48, abs=0.005)
    torque = screw.raise_torque_nm(2900.0, 1.354, 1.0 / 3.0, 0.15, 0.0, 0.0, 0.0)
    assert torque == pytest.approx(453.68, abs=0.05)
    assert 100.0 * screw.efficiency(*thread, 0.15, 0.0) == pytest.approx(33.91, abs=0.01)


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

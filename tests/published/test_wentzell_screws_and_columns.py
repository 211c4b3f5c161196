"""Wentzell, Machine Design, Examples 3.5, 3.6 (pages 53 to 55) and 18.3 (page 403): a worked notebook.

A recomputation by a third party, not the printed page.
"""

from __future__ import annotations

import math

import pytest

from calcs.formulas import screw, strength

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

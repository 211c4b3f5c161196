"""Sadhu Singh, Machine Design I, Examples 9.1 (p. 256), 9.6 (p. 267), 9.9 (p. 272): a worked notebook."""

from __future__ import annotations

import pytest

from calcs.formulas import nut, strength

STEEL_PA = 200e9
FIXED_FREE = 0.25


@pytest.mark.parametrize(
    ("core_m", "length_m", "yield_pa", "load_n", "rounded_n"),
    [(0.040, 0.449, 200e6, 200e3, 600.0), (0.060, 0.450, 275e6, 680052.0, 60.0)],
)
def test_johnson_load_of_a_screw_jack(
    core_m: float, length_m: float, yield_pa: float, load_n: float, rounded_n: float
) -> None:
    column = (STEEL_PA, yield_pa, core_m, length_m, FIXED_FREE)
    assert strength.johnson_load_n(*column) == pytest.approx(load_n, abs=rounded_n)
    assert strength.buckling_load_n(*column) == strength.johnson_load_n(*column)


def test_example_9_1_screw_of_40_kn() -> None:
    # core 42 mm, major 52 mm, pitch 10 mm square: the round numbers behind the printed 28.87 MPa and 9 turns
    assert strength.axial_stress_pa(40e3, 0.042) == pytest.approx(28.87e6, abs=0.01e6)
    one_turn = nut.thread_pressure_pa(40e3, 0.047, 0.005, 1.0, 1.0)
    assert one_turn / 6e6 == pytest.approx(9.0, abs=0.05)

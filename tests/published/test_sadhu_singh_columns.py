"""Sadhu Singh, Machine Design I, Examples 9.6 (p. 267) and 9.9 (p. 272): a worked notebook."""

from __future__ import annotations

import pytest
from published_cases import Case

from calcs.formulas import strength

STEEL_PA = 200e9
FIXED_FREE = 0.25

PUBLISHED = (
    Case("Sadhu Singh", "example 9.6", 1, "notebook"),
    Case("Sadhu Singh", "example 9.9", 1, "notebook"),
)


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

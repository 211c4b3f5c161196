"""U. C. Jindal, Machine Design, Examples 25-3 and 25-4 (page 670), outputs of a worked notebook."""

from __future__ import annotations

import pytest
from published_cases import Case

from calcs.formulas import teeth

PUBLISHED = (
    Case("Jindal", "example 25-3", 2, "notebook"),
    Case("Jindal", "example 25-4", 1, "notebook"),
)


def test_example_25_3_beam_strength_is_16110_n() -> None:
    # module 5 mm, face 60 mm, 150 MPa, form factor 0.358 for 30 teeth
    assert teeth.lewis_bending_pa(16110.0, 0.060, 0.005, 0.358) == pytest.approx(150e6, rel=1e-9)


@pytest.mark.parametrize(("count", "factor"), [(30, 0.358), (18, 0.308)])
def test_form_factors_agree_to_their_last_digit_with_the_recalled_table(count: int, factor: float) -> None:
    assert teeth.lewis_factor(float(count)) == pytest.approx(factor, abs=0.0011)

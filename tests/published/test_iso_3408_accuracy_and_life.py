"""ISO 3408-3 travel deviations and ISO 3408-5 preload: tables and factors from memory.

Grade 5 up to 500 mm, and grades 7 and 10 within 300 mm, equal IT5, IT7 and IT10 of the same length bands in
ISO 286-1, which were read in a table that quotes it.
"""

from __future__ import annotations

import pytest
from published_cases import Case

from calcs.checks.accuracy import MEAN_UM, V300_UM, graded_m
from calcs.formulas import ball

UP_TO = (315, 400, 500, 630, 800, 1000, 1250, 1600)
MEAN = {  # e_p of positioning screws, um
    "1": (6, 7, 8, 9, 10, 11, 13, 15),
    "3": (12, 13, 15, 16, 18, 21, 24, 29),
    "5": (23, 25, 27, 32, 36, 40, 47, 55),
}

VARIATION = {  # v_up of positioning screws, um
    "1": (6, 6, 7, 7, 8, 9, 10, 11),
    "3": (12, 12, 13, 14, 16, 17, 19, 22),
    "5": (23, 25, 26, 29, 31, 35, 39, 44),
}

PUBLISHED = (
    Case("ISO 3408-3", "travel deviation and variation", 54, "memory"),
    Case("ISO 286-1", "IT5, IT7 and IT10 of 250 to 500 mm", 5, "page"),
    Case("ISO 3408-5", "lift-off of a preloaded nut", 1, "memory"),
)


@pytest.mark.parametrize("grade", sorted(VARIATION))
def test_variation_over_the_travel(grade: str) -> None:
    lower = 0
    for upper, expected in zip(UP_TO, VARIATION[grade], strict=True):
        for travel in (lower + 1, upper):  # over the lower bound, up to and including the upper one
            found = graded_m(f"P{grade}", travel / 1e3)
            assert found is not None
            assert found[1] * 1e6 == pytest.approx(expected)
        lower = upper


@pytest.mark.parametrize("grade", sorted(MEAN))
def test_deviation_of_the_mean_travel(grade: str) -> None:
    for upper, expected in zip(UP_TO, MEAN[grade], strict=True):
        found = graded_m(f"P{grade}", upper / 1e3)
        assert found is not None
        assert found[0] * 1e6 == pytest.approx(expected)


@pytest.mark.parametrize(
    ("grade", "um"), [("0", 3.5), ("1", 6), ("3", 12), ("5", 23), ("7", 52), ("10", 210)]
)
def test_variation_within_300_mm(grade: str, um: float) -> None:
    assert V300_UM[grade] == um
    deviation, variation = graded_m(f"T{grade}", 0.300) or (0.0, 0.0)
    assert variation * 1e6 == pytest.approx(um)
    assert deviation * 1e6 == pytest.approx(2.0 * um)  # of transport screws, 2 (lu / 300) v300


def test_grade_5_equals_it5_and_grade_7_it7_of_iso_286() -> None:
    it5, it7_250_to_315, it10_250_to_315 = (23, 25, 27), 52, 210  # IT5 of 250-315, 315-400, 400-500 mm
    assert MEAN_UM["5"][:3] == it5
    assert (V300_UM["7"], V300_UM["10"]) == (it7_250_to_315, it10_250_to_315)


def test_a_preloaded_nut_lifts_off_at_2_83_times_its_preload() -> None:
    assert ball.lift_off_n(1.0) == pytest.approx(2.83, abs=0.003)

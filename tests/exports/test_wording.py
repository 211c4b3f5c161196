from __future__ import annotations

import pytest

from exports.wording import measure, millimetres, number, tally, window


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (14.7812, "14.78"), (76595.2, "76595"), (0.0636, "0.0636"), (1e-15, "1.000e-15"),
     (None, "-"), (2.0, "2"), (-0.4, "-0.4"), (1000.0, "1000"), (999.96, "1000"), (12345678.0, "1.235e+07")],
)  # fmt: skip
def test_numbers_read_as_people_write_them(value: float | None, text: str) -> None:
    assert number(value) == text


def test_a_band_shows_both_ends() -> None:
    assert measure({"low": 0.0229, "nominal": 0.1, "high": 0.229}, "mm") == "0.0229 .. 0.229 mm"


def test_gaps_show_micrometres_and_no_negative_zero() -> None:
    assert millimetres(0.7) == "0.700"
    assert millimetres(-0.0) == "0.000"


def test_windows_and_tallies() -> None:
    assert window((27.0, 29.2)) == "27 .. 29.2"
    assert window(None) == ""
    assert tally(["PASS", "FAIL", "PASS", "INFO"]) == "1 FAIL, 2 PASS, 1 INFO"

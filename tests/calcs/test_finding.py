"""Holding a value against its limit: every verdict, at the edge and beyond."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from calcs.finding import Finding, at_least, at_most, clean, digits, info, over
from geometry.units import Band

BAND = Band(1.0, 2.0, 3.0)


@pytest.mark.parametrize(
    ("value", "limit", "verdict"),
    [(1.0, 2.0, "PASS"), (2.0, 2.0, "PASS"), (2.1, 2.0, "FAIL"), (BAND, 3.0, "PASS"), (BAND, 2.9, "FAIL")],
)
def test_at_most_judges_the_high_end(value: float | Band, limit: float, verdict: str) -> None:
    found = at_most(value, limit, remedy="r")
    assert found.verdict == verdict
    assert found.remedy == ("" if verdict == "PASS" else "r")
    assert found.judged == (3.0 if isinstance(value, Band) else value)


@pytest.mark.parametrize(
    ("value", "limit", "verdict"),
    [(3.0, 2.0, "PASS"), (2.0, 2.0, "PASS"), (1.9, 2.0, "FAIL"), (BAND, 1.0, "PASS"), (BAND, 1.1, "FAIL")],
)
def test_at_least_judges_the_low_end(value: float | Band, limit: float, verdict: str) -> None:
    found = at_least(value, limit, remedy="r")
    assert found.verdict == verdict
    assert found.remedy == ("" if verdict == "PASS" else "r")
    assert found.judged == (1.0 if isinstance(value, Band) else value)


@pytest.mark.parametrize(("short", "verdict"), [(0.99e-9, "PASS"), (1.01e-9, "FAIL")])
def test_what_rounding_may_lose_passes_and_more_does_not(short: float, verdict: str) -> None:
    assert at_most(2.0 * (1.0 + short), 2.0).verdict == verdict
    assert at_least(2.0 * (1.0 - short), 2.0).verdict == verdict


def test_a_second_threshold_parts_warn_from_fail() -> None:
    assert [at_most(x, 5.0, fail_above=10.0).verdict for x in (5.0, 5.1, 10.0, 10.1)] == [
        "PASS",
        "WARN",
        "WARN",
        "FAIL",
    ]
    assert [at_least(x, 1.5, fail_below=1.0).verdict for x in (1.5, 1.4, 1.0, 0.9)] == [
        "PASS",
        "WARN",
        "WARN",
        "FAIL",
    ]


def test_a_fault_case_warns_and_no_more() -> None:
    assert at_most(9.0, 5.0, above="WARN").verdict == "WARN"
    assert at_least(1.0, 5.0, below="WARN").verdict == "WARN"


@pytest.mark.parametrize("judge", [at_most, at_least])
def test_no_limit_or_no_number_is_not_checked(judge: Callable[..., Finding]) -> None:
    assert judge(1.0, None).verdict == "NOT CHECKED"
    assert judge(math.nan, 1.0).verdict == "NOT CHECKED"


def test_over_orders_the_ends_of_a_falling_function() -> None:
    assert over(BAND, lambda x: 6.0 / x) == Band(2.0, 3.0, 6.0)


def test_info_judges_nothing() -> None:
    assert info(3.0, "words").verdict == "INFO"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1011.2, "1011"), (180766.4, "180766"), (9999999.0, "9999999"), (10000000.0, "1.00e+07"),
        (10.0, "10"),
        (0.0, "0"), (-12.345, "-12.3"), (0.00012345, "0.000123"), (0.000012345, "1.23e-05"), (2.5, "2.5"),
        (math.inf, "inf"), (math.nan, "nan"),
    ],
)  # fmt: skip
def test_digits_without_an_exponent_where_people_use_none(value: float, text: str) -> None:
    assert digits(value) == text


@pytest.mark.parametrize(
    ("value", "left"), [(4e-19, 0.0), (-9.9e-16, 0.0), (1.1e-15, 1.1e-15), (-2.0, -2.0), (0.0, 0.0)]
)
def test_what_a_difference_of_equal_numbers_leaves_is_nothing(value: float, left: float) -> None:
    assert clean(value) == left


def test_more_digits() -> None:
    assert [digits(2.0 / 3.0, count) for count in (1, 2, 4)] == ["0.7", "0.67", "0.6667"]

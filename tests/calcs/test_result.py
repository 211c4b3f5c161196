"""One row: units, margins both ways, what is finite, which rows count."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from calcs.case import Case, Value
from calcs.check import Check, Signature, check, finding_of, run_check
from calcs.finding import Finding, Verdict, at_least, at_most, info
from calcs.result import Result, overall
from geometry.units import Band

EMPTY = Case({})


def row(found: Finding, kind: str = "ratio", unit: str = "m", shown: str = "mm") -> Result:
    @check("test.row", title="A row", unit=unit, shown=shown, margin_kind=kind, formula="x", source="x")  # type: ignore[arg-type] # a kind by its name
    def made() -> Finding:
        return found

    return run_check(made, EMPTY)


def test_a_band_is_shown_in_the_unit_of_the_trade_and_one_without_width_is_a_number() -> None:
    band = row(info(Band(0.001, 0.0025, 0.004)))
    assert band.value == Band(1.0, 2.5, 4.0)
    assert band.to_json()["value"] == {"low": 1.0, "nominal": 2.5, "high": 4.0}
    assert row(info(Band(0.002, 0.002, 0.002))).value == 2.0
    assert row(info(0.1 + 0.2)).value == 300.0  # the digits that only the unit's factor brought in are gone


@pytest.mark.parametrize(
    ("judge", "value", "ratio", "difference"),
    [
        (at_most, 0.004, 2.5, 6.0),
        (at_most, 0.020, 0.5, -10.0),
        (at_least, 0.025, 2.5, 15.0),
        (at_least, 0.005, 0.5, -5.0),
    ],
)
def test_margins(judge: Callable[..., Finding], value: float, ratio: float, difference: float) -> None:
    found = judge(value, 0.010)
    assert row(found, "ratio").margin == pytest.approx(ratio)
    assert row(found, "difference").margin == pytest.approx(difference)
    assert row(found, "none").margin is None


@pytest.mark.parametrize(("value", "margin"), [(0.05, 200.0), (0.0, None), (-1.0, None)])
def test_a_ratio_needs_a_part_above_nothing(value: float, margin: float | None) -> None:
    assert row(at_most(value, 10.0), unit="N", shown="N").margin == margin
    assert row(at_least(10.0, value), unit="N", shown="N").margin == margin


def test_a_limit_or_a_margin_without_end_is_left_out() -> None:
    found = row(at_most(1.0, math.inf))
    assert (found.verdict, found.limit, found.margin) == ("PASS", None, None)
    assert row(Finding(1.0, "PASS", 1.0, math.inf, "at most"), "difference").margin is None


def verdicts(*given: Verdict, counts: bool = True) -> list[Result]:

    return [row(info(1.0))._replace(verdict=verdict, counts=counts) for verdict in given]


def test_the_worst_that_counts_is_the_verdict_of_all() -> None:
    assert overall(verdicts("PASS", "WARN", "INFO")) == "WARN"
    assert overall(verdicts("NOT PROVEN", "WARN")) == "NOT PROVEN"
    assert overall(verdicts("NOT PROVEN", "NOT CHECKED")) == "NOT CHECKED"
    assert overall(verdicts("FAIL", "NOT CHECKED")) == "FAIL"
    assert overall([*verdicts("PASS"), *verdicts("FAIL", counts=False)]) == "PASS"
    assert overall([]) == "PASS"


@check("test.double", formula="2 n", source="x", limit=7.0)
def double(cycles: float, limit: float = 0.0) -> Finding:
    """Twice a number."""
    return at_most(2.0 * cycles, limit)


@pytest.mark.parametrize(("cycles", "verdict"), [(3.5, "PASS"), (3.6, "FAIL")])
def test_a_finding_is_held_against_its_limit(cycles: float, verdict: Verdict) -> None:
    known: Check = double
    found = finding_of(known, Case({"cycles": Value(cycles, "given", "motion.cycles")}))
    assert found is not None
    assert (found.verdict, found.limit, found.judged) == (verdict, 7.0, 2.0 * cycles)
    assert finding_of(known, EMPTY) is None


def test_a_title_that_is_given_goes_before_the_first_line_of_the_docstring() -> None:
    def made() -> Finding:
        """Words of its own.

        And more.
        """
        return info(1.0)

    titles = [
        check("test.title", formula="x", source="x", title=given)(made).title for given in ("A row", "")
    ]
    assert titles == ["A row", "Words of its own"]
    assert row(info(1.0)).title == "A row"


def test_parameters_with_a_default_are_optional() -> None:
    def made(a: float, b: float, limit: float, c: float = 1.0, d: float = 2.0) -> None:
        """Take five, of which a limit is no name."""

    signature = Signature.of(made)
    assert (signature.needed, signature.optional) == (("a", "b"), ("c", "d"))
    assert signature.names == ("a", "b", "c", "d")
    assert Signature.of(lambda: None).names == ()

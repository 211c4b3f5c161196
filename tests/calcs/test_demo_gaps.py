"""The clearance rows of the demo's table: the fit of the first design and of that with the long rib (mm)."""

from __future__ import annotations

from functools import cache

import pytest

from calcs.fit import FitReport, PairResult
from calcs.fit_design import fit_design
from exports.demo import FIRST, demo_texts
from exports.print_fit import print_fit
from geometry.design import read_text

RIB = "vial-lift-rib.toml"


@cache
def report(name: str) -> FitReport:
    return fit_design(read_text(demo_texts()[name], name))


def pair(name: str, a: str, b: str) -> PairResult:
    return next(p for p in report(name).pairs if {p.a, p.b} == {a, b} and p.kind == "travel")


# pair, gap, required
GAPS = [
    ("flag", "rib", 0.700, 0.5),
    ("guide_block", "stop_low", 1.000, 0.5),
    ("nut", "stop_low", 1.454, 0.5),
    ("arm", "front_left", 2.000, 0.5),
    ("arm", "front_right", 2.000, 0.5),
    ("arm", "pcb", 3.000, 2.0),
]


@pytest.mark.parametrize(("a", "b", "gap", "required"), GAPS)
def test_gap_over_all_the_travel(a: str, b: str, gap: float, required: float) -> None:
    found = pair(FIRST, a, b)
    assert found.gap is not None
    assert found.gap.nominal == pytest.approx(gap, abs=1e-3)
    assert found.required == required
    assert found.verdict == "PASS"


def test_nothing_is_nearer_than_flag_and_rib() -> None:
    assert report(FIRST).verdict == "PASS"
    gaps = {
        (p.a, p.b): p.gap.nominal for p in report(FIRST).pairs if p.kind == "travel" and p.gap is not None
    }
    assert min(gaps, key=lambda names: gaps[names]) == ("flag", "rib")
    found = pair(FIRST, "flag", "rib")
    assert found.at_travel is not None
    assert 27.0 - 1e-6 <= found.at_travel <= 29.2 + 1e-6


def test_the_long_rib_clashes_where_the_table_says() -> None:
    found = pair(RIB, "flag", "rib")
    assert report(RIB).verdict == found.verdict == "FAIL"
    assert found.gap is not None
    assert found.gap.nominal == pytest.approx(-0.4, abs=1e-3)
    assert [pytest.approx(window, abs=1e-2) for window in found.clash] == [(27.0, 29.2)]
    assert [pytest.approx(window, abs=1e-2) for window in found.below_required] == [(26.5, 29.7)]
    assert [(p.a, p.b) for p in report(RIB).pairs if p.verdict == "FAIL"] == [("flag", "rib")]


def test_a_pitch_of_one_and_a_half_is_too_fine_to_print() -> None:
    assert print_fit("FDM", 0.4).pitch == pytest.approx(2.0)

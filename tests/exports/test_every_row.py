"""Every row of a sliding, a ball and a stepper design says all that a reviewer asks of it."""

from __future__ import annotations

import io
from functools import cache

import pytest

from calcs.check import Result
from calcs.check_design import CheckReport, check_design, explain_check
from exports.check_report import print_check
from exports.demo import FIRST, demo_texts
from exports.documents import check_document
from exports.explain import print_explained
from geometry.design import Design, read_text

TABLE = (
    'kind = "stepper"\nsteps = 200\ninductance = "3 mH"\ncurrent_continuous = "0.4 A"\n'
    'torque_table = [{ speed = "0 rpm", torque = "40 mN*m" }, { speed = "6000 rpm", torque = "10 mN*m" }]'
)
VARIANTS: dict[str, tuple[tuple[str, str], ...]] = {
    "sliding": (),
    "ball": (
        ("Tr8x1.5", "Ball8x2"),
        (
            '"0.08..0.15..0.20"',
            '"0.003..0.005..0.01"\nballs = { dynamic_load = "2.1 kN", static_load = "3 kN" }',
        ),
    ),
    "stepper": (
        ('kind = "brushed"', TABLE),
        ("torque_constant = ", "# torque_constant = "),
        ("no_load_current = ", "# no_load_current = "),
    ),
}
# Passing rows whose verdict no single number turns: what they hold is no number that can be turned.
NO_NUMBER = {
    "gearing.ratio": "teeth come in sets",
    "gearing.ring": "teeth come in sets",
    "gearing.spacing": "teeth come in sets",
    "gearing.neighbours": "teeth come in sets",
    "guide.nut_load": "there is a guide",
    "plausible.load_case": "a case is given",
    "strength.buckling": "a nut that goes so far is refused: its bearing stands in the way",
    "service.access": "it follows from the bodies, which are not turned one number at a time",
}
FAR = 10.0  # a margin that one number, turned ten times, does not eat up


@cache
def design(name: str) -> Design:
    text = demo_texts()[FIRST]
    for old, new in VARIANTS[name]:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read_text(text)


@cache
def report(name: str) -> CheckReport:
    return check_design(design(name), flips=True)


@pytest.mark.parametrize("name", VARIANTS)
def test_formula_source_and_the_origin_of_every_input(name: str) -> None:
    for row in report(name).results:
        assert row.formula, row.id
        assert row.source, row.id
        assert row.inputs or row.verdict in ("INFO", "NOT CHECKED"), row.id
        for entry in row.inputs.values():
            assert entry["origin"] in ("given", "default", "derived"), row.id
            assert (entry["field"] != "") >= (entry["origin"] == "given"), row.id
            assert entry["value"] is not None, row.id


@pytest.mark.parametrize("name", VARIANTS)
def test_what_is_not_well_says_what_would_make_it_so(name: str) -> None:
    for row in report(name).results:
        if row.verdict not in ("PASS", "INFO"):
            assert row.remedy, row.id
        if row.verdict in ("FAIL", "WARN", "NOT PROVEN"):
            lost = row.value is None  # what has no value at all has no number near it either
            assert row.flip is not None or lost or (row.margin is not None and row.margin < 1.0 / FAR), row.id


def far(row: Result) -> bool:
    """Whether nothing is left to hold against the limit, or one number turned ten times leaves it kept."""
    return row.value == 0.0 or (row.margin is not None and row.margin > FAR) or row.margin is None


@pytest.mark.parametrize("name", VARIANTS)
def test_a_passing_row_says_what_would_flip_it_unless_it_is_far_off(name: str) -> None:
    passing = [row for row in report(name).results if row.verdict == "PASS"]
    assert sum(row.flip is not None for row in passing) > 20
    for row in passing:
        if row.flip is None and row.id not in NO_NUMBER:
            assert far(row), (row.id, row.margin)


def test_every_row_is_explained_in_full_within_100_columns() -> None:
    made = design("ball")
    for row in report("ball").results:
        found, behind = explain_check(made, row.id)
        document = check_document(made, (found,), found.verdict, ())
        out = io.StringIO()
        print_explained(document, behind, stream=out)
        lines = out.getvalue().splitlines()
        assert max(map(len, lines)) <= 100, row.id
        for words in ("  formula: ", "  source: ", "  flips with: "):
            assert any(line.startswith(words) for line in lines), (row.id, words)


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("verbosity", [-1, 0, 1])
def test_the_report_fits_100_columns(name: str, verbosity: int) -> None:
    found = report(name)
    document = check_document(design(name), found.results, found.verdict, found.unused_sections, found.screws)
    out = io.StringIO()
    print_check(document, stream=out, verbosity=verbosity)
    assert max(map(len, out.getvalue().splitlines())) <= 100

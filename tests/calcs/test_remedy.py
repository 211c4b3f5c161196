"""Remedies by solving: the smallest single change that passes, behind the words a check has of its own."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from test_checks_robust import LINES, NUMBERS, scaled

from calcs.case import case_of
from calcs.check import Result, run_checks
from calcs.check_design import check_design, explain_check
from calcs.flips import Flip
from calcs.remedy import _joined, change_needed, with_remedies
from geometry.design import read, read_text
from geometry.errors import InputError

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
TEXT = DEMO.read_text(encoding="utf-8")
FAST = TEXT.replace('speed = "25 mm/s"', 'speed = "80 mm/s"')


def solved(text: str, *, flips: bool = False) -> dict[str, Result]:
    case = case_of(read_text(text))
    return {row.id: row for row in with_remedies(case, run_checks(case), flips=flips)}


def test_the_solved_change_stands_behind_the_checks_own_words() -> None:
    holding = solved(TEXT, flips=True)["drive.holding"]
    assert holding.remedy.endswith(
        "or a [brake]; by one input alone: nut.friction low end of 0.0955 or more (+19.4 %)"
    )


def test_a_solved_change_passes_when_it_is_typed_into_the_file() -> None:
    before = solved(FAST, flips=True)["plausible.speed"]
    assert before.verdict == "WARN"
    found = re.search(r"by one input alone: motion\.speed of ([\d.]+) mm/s or less", before.remedy)
    assert found is not None, before.remedy
    mended = FAST.replace('speed = "80 mm/s"', f'speed = "{found[1]} mm/s"')
    assert solved(mended)["plausible.speed"].verdict == "PASS"


def test_where_nothing_passes_alone_it_is_said() -> None:
    wear = solved(TEXT, flips=True)["life.wear"]
    assert wear.verdict == "NOT PROVEN"
    assert wear.remedy.endswith("up to 205963 cycles; no given number alone would do")


def test_a_row_of_agreement_is_not_solved_since_its_own_words_say_the_number() -> None:
    row = solved(TEXT.replace('mass = "0.450 kg"', 'mass = "0.900 kg"'), flips=True)["mass.moving"]
    assert row.verdict == "WARN"
    assert row.remedy.startswith('motion.mass = "')
    assert row.remedy.endswith("or the mass of a body that is missing or wrong")


def test_no_remedy_asks_for_another_load_or_requirement() -> None:
    heavy = TEXT.replace('force = "8 N"', 'force = "30 N"').replace('step = "0.1 mm"', 'step = "1 um"')
    rows = solved(heavy)
    assert rows["motor.dynamic_margin.nominal"].verdict == "FAIL"
    assert rows["travel.step"].verdict == "FAIL"
    for row in rows.values():
        assert not re.search(r"alone: (load_case|motion\.step)", row.remedy)


def test_a_row_without_remedy_of_its_own_has_the_solved_one_alone() -> None:
    rows = solved(TEXT.replace('strength = "500 N"', 'strength = "450 N"'))
    assert "stops.strength" in rows["stops.impact"].remedy


def test_rows_that_do_not_fail_are_searched_only_when_asked() -> None:
    plain, full = solved(FAST), solved(FAST, flips=True)
    assert plain["motor.voltage"].verdict == "FAIL"
    assert plain["motor.voltage"].flip == full["motor.voltage"].flip is not None
    assert plain["drive.holding"].flip is None
    assert full["drive.holding"].flip is not None
    assert plain["motor.winding"].flip is None
    assert full["motor.winding"].flip is not None
    assert full["drive.lead_angle"].flip is None
    assert full["motor.winding"].remedy == ""


def test_check_design_solves_and_passes_flips_on() -> None:
    design = read(DEMO)
    plain, full = check_design(design), check_design(design, flips=True)
    assert plain.verdict == full.verdict
    assert sum(row.flip is not None for row in plain.results) < sum(
        row.flip is not None for row in full.results
    )


def test_one_check_is_explained_with_what_is_behind_it() -> None:
    row, behind = explain_check(read(DEMO), "motor.dynamic_margin.nominal")
    assert row.flip is not None
    assert behind["torque_constant"]["value"] == 11.4
    assert behind["supply"]["value"] == {"low": 10.8, "nominal": 12.0, "high": 13.2}
    assert not behind.keys() & row.inputs.keys()


def test_an_unknown_check_cannot_be_explained() -> None:
    with pytest.raises(InputError, match=r"did you mean drive\.holding\?"):
        explain_check(read(DEMO), "drive.holdin")


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(
    line=st.sampled_from(NUMBERS),
    factor=st.sampled_from([1e-3, 0.1, 0.5, 2.0, 10.0, 1e3]),
    thread=st.sampled_from(["Tr8x1.5", "Tr8x8(P2)", "M8"]),
)
def test_odd_designs_are_answered_too(line: int, factor: float, thread: str) -> None:
    lines = [scaled(words, factor) if at == line else words for at, words in enumerate(LINES)]
    try:
        rows = solved("\n".join(lines).replace("Tr8x1.5", thread), flips=True)
    except InputError:
        assume(False)
        return
    json.dumps([row.to_json() for row in rows.values()], allow_nan=False)
    for row in rows.values():
        assert row.flip is None or row.flip.verdict not in (row.verdict, "NOT CHECKED", "INFO")
        assert row.flip is None or abs(row.flip.change) <= 9.0


@pytest.mark.parametrize(
    ("after", "change", "words"),
    [
        (110.0, 0.1, "a speed of 110 mm/s or more (+10 %)"),
        (92.5, -0.075, "a speed of 92.5 mm/s or less (-7.5 %)"),
    ],
)
def test_a_change_is_asked_for_with_its_side(after: float, change: float, words: str) -> None:
    flip = Flip("motion.speed", "a speed", 100.0, after, "mm/s", change, "PASS")
    assert change_needed(flip) == words
    assert change_needed(Flip("n", "n", 100.0, after, "", change, "PASS")).startswith(f"n of {after:g} or")


def test_words_of_its_own_stand_before_the_solved_ones() -> None:
    assert _joined("", "x of 3 or more (+5 %)") == "x of 3 or more (+5 %)"
    assert _joined("x of 3 or more", "x of 3 or more (+5 %)") == "x of 3 or more (+5 %)"
    assert (
        _joined("brake it", "x of 3 or more (+5 %)") == "brake it; by one input alone: x of 3 or more (+5 %)"
    )
    alone = "no given number alone would do"
    assert _joined("brake it", f"{alone} (each was tried)") == f"brake it; {alone}"

"""One check in full: what `check --explain` prints, and the words for a flip."""

from __future__ import annotations

from pathlib import Path

import pytest

from exports import command
from exports.console import console
from exports.explain import SYMBOLS, flip_words, numbers_put_in, print_in_full

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"


def explained(id: str, capsys: pytest.CaptureFixture[str], status: int = 0) -> list[str]:
    assert command._status(["check", str(DEMO), "--explain", id]) == status
    return capsys.readouterr().out.splitlines()


def unwrapped(lines: list[str]) -> str:
    return " ".join(line.strip() for line in lines)


def test_holding_in_full(capsys: pytest.CaptureFixture[str]) -> None:
    lines = explained("drive.holding", capsys)
    text = unwrapped(lines)
    assert max(map(len, lines)) <= 100
    assert "drive.holding  WARN" in lines
    assert "  value 1.258 .. 3.144, limit 1.5, margin x 0.838" in lines
    assert "  formula: k = (mu / cos(alpha)) / tan(lambda)" in lines
    assert (
        "  numbers put in: k = ([0.08 .. 0.15 .. 0.2] / cos([15 deg])) / tan(lambda) = 1.258 .. 3.144"
        in lines
    )
    assert "source: Shigley" in text
    assert "  friction = 0.08 .. 0.15 .. 0.2  (given, nut.friction)" in lines
    assert "caution: The load can fall" in text
    assert "by one input alone: nut.friction low end of 0.0955 or more (+19.4 %)" in text
    assert "flips with: nut.friction.low 0.0955 instead of 0.08 (+19.4 %): PASS" in text


def test_a_derived_input_is_followed_back_to_what_was_given(capsys: pytest.CaptureFixture[str]) -> None:
    text = unwrapped(explained("motor.dynamic_margin.nominal", capsys))
    assert "available_torque = 8.499 mN*m (derived)" in text.replace("  ", " ")
    assert "from torque_constant = 11.4 mN*m/A (given, motor.torque_constant)" in text.replace("  ", " ")
    assert (
        "(([10.8 .. 12 .. 13.2 V] - [11.4 mN*m/A] [4000 rpm]) / [9.5 ohm] - [0.015 A]) [11.4 mN*m/A] "
        "/ [4.008 mN*m] = 2.121" in text
    )


def test_every_check_can_be_explained_within_the_width(capsys: pytest.CaptureFixture[str]) -> None:
    from calcs.check import known_checks

    for known in known_checks():
        command._status(["check", str(DEMO), "--explain", known.id])
        lines = capsys.readouterr().out.splitlines()
        assert lines[2].split("  ")[0] == known.id
        assert max(map(len, lines)) <= 100, known.id


def test_an_unknown_check_is_unusable_input(capsys: pytest.CaptureFixture[str]) -> None:
    assert explained("drive.holdin", capsys, status=2) == []
    assert command._status(["check", str(DEMO), "--explain", "drive.holdin"]) == 2
    assert capsys.readouterr().err == "no check is called drive.holdin; did you mean drive.holding?\n"


def row(formula: str, **inputs: object) -> dict[str, object]:
    given = {
        name: {"value": value, "unit": unit, "origin": "given", "field": "x"}
        for name, (value, unit) in inputs.items()  # type: ignore[misc] # pairs, as every call below gives them
    }
    return {"formula": formula, "inputs": given}


def test_numbers_stand_only_for_whole_symbols() -> None:
    put_in = numbers_put_in(
        row("F = m g + F(s) + mm eta'", carried_mass=(2.0, "kg"), gear_efficiency=(0.8, ""))
    )
    assert put_in == "F = [2 kg] g + F(s) + mm eta'"
    assert numbers_put_in(row("d n", nut_material=("POM", ""))) == "d n"
    assert numbers_put_in(row("L / d", major_diameter=(8.0, "mm"))) == "L / [8 mm]"


@pytest.mark.parametrize(
    ("formula", "end"),
    [("L / d", " = 12 mm"), ("L / d <= 3", ""), ("L / d >= 3", ""), ("L = 3 d", " = 12 mm")],
)
def test_a_condition_gives_no_number(formula: str, end: str, capsys: pytest.CaptureFixture[str]) -> None:
    shown = {
        **row(formula, major_diameter=(8.0, "mm")),
        "id": "x.y", "verdict": "PASS", "title": "Title", "value": 12.0, "unit": "mm", "limit": None,
        "margin": None, "margin_kind": "none", "source": "s", "note": "", "cautions": [], "remedy": "",
        "flip": None,
    }  # fmt: skip
    print_in_full(console(), shown)
    text = formula.replace("d", "[8 mm]")
    assert f"numbers put in: {text}{end}\n" in capsys.readouterr().out


def test_the_time_of_a_cycle_is_put_in_for_no_temperature() -> None:
    from calcs.check import known_checks

    (peak,) = [known for known in known_checks() if known.id == "motor.winding_peak"]
    assert "40" not in numbers_put_in(row(peak.formula, cycle=(40.0, "s"), resistance=(14.0, "ohm")))


def test_a_symbol_that_two_inputs_claim_stays() -> None:
    both = row("x = mu", friction=(0.1, ""), guide_friction=(0.2, ""))
    assert numbers_put_in(both) == "x = mu"


def test_a_force_behind_a_derived_input_is_not_put_in() -> None:
    behind = row("", peak_force=(14.0, "N"), lead=(1.5, "mm"))["inputs"]
    assert numbers_put_in(row("T = F lead"), behind) == "T = F [1.5 mm]"  # type: ignore[arg-type] # as above


def test_every_symbol_is_of_an_input_that_some_check_has() -> None:
    from calcs.case import known_names
    from calcs.naming import bare

    assert set(SYMBOLS) <= {bare(name) for name in known_names()}


def test_words_of_a_flip() -> None:
    assert flip_words(None) == "no single input that was tried"
    flip = {"field": "a.b", "from": 2.0, "to": 3.0, "unit": "mm", "change": 0.5, "verdict": "FAIL"}
    assert flip_words(flip) == "a.b 3 mm instead of 2 (+50 %): FAIL"
    assert flip_words({**flip, "unit": ""}) == "a.b 3 instead of 2 (+50 %): FAIL"
    warm = {**flip, "from": 20.0, "to": 25.0, "unit": "degC", "change": 0.25}
    assert flip_words(warm) == "a.b 25 degC instead of 20: FAIL"  # no share of a temperature
    edge = {**flip, "from": 3.0, "to": 3.0 + 1e-8, "change": 3e-9}
    assert flip_words(edge) == "a.b anything more than 3 mm: FAIL"
    assert flip_words({**edge, "to": 3.0 - 1e-8, "change": -3e-9}) == "a.b anything less than 3 mm: FAIL"

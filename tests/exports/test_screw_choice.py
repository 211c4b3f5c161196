"""The comparison of screw kinds in the report and in JSON."""

from __future__ import annotations

import io
import json
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from calcs.check_design import check_design
from exports import command
from exports.check_report import print_check
from exports.demo import FIRST, demo_texts
from exports.documents import check_document
from geometry.design import read_text

SCHEMA = json.loads(resources.files("exports").joinpath("check_schema.json").read_text(encoding="utf-8"))
BALL = (
    ('thread = "Tr8x1.5"', 'thread = "Ball8x2"'),
    ('friction = "0.08..0.15..0.20"', 'friction = "0.003..0.005..0.01"\nballs = { dynamic_load = "2.1 kN" }'),
)


def document(*changes: tuple[str, str], flips: bool = True) -> Any:
    text = demo_texts()[FIRST]
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    design = read_text(text)
    report = check_design(design, flips=flips)
    return check_document(design, report.results, report.verdict, report.unused_sections, report.screws)


@pytest.mark.parametrize("changes", [(), BALL])
def test_rows_keep_the_schema_and_print_within_100_columns(changes: tuple[tuple[str, str], ...]) -> None:
    made = document(*changes)
    Draft202012Validator(SCHEMA).validate(made)
    out = io.StringIO()
    print_check(made, stream=out, verbosity=1)
    lines = out.getvalue().splitlines()
    assert max(map(len, lines)) <= 100
    start = next(i for i, line in enumerate(lines) if line.startswith("The same duty on other kinds"))
    assert lines[start + 2].split()[0] == ("Ball8x2" if changes else "Tr8x1.5")
    assert "Ball8x2: 750 rpm" in out.getvalue()


def test_numbers_are_in_the_units_of_the_trade() -> None:
    own, *_, balls = document()["screw_kinds"]
    assert own["own"]
    assert own["lead"] == {"value": 1.5, "unit": "mm"}
    assert own["screw_speed"] == {"value": pytest.approx(1000.0), "unit": "rpm"}
    assert own["torque"]["unit"] == "mN*m"
    assert own["torque"]["value"]["nominal"] == pytest.approx(11.94, rel=1e-3)
    assert own["lead_error"] == {"value": {"low": 100.0, "nominal": 200.0, "high": 300.0}, "unit": "um"}
    assert own["heat"]["value"] == pytest.approx(0.396, rel=1e-2)
    assert own["life"]["verdict"] == "NOT PROVEN"
    assert balls["life"]["cycles"] is None
    assert balls["life"]["verdict"] == "NOT CHECKED"
    assert balls["asked_rating"]["value"] == pytest.approx(24.3, rel=1e-2)
    assert own["asked_rating"]["value"] is None
    assert not balls["holds"]


def test_a_thread_that_nothing_turns_has_no_efficiency_and_no_heat() -> None:
    own = document(('"0.08..0.15..0.20"', '"0.08..0.15..40"'))["screw_kinds"][0]
    assert own["torque"]["value"] is None
    text = io.StringIO()
    print_check(document(('"0.08..0.15..0.20"', '"0.08..0.15..40"')), stream=text, verbosity=1)
    assert "Tr8x1.5: 1000 rpm" in text.getvalue()


def test_only_with_v(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / FIRST
    file.write_text(demo_texts()[FIRST], encoding="utf-8")
    seen = []
    for words in ((), ("-v",), ("--json",), ("--json", "-v")):
        command._status(["check", str(file), *words])
        seen.append(capsys.readouterr().out)
    assert ["same duty" in text or "screw_kinds" in text for text in seen] == [False, True, False, True]

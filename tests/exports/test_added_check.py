"""Adding a check is one decorated function in one file: everything that shows checks shows it."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import calcs.checks
from exports import command

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
FILE = '''
from calcs.check import check
from calcs.finding import Finding, at_most


@check("added.weight", unit="N", formula="F = 9.80665 m", source="a test", limit=3.0)
def weight(carried_mass_kg: float, limit: float = 3.0) -> Finding:
    """Weight of what the nut carries."""
    return at_most(9.80665 * carried_mass_kg, limit)
'''


@pytest.fixture(autouse=True)
def added(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    name = "added_for_every_output"
    (tmp_path / f"{name}.py").write_text(FILE, encoding="utf-8")
    monkeypatch.setattr(calcs.checks, "__path__", [*calcs.checks.__path__, str(tmp_path)])
    yield
    sys.modules.pop(f"calcs.checks.{name}", None)
    vars(calcs.checks).pop(name, None)


def printed(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    command._status([str(word) for word in words])
    return capsys.readouterr().out


def test_the_command_shows_it_with_its_remedy(capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(capsys, "check", DEMO)
    assert text.splitlines()[1].startswith("FAIL")
    assert "added.weight: Weight of what the nut carries, 4.413 N, against 3 N." in text
    assert "motion.mass of 305 g or less (-32.2 %)" in " ".join(text.split())


def test_json_has_it(capsys: pytest.CaptureFixture[str]) -> None:
    rows = {row["id"]: row for row in json.loads(printed(capsys, "check", DEMO, "--json"))["checks"]}
    assert rows["added.weight"]["verdict"] == "FAIL"
    assert rows["added.weight"]["flip"]["field"] == "motion.mass"


def test_it_can_be_explained(capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(capsys, "check", DEMO, "--explain", "added.weight")
    assert "numbers put in: F = 9.80665 [450 g] = 4.413 N" in text


def test_the_list_of_checks_has_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert "added.weight" in printed(capsys, "known", "checks")


def test_the_written_results_have_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    printed(capsys, "make", DEMO, "-o", tmp_path / "out", "--only", "results")
    texts = [path.read_text(encoding="utf-8") for path in (tmp_path / "out").rglob("*") if path.is_file()]
    assert sum("added.weight" in text for text in texts) >= 3  # as JSON, as CSV and as text

"""`check --json` keeps the published schema, which is strict: nothing that it does not name."""

from __future__ import annotations

import copy
import json
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from exports import command
from exports.demo import demo_texts

SCHEMA = json.loads(resources.files("exports").joinpath("check_schema.json").read_text(encoding="utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("demo")
    for name, text in demo_texts().items():
        (made / name).write_text(text, encoding="utf-8")
    return made


def document(capsys: pytest.CaptureFixture[str], *words: object) -> Any:
    command._status(["check", *map(str, words), "--json"])
    return json.loads(capsys.readouterr().out)


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", sorted(name for name in demo_texts() if name.endswith(".toml")))
@pytest.mark.parametrize("words", [(), ("-v",), ("--explain", "drive.holding")])
def test_every_document_of_the_demo_keeps_it(
    folder: Path, name: str, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    VALIDATOR.validate(document(capsys, folder / name, *words))


def test_the_smallest_design_and_a_wrong_one_keep_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own.toml"
    assert command._status(["start", str(own)]) == 0
    capsys.readouterr()
    VALIDATOR.validate(document(capsys, own))
    own.write_text('[motion]\nspeed = 25\nsped = "1 mm/s"\n', encoding="utf-8")
    wrong = document(capsys, own)
    assert wrong["errors"]
    VALIDATOR.validate(wrong)
    VALIDATOR.validate(document(capsys, folder_of_nothing(tmp_path)))


def folder_of_nothing(tmp_path: Path) -> Path:
    return tmp_path / "nothing.toml"


def test_an_accepted_row_keeps_it(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (folder / "vial-lift.toml").read_text(encoding="utf-8")
    text += '\n[[accepted]]\ncheck = "life.wear"\nevidence = "100 km on the bench"\n'
    own = tmp_path / "own.toml"
    own.write_text(text, encoding="utf-8")
    made = document(capsys, own)
    assert any("accepted" in row for row in made["checks"])
    VALIDATOR.validate(made)


def test_it_is_strict(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = document(capsys, folder / "vial-lift.toml", "-v")
    index = next(i for i, row in enumerate(made["checks"]) if row["id"] == "drive.holding")
    places: list[tuple[str | int, ...]] = [
        (), ("design",), ("checks", index), ("checks", index, "flip"),
        ("checks", index, "inputs", "friction"), ("checks", index, "inputs", "friction", "value"),
    ]  # fmt: skip
    assert made["checks"][index]["flip"] is not None
    for place in places:
        for spoil in (lambda entry: entry.update(more=1), lambda entry: entry.pop(next(iter(entry)))):
            wrong = copy.deepcopy(made)
            entry = wrong
            for key in place:
                entry = entry[key]
            spoil(entry)
            assert not VALIDATOR.is_valid(wrong), place
    worse = copy.deepcopy(made)
    worse["checks"][0]["verdict"] = "MAYBE"
    assert not VALIDATOR.is_valid(worse)


def test_passing_rows_flip_with_v(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plain, full = (document(capsys, folder / "vial-lift.toml", *words) for words in ((), ("-v",)))
    told = [sum(row["flip"] is not None for row in made["checks"]) for made in (plain, full)]
    assert told[0] == 0  # nothing fails, so nothing is searched
    assert told[1] > 30

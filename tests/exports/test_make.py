from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest
import trimesh

import strokebox
from exports.demo import FIRST, demo_texts
from exports.make import KINDS, MakeReport
from geometry.errors import InputError


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("make") / FIRST
    path.write_text(demo_texts()[FIRST], encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def made(design: Path) -> MakeReport:
    return strokebox.make(design, design.with_name("out"))


def test_the_demo_is_not_proven_because_of_wear_alone(made: MakeReport) -> None:
    assert made.verdict == "NOT PROVEN"
    assert [row["id"] for row in made.check["checks"] if row["verdict"] == "NOT PROVEN"] == ["life.wear"]
    assert {pair["verdict"] for pair in made.fit["pairs"]} == {"PASS"}


def test_every_file_is_in_the_manifest_with_its_sha256(made: MakeReport) -> None:
    manifest = json.loads((made.folder / "manifest.json").read_text(encoding="utf-8"))
    listed = {entry["file"]: entry["sha256"] for entry in manifest["files"]}
    there = {
        path.relative_to(made.folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in made.folder.rglob("*")
        if path.is_file() and path.name != "manifest.json"
    }
    assert listed == there
    assert {entry["kind"] for entry in manifest["files"]} == set(KINDS)


def test_every_mesh_is_closed(made: MakeReport) -> None:
    for path in sorted(made.folder.rglob("*.stl")):
        mesh = trimesh.load_mesh(path)
        assert mesh.is_watertight, path.name
        assert mesh.volume > 0, path.name


def test_a_second_run_gives_the_same_bytes(made: MakeReport, design: Path) -> None:
    again = strokebox.make(design, design.with_name("again"))
    for record in made.files:
        assert (made.folder / record.file).read_bytes() == (again.folder / record.file).read_bytes(), (
            record.file
        )
    assert (made.folder / "manifest.json").read_bytes() == (again.folder / "manifest.json").read_bytes()


def test_the_steps_hold_the_actuator_and_not_its_housing(made: MakeReport) -> None:
    (light,) = (made.folder / r.file for r in made.files if r.file.endswith("light.step"))
    text = light.read_text(encoding="ascii")
    for name in ("motor", "gear", "encoder", "screw", "nut", "carriage"):
        assert f"'VL-100_{name}'" in text
    assert "back_wall" not in text


def test_only_some_kinds_and_no_unknown_one(design: Path) -> None:
    some = strokebox.make(design, design.with_name("some"), only=("results",))
    assert {record.kind for record in some.files} == {"results"}
    with pytest.raises(InputError, match="make has no kind stpe"):
        strokebox.make(design, design.with_name("none"), only=("stpe",))
    assert not design.with_name("none").exists()


def test_everything_is_written_when_the_design_fails(tmp_path: Path) -> None:
    path = tmp_path / "rib.toml"
    path.write_text(demo_texts()["vial-lift-rib.toml"], encoding="utf-8")
    made = strokebox.make(path, tmp_path / "out", only=("step", "results"))
    assert made.verdict == "FAIL"
    assert len(made.files) == 9
    assert "flag / rib" in (tmp_path / "out" / "results" / "report.txt").read_text(encoding="utf-8")


def test_files_of_an_earlier_run_are_named(design: Path, made: MakeReport) -> None:
    fewer = strokebox.make(design, made.folder.with_name("again-fewer"))
    later = strokebox.make(design, fewer.folder, only=("results",))
    assert "mockup/notes.txt" in later.left_over

import hashlib
import json
from pathlib import Path

import pytest

from exports.manifest import Made, listed_files, write_manifest
from geometry.errors import KernelError

HEAD = {
    "tool": "strokebox",
    "version": "1.2.3",
    "design": {"file": "lift.toml", "title": "Lift", "sha256": "ab" * 32},
}


def folder_with(tmp_path: Path, *names: str) -> Path:
    for name in names:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(name.encode())
    return tmp_path


def test_every_file_is_listed_with_its_sum(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, "screw.step", "mockup/nut.stl")
    stl = Made("mockup/nut.stl", "stl", ("nut",), chord_error=0.002, notes=("plain bore",))
    write_manifest(folder, HEAD, [Made("screw.step", "step", ("screw",)), stl])
    document = json.loads((folder / "manifest.json").read_bytes())
    assert {key: document[key] for key in HEAD} == HEAD
    assert [entry["file"] for entry in document["files"]] == ["mockup/nut.stl", "screw.step"]
    assert document["files"][0] == {
        "file": "mockup/nut.stl",
        "kind": "stl",
        "size": 14,
        "sha256": hashlib.sha256(b"mockup/nut.stl").hexdigest(),
        "made_from": ["nut"],
        "chord_error": 0.002,
        "notes": ["plain bore"],
    }
    assert document["files"][1]["chord_error"] is None


def test_order_of_the_records_does_not_change_the_bytes(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, "a.step", "b.step")
    records = [Made("a.step", "step", ()), Made("b.step", "step", ())]
    write_manifest(folder, HEAD, records)
    first = (folder / "manifest.json").read_bytes()
    write_manifest(folder, HEAD, records[::-1])
    assert (folder / "manifest.json").read_bytes() == first


@pytest.mark.parametrize(
    ("names", "odd"),
    [
        (["a.step"], "b.step"),
        (["a.step", "b.step", "c.step"], "c.step"),
        (["a.step", "b.step", "b.step"], "b.step"),
    ],
)
def test_folder_and_records_have_to_agree(tmp_path: Path, names: list[str], odd: str) -> None:
    folder = folder_with(tmp_path, "a.step", "b.step")
    with pytest.raises(KernelError, match=f"differ: {odd}$"):
        write_manifest(folder, HEAD, [Made(name, "step", ()) for name in names])
    assert not (folder / "manifest.json").exists()


def test_listed_files_are_those_still_there(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, "a.step", "b.step")
    write_manifest(folder, HEAD, [Made("a.step", "step", ()), Made("b.step", "step", ())])
    (folder / "a.step").unlink()
    assert listed_files(folder) == ("b.step",)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"files": [1]}'])
def test_unreadable_manifest_lists_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / "manifest.json").write_text(text)
    assert listed_files(tmp_path) == ()
    assert listed_files(tmp_path / "missing") == ()

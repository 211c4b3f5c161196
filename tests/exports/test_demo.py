"""The demo project: its three designs, its housing as a file, and that an edited file survives."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import strokebox
from exports.demo import FIRST, HOUSING, write_demo
from geometry.errors import InputError


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_demo(tmp_path_factory.mktemp("demo")).parent


def test_it_writes_three_designs_their_housing_and_a_readme(folder: Path) -> None:
    assert sorted(path.name for path in folder.iterdir()) == [
        "README.md", HOUSING, "vial-lift-rib.toml", "vial-lift-short.toml", FIRST,
    ]  # fmt: skip


def test_the_housing_file_gives_the_gaps_of_the_boxes(folder: Path) -> None:
    text = (folder / FIRST).read_text(encoding="utf-8")
    boxes = re.compile(r"\[\[housing\.body\]\]\n(?:[^\[\n].*\n|\n)+")
    swapped = boxes.sub("", text) + f'\n[housing]\nfile = "{HOUSING}"\n'
    assert "back_wall" not in swapped
    by_file = folder / "by-file.toml"
    by_file.write_text(swapped, encoding="utf-8")
    drawn = {(p.a, p.b): p for p in strokebox.fit(folder / FIRST).pairs}
    read = {(p.a, p.b): p for p in strokebox.fit(by_file).pairs}
    assert read.keys() == drawn.keys()
    for names, pair in drawn.items():
        other = read[names]
        assert pair.gap is not None
        assert other.gap is not None
        assert other.gap.nominal == pytest.approx(pair.gap.nominal, abs=0.005), names
        assert other.gap.low - 1e-9 <= pair.gap.nominal <= other.gap.high + 1e-9, names
        assert other.gap.low == pytest.approx(pair.gap.low, abs=0.01), names  # chord errors of both bodies
        assert other.verdict == pair.verdict, names


def test_an_edited_file_is_not_overwritten(tmp_path: Path) -> None:
    first = write_demo(tmp_path / "demo")
    write_demo(tmp_path / "demo")
    first.write_text("# mine\n", encoding="utf-8")
    with pytest.raises(InputError, match="differs from the demo's"):
        write_demo(tmp_path / "demo")
    assert first.read_text(encoding="utf-8") == "# mine\n"

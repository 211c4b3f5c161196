"""What every row says of five designs, word for word: a changed word or digit shows where it is reviewed.

The texts stand beside the designs in tests/designs/words. After a change that is meant, write them anew with
`python tests/calcs/test_every_word.py`, and read what changed.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from pathlib import Path

import pytest

from calcs.check import Result
from calcs.check_design import check_design
from geometry.design import read
from geometry.units import Band

ROOT = Path(__file__).parents[2]
DESIGNS = (ROOT / "exports/demo/vial-lift.toml", *sorted((ROOT / "tests/designs/words").glob("*.toml")))


def words_of(design: Path) -> str:
    """Every row as text, its numbers to six digits."""
    return "\n\n".join("\n".join(lines(row)) for row in check_design(read(design), flips=True).results) + "\n"


def lines(row: Result) -> Iterator[str]:
    numbers = " ".join(f"{name} {shown(getattr(row, name))}" for name in ("value", "limit", "margin"))
    yield f"{row.id}  {row.verdict}{'' if row.counts else ', not asked for'}  {numbers} {row.unit}"
    said = {"note": row.note, "remedy": row.remedy, "accepted": row.accepted}
    yield from (f"  {name}: {text}" for name, text in said.items() if text)
    yield from (f"  caution: {caution}" for caution in row.cautions)
    if row.flip is not None:
        before, after = shown(row.flip.before), shown(row.flip.after)
        change = f"{row.flip.change:+g} of itself"
        yield f"  flip: {row.flip.words}, {before} to {after} {row.flip.unit}, {change}, {row.flip.verdict}"


def shown(value: float | Band | None) -> str:
    if isinstance(value, Band):
        return " .. ".join(map(shown, value))
    return "-" if value is None else f"{value:.6g}"


def kept(design: Path) -> Path:
    return ROOT / "tests/designs/words" / f"{design.stem}.txt"


@pytest.mark.parametrize("design", DESIGNS, ids=lambda path: path.stem)
def test_every_word_of_every_row(design: Path) -> None:
    before, now = kept(design).read_text(encoding="utf-8"), words_of(design)
    changes = difflib.unified_diff(before.splitlines(), now.splitlines(), "kept", "now", lineterm="", n=1)
    assert now == before, "\n".join(changes)


if __name__ == "__main__":
    for path in DESIGNS:
        kept(path).write_text(words_of(path), encoding="utf-8")

"""The demo's rows after some of its lines were replaced."""

from __future__ import annotations

from pathlib import Path

from calcs.case import Case, case_of
from calcs.check import Result, run_checks
from geometry.design import read_text

DEMO = (Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml").read_text(encoding="utf-8")
STAGE = '[[gears.stage]]\nsun = 12\nplanet = 12\nring = 36\nplanets = 3\nmodule = "0.3 mm"\n'


def changed(*changes: tuple[str, str]) -> Case:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return case_of(read_text(text))


def rows(*changes: tuple[str, str]) -> dict[str, Result]:
    return {r.id: r for r in run_checks(changed(*changes))}


def given(section: str, *lines: str) -> tuple[str, str]:
    """Add lines to a section of the demo."""
    return f"[{section}]\n", f"[{section}]\n" + "".join(f"{line}\n" for line in lines)

"""How much is held against published values: every module here says what, and from where it was seen."""

from __future__ import annotations

import importlib
from functools import cache
from pathlib import Path

import pytest
from published_cases import Case

MODULES = sorted(
    path.stem for path in Path(__file__).parent.glob("test_*.py") if path.stem != Path(__file__).stem
)


@cache
def declared(module: str) -> tuple[Case, ...]:
    cases: tuple[Case, ...] = importlib.import_module(module).PUBLISHED
    return cases


@pytest.mark.parametrize("module", MODULES)
def test_every_module_declares_its_cases_and_says_what_is_from_memory(module: str) -> None:
    text = (Path(__file__).parent / f"{module}.py").read_text(encoding="utf-8")
    cases = declared(module)
    assert cases
    assert all(case.values > 0 for case in cases)
    said = text[: text.index("PUBLISHED")] + text.partition(")\n\n\n")[2]
    assert any(case.seen == "memory" for case in cases) == ("memory" in said)
    assert any(case.seen == "notebook" for case in cases) <= ("notebook" in said)


@pytest.mark.parametrize("module", MODULES)
def test_nothing_here_is_computed_or_worked_back(module: str) -> None:
    text = (Path(__file__).parent / f"{module}.py").read_text(encoding="utf-8").lower()
    assert "[computed]" not in text
    assert "worked back" not in text


def test_values_examples_and_sources_without_those_from_memory() -> None:
    seen = [case for module in MODULES for case in declared(module) if case.seen != "memory"]
    recalled = [case for module in MODULES for case in declared(module) if case.seen == "memory"]
    assert sum(case.values for case in seen) >= 150
    assert len({(case.source, case.what) for case in seen}) >= 25
    assert len({case.source for case in seen}) >= 15
    assert sum(case.values for case in recalled) >= 200

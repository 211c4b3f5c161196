"""What checks cost, as ratios in one run: against `import cadquery`, and arrays against one by one."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import calcs.formulas
from calcs.case import case_of
from calcs.check import known_checks, run_check, run_checks
from calcs.naming import suffix
from calcs.remedy import with_remedies
from geometry.design import Design, read

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "exports" / "demo" / "vial-lift.toml"
ROUNDS = 8
CASES = 100_000
ONE_BY_ONE = 2_000  # of them, for the time of one
SIZES = {"": 0.6, "_m": 0.012, "_n": 14.0, "_pa": 2e11, "_m_s": 0.025, "_rad": 0.26, "_rad_s": 420.0}


def seconds(run: Callable[[], object], rounds: int = ROUNDS) -> float:
    """The shortest of some runs."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def seconds_of_process(statement: str, rounds: int = 1) -> float:
    line = [sys.executable, "-c", statement]
    return seconds(lambda: subprocess.run(line, cwd=ROOT, capture_output=True), rounds)


def ratio_to_import(benchmark: Any, run: Callable[..., object], *given: object, **named: object) -> float:
    """Time a run and `import cadquery` in turn, the interpreter's own start taken off the import.

    In turn, since a machine that others use changes its pace within a minute; the shortest of each counts.
    """
    imports: list[float] = []

    def import_first() -> tuple[tuple[object, ...], dict[str, object]]:
        imports.append(seconds_of_process("import cadquery"))
        return given, named

    benchmark.pedantic(run, setup=import_first, rounds=ROUNDS)
    yardstick = min(imports) - seconds_of_process("pass", rounds=3)
    ratio = float(benchmark.stats.stats.min / yardstick)
    benchmark.extra_info["ratio"] = ratio
    print(f"\n{benchmark.name}: {ratio:.4f} of `import cadquery` ({yardstick:.2f} s)")
    return ratio


@pytest.fixture(scope="module")
def design() -> Design:
    return read(DEMO)


def plain_checks(design: Design) -> None:
    """All checks but the random one."""
    case = case_of(design)
    with np.errstate(all="ignore"):
        for known in known_checks():
            if known.id != "tolerance.monte_carlo":
                run_check(known, case)


def all_of_it(design: Design) -> None:
    case = case_of(design)
    with_remedies(case, run_checks(case), flips=True)


@pytest.mark.parametrize(("what", "part"), [(plain_checks, 200), (all_of_it, 8)])
def test_checks_of_one_design_cost_a_part_of_importing_cadquery(
    benchmark: Any, design: Design, what: Callable[[Design], None], part: int
) -> None:
    what(design)  # the first run imports the checks
    assert ratio_to_import(benchmark, what, design) <= 1.0 / part


@pytest.mark.parametrize("words", [(), ("--json",)])
def test_the_command_takes_a_fifth_of_importing_cadquery(benchmark: Any, words: tuple[str, ...]) -> None:
    line = [sys.executable, "-m", "strokebox", "check", str(DEMO), *words]
    assert ratio_to_import(benchmark, subprocess.run, line, cwd=ROOT, capture_output=True) <= 0.2


def formulas() -> dict[str, Callable[..., Any]]:
    found = {}
    for info in pkgutil.iter_modules(calcs.formulas.__path__):
        module = importlib.import_module(f"calcs.formulas.{info.name}")
        for name, entry in vars(module).items():
            if inspect.isfunction(entry) and entry.__module__ == module.__name__ and not name.startswith("_"):
                found[f"{info.name}.{name}"] = entry
    return found


def columns(function: Callable[..., Any]) -> dict[str, np.ndarray[Any, Any]]:
    random = np.random.default_rng(3)
    return {
        name: SIZES.get(suffix(name), 0.01) * random.uniform(0.7, 1.3, CASES)
        for name in inspect.signature(function).parameters
    }


@pytest.mark.parametrize("name", sorted(formulas()))
def test_a_formula_on_an_array_is_fifteen_times_as_fast_as_one_by_one(benchmark: Any, name: str) -> None:
    function, given = formulas()[name], columns(formulas()[name])
    rows = [{key: float(column[i]) for key, column in given.items()} for i in range(ONE_BY_ONE)]

    def one_by_one() -> list[Any]:
        return [function(**row) for row in rows]

    with np.errstate(all="ignore"):  # what counts here is the time
        benchmark.pedantic(function, (), given, rounds=ROUNDS, warmup_rounds=1)
        alone = seconds(one_by_one) / ONE_BY_ONE
        together = function(**given)
        assert np.allclose(together[:ONE_BY_ONE], one_by_one(), rtol=1e-14, atol=0.0, equal_nan=True)
    ratio = alone / (benchmark.stats.stats.min / CASES)
    benchmark.extra_info["ratio"] = ratio
    assert ratio >= 15.0

"""Change a sign, a constant or an operator in calcs, and see whether a test notices.

    python tests/mutation/mutate_calcs.py                 a fresh random sample of 300
    python tests/mutation/mutate_calcs.py --all           every mutant; hours
    python tests/mutation/mutate_calcs.py --seed 7 --count 60 --only formulas/screw

The tests run once under coverage, to learn which of them reach which line; each mutant is then written into a
copy of the project, and only the tests that reach its line run against it, up to the first that fails.
Survivors that cannot be noticed stand in survivors.toml with the reason. Ends with status 1 below 95 %.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import Queue

ROOT = Path(__file__).parents[2]
FOLDERS = ("calcs/formulas", "calcs/checks")
COPIED = ("calcs", "geometry", "exports", "tests", "strokebox.py", "pyproject.toml", "README.md")
TESTS = ("tests/published", "tests/properties/test_twin_units.py", "tests/calcs")
ENOUGH = 0.95
SECONDS = 300  # a mutant that never ends is noticed too

OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
TWINS = {"min": "max", "max": "min", "sin": "cos", "cos": "sin"}


@dataclass(frozen=True)
class Mutant:
    """One change: in which file and line, at which node of its tree, in words, and the line as it stands."""

    file: str
    line: int
    node: int
    words: str
    source: str

    def __str__(self) -> str:
        """Give the change in a line, as survivors.toml names it."""
        return f"{self.file}:{self.line}  {self.words}  |  {self.source}"

    def text(self) -> str:
        """The whole text of the changed module."""
        tree = ast.parse((ROOT / self.file).read_text(encoding="utf-8"))
        _apply(next(node for index, node in enumerate(ast.walk(tree)) if index == self.node))
        return ast.unparse(tree)


def mutants_of(file: str) -> Iterator[Mutant]:
    """Every change of one module, in the order of its lines."""
    text = (ROOT / file).read_text(encoding="utf-8")
    lines, tree = text.splitlines(), ast.parse(text)
    for index, node in enumerate(ast.walk(tree)):
        if words := _change(node):
            line = getattr(node, "lineno", 0)
            yield Mutant(file, line, index, words, lines[line - 1].strip())


def _change(node: ast.AST) -> str:
    """Words for what `_apply` changes at a node; "" where nothing is."""
    if isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in OPERATORS and not _text(node):
        return f"{type(node.op).__name__} -> {OPERATORS[type(node.op)].__name__}"
    if isinstance(node, ast.Compare) and type(node.ops[0]) in OPERATORS:
        return f"{type(node.ops[0]).__name__} -> {OPERATORS[type(node.ops[0])].__name__}"
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not):
        return f"{type(node.op).__name__} dropped"
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        return f"{node.value} -> {_other(node.value)}"
    if isinstance(node, ast.Call) and (name := _called(node)) in TWINS:
        return f"{name} -> {TWINS[name]}"
    return ""


def _apply(node: ast.AST) -> None:
    if isinstance(node, ast.BinOp | ast.BoolOp):
        node.op = OPERATORS[type(node.op)]()  # type: ignore[assignment] # an operator for one of its kind
    elif isinstance(node, ast.Compare):
        node.ops[0] = OPERATORS[type(node.ops[0])]()  # type: ignore[call-overload] # as above
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        node.op = ast.UAdd()
    elif isinstance(node, ast.UnaryOp):
        node.operand = ast.UnaryOp(ast.Not(), node.operand)
    elif isinstance(node, ast.Constant):
        node.value = _other(node.value)  # type: ignore[arg-type] # only numbers are changed
    elif isinstance(node, ast.Call):
        target = node.func
        if isinstance(target, ast.Name):
            target.id = TWINS[target.id]
        elif isinstance(target, ast.Attribute):
            target.attr = TWINS[target.attr]


def _other(value: int | float) -> int | float:
    """Give another number of the same kind: the next whole one, or a tenth more."""
    if isinstance(value, int):
        return value + 1
    return value * 1.1 if value else 0.1


def _called(node: ast.Call) -> str:
    return node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")


def _text(node: ast.BinOp | ast.BoolOp) -> bool:
    """Whether an operator joins texts, tuples or types, not numbers."""
    parts = [node.left, node.right] if isinstance(node, ast.BinOp) else node.values
    texts = ast.JoinedStr | ast.Tuple | ast.List
    return any(
        isinstance(p, texts) or (isinstance(p, ast.Constant) and isinstance(p.value, str)) for p in parts
    )


@dataclass(frozen=True)
class Reach:
    """Which tests (`test_screw.test_lead`) reach which line of which file, and the seconds each takes."""

    tests: dict[tuple[str, int], set[str]]
    seconds: dict[str, float]


def reach_of_tests(folder: Path) -> Reach:
    """Run the tests once and learn which of them reach which line; an import reaches none."""
    import coverage

    settings = folder / "contexts.ini"
    settings.write_text("[run]\nbranch = true\nsource = calcs\ndynamic_context = test_function\n")
    environment = os.environ | {"COVERAGE_FILE": str(folder / "contexts")}
    words = [sys.executable, "-m", "coverage", "run", f"--rcfile={settings}", "-m", "pytest", "-q"]
    words += ["--durations=0", "--durations-min=0", *TESTS]
    run = subprocess.run(words, cwd=folder, env=environment, check=True, capture_output=True, text=True)
    data = coverage.CoverageData(str(folder / "contexts"))
    data.read()
    found: dict[tuple[str, int], set[str]] = {}
    for measured in data.measured_files():
        file = Path(measured).relative_to(folder).as_posix()
        for line, contexts in data.contexts_by_lineno(measured).items():
            found[file, line] = {context for context in contexts if context}
    return Reach(found, seconds_of_tests(run.stdout))


def seconds_of_tests(printed: str) -> dict[str, float]:
    """Read pytest's table of durations: seconds of each test function, all its parameters together."""
    seconds: dict[str, float] = {}
    for took, test in re.findall(r"^([\d.]+)s (?:call|setup) +(\S+?)(?:\[.*)?$", printed, re.MULTILINE):
        seconds[test] = seconds.get(test, 0.0) + float(took)
    return seconds


def in_stages(mutant: Mutant, reach: Reach) -> list[list[str]]:
    """Give the tests to run, quickest first: those that reach the line, then all that reach the module.

    A fixture and what is cached belong to no test, so a mutant survives only the second stage: whole files,
    with those that import the module for its tables alone.
    """
    files = {path.stem: path.relative_to(ROOT).as_posix() for path in (ROOT / "tests").rglob("test_*.py")}
    here = [context.partition(".") for context in reach.tests.get((mutant.file, mutant.line), set())]
    near = {f"{files[module]}::{name}" for module, _, name in here if module in files}
    around = {c.partition(".")[0] for (file, _), cs in reach.tests.items() if file == mutant.file for c in cs}
    wide = {files[module] for module in around if module in files}
    wide |= {file for file in files.values() if file.startswith(TESTS) and _imports(file, mutant.file)}
    whole = {test: sum(s for name, s in reach.seconds.items() if name.startswith(test)) for test in wide}
    return [
        stage
        for stage in (
            sorted(near, key=lambda test: (reach.seconds.get(test, 0.0), test)),
            sorted(wide, key=lambda test: (whole[test], test)),
        )
        if stage
    ]


def _imports(test: str, module: str) -> bool:
    """Whether a file of tests names the module's package and the module."""
    package, _, name = module.removesuffix(".py").rpartition("/")
    text = (ROOT / test).read_text(encoding="utf-8")
    return package.replace("/", ".") in text and name in text


def noticed(mutant: Mutant, tests: list[str], folder: Path) -> bool:
    """Whether any of the tests fails, or never ends, with the mutant in a copy of the project."""
    target = folder / mutant.file
    before = target.read_text(encoding="utf-8")
    target.write_text(mutant.text(), encoding="utf-8")
    words = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    environment = os.environ | {"PYTHONDONTWRITEBYTECODE": "1"}
    try:
        run = subprocess.run(words, cwd=folder, env=environment, capture_output=True, timeout=SECONDS)
        return run.returncode != 0
    except subprocess.TimeoutExpired:
        return True
    finally:
        target.write_text(before, encoding="utf-8")


def copy_to(folder: Path) -> Path:
    """Copy what the tests need into a folder."""
    folder.mkdir()
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, folder / name)
    return folder


def excused() -> dict[tuple[str, str, str], str]:
    """Survivors that no test can notice: (file, line of source, change) -> reason."""
    rows = tomllib.loads(Path(__file__).with_name("survivors.toml").read_text(encoding="utf-8"))["survivor"]
    return {(row["file"], row["line"], row["change"]): row["reason"] for row in rows}


def main() -> int:
    """Take a sample of the mutants, try each, and report."""
    parser = argparse.ArgumentParser(description="Mutation check of calcs.")
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--all", action="store_true")
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    parser.add_argument("--only", default="", help="part of a file's name")
    parser.add_argument("--jobs", type=int, default=2)
    wanted = parser.parse_args()
    files = [p.relative_to(ROOT).as_posix() for name in FOLDERS for p in sorted((ROOT / name).glob("*.py"))]
    mutants = [mutant for file in files if wanted.only in file for mutant in mutants_of(file)]
    total = len(mutants)
    if not wanted.all:
        mutants = random.Random(wanted.seed).sample(mutants, min(wanted.count, total))
    print(f"{len(mutants)} of {total} mutants, --seed {wanted.seed}", flush=True)
    survived = try_all(mutants, wanted.jobs)
    reasons = excused()
    real = [m for m in survived if (m.file, m.source, m.words) not in reasons]
    rate = 1.0 - len(real) / max(len(mutants), 1)
    killed, excused_now = len(mutants) - len(survived), len(survived) - len(real)
    print(f"{killed} killed, {excused_now} excused, {len(real)} survived: {rate:.1%}")
    return 0 if rate >= ENOUGH else 1


def try_all(mutants: list[Mutant], jobs: int) -> list[Mutant]:
    """Try every mutant, some at once, each in a copy of its own; give those that nothing noticed."""
    with tempfile.TemporaryDirectory(prefix="mutants-") as home:
        copies: Queue[Path] = Queue()
        for job in range(jobs):
            copies.put(copy_to(Path(home) / f"copy{job}"))
        first = copies.get()
        reach = reach_of_tests(first)
        copies.put(first)

        def survives(mutant: Mutant) -> bool:
            folder = copies.get()
            try:
                seen = any(noticed(mutant, tests, folder) for tests in in_stages(mutant, reach))
            finally:
                copies.put(folder)
            print("." if seen else f"\nsurvived  {mutant}\n", end="", flush=True)
            return not seen

        with ThreadPoolExecutor(jobs) as pool:
            answers = list(pool.map(survives, mutants))
        print()
    return [mutant for mutant, alive in zip(mutants, answers, strict=True) if alive]


if __name__ == "__main__":
    sys.exit(main())

"""Whether the tests notice a change, tried in forks of a process that has loaded what no mutant touches.

Quick way, for a change within a function: pytest has collected all tests of a copy of the project; a fork
gets the function's changed code and runs the tests that reach the line. Thorough way, for what the quick one
let pass and for what runs at import: the change is written into the copy, and a fork loads it and whole files
of tests afresh. Needs fork, so Linux or macOS.
"""

from __future__ import annotations

import gc
import importlib
import os
import pickle
import pkgutil
import shutil
import signal
import sys
import time
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

from mutants import Mutant
from reach import ROOT, TESTS, Reach, Watch, name_of

COPIED = ("calcs", "geometry", "exports", "tests", "strokebox.py", "pyproject.toml", "README.md")
LIBRARIES = (
    "pytest", "coverage", "hypothesis", "numpy", "pint", "pydantic", "click", "trimesh", "manifold3d", "fcl",
    "scipy.optimize", "jsonschema", "OCP.BRepPrimAPI", "OCP.STEPControl", "OCP.BRepAlgoAPI",
)  # fmt: skip
AT_FIRST = 12  # of the tests that reach a line; most mutants fail one of them
OVERDUE = (
    30.0,
    10.0,
)  # a mutant that never ends is noticed too: after half a minute more than ten times as long
FAILS, STOPPED = 1, 2  # pytest's status: a test fails; a file of tests cannot be loaded
BROKE = 70  # the fault is ours
UNTRIED = (3, 4, BROKE)  # pytest broke, or was asked for what is not there
PRINTED, FAILED = "printed.txt", "failed.txt"  # of the last fork, in its working folder


def copy_to(folder: Path) -> Path:
    """Copy what the tests need into a folder."""
    folder.mkdir()
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(source, folder / name)
    return folder


def warm_up(folder: Path) -> None:
    """Load all but calcs and the tests: the libraries, and geometry from a copy of the project."""
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"  # a mutant's compiled module must not outlive it
    sys.dont_write_bytecode = True
    sys.path.insert(0, str(folder))
    for name in LIBRARIES:
        importlib.import_module(name)
    for module in pkgutil.iter_modules([str(folder / "geometry")], "geometry."):
        importlib.import_module(module.name)
    from geometry.design import read_text

    read_text((folder / "exports/demo/vial-lift.toml").read_text(encoding="utf-8"))  # fills geometry's caches
    gc.freeze()  # what is loaded now stays, so that the children's collections need not look through it


def move_to(folder: Path) -> None:
    """Make this process, which is warm, one that works in a copy of its own."""
    sys.path[0] = str(folder)
    os.chdir(folder)


def in_child(function: Callable[[], int], seconds: float = 1e6) -> int:
    """Run a function in a fork and give its status: FAILS if it is not done in time, BROKE if it raises.

    What the fork prints goes into a file of the working folder. It ends when this process's parent does.
    """
    parent, child = os.getppid(), os.fork()
    if child == 0:
        status = BROKE
        try:
            os.setsid()  # with what it starts, a group that can be ended as one
            printed = os.open(PRINTED, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            for stream in (1, 2):
                os.dup2(printed, stream)
            status = function()
        except Exception:  # noqa: BLE001 - whatever it is, it is printed and told by the status
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            os._exit(status)
    end, pause = time.monotonic() + seconds, 0.002
    while time.monotonic() < end and os.getppid() == parent:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(pause)
        pause = min(2.0 * pause, 0.1)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    if os.getppid() != parent:
        os._exit(BROKE)
    return FAILS


def run_pytest(words: Sequence[str], *plugins: object) -> int:
    """Run pytest in this process and give its status."""
    import pytest

    loaded = "ignore::pytest.PytestAssertRewriteWarning"  # pytest's plugins: they need no rewriting
    usual = [
        "-q",
        "-s",
        "-x",
        "-p",
        "no:cacheprovider",
        "-W",
        loaded,
        f"--basetemp={Path.cwd() / 'temporary'}",
    ]
    return int(pytest.main([*usual, *words], [*plugins]))


class Collected:
    """A plugin of pytest that does something of our own with the tests that it has collected."""

    def __init__(self, work: Callable[[Any], None]) -> None:
        """Take what to do with the session."""
        self.work = work

    def pytest_runtestloop(self, session: Any) -> bool:
        """Do it in place of running the tests."""
        self.work(session)
        return True


def run_items(session: Any, items: Sequence[Any]) -> int:
    """Run collected tests up to the first that fails, and say whether one does; its name goes into a file."""
    for place, item in enumerate(items):
        after = items[place + 1] if place + 1 < len(items) else None
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        if session.testsfailed:
            Path(FAILED).write_text(name_of(item), encoding="utf-8")
            return FAILS
    return 0


def learn(folder: Path) -> Reach:
    """Run the tests once on the unchanged project and learn which of them reach which line.

    Raises RuntimeError when a test fails.
    """
    move_to(folder)
    notes = folder / "reach.pickle"

    def watched(session: Any) -> None:
        watch = Watch(folder)
        session.config.pluginmanager.register(watch)
        watch.coverage.start()
        run_items(session, session.items)
        watch.coverage.stop()
        notes.write_bytes(pickle.dumps(watch.learnt()))

    def collect() -> int:
        sys.dont_write_bytecode = False  # the compiled tests serve every mutant
        return run_pytest(TESTS, Collected(watched))

    if in_child(collect) != 0:
        raise RuntimeError(f"a test fails on the unchanged project\n{Path(PRINTED).read_text()[-5000:]}")
    reach: Reach = pickle.loads(notes.read_bytes())
    return reach


def try_quickly(
    mutants: Sequence[tuple[int, Mutant]], reach: Reach, tell: Callable[[int, bool], None]
) -> None:
    """Try changes within functions on collected tests, and tell of each by its number if it is noticed."""

    def each(session: Any) -> None:
        items: dict[str, list[Any]] = {}
        for item in session.items:
            items.setdefault(name_of(item), []).append(item)
        killers: list[str] = []  # latest first: what noticed the last change will often notice the next
        for number, mutant in mutants:
            near = sorted(
                reach.near(mutant), key=lambda test: killers.index(test) if test in killers else 10**6
            )
            chosen = [item for test in near for item in items.get(test, [])]
            spot = placed(mutant)
            if spot is None:
                continue

            def attempt(spot: tuple[FunctionType, CodeType] = spot, chosen: Sequence[Any] = chosen) -> int:
                spot[0].__code__ = spot[1]
                return run_items(session, chosen)

            seen = in_child(attempt, _patience(near, reach)) == FAILS
            tell(number, seen)
            if seen:
                killer = Path(FAILED).read_text(encoding="utf-8") if Path(FAILED).exists() else ""
                killers = [killer, *(test for test in killers if test != killer)]

    in_child(lambda: run_pytest(TESTS, Collected(each)))


def placed(mutant: Mutant) -> tuple[FunctionType, CodeType] | None:
    """Find the loaded function that a change is in, and its changed code; None where one cannot be found."""
    place: Any = sys.modules.get(mutant.file.removesuffix(".py").replace("/", "."))
    code: CodeType | None = compile(mutant.text, mutant.file, "exec")
    for name in mutant.function.split("."):
        place = None if place is None else vars(place).get(name)
        inner = [c for c in (code.co_consts if code else ()) if isinstance(c, CodeType) and c.co_name == name]
        code = inner[0] if len(inner) == 1 else None
    wrappers = ("function", "__wrapped__", "__func__", "fget", "func")
    while place is not None and not isinstance(place, FunctionType):
        place = next((getattr(place, name) for name in wrappers if hasattr(place, name)), None)
    if place is None or code is None or len(code.co_freevars) != len(place.__code__.co_freevars):
        return None
    return place, code


def noticed(mutant: Mutant, reach: Reach, *, tried: bool) -> bool:
    """Whether any test fails, or never ends, with the mutant written into the working folder.

    tried: whether the tests that reach its line have let it pass already.
    """
    target = Path(mutant.file)
    before = target.read_text(encoding="utf-8")
    target.write_text(mutant.text, encoding="utf-8")
    near = reach.near(mutant)
    passed = [word for test in near for word in ("--deselect", test)]
    stages = [[*reach.around(mutant), *passed]]
    if not tried:
        stages = [stage for stage in (near[:AT_FIRST], near[AT_FIRST:]) if stage] + stages
    try:
        return any(_fails(stage, reach) for stage in stages)
    finally:
        target.write_text(before, encoding="utf-8")


def _fails(words: Sequence[str], reach: Reach) -> bool:
    status = in_child(lambda: run_pytest(words), _patience(words, reach))
    if status in UNTRIED:
        printed = Path(PRINTED).read_text(encoding="utf-8")
        print(f"\nnot tried, pytest ended with {status}: {printed[-1000:]}", flush=True)
    return status in (FAILS, STOPPED) or status < 0  # or a signal ended it


def _patience(words: Sequence[str], reach: Reach) -> float:
    return OVERDUE[0] + OVERDUE[1] * reach.taken([*words])

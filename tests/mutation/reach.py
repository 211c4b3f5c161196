"""Which tests reach which line of calcs, and how long each takes: what a mutant's tests are chosen from."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from mutants import Mutant

ROOT = Path(__file__).parents[2]
TESTS = ("tests/published", "tests/properties/test_twin_units.py", "tests/calcs")


@dataclass
class Reach:
    """Which tests (`tests/calcs/test_fit.py::test_a_gap`) reach which line, and the seconds each takes."""

    tests: dict[tuple[str, int], set[str]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)

    def near(self, mutant: Mutant) -> list[str]:
        """Tests that reach its line, quickest first; for what runs at import, those of its statement."""
        found = self.tests.get((mutant.file, mutant.line), set())
        if not found:
            found = set().union(*(self.tests.get((mutant.file, line), set()) for line in mutant.statement))
        return sorted(found, key=lambda test: (self.seconds.get(test, 0.0), test))

    def around(self, mutant: Mutant) -> list[str]:
        """Whole files, quickest first: those that reach the module anywhere, or import it for its tables.

        What a fixture does or a cache keeps belongs to no test, or to the first one only.
        """
        reached = (tests for (file, _), tests in self.tests.items() if file == mutant.file)
        files = {test.partition("::")[0] for tests in reached for test in tests}
        files |= {file for file in _test_files() if _names(file, mutant.file)}
        return sorted(files, key=lambda file: (self.taken([file]), file))

    def taken(self, words: list[str]) -> float:
        """Seconds that tests and whole files of them took."""
        return sum(took for test, took in self.seconds.items() if {test, test.partition("::")[0]} & {*words})


def _test_files() -> list[str]:
    """Files of tests in the working folder, a copy of the project: the project itself may go on meanwhile."""
    paths = [path for name in TESTS for path in [Path(name), *sorted(Path(name).glob("test_*.py"))]]
    return [path.as_posix() for path in paths if path.is_file()]


def _names(test: str, module: str) -> bool:
    """Whether a file of tests names the module's package and the module."""
    package, _, name = module.removesuffix(".py").rpartition("/")
    text = Path(test).read_text(encoding="utf-8")
    return package.replace("/", ".") in text and re.search(rf"\b{name}\b", text) is not None


class Watch:
    """Coverage by test, and a plugin of pytest that adds up each test's seconds, all parameters together."""

    def __init__(self, folder: Path) -> None:
        """Watch the calcs of a copy of the project."""
        import coverage

        self.folder = folder
        self.seconds: dict[str, float] = {}
        self.coverage = coverage.Coverage(str(folder / "contexts"), source=["calcs"], config_file=False)
        self.coverage.set_option("run:dynamic_context", "test_function")

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Take the time of one phase of one test."""
        test = name_of(report)
        self.seconds[test] = self.seconds.get(test, 0.0) + report.duration

    def learnt(self) -> Reach:
        """Give what was seen; coverage knows a test as `test_fit.test_a_gap`."""
        names = {f"{Path(test.split('::')[0]).stem}.{test.partition('::')[2]}": test for test in self.seconds}
        data, reach = self.coverage.get_data(), Reach(seconds=self.seconds)
        for measured in data.measured_files():
            file = Path(measured).relative_to(self.folder).as_posix()
            for line, contexts in data.contexts_by_lineno(measured).items():
                reach.tests[file, line] = {names[context] for context in contexts if context in names}
        return reach


def name_of(item: Any) -> str:
    """Name of the function of a test or of a report on one, without parameters."""
    return str(item.nodeid).partition("[")[0]

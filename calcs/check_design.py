"""A design through every check: its rows, the overall verdict, and which given sections nothing reads yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from calcs.case import Case, case_of
from calcs.case_fields import FIELDS
from calcs.check import Result, known_checks, overall, run_check, run_checks
from calcs.check_ids import did_you_mean
from calcs.finding import Verdict
from calcs.naming import bare
from calcs.result import input_of
from geometry.errors import InputError, Problem
from geometry.units import Band

if TYPE_CHECKING:
    from calcs.choice import Choice
    from geometry.design import Design

# Read by the fit, by the solids or by the report instead of a check.
READ_ELSEWHERE = frozenset(
    {
        "accepted", "clearance", "contact", "document", "fixed", "housing",
        "keep_out", "limits", "load_case", "moving", "print",
    }
)  # fmt: skip


@dataclass(frozen=True)
class CheckReport:
    """Every row of a design, the worst verdict that counts, given sections that nothing reads, the inputs.

    `screws` compares the design's screw with other kinds, where it was asked for.
    """

    results: tuple[Result, ...]
    verdict: Verdict
    unused_sections: tuple[str, ...]
    case: Case
    screws: tuple[Choice, ...] = ()


def check_design(
    design: Design, measured: Mapping[str, Any] | None = None, *, flips: bool = False
) -> CheckReport:
    """Run every check on a design, with what was measured on its files (calcs.measured) where it was.

    flips: look for the remedy and the flip of every row (calcs.remedy), not only of those that fail, which
    takes longer than all the checks, and compare the screw with other kinds (calcs.choice). Raises
    InputError for a replaced limit in another dimension than its check's.
    """
    case = case_of(design, measured)
    results = run_checks(case)
    if flips or any(row.verdict == "FAIL" for row in results):
        from calcs.remedy import with_remedies  # without a FAIL nothing is searched, nor loaded for it

        results = with_remedies(case, results, flips=flips)
    return CheckReport(
        results, overall(results), unused_sections(design), case, _screws(case) if flips else ()
    )


def _screws(case: Case) -> tuple[Choice, ...]:
    from calcs.choice import compare_screws  # reads every thread standard, which a plain check needs not

    return compare_screws(case)


def explain_check(design: Design, id: str) -> tuple[Result, dict[str, dict[str, Any]]]:
    """Run one check with its remedy, what would flip it, and the values that its derived inputs follow from.

    Raises InputError for an id that is not known.
    """
    case = case_of(design)
    known = {checked.id: checked for checked in known_checks()}
    if id not in known:
        raise InputError(Problem(f"no check is called {id}", did_you_mean(id, known)))
    from calcs.remedy import with_remedies  # as above

    (row,) = with_remedies(case, (run_check(known[id], case),), flips=True)
    reached = sorted(frozenset().union(*(case.reach(name) for name in known[id].names)))
    behind = {name: value for name in reached if name not in known[id].names and (value := case.find(name))}
    numbers = {n: v for n, v in behind.items() if isinstance(v.value, float | int | str | Band)}
    return row, {bare(name): input_of(name, value) for name, value in numbers.items()}


def unused_sections(design: Design) -> tuple[str, ...]:
    """Name the sections that the user gave and that nothing reads yet, those of [service] one by one."""
    read = READ_ELSEWHERE | {_section(field) for field in FIELDS.values()}
    given = dict.fromkeys(_section(field) for field in sorted(design.given, key=design.place))
    return tuple(section for section in given if section not in read | {"service"})


def _section(field: str) -> str:
    """Cut a dotted field to its section; what [service] holds are sections of their own."""
    parts = field.replace("[", ".").split(".")
    return ".".join(parts[: 2 if parts[0] == "service" else 1])

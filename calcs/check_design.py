"""A design through every check: its rows, the overall verdict, and which given sections nothing reads yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from calcs.case import Case, case_of
from calcs.case_fields import FIELDS
from calcs.check import Result, overall, run_checks
from calcs.finding import Verdict

if TYPE_CHECKING:
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
    """Every row of a design, the worst verdict that counts, given sections that nothing reads, the inputs."""

    results: tuple[Result, ...]
    verdict: Verdict
    unused_sections: tuple[str, ...]
    case: Case


def check_design(design: Design, measured: Mapping[str, Any] | None = None) -> CheckReport:
    """Run every check on a design, with what was measured on its files (calcs.measured) where it was.

    Raises InputError for an unknown check in [limits] or [[accepted]].
    """
    case = case_of(design, measured)
    results = run_checks(case)
    return CheckReport(results, overall(results), unused_sections(design), case)


def unused_sections(design: Design) -> tuple[str, ...]:
    """Name the sections that the user gave and that nothing reads yet."""
    read = READ_ELSEWHERE | {field.split(".")[0] for field in FIELDS.values()}
    return tuple(section for section in design.given_sections if section not in read)

"""Remedies found by solving, and what would flip a verdict, put into the rows."""

from __future__ import annotations

from collections.abc import Sequence

from calcs.case import Case
from calcs.check import Check, Result, known_checks
from calcs.finding import Verdict
from calcs.flips import ANSWERS, Flip, Search
from calcs.variation import LEAST, MOST

NONE = "no given number alone would do"
MENDABLE: frozenset[Verdict] = frozenset({"FAIL", "WARN", "NOT PROVEN"})


def with_remedies(case: Case, results: Sequence[Result], *, flips: bool = False) -> tuple[Result, ...]:
    """Add to each row that fails what would flip it and, where it has a limit, the least that passes.

    flips: look for the same in every row, and for what would flip a row that passes.
    """
    search = Search(case)
    checks = {checked.id: checked for checked in known_checks()}
    return tuple(_answered(search, checks[row.id], row, flips=flips) for row in results)


def _answered(search: Search, checked: Check, row: Result, *, flips: bool) -> Result:
    mendable = MENDABLE if flips else {"FAIL"}
    agrees = checked.margin_kind == "none"  # with its limit or not: its own words name the number that does
    if row.verdict in mendable and row.limit is not None and not agrees:
        row = row._replace(remedy=_joined(row.remedy, _solved(search, checked)))
    if row.verdict in (ANSWERS if flips else mendable):
        row = row._replace(flip=flip_of(search, checked, row.verdict))
    return row


def flip_of(search: Search, checked: Check, verdict: Verdict) -> Flip | None:
    """Find the number closest to changing a verdict into another, None where none does."""
    return search.nearest(checked, search.tried(checked), lambda new: new in ANSWERS and new != verdict)


def _solved(search: Search, checked: Check) -> str:
    """Say the smallest single change of what the designer gave that would pass, or that there is none."""
    dials = search.tried(checked, designers=True)
    found = search.nearest(checked, dials, lambda verdict: verdict == "PASS")
    if found is not None:
        return change_needed(found)
    return f"{NONE} (each was tried from {LEAST:g} to {MOST:g} times)"


def change_needed(flip: Flip) -> str:
    """Write a change as what is asked for: `motion.speed of 22.1 mm/s or less`."""
    side = "or less" if flip.after < flip.before else "or more"
    share = "" if flip.unit == "degC" else f" ({percent(flip.change)})"  # 25 degC is no share of 20
    return f"{flip.words} of {amount(flip.after, flip.unit)} {side}{share}"


def amount(number: float, unit: str) -> str:
    """Write a number with its unit."""
    return f"{number:.6g} {unit}".rstrip()


def percent(change: float) -> str:
    """Write a relative change in percent with its sign."""
    return f"{change * 100.0:+.3g} %"


def _joined(written: str, solved: str) -> str:
    if solved.startswith(written):  # also where nothing is written
        return solved
    return f"{written}; {NONE}" if solved.startswith(NONE) else f"{written}; by one input alone: {solved}"

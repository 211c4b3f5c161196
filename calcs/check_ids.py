"""What a design says of checks by their ids, [limits] and [[accepted]], told when the file is read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from calcs.check import Check, known_checks
from geometry.design import Design, read
from geometry.design_rules import Clash
from geometry.errors import InputError
from geometry.units import Measure, convert

if TYPE_CHECKING:
    from geometry.design_sections import Accepted, Limit


def read_design(path: str | Path) -> Design:
    """Read a design file (lengths in mm, the rest in SI) whose [limits] and [[accepted]] name known checks.

    Raises InputError with every problem of the file, sorted by line. Source: the contract of the design file.
    """
    return read(path, wrong_ids)


def wrong_ids(valid: Mapping[str, Any], raw: Mapping[str, Any]) -> Iterator[Clash]:
    """Give every check in [limits] and [[accepted]] that is not known, takes no limit or not in that unit.

    Source: the contract of the design file.
    """
    limits: Mapping[str, Limit] = valid.get("limits", {})
    accepted: tuple[Accepted, ...] = valid.get("accepted", ())
    if not limits and not accepted:
        return  # the checks are loaded only for a design that speaks of them
    known = {checked.id: checked for checked in known_checks()}
    for id, replaced in limits.items():
        yield from _unknown(f"limits.{id}", id, known)
        if id in known:
            yield from _wrong_limit(known[id], replaced.limit)
    for index, row in enumerate(accepted):
        yield from _unknown(f"accepted[{index}].check", row.check, known)


def did_you_mean(id: str, known: Iterable[str]) -> str:
    """Give the repair for an id that no check has: the nearest one, or where to look."""
    import difflib

    alike = [other for other in sorted(known) if other.split(".")[1:] == id.split(".")[1:]]
    near = alike or difflib.get_close_matches(id, sorted(known))
    return f"did you mean {near[0]}?" if near else "`strokebox known checks` lists them"


def _unknown(field: str, id: str, known: Mapping[str, Check]) -> Iterator[Clash]:
    if id not in known:
        yield Clash(field, f"no check is called {id}", did_you_mean(id, known))


def _wrong_limit(checked: Check, limit: Measure) -> Iterator[Clash]:
    if not checked.takes_limit:
        yield Clash(f"limits.{checked.id}", f"{checked.id} holds nothing against a limit", "leave it out")
        return
    if checked.margin_kind == "ratio" and limit.value <= 0.0:
        message = f"a limit of {limit.value:g} gives no margin: {checked.id} is held against a ratio of it"
        yield Clash(f"limits.{checked.id}.limit", message, "write a limit above 0")
    try:
        convert(limit.value, limit.unit, checked.unit)
    except InputError as error:
        repair = f"write it in {checked.shown}" if checked.unit else "write a plain number"
        yield Clash(f"limits.{checked.id}.limit", error.problems[0].message, repair)

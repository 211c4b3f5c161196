"""What a check is: one decorated function whose signature lists its inputs, and the row it answers with."""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal, TypeVar

import numpy as np

from calcs.finding import Finding, Verdict
from calcs.naming import bare, factor, shown_unit_of, unit_of
from geometry.errors import InputError, Problem
from geometry.units import Band, Measure, convert

if TYPE_CHECKING:
    from calcs.case import Case, Value

MarginKind = Literal["ratio", "difference", "none"]
ORDER: tuple[Verdict, ...] = ("PASS", "WARN", "NOT PROVEN", "NOT CHECKED", "FAIL")


@dataclass(frozen=True)
class Signature:
    """The names that a function asks a case for: those it needs and those it can do without."""

    needed: tuple[str, ...]
    optional: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """All names, needed ones first."""
        return (*self.needed, *self.optional)

    @classmethod
    def of(cls, function: Callable[..., Any]) -> Signature:
        """Read the parameters of a function; `limit` is no name of a case."""
        parameters = [p for p in inspect.signature(function).parameters.values() if p.name != "limit"]
        needed = tuple(p.name for p in parameters if p.default is inspect.Parameter.empty)
        optional = tuple(p.name for p in parameters if p.default is not inspect.Parameter.empty)
        return cls(needed, optional)


@dataclass(frozen=True)
class Derivation:
    """A value that follows from others of the case, and the `fields` to ask for when it cannot."""

    name: str
    function: Callable[..., Any]
    signature: Signature
    fields: tuple[str, ...]


def derived(*fields: str) -> Callable[[Callable[..., Any]], Derivation]:
    """Make a derived value of a function: its name carries the unit, its parameters are names of the case.

    fields: what the design lacks when the function returns None.
    """
    return lambda function: Derivation(function.__name__, function, Signature.of(function), fields)


@dataclass(frozen=True)
class Check:
    """A check: its function and everything that its row says beside the numbers."""

    id: str
    title: str
    unit: str
    shown: str
    margin_kind: MarginKind
    formula: str
    source: str
    limit: float | str | None
    asked_by: tuple[str, ...]
    function: Callable[..., Finding]
    signature: Signature
    takes_limit: bool


def check(
    id: str,
    *,
    formula: str,
    source: str,
    title: str = "",
    unit: str = "",
    shown: str | None = None,
    margin_kind: MarginKind = "ratio",
    limit: float | str | None = None,
    asked_by: tuple[str, ...] = (),
) -> Callable[[Callable[..., Finding]], Check]:
    """Make a check of a function whose parameters are names of the case.

    title: left out, the first line of the function's docstring. unit: SI unit of what the function finds;
    shown: the unit of the row. limit: the default limit (SI) or the name of the case that holds it; the
    function receives it as `limit`. asked_by: dotted design fields whose presence states a requirement, so
    that NOT CHECKED counts. Raises ValueError for units that do not fit each other.
    """
    shown = unit if shown is None else shown
    factor(shown, unit)

    def make(function: Callable[..., Finding]) -> Check:
        signature = Signature.of(function)
        words = title or (function.__doc__ or "").partition("\n")[0].rstrip(".")
        takes_limit = "limit" in inspect.signature(function).parameters
        return Check(
            id,
            words,
            unit,
            shown,
            margin_kind,
            formula,
            source,
            limit,
            asked_by,
            function,
            signature,
            takes_limit,
        )

    return make


@dataclass(frozen=True)
class Result:
    """One row of the report; numbers in `unit`, finite or None."""

    id: str
    title: str
    verdict: Verdict
    value: float | Band | None
    limit: float | None
    margin: float | None
    unit: str
    margin_kind: MarginKind
    inputs: Mapping[str, Mapping[str, Any]]
    formula: str
    source: str
    cautions: tuple[str, ...] = ()
    remedy: str = ""
    note: str = ""
    accepted: str = ""
    counts: bool = True

    def to_json(self) -> dict[str, Any]:
        """Give the row as the contract's JSON object, with note, counts and (if so) accepted added."""
        names = (
            "id",
            "title",
            "verdict",
            "value",
            "limit",
            "margin",
            "unit",
            "margin_kind",
            "inputs",
            "formula",
        )
        row = {name: getattr(self, name) for name in names}
        row["value"] = _plain(self.value)
        row["inputs"] = {name: dict(given) for name, given in self.inputs.items()}
        row |= {
            "source": self.source,
            "cautions": list(self.cautions),
            "remedy": self.remedy,
            "note": self.note,
        }
        return row | {"counts": self.counts} | ({"accepted": self.accepted} if self.accepted else {})


def _plain(value: Any) -> Any:
    if isinstance(value, Band):
        return {"low": value.low, "nominal": value.nominal, "high": value.high}
    return value


def overall(results: Iterable[Result]) -> Verdict:
    """Find the worst verdict by the contract's order; INFO and optional sections left out do not count."""
    counted = [r.verdict for r in results if r.counts and r.verdict in ORDER]
    return max(counted, key=ORDER.index, default="PASS")


def known_checks() -> tuple[Check, ...]:
    """Collect every check of the modules in calcs/checks, by subject, module and place.

    Raises ValueError for an id used twice.
    """
    return tuple(sorted(_collect(Check, lambda entry: entry.id).values(), key=lambda c: c.id.split(".")[0]))


def known_derivations() -> dict[str, Derivation]:
    """Collect every derived value of the modules in calcs/checks. Raises ValueError for a name used twice."""
    return _collect(Derivation, lambda entry: entry.name)


Entry = TypeVar("Entry", Check, Derivation)


def _collect(kind: type[Entry], key: Callable[[Entry], str]) -> dict[str, Entry]:
    import calcs.checks

    found: dict[str, Entry] = {}
    for module_info in sorted(pkgutil.iter_modules(calcs.checks.__path__), key=lambda m: m.name):
        module = importlib.import_module(f"calcs.checks.{module_info.name}")
        for entry in vars(module).values():
            if isinstance(entry, kind) and entry.function.__module__ == module.__name__:
                if key(entry) in found:
                    raise ValueError(f"{key(entry)} is there twice in calcs/checks")
                found[key(entry)] = entry
    return found


def run_checks(case: Case) -> tuple[Result, ...]:
    """Run every known check on a case.

    Raises InputError for [limits] or [[accepted]] of a check that is not known.
    """
    checks = known_checks()
    _refuse_unknown(case, {c.id for c in checks})
    with np.errstate(all="ignore"):  # what has no finite number is said in the row
        return tuple(run_check(c, case) for c in checks)


def _refuse_unknown(case: Case, known: set[str]) -> None:
    import difflib

    problems = []
    for section, ids in (("limits", case.limits), ("accepted", case.accepted)):
        for name in ids:
            if name not in known:
                near = difflib.get_close_matches(name, sorted(known), n=1)
                repair = f"did you mean {near[0]}?" if near else "`strokebox known checks` lists them"
                problems.append(_problem(case, f"{section}.{name}", f"no check is called {name}", repair))
    if problems:
        raise InputError(*problems)


def _problem(case: Case, field: str, message: str, repair: str) -> Problem:
    """Place a problem in the design file that the case came from."""
    origin = case.find("design")
    if origin is None:
        return Problem(message, repair, field=field)
    line, column = origin.value.place(field)
    return Problem(message, repair, origin.value.path, line, column, field)


def run_check(checked: Check, case: Case) -> Result:
    """Run one check on a case; what is missing makes it NOT CHECKED and is named.

    Raises InputError for a limit's unit.
    """
    names = checked.signature.names
    limit_name = (checked.limit,) if isinstance(checked.limit, str) else ()
    values = {n: value for n in dict.fromkeys(names + limit_name) if (value := case.find(n)) is not None}
    missing = case.missing(name for name in checked.signature.needed if name not in values)
    limit, replaced = _limit(checked, case, values)
    if missing:
        finding = Finding(None, "NOT CHECKED", limit)
    else:
        arguments = {name: values[name].value for name in names if name in values}
        if checked.takes_limit:
            arguments["limit"] = limit
        finding = checked.function(**arguments)
        if finding.verdict == "NOT CHECKED" and limit is None:
            missing = case.missing(limit_name)
    return _row(checked, case, finding, values, missing, replaced)


def _limit(checked: Check, case: Case, values: Mapping[str, Value]) -> tuple[float | None, str]:
    """Find the limit in SI and, where the user replaced it, the words for it."""
    if checked.id in case.limits:
        typed, reason = case.limits[checked.id]
        return _typed_limit(checked, typed, case), f"limit replaced by the design: {reason}"
    if isinstance(checked.limit, str):
        found = values.get(checked.limit)
        return (None if found is None else float(found.value)), ""
    return checked.limit, ""


def _typed_limit(checked: Check, typed: Measure, case: Case) -> float:
    try:
        return convert(typed.value, typed.unit, checked.unit)
    except InputError as error:
        example = f"write it in {checked.shown}" if checked.unit else "write a plain number"
        message = error.problems[0].message
        raise InputError(_problem(case, f"limits.{checked.id}.limit", message, example)) from error


def _row(
    checked: Check,
    case: Case,
    finding: Finding,
    values: Mapping[str, Value],
    missing: tuple[str, ...],
    replaced: str,
) -> Result:
    finding = _finite(finding)
    scale = factor(checked.shown, checked.unit)
    note, remedy = finding.note, finding.remedy
    if missing:
        note = "; ".join(part for part in (f"needs {', '.join(missing)}", note) if part)
        remedy = remedy or f"give {missing[0]}"
    return Result(
        id=checked.id,
        title=checked.title,
        verdict=finding.verdict,
        value=_scaled(finding.value, scale),
        limit=None if finding.limit is None else _rounded(finding.limit / scale),
        margin=_margin(finding, checked.margin_kind, scale),
        unit=checked.shown,
        margin_kind=checked.margin_kind,
        inputs={bare(name): _input(name, value) for name, value in values.items()},
        formula=checked.formula,
        source=checked.source,
        cautions=finding.cautions,
        remedy=remedy,
        note="; ".join(part for part in (note, replaced) if part),
        accepted=case.accepted.get(checked.id, ""),
        counts=_counts(checked, case, finding, missing),
    )


def _counts(checked: Check, case: Case, finding: Finding, missing: tuple[str, ...]) -> bool:
    """Tell whether the row is part of the overall verdict: NOT CHECKED only where something was asked."""
    if finding.verdict != "NOT CHECKED":
        return True
    return any(map(case.states, checked.asked_by)) or (not missing and finding.asked)


def _finite(finding: Finding) -> Finding:
    """Replace what is not finite by None and say so; a row never carries NaN or infinity."""
    value = finding.value
    ends = tuple(value) if isinstance(value, Band) else (value,)
    if any(end is not None and not math.isfinite(end) for end in ends):
        words = "the physics gives no finite number here"
        note = f"{finding.note}; {words}" if finding.note else words
        verdict: Verdict = "NOT CHECKED" if finding.verdict == "INFO" else finding.verdict
        finding = replace(finding, value=None, verdict=verdict, note=note)
    if finding.limit is not None and not math.isfinite(finding.limit):
        finding = replace(finding, limit=None)
    return finding


def _margin(finding: Finding, kind: MarginKind, scale: float) -> float | None:
    judged, limit = finding.judged, finding.limit
    if judged is None or limit is None or kind == "none" or not math.isfinite(judged):
        return None
    if kind == "difference":
        return _rounded((limit - judged if finding.sense == "at most" else judged - limit) / scale)
    above, below = (limit, judged) if finding.sense == "at most" else (judged, limit)
    return _rounded(above / below) if below > 0.0 else None


def _input(name: str, value: Value) -> dict[str, Any]:
    """Write an input for people: its value in the unit of the trade, and where it came from."""
    unit = shown_unit_of(name)
    raw = value.value
    shown: Any = raw if isinstance(raw, str | bool | int) else _words(raw)
    if isinstance(raw, float | Band):
        shown = _plain(_scaled(raw, factor(unit, unit_of(name))))
    return {"value": shown, "unit": unit, "origin": value.origin, "field": value.field}


def _words(value: Any) -> str:
    """Write a record, or a row of them by their names, for people."""
    if isinstance(value, tuple) and not isinstance(value, Band):
        return ", ".join(str(getattr(entry, "name", entry)) for entry in value)
    return "" if isinstance(value, Band) else str(value)


def _scaled(value: float | Band | None, scale: float) -> float | Band | None:
    if isinstance(value, Band):
        return Band(*(_rounded(end / scale) for end in value))
    return None if value is None else _rounded(value / scale)


def _rounded(number: float) -> float:
    """Drop the digits that only the unit's factor brought in (12 significant digits stay)."""
    return float(f"{float(number):.12g}")

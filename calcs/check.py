"""What a check is: one decorated function whose signature lists its inputs, and the row it answers with."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import numpy as np

from calcs.finding import Finding, Verdict
from calcs.naming import factor
from calcs.result import Result, overall, row_of
from geometry.units import convert

if TYPE_CHECKING:
    from calcs.case import Case, Value

MarginKind = Literal["ratio", "difference", "none"]

__all__ = [
    "Check",
    "Derivation",
    "Result",
    "Signature",
    "Verdict",
    "check",
    "derived",
    "finding_of",
    "known_checks",
    "known_derivations",
    "overall",
    "run_check",
    "run_checks",
]


@dataclass(frozen=True)
class Signature:
    """The names that a function asks a case for: those it needs and those it can do without."""

    needed: tuple[str, ...]
    optional: tuple[str, ...]

    @cached_property
    def names(self) -> tuple[str, ...]:
        """All names, needed ones first."""
        return (*self.needed, *self.optional)

    @classmethod
    def of(cls, function: Callable[..., Any]) -> Signature:
        """Read the parameters of a function; `limit` is no name of a case."""
        code = function.__code__  # inspect.signature takes ten times as long, two hundred times a start
        names = code.co_varnames[: code.co_argcount]
        first_default = len(names) - len(function.__defaults__ or ())
        needed, optional = names[:first_default], names[first_default:]
        return cls(*(tuple(n for n in part if n != "limit") for part in (needed, optional)))


class Derivation(NamedTuple):
    """A value that follows from others of the case, and the `fields` to ask for when it cannot."""

    name: str
    function: Callable[..., Any]
    signature: Signature
    fields: tuple[str, ...]
    stepper_fields: tuple[str, ...]


def derived(
    *fields: str, stepper: tuple[str, ...] | None = None
) -> Callable[[Callable[..., Any]], Derivation]:
    """Make a derived value of a function: its name carries the unit, its parameters are names of the case.

    fields: what the design lacks when the function returns None; stepper: the same where the motor is one.
    """
    of_a_stepper = fields if stepper is None else stepper
    return lambda function: Derivation(
        function.__name__, function, Signature.of(function), fields, of_a_stepper
    )


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
    unless: str
    function: Callable[..., Finding]
    signature: Signature
    takes_limit: bool

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The names of the case that it asks for, its limit's among them."""
        limit = (self.limit,) if isinstance(self.limit, str) else ()
        return tuple(dict.fromkeys((*self.signature.names, *limit)))


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
    unless: str = "",
) -> Callable[[Callable[..., Finding]], Check]:
    """Make a check of a function whose parameters are names of the case.

    title: left out, the first line of the function's docstring. unit: SI unit of what the function finds;
    shown: the unit of the row. limit: the default limit (SI) or the name of the case that holds it; the
    function receives it as `limit`. asked_by: dotted design fields whose presence states a requirement, so
    that NOT CHECKED counts. unless: the name of the case whose words, where there are any, say why the check
    does not apply (calcs.checks.applies). Raises ValueError for units that do not fit each other.
    """
    shown = unit if shown is None else shown
    factor(shown, unit)

    def make(function: Callable[..., Finding]) -> Check:
        signature = Signature.of(function)
        words = title or (function.__doc__ or "").partition("\n")[0].rstrip(".")
        takes_limit = "limit" in function.__code__.co_varnames[: function.__code__.co_argcount]
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
            unless,
            function,
            signature,
            takes_limit,
        )

    return make


def known_checks() -> tuple[Check, ...]:
    """Collect every check of the modules in calcs/checks, by subject, module and place.

    Raises ValueError for an id used twice.
    """
    checks = (entry for entry in _known() if isinstance(entry, Check))
    return tuple(sorted(checks, key=lambda c: c.id.split(".")[0]))


def known_derivations() -> dict[str, Derivation]:
    """Collect every derived value of the modules in calcs/checks. Raises ValueError for a name used twice."""
    return {entry.name: entry for entry in _known() if isinstance(entry, Derivation)}


def _known() -> tuple[Check | Derivation, ...]:
    import calcs.checks

    return _collect(tuple(calcs.checks.__path__))


@cache  # by folders: another one may bring checks of its own
def _collect(folders: tuple[str, ...]) -> tuple[Check | Derivation, ...]:
    found: dict[tuple[type, str], Check | Derivation] = {}
    for module_info in sorted(pkgutil.iter_modules(folders), key=lambda m: m.name):
        module = importlib.import_module(f"calcs.checks.{module_info.name}")
        for entry in vars(module).values():
            if isinstance(entry, Check | Derivation) and entry.function.__module__ == module.__name__:
                name = entry.id if isinstance(entry, Check) else entry.name
                if (type(entry), name) in found:
                    raise ValueError(f"{name} is there twice in calcs/checks")
                found[type(entry), name] = entry
    return tuple(found.values())


def run_checks(case: Case) -> tuple[Result, ...]:
    """Run every known check on a case.

    Raises InputError for a limit's unit.
    """
    with np.errstate(all="ignore"):  # what has no finite number is said in the row
        return tuple(run_check(c, case) for c in known_checks())


def run_check(checked: Check, case: Case) -> Result:
    """Run one check on a case; what is missing makes it NOT CHECKED and is named.

    Raises InputError for a limit's unit.
    """
    if reason := _not_for(checked, case):
        return row_of(checked, case, Finding(None, "INFO", note=reason), {}, (), "")
    values = _values(checked, case)
    limit, replaced = _limit(checked, case, values)
    finding = _found(checked, values, limit)
    missing: tuple[str, ...] = ()
    if finding is None:
        missing = case.missing(name for name in checked.signature.needed if name not in values)
        finding = Finding(None, "NOT CHECKED", limit)
    elif finding.verdict == "NOT CHECKED" and limit is None and isinstance(checked.limit, str):
        missing = case.missing((checked.limit,))
    return row_of(checked, case, finding, values, missing, replaced)


def finding_of(checked: Check, case: Case) -> Finding | None:
    """Give what a check finds on a case, without the row that people read; None without a needed input."""
    if _not_for(checked, case):
        return None
    values = _values(checked, case)
    return _found(checked, values, _limit(checked, case, values)[0])


def _not_for(checked: Check, case: Case) -> str:
    """Say why a check does not apply to a case, "" where it does."""
    found = case.find(checked.unless) if checked.unless else None
    return "" if found is None else str(found.value)


def _values(checked: Check, case: Case) -> dict[str, Value]:
    """Collect what a check asks the case for, as far as it is there."""
    return {name: value for name in checked.names if (value := case.find(name)) is not None}


def _found(checked: Check, values: Mapping[str, Value], limit: float | None) -> Finding | None:
    """Call a check's function; None where a value that it needs is missing."""
    signature = checked.signature
    if not all(map(values.__contains__, signature.needed)):
        return None
    arguments = {name: values[name].value for name in signature.names if name in values}
    return (
        checked.function(**arguments, limit=limit) if checked.takes_limit else checked.function(**arguments)
    )


def _limit(checked: Check, case: Case, values: Mapping[str, Value]) -> tuple[float | None, str]:
    """Find the limit in SI and, where the user replaced it, the words for it."""
    if checked.id in case.limits:
        typed, reason = case.limits[checked.id]
        limit = convert(typed.value, typed.unit, checked.unit)
        return limit, f"limit replaced by the design: {reason}"
    if isinstance(checked.limit, str):
        found = values.get(checked.limit)
        return (None if found is None else float(found.value)), ""
    return checked.limit, ""

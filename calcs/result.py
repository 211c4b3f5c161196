"""One row of the report: a finding in the units that people read, with everything finite."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from calcs.finding import Finding, Verdict
from calcs.naming import bare, factor, shown_unit_of, unit_of
from geometry.units import Band

if TYPE_CHECKING:
    from calcs.case import Case, Value
    from calcs.check import Check, MarginKind
    from calcs.flips import Flip

ORDER: tuple[Verdict, ...] = ("PASS", "WARN", "NOT PROVEN", "NOT CHECKED", "FAIL")


class Result(NamedTuple):
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
    missing: tuple[str, ...] = ()
    flip: Flip | None = None

    def to_json(self) -> dict[str, Any]:
        """Give the row as the contract's JSON object, with note, missing, counts and accepted added."""
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
            "flip": None if self.flip is None else self.flip.to_json(),
            "note": self.note,
            "missing": list(self.missing),
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


def row_of(
    checked: Check,
    case: Case,
    finding: Finding,
    values: Mapping[str, Value],
    missing: tuple[str, ...],
    replaced: str,
) -> Result:
    """Make the row of a finding: numbers in the shown unit, what is missing named, the margin worked out."""
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
        inputs=dict(_shown(case, name, value) for name, value in values.items()),
        formula=checked.formula,
        source=checked.source,
        cautions=finding.cautions,
        remedy=remedy,
        note=f"{note}; {replaced}" if note and replaced else note or replaced,
        accepted=case.accepted.get(checked.id, ""),
        counts=_counts(checked, case, finding, missing),
        missing=missing,
    )


def _counts(checked: Check, case: Case, finding: Finding, missing: tuple[str, ...]) -> bool:
    """Tell whether the row is part of the overall verdict: NOT CHECKED only where something was asked."""
    if finding.verdict != "NOT CHECKED":
        return True
    return any(map(case.states, checked.asked_by)) or (not missing and finding.asked)


def _finite(finding: Finding) -> Finding:
    """Replace what is not finite by None and say so; a row never carries NaN or infinity."""
    if not _all_finite(finding.value):
        words = "the physics gives no finite number here"
        note = f"{finding.note}; {words}" if finding.note else words
        verdict: Verdict = "NOT CHECKED" if finding.verdict == "INFO" else finding.verdict
        finding = finding._replace(value=None, verdict=verdict, note=note)
    if finding.limit is not None and not math.isfinite(finding.limit):
        finding = finding._replace(limit=None)
    return finding


def _margin(finding: Finding, kind: MarginKind, scale: float) -> float | None:
    judged, limit = finding.judged, finding.limit
    if judged is None or limit is None or kind == "none" or not math.isfinite(judged):
        return None
    if kind == "difference":
        return _finite_or_none((limit - judged if finding.sense == "at most" else judged - limit) / scale)
    above, below = (limit, judged) if finding.sense == "at most" else (judged, limit)
    return _finite_or_none(above / below) if below > 0.0 else None


def _shown(case: Case, name: str, value: Value) -> tuple[str, Mapping[str, Any]]:
    if name not in case.shown:
        case.shown[name] = (bare(name), input_of(name, value))
    return case.shown[name]


def input_of(name: str, value: Value) -> dict[str, Any]:
    """Write an input for people: its value in the unit of the trade, and where it came from."""
    unit = shown_unit_of(name)
    raw = value.value
    shown: Any
    if isinstance(raw, float | Band):
        shown = shown_value(raw, unit, unit_of(name))
    else:
        shown = raw if isinstance(raw, str | bool | int) else _words(raw)
    return {"value": shown, "unit": unit, "origin": value.origin, "field": value.field}


def shown_value(value: float | Band | None, shown: str, si: str) -> float | dict[str, float] | None:
    """Give a number or a band in the unit that people read, as JSON writes it; None if it is not finite."""
    made: float | dict[str, float] | None = _plain(_scaled(value, factor(shown, si)))
    return made if _all_finite(value) else None


def _all_finite(value: float | Band | None) -> bool:
    if isinstance(value, Band):
        return all(map(math.isfinite, value))
    return value is None or math.isfinite(value)


def _finite_or_none(number: float) -> float | None:
    return _rounded(number) if math.isfinite(number) else None


def _words(value: Any) -> str:
    """Write a record, or a row of them by their names, for people."""
    if type(value) is tuple:  # a record is one too
        return ", ".join(str(getattr(entry, "name", entry)) for entry in value)
    return str(value)


def _scaled(value: float | Band | None, scale: float) -> float | Band | None:
    if isinstance(value, Band) and value.low < value.high:
        return Band(*(_rounded(end / scale) for end in value))
    if isinstance(value, Band):  # a band without width is a number
        value = value.nominal
    return None if value is None else _rounded(value / scale)


def _rounded(number: float) -> float:
    """Drop the digits that only the unit's factor brought in (12 significant digits stay)."""
    return float(f"{float(number):.12g}")

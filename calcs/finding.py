"""What a check function finds, and how a value is held against its limit."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Literal, NamedTuple

from geometry.units import Band

Verdict = Literal["PASS", "WARN", "FAIL", "NOT PROVEN", "NOT CHECKED", "INFO"]


def over(band: Band, function: Callable[[float], Any]) -> Band:
    """Apply a function to the three values of a band and put the ends in order."""
    low, nominal, high = (float(function(x)) for x in band)
    return Band(min(low, nominal, high), nominal, max(low, nominal, high))


def digits(value: float, count: int = 3) -> str:
    """Write a number with so many significant digits, without an exponent where people would not use one."""
    if value == 0.0 or not math.isfinite(value):
        return f"{value:g}"
    size = math.floor(math.log10(abs(value)))
    if not -4 <= size < 7:
        return f"{value:.{count - 1}e}"
    text = f"{value:.{max(count - 1 - size, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


NOISE = 1e-15  # SI: far below a length or an inertia of any part
ROUNDING = 1e-9  # relative; what arithmetic in floats may lose


class Finding(NamedTuple):
    """What a check function found, in SI: a value, its limit, a verdict, and words for people.

    `judged` is the number of the value that was held against the limit, `sense` whether it may be at most
    or must be at least that. `asked` is false where NOT CHECKED breaks no requirement.
    """

    value: float | Band | None
    verdict: Verdict
    limit: float | None = None
    judged: float | None = None
    sense: Literal["at most", "at least", ""] = ""
    cautions: tuple[str, ...] = ()
    remedy: str = ""
    note: str = ""
    asked: bool = True


def info(value: float | Band | None, note: str = "", *, cautions: tuple[str, ...] = ()) -> Finding:
    """Report a value that nothing is held against."""
    return Finding(value, "INFO", note=note, cautions=cautions)


def not_checked(note: str, remedy: str = "", *, asked: bool = True) -> Finding:
    """Say why inputs that are there could not be judged; `asked` whether a requirement stays open."""
    return Finding(None, "NOT CHECKED", note=note, remedy=remedy, asked=asked)


def clean(value: float) -> float:
    """Give 0 for what is left of a difference of equal numbers, in m, kg m2 or the like."""
    return 0.0 if abs(value) < NOISE else float(value)


def _reaches(more: float, less: float) -> bool:
    """Compare to rounding: 1.5 mm made of 14 - 12.5 reaches 1.5 mm."""
    return more >= less or math.isclose(more, less, rel_tol=ROUNDING)


def at_most(
    value: float | Band,
    limit: float | None,
    *,
    above: Verdict = "FAIL",
    fail_above: float | None = None,
    cautions: tuple[str, ...] = (),
    remedy: str = "",
    note: str = "",
) -> Finding:
    """Hold the high end of a value against a limit: PASS up to it, else `above`, FAIL beyond `fail_above`."""
    judged = float(value.high if isinstance(value, Band) else value)
    if limit is None or math.isnan(judged):
        return Finding(value, "NOT CHECKED", limit, cautions=cautions, note=note)
    verdict: Verdict = "PASS" if _reaches(limit, judged) else above
    if fail_above is not None and verdict != "PASS":
        verdict = "WARN" if _reaches(fail_above, judged) else "FAIL"
    return Finding(
        value, verdict, limit, judged, "at most", cautions, "" if verdict == "PASS" else remedy, note
    )


def at_least(
    value: float | Band,
    limit: float | None,
    *,
    below: Verdict = "FAIL",
    fail_below: float | None = None,
    cautions: tuple[str, ...] = (),
    remedy: str = "",
    note: str = "",
) -> Finding:
    """Hold the low end of a value against a limit: PASS from it on, else `below`, FAIL under `fail_below`."""
    judged = float(value.low if isinstance(value, Band) else value)
    if limit is None or math.isnan(judged):
        return Finding(value, "NOT CHECKED", limit, cautions=cautions, note=note)
    verdict: Verdict = "PASS" if _reaches(judged, limit) else below
    if fail_below is not None and verdict != "PASS":
        verdict = "WARN" if _reaches(judged, fail_below) else "FAIL"
    return Finding(
        value, verdict, limit, judged, "at least", cautions, "" if verdict == "PASS" else remedy, note
    )

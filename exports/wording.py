"""How numbers, bands and verdicts are written for people."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from calcs.finding import digits as in_digits

VERDICTS = ("FAIL", "NOT CHECKED", "NOT PROVEN", "WARN", "PASS", "INFO")  # worst first
COLOURS = {
    "FAIL": "bold red",
    "NOT CHECKED": "bold magenta",
    "NOT PROVEN": "magenta",
    "WARN": "yellow",
    "PASS": "green",
    "INFO": "dim",
}


def number(value: float | None, digits: int = 4) -> str:
    """Write a number with so many significant digits, without an exponent where people would not use one."""
    return "-" if value is None else in_digits(value, digits)


def measure(value: float | Mapping[str, float] | None, unit: str = "") -> str:
    """Write a value or a band {"low", "nominal", "high"} with its unit."""
    if value is None:
        return "-"
    text = (
        f"{number(value['low'])} .. {number(value['high'])}" if isinstance(value, Mapping) else number(value)
    )
    return f"{text} {unit.replace('**', '')}".rstrip()  # mm2, as people type it


def margin(row: Mapping[str, Any]) -> str:
    """Write the margin of a check's row: `x 1.25` for a ratio, `+0.5` for a difference."""
    if row["margin"] is None:
        return "-"
    return f"x {number(row['margin'], 3)}" if row["margin_kind"] == "ratio" else f"{row['margin']:+.3g}"


def millimetres(value: float | None) -> str:
    """Write a gap or a position to a micrometre, which is what the meshes can promise."""
    return "-" if value is None else f"{value + 0.0:.3f}"


def window(span: Iterable[float] | None) -> str:
    """Write a stretch of travel in mm."""
    if span is None:
        return ""
    low, high = span
    return f"{number(low)} .. {number(high)}"


def tally(verdicts: Iterable[str]) -> str:
    """Count verdicts, worst first: `1 NOT PROVEN, 3 WARN, 20 PASS`."""
    counts: Counter[str] = Counter(verdicts)
    return ", ".join(f"{counts[word]} {word}" for word in VERDICTS if counts[word])


def tally_checks(rows: Iterable[Mapping[str, Any]]) -> str:
    """Count the verdicts of checks; rows that nothing asked for are counted apart."""
    rows = list(rows)
    left_out = sum(not row["counts"] for row in rows)
    text = tally(row["verdict"] for row in rows if row["counts"])
    return f"{text}; {left_out} not asked for" if left_out else text


def heading(design: Mapping[str, Any]) -> str:
    """Name the design that a report is about: title, file and the first digits of its sha256."""
    title = design.get("title") or "untitled design"
    return f"{title}   ({design['file']}, sha256 {design['sha256'][:12]})"

"""Checks called with plain numbers: the helpers of the tests that are done by hand."""

from __future__ import annotations

from calcs.check import Check
from calcs.finding import Finding
from geometry.units import Band


def same(value: float) -> Band:
    """Give a band without spread."""
    return Band(value, value, value)


def found(check: Check, *numbers: object, **named: object) -> Finding:
    """Call a check's function."""
    finding = check.function(*numbers, **named)
    assert isinstance(finding, Finding)
    return finding


def edges(check: Check, value: float, *before: object, low_passes: bool = False) -> None:
    """Hold a check against limits one part in a thousand to both sides of its value, the last argument."""
    verdicts = [found(check, *before, value * share).verdict for share in (1.001, 0.999)]
    assert verdicts == (["FAIL", "PASS"] if low_passes else ["PASS", "FAIL"])

"""Shigley's Mechanical Engineering Design, 9th edition, Example 1-3 (page 20): a stack of four lengths."""

from __future__ import annotations

import pytest
from published_cases import Case

from calcs.checks.tolerance import Spread, worst_case

INCH = 0.0254
LINKS = (("a", 1.750, 0.003), ("b", -0.750, 0.001), ("c", -0.120, 0.005), ("d", -0.875, 0.001))

PUBLISHED = (Case("Shigley 9e", "example 1-3", 4, "page"),)


def chain(d: float = -0.875) -> tuple[Spread, ...]:
    lengths = [(name, d if name == "d" else size, half) for name, size, half in LINKS]
    return tuple(Spread(name, size * INCH, half * INCH) for name, size, half in lengths)


def test_mean_gap_is_0_005_and_its_tolerance_0_010_inch() -> None:
    rows = chain()
    assert sum(row.part_m for row in rows) / INCH == pytest.approx(0.005, abs=1e-9)
    assert sum(row.half_m or 0.0 for row in rows) / INCH == pytest.approx(0.010, abs=1e-9)


def test_smallest_gap_is_minus_0_005_inch() -> None:
    found = worst_case.function(chain(), limit=0.0)
    assert found.value == pytest.approx(-0.005 * INCH, abs=1e-9)
    assert found.verdict == "FAIL"


def test_d_of_0_867_inch_leaves_0_003() -> None:
    found = worst_case.function(chain(-0.867), limit=0.0)
    assert found.value == pytest.approx(0.003 * INCH, abs=1e-9)
    assert found.verdict == "PASS"

"""Planetary gears: Khurmi & Gupta, Theory of Machines, 13.7, 13.9 (worked notebook); Bevan (from memory)."""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from geometry.gears import planetary
from geometry.tooth_rules import ToothSet, undercut_shift

PUBLISHED = (
    Case("Khurmi & Gupta", "example 13.7", 1, "notebook"),
    Case("Khurmi & Gupta", "example 13.9", 2, "notebook"),
    Case("Bevan", "least teeth without undercut", 2, "memory"),
)


def test_carrier_turns_per_sun_turn() -> None:
    # Khurmi & Gupta ex. 13.7: sun 40, ring 90 fixed: 0.308 turns of the arm.
    assert 1 / ToothSet(40, 25, 90, 3).ratio == pytest.approx(0.308, abs=0.0005)


def test_a_ratio_of_five_on_a_ring_of_56() -> None:
    # Khurmi & Gupta ex. 13.9: ring 56, ratio 5 give sun 14, planet 21; three planets do not space evenly.
    refused = {str(r.teeth): {rule.name for rule in r.failed} for r in planetary(5, 3).refused}
    assert refused["14/21/56"] == {"spacing"}
    assert ToothSet(14, 21, 56, 5).ratio == 5
    assert ToothSet(14, 21, 56, 2) in planetary(5, 2).offered


def test_smallest_pinion_without_undercut_by_a_rack() -> None:
    # Bevan: 2 / sin^2 20 = 17.097, so 18 teeth.
    assert min(z for z in range(5, 40) if undercut_shift(z) <= 0) == 18
    assert 2 / math.sin(math.radians(20)) ** 2 == pytest.approx(17.097, abs=0.001)

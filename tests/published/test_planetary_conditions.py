"""Planetary conditions: Khurmi & Gupta, Theory of Machines, ex. 13.7 and 13.9; Bevan; closed forms."""

from __future__ import annotations

import math

import pytest

from geometry.gears import planetary
from geometry.planetary_stage import efficiency_at_carrier
from geometry.tooth_rules import ToothSet, stage_rules, undercut_shift


def rules(sun: int, planet: int, ring: int, planets: int) -> dict[str, tuple[float, float, bool]]:
    return {r.name: (r.value, r.limit, r.passed) for r in stage_rules(sun, planet, ring, planets)}


@pytest.mark.parametrize(
    ("teeth", "planets", "spaced", "gap"),
    [
        # Gap between neighbouring planets in modules, (zs + zp) sin(pi / N) - (zp + 2), computed.
        ((12, 18, 48), 3, True, 5.980762),
        ((12, 18, 48), 4, True, 1.213203),
        ((40, 25, 90), 3, False, 29.29165),
        ((12, 30, 72), 4, True, -2.301515),
        ((12, 36, 84), 3, True, 3.569219),
        ((15, 15, 45), 5, True, 0.6335576),
        ((14, 21, 56), 5, True, (14 + 21) * math.sin(math.pi / 5) - 23),
        ((14, 21, 56), 3, False, (14 + 21) * math.sin(math.pi / 3) - 23),
    ],
)
def test_spacing_and_neighbours(teeth: tuple[int, int, int], planets: int, spaced: bool, gap: float) -> None:
    found = rules(*teeth, planets)
    assert found["ring"][2]
    assert found["spacing"][2] is spaced
    value, limit, passed = found["neighbours"]
    assert value - limit == pytest.approx(gap, abs=5e-6)  # seven printed digits
    assert passed is (gap > 0)


def test_carrier_turns_per_sun_turn() -> None:
    # Khurmi & Gupta ex. 13.7: sun 40, ring 90 fixed: 0.308 turns of the arm.
    assert 1 / ToothSet(40, 25, 90, 3).ratio == pytest.approx(0.308, abs=0.0005)


def test_a_ratio_of_five_on_a_ring_of_56() -> None:
    # Khurmi & Gupta ex. 13.9: ring 56, ratio 5 give sun 14, planet 21; three planets do not space evenly.
    refused = {str(r.teeth): {rule.name for rule in r.failed} for r in planetary(5, 3).refused}
    assert refused["14/21/56"] == {"spacing"}
    assert ToothSet(14, 21, 56, 5).ratio == 5
    assert ToothSet(14, 21, 56, 2) in planetary(5, 2).offered


@pytest.mark.parametrize(
    ("ring_over_sun", "held", "efficiency"),
    [(2.25, 0.98, 0.9861538), (4, 0.97, 0.976), (5, 0.98, 0.9833333), (7, 0.96, 0.965)],
)
def test_efficiency_from_sun_to_carrier(ring_over_sun: float, held: float, efficiency: float) -> None:
    # Mueller 1982 and Merritt (from memory), seven digits.
    assert efficiency_at_carrier(ring_over_sun, held) == pytest.approx(efficiency, abs=5e-8)


def test_efficiency_of_three_stages_of_five_to_one() -> None:
    # Computed: R = 4, 0.97 with the carrier held, three stages, 125:1.
    assert efficiency_at_carrier(4, 0.97) ** 3 == pytest.approx(0.9297142, abs=5e-8)


@pytest.mark.parametrize(
    ("teeth", "shift"), [(8, 0.5320889), (10, 0.4151111), (12, 0.2981333), (14, 0.1811556)]
)
def test_least_profile_shift(teeth: int, shift: float) -> None:
    assert undercut_shift(teeth) == pytest.approx(shift, abs=5e-8)  # computed, seven digits


def test_smallest_pinion_without_undercut_by_a_rack() -> None:
    # Bevan: 2 / sin^2 20 = 17.097, so 18 teeth.
    assert min(z for z in range(5, 40) if undercut_shift(z) <= 0) == 18
    assert 2 / math.sin(math.radians(20)) ** 2 == pytest.approx(17.097, abs=0.001)

from __future__ import annotations

import math
import time

import pytest

from geometry.errors import InputError
from geometry.gears import planetary
from geometry.tooth_rules import ToothSet, rules_of, stage_rules, undercut_shift


def failed(sun: int, planet: int, ring: int, planets: int) -> set[str]:
    return {
        rule.name for rule in stage_rules(sun, planet, ring, planets) if not rule.passed and not rule.note
    }


def test_four_to_one_is_offered_with_the_smallest_ring_first() -> None:
    answer = planetary(4)
    assert answer.exact
    assert answer.offered[0] == ToothSet(12, 12, 36, 3)
    assert answer.explain().splitlines()[0] == (
        "4:1 in one stage, 3 planets, ring <= 80 teeth: 12/12/36, 15/15/45, 18/18/54"
    )


def test_a_ratio_without_an_exact_set_names_the_nearest_two() -> None:
    answer = planetary(6.3)
    assert not answer.exact
    assert answer.explain().splitlines()[0] == (
        "6.3:1 in one stage, 3 planets, ring <= 80 teeth: "
        "not exact; nearest 14/31/76 = 6.4286 (+2.0 %), 13/29/71 = 6.4615 (+2.6 %)"
    )


def test_a_nearer_set_is_refused_with_the_condition_it_fails() -> None:
    refused = {str(r.teeth): [rule.name for rule in r.failed] for r in planetary(6.3).refused}
    assert refused["15/32/79"] == ["spacing"]
    assert "(15 + 79) / 3 = 31.3333, not an integer" in planetary(6.3).explain()


def test_fourteen_to_one_needs_a_ring_above_the_limit_and_two_stages_do_it() -> None:
    answer = planetary(14)
    assert answer.offered == ()
    assert answer.beyond == ToothSet(33, 198, 429, 3)
    assert answer.two_stages[0] == (ToothSet(12, 9, 30, 3), ToothSet(12, 12, 36, 3))
    assert answer.explain().splitlines()[0] == (
        "14:1 in one stage, 3 planets, ring <= 80 teeth: refused: ring above 80 teeth (33/198/429); "
        "two stages 3.5 (12/9/30) x 4 (12/12/36)"
    )


def test_the_ring_limit_is_the_only_thing_in_the_way_of_fourteen_to_one() -> None:
    assert planetary(14, max_ring=429).offered[0] == ToothSet(33, 198, 429, 3)


@pytest.mark.parametrize("planets", [3, 4])
def test_five_to_one_takes_three_or_four_planets(planets: int) -> None:
    assert planetary(5, planets).offered[0] == ToothSet(12, 18, 48, planets)


def test_a_ratio_no_tooth_number_can_give_says_that_neighbours_touch() -> None:
    assert "neighbours touch: 3 planets leave room only below 14.93:1" in planetary(15).explain()
    assert "whatever the teeth; two stages do not come within 3 %" in planetary(100).explain()


def test_ratios_up_to_two_are_refused_with_the_reason() -> None:
    assert "always above 2:1" in planetary(2.0).explain()


def test_the_planet_limit_is_named() -> None:
    assert "planet of 6 teeth is below 9" in planetary(3).explain()
    assert "12/6/24" not in map(str, planetary(3).offered)


@pytest.mark.parametrize("ratio", [3, 3.7, 4, 5.25, 6.3, 7, 9.1, 12])
@pytest.mark.parametrize("planets", [3, 4, 5])
def test_every_offered_set_meets_every_condition(ratio: float, planets: int) -> None:
    answer = planetary(ratio, planets)
    for teeth in (*answer.offered, *(stage for pair in answer.two_stages for stage in pair)):
        assert failed(teeth.sun, teeth.planet, teeth.ring, teeth.planets) == set()
        assert teeth.sun >= 12
        assert teeth.planet >= 9
        assert teeth.ring <= 80
    assert all(abs(answer.error(teeth)) <= 0.03 for teeth in answer.offered)
    for first, second in answer.two_stages:
        assert first.ratio * second.ratio == pytest.approx(ratio, rel=0.03)


def test_each_condition_shows_its_numbers() -> None:
    rules = {rule.name: rule for rule in stage_rules(12, 12, 36, 3)}
    assert rules["ring"].limit == 36
    assert rules["spacing"].value == 16
    assert rules["neighbours"].value == pytest.approx(24 * math.sin(math.pi / 3), rel=1e-12)
    assert rules["neighbours"].text == "neighbours clear: (sun + planet) sin(180/3) = 20.78 > 14"
    assert rules["undercut sun"].limit == pytest.approx(0.2981333, abs=5e-8)
    assert rules["undercut sun"].note
    assert not rules["undercut sun"].passed


def test_wrong_teeth_fail_the_condition_that_they_break() -> None:
    assert failed(12, 12, 37, 3) == {"ring", "spacing"}
    assert failed(14, 14, 42, 3) == {"spacing"}
    assert failed(12, 30, 72, 4) == {"neighbours"}
    assert failed(12, 12, 36, 3) == set()


def test_shifted_teeth_are_judged_at_their_working_centre_distance() -> None:
    def neighbours(tip: float) -> tuple[float, float, bool]:
        rules = stage_rules(12, 12, 36, 3, centre_distance=12.524, planet_tip_diameter=tip)
        rule = next(rule for rule in rules if rule.name == "neighbours")
        return rule.value, rule.limit, rule.passed

    value, limit, passed = neighbours(14.448)
    assert value == pytest.approx(2 * 12.524 * math.sqrt(3) / 2, rel=1e-12)
    assert limit == pytest.approx(14.948, rel=1e-12)
    assert passed
    assert not neighbours(21.3)[2]


def test_a_single_planet_has_no_neighbour() -> None:
    assert "neighbours" not in {rule.name for rule in stage_rules(12, 12, 36, 1)}


def test_undercut_ends_between_seventeen_and_eighteen_teeth() -> None:
    assert undercut_shift(17) > 0 > undercut_shift(18)
    notes = [rule.passed for rule in rules_of(ToothSet(18, 18, 54, 3)) if rule.note]
    assert notes == [True, True]


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ({"ratio": math.nan}, "ratio"),
        ({"ratio": -4}, "ratio"),
        ({"ratio": 4, "planets": 1}, "planets"),
        ({"ratio": 4, "min_sun": 0}, "min_sun"),
        ({"ratio": 4, "tolerance": -0.1}, "tolerance"),
    ],
)
def test_arguments_that_are_no_numbers_of_a_gear_are_refused(arguments: dict[str, float], field: str) -> None:
    with pytest.raises(InputError) as refused:
        planetary(**arguments)  # type: ignore[arg-type]  # the cases are plain dictionaries
    assert [problem.field for problem in refused.value.problems] == [field]


def test_the_solver_answers_while_a_designer_types() -> None:
    start = time.perf_counter()
    for ratio in (3.3, 6.3, 14, 35):
        planetary(ratio)
    assert time.perf_counter() - start < 2.0  # about 0.1 s alone on a two-core machine

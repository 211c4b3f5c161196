"""What flips a verdict: found on the function itself, exact, nearest, and a file that can be read."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from calcs.case import Case, Value, case_of
from calcs.case_fields import FIELDS
from calcs.check import Check, check, finding_of, known_checks, run_check
from calcs.finding import Finding, Verdict, at_least, at_most
from calcs.flips import Flip, Search, _between, _finest, _shorter
from calcs.remedy import flip_of
from calcs.variation import dials_of, varied
from geometry.design import read
from geometry.units import Band

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"


@pytest.fixture(scope="module")
def demo() -> Case:
    return case_of(read(DEMO))


def case(**given: object) -> Case:
    return Case({name: Value(value, "given", FIELDS[name]) for name, value in given.items()})


def verdict_of(checked: Check, of: Case) -> Verdict:
    found = finding_of(checked, of)
    return "NOT CHECKED" if found is None else found.verdict


def flip(checked: Check, of: Case) -> Flip | None:
    return flip_of(Search(of), checked, verdict_of(checked, of))


def by_id(id: str) -> Check:
    (found,) = [c for c in known_checks() if c.id == id]
    return found


@check("test.product", unit="N", formula="F m", source="x", limit=10.0)
def product(stop_strength_n: float, carried_mass_kg: float, limit: float = 10.0) -> Finding:
    """A product that may be at most 10."""
    return at_most(stop_strength_n * carried_mass_kg**2, limit)


def test_the_nearest_input_is_the_one_that_counts_double() -> None:
    found = flip(product, case(stop_strength_n=2.0, carried_mass_kg=2.0))
    assert found is not None
    assert (found.field, found.before, found.unit, found.verdict) == ("motion.mass", 2000.0, "g", "FAIL")
    assert found.after == 2240.0  # sqrt(5) kg = 2236.07 g, outward to three digits
    assert found.change == pytest.approx(0.12)
    words = {
        "field": "motion.mass",
        "from": 2000.0,
        "to": 2240.0,
        "unit": "g",
        "change": 0.12,
        "verdict": "FAIL",
    }
    assert found.to_json() == words


def test_a_small_change_keeps_more_digits() -> None:
    found = flip(product, case(stop_strength_n=10.0, carried_mass_kg=0.9999))
    assert found is not None
    assert found.after == pytest.approx(1000.0, rel=2e-5)
    assert found.after > 1000.0
    assert found.verdict == "FAIL"


def test_beyond_a_tenth_and_ten_times_nothing_is_looked_for() -> None:
    assert flip(product, case(stop_strength_n=1e-4, carried_mass_kg=1.0)) is None
    found = flip(product, case(stop_strength_n=0.11, carried_mass_kg=1.0))
    assert found is not None
    assert found.after == pytest.approx(math.sqrt(10.0 / 0.11) * 1e3, rel=2e-3)


@check("test.whole", formula="n", source="x", limit=7.5)
def whole(cycles: int, limit: float = 7.5) -> Finding:
    """A count."""
    return at_most(float(cycles), limit)


def test_a_count_stays_whole() -> None:
    up, down = flip(whole, case(cycles=5)), flip(whole, case(cycles=12))
    assert up is not None
    assert down is not None
    assert (up.after, down.after) == (8.0, 7.0)


@check("test.broken", formula="x", source="x", limit=2.0)
def broken(cycles: float, limit: float = 2.0) -> Finding:
    """A function that has no answer far out."""
    return at_least(math.sqrt(cycles - 3.0), limit)


def test_where_the_function_has_no_answer_nothing_flips() -> None:
    found = flip(broken, case(cycles=9))
    assert found is not None
    assert (found.after, found.verdict) == (6.0, "FAIL")


@check("test.window", formula="x", source="x", limit=1.0)
def window(stop_strength_n: float, limit: float = 1.0) -> Finding:
    """Passes between 0.5 and 1."""
    return Finding(stop_strength_n, "PASS" if 0.5 <= stop_strength_n <= limit else "WARN", limit)


def test_the_nearer_side_wins() -> None:
    near_top, near_bottom = flip(window, case(stop_strength_n=0.9)), flip(window, case(stop_strength_n=0.55))
    assert near_top is not None
    assert near_bottom is not None
    assert near_top.after == 1.001  # of a small change more digits are kept
    assert near_bottom.after == pytest.approx(0.499, abs=0.001)


@check("test.near", formula="x", source="x", limit=1.0)
def near(stop_strength_n: float, limit: float = 1.0) -> Finding:
    """Has an answer only within 1.3 % of 1, and fails there from 1.2 % on."""
    away = abs(stop_strength_n - 1.0)
    return at_most(math.nan if away > 0.013 else 1.0 + (away >= 0.012), limit)


@check("test.nearer", formula="x", source="x", limit=1.0)
def nearer(stop_strength_n: float, limit: float = 1.0) -> Finding:
    """Has an answer only within 0.7 % of 1, and fails there from 0.6 % on."""
    away = abs(stop_strength_n - 1.0)
    return at_most(math.nan if away > 0.007 else 1.0 + (away >= 0.006), limit)


def test_where_there_is_no_answer_a_sixteenth_of_the_first_ring_is_the_last_look() -> None:
    found = flip(near, case(stop_strength_n=1.0))
    assert found is not None
    assert abs(found.change) == 0.0121  # to the digits that lie within 5 % of the change
    assert flip(nearer, case(stop_strength_n=1.0)) is None


@check("test.two", formula="x", source="x", limit=1.0)
def two(carried_mass_kg: float, friction: Band, limit: float = 1.0) -> Finding:
    """Fails from 1.15 kg on, and from a usual friction of 0.195 on; has no answer to one above the band."""
    if friction.nominal > friction.high:
        return at_most(math.nan, limit)
    return at_most(0.0 if carried_mass_kg < 1.15 and friction.nominal < 0.195 else 2.0, limit)


def test_a_number_whose_range_ends_before_the_other_flips_is_the_nearer() -> None:
    of = case(carried_mass_kg=1.0, friction=Band(0.1, 0.19, 0.2))
    search = Search(of)
    dials = [d for d in search.tried(two) if d.field in ("motion.mass", "nut.friction.nominal")]
    assert [d.field for d in dials] == ["motion.mass", "nut.friction.nominal"]
    found = search.nearest(two, dials, lambda verdict: verdict == "FAIL")
    assert found is not None
    assert (found.field, found.after) == ("nut.friction.nominal", 0.1951)


def test_without_numbers_there_is_nothing_to_flip() -> None:
    @check("test.constant", formula="x", source="x", limit=1.0)
    def constant(limit: float = 1.0) -> Finding:
        return at_most(0.5, limit)

    assert flip(constant, case(stop_strength_n=1.0)) is None
    assert flip(by_id("gearing.spacing"), case_of(read(DEMO))) is None


def test_holding_flips_at_the_friction_that_reaches_its_limit(demo: Case) -> None:
    """Row 62 of the job: to 1.5 at 0.0955, which is nearer than to 1.0 at 0.0636."""
    found = flip(by_id("drive.holding"), demo)
    assert found is not None
    assert (found.field, found.before, found.after, found.verdict) == (
        "nut.friction.low",
        0.08,
        0.0955,
        "PASS",
    )
    assert found.change == pytest.approx(0.194, abs=1e-3)
    search = Search(demo)
    fails = search.nearest(
        by_id("drive.holding"), search.tried(by_id("drive.holding")), lambda verdict: verdict == "FAIL"
    )
    assert fails is not None
    assert fails.after == pytest.approx(0.0636, abs=1e-4)


def test_the_nominal_dynamic_margin_flips_at_179_percent_of_the_thread_load(demo: Case) -> None:
    known = by_id("motor.dynamic_margin.nominal")
    search = Search(demo)
    (force,) = [d for d in dials_of(demo) if d.field == "load_case[0].forces[0].force"]
    found = search.nearest(known, [force], lambda verdict: verdict == "FAIL")
    assert found is not None
    peak = demo.find("peak_force_n")
    assert peak is not None
    load = peak.value.nominal
    assert (load + found.after - found.before) / load == pytest.approx(1.79, rel=0.01)


def test_a_change_that_the_file_reader_refuses_is_passed_over(demo: Case) -> None:
    known = by_id("travel.stopping")
    search = Search(demo)
    dials = search.tried(known)
    wanted = [d for d in dials if d.field == "motion.sensors.high"]
    found = search.nearest(known, wanted, lambda verdict: verdict == "FAIL")
    assert found is not None
    assert 61.5 < found.after < 64.0
    stroke = [d for d in dials if d.field == "motion.hard_stops.high"]
    order = search.nearest(by_id("travel.order"), stroke, lambda verdict: verdict != "PASS")
    assert order is None or order.after > 61.5


def test_every_flip_flips_and_stops_short_of_it_does_not(demo: Case) -> None:
    """Put each number into the case: the verdict is the one said, and nine tenths of the way keep it."""
    search, dials = Search(demo), {d.field: d for d in dials_of(demo)}
    found = 0
    for known in known_checks():
        before = run_check(known, demo).verdict
        if before not in ("PASS", "WARN", "FAIL", "NOT PROVEN"):
            continue
        said = flip_of(search, known, before)
        if said is None:
            continue
        found += 1
        dial, reach = dials[said.field], frozenset().union(*(demo.reach(name) for name in known.names))
        for share, wanted in ((1.0, said.verdict), (0.9, before)):
            number = (said.before + share * (said.after - said.before)) * dial.scale
            assert verdict_of(known, varied(demo, dial, number, reach)) == wanted, (known.id, said)
    assert found > 30


def test_no_other_number_flips_for_less(demo: Case) -> None:
    """Against a plain scan of every number in steps of 1 %, for the rows that are cheap to ask."""
    search, dials = Search(demo), dials_of(demo)
    for id in ("drive.holding", "motor.dynamic_margin.supply", "stops.impact", "life.pv", "travel.stopping"):
        known = by_id(id)
        reach = frozenset().union(*(demo.reach(name) for name in known.names))
        before = verdict_of(known, demo)
        said = flip_of(search, known, before)
        assert said is not None
        for dial in dials:
            for percent in range(1, int(abs(said.change) * 100.0)):
                for factor in (1.0 + percent / 100.0, 1.0 - percent / 100.0):
                    if dial.factors[0] <= factor <= dial.factors[1]:
                        verdict = verdict_of(known, varied(demo, dial, dial.value * factor, reach))
                        assert verdict in (before, "NOT CHECKED"), (id, dial.field, factor, said)


def test_a_band_flips_at_its_judged_end() -> None:
    @check("test.band", formula="mu", source="x", limit=0.3)
    def band(friction: Band, limit: float = 0.3) -> Finding:
        return at_most(friction, limit)

    found = flip(band, case(friction=Band(0.1, 0.15, 0.2)))
    assert found is not None
    assert (found.field, found.verdict) == ("nut.friction.high", "FAIL")
    assert found.after == pytest.approx(0.301)


def test_a_number_is_not_rounded_past_its_range() -> None:
    @check("test.close", formula="mu", source="x", limit=0.15)
    def close(friction: Band, limit: float = 0.15) -> Finding:
        return at_least(friction, limit)

    of = case(friction=Band(0.1, 0.15003, 0.2))
    search = Search(of)
    low = [dial for dial in search.tried(close) if dial.field == "nut.friction.low"]
    found = search.nearest(close, low, lambda verdict: verdict == "PASS")
    assert found is not None
    assert 0.15 <= found.after <= 0.15003


@check("test.narrow", formula="F", source="x", limit=0.5)
def narrow(stop_strength_n: float, limit: float = 0.5) -> Finding:
    """Passes in a window that three digits step over."""
    return Finding(stop_strength_n, "PASS" if limit <= stop_strength_n <= 0.5005 else "WARN", limit)


def test_a_rounded_number_that_would_not_flip_gets_more_digits() -> None:
    found = flip(narrow, case(stop_strength_n=0.4167))
    assert found is not None
    assert (found.verdict, found.after) == ("PASS", pytest.approx(0.5001, abs=1.01e-4))


def test_a_count_that_only_flips_between_whole_numbers_does_not() -> None:
    @check("test.between", formula="n", source="x", limit=8.3)
    def between(cycles: float, limit: float = 8.3) -> Finding:
        return Finding(cycles, "PASS" if limit <= cycles <= 8.5 else "WARN", limit)

    assert flip(between, case(cycles=7)) is None


def test_a_factor_is_found_to_a_thousandth_of_its_change() -> None:
    assert [_finest(factor) for factor in (1.2, 0.5, 1.0 + 1e-9, 1.0, 10.0)] == pytest.approx(
        [2e-4, 5e-4, 1e-9, 1e-9, 9e-3]
    )


@pytest.mark.parametrize(
    ("one", "other", "finest", "place"),
    [
        ((1.0, -2.0), (1.4, 2.0), 1e-3, 1.2005),  # half way, and half of the finest on
        ((1.0, -1.0), (1.4, 3.0), 1e-3, 1.1005),
        ((1.4, 3.0), (1.0, -1.0), 1e-3, 1.0995),  # on from the other side
        ((1.0, 2.0), (0.6, -2.0), 1e-3, 0.7995),
        ((1.0, -1e-12), (1.4, 2.0), 1e-3, 1.0005),
        ((1.0, -2.0), (1.4, 1e-12), 1e-3, 1.3995),  # not past the other end
        ((1.0, -1.0), (1.4, 3.0), 1.0, 1.2),  # coarser than the way between
        ((1.0, 2.0), (1.4, 3.0), 1e-3, 1.2),  # the sign stays: half way
        ((1.0, 0.0), (1.4, 3.0), 1e-3, 1.2),
        ((1.0, math.nan), (1.4, 3.0), 1e-3, 1.2),
        ((1.0, math.inf), (1.4, -3.0), 1e-3, 1.2),  # a value without end says nothing of where it ends
        ((1.0, -3.0), (1.4, math.inf), 1e-3, 1.2),
    ],
)
def test_the_next_place_to_look(
    one: tuple[float, float], other: tuple[float, float], finest: float, place: float
) -> None:
    assert _between(one, other, finest) == pytest.approx(place, abs=1e-9)


@pytest.mark.parametrize(
    ("before", "exact", "whole", "found"),
    [
        (0.08, 0.095473, False, [0.0955, 0.09548, 0.095473]),
        (10.0, 9.8765, False, [9.876, 9.8765, 9.8765]),  # 9.87 would be 5.3 % further
        (-4.0, -5.4321, False, [-5.44, -5.433, -5.4321]),
        (1000.0, 1000.01234567891234, False, [1000.0124, 1000.01235, 1000.01234567891234]),
        (5.0, 7.2, True, [8.0]),
        (12.0, 7.8, True, [7.0]),
    ],
)
def test_few_digits_just_beyond(before: float, exact: float, whole: bool, found: list[float]) -> None:
    assert _shorter(before, exact, whole=whole) == found


def asked_of(start: float, verdicts: dict[float, Verdict], field: str = "stop_strength_n") -> list[float]:
    """The numbers that a search asks a check for, which passes but where the table says something else."""
    asked: list[float] = []

    @check("test.asked", formula="x", source="x", limit=1.0)
    def made(stop_strength_n: float, limit: float = 1.0) -> Finding:
        asked.append(round(stop_strength_n, 9))
        return Finding(stop_strength_n, verdicts.get(asked[-1], "PASS"), limit)

    of = case(**{field: start})
    search = Search(of)
    search.nearest(made, search.tried(made), lambda verdict: verdict == "FAIL")
    return asked


def test_factors_are_tried_outward_in_rings() -> None:
    assert asked_of(1.0, {}) == [0.8, 1.2, 0.1, 1.9, 10.0]
    assert asked_of(2.0, {}) == [1.6, 2.4, 0.2, 3.8, 20.0]


def test_without_an_answer_the_way_back_is_halved_five_times() -> None:
    nothing: Verdict = "NOT CHECKED"
    silent = dict.fromkeys((1.2, 1.1, 1.05, 1.025, 1.0125), nothing)
    assert asked_of(1.0, silent) == [0.8, 1.2, 1.1, 1.05, 1.025, 1.0125, 0.1, 1.9, 10.0]
    assert asked_of(1.0, {1.2: nothing}) == [0.8, 1.2, 1.1, 0.1, 1.9, 10.0]


def test_a_crossing_ends_the_search_with_its_ring() -> None:
    asked = asked_of(1.0, {1.2: "FAIL"})
    assert asked[:2] == [0.8, 1.2]
    assert all(1.0 <= number <= 1.2 for number in asked[2:])
    assert len(asked) < 40


def test_another_number_is_asked_first_at_the_change_that_is_to_be_beaten() -> None:
    """One flips at 1.15, and so the other, which flips at 1.18, is asked there, and no more."""
    asked: list[float] = []

    @check("test.beaten", formula="x", source="x", limit=1.0)
    def beaten(stop_strength_n: float, carried_mass_kg: float, limit: float = 1.0) -> Finding:
        if stop_strength_n != 1.0:
            asked.append(stop_strength_n)
        return at_most(2.0 if carried_mass_kg >= 1.15 or stop_strength_n >= 1.18 else 0.0, limit)

    of = case(stop_strength_n=1.0, carried_mass_kg=1.0)
    search = Search(of)
    dials = sorted(search.tried(beaten), key=lambda dial: dial.name)  # the mass before the strength
    found = search.nearest(beaten, dials, lambda verdict: verdict == "FAIL")
    assert found is not None
    assert found.field == "motion.mass"
    assert asked == [0.8, 1.2, pytest.approx(1.15, abs=2e-4)]

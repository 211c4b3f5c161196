"""What can be varied: every number once, within its field's range, with everything that follows from it."""

from __future__ import annotations

from pathlib import Path

import pytest

from calcs.case import Case, LoadCase, Push, Value, case_of
from calcs.case_fields import FIELDS, STATION_FIELDS
from calcs.check import known_checks, run_check
from calcs.variation import (
    NOT_THE_DESIGNERS,
    SHAPING,
    Dial,
    dials_of,
    obeys_rules,
    turned,
    varied,
)
from geometry.design import Design, read, read_text
from geometry.units import Band, Span

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
EVERYTHING = frozenset({"design", "arrangement", "screw_solid", *STATION_FIELDS, *FIELDS})


@pytest.fixture(scope="module")
def design() -> Design:
    return read(DEMO)


@pytest.fixture(scope="module")
def case(design: Design) -> Case:
    return case_of(design)


def dial(case: Case, field: str) -> Dial:
    (found,) = [d for d in dials_of(case) if d.field == field]
    return found


def test_every_number_is_there_once_in_the_unit_of_the_trade(case: Case) -> None:
    fields = [d.field for d in dials_of(case)]
    assert len(fields) == len(set(fields)) > 60
    speed = dial(case, "motion.speed")
    assert (speed.value, speed.shown, speed.scale, speed.given) == (0.025, "mm/s", 1e-3, True)
    assert dial(case, "motion.cycles").whole
    assert not speed.whole


def test_a_band_turns_at_each_end_in_order_and_as_a_whole(case: Case) -> None:
    low, usual, high = (dial(case, f"nut.friction.{end}") for end in ("low", "nominal", "high"))
    assert low.words == "nut.friction low end"
    assert usual.words == "nut.friction usual value"
    assert low.factors == (0.1, pytest.approx(0.15 / 0.08))
    assert usual.factors == (pytest.approx(0.08 / 0.15), pytest.approx(0.20 / 0.15))
    assert high.factors == (pytest.approx(0.15 / 0.20), 10.0)
    assert low.put(0.1) == Band(0.1, 0.15, 0.20)
    whole = dial(case, "nut.friction")
    assert whole.put(0.30) == pytest.approx((0.16, 0.30, 0.40))
    assert dial(case, "guide.friction").put(0.02) == Band(0.02, 0.02, 0.02)


def test_a_field_keeps_its_range(case: Case) -> None:
    assert dial(case, "nut.area_factor").factors == (0.1, 2.0)
    assert dial(case, "gears.efficiency.high").factors[1] == pytest.approx(1.0 / 0.9)
    assert dial(case, "gears.efficiency").factors[1] == pytest.approx(1.0 / 0.9)


def test_the_end_of_a_range_is_called_so_and_zero_cannot_be_turned(case: Case) -> None:
    assert dial(case, "motion.stroke.high").words == "motion.stroke high end"
    assert not [d for d in dials_of(case) if d.field == "motion.stroke.low"]


def test_a_negative_number_turns_away_from_zero_too(case: Case) -> None:
    low = dial(case, "motion.hard_stops.low")
    assert (low.value, low.factors) == (-0.004, (0.1, 10.0))


def test_loads_and_chains_turn_inside_their_records(case: Case) -> None:
    force = dial(case, "load_case[0].forces[0].force")
    assert force.put(9.0)[0].pushes[0].force_n == 9.0
    warm = dial(case, "load_case[0].ambient.high")
    assert (warm.words, warm.put(50.0)[0].ambient_c) == ("load_case[0].ambient high end", (5.0, 50.0))
    link = dial(case, "tolerance.links[1].length")
    assert [round(x.nominal_m, 4) for x in link.put(0.02)] == [0.108, 0.02, 0.016, 0.012, 0.064]


def test_an_assumed_load_case_and_a_load_of_zero_are_no_dials() -> None:
    text = DEMO.read_text(encoding="utf-8")
    silent = text.replace('force = "8 N"', 'force = "0 N"').replace('"5..35 degC"', '"0..35 degC"')
    fields = {d.field for d in dials_of(case_of(read_text(silent)))}
    assert "load_case[0].ambient.high" in fields
    assert not fields & {"load_case[0].forces[0].force", "load_case[0].ambient.low"}
    no_case = text.replace("[[load_case]]", "[[load_case_x]]")
    start = no_case.index("[[load_case_x]]")
    bare = no_case[:start] + no_case[no_case.index("[screw]") :]
    assert not [d for d in dials_of(case_of(read_text(bare))) if d.name == "load_cases"]


def test_what_the_world_asks_is_not_the_designers(case: Case) -> None:
    assert not dial(case, "load_case[0].forces[0].force").designers
    assert not dial(case, "motion.step").designers
    assert dial(case, "motion.speed").designers
    assert all(NOT_THE_DESIGNERS.values())


def test_a_default_is_no_given_input() -> None:
    text = DEMO.read_text(encoding="utf-8").replace("bend_factor = 4 ", "# ")
    factor = dial(case_of(read_text(text)), "service.cable.bend_factor")
    assert (factor.value, factor.designers) == (6.0, False)


def test_a_case_made_by_hand_can_be_varied_without_a_design() -> None:
    made = Case({"nut_length_m": Value(0.016, "given", "nut.length")})
    (length,) = dials_of(made)
    changed = varied(made, length, 0.02, frozenset({"nut_length_m", "arrangement"}))
    assert changed.find("nut_length_m") == Value(0.02, "given", "nut.length")
    assert made.find("nut_length_m") == Value(0.016, "given", "nut.length")
    assert turned(made, length, 0.02) is None


@pytest.mark.parametrize("field", [
    "motion.speed", "nut.friction.low", "nut.friction", "motion.stroke.high", "screw.length", "nut.position",
    "nut.length", "motor.diameter", "motor.length", "service.cable.diameter", "service.cable.straight",
    "service.cable.bend_factor", "motor.encoder.counts", "supply.voltage.low",
])  # fmt: skip
def test_a_varied_case_is_the_case_of_the_varied_design(design: Design, case: Case, field: str) -> None:
    """Every row, number for number: nothing that follows from the number is left as it was."""
    at = dial(case, field)
    for known in known_checks():
        case_of_all = [case.reach(name) for name in known.names]
        reach = frozenset().union(*case_of_all)
        if at.name not in reach and not reach & {"design", *STATION_FIELDS}:
            continue
        number = at.value * 1.25 if at.factors[1] > 1.25 else at.value * 0.9
        redone = turned(case, at, number)
        assert redone is not None
        wanted, found = (run_check(known, c) for c in (case_of(redone), varied(case, at, number, reach)))
        assert found.value == (
            wanted.value if wanted.value is None else pytest.approx(wanted.value, rel=1e-9)
        )
        assert (found.verdict, found.note) == (wanted.verdict, wanted.note), known.id


def test_what_shapes_bodies_is_known_to_do_so(design: Design, case: Case) -> None:
    """A number that changes what is derived from the design itself stands in SHAPING."""
    readers = {n: d for n, d in case._derivations.items() if "design" in d.signature.names}
    for at in dials_of(case):
        redone = turned(case, at, at.value * (1.1 if at.factors[1] >= 1.1 else 0.9))
        if redone is None:
            continue
        other = case_of(redone)
        changed = {
            name
            for name in (*readers, *STATION_FIELDS)
            if at.name not in case.reach(name) and str(case.find(name)) != str(other.find(name))
        }
        known = SHAPING.get(at.name, frozenset())
        assert all(case.reach(name) & known for name in changed), (at.field, changed)


def test_the_rules_between_sections_are_asked(design: Design, case: Case) -> None:
    assert obeys_rules(design)
    beyond = turned(case, dial(case, "motion.stroke.high"), 0.070)
    assert beyond is not None
    assert not obeys_rules(beyond)


def test_a_band_from_zero_turns_at_its_other_ends_only() -> None:
    made = Case({"friction": Value(Band(0.0, 0.1, 0.2), "given", "nut.friction")})
    assert [d.field for d in dials_of(made)] == ["nut.friction.nominal", "nut.friction.high"]


def test_a_load_among_others_turns_alone() -> None:
    pushes = tuple(Push(0.0, 0.01, force) for force in (1.0, 2.0, 3.0))
    loads = tuple(LoadCase(name, 1.0, 0.0, pushes, Span(5.0, 35.0), "") for name in "abc")
    made = Case({"load_cases": Value(loads, "given", "load_case")})
    found = {d.field: d for d in dials_of(made)}
    assert len(found) == 3 * (3 + 2)
    turned_loads = found["load_case[1].forces[1].force"].put(9.0)
    forces = [[push.force_n for push in load.pushes] for load in turned_loads]
    assert forces == [[1.0, 2.0, 3.0], [1.0, 9.0, 3.0], [1.0, 2.0, 3.0]]
    assert [load.name for load in turned_loads] == ["a", "b", "c"]
    warm = found["load_case[1].ambient.low"].put(-9.0)
    assert [load.ambient_c for load in warm] == [Span(5.0, 35.0), Span(-9.0, 35.0), Span(5.0, 35.0)]
    assert found["load_case[2].forces[0].force"].factors == (0.1, 10.0)


def test_a_band_turns_in_proportion_as_far_as_both_its_ends_may() -> None:
    made = Case({"given_gear_efficiency": Value(Band(0.5, 0.6, 0.8), "given", "gears.efficiency")})
    whole = dial(made, "gears.efficiency")
    assert whole.factors == (0.1, pytest.approx(1.0 / 0.8))
    assert (whole.value, whole.words) == (0.6, "gears.efficiency, all of the band in proportion, usual value")
    small = Case({"friction": Value(Band(0.01, 0.02, 0.03), "given", "nut.friction")})
    assert dial(small, "nut.friction").put(0.04) == pytest.approx((0.02, 0.04, 0.06))
    assert dial(small, "nut.friction.high").factors == (pytest.approx(2.0 / 3.0), 10.0)


def test_a_band_of_one_number_turns_as_one() -> None:
    made = Case({"guide_friction": Value(Band(0.01, 0.01, 0.01), "given", "guide.friction")})
    assert [d.field for d in dials_of(made)] == ["guide.friction"]
    zero = Case({"guide_friction": Value(Band(0.0, 0.0, 0.0), "given", "guide.friction")})
    assert dials_of(zero) == ()


def test_a_design_with_a_number_turned_keeps_the_rest_of_its_range(case: Case) -> None:
    for field, wanted in (
        ("motion.hard_stops.low", (-4.4, 64.0)),
        ("motion.hard_stops.high", (-4.0, 70.4)),
        ("motion.stroke.high", (-4.0, 64.0)),
    ):
        at = dial(case, field)
        redone = turned(case, at, at.value * 1.1)
        assert redone is not None
        assert redone.motion.hard_stops is not None
        assert tuple(redone.motion.hard_stops) == pytest.approx(wanted)
    for field, wanted in (
        ("nut.friction.low", (0.088, 0.15, 0.20)),
        ("nut.friction.nominal", (0.08, 0.165, 0.20)),
        ("nut.friction", (0.088, 0.165, 0.22)),
    ):
        at = dial(case, field)
        redone = turned(case, at, at.value * 1.1)
        assert redone is not None
        assert tuple(redone.nut.friction) == pytest.approx(wanted)

"""Rows that do not apply to a design say so and ask for nothing; a stepper is judged as one."""

from __future__ import annotations

import math

import pytest
from demo_rows import DEMO, changed, given, rows

from calcs.case import case_of
from calcs.check import finding_of, known_checks, overall
from calcs.checks import applies
from geometry.design import read_text

BALLS = (
    ("Tr8x1.5", "Ball8x2"),
    ('friction = "0.08..0.15..0.20"', 'friction = "0.003..0.005..0.010"'),
)
LINE = ("resistance = ", "torque_constant = ", "no_load_current = ")
NO_LINE = tuple((name, f"# {name}") for name in LINE)
TABLE = given(
    "motor",
    'torque_table = [{ speed = "0 rpm", torque = "40 mN*m" }, { speed = "6000 rpm", torque = "10 mN*m" }]',
    "steps = 200",
    'current_continuous = "0.4 A"',
)
STEPPER = (('kind = "brushed"', 'kind = "stepper"'), TABLE, *NO_LINE[1:])


def test_balls_are_not_asked_of_a_sliding_nut_nor_sliding_of_balls() -> None:
    sliding, rolling = rows(), rows(*BALLS)
    for checked in known_checks():
        if checked.unless == "no_balls":
            row, other = sliding[checked.id], rolling[checked.id]
            assert row.note == "a sliding nut has no balls"
        elif checked.unless == "no_sliding":
            row, other = rolling[checked.id], sliding[checked.id]
            assert row.note == "balls roll between screw and nut: see life.balls"
        else:
            continue
        assert (row.verdict, row.value, row.remedy, row.missing) == ("INFO", None, "", ())
        assert other.note != row.note


def test_a_thread_of_its_own_with_rated_balls_rolls_too() -> None:
    assert rows(given("nut", 'balls = { dynamic_load = "1 kN" }'))["life.balls"].verdict == "PASS"


def test_without_a_rod_there_is_no_row_of_one() -> None:
    assert rows()["strength.rod_buckling"].note == "no [push_rod]"
    assert rows()["guide.rod_play"].note == "no [push_rod]"


def test_a_screw_that_travels_is_no_column_up_to_its_bearing() -> None:
    def reasons(travels: str, turns: str, rod: float | None = None) -> tuple[str, str, str]:
        return (
            applies.no_column.function(travels),
            applies.no_drawn_out.function(travels, rod),
            applies.no_whirl.function(turns),
        )

    one_column, still = "screw and rod are one column: see strength.rod_buckling", "the screw does not turn"
    beside = "the nut travels: see strength.buckling"
    assert reasons("nut", "screw") == ("", beside, "")
    assert reasons("nut", "nut", 0.1) == ("", beside, still)
    assert reasons("screw", "nut") == ("the screw travels: see strength.drawn_out", "", still)
    assert reasons("screw", "nut", 0.1)[1] == one_column


def test_a_stepper_is_judged_by_its_table() -> None:
    found = rows(*STEPPER)
    assert overall(found.values()) == "FAIL"  # its winding
    line = {c.id for c in known_checks() if c.unless in ("no_line", "no_line_given")}
    assert len(line) == 13
    assert {found[id].note for id in line} == {"a stepper has no torque line: see motor.table_margin"}
    assert found["motor.table_margin"].value.low == pytest.approx(20.0 / 5.12, rel=0.01)  # type: ignore[union-attr]  # a band
    assert found["stops.control_lost"].note == "a stepper turns no faster than it is stepped"
    assert found["motor.effective_current"].note.startswith("a stepper's driver holds its current")


def test_a_stepper_pushes_with_its_pull_out_torque_at_rest() -> None:
    found, brushed = rows(*STEPPER), rows()
    stall = brushed["stops.slow_stall"].value.nominal / 14.22  # type: ignore[union-attr]  # a band
    assert found["stops.slow_stall"].value.nominal == pytest.approx(40.0 * stall, rel=1e-3)  # type: ignore[union-attr]  # a band
    assert found["stops.jam_release"].limit == pytest.approx(40.0)
    limited = rows(*STEPPER, given("stops", 'current_limit = "0.2 A"'))
    assert limited["stops.slow_stall"].value.nominal == pytest.approx(20.0 * stall, rel=1e-3)  # type: ignore[union-attr]  # a band


def test_a_stepper_heats_with_both_phases_all_the_time() -> None:
    found = changed(*STEPPER).find("heating_current_a")
    assert found is not None
    assert found.value == pytest.approx(0.4 * math.sqrt(2.0))
    row = rows(*STEPPER)["motor.winding"]
    loss = 2.0 * 0.4**2 * 9.5 * 36.0
    rise = (loss + loss * 0.00393 * 10.0) / (1.0 - loss * 0.00393)
    assert row.value == pytest.approx(35.0 + rise)
    assert "both phases" in row.note
    assert row.remedy == "less current or a larger motor"
    open_ = rows(*STEPPER, ('current_continuous = "0.4 A"', "#"))["motor.winding"]
    assert open_.verdict == "NOT CHECKED"


def test_a_brushless_motor_by_its_table_alone_is_judged_by_it() -> None:
    found = rows(('kind = "brushed"', 'kind = "brushless"'), TABLE, *NO_LINE)
    assert (
        found["motor.dynamic_margin.warm"].note == "the motor is given by its table: see motor.table_margin"
    )
    assert found["motor.table_margin"].verdict == "PASS"
    assert rows()["motor.table_margin"].note == "the motor is given by its line: see motor.dynamic_margin"


def test_one_body_weighs_and_two_weigh() -> None:
    light = ('mass = "390 g"                 # with gripper and vial', 'mass = "300 g"')
    assert "flag weigh 360 g, motion.mass is 450 g" in rows(light)["mass.moving"].note


def test_without_a_seal_there_are_no_bellows() -> None:
    assert rows()["travel.bellows_extended"].note == "no [seal]"
    assert rows()["travel.bellows_retracted"].note == "no [seal]"


@pytest.mark.parametrize(
    ("size", "words"),
    [('frame = "NEMA 8"', "its size is that of a NEMA 8 frame"), ('square = "16 mm"', "a square motor")],
)
def test_a_square_motor_is_not_asked_for_its_diameter(size: str, words: str) -> None:
    found = rows(('kind = "brushed"\ndiameter = "16 mm"', f'kind = "brushed"\n{size}'))
    assert found["plausible.motor_size"].note == words
    assert found["plausible.motor_torque"].note == words


def test_a_search_finds_nothing_on_a_check_of_another_kind_of_nut() -> None:
    case = case_of(read_text(DEMO))
    checks = {check.id: check for check in known_checks()}
    assert finding_of(checks["life.balls"], case) is None  # its nut slides
    assert finding_of(checks["life.pressure"], case) is not None


@pytest.mark.parametrize("kind", ["brushed", "brushless", "stepper"])
def test_a_row_that_waits_names_fields_that_people_can_give(kind: str) -> None:
    found = rows(*NO_LINE, ('kind = "brushed"', f'kind = "{kind}"')).values()
    waiting = {field for row in found for field in row.missing}
    assert waiting
    assert not [field for field in waiting if field.startswith("what gives")]


BARE_STEPPER = (*NO_LINE, ('kind = "brushed"', 'kind = "stepper"'), ("counts = ", "# counts = "))


def test_a_stepper_is_asked_for_what_a_stepper_has() -> None:
    waiting = {id: row.missing for id, row in rows(*BARE_STEPPER).items() if row.missing}
    assert waiting["travel.step"] == ("motor.steps",)
    assert {"motor.torque_table", "motor.current_continuous"} <= set(waiting["stops.slow_stall"])
    assert waiting["motor.winding"][0] == "motor.current_continuous"
    assert not [id for id, fields in waiting.items() if "motor.torque_constant" in fields]


def test_another_motor_is_not_asked_for_what_a_stepper_has() -> None:
    found = rows(*NO_LINE, ("counts = ", "# counts = "))
    waiting = {id: row.missing for id, row in found.items() if row.missing}
    assert waiting["travel.step"] == ("motor.encoder.counts",)
    assert "motor.torque_constant" in waiting["motor.winding"]
    named = {field for fields in waiting.values() for field in fields}
    assert not named & {"motor.current_continuous", "motor.steps"}

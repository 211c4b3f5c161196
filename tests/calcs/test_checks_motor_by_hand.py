"""Motor, margins, winding and life called with numbers done by hand."""

from __future__ import annotations

import math
from math import pi
from types import SimpleNamespace

import pytest
from hand import edges, found, same

from calcs.case import LoadCase, Push
from calcs.check import Check
from calcs.checks import (
    bearing,
    cycle,
    margins,
    motor,
    motor_life,
    motor_table,
    winding,
    winding_peak,
)
from calcs.checks.drive import ONE, AxialForces
from geometry.units import Band

# 4 ohm, 0.05 N*m/A, 0.2 A no-load, 12 V: 0.14 N*m at rest, 0.09 at 80 rad/s
LINE = motor.MotorLine(4.0, 0.05, 0.2, Band(10.0, 12.0, 14.0))


def test_a_motors_line_with_its_winding_and_its_limit() -> None:
    assert LINE.torque_nm(12.0) == pytest.approx(0.14)
    assert LINE.torque_nm(12.0, 80.0) == pytest.approx(0.09)
    hot = 25.0 + 0.25 / 0.00393  # a quarter more resistance: 12 / 5 - 0.2
    assert LINE.resistance_at(hot) == pytest.approx(5.0)
    assert LINE.torque_nm(12.0, 0.0, hot) == pytest.approx(0.11)
    assert LINE.limited(1.2).torque_nm(12.0) == pytest.approx(0.05)
    assert LINE.limited(1.2).limited(9.0).current_limit_a == 1.2
    assert LINE.speed_rad_s(12.0, 0.09) == pytest.approx(80.0)
    assert str(LINE) == "4 ohm, 50 mN*m/A, 0.2 A no-load, 12 V"
    assert str(LINE.limited(1.2)).endswith("12 V, at most 1.2 A")
    assert motor.no_load_speed_rad_s.function(LINE) == pytest.approx(224.0)
    torques = {
        motor.available_torque_nm: (0.09, 80.0),
        motor.low_supply_torque_nm: (0.065, 80.0),  # (10 - 4) / 4 - 0.2 = 1.3 A
        motor.stall_torque_nm: (0.14,),
        motor.low_supply_stall_torque_nm: (0.115,),
        motor.warm_torque_nm: (0.05, 80.0, hot),  # 6 / 5 - 0.2
        motor.warm_stall_torque_nm: (0.09, hot),
    }
    for derivation, (wanted, *more) in torques.items():
        assert derivation.function(LINE, *more) == pytest.approx(wanted)


def test_a_motors_constants_from_what_is_given() -> None:
    assert motor.resistance_ohm.function(4.0) == 4.0
    assert motor.resistance_ohm.function(None, 12.0, 3.0) == 4.0
    assert motor.resistance_ohm.function(None, 12.0) is None
    assert motor.no_load_current_a.function(0.2) == 0.2
    assert motor.no_load_current_a.function(None, "stepper") == 0.0
    constant = motor.torque_constant_nm_a.function
    assert constant(0.05) == 0.05
    assert constant(None, 0.14, 3.0, 0.2) == pytest.approx(0.05)
    assert constant(None, None, None, 0.2, 224.0, 12.0, 4.0) == pytest.approx(0.05)
    assert constant(None, None, None, 0.2, 224.0, 12.0) is None
    table = (SimpleNamespace(speed=0.0, torque=0.3), SimpleNamespace(speed=100.0, torque=0.1))
    assert constant(motor_kind="stepper", torque_table=table, continuous_current_a=1.5) == pytest.approx(0.2)
    assert constant(motor_kind="stepper", torque_table=table) is None
    made = motor.motor_line.function
    assert made(4.0, 0.05, 0.2, same(12.0), 3.0).current_limit_a == 3.0
    assert made(4.0, 0.05, 0.2, same(12.0), 3.0, "stepper", 1.5).current_limit_a == 1.5
    assert made(4.0, 0.05, 0.2, same(12.0), 3.0, "brushed", 1.5).current_limit_a == 3.0


def test_what_the_motor_needs() -> None:
    # 20 mm/s on 5 mm of lead: 8 pi rad/s, four times that at the motor
    assert motor.motor_speed_rad_s.function(0.02, 0.005, 4.0) == pytest.approx(32.0 * pi)
    assert motor.turning_inertia_kg_m2.function(1e-6, 2e-6, 4e-6, "screw") == pytest.approx(7e-6)
    assert motor.turning_inertia_kg_m2.function(1e-6, 2e-6, 4e-6, "motor") == pytest.approx(3e-6)
    assert motor.rotor_inertia_kg_m2.function(1e-6, 2e-6, 4e-6, "motor") == pytest.approx(7e-6)
    assert motor.rotor_inertia_kg_m2.function(1e-6, 2e-6, 4e-6, "screw") == pytest.approx(3e-6)
    for inertia, part in ((motor.turning_inertia_kg_m2, "screw"), (motor.rotor_inertia_kg_m2, "motor")):
        assert inertia.function(1e-6, brake_on=part) == 1e-6  # a brake whose inertia is not given
    torque, eta = Band(2.0, 3.0, 6.0), Band(0.5, 0.75, 0.8)
    assert motor.load_torque_nm.function(torque, 4.0, eta) == pytest.approx(1.0)
    assert motor.worst_load_torque_nm.function(torque, 4.0, eta) == pytest.approx(3.0)
    # 0.5 m/s2 on 5 mm: 200 pi rad/s2; (2e-6 + 24e-6 / 16 / 0.75) * 4 is 16e-6, with 0.5 20e-6
    turning = (2e-6, 24e-6, 4.0, eta, 0.5, 0.005)
    assert motor.needed_torque_nm.function(1.0, *turning) == pytest.approx(1.0 + 0.0032 * pi)
    assert motor.worst_needed_torque_nm.function(3.0, *turning) == pytest.approx(3.0 + 0.004 * pi)
    assert motor.working_current_a.function(0.09, 0.05, 0.2) == pytest.approx(2.0)


def test_rows_of_the_motor() -> None:
    row = found(motor.torque, 0.09, 0.08, 0.12)
    assert (
        row.note == "80.00 mN*m of it against the load; 120.00 mN*m at the worst friction and gear efficiency"
    )
    assert found(motor.speed, 80.0).verdict == found(motor.current, 2.0).verdict == "INFO"
    edges(motor.speed, 80.0, 80.0)
    edges(motor.current, 2.0, 2.0)
    assert found(motor.current, 2.0, 1.5).remedy == "supply.current_limit of 2 A or more"
    # 2 A on 4 ohm and 0.05 * 60 pi: 17.42 V; 12 V leave 4 V: 80 rad/s over 4 on 5 mm are 15.9 mm/s
    numbers = (2.0, 4.0, 0.05, 60.0 * pi, Band(10.0, 12.0, 14.0), 0.005, 4.0)
    row = found(motor.voltage, *numbers)
    assert (row.verdict, row.value, row.limit) == ("FAIL", pytest.approx(8.0 + 3.0 * pi), 12.0)
    assert row.note == "at 1800 rpm"
    assert row.remedy == "a supply of 17.4 V or more, or a speed of 15.9 mm/s or less"
    assert found(motor.voltage, *numbers, 7.0).remedy == "a supply of 17.4 V or more"
    assert found(motor.voltage, *numbers, 18.0).verdict == "PASS"


@pytest.mark.parametrize("limit", [1.25, 2.0])
def test_margins_of_torque(limit: float) -> None:
    dynamic = (margins.dynamic_nominal, margins.dynamic_friction, margins.dynamic_supply)
    static = (margins.static_nominal, margins.static_friction, margins.static_supply, margins.static_warm)
    at_speed: tuple[object, ...] = (0.08, LINE, 80.0) if limit == 1.25 else (LINE,)
    for check in dynamic if limit == 1.25 else static:
        assert check.limit == limit
        for available, verdict in ((0.0801 * limit, "PASS"), (0.0799 * limit, "FAIL")):
            row = found(check, available, 0.08, *at_speed)
            assert (row.verdict, row.value) == (verdict, pytest.approx(available / 0.08))
        assert row.note == f"{available * 1e3:.2f} mN*m for 80.00 mN*m"
        assert row.remedy.startswith(f"{80.0 * limit:g} mN*m would pass")
        assert found(check, 0.1, 0.0, *at_speed).value == math.inf


def test_the_winding_at_which_the_margin_is_just_reached() -> None:
    # cold 0.09 / 0.05 + 0.2 = 2 A; asked 1.25 * 0.056 / 0.05 + 0.2 = 1.6 A: a quarter more resistance
    row = found(margins.dynamic_warm, 0.08, 0.056, 0.056, 0.09, LINE, 80.0, 30.0)
    assert row.note.endswith(f"; 1.25 is reached with the winding at {25.0 + 0.25 / 0.00393:.1f} degC")
    never = found(margins.dynamic_warm, 0.08, 0.08, 0.08, 0.09, LINE, 80.0, 30.0)  # 2.2 A asked of 2
    assert "is reached" not in never.note


@pytest.mark.parametrize(
    ("speed", "needed", "load", "words"),
    [
        # LINE gives 0.14 - 0.000625 w at 12 V: 56 % more torque for each more ratio at 40, less at 200
        (40.0, 0.12, 0.12, "more ratio, "),  # times 1.5: 0.1025 against 1.25 * 0.08
        (40.0, 0.12, 0.04, ""),  # two thirds are the rotor's ramp: at 1.2 times 0.11 against 0.16
        (40.0, 0.12, 0.0, "less ratio, "),  # all ramp: at 1 / 1.2 0.119 against 1.25 * 0.1
        (200.0, 0.02, 0.02, "less ratio, "),  # at 1 / 1.2 0.036 against 0.03
        (260.0, 0.02, 0.02, "less ratio, "),  # beyond the no-load speed of 224
        (200.0, 0.08, 0.08, ""),
    ],
)
def test_another_ratio_is_named_only_where_it_would_do(
    speed: float, needed: float, load: float, words: str
) -> None:
    other = "a longer motor, more supply voltage, or a lower speed"
    torque = LINE.torque_nm(12.0, speed)
    row = found(margins.dynamic_nominal, torque, needed, load, LINE, speed)
    assert row.verdict == "FAIL"
    assert row.remedy == f"{needed * 1250.0:g} mN*m would pass: {words}{other}"


def test_the_ratio_follows_from_the_corner_of_its_row() -> None:
    # at 150 rad/s the best of k (0.14 - 0.000625 * 150 k) is 0.0523, at 10 V 0.0353, there with 5 ohm 0.027
    def advised(check: Check, needed: float, *winding: float) -> bool:
        given = (0.001, needed, needed, *((0.002,) if winding else ()))
        return "less ratio" in found(check, *given, LINE, 150.0, *winding).remedy

    hot = 25.0 + 0.25 / 0.00393
    assert advised(margins.dynamic_friction, 0.038)  # 1.25 times it is 0.0475
    assert not advised(margins.dynamic_supply, 0.038)
    assert advised(margins.dynamic_supply, 0.027)  # 0.03375
    assert advised(margins.dynamic_warm, 0.027, 25.0)
    assert not advised(margins.dynamic_warm, 0.027, hot)


def test_another_ratio_is_looked_for_to_ten_times() -> None:
    # flat torque and no ramp: the margin is the ratio's, 1.1 ** 24 = 9.85 times at most
    assert margins.speed_fault(lambda _: 1.0, 1.0, 9.8, 9.8, 1.0, "else") == "more ratio, else"
    assert margins.speed_fault(lambda _: 1.0, 1.0, 9.9, 9.9, 1.0, "else") == "else"


def test_a_current_limit_that_holds_a_motor_back_is_what_helps() -> None:
    # at 1.2 A 0.05 N*m, whatever the voltage; the line itself gives 0.115 at 40 rad/s and 0.14 at rest
    limited, other = LINE.limited(1.2), "a higher current limit or a longer motor"
    row = found(margins.dynamic_nominal, 0.05, 0.08, 0.08, limited, 40.0)
    assert row.remedy == f"100 mN*m would pass: more ratio, {other}"
    row = found(margins.static_nominal, 0.05, 0.08, limited)
    assert row.remedy == f"160 mN*m would pass: more ratio, {other}"
    row = found(margins.static_nominal, 0.14, 0.08, LINE)
    assert row.remedy.endswith("more ratio, a longer motor, or more supply voltage")


TABLE = tuple(SimpleNamespace(speed=s, torque=t) for s, t in ((0.0, 0.3), (100.0, 0.2), (200.0, 0.04)))
LINES = motor_table.TorqueTable((0.0, 100.0, 200.0), (0.3, 0.2, 0.04))


def test_a_table_under_a_current_limit() -> None:
    made = motor_table.torque_over_speed.function
    assert made(TABLE) == made(TABLE, math.inf, "stepper") == LINES
    # a stepper on half its current has half its pull-out, no more than all of it
    assert made(TABLE, 0.5, "stepper", 1.0).torques_nm == pytest.approx((0.15, 0.1, 0.02))
    assert made(TABLE, 1.5, "stepper", 1.0) == LINES
    assert made(TABLE, 0.5, "stepper") is None
    # another motor at most what the current makes: (1.2 - 0.2) * 0.05
    assert made(TABLE, 1.2, "brushed", None, 0.05, 0.2).most_nm == pytest.approx(0.05)
    assert made(TABLE, 0.1, "brushed", None, 0.05, 0.2).most_nm == 0.0
    assert made(TABLE, 1.2, "brushed", None, 0.05) is None
    assert made(TABLE, 1.2, "brushed", None, None, 0.2) is None
    limited = LINES._replace(most_nm=0.05)
    assert [limited.at_nm(speed) for speed in (0.0, 100.0, 200.0)] == [0.05, 0.05, 0.04]
    assert str(LINES) == "0 rpm 300 mN*m, 954.9 rpm 200 mN*m, 1910 rpm 40 mN*m"
    assert str(limited).endswith("; at most 50 mN*m")


def test_a_motor_must_get_up_to_its_speed() -> None:
    dip = motor_table.TorqueTable((0.0, 50.0, 100.0), (0.2, 0.1, 0.3))
    assert [dip.up_to_nm(speed) for speed in (0.0, 25.0, 50.0, 75.0, 100.0)] == pytest.approx(
        [0.2, 0.15, 0.1, 0.1, 0.1]
    )
    weak = motor_table.TorqueTable((10.0, 50.0), (0.1, 0.3))  # before its first row as in it
    assert weak.up_to_nm(50.0) == 0.1
    row = found(motor_table.table_margin, 0.1, 0.04, 0.06, 0.06, dip, 75.0)
    assert row.note.endswith("; on its way up to speed it has less than there")
    assert "way up" not in found(motor_table.table_margin, dip.at_nm(25.0), 0.04, 0.06, 0.06, dip, 25.0).note


def test_a_motor_given_by_its_table_at_rest() -> None:
    for needed, verdict in ((0.149, "PASS"), (0.151, "FAIL")):
        row = found(motor_table.table_start, LINES, needed)
        assert (row.verdict, row.limit, row.value) == (verdict, 2.0, pytest.approx(0.3 / needed))
    assert row.note == "300.00 mN*m for 151.00 mN*m"
    stepper = found(motor_table.table_start, LINES, 1.0, "stepper")
    assert (stepper.verdict, stepper.value) == ("INFO", None)


def test_a_table_of_torque() -> None:
    at = motor_table.table_torque_nm.function
    speeds = (0.0, 50.0, 150.0, 200.0, 201.0)
    assert [at(LINES, s) for s in speeds] == pytest.approx([0.3, 0.25, 0.12, 0.04, 0.0])
    row = found(motor_table.table_margin, 0.12, 0.04, 0.06, 0.06, LINES, 60.0 * pi, "stepper")
    assert (row.verdict, row.limit) == ("PASS", 2.0)
    assert row.value == pytest.approx(Band(2.0, 3.0, 3.0))
    assert row.note == "pull-out: 120.00 mN*m for 40.00 mN*m, at worst 60.00 mN*m"
    other = found(motor_table.table_margin, 0.074, 0.04, 0.06, 0.06, LINES, 201.0)
    assert (other.verdict, other.limit) == ("FAIL", 1.25)
    assert other.note.startswith("table: ")
    assert other.note.endswith(f"; the table ends at {200.0 * 30.0 / pi:.0f} rpm")
    assert other.remedy.startswith("75 mN*m up to that speed would pass: less ratio")
    assert found(motor_table.table_margin, 0.1, 0.0, 0.0, 0.0, LINES, 1.0).value == Band(
        math.inf, math.inf, math.inf
    )


def test_a_steppers_corner_and_data_that_contradict() -> None:
    # 12 V / (3 mH * 2 A * 50) = 40 rad/s; at 10 pi rad/s 200 steps a turn are 1000 a second
    row = found(motor_table.stepper_corner, Band(12.0, 13.0, 14.0), 0.003, 2.0, 200, 10.0 * pi)
    assert row.value == pytest.approx(40.0)
    assert row.note.startswith("it runs at 0.79 of that with 1000 steps a second")
    for given, verdict in ((224.0, "PASS"), (204.0, "PASS"), (203.0, "WARN"), (249.0, "WARN")):
        row = found(motor_table.no_load_point, 12.0, 4.0, 0.05, 0.2, given)
        assert (row.verdict, row.value) == (verdict, pytest.approx(224.0 / given))
    assert f"of {11.2 / 249.0 * 1e3:.4g} mN*m/A would agree" in row.remedy  # (12 - 0.8) / 249


def test_current_over_a_cycle() -> None:
    # lead pi mm on d2 10 mm, flanks of 60 degrees at 0.15: 0.4 / 0.97 up, 0.2 / 1.03 down, on 5 mm
    rows = (AxialForces("up", 800.0, same(200.0)),)
    case = LoadCase("up", 1.0, 0.0, (Push(0.0, 0.02, 97.0),), None, "")
    thread = (0.01, 0.001 * pi, same(0.15), pi / 3.0)

    def amperes(screw_nm: float) -> float:
        return (screw_nm * 1.5 + 0.25) / (4.0 * 0.75) / 0.05 + 0.2

    up, pushed, down = amperes(2.0 / 0.97), amperes(2.0 / 0.97 + 0.2), amperes(0.6 / 1.03)
    # 60 mm at 0.2 m/s with 0.8 m/s2: 0.55 s a move, of which a ramp of 0.25 s and 0.1 s are pushed; the ramp
    # adds what 40 A have over the highest force of 1194 N, 194 N more than steady
    peak = amperes(2.0 / 0.97 + 0.4)
    collar = (same(0.0), 0.0)
    numbers = (same(1194.0), 40.0, *thread, 4.0, same(0.75), 0.05, 0.2)
    profiled = (same(1194.0), 0.0, 0.06, 0.2, 0.55, 0.8)
    parts = cycle.cycle_parts.function(rows, (case,), *profiled)
    grown = (same(1.5), same(0.25))
    legs = winding.heating_legs.function(parts, *numbers, *collar, *grown)
    flat = [number for leg in legs for number in leg]
    assert flat == pytest.approx([up, 0.2, pushed + 40.0 - peak, 0.1, 40.0, 0.25, down, 0.55])
    square = up**2 * 0.2 + (pushed + 40.0 - peak) ** 2 * 0.1 + 1600.0 * 0.25 + down**2 * 0.55
    assert winding.square_current_a2_s.function(legs) == pytest.approx(square)
    assert str(winding.Heating(0.8112, 2.5)) == "0.811 A for 2.5 s"
    # a collar of 0.12 on 30 mm: 1.8 mN*m a newton, up and down
    rubbing = winding.heating_legs.function(parts, *numbers, same(0.12), 0.03, *grown)
    assert rubbing[0].current_a == pytest.approx(amperes(2.0 / 0.97 + 1.8))
    assert rubbing[3].current_a == pytest.approx(amperes(0.6 / 1.03 + 0.6 * 1.8))
    bare = winding.heating_legs.function(parts, *numbers, same(0.12))
    assert bare[0].current_a == pytest.approx(2.0 / 0.97 / 3.0 / 0.05 + 0.2)  # a collar of no diameter
    # a load that drives against the drag: without friction 600 N turn the screw with 0.3 N*m, 0.25 drag
    free = (*numbers[:2], 0.01, 0.001 * pi, same(0.0), pi / 3.0, *numbers[6:])
    driving = winding.heating_legs.function(parts, *free, *collar, ONE, same(0.25))
    assert driving[3].current_a == pytest.approx((0.3 - 0.25) / 3.0 / 0.05 + 0.2)
    # of two load cases the one that heats more
    light = AxialForces("light", 80.0, same(20.0))
    both = cycle.cycle_parts.function((light, *rows), (case, case), *profiled)
    assert winding.heating_legs.function(both, *numbers, *collar, *grown) == legs
    assert winding.effective_current_a.function(18.0, 2.0) == 3.0


def test_heating_of_the_winding() -> None:
    assert winding.heating_current_a.function(2.0, "brushed", 3.0) == 2.0
    assert winding.heating_current_a.function(2.0, "stepper", 3.0) == pytest.approx(3.0 * math.sqrt(2.0))
    assert winding.heating_current_a.function(2.0, "stepper") is None
    # 0.25 A2 * 4 ohm * 50 K/W = 50 K; 50 (1 + 15 c) / (1 - 50 c), c of copper 0.00393
    heated = 40.0 + 50.0 * (1.0 + 15.0 * 0.00393) / (1.0 - 50.0 * 0.00393)
    assert winding.winding_c.function(0.5, 4.0, 30.0, 20.0, 40.0) == pytest.approx(heated)
    assert found(winding.effective_current, 2.0).verdict == "INFO"
    edges(winding.effective_current, 2.0, 2.0)
    for kind, word in (("brushed", "motion.cycle_time"), ("stepper", "less current")):
        assert word in found(winding.winding, 120.0, 1.0, 40.0, kind, 119.0).remedy
        assert found(winding.winding, 120.0, 1.0, 40.0, kind, 121.0).verdict == "PASS"
    runaway = found(winding.winding, math.inf, 1.0, 40.0, "brushed", 121.0)
    assert (runaway.verdict, runaway.note.split(":")[0]) == ("FAIL", "it gets ever hotter")
    assert winding.heating_current_a.function(2.0, "stepper", 3.0, 1.0) == pytest.approx(math.sqrt(2.0))


LEGS = (winding.Heating(0.8, 3.0), winding.Heating(1.8, 25.0), winding.Heating(0.1, 28.0))
HEATED = (5.0, 900.0, 6.0, 15.0, 12.0, 600.0, 45.0)  # ohm, cycle, K/W and s of winding and housing, ambient


def stepped_c(legs: tuple[winding.Heating, ...], rest_s: float) -> float:
    """Step the two bodies through a dozen cycles in 5 ms and give the winding's highest temperature."""
    resistance, _, winding_k_w, housing_k_w, winding_s, housing_s, ambient = HEATED
    winding_j_k, housing_j_k, step = winding_s / winding_k_w, housing_s / housing_k_w, 0.005
    inner = outer = ambient
    for _ in range(12):
        highest = inner
        for current, seconds in (*legs, (0.0, rest_s)):
            for _ in range(round(seconds / step)):
                loss = current**2 * resistance * (1.0 + 0.00393 * (inner - 25.0))
                flow = (inner - outer) / winding_k_w
                inner += step * (loss - flow) / winding_j_k
                outer += step * (flow - (outer - ambient) / housing_k_w) / housing_j_k
                highest = max(highest, inner)
    return highest


def test_the_winding_at_the_end_of_the_heavy_part() -> None:
    row = found(winding_peak.winding_peak, LEGS, *HEATED, 100.0)
    assert row.value == pytest.approx(stepped_c(LEGS, 844.0), abs=0.1)
    assert row.note == "0.8 A for 3 s; 1.8 A for 25 s; 0.1 A for 28 s; rest of 844 s"
    assert (row.verdict, row.remedy) == ("FAIL", "a larger motor: one cycle from cold heats it beyond that")
    edges(winding_peak.winding_peak, row.value, LEGS, *HEATED)
    idle = found(winding_peak.winding_peak, (winding.Heating(9.9, 0.0), *LEGS), *HEATED)
    assert (idle.value, idle.note) == (pytest.approx(row.value), row.note)  # a part of no time is none
    rested = found(winding_peak.winding_peak, LEGS, *HEATED, row.value - 1.0)
    assert rested.remedy == "a longer motion.cycle_time or a larger motor"
    # moves that take longer than the cycle leave no rest
    packed = found(winding_peak.winding_peak, LEGS, 5.0, 10.0, *HEATED[2:], 100.0)
    assert packed.note.endswith("rest of 0 s")
    assert packed.value == found(winding_peak.winding_peak, LEGS, 5.0, 56.0, *HEATED[2:], 100.0).value
    assert packed.value > 600.0  # 1.2 A all along on 21 K/W


def test_a_winding_that_is_always_heated_alike_is_as_warm_as_the_steady_one() -> None:
    # 0.5 A on 5 ohm, 21 K/W: 26.25 K at 25 degC
    steady = 45.0 + 26.25 * (1.0 + 0.00393 * 20.0) / (1.0 - 0.00393 * 26.25)
    same_all_along = (winding.Heating(0.5, 450.0), winding.Heating(0.5, 450.0))
    row = found(winding_peak.winding_peak, same_all_along, *HEATED, 100.0)
    assert row.value == pytest.approx(steady, rel=1e-9)
    ever = (winding.Heating(2.0, 900.0),)  # 420 K at 25 degC: 0.00393 of it is above 1
    assert found(winding_peak.winding_peak, ever, *HEATED, 100.0).value == math.inf


def test_hours_and_turns() -> None:
    assert motor_life.running_s.function(1000, 0.55) == pytest.approx(1100.0)
    edges(motor_life.motor_hours, 1100.0, 1100.0)
    edges(motor_life.motor_turns, 2000.0, 500.0, 4.0)
    edges(motor_life.gear_hours, 1100.0, 1100.0, True)
    assert found(motor_life.gear_hours, 1100.0, False).verdict == "INFO"
    edges(bearing.thrust_continuous, 6.0, Band(4.0, 5.0, 6.0))
    edges(bearing.thrust_peak, 6.0, 6.0, Band(3.0, 4.0, 5.0))
    for work, remedy in (
        (5.0, "a bearing for more thrust, or a supply.current_limit"),
        (5.1, "a bearing for more thrust"),
    ):  # the work alone is too much
        assert found(bearing.thrust_peak, 6.0, Band(3.0, 4.0, work), 5.0).remedy == remedy
    edges(bearing.life, 64e6, 2000.0, 500.0, low_passes=True)
    assert found(bearing.life, 1000.0, 500.0, 64e6).remedy == "ends.bearing_dynamic of 2000 N"

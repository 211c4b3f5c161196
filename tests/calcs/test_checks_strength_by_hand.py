"""Motor, winding, strength, materials, gears, rod and bellows called with numbers done by hand."""

from __future__ import annotations

import math
from math import pi
from types import SimpleNamespace

import numpy as np
import pytest

from calcs.case import ChainLink, LoadCase, Push
from calcs.check import Check
from calcs.checks import (
    accuracy,
    bearing,
    gearing,
    gearing_made,
    gearing_teeth,
    margins,
    motor,
    motor_life,
    motor_table,
    nut_material,
    push_rod,
    seal,
    strength,
    strength_mounting,
    thread_strength,
    tolerance,
    winding,
)
from calcs.checks.drive import AxialForces
from calcs.finding import Finding
from calcs.materials import Sliding
from geometry.bodies import Body, Cylinder, Shape
from geometry.units import Band


def same(value: float) -> Band:
    return Band(value, value, value)


def found(check: Check, *numbers: object, **named: object) -> Finding:
    finding = check.function(*numbers, **named)
    assert isinstance(finding, Finding)
    return finding


def edges(check: Check, value: float, *before: object, low_passes: bool = False) -> None:
    """Hold a check against limits one part in a thousand to both sides of its value, the last argument."""
    verdicts = [found(check, *before, value * share).verdict for share in (1.001, 0.999)]
    assert verdicts == (["FAIL", "PASS"] if low_passes else ["PASS", "FAIL"])


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
    for check in dynamic if limit == 1.25 else static:
        assert check.limit == limit
        for available, verdict in ((0.0801 * limit, "PASS"), (0.0799 * limit, "FAIL")):
            row = found(check, available, 0.08)
            assert (row.verdict, row.value) == (verdict, pytest.approx(available / 0.08))
        assert row.note == f"{available * 1e3:.2f} mN*m for 80.00 mN*m"
        assert row.remedy.startswith(f"{80.0 * limit:g} mN*m would pass")
        assert found(check, 0.1, 0.0).value == math.inf


def test_the_winding_at_which_the_margin_is_just_reached() -> None:
    # cold 0.09 / 0.05 + 0.2 = 2 A; asked 1.25 * 0.056 / 0.05 + 0.2 = 1.6 A: a quarter more resistance
    row = found(margins.dynamic_warm, 0.08, 0.056, 0.09, 0.2, 0.05)
    assert row.note.endswith(f"; 1.25 is reached with the winding at {25.0 + 0.25 / 0.00393:.1f} degC")
    never = found(margins.dynamic_warm, 0.08, 0.08, 0.09, 0.2, 0.05)  # 2.2 A asked of 2
    assert "is reached" not in never.note


TABLE = tuple(SimpleNamespace(speed=s, torque=t) for s, t in ((0.0, 0.3), (100.0, 0.2), (200.0, 0.04)))


def test_a_table_of_torque() -> None:
    at = motor_table.table_torque_nm.function
    speeds = (0.0, 50.0, 150.0, 200.0, 201.0)
    assert [at(TABLE, s) for s in speeds] == pytest.approx([0.3, 0.25, 0.12, 0.04, 0.0])
    row = found(motor_table.table_margin, 0.12, 0.04, 0.06, TABLE, 60.0 * pi, "stepper")
    assert (row.verdict, row.limit) == ("PASS", 2.0)
    assert row.value == pytest.approx(Band(2.0, 3.0, 3.0))
    assert row.note == "pull-out: 120.00 mN*m for 40.00 mN*m, at worst 60.00 mN*m"
    other = found(motor_table.table_margin, 0.074, 0.04, 0.06, TABLE, 201.0)
    assert (other.verdict, other.limit) == ("FAIL", 1.25)
    assert other.note.startswith("table: ")
    assert other.note.endswith(f"; the table ends at {200.0 * 30.0 / pi:.0f} rpm")
    assert other.remedy.startswith("75 mN*m at that speed would pass")
    assert found(motor_table.table_margin, 0.1, 0.0, 0.0, TABLE, 1.0).value == Band(
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
    case = LoadCase("up", 1.0, 0.0, (Push(0.0, 0.02, 30.0),), None, "")
    thread = (0.01, 0.001 * pi, same(0.15), pi / 3.0)

    def amperes(screw_nm: float) -> float:
        return (screw_nm * 1.5 + 0.25) / (4.0 * 0.75) / 0.05 + 0.2

    up, down = amperes(2.0 / 0.97), amperes(0.6 / 1.03)
    # 60 mm at 0.2 m/s with 0.8 m/s2: 0.55 s a move, of which a ramp of 0.25 s and 0.1 s pushed are hard
    wanted = 9.0 * 0.35 + up**2 * 0.2 + down**2 * 0.55
    numbers = (3.0, 0.0, 0.06, 0.2, 0.8, *thread, 4.0, same(0.75), 0.05, 0.2, same(1.5), 0.25)
    assert winding.square_current_a2_s.function(rows, (case,), *numbers) == pytest.approx(wanted)
    # the same 60 mm from 10 mm on: 10 mm of them pushed, 0.05 s
    later = (3.0, 0.01, 0.07, *numbers[3:])
    wanted = 9.0 * 0.3 + up**2 * 0.25 + down**2 * 0.55
    assert winding.square_current_a2_s.function(rows, (case,), *later) == pytest.approx(wanted)
    assert winding.effective_current_a.function(18.0, 2.0) == 3.0


def test_the_travel_under_outside_forces() -> None:
    def pushed(*spans: tuple[float, float]) -> float:
        case = LoadCase("", 1.0, 0.0, tuple(Push(low, high, 1.0) for low, high in spans), None, "")
        return winding.pushed_m(case, 0.01, 0.05)

    assert pushed() == 0.0
    assert pushed((0.0, 0.03)) == pytest.approx(0.02)
    assert pushed((0.02, 0.09)) == pytest.approx(0.03)
    assert pushed((0.02, 0.04), (0.03, 0.045)) == pytest.approx(0.025)  # they overlap
    assert pushed((0.02, 0.04), (0.025, 0.03)) == pytest.approx(0.02)  # one within the other
    assert pushed((0.0, 0.005)) == 0.0


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
    # moves of 2 * 5 s in a cycle of 20 s: 36 A2 s / 10 s * 5 ohm = 18 W on 3 and 2 K/W, on till half warm
    hot = 25.0 + 0.25 / 0.00393
    numbers = (36.0, hot, 4.0, 5.0, 20.0, 3.0, 2.0, 10.0 / math.log(2.0), 10.0 / math.log(2.0))
    assert winding.pulsed_rises_k.function(*numbers) == pytest.approx((36.0, 24.0))  # 2 / 3 of 54 and 36
    always = (36.0, hot, 4.0, 5.0, 5.0, 3.0, 2.0, 10.0, 20.0)  # the moves take longer than the cycle
    assert winding.pulsed_rises_k.function(*always) == pytest.approx((54.0, 36.0))
    for limit, verdict in ((100.1, "PASS"), (99.9, "FAIL")):
        row = found(winding.winding_peak, (36.0, 24.0), 40.0, limit)
        assert (row.verdict, row.value) == (verdict, 100.0)
    assert row.note == "winding 36 K over the housing, housing 24 K over the ambient"


def test_hours_and_turns() -> None:
    assert motor_life.running_s.function(1000, 0.55) == pytest.approx(1100.0)
    edges(motor_life.motor_hours, 1100.0, 1100.0)
    edges(motor_life.motor_turns, 2000.0, 500.0, 4.0)
    edges(motor_life.gear_hours, 1100.0, 1100.0, True)
    assert found(motor_life.gear_hours, 1100.0, False).verdict == "INFO"
    edges(bearing.thrust_continuous, 6.0, Band(4.0, 5.0, 6.0))
    edges(bearing.thrust_peak, 6.0, 6.0)
    edges(bearing.life, 64e6, 2000.0, 500.0, low_passes=True)
    assert found(bearing.life, 1000.0, 500.0, 64e6).remedy == "ends.bearing_dynamic of 2000 N"


def test_buckling_by_the_ends() -> None:
    # nut's far face 40 + 20 + 50 - 10 mm from the near bearing: 100 mm on 8 mm, slenderness 50 / sqrt(C)
    numbers = (0.010, 0.040, 0.020, 0.050, 0.008, 2e11)
    euler = pi**3 * 2e11 * 0.008**4 / 64.0 / 0.01
    for ends, factor in (
        (("fixed", "free"), 0.25), (("supported", "supported"), 1.0), (("supported", "fixed"), 2.0457),
        (("fixed", "fixed"), 4.0),
    ):  # fmt: skip
        row = found(strength.buckling, *ends, *numbers, 100.0, 4e8)
        slender = 50.0 / math.sqrt(factor)
        assert row.note == f"{ends[0]}-{ends[1]} over 100 mm, slenderness {slender:.0f}, on the root diameter"
        if factor == 0.25:  # at 100 Euler's load holds: 99.3 is the transition
            assert row.value == pytest.approx(0.25 * euler)
        else:  # Johnson: A (Sy - (Sy s / 2 pi)^2 / E)
            johnson = 16e-6 * pi * (4e8 - (4e8 * slender / (2.0 * pi)) ** 2 / 2e11)
            assert row.value == pytest.approx(johnson)
        assert row.limit == 300.0
    long = (0.010, 0.040, 0.020, 0.051, 0.008, 2e11)
    assert (
        found(strength.buckling, "fixed", "free", *long, 100.0).verdict == "PASS"
    )  # slender enough without Sy
    short = found(strength.buckling, "fixed", "fixed", *numbers, 100.0)
    assert (short.verdict, short.remedy) == ("NOT CHECKED", 'screw.strength = "350 MPa"')
    assert (
        found(strength.buckling, "free", "free", *numbers, 100.0).note == "free and free ends hold no column"
    )
    third = 0.25 * euler / 3.0
    for push, verdict in ((third * 0.999, "PASS"), (third * 1.001, "FAIL")):
        assert found(strength.buckling, "fixed", "free", *numbers, push, 4e8).verdict == verdict
    assert strength.highest_push_n.function(Band(1.0, 2.0, 3.0)) == 3.0
    assert strength.highest_push_n.function(Band(1.0, 2.0, 3.0), Band(2.0, 4.0, 5.0)) == 5.0


def test_critical_speed_by_the_ends() -> None:
    # sqrt(2e11 / 8000) = 5000 m/s; 8 mm over 400 mm: 62.5 beta^2
    numbers = (0.010, 0.310, 0.008, 2e11, 8000.0)
    for ends, beta in (
        (("fixed", "free"), 1.8751), (("supported", "supported"), pi), (("supported", "fixed"), 3.9266),
        (("fixed", "fixed"), 4.7300),
    ):  # fmt: skip
        far = 9.9 if ends[1] == "free" else 0.310
        critical = beta**2 / 0.3**2 * 5000.0 * 0.002
        for share, verdict in ((0.799, "PASS"), (0.801, "FAIL")):
            row = found(strength.critical_speed, *ends, *numbers, critical * share, far)
            assert (row.verdict, row.limit) == (verdict, pytest.approx(0.8 * critical))
        assert row.note == f"{ends[0]}-{ends[1]}, 300 mm: critical at {critical * 30.0 / pi:.0f} rpm"
        assert f"an unsupported length of {300.0 * math.sqrt(0.8 / 0.801):.3g} mm" in row.remedy
        assert row.remedy.startswith("a bearing at the far end") == (ends[1] == "free")
    assert (
        found(strength.critical_speed, "fixed", "fixed", *numbers, 1.0).note == "the far bearing has no place"
    )
    free = found(strength.critical_speed, "fixed", "free", *numbers, 1.0)  # none is needed there
    assert free.verdict == "PASS"
    assert free.limit is not None
    fast = found(strength.critical_speed, "fixed", "free", *numbers, 4.0 * free.limit)
    assert "length of 150 mm" in fast.remedy  # four times as fast: half as long
    assert "is not held" in found(strength.critical_speed, "free", "free", *numbers, 1.0).note


def test_stress_of_the_body_and_the_thread() -> None:
    # 500 N on 10 mm: 2e7 / pi; 2 * 4 * 0.75 = 6 N*m: 96e6 / pi
    axial, torsion = 2e7 / pi, 96e6 / pi
    body = math.sqrt(axial**2 + 3.0 * torsion**2)
    row = found(strength.body_stress, 500.0, 2.0, 4.0, Band(0.5, 0.6, 0.75), 0.01, 3.0 * body * 1.001)
    assert (row.verdict, row.value, row.limit) == ("PASS", pytest.approx(body), pytest.approx(body * 1.001))
    edges(strength.body_stress, body, 500.0, 2.0, 4.0, Band(0.5, 0.6, 0.75), 0.01, 1.0)
    root = 12.5e6 / pi  # 6 * 500 / (pi 10 mm * 8 * 3 mm)
    assert found(strength.thread_root, 500.0, 0.01, 8.0, 0.003, 3.0 * root * 1.001).verdict == "PASS"
    assert found(strength.thread_root, 500.0, 0.01, 8.0, 0.003, 3.0 * root * 0.999).verdict == "FAIL"
    # one turn with a bending of 1e8 / pi beside them
    bending = 1e8 / pi
    whole = math.sqrt(bending**2 + bending * axial + axial**2 + 3.0 * torsion**2)
    numbers = (bending, 500.0, 2.0, 4.0, Band(0.5, 0.6, 0.75), 0.01)
    for strong, verdict in ((3.001 * whole, "PASS"), (2.999 * whole, "FAIL")):
        row = found(thread_strength.thread_combined, *numbers, strong)
        assert (row.verdict, row.value) == (verdict, pytest.approx(whole))
    assert row.note == "bending 31.8, axial 6.37, torsion 30.6 MPa"


def test_the_turn_that_carries_most() -> None:
    assert thread_strength.turn_share.function(8.0, "bronze") == 0.38
    assert thread_strength.turn_share.function(8.0) == 0.38
    assert thread_strength.turn_share.function(8.0, "POM") == 0.125
    assert thread_strength.highest_force_n.function(5.0) == 5.0
    assert thread_strength.highest_force_n.function(0.5) == 0.5
    assert thread_strength.highest_force_n.function(5.0, Band(1.0, 2.0, 6.0)) == 6.0
    # 0.4 * 500 = 200 N on one turn of 10 mm and 3 mm: bending 6, shear 3 times 200 / (pi 30e-6)
    bending = thread_strength.turn_bending_pa.function(500.0, 0.4, 0.01, 0.003)
    assert bending == pytest.approx(4e7 / pi)
    for share, verdict in ((3.001, "PASS"), (2.999, "FAIL")):
        strong = share * 4e7 / pi
        assert found(thread_strength.first_turn_bending, bending, 0.4, strong).verdict == verdict
        shear_yield = share * 2e7 / pi / 0.577
        for check in (thread_strength.thread_shear, thread_strength.nut_shear):
            row = found(check, 500.0, 0.4, 0.01, 0.003, shear_yield)
            assert (row.verdict, row.value) == (verdict, pytest.approx(2e7 / pi))
            assert row.note == "0.40 of the force on the turn that carries most"
    # 0.4 * 500 on pi 10 mm * 1 mm * 0.5
    pressed = 200.0 / (pi * 0.01 * 0.001 * 0.5)
    edges(thread_strength.first_turn_pressure, pressed, Band(1.0, 2.0, 500.0), 0.4, 0.01, 0.001, 0.5)
    whole = found(thread_strength.first_turn_pressure, Band(1.0, 2.0, 500.0), 0.4, 0.01, 0.001)
    assert whole.value == pytest.approx(pressed / 2.0)


@pytest.mark.parametrize(
    ("length", "verdict"), [(0.3999, "PASS"), (0.4001, "WARN"), (0.4999, "WARN"), (0.5001, "FAIL")]
)
def test_length_over_diameter(length: float, verdict: str) -> None:
    assert found(thread_strength.slenderness, 0.1, 0.1 + length, 0.010).verdict == verdict
    supported = found(thread_strength.slenderness, 0.1, 9.9, 0.010, 0.1 + length)
    assert (supported.verdict, supported.value) == (verdict, pytest.approx(length / 0.010))


def test_screws_that_hold_the_gear() -> None:
    # A = pi / 4 (4 mm)^2 of d2 4.5 and d3 3.5 mm; 0.7 * 5e8 of it; 0.2 F d of 5 mm
    preload = 0.7 * 5e8 * 4e-6 * pi
    pull = 3.0 * preload / 1.5
    for share, verdict in ((0.999, "PASS"), (1.001, "FAIL")):
        row = found(strength_mounting.mounting_screws, (0.005, 0.0045, 0.0035), 3, 5e8, pull * share, "M5")
        assert (row.verdict, row.value) == (verdict, pytest.approx(1.5 / share))
    assert row.note.startswith(f"3 M5, {preload:.0f} N each at about {0.001 * preload:.2g} N*m; pull")
    assert row.remedy.startswith("4 screws")
    assert (
        found(strength_mounting.mounting_screws, (1.0, 1.0, 1.0), 3, 5e8, 0.0, "M5").verdict == "NOT CHECKED"
    )
    assert strength_mounting.bolt_sizes_m.function("M99x7") is None
    assert strength_mounting.bolt_sizes_m.function("M5") == pytest.approx(
        (0.005, 0.00448, 0.004019), rel=1e-3
    )


PLASTIC = Sliding((8e6, 12e6), 1e5, 1.0, 100.0, True, "a table")
METAL = Sliding((8e6, 12e6), 1e5, 1.0, 100.0, False, "a table")


def test_what_tables_allow_a_material() -> None:
    allowed = nut_material.allowed_pressure_pa.function
    assert allowed(PLASTIC) == allowed(PLASTIC, 20.0) == allowed(METAL, 90.0) == Band(8e6, 10e6, 12e6)
    assert allowed(PLASTIC, 60.0) == pytest.approx(Band(4e6, 5e6, 6e6))  # half of the way to 100 degC
    assert allowed(PLASTIC, 120.0) == Band(0.0, 0.0, 0.0)
    band = Band(8e6, 10e6, 12e6)
    for pressure, verdict in ((7.9e6, "PASS"), (8.1e6, "WARN"), (11.9e6, "WARN"), (12.1e6, "FAIL")):
        row = found(nut_material.material_pressure, pressure, band, METAL)
        assert (row.verdict, row.note) == (verdict, "a table; 8 to 12 MPa")
    assert found(nut_material.material_pressure, 9e6, band, METAL, 8.5e6).verdict == "FAIL"
    for speed, verdict in ((0.0124, "PASS"), (0.0126, "WARN")):  # 1e5 / 8e6
        assert found(nut_material.material_pv, 8e6, speed, METAL, 1e5).verdict == verdict
    for speed, verdict in ((0.99, "PASS"), (1.01, "WARN")):
        assert found(nut_material.material_speed, speed, METAL, 1.0).verdict == verdict
    for ambient, verdict in ((99.0, "PASS"), (101.0, "FAIL")):
        assert found(nut_material.material_temperature, ambient, METAL).verdict == verdict
    assert nut_material.table_pv_pa_m_s.function(METAL) == 1e5
    assert nut_material.table_speed_m_s.function(METAL) == 1.0


def test_motion_that_is_lost() -> None:
    # 0.5 mm a radian; 0.02 rad of gear and 0.01 of wind-up; 40 um of play
    lead = 0.001 * pi
    lost = gearing.lost_motion
    seated = found(lost, lead, 0.02, 40e-6, 0.02, 5.0)
    assert (seated.value, seated.note) == (pytest.approx(10e-6), "the weight keeps the nut seated")
    loose = found(lost, lead, 0.02, 40e-6, 0.02, 0.0)
    assert (loose.value, loose.note) == (pytest.approx(50e-6), "the nut's own play counts")
    peak = Band(1.0, 2.0, 282.0)
    sprung = found(lost, lead, 0.02, 40e-6, 0.02, 0.0, peak, 283.0)
    assert (sprung.value, sprung.note.startswith("the spring keeps")) == (pytest.approx(10e-6), True)
    assert "the backlash of gear and coupling stays" in sprung.note
    assert found(lost, lead, 0.02, 40e-6, 0.02, 0.0, peak, 281.0).value == pytest.approx(50e-6)
    # 100 N of preload lift off at 282.8 N
    tight = found(lost, lead, 0.02, 40e-6, 0.02, 0.0, peak, 0.0, 100.0)
    assert (tight.value, tight.note.startswith("the preload keeps")) == (pytest.approx(10e-6), True)
    assert "the backlash of gear and coupling stays" in tight.note
    assert found(lost, lead, 0.02, 40e-6, 0.02, 0.0, peak, 0.0, 99.0).value == pytest.approx(50e-6)
    assert found(lost, lead, 0.02, 40e-6, 0.02, 0.0, None, 1e9).value == pytest.approx(50e-6)
    wound = found(lost, lead, 0.02, 40e-6, 0.02, 5.0, wind_up_rad=0.01)
    assert wound.value == pytest.approx(15e-6)
    assert "; 5 um of it the coupling's wind-up" in wound.note
    for limit, verdict in ((10.1e-6, "PASS"), (9.9e-6, "FAIL")):
        assert found(lost, lead, 0.02, 40e-6, 0.02, 5.0, limit=limit).verdict == verdict
    teeth = found(lost, lead, 0.02, 40e-6, None, 5.0, limit=11e-6)  # the teeth alone are no promise
    assert (teeth.verdict, teeth.remedy) == ("NOT PROVEN", "give gears.backlash, or measure it")
    assert found(lost, lead, 0.02, 40e-6, None, 5.0, limit=9e-6).verdict == "FAIL"
    for limit in (None, 9e-6):
        unknown = found(lost, lead, 0.02, None, 0.02, 0.0, limit=limit)
        assert (unknown.verdict, unknown.asked) == ("NOT CHECKED", limit is not None)
    assert found(gearing.lost_motion_loose, lead, 0.02, 40e-6, 0.01).value == pytest.approx(55e-6)
    edges(gearing.torque, 0.3, Band(0.1, 0.2, 0.3))
    assert found(gearing.torque, Band(0.1, 0.2, 0.3), 0.2).remedy == "a gear for 300 mN*m"
    edges(gearing.input_speed, 80.0, 80.0)


def made(efficiency: float, backlash: float = 0.0, ratio: float = 4.0) -> gearing_made.MadeStage:
    gear = SimpleNamespace(efficiency=lambda: efficiency, backlash_at_carrier=backlash, ratio=ratio)
    return gearing_made.MadeStage(None, gear)  # type: ignore[arg-type] # only these numbers are asked for


def test_what_teeth_tell_of_a_stack() -> None:
    spur = SimpleNamespace(efficiency=lambda: 0.9, backlash_at_wheel=0.03, ratio=2.0)
    refused = gearing_made.MadeStage(None, None, "no room")  # type: ignore[arg-type] # as above
    assert gearing_made.tooth_efficiency(()) is None
    assert gearing_made.tooth_efficiency((made(0.95), refused)) is None
    assert gearing_made.tooth_efficiency((made(0.95), made(0.96))) == pytest.approx(0.912)
    assert gearing_made.tooth_efficiency((made(0.95),), spur) == pytest.approx(0.855)
    assert gearing_made.tooth_efficiency((), spur) == pytest.approx(0.9)
    usual = gearing_made.usual_efficiency
    assert usual((made(0.95), made(0.96))) == pytest.approx(Band(0.64, 0.7225, 0.912))  # 0.8 and 0.85 squared
    assert usual((made(0.95),), spur) == pytest.approx(Band(0.64, 0.7225, 0.855))
    assert usual((made(0.82),)) == pytest.approx(Band(0.80, 0.82, 0.82))
    assert usual((refused,)) is None
    backlash = gearing_made.tooth_backlash_rad.function
    assert backlash() is None
    assert backlash((refused,)) is None
    # the last stage counts whole, the first over the 5 of the last; behind a spur stage all over its 2 more
    assert backlash((made(1.0, 0.1, 4.0), made(1.0, 0.02, 5.0))) == pytest.approx(0.02 + 0.1 / 5.0)
    assert backlash((made(1.0, 0.1, 4.0), made(1.0, 0.02, 5.0)), spur) == pytest.approx(0.03 + 0.01 + 0.01)
    assert backlash((), spur) == 0.03
    row = found(gearing_made.efficiency, True, same(0.8), None, (made(0.95),))
    assert (row.note, len(row.cautions)) == ("tooth friction alone would leave 0.950", 1)
    assert found(gearing_made.efficiency, True, same(0.8), same(0.8)).cautions == ()
    assert found(gearing_made.efficiency, False, same(1.0)).value is None


def test_torque_from_stage_to_stage() -> None:
    first, last = SimpleNamespace(ratio=4.0), SimpleNamespace(ratio=5.0)
    eta = Band(0.5, 0.64, 0.7)  # 0.8 a stage
    hit = SimpleNamespace(torque_nm=8.0)
    loads = gearing_teeth.stage_loads.function(Band(1.0, 2.0, 4.0), eta, (first, last), None, (hit,))
    assert [load.number for load in loads] == [1, 2]
    assert [load.working_nm for load in loads] == pytest.approx([1.0, 4.0])  # 4 / (5 * 0.8)
    assert [load.highest_nm for load in loads] == pytest.approx([2.0, 8.0])
    assert [load.highest_input_nm for load in loads] == pytest.approx([2.0 / 3.2, 2.0])
    assert str(loads[0]) == "stage 1: 1000, 2000 mN*m"
    assert gearing_teeth.stage_loads.function(same(1.0), eta) is None
    first.torque_continuous, last.torque_continuous = 0.8, None
    row = found(gearing_teeth.stage_torque, True, loads)
    assert (row.verdict, row.value) == ("FAIL", pytest.approx(1.25))
    assert (row.note, row.remedy) == ("stage 1 of 2: 1000 of 800 mN*m", "a stage 1 for 1000 mN*m")
    last.torque_continuous = 2.0  # twice too little: the worse one
    assert found(gearing_teeth.stage_torque, True, loads).value == pytest.approx(2.0)
    first.torque_momentary, last.torque_momentary = 2.1, 8.1
    assert found(gearing_teeth.stage_torque_peak, True, loads).verdict == "PASS"
    first.torque_momentary = last.torque_momentary = None
    left_open = found(gearing_teeth.stage_torque_peak, True, loads)
    assert (left_open.verdict, left_open.asked) == ("NOT CHECKED", False)
    assert left_open.remedy == "give gears.stage.torque_momentary"
    assert found(gearing_teeth.stage_torque_peak, False, ()).verdict == "INFO"


def test_a_push_rod() -> None:
    near = push_rod.rod_near_m.function
    assert near(0.1, 0.02, 0.016) == pytest.approx(0.036)
    assert near(0.1, 0.02, 0.016, "screw") == 0.1
    assert near(0.1) is None
    # bush from 80 to 90 mm: 85 - 36 - 20 mm; where the screw travels from the nut that stands
    span = push_rod.rod_span_m.function
    assert span(0.036, 0.080, 0.010, 0.020) == pytest.approx(0.029)
    assert span(0.036, 0.080, 0.010, 0.020, 0.02, 0.016, "screw") == pytest.approx(0.049)
    assert span(0.036, 0.080, 0.010, 0.020, None, 0.016, "screw") is None
    assert span(0.036, 0.080, 0.010, 0.020, 0.02, travelling_part="screw") == pytest.approx(0.065)
    assert near(0.1, 0.02) == pytest.approx(0.02)
    over = push_rod.rod_overhang_m.function
    assert over(0.036, 0.1, 0.020) == over(0.036, 0.1, 0.020, 0.080) == 0.1
    steel = strength.screw_modulus_pa.function("steel")
    assert push_rod.rod_modulus_pa.function("steel") == steel
    assert 1.9e11 < steel < 2.2e11
    assert push_rod.rod_modulus_pa.function("unheard of") is None
    assert strength.screw_modulus_pa.function("unheard of") is None
    assert 7700.0 < strength.screw_density_kg_m3.function("steel") < 8100.0
    assert strength.screw_density_kg_m3.function("unheard of") is None
    assert over(0.036, 0.1, 0.020, 0.080, 0.010) == pytest.approx(0.071)  # 36 + 100 + 20 - 85
    # 0.4 mm of room: 0.2 to each side at the bush, (30 + 60) / 30 of it at the tip
    row = found(push_rod.rod_play, 0.030, 0.060, 0.0100, 0.0104)
    assert row.value == pytest.approx(0.0006)
    assert row.note == "0.2 mm in the bush, 30 mm from the nut, 60 mm before the tip"
    assert found(push_rod.rod_play, 0.0, 0.060, 0.0100, 0.0104).verdict == "NOT CHECKED"


def test_a_push_rod_as_a_column() -> None:
    # 0.25 pi^3 E d^4 / 64 L^2 of 10 mm over 0.5 m: 31.25 pi^3 N; bored to 0.75 of it (d^4: 1 - 0.3164)
    load = 31.25 * pi**3
    for push, verdict in ((load / 3.001, "PASS"), (load / 2.999, "FAIL")):
        row = found(push_rod.rod_buckling, 0.5, 0.01, 2e11, push, 0.02, 2e11)
        assert (row.verdict, row.value) == (verdict, pytest.approx(load))
    assert row.note == "held by the nut alone, 500 mm free, slenderness 400"
    tube = found(push_rod.rod_buckling, 0.5, 0.01, 2e11, 1.0, 0.02, 2e11, None, 0.0075)
    assert tube.value == pytest.approx(load * (1.0 - 0.75**4))
    # tan(u) = 2 u of a span as long as the overhang
    held = found(push_rod.rod_buckling, 0.5, 0.01, 2e11, 1.0, 0.02, 2e11, 0.5)
    assert held.value == pytest.approx(load * 4.0 * (1.16556118520 / pi) ** 2)
    assert held.note.startswith("pinned at the nut and 500 mm on in the bush, 500 mm beyond it")
    # a thinner screw behind it: (8 / 10)^4
    numbers = (0.5, 0.01, 2e11, 1.0, 0.008, 2e11, None, 0.0)
    weaker = found(push_rod.rod_buckling, *numbers, "screw")
    assert weaker.value == pytest.approx(load * 0.8**4)
    assert weaker.note.endswith("slenderness 500")
    assert found(push_rod.rod_buckling, *numbers).value == pytest.approx(load)
    short = found(push_rod.rod_buckling, 0.1, 0.01, 2e11, 1.0, 0.02, 2e11)
    assert (short.verdict, short.remedy) == ("NOT CHECKED", 'push_rod.strength = "350 MPa"')
    stocky = found(push_rod.rod_buckling, 0.1, 0.01, 2e11, 1.0, 0.02, 2e11, None, 0.0, "nut", 4e8)
    assert stocky.value == pytest.approx(25e-6 * pi * (4e8 - (4e8 * 80.0 / (2.0 * pi)) ** 2 / 2e11))
    for lengths in ((0.0, None), (0.5, 0.0)):
        none = found(push_rod.rod_buckling, lengths[0], 0.01, 2e11, 1.0, 0.02, 2e11, lengths[1])
        assert none.note == "the rod does not reach from the nut through its bush"


def test_bellows_pushed_together_and_drawn_out() -> None:
    for low, verdict in ((-0.0099, "PASS"), (-0.0101, "FAIL")):  # 30 - 10 mm of them
        assert found(seal.bellows_retracted, "bellows", low, 0.030, limit=0.020).verdict == verdict
    tight = found(seal.bellows_retracted, "bellows", -0.012, 0.030, limit=0.020)
    assert tight.note == "at s = -12 mm they have 18 mm"
    assert tight.remedy == "bellows that push together to 18 mm, or what they follow 2 mm further out"
    for high, verdict in ((0.0599, "PASS"), (0.0601, "FAIL")):
        row = found(seal.bellows_extended, "bellows", high, 0.030, limit=0.090)
        assert row.verdict == verdict
    assert row.note == "at s = 60.1 mm they are drawn out to 90.1 mm"
    assert row.remedy == "bellows that draw out to 90.1 mm"
    for check in (seal.bellows_retracted, seal.bellows_extended):
        assert found(check, "lip", 0.0, 0.03, limit=0.02).note == "a lip seal keeps its length"
        assert found(check, "bellows", 0.0, 0.03, "nut", "nut", 0.02).note.startswith("the drive goes with")
        assert found(check, "bellows", 0.0, None, limit=0.02).note == "needs nut.position"
    assert found(seal.bellows_retracted, "bellows", 0.0, 0.03).note == "needs seal.length"


def test_bellows_reach_from_where_they_stand_to_what_they_follow() -> None:
    def body(stretches: bool, *span: float) -> Body:
        shape = Shape((Cylinder("z", (0.0, 0.0), 8.0, (span[0], span[1])),), ())
        return Body("seal", "actuator", False, shape, stretches=stretches)

    assert seal.bellows_m.function((body(False, 0.0, 90.0), body(True, 10.0, 34.0))) == pytest.approx(0.024)
    assert seal.bellows_m.function((body(False, 0.0, 90.0),)) is None


def test_errors_of_the_lead() -> None:
    deviation = accuracy.lead_deviation_m.function
    # P5 over 350 mm: 25 and 25 um; T7 over 150 mm: 2 * 150 / 300 * 52 and 52 um
    assert deviation(0.010, 0.360, "P5") == pytest.approx(Band(25e-6, 50e-6, 50e-6))
    assert deviation(0.010, 0.160, "T7") == pytest.approx(Band(52e-6, 104e-6, 104e-6))
    assert deviation(0.0, 1.7, "P5") is None
    # 60 um in 300 mm: over 100 mm 20 to 60, over 450 mm 90
    assert deviation(0.010, 0.110, "", 60e-6) == pytest.approx(Band(20e-6, 60e-6, 60e-6))
    assert deviation(0.010, 0.460, "", 60e-6) == pytest.approx(same(90e-6))
    assert deviation(0.0, 0.1) is None
    row = found(accuracy.lead_accuracy, Band(20e-6, 60e-6, 60e-6), 0.010, 0.110, "", 61e-6)
    assert (row.verdict, "over 100 mm" in row.note) == ("PASS", True)
    assert row.note.startswith("screw.lead_error; the low end")
    assert (
        found(accuracy.lead_accuracy, Band(20e-6, 60e-6, 60e-6), 0.010, 0.110, "P5", 59e-6).verdict == "FAIL"
    )


def test_the_widest_link_is_named_beside_exact_ones_and_the_draws_quantile_is_numpys() -> None:
    links = (ChainLink("gauge", 1, 0.050, 0.0, 0.0), ChainLink("nut", -1, 0.049, 0.0003, -0.0003))
    rows = tolerance.toleranced_chain.function(links, "m")
    worst = found(tolerance.worst_case, rows, "gap", 0.002)
    assert 'first of "nut" (+-0.3 mm)' in worst.remedy
    drawn = found(tolerance.monte_carlo, rows, "gap", 0.002)
    gaps = tolerance.drawn_gaps_m(rows)
    assert drawn.value == pytest.approx(float(np.quantile(gaps, 0.00135)), rel=1e-12)


CHAIN = (
    ChainLink("housing", 1, 0.050, 0.0002, -0.0001),
    ChainLink("plate", -1, 0.020, 0.0004, -0.0004),
    ChainLink("nut", -1, 0.029, None, None),  # m, over 6 up to 30 mm: 0.2 mm
)


def test_a_tolerance_chain() -> None:
    rows = tolerance.toleranced_chain.function(CHAIN, "m")
    assert [row.part_m for row in rows] == pytest.approx([0.05005, -0.020, -0.029])
    assert [row.half_m for row in rows] == pytest.approx([0.00015, 0.0004, 0.0002])
    # 1.05 mm less 0.75 mm; less sqrt(0.15^2 + 0.4^2 + 0.2^2) = 0.47170
    worst = found(tolerance.worst_case, rows, "gap", 0.0004)
    assert (worst.verdict, worst.value) == ("FAIL", pytest.approx(0.0003))
    assert worst.note == "gap: 1.05 mm nominal, +-0.75 mm"
    assert worst.remedy == '0.1 mm more gap, or closer tolerances, first of "plate" (+-0.4 mm)'
    assert found(tolerance.worst_case, rows, limit=0.00029).verdict == "PASS"
    square = found(tolerance.root_sum_square, rows, limit=0.0005)
    assert (square.verdict, square.value) == ("PASS", pytest.approx(0.00105 - math.sqrt(22.25e-8)))
    assert square.note.startswith("1.05 mm nominal")
    # three sigmas of the same sum; the tail of 10 000 draws scatters by some 3 % of it
    drawn = found(tolerance.monte_carlo, rows, limit=0.0005)
    assert drawn.value == pytest.approx(0.00105 - math.sqrt(22.25e-8), abs=2e-5)
    gaps = tolerance.drawn_gaps_m(rows)
    assert gaps.mean() == pytest.approx(0.00105, abs=5e-6)
    assert gaps.std() == pytest.approx(math.sqrt(22.25e-8) / 3.0, rel=0.03)
    # half of the draws lie below the middle
    half = found(tolerance.monte_carlo, rows, limit=0.00105)
    share = float(half.note.partition("; ")[2].partition(" %")[0])
    assert share == pytest.approx(50.0, abs=2.0)
    assert "draws" not in found(tolerance.monte_carlo, rows).note
    open_end = tolerance.toleranced_chain.function((ChainLink("tiny", 1, 0.0004, None, None),), "m")
    for check in (tolerance.worst_case, tolerance.root_sum_square, tolerance.monte_carlo):
        row = found(check, open_end, limit=0.0)
        assert (row.verdict, row.remedy) == ("NOT CHECKED", 'give "tiny" a tolerance of its own')

"""Checks called with plain numbers: value, limit, verdict and words, on both sides of what they decide."""

from __future__ import annotations

import math

import pytest
from hand import found

from calcs.case import ASSUMED
from calcs.checks import ball_nut, bearing, life, mass, plausible, travel
from calcs.finding import Finding
from geometry.design_thread import Lengths
from geometry.units import Band


def test_travel_ends_at_the_stops_else_at_the_usable_ends() -> None:
    assert travel.travel_low_m.function(-0.01) == -0.01
    assert travel.travel_low_m.function(-0.01, -0.012) == -0.012
    assert travel.travel_high_m.function(0.06) == 0.06
    assert travel.travel_high_m.function(0.06, 0.064) == 0.064


# thread from 10 to 110 mm, pitch 2 mm; a nut of 16 mm whose face stands at 14 mm when s = 0
@pytest.mark.parametrize(
    ("low", "inside", "verdict", "words", "remedy"),
    [
        (-2.0, 2.0, "PASS", "is 2 mm inside the thread (1.00 pitches)", ""),
        (-2.5, 1.5, "WARN", "is 1.5 mm inside the thread (0.75 pitches)", "0.5 mm more thread at that end"),
        (-4.0, 0.0, "WARN", "is 0 mm inside the thread (0.00 pitches)", "or the stop at s = -2 mm"),
        (-5.0, -1.0, "FAIL", "runs 1 mm off it (-0.50 pitches)", "3 mm more thread at that end, or the stop"),
    ],
)
def test_engagement_retracted(low: float, inside: float, verdict: str, words: str, remedy: str) -> None:
    row = found(travel.engagement_retracted, 0.010, 0.014, low / 1e3, 0.002)
    assert (row.verdict, row.value) == (verdict, pytest.approx(inside / 1e3, abs=1e-12))
    assert row.limit == 0.002
    assert row.note == f"at s = {low:g} mm the nut {words}"
    assert remedy in row.remedy


@pytest.mark.parametrize(
    ("high", "inside", "verdict", "words", "remedy"),
    [
        # 110 - 14 - 16 = 80
        (76.0, 4.0, "PASS", "(2.00 pitches); 2 mm of thread beyond that are never used, 0.8 g", ""),
        (78.0, 2.0, "PASS", "(1.00 pitches)", ""),
        (79.0, 1.0, "WARN", "is 1 mm inside the thread (0.50 pitches)", "or the stop at s = 78 mm"),
        (81.0, -1.0, "FAIL", "runs 1 mm off it", "3 mm more thread at that end, or the stop at s = 78 mm"),
    ],
)
def test_engagement_extended(high: float, inside: float, verdict: str, words: str, remedy: str) -> None:
    numbers = (0.110, 0.014, 0.016, high / 1e3, 0.002)
    row = found(travel.engagement_extended, *numbers, thread_kg_m=0.4)  # 2 mm of 0.4 kg/m: 0.8 g
    assert (row.verdict, row.value) == (verdict, pytest.approx(inside / 1e3, abs=1e-12))
    assert words in row.note
    assert ("never used" in row.note) == (high < 78.0)
    assert remedy in row.remedy


def test_where_the_screw_travels_its_thread_runs_the_other_way_past_the_nut() -> None:
    # thread from 10 to 110 mm, nut from 14 to 30 mm; the screw goes out of the nut by s
    screw = {"thread_end_m": 0.110, "nut_length_m": 0.016, "travelling_part": "screw"}
    low = found(travel.engagement_retracted, 0.010, 0.014, 0.0, 0.002, **screw)
    assert low.value == pytest.approx(0.080)  # 110 - 30
    high = {"thread_start_m": 0.010, "travelling_part": "screw"}
    extended = found(travel.engagement_extended, 0.110, 0.014, 0.016, 0.003, 0.002, **high)
    assert extended.value == pytest.approx(0.001)  # 14 - 10 - 3
    from_zero = found(travel.engagement_extended, 0.110, 0.014, 0.016, 0.003, 0.002, travelling_part="screw")
    assert from_zero.value == pytest.approx(0.011)


def order_of(**named: object) -> Finding:
    # thread from 10 to 110, nut 20 long at 20: it may go from -10 to 70 mm
    usual = {"sensor_low_m": -0.003, "sensor_high_m": 0.062, "stop_low_m": -0.007, "stop_high_m": 0.066}
    return found(travel.order, 0.0, 0.060, 0.010, 0.110, 0.020, 0.020, **(usual | named))


def test_order_of_the_ends_takes_the_smallest_step() -> None:
    row = order_of()
    assert (row.verdict, row.value) == ("PASS", pytest.approx(0.002))  # 62 - 60; the others 3 and 4
    assert row.note == (
        "thread end, hard stop, sensor, usable end: -10 < -7 < -3 < 0 .. 60 < 62 < 66 < 70 mm; "
        "the smallest step is from sensor to usable end"
    )
    crossed = order_of(sensor_low_m=-0.008)
    assert (crossed.verdict, crossed.value) == ("FAIL", pytest.approx(-0.001))
    assert crossed.remedy == "move hard stop and sensor apart by 1 mm"
    same = order_of(sensor_low_m=-0.007)
    assert (same.verdict, same.value, same.remedy) == ("WARN", 0.0, "move hard stop and sensor apart")
    without = order_of(sensor_low_m=None, stop_high_m=None)
    assert without.note.startswith("thread end, usable end: -10 < 0 .. 60 < 70 mm")
    assert without.value == pytest.approx(0.010)


def test_the_shorter_way_from_a_sensor_to_its_stop_counts() -> None:
    assert travel.sensor_to_stop_m.function(-0.003, 0.062, -0.007, 0.068) == pytest.approx(0.004)
    assert travel.sensor_to_stop_m.function(-0.003, 0.062, -0.017, 0.068) == pytest.approx(0.006)


@pytest.mark.parametrize(("limit", "verdict"), [(0.141, "PASS"), (0.139, "FAIL")])
def test_stopping_takes_braking_latency_and_hysteresis(limit: float, verdict: str) -> None:
    # 0.4^2 / 1.6 + 0.4 * 0.05 + 0.02 = 0.1 + 0.02 + 0.02
    row = found(travel.stopping, 0.4, 0.8, 0.05, 0.02, limit)
    assert (row.verdict, row.value) == (verdict, pytest.approx(0.14))
    if verdict == "FAIL":  # 0.16 / (2 * 0.099) = 0.808
        assert row.remedy == "a deceleration of 808.1 mm/s2 or more, or 1 mm more between sensor and stop"
    late = found(travel.stopping, 0.4, 0.8, 0.05, 0.02, 0.04)  # the latency and hysteresis take all of it
    assert late.remedy == "100 mm more between sensor and stop"


def test_a_step_is_a_count_of_the_motor_over_its_gear() -> None:
    # 6 mm / (500 * 4) = 3 um; 2 um would take 750 counts
    row = found(travel.step, 0.006, 500, 4.0, 2e-6)
    assert (row.verdict, row.value, row.remedy) == (
        "FAIL",
        pytest.approx(3e-6),
        "750 counts a motor turn or more",
    )
    assert found(travel.step, 0.006, 500, 4.0, 3e-6).verdict == "PASS"
    assert travel.turn_counts.function(64, 200) == 64
    assert travel.turn_counts.function(None, 200) == 200


def test_of_a_ball_nut() -> None:
    assert ball_nut.ball_speed_limit_m_s.function(60000.0) == pytest.approx(2.0 * math.pi)  # 60 m/min of d n
    assert ball_nut.circle_m.function(1.0, 0.008) == 0.008
    assert ball_nut.circle_m.function(1.0, 0.008, 0.0085) == 0.0085
    # (3000 / (1.5 * 500))^3 = 64
    row = found(ball_nut.balls, 3000.0, 500.0, 1.5, 64e6)
    assert (row.verdict, row.value) == ("PASS", pytest.approx(64e6))
    weak = found(ball_nut.balls, 1500.0, 500.0, 1.5, 64e6)
    assert (weak.verdict, weak.remedy) == ("FAIL", "nut.balls.dynamic_load of 3000 N")
    assert [found(ball_nut.balls_static, 1000.0, f, 1.0).verdict for f in (500.0, 501.0)] == ["PASS", "FAIL"]
    for push, remedy in (
        (450.0, "nut.balls.static_load of 1000 N, or a softer stop"),
        (451.0, "nut.balls.static_load of 1000 N"),
    ):  # without impact 2 * 451 N of 900
        assert found(ball_nut.balls_static, 900.0, 500.0, push).remedy == remedy
    band = Band(1.0, 2.0, 282.9)  # 100 N of preload lift off at 282.84 N
    row = found(ball_nut.balls_preload, 100.0, band)
    assert (row.verdict, row.remedy) == ("WARN", "nut.balls.preload of 100 N")
    assert found(ball_nut.balls_preload, 100.0, Band(1.0, 2.0, 282.8)).verdict == "PASS"
    assert found(ball_nut.balls_preload, 1.0, Band(1.0, 2.0, 2.9)).verdict == "WARN"


def test_turns_that_a_life_asks_for() -> None:
    # 2 * 1000 cycles * (60 - 10) mm over 2 mm
    assert bearing.wanted_turns.function(1000, 0.010, 0.060, 0.002) == pytest.approx(50_000.0)


def test_pressure_and_pv_say_how_much_longer_a_nut_would_do() -> None:
    row = found(life.pressure, 3e6, 8.0, nut_material="bronze", limit=2e6)
    assert (row.verdict, row.remedy) == ("FAIL", "a nut 1.50 times as long")
    assert row.note == "no nut.area_factor: the whole flank is counted"
    assert found(life.pressure, 2e6, 8.0, nut_material="bronze", limit=2e6).verdict == "PASS"
    plastic = found(life.pressure, 3e6, 8.0, nut_material="POM", limit=2e6)
    assert plastic.note.endswith("; a plastic nut carries on 0.25 to 0.75 of it")
    assert found(life.pressure, 3e6, 8.0, nut_material="unheard of").note == plastic.note
    assert found(life.pressure, 3e6, 8.0, area_factor=0.5, limit=2e6).note == ""
    sliding = found(life.pv, 3e6, 0.02, 5e4)
    assert (sliding.verdict, sliding.value) == ("FAIL", pytest.approx(6e4))
    assert sliding.remedy == "a nut 1.20 times as long, or that much less speed"
    assert sliding.note == "sliding at 0.02 m/s, counted without rests"


def test_wear_is_archards_law_along_the_helix() -> None:
    # 80 N on pi * 10 mm * 1 mm * 8 turns; 2 * 1000 * 50 mm = 100 m of travel, sqrt(101)
    # times as much along a helix of slope 0.1; flanks of 60 degrees double the axial part
    worn = 80.0 / (math.pi * 0.01 * 0.001 * 8.0) * 100.0 * math.sqrt(101.0) * 2.0
    coefficient = Band(1e-15, 2e-15, 4e-15)
    numbers = (
        coefficient, 80.0, 1000, 0.010, 0.060, 0.01, 0.001 * math.pi, 0.001, math.pi / 3.0, 8.0,
    )  # fmt: skip
    row = found(life.wear, *numbers)
    assert row.verdict == "NOT CHECKED"
    assert row.value == pytest.approx(Band(1e-15 * worn, 2e-15 * worn, 4e-15 * worn))
    assert row.note == "80 N on average, 0.1 km of travel, 1 km along the helix"
    over = found(life.wear, *numbers, limit=0.5e-15 * worn)
    assert over.verdict == "FAIL"
    assert over.remedy == "at most 500 cycles even at the best, or a longer nut"
    between = found(life.wear, *numbers, limit=3e-15 * worn)
    assert between.verdict == "NOT PROVEN"
    assert "even the high end keeps to the limit up to 750 cycles" in between.remedy
    under = found(life.wear, *numbers, limit=5e-15 * worn)
    assert (under.verdict, "keeps to" in under.remedy) == ("NOT PROVEN", False)


def test_motor_speed_against_no_load_speed() -> None:
    # 20 mm/s on 4 mm of lead are 10 pi rad/s, 300 rpm; four times that at the motor
    screw, motor = 10.0 * math.pi, 40.0 * math.pi
    assert plausible.screw_speed_rad_s.function(0.02, 0.004) == pytest.approx(screw)
    numbers = (0.02, 0.004, screw, motor, 4.0)
    row = found(plausible.speed, *numbers, limit=50.0 * math.pi)
    assert row.verdict == "PASS"
    assert row.note == (
        "speed 20 mm/s with lead 4 mm = 300 screw rpm, 1200 motor rpm, "
        "0.8 times the no-load speed of 1500 rpm"
    )
    fast = found(plausible.speed, *numbers, limit=30.0 * math.pi)
    assert (fast.verdict, fast.remedy) == ("WARN", "at most 15 mm/s")  # 20 * 30 / 40
    assert found(plausible.speed, *numbers, limit=4.0 * math.pi).note.count("10 times") == 1
    assert found(plausible.speed, *numbers).verdict == "NOT CHECKED"
    inches = (0.508, 0.004, 254.0 * math.pi, 1016.0 * math.pi, 4.0)  # 20 in/s
    assert found(plausible.speed, *inches, limit=50.0 * math.pi).remedy == (
        "did you mean 20 mm/s? Else at most 25 mm/s"
    )
    # in mm/s it would still be too fast: no word of inches
    assert found(plausible.speed, *inches, limit=30.0 * math.pi).remedy == "at most 15 mm/s"


@pytest.mark.parametrize(
    ("mm", "verdict", "limit", "remedy"),
    [
        (3.0, "PASS", None, ""),
        (2.9, "WARN", 0.003, "check its unit"),
        (130.0, "PASS", None, ""),
        (160.0, "WARN", 0.130, "did you mean 16 mm?"),
    ],
)
def test_sizes_of_motors(mm: float, verdict: str, limit: float | None, remedy: str) -> None:
    row = found(plausible.motor_size, mm / 1e3)
    assert (row.verdict, row.limit, row.remedy) == (verdict, limit, remedy)
    assert row.note == ("" if verdict == "PASS" else f"{mm:g} mm is outside 3 to 130 mm")


@pytest.mark.parametrize(
    ("times", "verdict"), [(0.099, "WARN"), (0.101, "PASS"), (9.9, "PASS"), (10.1, "WARN")]
)
def test_torque_per_volume_is_odd_from_ten_times_on(times: float, verdict: str) -> None:
    # a radius of 10 mm and 50 mm of length: pi * 5e-6 m3, of which 2400 N*m/m3 are typical
    torque = times * 2400.0 * math.pi * 5e-6
    row = found(plausible.motor_torque, torque, 0.020, 0.050)
    assert (row.verdict, row.value) == (verdict, pytest.approx(times * 2400.0))
    said = f"{times:.0f} times" if times > 10.0 else f"{times:.3g} times"
    assert row.note == f"{torque:.3g} N*m from 20 mm diameter: {said} typical for that volume"
    assert row.remedy.startswith("check units") == (verdict == "WARN")
    assert row.limit == (2400.0 if verdict == "WARN" else None)


@pytest.mark.parametrize(
    ("idle", "verdict"), [(0.899, "PASS"), (0.901, "WARN"), (2.999, "WARN"), (3.001, "FAIL")]
)
def test_a_no_load_current_near_the_stall_current_is_odd(idle: float, verdict: str) -> None:
    row = found(plausible.no_load_current, idle, 4.0, Band(9.0, 12.0, 15.0))  # 3 A at rest
    assert (row.verdict, row.value, row.limit) == (verdict, pytest.approx(idle / 3.0), 0.3)
    assert row.note == f"{idle:.3g} A of 3 A"


def test_a_load_case_is_given_or_assumed() -> None:
    assert found(plausible.load_case, (ASSUMED,)).verdict == "WARN"
    row = found(plausible.load_case, (ASSUMED, ASSUMED))
    assert (row.verdict, row.value) == ("PASS", 2.0)


def test_lengths_that_a_screw_can_be_had_in() -> None:
    some = Lengths((80.0, 100.0))
    assert found(plausible.stock_length, 0.090).verdict == "INFO"
    row = found(plausible.stock_length, 0.080, some)
    assert (row.verdict, row.note) == ("PASS", "80 mm is an allowed length")
    between = found(plausible.stock_length, 0.090, some)
    assert (between.verdict, between.value) == ("WARN", 0.090)
    assert between.note == "90 mm is not an allowed length; the nearest are 80 mm and 100 mm"
    assert between.remedy == "take 80 mm or 100 mm for screw.length"
    beyond = found(plausible.stock_length, 0.110, some)
    assert beyond.note == "110 mm is not an allowed length; the nearest is 100 mm"
    assert beyond.remedy == "take 100 mm for screw.length"


def test_what_turns_is_given_or_of_the_solid() -> None:
    inertia = mass.screw_inertia_kg_m2.function
    assert inertia(3e-7) == 3e-7
    assert inertia() is None
    assert inertia(3e-7, turning_part="nut") is None  # the nut's own is not known


def test_inertia_as_the_motor_feels_it() -> None:
    # 8e-6 + 3 kg (0.02 pi / 2 pi)^2 = 3.08e-4; over 4^2 and a rotor of 5.5e-6 it is 3.5
    lead = 0.02 * math.pi
    row = found(mass.reflected, 8e-6, 3.0, lead, 4.0, 5.5e-6, Band(0.6, 0.7, 0.8))
    assert (row.verdict, row.value, row.note) == ("PASS", pytest.approx(3.5), "5 with the gear's loss")
    assert found(mass.reflected, 8e-6, 3.0, lead, 4.0, 5.5e-6).note == ""
    assert found(mass.reflected, 8e-6, 3.0, lead, 4.0, 5.5e-6).limit == 5.0
    for limit, verdict in ((3.51, "PASS"), (3.49, "WARN"), (1.751, "WARN"), (1.749, "FAIL")):
        assert found(mass.reflected, 8e-6, 3.0, lead, 4.0, 5.5e-6, limit=limit).verdict == verdict


def test_bodies_that_move_are_held_against_the_mass_that_was_given() -> None:
    import numpy as np

    from calcs.mass import MassProperties

    def moving(kilograms: float, name: str = "carriage") -> mass.Weighed:
        return mass.Weighed(name, True, MassProperties(kilograms, np.zeros(3), np.zeros((3, 3))))

    still = mass.Weighed("rail", False, moving(9.0).properties)
    nut = moving(9.0, "nut")
    row = found(mass.moving, (moving(0.3), moving(0.2, "arm"), nut, still), 0.5)
    assert (row.verdict, row.value, row.note) == ("PASS", pytest.approx(0.5), "carriage, arm")
    assert found(mass.moving, (moving(0.509),), 0.5).verdict == "PASS"
    for weight in (0.511, 0.489):  # 2 % of 500 g are 10 g
        off = found(mass.moving, (moving(weight),), 0.5)
        assert off.verdict == "WARN"
        assert off.note == f"carriage weighs {weight * 1e3:g} g, motion.mass is 500 g"
        assert off.remedy.startswith(f'motion.mass = "{weight:g} kg"')
    lacking = found(mass.moving, (mass.Weighed("arm", True, None, "mass of arm"),), 0.5)
    assert (lacking.verdict, lacking.note, lacking.remedy) == (
        "NOT CHECKED",
        "needs mass of arm",
        "give mass of arm",
    )
    assert not lacking.asked
    assert found(mass.moving, (nut, still), 0.5).verdict == "INFO"

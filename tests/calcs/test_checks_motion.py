"""Profiles, lead accuracy, life of motor and gears, thrust bearing: on variants of the demo."""

from __future__ import annotations

import math

import pytest
from demo_rows import changed, given, rows

from calcs.checks.accuracy import graded_m

ACCELERATION = 'acceleration = "250 mm/s2"'


def test_the_demos_cycle_is_worked_out_by_hand() -> None:
    found = rows()
    assert found["motion.peak_speed"].verdict == "PASS"
    assert found["motion.peak_speed"].note == "trapezoidal profile, ramps of 0.1 s"
    assert found["motion.cycle_time"].value == pytest.approx(2 * (60 / 25 + 25 / 250))
    # v of s = v (t - v / a): 60 = 10.0676 (6 - 10.0676 / 250)
    speed = found["motion.cycle_speed"].value
    assert speed * (6.0 - speed / 250.0) == pytest.approx(60.0, rel=1e-9)
    assert found["motion.cycle_speed"].note == (
        "in equal thirds of ramp, run and ramp: 15 mm/s with 7.5 mm/s2"
    )
    # v^2 over two moves: 4 ramps of 0.1 s count a third, 4.6 s count whole
    by_hand = math.sqrt((25.0**2 * (4.6 + 0.4 / 3.0)) / 12.0)
    assert found["motion.effective_speed"].value == pytest.approx(by_hand)
    assert f"{math.sqrt(250.0**2 * 0.4 / 12.0):.3g} mm/s2" in found["motion.effective_speed"].note
    # a ramp of 0.1 s at the highest force, the clips' 8 N over 4 mm
    squares = 14.737316**2 * 0.1 + 14.624816**2 * 0.16 + 6.624816**2 * 2.24 + 2.201169**2 * 2.5
    assert found["motion.effective_force"].value == pytest.approx(math.sqrt(squares / 12.0), rel=1e-6)


def test_a_short_move_is_a_triangle_and_the_remedy_just_reaches_the_speed() -> None:
    row = rows((ACCELERATION, 'acceleration = "5 mm/s2"'))["motion.peak_speed"]
    assert row.verdict == "WARN"
    assert row.value == pytest.approx(math.sqrt(5.0 * 60.0))
    assert row.note.startswith("triangular profile")
    assert row.remedy.startswith("motion.acceleration of 10.42 mm/s2")
    assert rows((ACCELERATION, 'acceleration = "10.42 mm/s2"'))["motion.peak_speed"].verdict == "PASS"


def test_a_cycle_that_is_too_short_fails_with_the_time_it_takes() -> None:
    found = rows(('cycle_time = "12 s"', 'cycle_time = "4 s"'))
    assert found["motion.cycle_time"].verdict == "FAIL"
    assert found["motion.cycle_time"].remedy.startswith("motion.cycle_time of 5 s or more")
    ramps = rows(('cycle_time = "12 s"', 'cycle_time = "1.9 s"'))["motion.cycle_speed"]
    assert ramps.note == "the ramps alone take longer: motion.acceleration of 265.9 mm/s2 would do"


def test_without_a_cycle_time_the_moves_are_shown() -> None:
    row = rows(('cycle_time = "12 s"', "#"))["motion.cycle_time"]
    assert (row.verdict, row.value, row.counts) == ("NOT CHECKED", 5.0, False)


@pytest.mark.parametrize(
    ("grade", "value", "low"),
    # T7 over 60 mm: 2 x 60 / 300 x 52 = 20.8 and 52 around it; P5: 23 and 23 up to 315 mm
    [("T7", 72.8, 52.0), ("P5", 46.0, 23.0), ("T3", 16.8, 12.0)],
)
def test_a_graded_ball_screw(grade: str, value: float, low: float) -> None:
    row = rows(given("screw", f'grade = "{grade}"'), given("motion", 'accuracy = "0.1 mm"'))[
        "travel.lead_accuracy"
    ]
    assert row.verdict == "PASS"
    assert (row.value.low, row.value.high) == pytest.approx((low, value))
    assert row.note.startswith(f"grade {grade}, over 60 mm")


def test_a_grade_ends_where_its_table_does() -> None:
    assert graded_m("P3", 1.6) == pytest.approx((29e-6, 22e-6))
    assert graded_m("P3", 1.601) is None
    long = rows(
        given("screw", 'grade = "P3"'),
        ('far_bearing = "110.5 mm"', 'far_bearing = "2000 mm"'),
        ('stroke = "0..60 mm"', 'stroke = "0..1700 mm"'),
        ('hard_stops = "-4..64 mm"', "#"), ('sensors = "-1.5..61.5 mm"', "#"),
        ('travel = "-4..-3.5 mm"', "#"), ('travel = "63.5..64 mm"', "#"),
    )["travel.lead_accuracy"]  # fmt: skip
    assert (long.verdict, long.value) == ("NOT CHECKED", None)


def test_the_users_error_in_300_mm_counts_whole_over_a_short_stroke() -> None:
    row = rows(given("screw", 'lead_error = "0.2 mm"'), given("motion", 'accuracy = "0.1 mm"'))[
        "travel.lead_accuracy"
    ]
    assert (row.verdict, row.value.low, row.value.high) == ("FAIL", pytest.approx(40.0), pytest.approx(200.0))
    assert row.note.startswith("screw.lead_error; the low end if it is spread evenly")


def test_an_asked_accuracy_without_the_leads_error_is_not_checked() -> None:
    row = rows(given("motion", 'accuracy = "0.1 mm"'))["travel.lead_accuracy"]
    assert (row.verdict, row.counts, row.remedy) == ("NOT CHECKED", True, "give screw.grade")


@pytest.mark.parametrize(("hours", "verdict"), [("1000 h", "PASS"), ("600 h", "FAIL")])
def test_hours_of_motor_and_gears(hours: str, verdict: str) -> None:
    found = rows(given("motor", f'life = "{hours}"'), given("gears", f'life = "{hours}"'))
    for name in ("motor.life_hours", "gearing.life"):
        assert found[name].verdict == verdict
        assert found[name].value == pytest.approx(500_000 * 5.0 / 3600.0)
    assert not rows()["motor.life_hours"].counts


@pytest.mark.parametrize(("turns", "verdict"), [(160_000_000, "PASS"), (150_000_000, "FAIL")])
def test_turns_of_the_rotor(turns: int, verdict: str) -> None:
    row = rows(given("motor", f"life_turns = {turns}"))["motor.life_turns"]
    assert row.verdict == verdict
    assert row.value == pytest.approx(500_000 * 2 * 60 / 1.5 * 4)


def test_direct_drive_has_no_gears_to_wear_out() -> None:
    import demo_rows

    section = demo_rows.DEMO[demo_rows.DEMO.index("[gears]") : demo_rows.DEMO.index("[motor]\n")]
    found = rows((section, ""), ('a = "gear"\nb = "mount_plate"', 'a = "motor"\nb = "mount_plate"'))
    for name in (
        "gearing.life",
        "gearing.stage_torque",
        "gearing.stage_torque_peak",
        "gearing.tooth_bending",
    ):
        assert found[name].verdict == "INFO"
        assert found[name].note == "direct drive, no gears"


def test_thrust_bearing_bears_always_and_for_a_moment() -> None:
    # 6.625 N of weight and friction with 8 N of the clips; the ramp's 0.11 N is no lasting force
    good = rows(given("ends", 'thrust_continuous = "14.63 N"', 'thrust_momentary = "240 N"'))
    assert good["bearing.thrust_continuous"].verdict == "PASS"
    assert good["bearing.thrust_peak"].verdict == "PASS"
    assert good["bearing.thrust_peak"].value == pytest.approx(94.52, rel=1e-3)
    bad = rows(given("ends", 'thrust_continuous = "14.62 N"', 'thrust_momentary = "90 N"'))
    assert bad["bearing.thrust_continuous"].verdict == "FAIL"
    assert bad["bearing.thrust_peak"].verdict == "FAIL"


def test_bearing_life_by_the_cubic_mean_over_the_way() -> None:
    ramp, clips = 0.025 * 0.1 / 2, 0.004
    cubes = 14.737316**3 * ramp + 14.624816**3 * clips
    cubes += 6.624816**3 * (0.060 - ramp - clips) + 2.201169**3 * 0.060
    load = (cubes / 0.120) ** (1.0 / 3.0)
    found = changed().find("equivalent_load_n")
    assert found is not None
    assert found.value == pytest.approx(load, rel=1e-6)
    row = rows(given("ends", 'bearing_dynamic = "20 N"'))["bearing.life"]
    assert row.verdict == "FAIL"
    assert row.value == pytest.approx((20.0 / load) ** 3 * 1e6, rel=1e-6)
    rating = float(row.remedy.split()[-2])
    assert rating == pytest.approx(load * 40.0 ** (1.0 / 3.0), rel=1e-3)
    assert rows(given("ends", f'bearing_dynamic = "{rating * 1.001} N"'))["bearing.life"].verdict == "PASS"
    bare = rows(given("ends", 'bearing_dynamic = "20 N"'), ("cycles = 500000", "#"))["bearing.life"]
    assert (bare.verdict, bare.remedy) == ("NOT CHECKED", "give motion.cycles")

"""Travel, stops, strength, life, service, tolerance and plausibility on variants of the demo."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from calcs.case import case_of
from calcs.check import Result, overall, run_checks
from calcs.checks.service import free_m
from geometry.bodies import Box, Cylinder, Shape
from geometry.design import read_text

DEMO = (Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml").read_text(encoding="utf-8")


def rows(*changes: tuple[str, str]) -> dict[str, Result]:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return {r.id: r for r in run_checks(case_of(read_text(text)))}


THREAD, NEAR = 'length = "96 mm" ', 'near_journal = { diameter = "5 mm", length = "8 mm" }'


def near(start_mm: float) -> tuple[tuple[str, str], ...]:
    """Let the thread begin later, its far end where it was."""
    return (
        (THREAD, f'length = "{104 - start_mm:g} mm" '),
        (NEAR, f'near_journal = {{ diameter = "5 mm", length = "{start_mm:g} mm" }}'),
    )


@pytest.mark.parametrize(
    ("start", "verdict", "value"),
    [(8.0, "PASS", 2.0), (8.5, "PASS", 1.5), (9.0, "WARN", 1.0), (11.0, "FAIL", -1.0)],
)
def test_engagement_at_the_retracted_stop(start: float, verdict: str, value: float) -> None:
    row = rows(*near(start))["travel.engagement_retracted"]
    assert (row.verdict, row.value) == (verdict, pytest.approx(value))


def test_a_nut_that_runs_off_says_how_far_and_what_mends_it() -> None:
    row = rows(*near(11.0))["travel.engagement_retracted"]
    assert row.note.startswith("at s = -4 mm the nut runs 1 mm off it")
    assert row.remedy == "2.5 mm more thread at that end, or the stop at s = -1.5 mm"


def test_engagement_at_the_extended_stop() -> None:
    short = rows((THREAD, 'length = "85 mm" '))["travel.engagement_extended"]
    assert (short.verdict, short.value) == ("FAIL", pytest.approx(-1.0))
    assert short.remedy == "2.5 mm more thread at that end, or the stop at s = 61.5 mm"
    assert "never used" not in short.note


def test_order_of_the_ends_with_what_is_given() -> None:
    assert rows()["travel.order"].value == pytest.approx(1.5)
    without = rows(('sensors = "-1.5..61.5 mm"\n', ""))["travel.order"]
    assert (without.verdict, without.value) == ("PASS", pytest.approx(2.0))
    flush = rows(('sensors = "-1.5..61.5 mm"', 'sensors = "0..61.5 mm"'))["travel.order"]
    assert (flush.verdict, flush.remedy) == ("WARN", "move sensor and usable end apart")
    off = rows((THREAD, 'length = "85 mm" '))["travel.order"]
    assert (off.verdict, off.value) == ("FAIL", pytest.approx(-1.0))


@pytest.mark.parametrize(("ramp", "verdict", "value"), [("250", "PASS", 1.5), ("100", "FAIL", 3.375)])
def test_stopping_distance(ramp: str, verdict: str, value: float) -> None:
    row = rows(("250 mm/s2", f"{ramp} mm/s2"))["travel.stopping"]
    assert (row.verdict, row.value) == (verdict, pytest.approx(value))


def test_stopping_remedy_stops_in_time() -> None:
    row = rows(("250 mm/s2", "100 mm/s2"))["travel.stopping"]
    assert row.remedy == "a deceleration of 138.9 mm/s2 or more, or 0.875 mm more between sensor and stop"
    assert rows(("250 mm/s2", "139 mm/s2"))["travel.stopping"].verdict == "PASS"


def test_hysteresis_counts_and_hopeless_latency_offers_no_ramp() -> None:
    assert rows(("[stops]\n", '[stops]\nhysteresis = "0.1 mm"\n'))["travel.stopping"].value == pytest.approx(
        1.6
    )
    slow = rows(('latency = "10 ms"', 'latency = "200 ms"'))["travel.stopping"]
    assert slow.remedy == "3.75 mm more between sensor and stop"


def test_step_by_encoder_or_full_steps() -> None:
    coarse = rows(("counts = 64 ", "counts = 2 "))["travel.step"]
    assert (coarse.verdict, coarse.value, coarse.remedy) == (
        "FAIL",
        pytest.approx(187.5),
        "4 counts a motor turn or more",
    )
    stepper = rows(("counts = 64 ", ""), ("[motor.encoder]", "steps = 200\n\n[motor.encoder]"))["travel.step"]
    assert stepper.value == pytest.approx(1500 / 800)


FLOOR = (("-74..118", "-66..118"), ("-78..-74", "-70..-66"))


def test_a_floor_at_minus_66_leaves_no_room_for_the_cable() -> None:
    changed = rows(*FLOOR)
    row = changed["service.cable_room"]
    assert (row.verdict, row.value, row.limit, row.margin) == ("FAIL", 12.0, 18.0, -6.0)
    assert row.note == "3 mm straight, bend radius 4 x 3 mm; have 12 mm to floor, need 18 mm"
    assert row.remedy == "move floor 6 mm away, or a cable of 1.8 mm or less"
    assert overall(changed.values()) == "FAIL"
    high = (("-74..118", "-57.75..118"), ("-78..-74", "-61.75..-57.75"))  # 3 straight, 5 of 0.15 mm to bend
    assert rows(*high)["service.cable_room"].remedy.endswith("or a cable of 0.1 mm or less")
    thinner = rows(*FLOOR, ('[service.cable]\ndiameter = "3 mm"', '[service.cable]\ndiameter = "1.8 mm"'))
    assert thinner["service.cable_room"].verdict == "PASS"


def test_a_floor_with_a_hole_lets_the_cable_through_and_a_small_one_does_not() -> None:
    box = 'box = ["-24..24 mm", "-28..21 mm", "-70..-66 mm"]'
    for diameter, verdict in (("4 mm", "PASS"), ("2.9 mm", "FAIL")):
        bored = rows(*FLOOR, (box, f'{box}\nbore = {{ diameter = "{diameter}", centre = ["0 mm", "0 mm"] }}'))
        assert bored["service.cable_room"].verdict == verdict
    assert (
        rows(*FLOOR, (box, f'{box}\nbore = {{ diameter = "4 mm" }}'))["service.cable_room"].verdict == "FAIL"
    )


@pytest.mark.parametrize(
    ("low", "high", "free"),
    [(-2.0, 2.0, True), (-2.0, 1.7, False), (-0.7, 2.0, False), (-0.75, 1.75, True)],
)
def test_a_cable_along_x_passes_a_square_hole_that_is_high_enough(
    low: float, high: float, free: bool
) -> None:
    wall = Box((10.0, -9.0, -9.0), (12.0, 9.0, 9.0))
    cable = Cylinder("x", (0.0, 0.5), 1.25, (0.0, 30.0))  # from z = -0.75 to 1.75
    hole = Box((10.0, -2.0, low), (12.0, 2.0, high))
    assert math.isinf(free_m(cable, 1.0, Shape((wall,), (hole,)), (0.0, 0.0))) == free


@pytest.mark.parametrize(
    ("start", "end", "free"), [(10.0, 12.0, True), (11.0, 12.0, False), (10.0, 11.0, False)]
)
def test_a_cable_along_x_passes_no_blind_hole(start: float, end: float, free: bool) -> None:
    wall = Box((10.0, -9.0, -9.0), (12.0, 9.0, 9.0))
    hole = Box((start, -2.0, -2.0), (end, 2.0, 2.0))
    cable = Cylinder("x", (0.0, 0.0), 1.0, (0.0, 30.0))
    assert math.isinf(free_m(cable, 1.0, Shape((wall,), (hole,)), (0.0, 0.0))) == free


def test_a_cable_to_the_side_meets_the_wall_or_a_moving_body() -> None:
    side = rows(("direction = [0, 0, -1]  ", "direction = [1, 0, 0]  "))["service.cable_room"]
    # from the encoder's side at x = 7.75 to the right wall at x = 20
    assert (side.verdict, side.value) == ("FAIL", pytest.approx(12.25))
    assert "right_wall" in side.note
    rail = '[[fixed]]\nname = "rail"'
    post = '[[moving]]\nname = "post"\nmass = "1 g"\nbox = ["10..12 mm", "-4..4 mm", "-110..-60 mm"]\n\n'
    swept = rows(("direction = [0, 0, -1]  ", "direction = [1, 0, 0]  "), (rail, post + rail))
    assert swept["service.cable_room"].value == pytest.approx(2.25)
    assert "post" in swept["service.cable_room"].note


def test_without_anything_in_the_way_the_room_is_free() -> None:
    start = DEMO.index('[[housing.body]]\nname = "floor"')
    floor = DEMO[start : DEMO.index('[[housing.body]]\nname = "lid"')]
    free = rows((floor, ""))["service.cable_room"]
    assert (free.verdict, free.value) == ("PASS", None)
    assert "nothing stands in the way" in free.note


def test_a_file_in_the_way_is_never_a_pass() -> None:
    case = case_of(
        read_text(DEMO.replace("[[housing.body]]", '[housing]\nfile = "housing.step"\n\n[[housing.body]]', 1))
    )
    found = {r.id: r for r in run_checks(case)}["service.cable_room"]
    assert (found.verdict, found.counts) == ("NOT CHECKED", True)
    assert "housing is a file: `make` measures it" in found.note
    text = DEMO.replace("[[housing.body]]", '[housing]\nfile = "housing.step"\n\n[[housing.body]]', 1)
    for old, new in FLOOR:
        text = text.replace(old, new)
    blocked = {r.id: r for r in run_checks(case_of(read_text(text)))}["service.cable_room"]
    assert blocked.verdict == "FAIL"


def test_a_current_limit_near_the_stops_cures_the_jam_and_nothing_else_changes() -> None:
    cured = rows(('latency = "10 ms"', 'latency = "10 ms"\ncurrent_limit = "0.45 A"'))
    assert cured["stops.jam_release"].verdict == "PASS"
    assert rows()["stops.jam_release"].note.startswith("may jam: 8.8 mN*m at friction 0.08; ")
    assert "may jam" not in cured["stops.jam_release"].note
    assert cured["stops.jam_release"].value.nominal == pytest.approx(8.9, rel=0.01)
    assert cured["stops.jam_release"].limit == pytest.approx(14.23, rel=1e-3)
    assert cured["motor.dynamic_margin.nominal"].value == pytest.approx(2.12, rel=0.01)
    assert cured["stops.control_lost"].value == pytest.approx(252.0, rel=0.01)
    assert overall(cured.values()) == "NOT PROVEN"


def test_the_current_limit_of_the_jam_remedy_just_cures_it() -> None:
    remedy = rows()["stops.jam_release"].remedy
    assert "stops.current_limit of 0.67 A or less cures it (the work itself takes up to 0.46 A)" in remedy
    for limit, verdict in (("0.67 A", "PASS"), ("0.69 A", "WARN")):
        tried = rows(('latency = "10 ms"', f'latency = "10 ms"\ncurrent_limit = "{limit}"'))
        assert tried["stops.jam_release"].verdict == verdict


def test_a_screw_that_springs_back_does_not_jam() -> None:
    quick = rows(("Tr8x1.5", "Tr8x8(P2)"))["stops.jam_release"]
    assert (quick.verdict, quick.value, quick.remedy) == ("PASS", 0.0, "")


def test_without_stiffness_the_impact_is_not_checked() -> None:
    soft = rows(('stiffness = "200 N/mm"\n', ""))
    assert soft["stops.impact"].note == "needs stops.stiffness"
    assert overall(soft.values()) == "NOT CHECKED"
    weak = rows(('strength = "500 N"', 'strength = "400 N"'))
    assert weak["stops.impact"].verdict == "FAIL"
    assert weak["stops.control_lost"].verdict == "WARN"
    bare = rows(('strength = "500 N" ', "# "))["stops.slow_stall"]
    assert bare.verdict == "INFO"
    assert bare.cautions[0].startswith("The drive can pinch")


def test_momentary_limits_of_bearing_and_nut() -> None:
    given = rows(
        ('nut = "free"', 'thrust_momentary = "200 N"\nnut = "free"'),
        ("area_factor", 'force_momentary = "300 N"\narea_factor'),
    )
    assert given["stops.thrust"].verdict == "FAIL"
    assert given["stops.nut_force"].verdict == "PASS"


def test_buckling_ends_and_stocky_screws() -> None:
    held = rows(('nut = "free" ', 'nut = "fixed" '))["strength.buckling"]
    assert held.verdict == "NOT CHECKED"
    assert "so stocky a screw needs screw.strength" in held.note
    yielding = rows(('nut = "free" ', 'nut = "fixed" '), (NEAR, f'{NEAR}\nstrength = "350 MPa"'))
    assert yielding["strength.buckling"].verdict == "PASS"
    assert yielding["strength.buckling"].value < 350 * 30.19  # below the body's yield load
    assert yielding["strength.body_stress"].verdict == "PASS"
    assert yielding["strength.thread_root"].verdict == "PASS"
    loose = rows(('near = "fixed"', 'near = "free"'))
    assert loose["strength.buckling"].verdict == "NOT CHECKED"
    assert loose["strength.critical_speed"].note == "a free-supported screw is not held"


def test_body_stress_against_a_third_of_yield() -> None:
    found = rows((NEAR, f'{NEAR}\nstrength = "10 MPa"'))
    assert found["strength.body_stress"].verdict == "FAIL"
    # 94.5 N on 30.2 mm2 and 51.2 mN*m of torsion
    expected = ((94.52 / 30.19) ** 2 + 3 * (16 * 51.22 / (3.14159 * 6.2**3)) ** 2) ** 0.5
    assert found["strength.body_stress"].value == pytest.approx(expected, rel=2e-3)
    assert found["strength.body_stress"].limit == pytest.approx(10 / 3)


def test_a_whipping_screw_names_every_way_out() -> None:
    text = (('far = "supported"', 'far = "free"'), ("25 mm/s", "2500 mm/s"), (THREAD, 'length = "600 mm" '))
    row = rows(*text)["strength.critical_speed"]
    assert row.verdict == "FAIL"
    assert row.remedy.startswith("a bearing at the far end, an unsupported length of ")
    assert row.remedy.endswith("a lower speed or a longer lead")
    unplaced = rows(('far_bearing = "110.5 mm"\n', ""))["strength.critical_speed"]
    assert (unplaced.verdict, unplaced.remedy) == ("NOT CHECKED", "give ends.far_bearing")


def test_an_unknown_material_is_asked_for() -> None:
    strange = rows(('material = "steel"', 'material = "mystery"'))
    assert strange["strength.buckling"].note == "needs a known screw.material"


def test_pressure_without_a_share_of_the_flank_says_so() -> None:
    whole = rows(("area_factor = 0.5 ", "# "))
    assert whole["life.pressure"].value == pytest.approx(0.081, rel=0.01)
    assert "whole flank" in whole["life.pressure"].note
    assert whole["life.pv"].value == pytest.approx(0.031, rel=0.01)


@pytest.mark.parametrize(
    ("limit", "verdict"), [("0.02 mm", "FAIL"), ("0.10 mm", "NOT PROVEN"), ("1 mm", "NOT PROVEN")]
)
def test_wear_is_never_a_pass(limit: str, verdict: str) -> None:
    assert rows(('wear_limit = "0.10 mm"', f'wear_limit = "{limit}"'))["life.wear"].verdict == verdict


def test_tolerance_chain_takes_the_general_class_where_nothing_is_given() -> None:
    general = rows(('length = "108 +-0.2 mm"', 'length = "108 mm"'))["tolerance.worst_case"]
    assert general.value == pytest.approx(2.0 - 0.3 - 0.5)  # ISO 2768-m: +-0.3 over 30 to 120 mm
    shifted = rows(('length = "108 +-0.2 mm"', 'length = "108 +0.4/0 mm"'))["tolerance.worst_case"]
    assert shifted.value == pytest.approx(1.3 + 0.2)
    tight = rows(('required = "0.5 mm"', 'required = "1.4 mm"'))
    assert (tight["tolerance.worst_case"].verdict, tight["tolerance.rss"].verdict) == ("FAIL", "PASS")
    assert tight["tolerance.worst_case"].remedy.startswith("0.1 mm more gap")
    huge = rows(('length = "108 +-0.2 mm"', 'length = "2000 mm"'))["tolerance.worst_case"]
    assert huge.verdict == "NOT CHECKED"


def test_inches_for_millimetres_are_computed_and_said() -> None:
    row = rows(('speed = "25 mm/s"', 'speed = "25 in/s"'))["plausible.speed"]
    assert row.verdict == "WARN"
    assert row.note.startswith(
        "speed 635 mm/s with lead 1.5 mm = 25400 screw rpm, 101600 motor rpm, 10 times"
    )
    assert "9933 rpm" in row.note
    assert row.remedy.startswith("did you mean 25 mm/s?")


@pytest.mark.parametrize(
    ("diameter", "verdict", "remedy"),
    [("16 mm", "PASS", ""), ("160 mm", "WARN", "did you mean 16 mm?"), ("2 mm", "WARN", "check its unit")],
)
def test_motor_sizes(diameter: str, verdict: str, remedy: str) -> None:
    old = '[motor]\nkind = "brushed"\ndiameter = "16 mm"'
    row = rows((old, old.replace("16 mm", diameter)))["plausible.motor_size"]
    assert (row.verdict, row.remedy) == (verdict, remedy)


def test_newton_metres_for_millinewton_metres_are_said() -> None:
    old = 'resistance = "9.5 ohm"\ntorque_constant = "11.4 mN*m/A"\n'
    new = 'voltage = "12 V"\nstall_current = "1.2 A"\nstall_torque = "3.6 N*m"\n'
    row = rows((old, new))["plausible.motor_torque"]
    assert row.verdict == "WARN"
    assert row.note == "3.6 N*m from 16 mm diameter: 249 times typical for that volume"
    assert "mN*m typed as N*m?" in row.remedy


def test_a_replaced_limit_and_an_accepted_row() -> None:
    tail = """
[limits]
"drive.holding" = { limit = 1.2, reason = "bench test 12" }
"stops.impact" = { limit = "300 N", reason = "tested stop" }

[[accepted]]
check = "life.wear"
evidence = "test of 2026-02"
document = "TR-017"
"""
    found = {r.id: r for r in run_checks(case_of(read_text(DEMO + tail)))}
    assert found["drive.holding"].verdict == "PASS"
    assert found["stops.impact"].limit == 300.0
    assert (found["life.wear"].verdict, found["life.wear"].accepted) == (
        "NOT PROVEN",
        "test of 2026-02, TR-017",
    )


def test_the_current_limit_of_the_impact_remedy_just_passes() -> None:
    weak = ('strength = "500 N"', 'strength = "400 N"')
    remedy = rows(weak)["stops.impact"].remedy
    assert remedy.startswith("stops.current_limit of ")
    assert "stops.strength of 467 N" in remedy
    current = float(remedy.split()[2])
    for extra, verdict in ((0.0, "PASS"), (0.02, "FAIL")):
        limit = f'latency = "10 ms"\ncurrent_limit = "{current + extra:.2f} A"'
        assert rows(weak, ('latency = "10 ms"', limit))["stops.impact"].verdict == verdict
    assert rows(('strength = "500 N"', 'strength = "467 N"'))["stops.impact"].verdict == "PASS"


def test_a_metal_nut_without_a_share_is_counted_whole_and_not_warned_about() -> None:
    metal = rows(("area_factor = 0.5 ", "# "), ('material = "POM"', 'material = "bronze"'))["life.pressure"]
    assert metal.note == "no nut.area_factor: the whole flank is counted"
    open_ended = rows(('wear_limit = "0.10 mm"', ""))["life.wear"]
    assert (open_ended.verdict, open_ended.counts) == ("NOT CHECKED", False)


def test_a_cable_without_a_place_is_not_checked() -> None:
    placeless = rows(
        ('[motor]\nkind = "brushed"\ndiameter = "16 mm"\nlength = "30 mm"', '[motor]\nkind = "brushed"')
    )
    assert placeless["service.cable_room"].verdict == "NOT CHECKED"
    assert placeless["service.cable_room"].note == "the cable has no place yet"


FLOOR_PLATE = Box((-0.01, -0.01, -0.09), (0.01, 0.01, -0.08))
COLUMN = Cylinder("z", (0.0, 0.0), 0.0015, (-0.072, -0.054))


@pytest.mark.parametrize(
    ("adds", "cuts", "free"),
    [
        (FLOOR_PLATE, (), 0.026),
        (Box((0.0016, -0.01, -0.09), (0.01, 0.01, -0.08)), (), math.inf),  # beside the cable
        (Box((0.0014, -0.01, -0.09), (0.01, 0.01, -0.08)), (), 0.026),  # grazed by it
        (Box((-0.01, -0.01, 0.0), (0.01, 0.01, 0.01)), (), math.inf),  # behind it
        (Box((-0.01, -0.01, -0.06), (0.01, 0.01, -0.05)), (), 0.0),  # around its exit
        (Cylinder("z", (0.004, 0.0), 0.003, (-0.09, -0.08)), (), 0.026),
        (Cylinder("z", (0.005, 0.0), 0.003, (-0.09, -0.08)), (), math.inf),
        (Cylinder("x", (0.0, -0.08), 0.002, (-0.01, 0.01)), (), 0.024),
        (FLOOR_PLATE, (Box((-0.002, -0.002, -0.09), (0.002, 0.002, -0.08)),), math.inf),
        (FLOOR_PLATE, (Box((-0.001, -0.002, -0.09), (0.002, 0.002, -0.08)),), 0.026),
        (FLOOR_PLATE, (Cylinder("z", (0.0, 0.0), 0.002, (-0.09, -0.085)),), 0.026),
        (FLOOR_PLATE, (Cylinder("x", (0.0, -0.085), 0.002, (-0.01, 0.01)),), 0.026),
    ],
)  # fmt: skip
def test_room_before_a_body(adds: Box | Cylinder, cuts: tuple[Box | Cylinder, ...], free: float) -> None:
    assert free_m(COLUMN, -1.0, Shape((adds,), cuts), (0.0, 0.0)) == pytest.approx(free, abs=1e-12)

"""Drive, gearing, motor and guide on variants of the demo: what changes, which verdict, which words."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from calcs.case import case_of
from calcs.check import Result, known_derivations, overall, run_checks
from geometry.design import read_text
from geometry.units import Band

DEMO = (Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml").read_text(encoding="utf-8")
STAGE = '[[gears.stage]]\nsun = 12\nplanet = 12\nring = 36\nplanets = 3\nmodule = "0.3 mm"\n'


def rows(*changes: tuple[str, str]) -> dict[str, Result]:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return {r.id: r for r in run_checks(case_of(read_text(text)))}


UP = "up = [0, 0, 1]"


def test_hanging_the_same_load_below_needs_the_same_force_to_lift_it() -> None:
    down = rows((UP, "up = [0, 0, -1]"))
    assert down["drive.force_steady"].value == pytest.approx(6.625, rel=1e-3)
    # the clips act against extending, which now goes down with the weight: 8 - 4.41 + 2.21 + 0.11 is the less
    assert down["drive.force_peak"].value == pytest.approx(6.737, rel=1e-3)
    # there the net force is 8 - 4.41 N up, elsewhere 4.41 N down: the nut changes its side on the way
    assert down["gearing.lost_motion"].note.startswith("the nut's own play counts")


def test_a_push_that_grows_with_the_weight_leaves_the_nut_seated() -> None:
    assert rows()["gearing.lost_motion"].note == "the weight keeps the nut seated"
    assert (
        rows(('force = "8 N"', 'force = "-3 N"'))["gearing.lost_motion"].verdict == "NOT CHECKED"
    )  # 4.41 - 3 - 2.21
    assert (
        rows(('force = "8 N"', 'force = "-2 N"'))["gearing.lost_motion"].verdict == "PASS"
    )  # 4.41 - 2 - 2.21


def test_lying_the_guide_carries_the_weight() -> None:
    flat = rows((UP, "up = [0, 1, 0]"))
    assert flat["drive.force_steady"].value == pytest.approx(2.0 + 0.01 * 4.413, rel=1e-3)
    assert flat["drive.force_lowering"].value < 0.0
    assert flat["gearing.lost_motion"].verdict == "NOT CHECKED"
    assert flat["gearing.lost_motion"].note == "the nut's own play counts, and nut.play is not given"
    assert flat["drive.lower_torque"].value.nominal > 0.0


def test_a_force_that_helps_extending_resists_retracting() -> None:
    pulled = rows(('force = "8 N"', 'force = "-8 N"'))
    assert pulled["drive.force_peak"].value == pytest.approx(6.737, rel=1e-3)
    flat = rows(('force = "8 N"', 'force = "-8 N"'), (UP, "up = [0, 1, 0]"))
    assert flat["drive.force_peak"].value == pytest.approx(8.0 + 2.044 + 0.1125, rel=1e-3)


def test_overlapping_forces_add_up() -> None:
    both = rows(('force = "8 N" }', 'force = "8 N" }, { travel = "2..10 mm", force = "3 N" }'))
    assert both["drive.force_peak"].value == pytest.approx(17.737, rel=1e-3)


def test_what_is_not_given_is_said_beside_the_force() -> None:
    bare = rows(('acceleration = "250 mm/s2"\n', ""))
    assert "No motion.acceleration" in bare["drive.force_peak"].cautions[0]
    assert bare["motor.torque"].verdict == "NOT CHECKED"
    assert bare["motor.torque"].note == "needs motion.acceleration"
    guide = '[guide]\nkind = "ball"\nfriction = 0.01\nlength = "20 mm"\narm = "48 mm"'
    start = DEMO.index(guide)
    section = DEMO[start : DEMO.index("[stops]")]
    assert "No [guide]" in rows((section, ""))["drive.force_steady"].cautions[0]


@pytest.mark.parametrize(
    ("low", "verdict"), [("0.06", "FAIL"), ("0.08", "WARN"), ("0.0955", "PASS"), ("0.10", "PASS")]
)
def test_holding_is_judged_at_the_low_end(low: str, verdict: str) -> None:
    row = rows(("0.08..0.15..0.20", f"{low}..0.15..0.20"))["drive.holding"]
    assert row.verdict == verdict
    assert row.value.low == pytest.approx(float(low) / 0.06362, rel=1e-3)


def test_a_better_low_end_turns_the_holding_row_alone() -> None:
    better = rows(("0.08..0.15..0.20", "0.10..0.15..0.20"))
    assert better["drive.holding"].value.low == pytest.approx(1.572, rel=1e-3)
    assert overall(better.values()) == "NOT PROVEN"


def test_holding_remedies_pass_when_they_are_followed() -> None:
    row = rows()["drive.holding"]
    assert row.remedy == (
        "friction of 0.0954 or more at its low end, a lead of 1.26 mm or less, or a [brake]"
    )
    assert row.cautions[0].startswith("The load can fall")


def test_under_vibration_holding_is_not_proven() -> None:
    row = rows((UP, f'{UP}\nvibration = "transport by car"'))["drive.holding"]
    assert row.verdict == "NOT PROVEN"
    assert "lift: transport by car" in row.note
    falls = rows((UP, f'{UP}\nvibration = "x"'), ("0.08..0.15..0.20", "0.05..0.15..0.20"))["drive.holding"]
    assert falls.verdict == "FAIL"


def test_holding_that_is_not_asked_is_information() -> None:
    assert rows(('without_power = "hold"', 'without_power = "fall"'))["drive.holding"].verdict == "INFO"


MULTI = (("Tr8x1.5", "Tr8x8(P2)"), ('inertia = "2.536 g*cm2"', 'inertia = "2.5 g*cm2"'))


def test_four_starts_fall() -> None:
    quick = rows(*MULTI)
    assert quick["drive.holding"].value.nominal == pytest.approx(0.43, rel=0.01)
    assert quick["drive.lead_angle"].value == pytest.approx(19.99, rel=1e-3)
    assert quick["drive.holding"].verdict == "FAIL"
    assert quick["drive.lower_torque"].note == "negative: the load turns the screw"


@pytest.mark.parametrize(
    ("on", "torque", "verdict"), [("screw", "20", "PASS"), ("screw", "0.5", "FAIL"), ("motor", "5", "PASS")]
)
def test_a_brake_holds_what_friction_does_not(on: str, torque: str, verdict: str) -> None:
    brake = f'[brake]\ntorque = "{torque} mN*m"\non = "{on}"\ninertia = "0.1 g*cm2"\n\n[stops]'
    braked = rows(*MULTI, ("[stops]", brake))
    assert braked["drive.brake"].verdict == verdict
    assert braked["drive.holding"].verdict == "INFO"
    assert braked["drive.holding"].note.endswith("the [brake] is what holds: see drive.brake")


def test_a_brake_on_the_motor_has_the_gears_help() -> None:
    on_screw = '[brake]\ntorque = "20 mN*m"\non = "screw"\n\n[stops]'
    on_motor = on_screw.replace("screw", "motor")
    screw, motor = (rows(*MULTI, ("[stops]", text))["drive.brake"].limit for text in (on_screw, on_motor))
    assert screw == pytest.approx(4.0 * motor)


@pytest.mark.parametrize(
    ("force", "up", "resting"),
    [
        ("8 N", "0, 0, 1", 0.450 * 9.80665 + 8.0),
        ("-8 N", "0, 0, 1", 0.450 * 9.80665),  # 3.59 N the other way is the less
        ("-8 N", "0, 0, -1", 0.450 * 9.80665 + 8.0),
        ("8 N", "0, 1, 0", 8.0),
        ("-8 N", "0, 1, 0", 8.0),
    ],
)
def test_a_brake_bears_what_weight_and_outside_forces_do_together(
    force: str, up: str, resting: float
) -> None:
    brake = '[brake]\ntorque = "20 mN*m"\non = "screw"\n\n[stops]'
    changed = ('force = "8 N"', f'force = "{force}"'), (UP, f"up = [{up}]"), ("[stops]", brake)
    row = rows(*MULTI, *changed)["drive.brake"]
    # d2 = 7 mm, lead 8 mm, friction 0.08 over cos 15 degrees, half more than the load asks
    phi = math.atan(0.08 / math.cos(math.radians(15.0)))
    assert row.limit == pytest.approx(
        1.5 * resting * 3.5 * math.tan(math.atan(8 / (math.pi * 7)) - phi), rel=1e-9
    )


def test_sag_counts_backlash_and_the_brakes_travel() -> None:
    assert rows()["drive.sag"].value == pytest.approx(0.00625)
    brake = '[brake]\ntorque = "10 mN*m"\ntravel = "12 deg"\n\n[stops]'
    assert rows(("[stops]", brake))["drive.sag"].value == pytest.approx(1.5 * (1.5 + 12 / 4) / 360)


def test_a_gear_as_bought_has_no_teeth_to_check() -> None:
    bought = rows((STAGE, ""), ("[gears]\n", "[gears]\nratio = 4\n"))
    for row in ("ratio", "ring", "spacing", "neighbours", "undercut"):
        assert bought[f"gearing.{row}"].verdict == "INFO"
        assert "bought by its ratio" in bought[f"gearing.{row}"].note
    assert bought["motor.torque"].value == pytest.approx(4.01, rel=0.01)


def test_gears_without_ratio_or_teeth_are_asked_for() -> None:
    assert rows((STAGE, ""))["gearing.ratio"].note == "needs gears.ratio"


@pytest.mark.parametrize(
    ("teeth", "row", "words"),
    [
        ((12, 12, 37, 3), "ring", "37 is not 12 + 2 x 12 = 36"),
        ((14, 21, 56, 3), "spacing", "not an integer"),
        ((12, 30, 72, 4), "neighbours", "neighbours touch"),
    ],
)
def test_a_tooth_rule_that_fails_says_its_numbers(teeth: tuple[int, ...], row: str, words: str) -> None:
    sun, planet, ring, planets = teeth
    changed = f"[[gears.stage]]\nsun = {sun}\nplanet = {planet}\nring = {ring}\nplanets = {planets}\n"
    found = rows((STAGE, changed))[f"gearing.{row}"]
    assert found.verdict == "FAIL"
    assert words in found.note
    assert found.remedy.startswith(f"{1 + ring / sun:g}:1 in one stage, {planets} planets")


def test_teeth_that_miss_the_wanted_ratio_are_said_with_the_nearest() -> None:
    found = rows(("[gears]\n", "[gears]\nratio = 6.3\n"))["gearing.ratio"]
    assert (found.verdict, found.value, found.limit) == ("FAIL", 4.0, 6.3)
    assert "14/31/76 = 6.4286 (+2.0 %)" in found.remedy
    assert found.note == "12/12/36 with 3 planets give 4, gears.ratio asks 6.3 (-37 %)"


def test_two_stages_multiply() -> None:
    second = STAGE + STAGE.replace("planet = 12\nring = 36", "planet = 9\nring = 30")
    assert rows((STAGE, second))["gearing.ratio"].value == pytest.approx(14.0)


def test_direct_drive_needs_no_gears() -> None:
    section = DEMO[DEMO.index("[gears]") : DEMO.index("[motor]\n")]
    direct = rows((section, ""), ('a = "gear"\nb = "mount_plate"', 'a = "motor"\nb = "mount_plate"'))
    assert direct["gearing.ratio"].note == "direct drive, no gears"
    assert direct["gearing.ring"].note == "direct drive, no gears"
    assert direct["gearing.lost_motion"].value == 0.0


SUPPLY = "10.8..12..13.2 V"


@pytest.mark.parametrize(
    ("supply", "row", "value", "verdict"),
    [
        ("10.2..12..13.2 V", "motor.dynamic_margin.supply", 1.24, "FAIL"),
        ("10.8..12..13.2 V", "motor.dynamic_margin.supply", 1.38, "PASS"),
        ("7.2..8..8.8 V", "motor.voltage", 8.26, "FAIL"),
        ("7.2..8..8.8 V", "motor.static_margin.supply", 1.83, "FAIL"),
    ],
)
def test_the_supply_band_decides(supply: str, row: str, value: float, verdict: str) -> None:
    found = rows((SUPPLY, supply))[row]
    assert found.value == pytest.approx(value, rel=0.01)
    assert found.verdict == verdict


def test_voltage_remedies() -> None:
    remedy = rows((SUPPLY, "7.2..8..8.8 V"))["motor.voltage"].remedy
    assert remedy == "a supply of 8.26 V or more, or a speed of 23.7 mm/s or less"
    slower = rows((SUPPLY, "7.2..8..8.8 V"), ('speed = "25 mm/s"', 'speed = "23.6 mm/s"'))
    assert slower["motor.voltage"].verdict == "PASS"


def test_a_current_limit_bounds_current_and_torque() -> None:
    limited = rows((SUPPLY, f'{SUPPLY}"\ncurrent_limit = "0.45 A'))
    assert (limited["motor.current"].verdict, limited["motor.current"].limit) == ("PASS", 0.45)
    assert limited["motor.dynamic_margin.nominal"].value == pytest.approx(0.435 * 11.4 / 4.008, rel=1e-3)
    tight = rows((SUPPLY, f'{SUPPLY}"\ncurrent_limit = "0.3 A'))["motor.current"]
    assert (tight.verdict, tight.remedy) == ("FAIL", "supply.current_limit of 0.367 A or more")


def test_a_motor_by_its_stall_point_is_the_same_motor() -> None:
    old = 'resistance = "9.5 ohm"\ntorque_constant = "11.4 mN*m/A"\n'
    stall = 12.0 / 9.5
    new = f'voltage = "12 V"\nstall_current = "{stall:.12f} A"\n'
    new += f'stall_torque = "{(stall - 0.015) * 11.4:.12f} mN*m"\n'
    same = rows((old, new))
    for name in ("motor.voltage", "motor.dynamic_margin.warm", "motor.winding"):
        assert same[name].value == pytest.approx(rows()[name].value, rel=1e-9)


def test_a_motor_without_data_is_asked_for_and_counts_once_it_is_begun() -> None:
    begun = rows(('resistance = "9.5 ohm"\n', ""))
    assert begun["motor.dynamic_margin.nominal"].note == "needs motor.resistance"
    assert begun["motor.dynamic_margin.nominal"].counts
    assert overall(begun.values()) == "NOT CHECKED"


def test_the_winding_line_in_the_warm_corner_is_consistent() -> None:
    row = rows()["motor.dynamic_margin.warm"]
    assert "1.25 is reached with the winding at 50.5 degC" in row.note
    hot = rows((SUPPLY, "10.2..12..13.2 V"))["motor.dynamic_margin.warm"]
    assert "reached" not in hot.note
    assert hot.remedy.startswith("6.4 mN*m would pass: a longer motor")  # 5.75 is the most, at any ratio
    assert hot.note == "6.03 mN*m for 5.12 mN*m"


def test_a_longer_cycle_cools_the_winding() -> None:
    assert rows(('cycle_time = "12 s"', 'cycle_time = "6 s"'))["motor.winding"].value > 40.0
    hot = rows(('winding_limit = "100 degC"', 'winding_limit = "36 degC"'))["motor.winding"]
    assert (hot.verdict, hot.margin) == ("FAIL", pytest.approx(-1.698, rel=1e-3))


def test_without_ambient_the_winding_is_not_guessed() -> None:
    assert rows(('ambient = "5..35 degC"\n', ""))["motor.winding"].note == "needs load_case.ambient"


def test_the_continuous_current_is_a_limit_where_it_is_given() -> None:
    given = rows(("[motor.encoder]", 'current_continuous = "0.05 A"\n\n[motor.encoder]'))
    assert given["motor.effective_current"].verdict == "FAIL"


def test_gear_limits() -> None:
    weak = rows(('torque_continuous = "60 mN*m"', 'torque_continuous = "12 mN*m"\nspeed_limit = "3000 rpm"'))
    assert (weak["gearing.torque"].verdict, weak["gearing.torque"].remedy) == ("FAIL", "a gear for 14.8 mN*m")
    assert (weak["gearing.input_speed"].verdict, weak["gearing.input_speed"].value) == (
        "FAIL",
        pytest.approx(4000.0),
    )


PLAIN = 'kind = "ball"\nfriction = 0.01'


@pytest.mark.parametrize(
    ("guide", "verdict", "limit"),
    [
        (PLAIN, "PASS", 50.0),
        ('kind = "plain"\nfriction = 0.25', "FAIL", 2.0),
        ('kind = "plain"\nfriction = 0.1', "WARN", 5.0),
        ('kind = "plain"\nfriction = 0.0', "PASS", None),
    ],
)
def test_guide_binding(guide: str, verdict: str, limit: float | None) -> None:
    found = rows((PLAIN, guide))["guide.binding"]
    assert (found.verdict, found.limit, found.value) == (verdict, limit, pytest.approx(2.4))


def test_guide_friction_with_a_band_spreads_the_force() -> None:
    band = rows((PLAIN, 'kind = "plain"\nfriction = "0.1..0.15..0.2"'))["drive.force_steady"].value
    assert band.low < band.nominal < band.high
    assert band.high == pytest.approx(4.413 + 2.0 + 2 * 0.2 * 4.413 * 2.4, rel=1e-3)


def test_collar_friction_adds_to_the_torque() -> None:
    collar = rows(('nut = "free"', 'collar_diameter = "7 mm"\ncollar_friction = 0.1\nnut = "free"'))
    added = collar["drive.raise_torque"].value.nominal - rows()["drive.raise_torque"].value.nominal
    assert added == pytest.approx(14.737 * 0.1 * 3.5, rel=1e-3)


def test_a_stepper_is_not_judged_by_a_line_that_it_does_not_have() -> None:
    stepper = rows(('[motor]\nkind = "brushed"', '[motor]\nkind = "stepper"'))
    assert stepper["motor.dynamic_margin.nominal"].verdict == "INFO"
    assert "a stepper has no torque line" in stepper["motor.dynamic_margin.nominal"].note
    assert stepper["motor.table_margin"].missing == ("motor.torque_table",)
    assert stepper["motor.table_margin"].counts
    assert overall(stepper.values()) == "NOT CHECKED"


def test_the_motors_own_speed_limit() -> None:
    assert rows()["motor.speed"].verdict == "INFO"
    given = rows(("[motor.encoder]", 'speed_limit = "3900 rpm"\n\n[motor.encoder]'))["motor.speed"]
    assert (given.verdict, given.value, given.limit) == ("FAIL", pytest.approx(4000.0), pytest.approx(3900.0))


def test_repeatability_is_a_closer_limit_of_lost_motion_than_the_step() -> None:
    given = rows(('step = "0.1 mm" ', 'repeatability = "0.005 mm"\nstep = "0.1 mm" '))["gearing.lost_motion"]
    assert (given.verdict, given.limit) == ("FAIL", pytest.approx(5.0))


def test_inertia_beside_the_screw_and_the_rotor_is_counted() -> None:
    parts = '[coupling]\ninertia = "2 g*cm2"\nbacklash = "0.2 deg"\n\n[stops]'
    more = rows(("[stops]", parts), ('mass = "22 g"', 'mass = "22 g"\ninertia = "0.1 g*cm2"'))
    # (1.0 + 0.1 + (2.536 + 2) / (16 x 0.85)) g*cm2 at 4188.8 rad/s2, and the load
    expected = 3.5107 + (1.1 + 4.536 / 13.6) * 1e-7 * 4188.79 * 1e3
    assert more["motor.torque"].value == pytest.approx(expected, rel=1e-4)
    assert more["gearing.lost_motion"].value == pytest.approx(1500 * 1.7 / 360)
    assert more["mass.total"].cautions == ("Not counted: coupling",)


def test_two_stages_that_miss_the_wanted_ratio() -> None:
    found = rows((STAGE, STAGE + STAGE), ("[gears]\n", "[gears]\nratio = 15\n"))["gearing.ratio"]
    assert (found.verdict, found.value, found.remedy) == ("FAIL", 16.0, "gears.ratio = 16")


def test_gears_without_teeth_and_backlash_are_asked_for_it() -> None:
    bought = (STAGE, ""), ("[gears]", "[gears]\nratio = 4"), ('backlash = "1.5 deg"\n', "")
    assert rows(*bought)["gearing.lost_motion"].note.startswith("needs gears.backlash")


def test_the_limit_of_a_guide_can_be_replaced() -> None:
    tail = '\n[limits]\n"guide.binding" = { limit = 2.0, reason = "house rule" }\n'
    found = {r.id: r for r in run_checks(case_of(read_text(DEMO + tail)))}["guide.binding"]
    assert (found.verdict, found.limit) == ("FAIL", 2.0)


def test_a_screw_from_a_file_has_no_solid_of_ours() -> None:
    filed = rows(('material = "steel"\n', 'material = "steel"\nshape = "screw.step"\n'))
    assert filed["mass.screw"].verdict == "NOT CHECKED"
    assert filed["motor.torque"].value == pytest.approx(4.01, rel=0.01)


def test_a_collar_without_its_diameter_adds_no_torque() -> None:
    known = known_derivations()["raising_torque_nm"].function
    given = (Band(100.0, 100.0, 100.0), 0.0075, 0.001, Band(0.1, 0.1, 0.1), 0.2618)
    assert known(*given, collar_friction=Band(0.2, 0.2, 0.2)) == known(*given)
    assert known(*given, Band(0.2, 0.2, 0.2), 0.01).nominal > known(*given).nominal

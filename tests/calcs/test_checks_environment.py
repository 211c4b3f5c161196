"""Temperature, lubricant, vibration, gear stages, mounting screws, motor tables, on variants of the demo."""

from __future__ import annotations

import math

import numpy as np
import pytest
from demo_rows import STAGE, changed, given, rows

from calcs.checks.tolerance import Spread, drawn_gaps_m

THERMAL = 'allowed = "0.1 mm"'
UP = "up = [0, 0, 1]"


def test_growth_over_its_limit_fails() -> None:
    row = rows((THERMAL, 'allowed = "10 um"'))["environment.growth"]
    assert (row.verdict, row.value) == ("FAIL", pytest.approx(17.1))
    assert row.note == "aluminium against stainless steel, 25 K"


@pytest.mark.parametrize("name", ["unobtainium", "PTFE"])
def test_growth_needs_both_coefficients(name: str) -> None:
    row = rows(('against = "stainless steel"', f'against = "{name}"'))["environment.growth"]
    assert (row.verdict, row.counts) == ("NOT CHECKED", True)


@pytest.mark.parametrize(
    ("material", "play", "verdict", "end"),
    [
        ("aluminium", "10 um", "PASS", "cold"),
        ("aluminium", "2 um", "FAIL", "cold"),
        ("steel", "2 um", "PASS", "hot"),
    ],
)
def test_a_fit_loses_play_at_one_end(material: str, play: str, verdict: str, end: str) -> None:
    fit = (THERMAL, f'{THERMAL}\ndiameter = "12 mm"\nplay = "{play}"')
    row = rows(fit, ('material = "aluminium"  ', f'material = "{material}"  '))["environment.fit"]
    assert (row.verdict, row.limit) == (verdict, 0.0)
    coefficients = {"aluminium": 23.6, "steel": 11.5}
    lost = abs(coefficients[material] - 16.0) * 12e-3 * 25.0
    assert row.value == pytest.approx(float(play.split()[0]) - lost)
    assert f"go at the {end} end" in row.note


@pytest.mark.parametrize(
    ("span", "value", "verdict"), [("-30..120 degC", 35.0, "PASS"), ("10..120 degC", -5.0, "FAIL")]
)
def test_the_lubricant_has_its_range(span: str, value: float, verdict: str) -> None:
    row = rows(given("nut", f'lubricant = "{span}"'))["environment.lubricant"]
    assert (row.verdict, row.value) == (verdict, value)


def test_seals_stiffen_in_the_cold() -> None:
    assert rows()["environment.seal_drag"].cautions == ()
    cold = rows(("5..35 degC", "-20..35 degC"))["environment.seal_drag"]
    assert cold.cautions[0].startswith("Below 0 degC grease and seals drag 2 to 5 times")
    idle = rows(('mass = "0.450 kg" ', 'mass = "0 kg" '), ('drag = "2.0 N"', 'drag = "0 N"'))
    assert idle["environment.seal_drag"].note == "0 % of the steady force"


def test_vibration_is_never_proven() -> None:
    row = rows((UP, f'{UP}\nvibration = "transport by car"'))["environment.vibration"]
    assert (row.verdict, row.note) == ("NOT PROVEN", "lift: transport by car")
    assert row.cautions[0].startswith("Vibration can loosen")


SIZED = STAGE.replace('module = "0.3 mm"\n', 'module = "0.3 mm"\nwidth = "4 mm"\n')


def test_every_stage_has_its_torque() -> None:
    limits = 'torque_continuous = "{} mN*m"\ntorque_momentary = "{} mN*m"\n'
    first, second = STAGE + limits.format(4.1, 40), STAGE + limits.format(15, 200)
    found = rows((STAGE, first + second))
    # the last stage carries 14.78 of 15; the one before 14.78 / (4 sqrt(0.80)) = 4.13 of 4.1
    row = found["gearing.stage_torque"]
    assert row.verdict == "FAIL"
    assert row.value == pytest.approx(14.7813 / (4.0 * math.sqrt(0.80)) / 4.1, rel=1e-4)
    assert row.note.startswith("stage 1 of 2: 4.13 of 4.1 mN*m")
    assert found["gearing.stage_torque_peak"].verdict in ("PASS", "FAIL")
    single = rows((STAGE, STAGE + limits.format(15, 130)))
    assert single["gearing.stage_torque"].verdict == "PASS"
    assert single["gearing.stage_torque_peak"].value == pytest.approx(129.83 / 130.0, rel=1e-3)


def test_teeth_bend_and_press_under_the_impact() -> None:
    found = rows((STAGE, SIZED), given("gears", 'tooth_strength = "300 MPa"', 'tooth_pressure = "800 MPa"'))
    force = 2.0 * 129.832 / (4.0 * 0.80) / (0.3 * 12 * 3)
    assert found["gearing.tooth_bending"].value == pytest.approx(force / (4.0 * 0.3 * 0.245), rel=1e-4)
    assert found["gearing.tooth_bending"].verdict == "PASS"
    elastic = 206e3 / (2.0 * math.pi * 0.91)
    zone = 2.0 / (math.cos(math.radians(20.0)) * math.sin(math.radians(20.0)))
    pressure = math.sqrt(zone * elastic * force / (4.0 * 3.6) * 2.0)
    assert found["gearing.tooth_pressure"].value == pytest.approx(pressure, rel=1e-4)
    weak = rows((STAGE, SIZED), given("gears", 'tooth_strength = "20 MPa"', 'tooth_pressure = "200 MPa"'))
    assert weak["gearing.tooth_bending"].verdict == "FAIL"
    assert weak["gearing.tooth_pressure"].verdict == "FAIL"


def test_teeth_without_a_limit_or_a_width() -> None:
    free = rows((STAGE, SIZED))["gearing.tooth_bending"]
    assert (free.verdict, free.note.split("; ")[-1]) == ("INFO", "no limit is given")
    narrow = rows(given("gears", 'tooth_strength = "300 MPa"'))["gearing.tooth_bending"]
    assert (narrow.verdict, narrow.counts) == ("NOT CHECKED", True)
    assert not rows()["gearing.tooth_bending"].counts
    bought = rows((STAGE, ""), ("[gears]\n", "[gears]\nratio = 4\n"))
    assert "bought by its ratio" in bought["gearing.tooth_bending"].note
    assert str(rows()["gearing.stage_torque"].note) == "needs gears.stage.torque_continuous"


MOUNT = 'mount = { bolt = "M2", bolt_circle = "13 mm", bolt_holes = 3, bolt_depth = "2 mm" }'


@pytest.mark.parametrize(
    ("bolt", "strength", "verdict"), [("M2", "450 MPa", "PASS"), ("M2", "50 MPa", "FAIL")]
)
def test_mounting_screws_are_preloaded_beyond_the_pull(bolt: str, strength: str, verdict: str) -> None:
    line = MOUNT.replace("M2", bolt).replace(" }", f', bolt_strength = "{strength}" }}')
    row = rows(given("gears", line))["strength.mounting_screws"]
    area = math.pi / 4.0 * ((1.7402 + 1.5093) / 2.0) ** 2
    assert row.value == pytest.approx(3 * 0.7 * float(strength.split()[0]) * area / 233.385, rel=1e-3)
    assert (row.verdict, row.limit) == (verdict, 1.5)
    preload = 0.7 * float(strength.split()[0]) * area
    assert row.note.startswith(
        f"3 M2, {preload:.0f} N each at about {0.2 * preload * 0.002:.2g} N*m; pull 233 N"
    )


def test_mounting_screws_of_no_standard_or_without_a_pull() -> None:
    from calcs.checks.strength_mounting import bolt_sizes_m, mounting_screws

    assert bolt_sizes_m.function("Q7") is None
    found = mounting_screws.function((0.002, 0.00174, 0.00151), 3, 450e6, 0.0, "M2")
    assert (found.verdict, found.asked) == ("NOT CHECKED", False)


TABLE = (
    'torque_table = [{ speed = "0 rpm", torque = "40 mN*m" }, '
    '{ speed = "3000 rpm", torque = "20 mN*m" }, { speed = "5000 rpm", torque = "4 mN*m" }]'
)


def test_a_table_gives_the_torque_between_its_rows() -> None:
    row = rows(given("motor", TABLE))["motor.table_margin"]
    # halfway from 20 to 4 mN*m, over 4.01 nominal and 5.12 at worst
    assert row.value.nominal == pytest.approx(12.0 / 4.0077, rel=1e-3)
    assert row.value.low == pytest.approx(12.0 / 5.1202, rel=1e-3)
    assert (row.verdict, row.limit) == ("PASS", 1.25)


@pytest.mark.parametrize(("torque", "verdict"), [("4", "PASS"), ("0.1", "FAIL")])
def test_a_stepper_keeps_half_its_pull_out(torque: str, verdict: str) -> None:
    table = TABLE.replace('"4 mN*m"', f'"{torque} mN*m"')
    row = rows(('kind = "brushed"', f'kind = "stepper"\n{table}'))["motor.table_margin"]
    assert (row.verdict, row.limit) == (verdict, 2.0)
    assert row.note.startswith("pull-out: ")


def test_beyond_its_last_row_a_table_gives_nothing() -> None:
    row = rows(given("motor", TABLE.replace("5000 rpm", "3500 rpm")))["motor.table_margin"]
    assert (row.verdict, row.value) == ("FAIL", 0.0)
    assert "the table ends at 3500 rpm" in row.note


def test_nothing_to_move_is_no_torque_to_divide_by() -> None:
    from calcs.checks.motor_table import TorqueTable, table_margin

    table = TorqueTable((0.0, 9.0), (0.01, 0.0))
    found = table_margin.function(0.01, 0.0, 0.0, 0.0, table, 1.0)
    assert found.verdict == "PASS"


def test_where_the_supply_no_longer_drives_a_steppers_current() -> None:
    lines = (
        'kind = "brushed"',
        'kind = "stepper"\nsteps = 200\ninductance = "2.5 mH"\ncurrent_continuous = "2 A"',
    )
    row = rows(lines, ("10.8..12..13.2 V", "24..24..24 V"))["motor.stepper_corner"]
    assert row.value == pytest.approx(916.7, rel=1e-3)  # 24 V / (2.5 mH 2 A) over 50 pole pairs
    assert "with 13333 steps a second" in row.note  # 4000 rpm of 200 steps


NO_LOAD = 'voltage = "12 V"\nno_load_speed = "{} rpm"'


@pytest.mark.parametrize(
    ("speed", "verdict"), [(9932, "PASS"), (9100, "PASS"), (8950, "WARN"), (10900, "PASS")]
)
def test_motor_data_that_contradict_one_another(speed: int, verdict: str) -> None:
    row = rows(given("motor", NO_LOAD.format(speed)))["motor.no_load_point"]
    assert row.verdict == verdict
    assert row.value == pytest.approx(9932.5 / speed, rel=1e-3)


def test_a_motor_by_its_no_load_point_and_resistance() -> None:
    found = rows(('torque_constant = "11.4 mN*m/A"', NO_LOAD.format(9932.525)))
    assert found["motor.torque"].value == pytest.approx(4.0077, rel=1e-3)
    assert found["motor.current"].value == pytest.approx(0.36655, rel=1e-3)
    assert (
        rows(('torque_constant = "11.4 mN*m/A"', "#"))["motor.current"].remedy == "give motor.torque_constant"
    )


CONSTANTS = 'thermal_time_constant = "6 s"\nthermal_time_constant_housing = "300 s"'


def test_the_winding_peaks_above_its_mean() -> None:
    found = rows(given("motor", CONSTANTS))
    mean, peak = found["motor.winding"].value, found["motor.winding_peak"].value
    assert mean < peak < 100.0
    # slow bodies see the mean: the rise is then that of the steady row, but for R at the mean temperature
    slow = rows(given("motor", CONSTANTS.replace('"6 s"', '"6000 s"').replace("300 s", "60000 s")))
    assert slow["motor.winding_peak"].value == pytest.approx(mean, abs=0.01)
    quick = rows(given("motor", CONSTANTS.replace('"6 s"', '"10 us"').replace("300 s", "10 us")))
    # quick ones follow the current at once: 4.01 mN*m at 11.4 mN*m/A and 15 mA are 0.367 A, ramp and friction
    heaviest = max(leg.current_a for leg in changed(given("motor", CONSTANTS)).find("heating_legs").value)
    assert heaviest == pytest.approx(0.367, abs=5e-4)
    loss = heaviest**2 * 9.5 * 36.0
    hot = 35.0 + loss * (1.0 + 0.00393 * 10.0) / (1.0 - 0.00393 * loss)
    assert quick["motor.winding_peak"].value == pytest.approx(hot, rel=1e-6)
    short = rows(given("motor", CONSTANTS), ('cycle_time = "12 s"', 'cycle_time = "4 s"'))
    assert short["motor.winding_peak"].value > peak


def test_monte_carlo_finds_root_sum_square_of_centred_links() -> None:
    found = rows()
    row = found["tolerance.monte_carlo"]
    assert row.value == pytest.approx(found["tolerance.rss"].value, abs=0.02)
    assert row.note.endswith("0 % of the draws are below the limit")
    assert row.value == pytest.approx(1.66090, abs=1e-5)  # of this seed
    tight = rows(('required = "0.5 mm"', 'required = "2 mm"'))["tolerance.monte_carlo"]
    assert tight.verdict == "FAIL"
    share = float(tight.note.split("; ")[-1].split(" %")[0])
    assert share == pytest.approx(50.0, abs=2.0)
    free = rows(('required = "0.5 mm"', "#"))["tolerance.monte_carlo"]
    assert (free.verdict, free.counts) == ("NOT CHECKED", False)
    open_link = rows(
        ('length = "108 +-0.2 mm"', 'length = "1108 mm"'), ('length = "64 +-0.2 mm"', 'length = "1064 mm"')
    )
    assert "no general tolerance for" in open_link["tolerance.monte_carlo"].note


def test_draws_are_those_of_the_tolerances() -> None:
    gaps = drawn_gaps_m((Spread("a", 0.010, 0.0003), Spread("b", -0.004, 0.0004)))
    assert float(np.mean(gaps)) == pytest.approx(0.006, abs=1e-5)
    assert 3.0 * float(np.std(gaps)) == pytest.approx(0.0005, rel=0.02)

"""A design that gives everything and fails in most of it: the numbers in the words of its rows."""

from __future__ import annotations

from functools import cache

import pytest
from demo_rows import STAGE, given, rows

from calcs.check import Result

HARD = (
    (STAGE, STAGE + 'width = "4 mm"\ntorque_continuous = "12 mN*m"\ntorque_momentary = "120 mN*m"\n'),
    given("motion", 'accuracy = "0.01 mm"'),
    given("screw", 'lead_error = "0.1 mm"', 'strength = "20 MPa"'),
    given("ends", 'thrust_continuous = "6 N"', 'thrust_momentary = "90 N"', 'bearing_dynamic = "20 N"'),
    given("nut", 'strength = "10 MPa"', 'lubricant = "6..30 degC"', 'drag = "3 mN*m"'),
    (
        'arm = "48 mm" ',
        'arm = "48 mm"\nreaction_arm = "21 mm"\nside_limit = "0.1 N"\nmoment_limit = "0.2 N*m" ',
    ),
    given(
        "gears",
        'tooth_strength = "20 MPa"',
        'tooth_pressure = "200 MPa"',
        'life = "600 h"',
        'mount = { bolt = "M1.6", bolt_circle = "13 mm", bolt_holes = 1, bolt_depth = "2 mm", '
        'bolt_strength = "200 MPa" }',
    ),
    given(
        "motor",
        'thermal_time_constant = "6 s"',
        'thermal_time_constant_housing = "300 s"',
        'life = "600 h"',
        "life_turns = 100000000",
        'voltage = "12 V"',
        'no_load_speed = "8000 rpm"',
        "steps = 200",
        'inductance = "0.8 mH"',
        'current_continuous = "0.5 A"',
        'detent_torque = "0.1 mN*m"',
        'torque_table = [{ speed = "0 rpm", torque = "14 mN*m" }, { speed = "9900 rpm", torque = "0 mN*m" }]',
    ),
    ('allowed = "0.1 mm"', 'allowed = "0.01 mm"\ndiameter = "12 mm"\nplay = "1 um"'),
    ("[stops]\n", '[coupling]\ntorque = "10 mN*m"\ninertia = "0.1 g*cm2"\n\n[stops]\n'),
)


@cache
def found() -> dict[str, Result]:
    return rows(*HARD)


WORDS = [
    ("bearing.life", "FAIL", "equivalent load 6.51 N", "ends.bearing_dynamic of 22.26 N"),
    ("drive.preload_drag", "INFO", "20 % of the screw torque", ""),
    ("drive.coupling", "FAIL", "", "a coupling for 17.8 mN*m"),
    ("environment.fit", "FAIL", "2.28 um go at the cold end", "thermal.play of 2.28 um"),
    ("environment.lubricant", "FAIL", "5 to 35 degC in 6 to 30", "another lubricant"),
    ("environment.seal_drag", "INFO", "30 % of the steady force", ""),
    ("gearing.stage_torque", "FAIL", "stage 1 of 1: 17.8 of 12 mN*m", "a stage 1 for 17.8 mN*m"),
    ("gearing.stage_torque_peak", "FAIL", "stage 1 of 1: 130 of 120 mN*m", "a stage 1 for 130 mN*m"),
    ("gearing.tooth_bending", "FAIL", "stage 1 under 130 mN*m", "a larger module"),
    ("guide.anti_rotation", "FAIL", "its friction 0.0142 N makes", "a longer guide.reaction_arm"),
    ("guide.moment", "FAIL", "the whole weight and the ramp", "a stronger or longer guide"),
    ("life.material_pressure", "PASS", "from memory; 8.12 MPa", ""),
    ("motion.cycle_time", "PASS", "2.5 s a move, 42 % of the cycle", ""),
    ("motion.effective_force", "INFO", "14.6 N for 0.16 s extending against 8 N; 14.7 N for 0.1 s ramp", ""),
    ("motor.table_margin", "PASS", "8.34 mN*m for 4.90 mN*m, at worst 6.07 mN*m", ""),
    ("motor.no_load_point", "WARN", "contradict", "a torque constant of 14.15 mN*m/A would agree"),
    ("motor.winding_peak", "PASS", "0.442 A for 0.16 s; 0.444 A for 0.1 s; 0.111 A for 2.5 s", ""),
    ("strength.mounting_screws", "FAIL", "1 M1.6, 178 N each at about 0.057 N*m", "2 screws, larger"),
    ("strength.thread_combined", "PASS", "bending 1.82, axial 3.13, torsion 1.09 MPa", ""),
    ("travel.lead_accuracy", "FAIL", "over 60 mm; before thermal growth", "a closer grade"),
]


def test_words_of_a_steppers_corner() -> None:
    row = rows(*HARD, ('kind = "brushed"', 'kind = "stepper"'))["motor.stepper_corner"]
    assert "it runs at 0.78 of that with 13333 steps a second" in row.note
    assert found()["motor.stepper_corner"].note == "a brushed motor is no stepper"


@pytest.mark.parametrize(("identifier", "verdict", "note", "remedy"), WORDS)
def test_words_of_a_row(identifier: str, verdict: str, note: str, remedy: str) -> None:
    row = found()[identifier]
    assert row.verdict == verdict
    assert note in row.note
    assert remedy in row.remedy


def test_a_table_that_would_not_do_says_what_would() -> None:
    weak = (*HARD[:-3], (HARD[-3][0], HARD[-3][1].replace('"14 mN*m" }', '"9 mN*m" }')), *HARD[-2:])
    row = rows(*weak)["motor.table_margin"]
    assert row.verdict == "FAIL"
    assert row.remedy.startswith("7.58 mN*m up to that speed would pass")  # 1.25 times 6.067


def test_a_stage_reads_in_one_line() -> None:
    assert found()["gearing.stage_torque"].inputs["stage_loads"]["value"] == "stage 1: 17.8, 130 mN*m"


def test_a_sliding_screw_has_no_balls_to_hurry() -> None:
    assert found()["life.balls_speed"].value is None

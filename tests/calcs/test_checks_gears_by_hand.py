"""Gear rows called with stages and numbers that can be done by hand."""

from __future__ import annotations

import math

import pytest
from hand import found

from calcs.checks import applies, gearing, gearing_made, gearing_teeth, service
from geometry.bodies import Body, Cylinder, Posed, Shape
from geometry.design_gears import Spur, Stage


def stage(sun: int = 12, planet: int = 12, ring: int = 36, planets: int = 3, **sizes: object) -> Stage:
    return Stage.model_validate({"sun": sun, "planet": planet, "ring": ring, "planets": planets, **sizes})


SPUR = Spur.model_validate(
    {"pinion": 14, "wheel": 42, "module": "0.5 mm", "direction": [1, 0, 0], "width": "5 mm"}
)
SIZED = {"module": "0.5 mm", "width": "4 mm"}


def test_ratio_of_stages_spur_and_both() -> None:
    ratio = gearing.ratio.function
    assert ratio(True, True, (stage(),)) == 4.0
    assert ratio(True, True, (stage(), stage(12, 18, 48))) == 20.0
    assert ratio(True, False, (), None, SPUR) == 3.0
    assert ratio(True, True, (stage(),), 9.0, SPUR) == 12.0
    assert ratio(True, True, (), 9.0, SPUR) == 9.0  # an inline gear is bought, and the spur stage is within


def test_words_of_the_ratio() -> None:
    row = found(gearing.gear_ratio, 12.0, True, (), 12.0, SPUR)
    assert row.note == "14/42 spur after a bought gear of 4"
    assert found(gearing.gear_ratio, 4.0, True, (), 4.0).note == gearing.BOUGHT
    assert found(gearing.gear_ratio, 1.0, False).note == gearing.DIRECT
    both = found(gearing.gear_ratio, 12.0, True, (stage(),), None, SPUR)
    assert (both.verdict, both.note) == ("PASS", "12/12/36 with 3 planets x 14/42 spur")
    assert found(gearing.gear_ratio, 4.0, True, (stage(),), 4.0).verdict == "PASS"
    wrong = found(gearing.gear_ratio, 4.0, True, (stage(),), 5.0)
    assert (wrong.verdict, wrong.limit) == ("FAIL", 5.0)
    assert wrong.note == "12/12/36 with 3 planets give 4, gears.ratio asks 5 (-20 %)"
    assert wrong.remedy.startswith("gears.ratio = 4, or ")
    assert found(gearing.gear_ratio, 12.0, True, (stage(),), 5.0, SPUR).remedy == "gears.ratio = 12"
    two = (stage(), stage())
    assert found(gearing.gear_ratio, 16.0, True, two, 5.0).remedy == "gears.ratio = 16"


def test_tooth_rules_of_the_stage_that_is_worst_off() -> None:
    good, odd = stage(), stage(12, 12, 37)
    row = found(gearing.ring, True, (good, odd))
    assert (row.verdict, row.value, row.limit) == ("FAIL", 37, 36)
    assert "37" in row.note
    assert "; " not in row.note  # of the stage that fails alone
    assert row.remedy != ""
    # two wrong rings, one tooth and three teeth short of 36 and 38: the second is worse off
    worse = found(gearing.ring, True, (stage(12, 12, 35), stage(12, 13, 35)))
    assert (worse.value, worse.limit) == (35, 38)
    fits = found(gearing.ring, True, (good,))
    assert (fits.verdict, fits.value, fits.remedy) == ("PASS", 36, "")
    assert found(gearing.ring, False).note == gearing.DIRECT
    assert found(gearing.ring, True).note == gearing.BOUGHT
    assert found(gearing.ring, True, (), SPUR).note == gearing.SPUR
    assert found(gearing.spacing, True, (good,)).verdict == "PASS"
    assert found(gearing.spacing, True, (stage(12, 13, 38),)).verdict == "FAIL"  # 50 / 3
    # x = 1 - z sin^2(20) / 2: 0.298 of 12 teeth, 0.181 of 14
    assert found(gearing.undercut, True, (good,), SPUR).value == pytest.approx(0.298, abs=1e-3)
    assert found(gearing.undercut, True, (), SPUR).value == pytest.approx(0.181, abs=1e-3)
    assert found(gearing.undercut, True, (stage(20, 20, 60),)).value == 0.0
    assert found(gearing.undercut, True).note == gearing.BOUGHT
    assert found(gearing.undercut, False).note == gearing.DIRECT


def load(given: Stage | Spur, number: int = 1, highest_nm: float = 0.2, into: float = 0.09) -> object:
    return gearing_teeth.StageLoad(number, given, 0.1, highest_nm, into)


def test_bending_of_teeth() -> None:
    # 12 teeth of 0.5 mm: d = 6 mm, 2 * 0.09 / 6 mm / 3 = 10 N; over 4 mm * 0.5 mm * 0.245
    bending = 10.0 / (0.004 * 0.0005 * 0.245)
    loads = (load(stage(**SIZED)),)
    for limit, verdict in ((bending * 1.001, "PASS"), (bending * 0.999, "FAIL")):
        row = found(gearing_teeth.tooth_bending, True, loads, limit)
        assert (row.verdict, row.value) == (verdict, pytest.approx(bending))
    assert row.note.startswith("stage 1 under 200 mN*m; unshifted teeth")
    assert row.remedy == "a larger module or face width, or a softer stop"
    worked = (load(stage(**SIZED), highest_nm=0.1),)  # of the work, not of the stop
    assert found(gearing_teeth.tooth_bending, True, worked, 1.0).remedy == "a larger module or face width"
    assert found(gearing_teeth.tooth_bending, True, loads).verdict == "INFO"
    # a sun of 20 drives planets of 12: the force of 10 mm, the form of 12 teeth
    wide = found(gearing_teeth.tooth_bending, True, (load(stage(20, 12, 44, **SIZED)),))
    assert wide.value == pytest.approx(6.0 / (0.004 * 0.0005 * 0.245))
    # the pinion of 14 drives alone: 2 * 0.09 / 7 mm
    spur = found(gearing_teeth.tooth_bending, True, (load(SPUR),))
    assert spur.value == pytest.approx(0.18 / 0.007 / (0.005 * 0.0005 * 0.277))
    both = found(gearing_teeth.tooth_bending, True, (*loads, load(SPUR, 2, 0.4, 0.09)))
    assert both.note.startswith("stage 2 under 400 mN*m")


def test_pressure_of_teeth() -> None:
    # 10 N on 6 mm and 4 mm, teeth alike (u = 1); steel: E / (2 pi 0.91)
    from calcs.materials import material

    steel = material("steel")
    assert steel is not None
    assert steel.elastic_modulus_pa is not None
    angle = math.radians(20.0)
    zone = math.sqrt(2.0 / (math.sin(angle) * math.cos(angle)))
    elastic = steel.elastic_modulus_pa / (2.0 * math.pi * 0.91)
    pressure = zone * math.sqrt(elastic * 10.0 / (0.004 * 0.006) * 2.0)
    row = found(gearing_teeth.tooth_pressure, True, (load(stage(**SIZED)),), pressure * 1.001)
    assert (row.verdict, row.value) == ("PASS", pytest.approx(pressure))
    # 14 against 42: u = 3, 0.18 / 7 mm on 5 mm
    spur = zone * math.sqrt(elastic * (0.18 / 0.007) / (0.005 * 0.007) * 4.0 / 3.0)
    assert found(gearing_teeth.tooth_pressure, True, (load(SPUR),)).value == pytest.approx(spur)
    # a sun of 20 on planets of 12: the small one's diameter, u = 5 / 3
    small = zone * math.sqrt(elastic * 6.0 / (0.004 * 0.006) * 1.6)
    row = found(gearing_teeth.tooth_pressure, True, (load(stage(20, 12, 44, **SIZED)),))
    assert row.value == pytest.approx(small)


def test_sizes_that_are_missing() -> None:
    for check in (gearing_teeth.tooth_bending, gearing_teeth.tooth_pressure):
        assert found(check, True).note == gearing.BOUGHT
        assert found(check, False).note == gearing.DIRECT
        for sizes in ({}, {"module": "0.5 mm"}, {"width": "4 mm"}):
            row = found(check, True, (load(SPUR, 2), load(stage(**sizes))))
            assert (row.verdict, row.asked) == ("NOT CHECKED", False)
            assert row.remedy == "give gears.stage.module and gears.stage.width"
            assert found(check, True, (load(stage(**sizes)),), 1e8).asked


def test_teeth_shifted_by_the_design_are_judged_as_cut() -> None:
    plain, typed = gearing_made.made_stages.function((stage(), stage(sun_shift=0.5, planet_shift=0.5)))
    assert (plain.typed, typed.typed) == (False, True)
    sun, planet = gearing_made.made_stages.function((stage(sun_shift=0.5), stage(planet_shift=0.5)))
    assert (sun.typed, planet.typed) == (True, True)
    rules = [made.neighbours() for made in (plain, typed)]
    assert rules[0] is not None
    assert rules[1] is not None
    # unshifted: 24 sin(60) = 20.78 > 14 modules; shifted the planets stand further out and are larger
    assert (rules[0].value, rules[0].limit) == (pytest.approx(24.0 * math.sin(math.pi / 3.0)), 14.0)
    assert rules[1].value > rules[0].value
    assert rules[1].limit > rules[0].limit


def test_a_spur_stage_that_cannot_be_cut_or_is_bought_has_no_teeth() -> None:
    made = gearing_made.made_spur.function
    assert made(SPUR) is not None
    assert made(SPUR, True) is None
    assert made(SPUR, True, (stage(),)) is not None
    assert made(SPUR.model_copy(update={"pinion": 3, "wheel": 3})) is None


def test_what_makes_a_row_say_nothing() -> None:
    assert applies.no_round_motor.function() == ""
    assert applies.no_round_motor.function("NEMA 17") == "its size is that of a NEMA 17 frame"
    assert applies.no_round_motor.function("", 0.028) == "a square motor"
    table = (object(),)
    assert (
        applies.no_line_given.function("", table) == "the motor is given by its table: see motor.table_margin"
    )
    assert applies.no_line_given.function("", table, 4.0) == applies.no_line_given.function("") == ""
    assert applies.no_line_given.function("a stepper", table) == "a stepper"
    assert applies.no_line.function("").startswith("a stepper has no torque line")
    assert applies.no_line.function("no stepper") == ""


def test_a_cable_that_leaves_askew_is_measured_by_its_mesh() -> None:
    rod = Cylinder("z", (0.0, 0.0), 1.0, (0.0, 9.0))
    askew = Posed(rod, (30.0, 0.0, 0.0), (0.6, 0.0, 0.8), (0.8, 0.0, -0.6))
    bodies = (Body("cable", "actuator", False, Shape((askew,), ())),)
    numbers = (bodies, 0.002, 0.005, 4.0, (0.6, 0.0, 0.8), 0.0, 0.06)
    row = found(service.cable_room, *numbers)
    assert (row.verdict, row.remedy) == ("NOT CHECKED", "run strokebox make")
    assert row.note.startswith("the cable leaves askew, along [0.6, 0, 0.8]")
    # 5 mm straight, 4 diameters of bend and the cable's own: 15 mm
    for seen, verdict in ((0.0151, "PASS"), (0.0149, "FAIL")):
        measured = found(service.cable_room, *numbers, (seen, "wall"))
        assert (measured.verdict, measured.limit) == (verdict, pytest.approx(0.015))

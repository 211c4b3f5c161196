"""A spur stage in the numbers: ratio, torque through the stages, tooth stresses by Lewis and Hertz."""

from __future__ import annotations

import pytest

from calcs.case import Case, case_of
from calcs.check import known_checks, run_check
from calcs.formulas import teeth
from calcs.result import Result
from geometry.design import read_text
from geometry.planetary_stage import design_stage
from geometry.spur_stage import design_spur

DESIGN = """
[motion]
stroke = "0..20 mm"
speed = "10 mm/s"
mass = "1 kg"
[screw]
thread = "Tr8x1.5"
length = "60 mm"
[nut]
friction = 0.15
length = "8 mm"
[gears]
efficiency = 0.81
backlash = "1 deg"
{gears}
[gears.spur]
pinion = 14
wheel = 42
module = "0.5 mm"
direction = [1, 0, 0]
{spur}
{more}
"""
SIZED = 'width = "5 mm"\ntorque_continuous = "100 mN*m"\ntorque_momentary = "100 mN*m"'
STAGE = '[[gears.stage]]\nsun = 12\nplanet = 12\nring = 36\nmodule = "0.3 mm"\nwidth = "4 mm"'


def case(gears: str = "", spur: str = SIZED, more: str = "") -> Case:
    return case_of(read_text(DESIGN.format(gears=gears, spur=spur, more=more)))


def row(case: Case, id: str) -> Result:
    (check,) = [c for c in known_checks() if c.id == id]
    return run_check(check, case)


def number(case: Case, name: str) -> float:
    found = case.find(name)
    assert found is not None
    return float(found.value)


def test_the_ratio_is_the_wheels_over_the_pinions_times_what_is_before_it() -> None:
    assert number(case(), "ratio") == pytest.approx(3.0)
    assert number(case(more=STAGE), "ratio") == pytest.approx(12.0)
    bought = case('ratio = 15\ndiameter = "16 mm"\nlength = "16 mm"')
    assert number(bought, "ratio") == 15.0
    assert row(bought, "gearing.ratio").note == "14/42 spur after a bought gear of 5"


def test_a_ratio_that_the_teeth_do_not_give_fails_with_the_one_they_give() -> None:
    assert row(case("ratio = 3"), "gearing.ratio").verdict == "PASS"
    wrong = row(case("ratio = 4"), "gearing.ratio")
    assert (wrong.verdict, wrong.remedy) == ("FAIL", "gears.ratio = 3")
    both = row(case("ratio = 10", more=STAGE), "gearing.ratio")
    assert "12/12/36 with 3 planets x 14/42 spur give 12" in both.note


def test_torque_goes_through_the_spur_stage_last() -> None:
    found = case(more=STAGE).find("stage_loads")
    raising = case().find("raising_torque_nm")
    assert found is not None
    assert raising is not None
    planetary, spur = found.value
    assert spur.working_nm == pytest.approx(raising.value.high)
    # the loss of 0.81 is spread evenly: 0.9 each
    assert planetary.working_nm == pytest.approx(spur.working_nm / 3.0 / 0.9)
    assert spur.highest_input_nm == pytest.approx(planetary.highest_nm)
    assert row(case(), "gearing.stage_torque").verdict == "PASS"
    assert row(case(), "gearing.stage_torque_peak").value == pytest.approx(raising.value.high / 0.1)


def test_bending_and_pressure_are_those_of_the_pinion_in_one_mesh() -> None:
    loads = case().find("stage_loads")
    assert loads is not None
    force = 2.0 * loads.value[0].highest_input_nm / 0.007
    bending = row(case('tooth_strength = "200 MPa"'), "gearing.tooth_bending")
    assert bending.value == pytest.approx(
        force / (0.005 * 0.0005 * float(teeth.lewis_factor(14.0))) / 1e6, rel=1e-9
    )
    assert bending.verdict == "PASS"
    pressure = row(case(), "gearing.tooth_pressure")
    mesh = (0.005, 0.007, 3.0, 0.349065850398866, 206e9, 0.3)
    assert pressure.value == pytest.approx(float(teeth.contact_pressure_pa(force, *mesh)) / 1e6, rel=1e-9)


def test_what_a_spur_stage_lacks_is_named_at_its_own_place() -> None:
    bare = case(spur="")
    assert row(bare, "gearing.tooth_bending").remedy == "give gears.spur.width"
    assert row(bare, "gearing.stage_torque").remedy == "give gears.spur.torque_continuous"
    both = case(spur="", more=STAGE)
    assert row(both, "gearing.tooth_bending").remedy == "give gears.spur.width"
    assert row(both, "gearing.stage_torque").remedy == "give gears.stage.torque_continuous"


def test_planets_are_not_asked_of_a_spur_stage_and_undercut_is() -> None:
    for id in ("gearing.ring", "gearing.spacing", "gearing.neighbours"):
        found = row(case(), id)
        assert (found.verdict, found.note) == ("INFO", "a spur stage has no ring and no planets")
    assert row(case(), "gearing.undercut").value == pytest.approx(1.0 - 7.0 * 0.1169778, abs=1e-6)


def without(*fields: str) -> Case:
    text = DESIGN.format(gears="", spur=SIZED, more=STAGE)
    for field in fields:
        assert field in text
        text = text.replace(field, "")
    return case_of(read_text(text))


def test_its_teeth_tell_efficiency_and_backlash_where_none_is_given() -> None:
    spur, planetary = design_spur(14, 42, module=0.5), design_stage(12, 12, 36, module=0.3)
    both = without("efficiency = 0.81\n", 'backlash = "1 deg"\n')
    efficiency = both.find("gear_efficiency")
    assert efficiency is not None
    best = spur.efficiency() * planetary.efficiency()
    assert efficiency.value == pytest.approx((0.80**2, 0.85**2, best))
    angle = spur.backlash_at_wheel + planetary.backlash_at_carrier / 3.0
    assert number(both, "tooth_backlash_rad") == pytest.approx(angle)
    alone = case_of(
        read_text(DESIGN.format(gears="", spur=SIZED, more="").replace("efficiency = 0.81\n", ""))
    )
    assert number(alone, "tooth_backlash_rad") == pytest.approx(spur.backlash_at_wheel)
    found = row(alone, "gearing.efficiency")
    assert found.note == f"tooth friction alone would leave {spur.efficiency():.3f}"


def test_a_bought_gear_before_it_keeps_its_own_efficiency() -> None:
    text = DESIGN.format(gears='ratio = 15\ndiameter = "16 mm"\nlength = "16 mm"', spur=SIZED, more="")
    bought = case_of(read_text(text.replace("efficiency = 0.81\n", "")))
    assert bought.find("gear_efficiency") is None
    assert bought.find("tooth_backlash_rad") is None

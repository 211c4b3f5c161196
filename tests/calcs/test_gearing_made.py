"""What given teeth tell by themselves where the design gives no efficiency and no backlash."""

from __future__ import annotations

import math

import pytest
from demo_rows import STAGE, changed, rows

from geometry.planetary_stage import design_stage
from geometry.units import Band

NO_EFFICIENCY = ('efficiency = "0.80..0.85..0.90"', "#")
NO_BACKLASH = ('backlash = "1.5 deg"', "#")


def stage(sun: int, planet: int, ring: int, planets: int = 3, more: str = "") -> str:
    teeth = f"sun = {sun}\nplanet = {planet}\nring = {ring}\nplanets = {planets}\n"
    return f"[[gears.stage]]\n{teeth}{more}"


def test_teeth_give_the_efficiency_to_expect() -> None:
    found = rows(NO_EFFICIENCY)
    best = design_stage(12, 12, 36, module=0.3).efficiency()
    row = found["gearing.efficiency"]
    assert isinstance(row.value, Band)
    assert row.value == pytest.approx((0.80, 0.85, best))
    assert 0.97 < best < 0.99
    assert row.note == f"tooth friction alone would leave {best:.3f}"
    assert row.cautions[0].startswith("No gears.efficiency is given: 0.80 to 0.85 a stage is assumed")
    assert found["motor.dynamic_margin.nominal"].value == pytest.approx(2.121, rel=1e-3)
    assert row.inputs["gear_efficiency"]["origin"] == "derived"


def test_an_efficiency_that_is_given_stands_beside_that_of_the_teeth() -> None:
    row = rows()["gearing.efficiency"]
    assert row.value == Band(0.80, 0.85, 0.90)
    assert row.cautions == ()
    assert row.note.startswith("tooth friction alone would leave 0.97")
    bought = rows((STAGE, ""), ("[gears]\n", "[gears]\nratio = 4\n"))["gearing.efficiency"]
    assert bought.note == ""


def test_stages_multiply() -> None:
    two = changed(NO_EFFICIENCY, NO_BACKLASH, (STAGE, stage(12, 12, 36) + stage(12, 9, 30)))
    found = two.find("gear_efficiency")
    assert found is not None
    first, second = design_stage(12, 12, 36), design_stage(12, 9, 30)
    assert found.value == pytest.approx((0.64, 0.7225, first.efficiency() * second.efficiency()))
    angle = two.find("tooth_backlash_rad")
    assert angle is not None  # the motor's stage counts less by the ratio of the screw's stage
    assert angle.value == pytest.approx(second.backlash_at_carrier + first.backlash_at_carrier / 3.5)


def test_backlash_of_the_teeth_is_the_least_and_proves_nothing() -> None:
    angle = design_stage(12, 12, 36, module=0.3).backlash_at_carrier
    row = rows(NO_BACKLASH)["gearing.lost_motion"]
    assert row.value == pytest.approx(1500.0 * angle / math.tau)
    assert row.verdict == "NOT PROVEN"
    assert "the teeth alone" in row.note
    assert row.remedy == "give gears.backlash, or measure it"
    wide = ('module = "0.3 mm"', 'module = "0.3 mm"\ntooth_backlash = "60 um"')
    asked = ('step = "0.1 mm" ', 'repeatability = "0.002 mm"\nstep = "0.1 mm" ')
    assert rows(NO_BACKLASH, wide, asked)["gearing.lost_motion"].verdict == "FAIL"
    assert rows(NO_BACKLASH)["drive.sag"].missing == ("gears.backlash",)


def test_teeth_that_cannot_work_tell_nothing() -> None:
    broken = rows(NO_EFFICIENCY, NO_BACKLASH, (STAGE, stage(12, 12, 37)))
    assert broken["gearing.efficiency"].missing == ("gears.efficiency",)
    assert broken["gearing.lost_motion"].missing == ("gears.backlash",)
    assert broken["gearing.neighbours"].value == pytest.approx(20.785, rel=1e-4)


def test_neighbours_are_judged_by_the_teeth_as_cut() -> None:
    cut = design_stage(12, 12, 36)
    between, needed = 2.0 * cut.centre_distance * math.sin(math.pi / 3), 2.0 * cut.planet.tip_radius + 0.5
    row = rows((STAGE, stage(12, 12, 36)))["gearing.neighbours"]
    assert (row.value, row.limit) == (pytest.approx(20.785, rel=1e-4), pytest.approx(14.0))
    assert row.note.endswith(f"as cut {between:.4g} > {needed:.4g}")
    typed = rows((STAGE, stage(12, 12, 36, more="sun_shift = 0.4\nplanet_shift = 0.35\n")))
    made = design_stage(12, 12, 36, sun_shift=0.4, planet_shift=0.35)
    assert typed["gearing.neighbours"].value == pytest.approx(
        2.0 * made.centre_distance * math.sin(math.pi / 3)
    )
    assert typed["gearing.neighbours"].limit == pytest.approx(2.0 * made.planet.tip_radius + 0.5)
    plain = rows((STAGE, stage(30, 30, 90)))["gearing.neighbours"]
    assert "as cut" not in plain.note


def test_neighbours_that_touch_as_they_are_cut_fail() -> None:
    # unshifted (12 + 22) sin 45 degrees = 24.04 > 24; shifted planets need half a module between them
    row = rows((STAGE, stage(12, 22, 56, planets=4)))
    assert row["gearing.neighbours"].verdict == "FAIL"
    assert row["gearing.neighbours"].note.startswith("neighbours touch: 2 a sin")
    assert rows((STAGE, stage(12, 36, 84, planets=5)))["gearing.neighbours"].verdict == "FAIL"
    alone = rows((STAGE, stage(12, 12, 36, planets=1)))["gearing.neighbours"]
    assert alone.note == "one planet has no neighbour"

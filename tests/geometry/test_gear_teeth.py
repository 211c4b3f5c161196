from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from geometry.errors import ShapeError
from geometry.gear_teeth import GearTeeth, check_teeth, least_shift, rack
from geometry.involute import span_measurement, tooth_thickness
from geometry.tooth_rules import undercut_shift

A20 = math.radians(20)
SUN = GearTeeth(12, 1.0, 7.224, 0.3)
WHEEL = GearTeeth(40, 0.5, 10.5)
RING = GearTeeth(36, 1.0, 17.9, 0.9, internal=True)
GEARS = [SUN, WHEEL, RING, GearTeeth(20, 0.2, 2.2, 0.1, thinning=0.004)]


def test_the_rack_of_iso_53_undercuts_as_the_formula_of_the_trade_says() -> None:
    made = rack(A20)
    assert made.fillet == pytest.approx(0.38, abs=1e-4)  # kept so that it is straight to a whole module
    assert made.straight == pytest.approx(1.0, abs=1e-12)
    assert least_shift(12, A20) == pytest.approx(undercut_shift(12), abs=1e-12)


@pytest.mark.parametrize("degrees", [14.5, 17.5, 22.5, 25, 30])
def test_the_rack_keeps_a_land_at_other_pressure_angles(degrees: float) -> None:
    made = rack(math.radians(degrees))
    assert made.centre > 0.0199
    assert 0.9 < made.straight < 1.25


@pytest.mark.parametrize("gear", GEARS)
def test_flank_fillet_and_root_meet(gear: GearTeeth) -> None:
    flank = gear.flank(np.array([gear.form_roll / gear.base_radius]))
    fillet = gear.fillet(np.array([0.0, 1e-6, 1.0 - 1e-6, 1.0]))
    assert abs(flank[0] - fillet[0]) < 1e-13
    assert abs(fillet[-1]) == pytest.approx(gear.root_radius, rel=1e-14)
    # And without a kink: the fillet starts along the flank, and ends along the root circle.
    along = gear.flank(np.array([gear.form_roll / gear.base_radius + 1e-6])) - flank
    outward = 1 if gear.internal else -1
    assert abs(np.angle(outward * (fillet[1] - fillet[0]) / along[0])) < 1e-4
    assert abs(abs(fillet[2]) - abs(fillet[3])) < 1e-9


@pytest.mark.parametrize("gear", GEARS)
def test_the_polar_form_is_the_outline(gear: GearTeeth) -> None:
    outline = gear.half_outline()
    sense = -1 if gear.internal else 1
    inner = outline[(sense * np.abs(outline) > sense * gear.root_radius) & (np.arange(len(outline)) > 20)]
    inner = inner[: np.argmin(np.abs(np.abs(inner) - gear.root_radius))]
    # The chords of the fillet's table; where it runs into the root, angles tell little of the distance.
    assert np.abs(gear.half_angle(np.abs(inner)) - np.angle(inner)).max() * gear.root_radius < 1e-5
    assert np.all(np.diff(np.angle(outline)) > -1e-12)


def test_a_tooth_is_as_thick_as_the_formula_says() -> None:
    for radius in (5.7, 6.0, 6.5, 7.2):
        arc = 2 * radius * SUN.half_angle(np.array([radius]))[0]
        formula = tooth_thickness(12, 1.0, shift=0.3, pressure_angle=A20, diameter=2 * radius)
        assert arc == pytest.approx(formula, rel=1e-12)


def test_a_rings_tooth_and_space_fill_its_pitch() -> None:
    filling = GearTeeth(36, 1.0, 20.0, 0.9)
    radii = np.array([18.0, 18.9, 19.8])
    assert RING.half_angle(radii) + filling.half_angle(radii) == pytest.approx(math.pi / 36, rel=1e-12)


def test_off_the_tip_there_is_no_tooth_and_below_the_root_no_space() -> None:
    assert SUN.half_angle(np.array([7.3, 5.0])).tolist() == [-math.inf, math.inf]
    assert RING.half_angle(np.array([17.8, 20.2])).tolist() == [-math.inf, math.inf]


def test_the_trochoid_is_the_envelope_of_the_rolling_rack() -> None:
    # Roll the rack's rounded tooth by brute force: nothing it sweeps reaches into the tooth, and it touches.
    cutter, teeth = rack(A20), replace(SUN, module=1.0)
    depth = cutter.depth_of_centre - teeth.generating_shift
    arc = np.linspace(A20, math.pi / 2, 400)
    gaps = []
    for shift in np.linspace(-1.5, 4.0, 1101):
        corner = cutter.centre + shift + cutter.fillet * np.cos(arc)
        points = (6.0 - depth - cutter.fillet * np.sin(arc)) + 1j * corner
        turned = points * np.exp(-1j * shift / 6.0)
        half = teeth.half_angle(np.abs(turned))
        inside = half < np.inf
        gaps += (math.pi / 12 - half - np.angle(turned))[inside & (half > -np.inf)].tolist()
    assert min(gaps) * 5.05 > -2e-6
    assert min(gaps) * 5.05 < 2e-4  # the steps of rolling


def test_thinning_is_what_the_span_lacks() -> None:
    thin = replace(SUN, thinning=0.02)
    assert SUN.span(2) == pytest.approx(span_measurement(12, 2, shift=0.3, pressure_angle=A20), rel=1e-14)
    assert SUN.span(2) - thin.span(2) == pytest.approx(0.02, rel=1e-12)
    wide = replace(RING, thinning=0.02)
    assert wide.span(4) - RING.span(4) == pytest.approx(0.02, rel=1e-12)


@pytest.mark.parametrize(
    ("gear", "says", "repair"),
    [
        (GearTeeth(12, 1.0, 7.0), "12 teeth with profile shift 0 are undercut", "write a shift of 0.299"),
        (
            GearTeeth(10, 1.0, 6.9, 0.9),
            "10 teeth with profile shift 0.9 are pointed",
            "shift the profile less",
        ),
        (GearTeeth(20, 1.0, 9.3), "leaves no flank", "shift the profile less"),
        (GearTeeth(36, 1.0, 16.8, internal=True), "lies inside its base circle of 16.91 mm", "more teeth"),
        (GearTeeth(36, 1.0, 18, 2.2, internal=True), "the spaces run to a point", "shift the profiles less"),
        (GearTeeth(30, 1.0, 16, pressure_angle=math.radians(40)), "a pressure angle of 40 deg", "14 to 30"),
    ],
)
def test_teeth_that_cannot_be_made_are_refused_with_the_number(
    gear: GearTeeth, says: str, repair: str
) -> None:
    with pytest.raises(ShapeError) as refused:
        check_teeth(gear, "sun")
    (problem,) = refused.value.problems
    assert says in problem.message
    assert repair in problem.repair


@pytest.mark.parametrize("gear", GEARS)
def test_sound_teeth_pass(gear: GearTeeth) -> None:
    check_teeth(gear, "gear")

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from geometry.gear_mesh import mesh_play
from geometry.gear_teeth import GearTeeth
from geometry.involute import working_centre_distance

A20 = math.radians(20)
PINION, WHEEL = GearTeeth(20, 1.0, 11.0), GearTeeth(35, 1.0, 18.5)
PLANET, RING = GearTeeth(20, 1.0, 10.9), GearTeeth(60, 1.0, 29.2, internal=True)
PITCH_MM = math.pi * math.cos(A20)


def test_gears_without_allowance_touch_on_both_flanks() -> None:
    for wheel, distance in ((WHEEL, 27.5), (RING, 20.0)):
        play = mesh_play(PINION if wheel is WHEEL else PLANET, wheel, distance)
        # Points along the flanks come within the square of their spacing of the contact.
        assert play.least_backlash == pytest.approx(0.0, abs=2e-5)
        assert play.most_backlash == pytest.approx(0.0, abs=2e-5)
        assert play.overlap == 0.0


@pytest.mark.parametrize(("first", "second"), [(0.02, 0.0), (0.0, 0.03), (0.01, 0.05)])
def test_backlash_is_what_both_gears_are_thinned_by(first: float, second: float) -> None:
    for pinion, wheel, distance in ((PINION, WHEEL, 27.5), (PLANET, RING, 20.0)):
        play = mesh_play(replace(pinion, thinning=first), replace(wheel, thinning=second), distance)
        assert play.least_backlash == pytest.approx(first + second, abs=2e-5)
        assert play.most_backlash == pytest.approx(first + second, abs=2e-5)
        assert play.least_gap == pytest.approx((first + second) / 2, abs=2e-5)


def test_a_longer_centre_distance_opens_the_flanks_as_the_involute_says() -> None:
    # Half the backlash is what the flank would have to be shifted by: base radii times involutes.
    for farther in (0.02, 0.1):
        play = mesh_play(PINION, WHEEL, 27.5 + farther)
        working = math.acos(27.5 * math.cos(A20) / (27.5 + farther))
        expected = 55 * math.cos(A20) * ((math.tan(working) - working) - (math.tan(A20) - A20))
        assert play.least_backlash == pytest.approx(expected, abs=2e-5)


def test_gears_too_close_overlap_by_what_they_lack() -> None:
    play = mesh_play(PINION, WHEEL, 27.45)
    assert play.overlap == pytest.approx(0.05 * math.sin(A20), rel=0.02)
    assert mesh_play(PLANET, RING, 20.05).overlap == pytest.approx(0.05 * math.sin(A20), rel=0.02)


def test_a_tip_that_reaches_the_fillet_is_found() -> None:
    # A small ring tip radius runs on the planet's root, although the flanks have backlash enough.
    ring = GearTeeth(60, 1.0, 28.8, internal=True, thinning=0.01)
    assert mesh_play(replace(PLANET, thinning=0.01), ring, 20.0).overlap > 1e-3
    long = GearTeeth(20, 1.0, 11.0 + 0.24, thinning=0.01)
    rack_like = GearTeeth(35, 1.0, 18.5, thinning=0.01)
    assert mesh_play(long, rack_like, 27.5).overlap > 1e-3


def test_a_tip_that_reaches_the_root_is_found_however_deep() -> None:
    assert mesh_play(GearTeeth(20, 1.0, 11.5, thinning=0.01), WHEEL, 27.5).overlap > 0.1


def test_shifted_gears_have_no_play_at_their_working_centre_distance() -> None:
    distance = working_centre_distance(0.6, 24, 1.0, A20)
    gear = GearTeeth(12, 1.0, 7.224, 0.3)
    assert mesh_play(gear, gear, distance).most_backlash == pytest.approx(0.0, abs=2e-5)
    assert mesh_play(gear, gear, 12.6).least_backlash > 0.04

"""Random planetary and spur stages: refused with a number, or every gear sound and in mesh."""

import math

import pytest
from hypothesis import reject
from hypothesis import strategies as st
from sound_builds import prove, prove_random

from geometry.errors import ShapeError
from geometry.gear_blanks import Toothed
from geometry.gear_mesh import mesh_play
from geometry.gear_solid import blank_solid
from geometry.planetary_stage import design_stage
from geometry.spur_stage import design_spur
from geometry.toothed_meshes import toothed_mesh

MODULES = [0.2, 0.3, 0.5, 1.0]
ANGLES = st.sampled_from([20.0]) | st.floats(14.5, 28.0)


@st.composite
def stages(draw):
    """A stage that can be assembled, of any module, pressure angle, shifts and backlash that work."""
    sun, planet = draw(st.integers(8, 40)), draw(st.integers(8, 40))
    ring = sun + 2 * planet
    planets = draw(st.sampled_from([n for n in range(1, 7) if (sun + ring) % n == 0]))
    shift = st.none() | st.floats(-0.2, 0.8)
    try:
        return design_stage(
            sun,
            planet,
            ring,
            planets,
            module=draw(st.sampled_from(MODULES)),
            pressure_angle_deg=draw(ANGLES),
            sun_shift=draw(shift),
            planet_shift=draw(shift),
            backlash=draw(st.none() | st.floats(0.0, 0.02)),
        )
    except ShapeError:
        return reject()


@st.composite
def spurs(draw):
    """A pinion and a wheel of any module, pressure angle and backlash that work."""
    try:
        return design_spur(
            draw(st.integers(8, 40)),
            draw(st.integers(8, 60)),
            module=draw(st.sampled_from(MODULES)),
            pressure_angle_deg=draw(ANGLES),
            backlash=draw(st.none() | st.floats(0.0, 0.02)),
        )
    except ShapeError:
        return reject()


def prove_blank(blank, area):
    return prove(blank_solid(blank), area * blank.width, toothed_mesh(blank, 0.02 * blank.teeth.module))


def assert_meshes(pair, stage):
    play = mesh_play(*pair, stage.centre_distance)
    assert play.overlap == 0.0
    assert abs(play.least_backlash - stage.backlash) < 0.002
    assert abs(play.most_backlash - stage.backlash) < 0.002


def prove_stage(stage):
    span, outer = (0.0, 8 * stage.module), stage.ring.root_radius + 2 * stage.module
    proved = prove_blank(Toothed(stage.ring, span, 2 * outer), math.pi * outer**2 - stage.ring.area)
    proved += prove_blank(Toothed(stage.sun, span), stage.sun.area)
    bore = stage.planet.root_radius
    proved += prove_blank(Toothed(stage.planet, span, bore), stage.planet.area - math.pi / 4 * bore**2)
    for pair in ((stage.sun, stage.planet), (stage.planet, stage.ring)):
        assert_meshes(pair, stage)
    return proved


def prove_spur(stage):
    span, pair = (0.0, 8 * stage.pinion.module), (stage.pinion, stage.wheel)
    assert_meshes(pair, stage)
    return sum(prove_blank(Toothed(gear, span), gear.area) for gear in pair)


KINDS = [("planetary stage", stages(), prove_stage), ("spur stage", spurs(), prove_spur)]


@pytest.mark.parametrize(("kind", "found", "proof"), KINDS, ids=["planetary", "spur"])
def test_random_stages_are_sound_and_mesh(kind, found, proof):
    prove_random(kind, found, proof, long=False)


@pytest.mark.long
@pytest.mark.parametrize(("kind", "found", "proof"), KINDS, ids=["planetary", "spur"])
def test_many_random_stages_are_sound_and_mesh(kind, found, proof):
    prove_random(kind, found, proof, long=True)

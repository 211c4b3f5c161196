"""Random planetary stages: refused with a number, or every gear one valid closed solid of the closed form."""

import math
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType, STEPControl_Writer
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

from geometry.errors import ShapeError
from geometry.gear_mesh import mesh_play
from geometry.gear_solid import gear_solid, ring_solid
from geometry.meshes import free_edges, signed_volume
from geometry.planetary_stage import design_stage
from geometry.solid_meshes import mesh_of_solid
from geometry.solids import volume_of_solid


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
            module=draw(st.sampled_from([0.2, 0.3, 0.5, 1.0])),
            pressure_angle_deg=draw(st.sampled_from([20.0]) | st.floats(14.5, 28.0)),
            sun_shift=draw(shift),
            planet_shift=draw(shift),
            backlash=draw(st.none() | st.floats(0.0, 0.02)),
        )
    except ShapeError:
        return reject()


def assert_sound(shape, volume_mm3):
    explorer, solids = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID), 0
    while explorer.More():
        solids += 1
        explorer.Next()
    assert solids == 1
    assert BRepCheck_Analyzer(shape).IsValid()
    sides = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_ShapeEnum.TopAbs_EDGE, TopAbs_ShapeEnum.TopAbs_FACE, sides)
    assert all(sides.FindFromIndex(i).Extent() == 2 for i in range(1, sides.Extent() + 1))
    assert volume_of_solid(shape) == pytest.approx(volume_mm3, rel=1e-6)


def assert_watertight(solid, module, volume_mm3):
    mesh = mesh_of_solid(solid, 0.02 * module)
    assert not len(free_edges(mesh))
    assert signed_volume(mesh) == pytest.approx(volume_mm3, rel=0.02)  # chords of a fiftieth of a module


def out_of_step(solid):
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "gear.step")
        writer = STEPControl_Writer()
        writer.Transfer(solid, STEPControl_StepModelType.STEPControl_AsIs)
        writer.Write(path)
        reader = STEPControl_Reader()
        reader.ReadFile(path)
        reader.TransferRoots()
        return reader.OneShape()


def check(stage):
    width = 8 * stage.module
    outer = stage.ring.root_radius + 2 * stage.module
    ring = ring_solid(stage.ring, width, outer_diameter=2 * outer)
    assert_sound(ring, (math.pi * outer**2 - stage.ring.area) * width)
    for gear in (stage.sun, stage.planet):
        assert_sound(gear_solid(gear, width), gear.area * width)
    sun = gear_solid(stage.sun, width)
    assert_sound(out_of_step(sun), stage.sun.area * width)
    assert_watertight(sun, stage.module, stage.sun.area * width)
    for pair in ((stage.sun, stage.planet), (stage.planet, stage.ring)):
        play = mesh_play(*pair, stage.centre_distance)
        assert play.overlap == 0.0
        assert abs(play.least_backlash - stage.backlash) < 0.002
        assert abs(play.most_backlash - stage.backlash) < 0.002


UNHURRIED = {"deadline": None, "suppress_health_check": list(HealthCheck), "derandomize": True}


@settings(max_examples=10, **UNHURRIED)
@given(stages())
def test_random_stages_are_sound_and_mesh(stage):
    check(stage)


@pytest.mark.long
@settings(max_examples=300, **UNHURRIED)
@given(stages())
def test_many_random_stages_are_sound_and_mesh(stage):
    check(stage)

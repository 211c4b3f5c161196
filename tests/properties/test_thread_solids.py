"""Random threads: one valid closed solid each, within 1e-6 of the closed form's volume, also out of STEP."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType, STEPControl_Writer
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape
from random_threads import rods

from geometry.thread_ends import threaded_rod
from geometry.thread_properties import threaded_solid
from geometry.thread_solid import rod_solid


def count(shape, kind):
    found, explorer = 0, TopExp_Explorer(shape, kind)
    while explorer.More():
        found += 1
        explorer.Next()
    return found


def assert_sound(shape, volume_mm3):
    assert count(shape, TopAbs_ShapeEnum.TopAbs_SOLID) == 1
    assert count(shape, TopAbs_ShapeEnum.TopAbs_SHELL) == 1
    assert BRepCheck_Analyzer(shape).IsValid()
    sides = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_ShapeEnum.TopAbs_EDGE, TopAbs_ShapeEnum.TopAbs_FACE, sides)
    assert all(sides.FindFromIndex(i).Extent() == 2 for i in range(1, sides.Extent() + 1))
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found)
    assert found.Mass() == pytest.approx(volume_mm3, rel=1e-6)


def check(rod, *, out_of_step):
    made, length, ends = rod
    expected = threaded_solid(threaded_rod(made, length, **ends)).volume_mm3
    solid = rod_solid(made, length, **ends)
    assert_sound(solid, expected)
    if not out_of_step:
        return
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "thread.step")
        writer = STEPControl_Writer()
        writer.Transfer(solid, STEPControl_StepModelType.STEPControl_AsIs)
        writer.Write(path)
        reader = STEPControl_Reader()
        reader.ReadFile(path)
        reader.TransferRoots()
        assert_sound(reader.OneShape(), expected)


UNHURRIED = {"deadline": None, "suppress_health_check": list(HealthCheck), "derandomize": True}


@settings(max_examples=20, **UNHURRIED)
@given(rods(most_turns=12.0))
def test_short_random_threads_are_right_also_out_of_step(rod):
    check(rod, out_of_step=True)


@settings(max_examples=6, **UNHURRIED)
@given(rods(most_turns=100.0))
def test_longer_random_threads_are_right(rod):
    check(rod, out_of_step=False)


@pytest.mark.long
@settings(max_examples=800, **UNHURRIED)
@given(rods(most_turns=16.0))
def test_many_short_random_threads_are_right_also_out_of_step(rod):
    check(rod, out_of_step=True)


@pytest.mark.long
@settings(max_examples=150, **UNHURRIED)
@given(rods(most_turns=300.0))
def test_random_threads_up_to_300_turns_are_right_also_out_of_step(rod):
    check(rod, out_of_step=True)

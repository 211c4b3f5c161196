"""Random threads: one valid closed solid each, within 1e-6 of the closed form's volume, also out of STEP."""

import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType, STEPControl_Writer
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

from geometry.outlines import Corner, outline
from geometry.thread_ends import Journal, threaded_rod
from geometry.thread_properties import threaded_solid
from geometry.thread_solid import rod_solid
from geometry.threads import families, thread

DESIGNATIONS = [size.designation for family in families() for size in family.sizes]


@st.composite
def threads(draw):
    """A known size, as it stands or with another outline, of any starts and hand."""
    made = thread(draw(st.sampled_from(DESIGNATIONS)))
    starts = draw(st.integers(1, 8))
    if draw(st.booleans()):
        made = replace(made, external=draw(outlines(made)))
    hand = draw(st.sampled_from(["right", "left"]))
    return replace(made, starts=starts, lead_mm=starts * made.pitch_mm, hand=hand)


@st.composite
def outlines(draw, made):
    """An asymmetric outline: crest, two flanks of their own widths, a flat or a round root."""
    pitch, crest = made.pitch_mm, made.major_diameter_mm / 2
    depth = draw(st.floats(0.2, 0.7)) * pitch
    parts = [draw(st.floats(0.1, 1.0)) for _ in range(4)]
    a, b, c = (pitch * sum(parts[:n]) / sum(parts) for n in (1, 2, 3))
    low = crest - depth
    root = Corner((c, low), ((b + c) / 2, low - 0.2 * (c - b))) if draw(st.booleans()) else Corner((c, low))
    return outline((0.0, crest), [Corner((a, crest)), Corner((b, low)), root, Corner((pitch, crest))])


@st.composite
def rods(draw, most_turns):
    made = draw(threads())
    # Deep outlines need more than their cones to leave a crest.
    turns = draw(st.floats(0.5, most_turns))
    length = max(turns * made.lead_mm, 3.0 * made.pitch_mm)
    journal = st.none() | st.builds(
        Journal,
        st.floats(0.3, 1.5).map(lambda share: share * made.major_diameter_mm),
        st.floats(0.5, 10.0),
        st.sampled_from([0.0, 0.1]),
    )
    ends = {"near_journal": draw(journal), "far_journal": draw(journal)}
    return made, length, {**ends, "ends": draw(st.sampled_from(["plain", "chamfered"]))}


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
@settings(max_examples=150, **UNHURRIED)
@given(rods(most_turns=300.0))
def test_random_threads_up_to_300_turns_are_right_also_out_of_step(rod):
    check(rod, out_of_step=True)

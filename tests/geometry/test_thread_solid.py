"""Thread solids: one valid closed solid each, of the closed form's volume, whatever its outline and ends."""

import math
from dataclasses import replace

import numpy as np
import pytest
from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Section
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Lin, gp_Pln, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType, STEPControl_Writer
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

from geometry.errors import ShapeError
from geometry.outlines import Corner, outline
from geometry.thread_ends import Journal, threaded_bore, threaded_rod
from geometry.thread_properties import threaded_solid
from geometry.thread_solid import nut_solid, rod_solid, thread_solid
from geometry.threads import thread


def kernel_properties(shape):
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found)
    return found


def volume_of(shape):
    return kernel_properties(shape).Mass()


def solids_in(shape):
    count, explorer = 0, TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    while explorer.More():
        count += 1
        explorer.Next()
    return count


def assert_one_valid_closed_solid(shape, volume_mm3):
    assert solids_in(shape) == 1
    assert BRepCheck_Analyzer(shape).IsValid()
    sides = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_ShapeEnum.TopAbs_EDGE, TopAbs_ShapeEnum.TopAbs_FACE, sides)
    assert all(sides.FindFromIndex(i).Extent() == 2 for i in range(1, sides.Extent() + 1)), "an edge is open"
    assert volume_of(shape) == pytest.approx(volume_mm3, rel=1e-6)


def round_trip(shape, folder):
    path = str(folder / "thread.step")
    writer = STEPControl_Writer()
    writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    assert writer.Write(path) == IFSelect_ReturnStatus.IFSelect_RetDone
    reader = STEPControl_Reader()
    assert reader.ReadFile(path) == IFSelect_ReturnStatus.IFSelect_RetDone
    reader.TransferRoots()
    return reader.OneShape()


def with_outline(designation, corners):
    """A thread of another outline: corners (s, r) over one pitch, arcs as (s, r, s through, r through)."""
    start, *rest = corners
    made = outline(start, [Corner(c[:2], c[2:] if len(c) > 2 else None) for c in rest])
    return replace(thread(designation), external=made)


BUTTRESS = [(0.0, 5.0), (0.35, 5.0), (0.45, 4.0), (0.7, 4.0), (1.7, 5.0), (2.0, 5.0)]
LEANING_BACK = [(0.0, 5.0), (0.3, 5.0), (1.3, 4.0), (1.55, 4.0), (1.65, 5.0), (2.0, 5.0)]
SQUARE = [(0.0, 5.0), (1.0, 5.0), (1.0, 4.0), (2.0, 4.0), (2.0, 5.0)]
BALL_GROOVE = [(0.0, 5.0), (0.3, 5.0), (1.0, 4.4, 0.6, 4.55), (1.7, 5.0, 1.4, 4.55), (2.0, 5.0)]
ROUND = [(0.0, 5.0), (1.0, 5.0, 0.5, 5.5), (2.0, 5.0, 1.5, 4.5)]
SHARP = [(0.0, 5.0), (1.0, 4.0), (2.0, 5.0)]
AS_STEEP_AS_THE_CONE = [(0.0, 5.0), (0.4, 5.0), (1.0, 4.4), (1.4, 4.4), (2.0, 5.0)]
OUTLINES = {
    "buttress": BUTTRESS,
    "leaning back": LEANING_BACK,
    "square": SQUARE,
    "ball groove": BALL_GROOVE,
    "round": ROUND,
    "sharp": SHARP,
    "as steep as the cone": AS_STEEP_AS_THE_CONE,
}


@pytest.mark.parametrize("designation", ["M3", "Tr8x1.5", "Tr8x8(P2)", "Tr8x1.5 LH", "1/2-10 ACME", "M24"])
@pytest.mark.parametrize("ends", ["plain", "chamfered"])
def test_a_rod_is_one_valid_closed_solid_of_its_volume(designation, ends):
    made = thread(designation)
    length = 4.3 * made.lead_mm
    expected = threaded_solid(threaded_rod(made, length, ends=ends))
    assert_one_valid_closed_solid(rod_solid(made, length, ends=ends), expected.volume_mm3)


@pytest.mark.parametrize("outline_name", OUTLINES)
@pytest.mark.parametrize("starts", [1, 3])
def test_any_outline_makes_a_valid_solid(outline_name, starts):
    made = replace(with_outline("Tr10x2", OUTLINES[outline_name]), starts=starts, lead_mm=2.0 * starts)
    ends = {"near_journal": Journal(6, 5, 0.5), "ends": "chamfered"}
    expected = threaded_solid(threaded_rod(made, 15, **ends))
    assert_one_valid_closed_solid(rod_solid(made, 15, **ends), expected.volume_mm3)


@pytest.mark.parametrize("diameter", [4.0, 5.9, 6.2, 7.0, 8.0, 10.0])
@pytest.mark.parametrize("hand", ["", " LH"])
def test_journals_of_any_diameter_meet_the_relief_in_a_ring(diameter, hand, tmp_path):
    made = thread("Tr8x1.5" + hand)
    journals = {"near_journal": Journal(diameter, 4), "far_journal": Journal(diameter, 6, 0.5)}
    expected = threaded_solid(threaded_rod(made, 12, **journals)).volume_mm3
    solid = rod_solid(made, 12, **journals)
    assert_one_valid_closed_solid(solid, expected)
    assert_one_valid_closed_solid(round_trip(solid, tmp_path), expected)


def test_closed_form_centroid_and_inertia_are_those_of_the_kernel():
    ends = {"near_journal": Journal(6, 7), "far_journal": Journal(10, 3, 1)}
    found = kernel_properties(rod_solid(thread("Tr8x8(P2)"), 30, **ends))
    expected = threaded_solid(threaded_rod(thread("Tr8x8(P2)"), 30, **ends))
    matrix = found.MatrixOfInertia()  # about the centroid
    assert found.CentreOfMass().Z() == pytest.approx(expected.centroid_z_mm, rel=1e-7)
    assert matrix.Value(3, 3) == pytest.approx(expected.axial_moment_mm5, rel=1e-6)
    mean = (matrix.Value(1, 1) + matrix.Value(2, 2)) / 2
    assert mean == pytest.approx(expected.transverse_moment_mm5, rel=1e-6)


@pytest.mark.parametrize("designation", ["M6", "Tr8x1.5", "Tr8x8(P2) LH"])
@pytest.mark.parametrize("ends", [{}, {"ends": "chamfered"}, {"far_journal": Journal(5, 3)}])
def test_later_booleans_cut_a_rod_where_they_should(designation, ends):
    """Faces of more than a turn would pass every other check and come out of this one empty or whole."""
    made = thread(designation)
    solid = rod_solid(made, 6.1 * made.pitch_mm, **ends)
    expected = threaded_solid(threaded_rod(made, 6.1 * made.pitch_mm, **ends)).volume_mm3
    for x in (-0.31, 0.07):
        half = BRepPrimAPI_MakeBox(gp_Pnt(x, -20, -20), 40, 40, 60).Solid()
        kept, cut = (volume_of(op(solid, half).Shape()) for op in (BRepAlgoAPI_Common, BRepAlgoAPI_Cut))
        assert kept + cut == pytest.approx(expected, rel=1e-5)
        assert 0.4 < kept / expected < 0.6


def test_the_box_of_a_rod_is_its_major_diameter_and_length():
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(rod_solid(thread("M6"), 10), box, False, False)
    low_x, low_y, low_z, high_x, high_y, high_z = box.Get()
    assert (low_x, low_y, high_x, high_y) == pytest.approx((-3, -3, 3, 3), abs=1e-5)
    assert (low_z, high_z) == pytest.approx((0, 10), abs=1e-5)


@pytest.mark.parametrize(("hand", "turn"), [("", 1), (" LH", -1)])
def test_a_right_hand_thread_rises_counter_clockwise(hand, turn):
    """A cut at z = lead/4 shows the crest that starts at z = 0 on the x axis a quarter turn on."""
    made = thread("Tr8x1.5" + hand)
    solid = rod_solid(made, 3)
    section = BRepAlgoAPI_Section(solid, gp_Pln(gp_Pnt(0, 0, 1.5 + 1.5 / 4), gp_Dir(0, 0, 1)))
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(section.Shape(), box, False, False)
    _, low_y, _, _, high_y, _ = box.Get()
    far_side, near_side = (high_y, -low_y) if turn > 0 else (-low_y, high_y)
    assert far_side == pytest.approx(4.0, abs=1e-5)
    assert near_side < 3.9


@pytest.mark.parametrize("designation", ["M6", "Tr8x1.5", "Tr8x8(P2)", "1/2-10 ACME LH"])
def test_pitch_and_lead_measured_on_the_solid(designation):
    """On a line along the axis at the pitch radius, flanks follow each other by half a pitch.

    A turn of the line shifts them by that share of the lead, downwards in a left-hand thread.
    """
    made = thread(designation)
    ray = IntCurvesFace_ShapeIntersector()
    ray.Load(rod_solid(made, 5 * made.pitch_mm), 1e-9)
    hits = []
    for angle in (0.5, 0.8):
        x, y = (made.pitch_diameter_mm / 2 * f(angle) for f in (math.cos, math.sin))
        ray.Perform(gp_Lin(gp_Pnt(x, y, -1), gp_Dir(0, 0, 1)), 0, 5 * made.pitch_mm + 2)
        heights = sorted(ray.Pnt(i).Z() for i in range(1, ray.NbPnt() + 1))
        hits.append(np.array([z for z in heights if 1e-6 < z < 5 * made.pitch_mm - 1e-6]))
        assert len(hits[-1]) >= 9
        assert np.diff(hits[-1]) == pytest.approx(made.pitch_mm / 2, abs=1e-6)
    rise = 0.3 / math.tau * made.lead_mm * (1 if made.hand == "right" else -1)
    off = (hits[1][0] - hits[0][0] - rise) / (made.pitch_mm / 2)
    assert off == pytest.approx(round(off), abs=1e-6)


@pytest.mark.parametrize("designation", ["M3", "Tr8x1.5", "Tr8x1.5 LH", "Tr8x8(P2)", "1-5 ACME"])
@pytest.mark.parametrize("ends", ["plain", "chamfered"])
def test_a_nut_is_its_body_less_the_closed_form_of_its_bore(designation, ends, tmp_path):
    made = thread(designation)
    radius, z0, z1 = made.major_diameter_mm, 3.0, 3.0 + 5.2 * made.pitch_mm
    body = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, 0, z0), gp_Dir(0, 0, 1)), radius, z1 - z0).Solid()
    nut = nut_solid(body, made, z0, z1, ends=ends)
    void = threaded_solid(threaded_bore(made, z0, z1, ends=ends)).volume_mm3
    expected = math.pi * radius**2 * (z1 - z0) - void
    assert_one_valid_closed_solid(nut, expected)
    assert_one_valid_closed_solid(round_trip(nut, tmp_path), expected)


def test_a_nut_keeps_the_holes_and_shape_of_its_body():
    block = BRepPrimAPI_MakeBox(gp_Pnt(-15, -10, 0), 30, 20, 8).Solid()
    drill = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(11, 0, -1), gp_Dir(0, 0, 1)), 2, 10).Solid()
    explorer = TopExp_Explorer(BRepAlgoAPI_Cut(block, drill).Shape(), TopAbs_ShapeEnum.TopAbs_SOLID)
    nut = nut_solid(explorer.Current(), thread("Tr8x1.5"), 0, 8)
    void = threaded_solid(threaded_bore(thread("Tr8x1.5"), 0, 8)).volume_mm3
    assert_one_valid_closed_solid(nut, 30 * 20 * 8 - math.pi * 4 * 8 - void)


@pytest.mark.parametrize(
    ("body_radius", "z1", "message"),
    [(4.1, 10.0, "does not fit the nut's end face"), (8.0, 9.0, "no plane face across the axis at z 9")],
)
def test_a_nut_body_that_cannot_hold_the_bore_is_refused(body_radius, z1, message):
    body = BRepPrimAPI_MakeCylinder(body_radius, 10.0).Solid()
    with pytest.raises(ShapeError, match=message):
        nut_solid(body, thread("Tr8x1.5"), 0.0, z1)


def test_the_public_function_gives_a_cadquery_solid():
    solid = thread_solid("M3x0.5", 5, ends="chamfered")
    assert type(solid).__name__ == "Solid"
    assert solid.isValid()
    expected = threaded_solid(threaded_rod(thread("M3x0.5"), 5, ends="chamfered")).volume_mm3
    assert solid.Volume() == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("length", "ends", "message"),
    [
        (0.0, {}, "thread length is 0 mm"),
        (-1.0, {}, "thread length is -1 mm"),
        (math.nan, {}, "thread length is nan mm"),
        (1501.5, {}, "have 1001.0 turns, at most 1000"),
        (1.5, {"ends": "chamfered"}, "the ends take 2.100 of 1.5 mm"),
        (9.0, {"near_journal": Journal(0, 5)}, "journal diameter is 0 mm"),
        (9.0, {"far_journal": Journal(5, -2)}, "journal length is -2 mm"),
        (9.0, {"far_journal": Journal(5, 2, 2)}, "journal chamfer is 2 mm, it must be 0 or more and below 2"),
    ],
)
def test_rods_that_cannot_be_are_refused_with_number_and_repair(length, ends, message):
    with pytest.raises(ShapeError, match=message) as refusal:
        rod_solid(thread("Tr8x1.5"), length, **ends)
    assert all(problem.repair for problem in refusal.value.problems)

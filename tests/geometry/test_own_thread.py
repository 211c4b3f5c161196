"""A thread of the user's own outline: its solid, mesh and nut are sound, and bad outlines are refused."""

import math

import pytest

from geometry.errors import InputError
from geometry.outlines import section_area
from geometry.own_thread import outline_thread, symmetric_points
from geometry.thread_ends import threaded_bore, threaded_rod
from geometry.thread_properties import threaded_solid
from geometry.threads import thread

TRAPEZOID = symmetric_points(1.5, 0.9, 0.5490381056766580, (15.0, 15.0))


def test_the_outline_of_a_standard_thread_gives_that_thread():
    own, known = outline_thread(8.0, 1.5, TRAPEZOID), thread("Tr8x1.5")
    assert section_area(own.external) == pytest.approx(section_area(known.external), rel=1e-9)
    assert own.pitch_diameter_mm == pytest.approx(known.pitch_diameter_mm, abs=1e-6)
    assert own.root_diameter_mm == pytest.approx(known.root_diameter_mm, abs=1e-12)
    assert (own.flank_angle_deg, own.back_flank_angle_deg) == pytest.approx((15.0, 15.0), abs=1e-9)
    assert own.designation == "own outline 8x1.5"


def test_flanks_of_their_own_and_a_square():
    saw = outline_thread(12.0, 3.0, symmetric_points(3.0, 1.5, 0.8, (3.0, 30.0)), starts=3, hand="left")
    assert (saw.flank_angle_deg, saw.back_flank_angle_deg) == pytest.approx((3.0, 30.0), abs=1e-9)
    assert (saw.lead_mm, saw.designation) == (9.0, "own outline 12x9(P3) LH")
    square = outline_thread(20.0, 4.0, symmetric_points(4.0, 2.0, 2.0, (0.0, 0.0)))
    assert square.pitch_diameter_mm == pytest.approx(18.0, abs=1e-6)
    assert square.flank_angle_deg == pytest.approx(0.0, abs=1e-9)


def test_radii_round_their_corners_and_keep_the_flanks():
    sharp = outline_thread(8.0, 1.5, TRAPEZOID)
    round_root = outline_thread(8.0, 1.5, TRAPEZOID, radii_mm=(0.0, 0.0, 0.1, 0.1))
    # A fillet of radius r between lines that turn by phi fills r^2 (tan(phi / 2) - phi / 2).
    phi = math.radians(75.0)
    filled = 0.1**2 * (math.tan(phi / 2) - phi / 2)
    centre = 2 * math.pi * sharp.root_diameter_mm / 2 / 1.5  # Pappus at about the root radius, over the pitch
    found = section_area(round_root.external) - section_area(sharp.external)
    assert found == pytest.approx(2 * filled * centre, rel=0.01)
    assert round_root.flank_angle_deg == pytest.approx(15.0, abs=1e-9)
    rounded_all = outline_thread(8.0, 1.5, TRAPEZOID, radii_mm=(0.05, 0.05, 0.1, 0.1))
    assert rounded_all.external.pitch_mm == pytest.approx(1.5)
    assert rounded_all.major_diameter_mm == pytest.approx(8.0)


def test_the_nut_is_the_outlines_own_and_stands_clear_of_it():
    made = outline_thread(8.0, 1.5, TRAPEZOID, radii_mm=(0.05, 0.05, 0.1, 0.1), clearance_mm=0.05)
    assert made.internal.smallest_radius_mm == pytest.approx(made.external.smallest_radius_mm + 0.05)
    rod, bore = threaded_rod(made, 15.0), threaded_bore(made, 0.0, 15.0)
    assert threaded_solid(bore).volume_mm3 > threaded_solid(rod).volume_mm3


@pytest.mark.parametrize("radii", [(), (0.05, 0.05, 0.15, 0.15)])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_solid_and_mesh_are_sound(radii, hand):
    import trimesh
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    from geometry.thread_mesh import rod_mesh
    from geometry.thread_solid import solid_of

    made = outline_thread(8.0, 1.5, TRAPEZOID, radii_mm=radii, starts=2, hand=hand)
    rod = threaded_rod(made, 12.0, ends="chamfered")
    solid, found = solid_of(rod), GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, found)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert found.Mass() == pytest.approx(threaded_solid(rod).volume_mm3, rel=1e-6)
    mesh = trimesh.Trimesh(*rod_mesh(rod, 0.01), process=False)
    assert mesh.is_watertight
    assert mesh.area_faces.min() > 0


@pytest.mark.parametrize(
    ("points", "more", "message", "repair"),
    [
        (
            [(0, 0), (0.6, 0), (0.4, 0.7), (1.1, 0.7)],
            {},
            "point 2 stands at 0.6 mm, point 3 at 0.4",
            "point 3 at 0.6",
        ),
        (
            [(0, 0), (1.1, 0.7), (0.4, 0.7), (1.3, 0.2)],
            {},
            "crosses itself: its sides 1-2 and 3-4 meet",
            "order",
        ),
        (
            [(0, 0), (0.5, 0), (1.7, 0.6)],
            {},
            "longer than a pitch: point 3 stands at 1.7 mm",
            "within 1.5 mm",
        ),
        ([(0, 0.2), (0.5, 0.2)], {}, "leaves no root: every point lies 0.2 mm deep", "larger depth"),
        ([(0, 0), (0.5, 4.2)], {}, "leaves no core: it is 4.2 mm deep", "below 4 mm"),
        ([(0, -0.1), (0.5, 0.5)], {}, "0.1 mm outside its diameter of 8 mm", "from 0"),
        (
            [(0, 0), (0.5, 0), (0.5, 0), (1, 0.5)],
            {},
            "points 2 and 3 of the outline coincide",
            "leave one out",
        ),
        ([(0, 0)], {}, "has 1 points", "at least two"),
        (TRAPEZOID, {"radii_mm": (0.1,)}, "1 radii are given for 4 points", "one for each"),
        (TRAPEZOID, {"radii_mm": (0, 0, 0.4, 0.4)}, "the radii of points 3 and 4 need", "at most 0.3"),
        (TRAPEZOID, {"clearance_mm": 1.0}, "a clearance of 1 mm leaves", "below 0.9 mm"),
        (TRAPEZOID, {"starts": 9}, "9 starts", "8 or fewer"),
    ],
)
def test_bad_outlines_are_refused_with_the_number_and_the_repair(points, more, message, repair):
    with pytest.raises(InputError) as refusal:
        outline_thread(8.0, 1.5, tuple(map(tuple, points)), **more)
    (problem,) = refusal.value.problems
    assert message in problem.message
    assert repair in problem.repair


def test_the_largest_radius_that_is_named_fits():
    with pytest.raises(InputError) as refusal:
        outline_thread(8.0, 1.5, TRAPEZOID, radii_mm=(0.0, 0.0, 0.4, 0.4))
    words = refusal.value.problems[0].repair.split()
    most = float(words[words.index("most") + 1])
    assert outline_thread(8.0, 1.5, TRAPEZOID, radii_mm=(0.0, 0.0, most, most))


def test_flanks_that_leave_no_root_are_refused_with_the_depth_that_would():
    with pytest.raises(InputError) as refusal:
        symmetric_points(1.5, 1.2, 0.4, (30.0, 30.0))
    (problem,) = refusal.value.problems
    assert "leaves no root" in problem.message
    assert "1.786 mm of a pitch of 1.5 mm" in problem.message
    assert "depth of at most 0.9526 mm" in problem.repair
    assert symmetric_points(1.5, 0.9526, 0.4, (30.0, 30.0))


@pytest.mark.parametrize("crest", [1.3, 1.9, 0.7 + 0.6])
def test_walls_with_rounded_corners_do_not_lean_back(crest):
    made = outline_thread(50.0, 4.1, symmetric_points(4.1, 2.4, crest, (0.0, 0.0)), radii_mm=(0.08,) * 4)
    assert made.flank_angle_deg == pytest.approx(0.0, abs=1e-6)
    assert made.back_flank_angle_deg == pytest.approx(0.0, abs=1e-6)

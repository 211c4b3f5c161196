import math

import pytest

from geometry.bodies import Box, Cylinder, Shape
from geometry.errors import KernelError, ShapeError
from geometry.solids import bounding_box, brep_of_solid, solid_of, solid_of_brep, volume_of_solid


def test_box_has_its_corners_and_volume() -> None:
    solid = solid_of(Shape((Box((-1.0, 2.0, 3.0), (4.0, 5.0, 7.0)),)))
    assert volume_of_solid(solid) == pytest.approx(5 * 3 * 4, rel=1e-12)
    low, high = bounding_box(solid)
    assert low == pytest.approx((-1, 2, 3), abs=1e-6)
    assert high == pytest.approx((4, 5, 7), abs=1e-6)


@pytest.mark.parametrize(
    ("axis", "low", "high"),
    [("x", (10, -1, 0), (20, 5, 6)), ("y", (-1, 10, 0), (5, 20, 6)), ("z", (-1, 0, 10), (5, 6, 20))],
)
def test_cylinder_lies_along_its_axis(axis: str, low: tuple[int, ...], high: tuple[int, ...]) -> None:
    solid = solid_of(Shape((Cylinder(axis, (2.0, 3.0), 3.0, (10.0, 20.0)),)))  # type: ignore[arg-type] # literal
    found_low, found_high = bounding_box(solid)
    assert found_low == pytest.approx(low, abs=1e-6)
    assert found_high == pytest.approx(high, abs=1e-6)
    assert volume_of_solid(solid) == pytest.approx(math.pi * 9 * 10, rel=1e-9)


def test_pieces_on_a_common_face_and_through_bores_make_one_solid() -> None:
    shape = Shape(
        (Cylinder("z", (0.0, 0.0), 7.5, (14.0, 26.0)), Cylinder("z", (0.0, 0.0), 12.0, (26.0, 30.0))),
        (Cylinder("z", (0.0, 0.0), 4.0, (14.0, 30.0)), Cylinder("z", (9.5, 0.0), 1.0, (26.0, 30.0))),
    )
    expected = math.pi * (7.5**2 * 12 + 12**2 * 4 - 4**2 * 16 - 4)
    assert volume_of_solid(solid_of(shape)) == pytest.approx(expected, rel=1e-9)


def test_blind_bore_is_cut_from_one_piece() -> None:
    shape = Shape((Box((0, 0, 0), (10, 10, 10)),), (Cylinder("x", (5, 5), 2, (0, 6)),))
    assert volume_of_solid(solid_of(shape)) == pytest.approx(1000 - math.pi * 4 * 6, rel=1e-9)


def test_flush_boxes_leave_no_seam_inside() -> None:
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    solid = solid_of(Shape((Box((0, 0, 0), (1, 1, 1)), Box((1, 0, 0), (3, 1, 1)))))
    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(solid, TopAbs_ShapeEnum.TopAbs_FACE, faces)
    assert faces.Extent() == 6


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (Shape((Box((0, 0, 0), (1, 0, 1)),)), "y = 0 to 0 mm has no thickness"),
        (Shape((Box((0, 0, 0), (1, 1, float("nan"))),)), "z = 0 to nan mm"),
        (Shape((Cylinder("z", (0, 0), 0, (0, 1)),)), "radius 0 mm"),
        (Shape((Cylinder("z", (0, 0), 1, (2, 1)),)), "from z = 2 to 1 mm has no length"),
        (Shape(()), "without any solid piece"),
        (Shape((Box((0, 0, 0), (1, 1, 1)), Box((2, 0, 0), (3, 1, 1)))), "make 2 solids"),
        (Shape((Box((0, 0, 0), (9, 1, 1)),), (Box((4, 0, 0), (5, 1, 1)),)), "make 2 solids"),
        (Shape((Box((0, 0, 0), (1, 1, 1)),), (Box((-1, -1, -1), (2, 2, 2)),)), "make 0 solids"),
    ],
)
def test_what_is_no_single_solid_is_refused(shape: Shape, words: str) -> None:
    with pytest.raises(ShapeError, match="carrier") as caught:
        solid_of(shape, "carrier")
    assert words in str(caught.value)


def test_brep_bytes_come_back_as_the_same_solid() -> None:
    solid = solid_of(Shape((Box((0, 0, 0), (10, 10, 10)),), (Cylinder("x", (5, 5), 2, (0, 10)),)))
    brep = brep_of_solid(solid)
    again = solid_of_brep(brep)
    assert volume_of_solid(again) == volume_of_solid(solid)
    assert brep_of_solid(again) == brep


def test_brep_of_something_else_is_a_kernel_error() -> None:
    with pytest.raises(KernelError):
        solid_of_brep(b"no shape at all")

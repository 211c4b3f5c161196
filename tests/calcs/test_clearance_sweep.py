"""The swept boundary: its faces, its exact least distance, and the travel that it names."""

from __future__ import annotations

import math

import numpy as np
import pytest
from vial_lift import box

from calcs.clearance_sweep import (
    around,
    is_big,
    mover_of,
    pose_distance,
    shifted_distance,
    sweep,
    swept_gap,
    whole,
)
from geometry.bodies import Cylinder, Primitive, Shape
from geometry.meshes import Mesh, mesh_of


def solid(*adds: Primitive, cuts: tuple[Primitive, ...] = ()) -> Mesh:
    return mesh_of(Shape(adds, cuts))


FLAG = solid(box(-18.0, -15.0, -2.0, 2.0, 33.0, 34.0))


def test_a_box_has_its_silhouette_as_swept_sides() -> None:
    mover = mover_of(FLAG)
    # 2 triangles look back, 2 ahead, 8 along; 4 bottom and 4 top edges sweep.
    assert (len(mover.rear), len(mover.front), len(mover.sides)) == (10, 10, 8)


def test_thin_rib_between_any_samples_is_found_exactly() -> None:
    rib = whole(solid(box(-20.0, -18.7, -6.0, 6.0, 61.0, 61.01)))
    gap = swept_gap(sweep(mover_of(FLAG), -4.0, 64.0), rib)
    assert gap is not None
    assert gap.distance == pytest.approx(0.7, abs=1e-12)
    assert 27.0 - 1e-9 <= gap.travel <= 28.01 + 1e-9
    assert np.linalg.norm(np.subtract(gap.on_mover, gap.on_obstacle)) == pytest.approx(0.7, abs=1e-12)


def test_the_travel_of_a_point_obstacle_is_read_off_the_swept_edge() -> None:
    """A needle beside the path of a wedge: nearest where the wedge's edge has the needle's height."""
    wedge = mesh_of(Shape((box(0.0, 2.0, 0.0, 2.0, 0.0, 1.0),)))
    tip = wedge.vertices.copy()
    tip[tip[:, 0] > 1.0] = [3.0, 1.0, 0.5]
    tapered = Mesh(tip, wedge.triangles, 0.0)
    needle = whole(solid(box(3.4, 9.0, 0.999, 1.001, 40.0, 40.000001)))
    gap = swept_gap(sweep(mover_of(tapered), 0.0, 60.0), needle)
    assert gap is not None
    assert gap.distance == pytest.approx(0.4, abs=1e-9)
    assert gap.travel == pytest.approx(39.5, abs=1e-5)


def test_sweeps_go_in_any_direction() -> None:
    mover = mover_of(solid(box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0)), (1.0, 1.0, 0.0))
    post = whole(solid(box(10.0, 11.0, 8.0, 8.5, 0.0, 1.0)))
    gap = swept_gap(sweep(mover, 0.0, 30.0), post)
    assert gap is not None
    # the lower right edge runs along y = x - 1; the post's nearest corner is (10, 8.5)
    assert gap.distance == pytest.approx(0.5 / math.sqrt(2.0), abs=1e-12)
    # from (1, 0) to the foot (9.75, 8.75) of the corner
    assert gap.travel == pytest.approx(8.75 * math.sqrt(2.0), abs=1e-9)
    assert mover.direction == pytest.approx([math.sqrt(0.5), math.sqrt(0.5), 0.0])


def test_cylinder_in_its_bore_keeps_the_closed_form_gap() -> None:
    """Bore R12, cylinder r10 off axis by 0.5: 1.5 everywhere; the chord errors' interval contains it."""
    bore = solid(
        box(0.0, 100.0, -20.0, 20.0, -20.0, 20.0), cuts=(Cylinder("x", (0.0, 0.0), 12.0, (0.0, 100.0)),)
    )
    piston = solid(Cylinder("x", (0.35355339, 0.35355339), 10.0, (2.0, 17.0)))
    gap = swept_gap(sweep(mover_of(piston, (1.0, 0.0, 0.0)), 0.0, 80.0), whole(bore))
    assert gap is not None
    assert abs(gap.distance - 1.5) <= piston.chord_error + bore.chord_error <= 0.005


def test_pose_and_shift_move_the_same_tree() -> None:
    mover = mover_of(FLAG)
    wall = whole(solid(box(-30.0, -28.0, -9.0, 9.0, 0.0, 200.0)))
    above = whole(solid(box(-18.0, -15.0, -2.0, 2.0, 50.0, 51.0)))
    assert pose_distance(mover, 6.0, above) == pytest.approx(10.0)
    assert shifted_distance(sweep(mover, 0.0, 4.0), np.array([-3.0, 0.0, 0.0]), wall) == pytest.approx(7.0)
    assert shifted_distance(sweep(mover, 0.0, 4.0), np.array([0.0, 0.0, 1.0]), above) == pytest.approx(11.0)


def test_open_sheets_sweep_their_rims() -> None:
    sheet = Mesh(FLAG.vertices, FLAG.triangles[:1], 0.0)
    assert len(mover_of(sheet).sides) == 3


def test_cropping_keeps_what_is_near_and_admits_what_it_left_out() -> None:
    obstacle = solid(box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0), box(50.0, 51.0, 0.0, 1.0, 0.0, 1.0))
    swept = sweep(mover_of(solid(box(-3.0, -2.0, 0.0, 1.0, 0.0, 1.0))), 0.0, 1.0)
    near = around(obstacle, swept, 2.5)
    gap = swept_gap(swept, near)
    assert gap is not None
    assert gap.distance == pytest.approx(2.0)
    assert swept_gap(swept, around(obstacle, swept, 1.0)) is None
    assert pose_distance(swept.mover, 0.0, around(obstacle, swept, 1.0)) == math.inf


@pytest.mark.parametrize("size", [1e-3, 1.0])
def test_small_faces_look_their_way_like_large_ones(size: float) -> None:
    mover = mover_of(solid(box(0.0, size, 0.0, size, 0.0, size)))
    assert (len(mover.rear), len(mover.front), len(mover.sides)) == (10, 10, 8)


def test_a_flat_triangle_looks_no_way() -> None:
    vertices = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 1.0], [2.0, 0.0, 2.0]])
    mover = mover_of(Mesh(vertices, np.array([[0, 1, 2]], dtype=np.int32), 0.0))
    assert (len(mover.rear), len(mover.front)) == (1, 1)


@pytest.mark.parametrize(
    ("start", "stop", "low", "high"),
    [(-4.0, 0.0, 29.0, 34.0), (0.0, 5.0, 33.0, 39.0), (0.0, 0.0, 33.0, 34.0), (1.0, 1.0, 34.0, 35.0)],
)
def test_a_sweep_reaches_from_its_first_to_its_last_pose(
    start: float, stop: float, low: float, high: float
) -> None:
    swept = sweep(mover_of(FLAG), start, stop)
    assert np.array(swept.boundary.bounds)[:, 2] == pytest.approx([low, high])
    below = whole(solid(box(-18.0, -15.0, -2.0, 2.0, 0.0, 20.0)))
    gap = swept_gap(swept, below)
    assert gap is not None
    assert (gap.distance, gap.travel) == (pytest.approx(low - 20.0), start)


OCTAHEDRON = Mesh(
    np.array([[1, 0, 7.5], [0, 1, 7], [-1, 0, 6.5], [0, -1, 7], [0, 0, 8], [0, 0, 6]], dtype=np.float64),
    np.array(
        [[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4], [1, 0, 5], [2, 1, 5], [3, 2, 5], [0, 3, 5]],
        dtype=np.int32,
    ),
    0.0,
)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("height", [9.0, 37.0, 66.0])
@pytest.mark.parametrize("side", [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)])
def test_every_swept_edge_names_the_travel_of_its_nearest_point(
    share: float, height: float, side: tuple[float, float]
) -> None:
    """Its outline along the travel is a square whose edges rise by half of x: one point, one travel."""
    x, y = side[0] * share, side[1] * (1.0 - share)
    away = np.array([x + side[0] * 0.2, y + side[1] * 0.2])
    point = np.array([[*away, height], [*away * 1.1, height], [*away * 1.1, height + 1e-3]])
    needle = whole(Mesh(point, np.array([[0, 1, 2]], dtype=np.int32), 0.0))
    mover = mover_of(OCTAHEDRON)
    assert len(mover.sides) == 4
    gap = swept_gap(sweep(mover, 0.0, 60.0), needle)
    assert gap is not None
    assert gap.distance == pytest.approx(0.2 * math.sqrt(2.0))
    assert gap.travel == pytest.approx(height - 7.0 - 0.5 * x)


def test_the_bottom_of_a_cup_is_nearest_at_the_end_of_its_way() -> None:
    cup = solid(box(-5.0, 5.0, -5.0, 5.0, 0.0, 6.0), cuts=(box(-3.0, 3.0, -3.0, 3.0, 2.0, 6.0),))
    pin = whole(solid(box(-1.0, 1.0, -1.0, 1.0, 43.0, 60.0)))
    gap = swept_gap(sweep(mover_of(cup), 0.0, 40.0), pin)
    assert gap is not None
    assert (gap.distance, gap.travel) == (pytest.approx(1.0), 40.0)


def test_the_rim_of_a_sheet_along_the_travel_is_nearest_while_it_passes() -> None:
    sheet = Mesh(
        np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [2.0, 0.0, 1.0]]),
        np.array([[0, 1, 2]], dtype=np.int32),
        0.0,
    )
    post = whole(solid(box(2.5, 9.0, -1.0, 1.0, 30.0, 30.1)))
    gap = swept_gap(sweep(mover_of(sheet), 0.0, 60.0), post)
    assert gap is not None
    assert gap.distance == pytest.approx(0.5)
    assert 29.0 <= gap.travel <= 30.1


def test_surfaces_that_cross_have_no_distance() -> None:
    through = whole(solid(box(-20.0, -16.0, -1.0, 1.0, 33.2, 33.8)))
    gap = swept_gap(sweep(mover_of(FLAG), -4.0, 64.0), through)
    assert gap is not None
    assert gap.distance == 0.0
    assert pose_distance(mover_of(FLAG), 0.0, through) == 0.0


def test_cropping_keeps_triangles_that_reach_far_beyond_what_is_near() -> None:
    plates = solid(box(-90.0, 90.0, -90.0, 90.0, -9.0, -3.0), box(200.0, 300.0, -90.0, 90.0, -9.0, -3.0))
    swept = sweep(mover_of(solid(box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))), 0.0, 2.0)
    near = around(plates, swept, 4.0)
    assert near.margin == 4.0
    gap = swept_gap(swept, near)
    assert gap is not None
    assert gap.distance == pytest.approx(3.0)


def test_big_is_what_has_more_than_300_000_triangles() -> None:
    for count, big in ((300_000, False), (300_001, True)):
        assert is_big(Mesh(np.zeros((3, 3)), np.zeros((count, 3), dtype=np.int32), 0.0)) is big


@pytest.mark.parametrize("axis", [0, 1, 2])
@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_what_is_far_along_one_axis_is_cropped_away(axis: int, sense: float) -> None:
    swept = sweep(mover_of(solid(box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))), 0.0, 2.0)
    shift = np.zeros(3)
    shift[axis] = 50.0 * sense
    far = solid(box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))
    near = around(Mesh(far.vertices + shift, far.triangles, 0.0), swept, 10.0)
    assert near.tree is None

"""Inside or outside: what the distance between surfaces cannot tell."""

from __future__ import annotations

import numpy as np
import pytest
from vial_lift import box, rod

from calcs import clearance_inside
from calcs.clearance_inside import _segment_crosses, is_inside, one_holds_the_other, winding_numbers
from calcs.clearance_sweep import mover_of, sweep, swept_gap, whole
from geometry.bodies import Shape
from geometry.meshes import Mesh, mesh_of

WALL = mesh_of(Shape((box(-20.0, 20.0, -20.0, 20.0, -20.0, 20.0),)))
CUBE = mesh_of(Shape((box(-2.0, 2.0, -2.0, 2.0, -2.0, 2.0),)))
TUBE = mesh_of(Shape((rod(10.0, 0.0, 30.0),), (rod(6.0, 0.0, 30.0),)))


def holds(mover: Mesh, obstacle: Mesh, start: float, stop: float, *, solid: bool = True) -> bool:
    swept = sweep(mover_of(mover), start, stop)
    return one_holds_the_other(swept, obstacle, obstacle_is_solid=solid, mover_is_solid=solid)


def test_winding_is_one_inside_and_zero_in_the_bore() -> None:
    points = np.array([[8.0, 0.0, 15.0], [0.0, 0.0, 15.0], [0.0, 0.0, 40.0], [-8.0, 0.0, 0.001]])
    assert winding_numbers(TUBE, points) == pytest.approx([1.0, 0.0, 0.0, 1.0], abs=1e-9)
    assert list(is_inside(TUBE, points)) == [True, False, False, True]
    assert winding_numbers(Mesh(CUBE.vertices, CUBE.triangles[:, ::-1], 0.0), points[:0]).shape == (0,)


def test_a_cube_buried_in_a_wall_is_held_though_its_surface_is_far() -> None:
    gap = swept_gap(sweep(mover_of(CUBE), -1.0, 1.0), whole(WALL))
    assert gap is not None
    assert gap.distance == pytest.approx(17.0)
    assert holds(CUBE, WALL, -1.0, 1.0)
    assert holds(WALL, CUBE, -1.0, 1.0)
    assert not holds(CUBE, WALL, -1.0, 1.0, solid=False)


def test_an_obstacle_in_the_path_is_met_though_the_swept_boundary_misses_it() -> None:
    plate = mesh_of(Shape((box(-20.0, 20.0, -20.0, 20.0, -20.0, -10.0),)))
    assert holds(plate, CUBE, 0.0, 60.0)
    assert holds(plate, CUBE, 30.0, 60.0) is False
    assert holds(plate, CUBE, 0.0, 5.0) is False


def test_the_path_of_an_open_surface_counts_as_well() -> None:
    plate = mesh_of(Shape((box(-20.0, 20.0, -20.0, 20.0, -20.0, -10.0),)))
    top = Mesh(plate.vertices, plate.triangles[2:4], 0.0)
    assert (top.corners[:, :, 2] == -10.0).all()
    assert holds(top, CUBE, 0.0, 60.0, solid=False)
    assert not holds(top, CUBE, 0.0, 5.0, solid=False)


def test_a_point_that_travels_along_the_seam_of_two_triangles_is_met() -> None:
    """The plate's faces are halved along y = -x, where the low corner of each box lies."""
    plate = mesh_of(Shape((box(-20.0, 20.0, -20.0, 20.0, -20.0, -10.0),)))
    for size in (0.1, 1.0 / 3.0, 0.7, 3.3):
        body = mesh_of(Shape((box(-size, size, size, size + 1.0, 0.0, 1.0),)))
        assert holds(plate, body, 0.0, 60.0)


def test_a_body_in_a_bore_is_free() -> None:
    pin = mesh_of(Shape((rod(2.0, 5.0, 9.0),)))
    assert not holds(pin, TUBE, 0.0, 20.0)
    assert not holds(TUBE, pin, 0.0, 20.0)


def test_every_piece_of_a_body_counts() -> None:
    two = mesh_of(Shape((box(30.0, 31.0, 0.0, 1.0, 0.0, 1.0), box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))))
    assert holds(two, WALL, 0.0, 1.0)


def test_a_point_half_enclosed_is_inside_from_just_over_half_on() -> None:
    """Below the middle of a missing square face of side 2 a: its solid angle is 4 asin(a^2 / (a^2 + h^2))."""
    open_cube = Mesh(CUBE.vertices, np.delete(CUBE.triangles, [2, 3], axis=0), 0.0)
    depths = np.array([0.01, 0.089])
    points = np.column_stack([np.zeros(2), np.zeros(2), 2.0 - depths])
    shares = 1.0 - np.arcsin(4.0 / (4.0 + depths**2)) / np.pi
    assert winding_numbers(open_cube, points) == pytest.approx(shares)
    assert shares == pytest.approx([0.502, 0.520], abs=1e-3)
    assert is_inside(open_cube, points).tolist() == [True, True]
    assert not is_inside(open_cube, np.array([[0.0, 0.0, 2.01]])).any()


def test_points_by_the_thousand_are_taken_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    points = np.random.default_rng(2).uniform(-12.0, 12.0, (50, 3))
    together = winding_numbers(TUBE, points)
    monkeypatch.setattr(clearance_inside, "_CHUNK", 7 * len(TUBE.triangles))
    assert winding_numbers(TUBE, points).tolist() == together.tolist()


def test_where_the_travel_begins_counts() -> None:
    block = mesh_of(Shape((box(-20.0, 20.0, -20.0, 20.0, 30.0, 60.0),)))
    assert holds(CUBE, block, 38.0, 40.0)
    assert not holds(CUBE, block, -40.0, -38.0)
    small = mesh_of(Shape((box(-2.0, 2.0, -2.0, 2.0, 98.0, 102.0),)))
    assert holds(WALL, small, 100.0, 101.0)
    assert not holds(WALL, small, -100.0, -99.0)


TRIANGLE = np.array([[[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]])


@pytest.mark.parametrize(
    ("x", "y", "z", "meets"),
    [
        (0.3, 0.3, 0.5, True),
        (0.3, 0.3, 0.05, True),  # soon
        (0.3, 0.3, 1.0, True),  # at its very end
        (0.3, 0.3, 1.05, False),  # short of it
        (0.3, 0.3, -0.05, False),  # behind it
        (0.05, 0.05, 0.5, True),
        (0.55, 0.5, 0.5, False),  # beyond the long side
        (-0.05, 0.3, 0.5, False),
        (0.3, -0.05, 0.5, False),
        (0.5 + 4e-10, 0.5 + 4e-10, 0.5, True),  # on a seam, to rounding
        (-8e-10, 0.3, 0.5, True),
        (0.3, -8e-10, 0.5, True),
        (0.5 + 1e-9, 0.5 + 1e-9, 0.5, False),
    ],
)
@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_segment_meets_a_triangle(x: float, y: float, z: float, meets: bool, way: float) -> None:
    down = np.array([0.0, 0.0, -way])
    assert _segment_crosses(TRIANGLE, np.array([x, y, way * z]), down) is meets
    turned = TRIANGLE[:, [0, 2, 1]]
    assert _segment_crosses(turned, np.array([x, y, way * z]), down) is meets


def test_a_segment_in_the_plane_of_a_triangle_does_not_cross_it() -> None:
    assert not _segment_crosses(TRIANGLE, np.array([0.2, 0.2, 0.0]), np.array([0.1, 0.0, 0.0]))

"""Windows of travel below a threshold, their ends, and the clear strokes between them."""

from __future__ import annotations

import pytest
from vial_lift import box

from calcs.clearance import Pair
from calcs.clearance_sweep import TOUCH, mover_of, whole
from calcs.clearance_windows import clear_of, joined, longest, windows_nearer
from geometry.bodies import Box, Shape
from geometry.meshes import mesh_of


def pair(mover: Box, *obstacle: Box) -> Pair:
    return Pair(mover_of(mesh_of(Shape((mover,)))), whole(mesh_of(Shape(obstacle))))


FLAG = box(-18.0, -15.0, -2.0, 2.0, 33.0, 34.0)


@pytest.mark.parametrize(
    ("face", "threshold", "expected"),
    [
        (-17.6, TOUCH, (27.0, 29.2)),
        (-17.6, 0.5, (26.5, 29.7)),
        (-18.7, 0.7 + 1e-7, (27.0, 29.2)),
    ],
)
def test_rib_windows_of_the_demo(face: float, threshold: float, expected: tuple[float, float]) -> None:
    windows = windows_nearer(pair(FLAG, box(-20.0, face, -6.0, 6.0, 61.0, 62.2)), threshold, -4.0, 64.0)
    assert len(windows) == 1
    assert windows[0] == pytest.approx(expected, abs=1e-3)


def test_two_ribs_leave_the_clear_stroke_between_them() -> None:
    ribs = [box(-20.0, -17.6, -6.0, 6.0, z, z + 1.2) for z in (45.0, 61.0)]
    windows = windows_nearer(pair(FLAG, *ribs), 0.5, -4.0, 64.0)
    assert windows == (pytest.approx((10.5, 13.7), abs=1e-4), pytest.approx((26.5, 29.7), abs=1e-4))


def test_window_at_the_end_of_the_travel_stays_there() -> None:
    windows = windows_nearer(pair(FLAG, box(-20.0, -10.0, -6.0, 6.0, 0.0, 30.5)), 0.5, -4.0, 64.0)
    assert windows == (pytest.approx((-4.0, -2.0), abs=1e-4),)


def test_a_guide_at_constant_gap_is_one_window_or_none() -> None:
    beside = pair(FLAG, box(-20.0, -18.4999, -9.0, 9.0, 0.0, 200.0))
    assert windows_nearer(beside, 0.5, -4.0, 64.0) == ((-4.0, 64.0),)
    assert windows_nearer(beside, 0.4998, -4.0, 64.0) == ()


def test_a_cube_inside_a_plate_in_its_path_clashes_until_the_plate_has_passed() -> None:
    plate, cube = box(-20.0, 20.0, -20.0, 20.0, -20.0, -10.0), box(-2.0, 2.0, -2.0, 2.0, -2.0, 2.0)
    assert windows_nearer(pair(plate, cube), TOUCH, 0.0, 60.0) == (pytest.approx((8.0, 22.0), abs=1e-4),)


def test_intervals_join_and_leave_their_complement() -> None:
    assert joined([(3.0, 4.0), (0.0, 1.0), (1.0, 2.0), (3.5, 3.6)]) == [(0.0, 2.0), (3.0, 4.0)]
    assert clear_of([(3.0, 4.0), (0.0, 1.0)], 0.0, 9.0) == ((1.0, 3.0), (4.0, 9.0))
    assert clear_of([], -4.0, 64.0) == ((-4.0, 64.0),)
    assert clear_of([(-9.0, 99.0)], -4.0, 64.0) == ()
    assert clear_of([(-4.0, -3.5)], -4.0, 64.0) == ((-3.5, 64.0),)
    assert longest([(0.0, 2.0), (5.0, 7.0), (8.0, 9.0)]) == (0.0, 2.0)
    assert longest([]) is None

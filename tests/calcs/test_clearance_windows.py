"""Windows of travel below a threshold, their ends, and the clear strokes between them."""

from __future__ import annotations

import math

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
    assert longest([(0.0, 1.0), (5.0, 7.0)]) == (5.0, 7.0)
    assert longest([]) is None


@pytest.mark.parametrize(
    ("start", "stop", "low", "high"),
    [
        # cells of 68 mm / 512 begin at 22.5625, and one lies whole in the stretch; none twice as long would
        (-4.0, 64.0, 22.5725, 22.8725),
        # cells of 25.6 mm / 256 begin at 16.4
        (0.0, 25.6, 16.41, 16.62),
        (-4.0, 21.6, 12.41, 12.62),
    ],
)
@pytest.mark.parametrize("shift", [0.0, 100.0])
def test_a_clear_stretch_that_holds_a_cell_is_not_swallowed(
    start: float, stop: float, low: float, high: float, shift: float
) -> None:
    flag = box(-18.0, -15.0, -2.0, 2.0, 33.0 - shift, 34.0 - shift)
    ribs = (
        box(-20.0, -17.6, -6.0, 6.0, 40.0, low + 33.0),
        box(-20.0, -17.6, -6.0, 6.0, high + 34.0, 50.0 + 34.0),
    )
    windows = windows_nearer(pair(flag, *ribs), TOUCH, start + shift, stop + shift)
    assert windows[0] == pytest.approx((6.0 + shift, low + shift), abs=1e-4)
    assert windows[1][0] == pytest.approx(high + shift, abs=1e-4)
    assert len(windows) == 2


@pytest.mark.parametrize("shift", [0.0, -100.0])
def test_a_stretch_is_near_all_along_only_where_its_ends_are(shift: float) -> None:
    """Nearer than 20 up to s = 28.8, and again from 30: 4.2 in the middle of -4 .. 30 is not near enough."""
    flag = box(-18.0, -15.0, -2.0, 2.0, 33.0 - shift, 34.0 - shift)
    plates = (box(-18.0, -15.0, -2.0, 2.0, 30.0, 41.8), box(-18.0, -15.0, -2.0, 2.0, 84.0, 85.0))
    windows = windows_nearer(pair(flag, *plates), 20.0, -4.0 + shift, 64.0 + shift)
    assert windows == (
        pytest.approx((-4.0 + shift, 28.8 + shift), abs=1e-4),
        pytest.approx((30.0 + shift, 64.0 + shift), abs=1e-4),
    )


def test_windows_end_where_the_threshold_is_crossed_to_a_hundredth_of_a_micrometre() -> None:
    """0.7 beside the rib and 0.3 along: a threshold of sqrt(0.58) ends the window 0.3 before and behind."""
    (window,) = windows_nearer(
        pair(FLAG, box(-20.0, -18.7, -6.0, 6.0, 61.0, 62.2)), math.sqrt(0.58), -4.0, 64.0
    )
    assert window == pytest.approx((26.7, 29.5), abs=1.1e-5)


def test_a_stretch_of_no_length_is_not_clear() -> None:
    assert clear_of([(0.0, 1.0), (1.0 + 5e-6, 2.0)], 0.0, 2.0) == ()
    assert clear_of([(0.0, 1.0), (1.0 + 2e-5, 2.0)], 0.0, 2.0) == ((1.0, 1.0 + 2e-5),)
    assert clear_of([(1.0, 9.0)], 0.0, 2.0) == ((0.0, 1.0),)
    assert clear_of([(5.0, 9.0)], 0.0, 2.0) == ((0.0, 2.0),)

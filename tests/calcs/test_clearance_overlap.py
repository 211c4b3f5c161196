"""Common volume, its depth, and the least shift that parts two bodies."""

from __future__ import annotations

import math

import numpy as np
import pytest
from vial_lift import box, rod

from calcs.clearance_overlap import overlap, parting_shift, swept_solid
from calcs.clearance_sweep import mover_of
from geometry.bodies import Box, Primitive, Shape
from geometry.meshes import Mesh, manifold_of, mesh_of, moved, signed_volume

TOUCH = 0.004


def solid(*adds: Primitive, cuts: tuple[Primitive, ...] = ()) -> Mesh:
    return mesh_of(Shape(adds, cuts))


FLAG = solid(box(-18.0, -15.0, -2.0, 2.0, 33.0, 34.0))
RIB = solid(box(-20.0, -17.6, -6.0, 6.0, 61.0, 62.2))
NUT = solid(rod(7.5, 14.0, 26.0), rod(12.0, 26.0, 30.0), cuts=(rod(4.0, 14.0, 30.0),))


def test_flag_in_rib_shares_1_60_at_one_pose_and_1_92_swept() -> None:
    pose = overlap(moved(FLAG, (0.0, 0.0, 28.1)), RIB, TOUCH)
    swept = overlap(swept_solid(mover_of(FLAG), -4.0, 64.0), RIB, TOUCH)
    assert pose is not None
    assert swept is not None
    assert (pose.volume, swept.volume) == (pytest.approx(1.60, abs=1e-9), pytest.approx(1.92, abs=1e-9))
    assert np.array(pose.box) == pytest.approx(np.array([[-18.0, -2.0, 61.1], [-17.6, 2.0, 62.1]]))
    # twice the volume over the surface of 0.4 x 4 x 1
    assert pose.depth == pytest.approx(3.2 / (2.0 * (0.4 * 4.0 + 0.4 * 1.0 + 4.0 * 1.0)))


@pytest.mark.parametrize("travel", [27.4, 28.1, 28.8])
def test_flag_and_rib_part_by_0_4_across_the_whole_plateau(travel: float) -> None:
    shift = parting_shift(moved(FLAG, (0.0, 0.0, travel)), RIB)
    assert shift.length == pytest.approx(0.4, abs=1e-3)
    assert shift.direction == (1.0, 0.0, 0.0)


@pytest.mark.parametrize(("travel", "expected"), [(0.0, 6.0), (-4.0, 9.0)])
def test_arm_in_sill_parts_by_the_shorter_way(travel: float, expected: float) -> None:
    arm = solid(box(-5.0, 5.0, 12.0, 48.0, 18.0 + travel, 26.0 + travel))
    assert parting_shift(arm, solid(box(-7.0, 7.0, 18.0, 21.0, -66.0, 24.0))).length == pytest.approx(
        expected, abs=1e-3
    )


def test_a_buried_cube_has_to_leave_the_wall() -> None:
    cube, wall = solid(box(3.0, 7.0, -2.0, 2.0, -2.0, 2.0)), solid(box(-20.0, 20.0, -20.0, 20.0, -20.0, 20.0))
    shift = parting_shift(cube, wall)
    assert (shift.length, shift.direction) == (pytest.approx(17.0, abs=1e-3), (1.0, 0.0, 0.0))


def test_round_bodies_part_by_the_closed_form() -> None:
    """Two cylinders r 5 whose axes are 6 apart along x and 4 along y: sqrt(100 - 16) - 6 along x is least."""
    shift = parting_shift(solid(rod(5.0, 0.0, 9.0)), solid(rod(5.0, 0.0, 9.0, 6.0, 4.0)))
    assert shift.length == pytest.approx(math.sqrt(84.0) - 6.0, abs=0.006)
    assert shift.direction == (-1.0, 0.0, 0.0)


def test_touching_is_not_overlapping() -> None:
    block, rail = (
        solid(box(-9.0, 9.0, -19.0, -12.0, 22.0, 42.0)),
        solid(box(-3.5, 3.5, -24.0, -19.0, 8.0, 108.0)),
    )
    assert overlap(block, rail, 0.0) is None
    assert overlap(swept_solid(mover_of(block), -4.0, 64.0), rail, 0.0) is None
    assert overlap(swept_solid(mover_of(NUT), -4.0, 64.0), solid(rod(4.0, 8.0, 104.0)), TOUCH) is None


def test_facets_through_each_other_are_as_deep_as_they_differ() -> None:
    tight = overlap(NUT, solid(rod(4.002, 8.0, 104.0)), TOUCH)
    deep = overlap(NUT, solid(rod(4.05, 8.0, 104.0)), TOUCH)
    assert tight is not None
    assert deep is not None
    assert 0.001 < tight.depth < TOUCH
    assert deep.depth == pytest.approx(0.05, abs=0.005)


def test_a_bar_through_a_plate_is_deep_though_all_its_corners_lie_on_surfaces() -> None:
    bar, plate = solid(box(-1.0, 1.0, -1.0, 1.0, -9.0, 9.0)), solid(box(-9.0, 9.0, -9.0, 9.0, 0.0, 3.0))
    shared = overlap(bar, plate, TOUCH)
    assert shared is not None
    assert shared.depth > 0.5


PLATE = solid(box(-20.0, 20.0, -20.0, 20.0, -5.0, 0.0))


@pytest.mark.parametrize("parts", [1, 12])
def test_a_block_that_sinks_in_by_less_than_the_touch_is_as_deep_as_it_sinks(parts: int) -> None:
    fine = manifold_of(PLATE).refine(parts).to_mesh64()
    plate = Mesh(np.array(fine.vert_properties), np.array(fine.tri_verts, dtype=np.int32), 0.0)
    shared = overlap(solid(box(3.0, 9.0, -7.0, 4.0, -0.002, 8.0)), plate, TOUCH)
    assert shared is not None
    assert shared.volume == pytest.approx(6.0 * 11.0 * 0.002)
    assert shared.depth == pytest.approx(0.002, rel=1e-3)


@pytest.mark.parametrize(("low", "high"), [(-3.0, 8.0), (-8.0, -2.0)])
def test_a_thin_blade_is_as_deep_as_one_looks_from_either_side(low: float, high: float) -> None:
    """0.002 thick and 3 deep in the plate: twice the touch is as far as depth is told."""
    shared = overlap(solid(box(-1.0, 1.0, 4.0, 4.002, low, high)), PLATE, TOUCH)
    assert shared is not None
    assert shared.depth == pytest.approx(2.0 * TOUCH)


def test_the_deepest_of_several_pieces_counts() -> None:
    comb = solid(
        box(-9.0, -8.0, -1.0, 1.0, -0.001, 9.0),
        box(-8.0, 8.0, -1.0, 1.0, 5.0, 9.0),
        box(8.0, 9.0, -1.0, 1.0, -0.5, 9.0),
    )
    shared = overlap(comb, PLATE, TOUCH)
    assert shared is not None
    assert shared.volume == pytest.approx(0.002 + 1.0)
    assert shared.box == ((-9.0, -1.0, -0.5), (9.0, 1.0, 0.0))
    assert shared.depth == pytest.approx(2.0 * 1.0 / (2.0 * (2.0 + 0.5 + 1.0)))


@pytest.mark.parametrize(
    ("block", "length", "direction"),
    [
        (box(17.0, 30.0, -3.0, 3.0, -4.0, -1.0), 3.0, (1.0, 0.0, 0.0)),
        (box(-30.0, -17.5, -3.0, 3.0, -4.0, -1.0), 2.5, (-1.0, 0.0, 0.0)),
        (box(-3.0, 3.0, 18.0, 30.0, -4.0, -1.0), 2.0, (0.0, 1.0, 0.0)),
        (box(-3.0, 3.0, -30.0, -18.5, -4.0, -1.0), 1.5, (0.0, -1.0, 0.0)),
        (box(-3.0, 3.0, -3.0, 3.0, -0.7, 9.0), 0.7, (0.0, 0.0, 1.0)),
        (box(-3.0, 3.0, -3.0, 3.0, -0.05, 9.0), 0.05, (0.0, 0.0, 1.0)),
        (box(-3.0, 3.0, -3.0, 3.0, -9.0, -4.4), 0.6, (0.0, 0.0, -1.0)),
    ],
)
def test_blocks_part_by_the_way_they_came(
    block: Box, length: float, direction: tuple[float, float, float]
) -> None:
    shift = parting_shift(solid(block), PLATE)
    assert (shift.length, shift.direction) == (pytest.approx(length, abs=1.1e-4), direction)


def test_a_hook_parts_only_past_what_it_hooks() -> None:
    """Up by 1 to leave the pocket's floor, but then the lip holds: only 3 sideways is free."""
    lip = solid(
        box(0.0, 10.0, 0.0, 10.0, 0.0, 1.0),
        box(0.0, 3.0, 0.0, 10.0, 4.0, 5.0),
        box(0.0, 1.0, 0.0, 10.0, 1.0, 4.0),
    )
    foot = solid(box(0.5, 3.0, 3.0, 5.0, 1.5, 3.5))
    shift = parting_shift(foot, lip)
    assert (shift.length, shift.direction) == (pytest.approx(0.5, abs=1.1e-4), (1.0, 0.0, 0.0))


def test_what_is_swept_is_as_long_as_the_travel() -> None:
    flag = mover_of(FLAG)
    assert swept_solid(flag, -4.0, 64.0).bounds[0][2] == pytest.approx(29.0)
    assert swept_solid(flag, -4.0, 64.0).bounds[1][2] == pytest.approx(98.0)
    assert signed_volume(swept_solid(flag, 1.0, 3.0)) == pytest.approx(3.0 * 4.0 * 3.0)
    assert swept_solid(flag, 2.0, 2.0).bounds[0][2] == pytest.approx(35.0)

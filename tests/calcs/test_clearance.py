"""The least gap of a pair: exact for the meshes, bounded for the true bodies, cropped in a big housing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from vial_lift import box, rod

from calcs.clearance import Pair, comes_nearer, nearest, sharper_bounds
from calcs.clearance_sweep import Obstacle, around, mover_of, sweep, whole
from geometry.bodies import Primitive, Shape
from geometry.errors import KernelError
from geometry.meshes import Mesh, manifold_of, mesh_of, moved


def solid(*adds: Primitive, cuts: tuple[Primitive, ...] = ()) -> Mesh:
    return mesh_of(Shape(adds, cuts))


CARRIAGE = solid(box(-15.0, 15.0, -12.0, 12.0, 30.0, 40.0), cuts=(rod(5.0, 30.0, 40.0),))
STOP = solid(box(10.0, 14.0, -12.0, -9.0, 5.0, 26.0))


def test_flat_faces_of_a_bored_body_are_exact() -> None:
    pair = Pair(mover_of(CARRIAGE), whole(STOP))
    swept = sweep(pair.mover, -3.5, 64.0)
    near, _ = nearest(pair, swept)
    assert pair.chord_error > 0.001
    assert sharper_bounds(pair, swept, near.gap) == pytest.approx((0.5, 0.5, 0.5), abs=1e-12)


def test_round_faces_keep_their_chord_error() -> None:
    flange = solid(rod(12.0, 26.0, 30.0))
    pair = Pair(mover_of(flange), whole(STOP))
    swept = sweep(pair.mover, -4.0, 64.0)
    near, _ = nearest(pair, swept)
    low, nominal, high = sharper_bounds(pair, swept, near.gap)
    assert (low, high) == (
        pytest.approx(nominal - flange.chord_error),
        pytest.approx(nominal + flange.chord_error),
    )
    assert low <= 181.0**0.5 - 12.0 <= high


def test_a_mesh_that_does_not_tell_its_flat_faces_keeps_the_error_everywhere() -> None:
    unknown = replace(CARRIAGE, curved=None)
    pair = Pair(mover_of(unknown), whole(STOP))
    swept = sweep(pair.mover, -3.5, 64.0)
    near, _ = nearest(pair, swept)
    low, _, high = sharper_bounds(pair, swept, near.gap)
    assert (low, high) == (pytest.approx(0.5 - unknown.chord_error), pytest.approx(0.5 + unknown.chord_error))


def big_block() -> Mesh:
    """A thick plate of 30,000 triangles."""
    block = manifold_of(solid(box(-40.0, 40.0, -40.0, 40.0, -40.0, 0.0))).refine(50).to_mesh64()
    return Mesh(np.array(block.vert_properties), np.array(block.tri_verts, dtype=np.int32), 0.0)


def test_a_big_housing_is_cropped_and_grown_until_the_gap_is_in_it() -> None:
    plate = big_block()
    mover = mover_of(solid(box(-1.0, 1.0, -1.0, 1.0, 9.0, 10.0)))
    swept = sweep(mover, -2.0, 20.0)
    pair = Pair(mover, around(plate, swept, 1.0))
    assert pair.obstacle.tree is None
    near, grown = nearest(pair, swept)
    assert near.gap.distance == pytest.approx(7.0, abs=1e-12)
    assert grown.obstacle.margin == 8.0  # 1, 2, 4, 8
    assert grown.obstacle.tree is not None
    assert not comes_nearer(pair, 1.0, -2.0, 20.0)


def test_a_cube_of_4_mm_in_the_middle_of_a_big_wall_is_inside() -> None:
    plate = big_block()
    cube = mover_of(solid(box(-2.0, 2.0, -2.0, 2.0, -22.0, -18.0)))
    swept = sweep(cube, -1.0, 1.0)
    near, pair = nearest(Pair(cube, around(plate, swept, 1.0)), swept)
    assert (near.held, near.apart) == (True, False)
    assert near.gap.distance == pytest.approx(17.0, abs=1e-9)
    assert comes_nearer(pair, 0.5, -1.0, 1.0)


@pytest.mark.parametrize("false_by", [0.25, -0.25, 1e-5, -1e-5])
def test_a_swept_query_that_its_own_pose_denies_is_ours_to_mend(false_by: float) -> None:
    """The tree of another body in the sweep's place stands for a library that answers wrongly."""
    mover = mover_of(CARRIAGE)
    false = sweep(mover_of(moved(CARRIAGE, (0.0, 0.0, false_by))), -3.5, 64.0)
    with pytest.raises(KernelError, match=r"least distance .* mm at s ="):
        nearest(Pair(mover, whole(STOP)), replace(false, mover=mover))


def test_an_obstacle_without_a_margin_reaches_everywhere() -> None:
    assert Obstacle(STOP, None).margin == float("inf")


def test_a_threshold_is_reached_only_from_below() -> None:
    pair = Pair(mover_of(CARRIAGE), whole(STOP))
    assert comes_nearer(pair, 0.5 + 1e-6, -3.5, 64.0)
    assert not comes_nearer(pair, 0.5 - 1e-6, -3.5, 64.0)


def test_surfaces_a_ten_millionth_apart_touch() -> None:
    for gap, apart in ((0.9e-7, False), (1.2e-7, True)):
        pair = Pair(mover_of(solid(box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))), whole(solid(
            box(1.0 + gap, 2.0, 0.0, 1.0, 0.0, 9.0)
        )))  # fmt: skip
        near, _ = nearest(pair, sweep(pair.mover, 0.0, 5.0))
        assert near.apart is apart


def test_bounds_count_the_chord_errors_of_both_bodies() -> None:
    """Two rods of 5 mm, 12 mm between their axes: 2 +- what either may be off."""
    ours, theirs = solid(rod(5.0, 0.0, 4.0)), solid(rod(5.0, 0.0, 90.0, 0.0, 12.0))
    pair = Pair(mover_of(ours), whole(theirs))
    swept = sweep(pair.mover, 0.0, 60.0)
    near, _ = nearest(pair, swept)
    low, nominal, high = sharper_bounds(pair, swept, near.gap)
    assert pair.chord_error == ours.chord_error + theirs.chord_error > ours.chord_error
    assert (nominal - low, high - nominal) == pytest.approx((pair.chord_error, pair.chord_error))


@pytest.mark.parametrize(("chords", "exact"), [(0.5, False), (3.0, True)])
def test_a_flat_face_is_exact_from_two_chord_errors_beside_a_round_one_on(chords: float, exact: bool) -> None:
    """A needle below the carriage, so many chord errors outside the bore of 5 mm."""
    edge = 5.0 + chords * CARRIAGE.chord_error
    needle = solid(box(edge, edge + 1e-5, -1e-5, 1e-5, 5.0, 26.0))
    pair = Pair(mover_of(CARRIAGE), whole(needle))
    swept = sweep(pair.mover, -3.5, 64.0)
    near, _ = nearest(pair, swept)
    low, nominal, high = sharper_bounds(pair, swept, near.gap)
    assert nominal == pytest.approx(0.5, abs=2e-6)
    assert (high == nominal) is exact
    assert low <= nominal

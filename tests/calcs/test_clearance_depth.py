"""The deepest pose of a clash, in a big obstacle as in a small one, and the bound of a contact's overlap."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from vial_lift import TRAVEL, box, rod

from calcs.clearance import Pair
from calcs.clearance_depth import DeepestPose, _deeper, deepest_pose, most_shared, shared_on_the_way
from calcs.clearance_overlap import Overlap, PartingShift, clipped
from calcs.clearance_sweep import mover_of, whole
from geometry.bodies import Primitive, Shape
from geometry.meshes import Mesh, manifold_of, mesh_of, signed_volume


def solid(*adds: Primitive) -> Mesh:
    return mesh_of(Shape(adds))


def refined(mesh: Mesh, parts: int) -> Mesh:
    fine = manifold_of(mesh).refine(parts).to_mesh64()
    return Mesh(np.array(fine.vert_properties), np.array(fine.tri_verts, dtype=np.int32), 0.0)


FLAG = mover_of(solid(box(-18.0, -15.0, -2.0, 2.0, 33.0, 34.0)))
RIB = solid(box(-20.0, -17.6, -6.0, 6.0, 61.0, 62.2))
WINDOW = (27.0, 29.2)


@pytest.mark.parametrize("parts", [1, 25])
def test_the_middle_of_the_plateau_is_named(parts: int) -> None:
    deepest = deepest_pose(Pair(FLAG, whole(refined(RIB, parts))), [WINDOW])
    assert deepest is not None
    assert deepest.travel == pytest.approx(28.1)
    assert deepest.shift.length == pytest.approx(0.4, abs=1e-3)
    assert deepest.shared.volume == pytest.approx(1.6, abs=1e-6)


def test_a_shift_farther_than_the_clipped_surroundings_is_found_in_the_whole() -> None:
    """A cube of 2 mm in a wall of 60 x 60 x 60 of many triangles: 31 mm to leave it."""
    wall = refined(solid(box(-30.0, 30.0, -30.0, 30.0, -30.0, 30.0)), 25)
    cube = mover_of(solid(box(-1.0, 1.0, -1.0, 1.0, -1.0, 1.0)))
    deepest = deepest_pose(Pair(cube, whole(wall)), [(0.0, 0.0)])
    assert deepest is not None
    assert deepest.shift.length == pytest.approx(31.0, abs=1e-3)


@pytest.mark.parametrize("shift", [0.0, 200.0])
def test_the_deepest_pose_off_the_grid_is_homed_in_on(shift: float) -> None:
    """Two steps side by side: deepest where both are met, over 0.5 of 10 mm of travel, off the grid."""
    steps = solid(box(0.0, 1.0, 0.0, 9.0, 50.0, 60.0), box(1.0, 1.4, 0.0, 9.0, 53.1, 53.4))
    blade = mover_of(solid(box(0.9, 9.0, 0.0, 9.0, 0.0 + shift, 0.2 + shift)))
    deepest = deepest_pose(Pair(blade, whole(steps)), [(49.8 - shift, 60.0 - shift)])
    assert deepest is not None
    assert deepest.shift.length == pytest.approx(0.5, abs=1e-3)
    assert 52.9 < deepest.travel + shift < 53.4


def test_touching_on_the_way_is_no_overlap() -> None:
    rail = whole(solid(box(-3.5, 3.5, -24.0, -19.0, 8.0, 108.0)))
    block = mover_of(solid(box(-9.0, 9.0, -19.0, -12.0, 22.0, 42.0)))
    assert shared_on_the_way(Pair(block, rail), *TRAVEL) is None
    assert deepest_pose(Pair(block, rail), [TRAVEL]) is None
    screw = whole(solid(rod(4.0, 8.0, 104.0)))
    nut = mesh_of(Shape((rod(7.5, 14.0, 30.0),), (rod(4.0, 14.0, 30.0),)))
    assert deepest_pose(Pair(mover_of(nut), screw), [TRAVEL]) is None


def test_the_bound_of_a_contact_is_close_to_the_volume_at_one_pose() -> None:
    """0.1 deep, 7 wide, 20 long is 14 mm3 at any pose; a 64th of the travel adds 0.1 x 7 x 68 / 64."""
    rail = whole(solid(box(-3.5, 3.5, -24.0, -18.9, 8.0, 128.0)))
    block = mover_of(solid(box(-9.0, 9.0, -19.0, -12.0, 22.0, 42.0)))
    assert most_shared(Pair(block, rail), *TRAVEL) == pytest.approx(14.0 + 0.7 * 68.0 / 64.0)
    short = whole(solid(box(-3.5, 3.5, -24.0, -18.9, 8.0, 60.0)))  # which the block leaves on its way
    assert most_shared(Pair(block, short), *TRAVEL) == pytest.approx(14.0 + 0.7 * 68.0 / 64.0)


def test_clipping_keeps_what_is_in_the_box() -> None:
    part = clipped(RIB, np.array([-30.0, 0.0, 0.0]), np.array([0.0, 30.0, 100.0]))
    assert signed_volume(part) == pytest.approx(2.4 * 6.0 * 1.2)


def pose(depth: float, volume: float) -> DeepestPose:
    corner = (0.0, 0.0, 0.0)
    return DeepestPose(0.0, PartingShift(depth, (1.0, 0.0, 0.0)), Overlap(volume, (corner, corner), depth))


@pytest.mark.parametrize(
    ("depth", "volume", "deeper"),
    [
        (0.402, 0.5, True),
        (0.398, 9.0, False),
        (0.4009, 2.0, True),  # equally deep, to a micrometre: the larger counts
        (0.3991, 2.0, True),
        (0.4009, 0.5, False),
        (0.4, 1.0 + 0.9e-6, False),  # equal, to rounding: the first
        (0.4, 1.0 + 1.2e-6, True),
        (0.40105, 0.5, True),
    ],
)
def test_the_deeper_of_two_poses(depth: float, volume: float, deeper: bool) -> None:
    best, other = pose(0.4, 1.0), pose(depth, volume)
    assert _deeper(best, other) is (other if deeper else best)
    assert _deeper(best, None) is best
    assert _deeper(None, other) is other


@pytest.mark.parametrize("shift", [0.0, 200.0])
def test_only_what_lies_near_the_windows_is_kept_of_a_big_obstacle(shift: float) -> None:
    """A wall of 30,000 triangles, bitten into 3 mm deep at its upper end, far from where it begins."""
    wall = refined(solid(box(0.0, 20.0, -40.0, 40.0, 0.0, 80.0 + shift)), 50)
    assert len(wall.triangles) == 30_000
    block = mover_of(solid(box(-6.0, 3.0, -2.0, 2.0, 0.0, 4.0)))
    deepest = deepest_pose(Pair(block, whole(wall)), [(70.0 + shift, 76.0 + shift)])
    assert deepest is not None
    assert deepest.shift.length == pytest.approx(3.0, abs=1e-3)
    assert deepest.shift.direction == (-1.0, 0.0, 0.0)
    assert deepest.shared.volume == pytest.approx(3.0 * 4.0 * 4.0)


def test_of_two_windows_the_deeper_is_named() -> None:
    ribs = solid(
        box(-20.0, -17.6, -6.0, 6.0, 61.0, 62.2),
        box(-20.0, -19.0, -6.0, 6.0, 62.2, 80.0),
        box(-20.0, -17.2, -6.0, 6.0, 80.0, 81.2),
    )
    deepest = deepest_pose(Pair(FLAG, whole(ribs)), [WINDOW, (46.0, 48.2)])
    assert deepest is not None
    assert (deepest.travel, deepest.shift.length) == (
        pytest.approx(47.1, abs=0.11),
        pytest.approx(0.8, abs=1e-3),
    )


def test_no_deeper_than_the_chord_errors_is_touching() -> None:
    """A block with a chord error of 0.05 that sinks in by 0.04 may only touch; by 0.06 it does not."""
    floor = solid(box(-20.0, 20.0, -20.0, 20.0, -5.0, 0.0))
    for depth, shares in ((0.04, False), (0.0500005, False), (0.0500015, True), (0.06, True)):
        block = replace(solid(box(-9.0, 9.0, -9.0, 9.0, -depth, 5.0)), chord_error=0.05)
        pair = Pair(mover_of(block, (1.0, 0.0, 0.0)), whole(floor))
        assert (shared_on_the_way(pair, 0.0, 1.0) is not None) is shares
        assert (deepest_pose(pair, [(0.0, 1.0)]) is not None) is shares
        assert (most_shared(pair, 0.0, 1.0) > 0.0) is shares


@pytest.mark.parametrize("shift", [0.0, 200.0])
@pytest.mark.parametrize("thick", [(10.0, 20.0), (60.0, 70.0)])
def test_a_big_obstacle_is_kept_over_the_whole_of_the_windows(
    thick: tuple[float, float], shift: float
) -> None:
    """Bitten into 3 mm deep all along, and 4 mm where it is thicker, at the low end or at the high one."""
    wall = refined(solid(box(0.0, 20.0, -9.0, 9.0, 0.0, 80.0), box(-1.0, 0.0, -9.0, 9.0, *thick)), 20)
    assert len(wall.triangles) > 5_000
    block = mover_of(solid(box(-6.0, 3.0, -2.0, 2.0, 0.0 + shift, 4.0 + shift)))
    deepest = deepest_pose(
        Pair(block, whole(wall)), [(0.0 - shift, 30.0 - shift), (30.0 - shift, 76.0 - shift)]
    )
    assert deepest is not None
    assert deepest.shift.length == pytest.approx(4.0, abs=1e-3)
    assert thick[0] - 4.0 <= deepest.travel + shift <= thick[1]

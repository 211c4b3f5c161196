"""The deepest pose of a clash, in a big obstacle as in a small one, and the bound of a contact's overlap."""

from __future__ import annotations

import numpy as np
import pytest
from vial_lift import TRAVEL, box, rod

from calcs.clearance import Pair
from calcs.clearance_depth import deepest_pose, most_shared, shared_on_the_way
from calcs.clearance_overlap import clipped
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


def test_the_deepest_pose_off_the_grid_is_homed_in_on() -> None:
    """Two steps side by side: deepest where both are met, over 0.5 of 10 mm of travel, off the grid."""
    steps = solid(box(0.0, 1.0, 0.0, 9.0, 50.0, 60.0), box(1.0, 1.4, 0.0, 9.0, 53.1, 53.4))
    blade = mover_of(solid(box(0.9, 9.0, 0.0, 9.0, 0.0, 0.2)))
    deepest = deepest_pose(Pair(blade, whole(steps)), [(49.8, 60.0)])
    assert deepest is not None
    assert deepest.shift.length == pytest.approx(0.5, abs=1e-3)
    assert 52.9 < deepest.travel < 53.4


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


def test_clipping_keeps_what_is_in_the_box() -> None:
    part = clipped(RIB, np.array([-30.0, 0.0, 0.0]), np.array([0.0, 30.0, 100.0]))
    assert signed_volume(part) == pytest.approx(2.4 * 6.0 * 1.2)

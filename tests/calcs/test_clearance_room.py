"""Room in six directions: head on, askew, past a body, and without end."""

from __future__ import annotations

import math

import pytest
from vial_lift import box, rod

from calcs.clearance import Pair, nearest
from calcs.clearance_room import Neighbours, room_of
from calcs.clearance_sweep import mover_of, sweep, whole
from geometry.bodies import Primitive, Shape
from geometry.meshes import mesh_of


def neighbours(
    mover: Primitive, obstacle: Primitive, required: float = 0.5, name: str = "wall"
) -> Neighbours:
    pair = Pair(mover_of(mesh_of(Shape((mover,)))), whole(mesh_of(Shape((obstacle,)))))
    swept = sweep(pair.mover, 0.0, 60.0)
    near, _ = nearest(pair, swept)
    return Neighbours("mover", name, swept, pair.obstacle, required, near.gap.distance if near.apart else 0.0)


CUBE = box(-1.0, 1.0, -1.0, 1.0, 0.0, 2.0)


def test_walls_head_on_end_the_room_and_open_sides_have_no_end() -> None:
    room = room_of(
        [
            neighbours(CUBE, box(3.0, 4.0, -9.0, 9.0, 0.0, 62.0)),
            neighbours(CUBE, box(2.7, 4.0, -9.0, 9.0, 70.0, 71.0), name="above, aside"),
            neighbours(CUBE, box(-9.0, 9.0, -9.0, 9.0, 70.0, 71.0), name="above"),
        ]
    )
    assert (room["+x"].distance, room["+x"].b) == (pytest.approx(1.5, abs=1e-3), "wall")
    assert (room["+z"].distance, room["+z"].b) == (pytest.approx(7.5, abs=1e-3), "above")
    assert room["-x"].distance is None
    assert room["-z"].distance is None


def test_a_flange_meets_a_corner_askew_by_the_closed_form() -> None:
    """Flange r 12 above a post's corner (10, -9): shifted by -y until the corner is 12.5 away, 1.5 mm."""
    room = room_of([neighbours(rod(12.0, 26.0, 30.0), box(10.0, 14.0, -12.0, -9.0, 5.0, 26.0))])
    assert room["-y"].distance == pytest.approx(9.0 - math.sqrt(12.5**2 - 10.0**2), abs=0.005)


def test_a_shift_beside_a_wall_finds_the_bump_behind_it() -> None:
    """Beside a wall at 0.6 the spare of 0.1 creeps; the bump 40 mm along still ends the room."""
    beside = neighbours(CUBE, box(1.6, 3.0, -60.0, 60.0, 0.0, 62.0))
    bump = neighbours(CUBE, box(1.2, 3.0, 41.0, 42.0, 0.0, 62.0), name="bump")
    assert room_of([beside])["+y"].distance is None
    assert room_of([beside, bump])["+y"].distance == pytest.approx(
        41.0 - 1.0 - math.sqrt(0.5**2 - 0.2**2), abs=1e-3
    )


def test_a_pair_that_is_too_near_already_leaves_no_room() -> None:
    room = room_of([neighbours(CUBE, box(1.3, 3.0, -9.0, 9.0, 0.0, 62.0))])
    assert {way: value.distance for way, value in room.items()} == dict.fromkeys(room, 0.0)

"""Room in six directions: head on, askew, past a body, and without end."""

from __future__ import annotations

import math

import pytest
from vial_lift import box, rod

from calcs.clearance import Pair, nearest
from calcs.clearance_room import Neighbours, room_of
from calcs.clearance_sweep import around, mover_of, sweep, whole
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


@pytest.mark.parametrize(("way", "low", "high"), [("+z", 70.0, 72.0), ("-z", -10.0, -8.0)])
def test_a_post_beside_the_way_ends_the_room_where_its_corner_comes_too_near(
    way: str, low: float, high: float
) -> None:
    """0.4 beside the cube and 8 on: the gap of 0.5 is left sqrt(0.5^2 - 0.4^2) before the post."""
    room = room_of([neighbours(CUBE, box(1.4, 3.0, -9.0, 9.0, low, high))])
    assert room[way].distance == pytest.approx(8.0 - 0.3, abs=1e-3)


def test_a_pair_that_is_too_near_already_leaves_no_room() -> None:
    room = room_of([neighbours(CUBE, box(1.3, 3.0, -9.0, 9.0, 0.0, 62.0))])
    assert {way: value.distance for way, value in room.items()} == dict.fromkeys(room, 0.0)


@pytest.mark.parametrize("way", ["+x", "-x", "+y", "-y", "+z", "-z"])
def test_the_room_is_measured_straight_along_each_axis(way: str) -> None:
    """A post 40 mm off, beside which a shift that strays by a tenth would pass."""
    axis, sense = "xyz".index(way[1]), -1.0 if way[0] == "-" else 1.0
    low, high = [-3.0, -3.0, -3.0], [0.0, 0.0, 1.0]
    near = (-1.0, 1.0) if axis < 2 else (0.0, 62.0)
    ends = sorted((near[sense > 0.0] + sense * 40.0, near[sense > 0.0] + sense * 41.0))
    low[axis], high[axis] = ends
    room = room_of([neighbours(CUBE, box(low[0], high[0], low[1], high[1], low[2], high[2]))])
    assert room[way].distance == pytest.approx(39.5, abs=2e-4)
    assert [other for other, found in room.items() if found.distance is not None] == [way]


@pytest.mark.parametrize("spare", [0.0, 5e-5, 0.05, 0.2])
def test_a_little_room_is_found_to_a_ten_thousandth(spare: float) -> None:
    room = room_of([neighbours(CUBE, box(1.5 + spare, 3.0, -9.0, 9.0, 0.0, 62.0))])
    assert room["+x"].distance == pytest.approx(spare, abs=1e-6)


def test_what_lies_behind_or_out_of_reach_ends_no_room() -> None:
    """0.5 is to be kept: a post that would pass at 0.6 is passed, one at 0.4 is not."""
    for across, distance in ((0.6, None), (0.4, 9.0 - math.sqrt(0.5**2 - 0.4**2))):
        post = box(10.0, 11.0, 1.0 + across, 3.0, 0.0, 62.0)
        assert room_of([neighbours(CUBE, post)])["+x"].distance == (
            None if distance is None else pytest.approx(distance, abs=2e-4)
        )
    assert room_of([neighbours(CUBE, box(-9.0, -3.0, -1.0, 1.0, 0.0, 62.0))])["+x"].distance is None


def test_the_nearer_of_two_ends_the_room_whichever_has_the_smaller_gap() -> None:
    """The post beside is nearer now, but head on the wall is met first."""
    beside = neighbours(CUBE, box(20.0, 21.0, 1.3, 3.0, 0.0, 62.0), name="beside")
    wall = neighbours(CUBE, box(31.0, 32.0, -9.0, 9.0, 0.0, 62.0))
    room = room_of([beside, wall])["+x"]
    assert (room.b, room.distance) == ("beside", pytest.approx(19.0 - math.sqrt(0.5**2 - 0.3**2), abs=2e-4))
    near = neighbours(CUBE, box(5.0, 6.0, -9.0, 9.0, 0.0, 62.0), name="near")
    room = room_of([beside, wall, near])["+x"]
    assert (room.b, room.distance) == ("near", pytest.approx(3.5, abs=2e-4))


def test_a_pair_with_more_to_spare_may_still_be_met_sooner() -> None:
    post = neighbours(CUBE, box(5.2, 6.0, 1.3, 3.0, 0.0, 62.0), name="post")  # 3.71 to spare, met at 3.8
    wall = neighbours(CUBE, box(5.25, 6.0, -9.0, 0.0, 0.0, 62.0))
    room = room_of([post, wall])["+x"]
    assert (room.b, room.distance) == ("wall", pytest.approx(3.75, abs=2e-4))


def test_a_cropped_obstacle_is_cropped_again_as_far_as_the_shift_goes() -> None:
    far = mesh_of(Shape((box(5.0, 6.0, -9.0, 9.0, 0.0, 62.0), box(50.0, 51.0, -9.0, 9.0, 0.0, 62.0))))
    swept = sweep(mover_of(mesh_of(Shape((CUBE,)))), 0.0, 60.0)
    room = room_of([Neighbours("mover", "wall", swept, around(far, swept, 4.5), 0.5, 4.0)])
    assert room["+x"].distance == pytest.approx(3.5, abs=2e-4)
    behind = room_of([Neighbours("mover", "wall", swept, around(far, swept, 1.0), 0.5, 4.0)])
    assert behind["+x"].distance == pytest.approx(3.5, abs=2e-4)


@pytest.mark.parametrize(
    ("way", "wall"),
    [
        ("+x", box(3.0, 4.0, -9.0, 9.0, -9.0, 80.0)),
        ("-x", box(-4.0, -3.0, -9.0, 9.0, -9.0, 80.0)),
        ("+y", box(-9.0, 9.0, 3.0, 4.0, -9.0, 80.0)),
        ("-y", box(-9.0, 9.0, -4.0, -3.0, -9.0, 80.0)),
        ("+z", box(-9.0, 9.0, -9.0, 9.0, 64.0, 65.0)),
        ("-z", box(-9.0, 9.0, -9.0, 9.0, -3.0, -2.0)),
    ],
)
def test_a_wall_2_mm_away_leaves_1_5_mm_that_way_alone(way: str, wall: Primitive) -> None:
    room = room_of([neighbours(CUBE, wall)])
    assert room[way].distance == pytest.approx(1.5, abs=1e-3)
    opposite = {"+": "-", "-": "+"}[way[0]] + way[1]
    assert room[opposite].distance is None

"""Corners of the clearance that a sound pair of bodies seldom reaches: no inside, no stretch, no end."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from vial_lift import box, fixed, rod

from calcs import clearance_depth, clearance_overlap, clearance_pairs, fit, gauge
from calcs.clearance import Pair
from calcs.clearance_pairs import Task, judge_contact, judge_static
from calcs.clearance_room import Neighbours, room_of
from calcs.clearance_sweep import around, mover_of, sweep, whole
from calcs.grown_primitives import ball, hole, is_bore
from geometry.bodies import Contact, Primitive, Shape
from geometry.errors import KernelError
from geometry.meshes import Mesh, manifold_of, mesh_of


def solid(*adds: Primitive) -> Mesh:
    return mesh_of(Shape(adds))


CUBE = solid(box(-1.0, 1.0, -1.0, 1.0, 0.0, 2.0))
OVERLAPPING = solid(box(0.5, 3.0, -1.0, 1.0, 0.0, 2.0))


def task(mover: Mesh, obstacle: Mesh) -> Task:
    return Task("mover", "obstacle", Pair(mover_of(mover), whole(obstacle)))


def test_a_sweep_of_no_length_is_the_body_at_that_travel() -> None:
    swept = sweep(mover_of(CUBE), 5.0, 5.0)
    assert (swept.start, swept.stop) == (5.0, 5.0)
    assert np.array(swept.boundary.bounds)[:, 2] == pytest.approx([5.0, 7.0])


def test_an_obstacle_out_of_reach_leaves_no_triangles() -> None:
    far = solid(box(50.0, 60.0, -1.0, 1.0, 0.0, 2.0))
    assert around(far, sweep(mover_of(CUBE), 0.0, 5.0), 1.0).tree is None


def test_creeping_along_a_wall_meets_its_bump_by_the_sweep_of_the_sweep() -> None:
    bumped = solid(box(1.6, 3.0, -60.0, 60.0, 0.0, 62.0), box(1.2, 3.0, 41.0, 42.0, 0.0, 62.0))
    mover = mover_of(CUBE)
    swept = sweep(mover, 0.0, 60.0)
    whole_room = room_of([Neighbours("mover", "wall", swept, whole(bumped), 0.5, 0.6)])
    assert whole_room["+y"].distance == pytest.approx(40.0 - np.sqrt(0.5**2 - 0.2**2), abs=1e-3)
    cropped = around(bumped, swept, 0.7)
    assert cropped.margin == 0.7
    again = room_of([Neighbours("mover", "wall", swept, cropped, 0.5, 0.6)])
    assert again["+y"].distance == pytest.approx(whole_room["+y"].distance, abs=1e-9)


def test_the_deepest_pose_is_given_as_far_as_its_stretches_go(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clearance_depth, "_STRETCHES", 1)
    pair = task(CUBE, solid(box(0.5, 3.0, -1.0, 1.0, 20.0, 22.0))).pair
    deepest = clearance_depth.deepest_pose(pair, [(0.0, 60.0)])
    assert deepest is None or deepest.shift.length > 0.0
    assert clearance_depth.deepest_pose(pair, [(19.0, 21.0)]) is not None


def test_bodies_that_cannot_be_parted_are_our_own_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clearance_overlap, "_SHIFT_TRIES", 1)
    with pytest.raises(KernelError, match="not parted by a shift"):
        clearance_overlap.parting_shift(CUBE, OVERLAPPING)


def test_a_common_volume_of_no_triangles_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    nothing = Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32), 0.0)
    monkeypatch.setattr(clearance_overlap, "mesh_from_manifold", lambda solid, error: nothing)
    assert clearance_overlap.overlap(CUBE, OVERLAPPING, 0.001) is None


def test_a_pair_that_may_touch_passes_where_the_gap_lies_within_the_chord_errors() -> None:
    rough = replace(solid(box(1.001, 3.0, -1.0, 1.0, 0.0, 2.0)), chord_error=0.05, curved=None)
    assert judge_static(task(CUBE, rough), 0.0).verdict == "PASS"
    assert judge_static(task(CUBE, rough), 0.01).verdict == "NOT PROVEN"


def test_a_contact_whose_overlap_cannot_be_bounded_is_not_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clearance_pairs, "deepest_pose", lambda pair, windows: None)
    monkeypatch.setattr(clearance_pairs, "most_shared", lambda pair, start, stop: 9.0)
    contacts = (Contact("mover", "obstacle"),)
    found = judge_contact(task(CUBE, OVERLAPPING), contacts, 0.5, (0.0, 1.0))
    assert found.verdict == "NOT PROVEN"
    assert found.reason == "the overlap at one pose could not be bounded"
    monkeypatch.setattr(clearance_pairs, "most_shared", lambda pair, start, stop: 0.0)
    assert judge_contact(task(CUBE, OVERLAPPING), contacts, 0.5, (0.0, 1.0)).verdict == "PASS"


def refuse(mesh: Mesh) -> None:
    raise KernelError("not a manifold")


def test_a_mesh_that_the_kernel_refuses_has_no_inside(monkeypatch: pytest.MonkeyPatch) -> None:
    body = fixed("plate", "housing", box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))
    assert fit._fault(body, CUBE) == ""
    monkeypatch.setattr(fit, "manifold_of", refuse)
    assert fit._fault(body, CUBE) == "plate: not a manifold; inside and outside cannot be told"


def test_insertion_looks_only_at_solids_of_a_size(monkeypatch: pytest.MonkeyPatch) -> None:
    assert gauge._solid_or_none(CUBE) is not None
    monkeypatch.setattr(gauge, "manifold_of", refuse)
    assert gauge._solid_or_none(CUBE) is None
    monkeypatch.setattr(gauge, "manifold_of", manifold_of)
    monkeypatch.setattr(gauge, "INSERTION_LIMIT", 0)
    assert gauge._solid_or_none(CUBE) is None


def test_a_square_hole_that_does_not_grow_is_the_hole_itself() -> None:
    found, away = hole(box(-1.0, 1.0, -2.0, 2.0, 0.0, 1.0), (0.0, 1.0), 0.0, 0.01)
    low, high = np.array(found.bounding_box()).reshape(2, 3)
    assert away == 0.0
    assert (high - low)[:2] == pytest.approx([2.0, 4.0])


def test_a_ball_comes_as_close_as_its_finest_polyhedron() -> None:
    corners, excess = ball(1.0, 0.0)
    assert 0.0 < excess < 0.01
    assert np.linalg.norm(corners, axis=1).max() == pytest.approx(1.0 + excess)


@pytest.mark.parametrize(
    ("piece", "cut", "through"),
    [
        (rod(5.0, 0.0, 10.0), rod(2.0, 1.0, 10.0), False),  # blind
        (rod(5.0, 0.0, 10.0), rod(2.0, 0.0, 10.0), True),
        (rod(5.0, 0.0, 10.0), box(-3.0, 3.0, -3.0, 3.0, -1.0, 11.0), True),  # corners at 4.24
        (rod(5.0, 0.0, 10.0), box(-4.0, 4.0, -4.0, 4.0, -1.0, 11.0), False),  # corners at 5.66
        (box(-5.0, 5.0, -5.0, 5.0, 0.0, 10.0), rod(5.0, 0.0, 10.0), False),
    ],
)
def test_what_is_a_bore(piece: Primitive, cut: Primitive, through: bool) -> None:
    assert is_bore(piece, cut) is through

"""Clearance over the travel against closed forms, dense samples, rigid motion and a shrinking housing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.clearance import Pair, nearest
from calcs.clearance_closed import closed_gap
from calcs.clearance_pairs import Task, judge_travel
from calcs.clearance_sweep import mover_of, pose_distance, sweep, whole
from calcs.fit import FitReport, PlacedMesh, fit
from geometry.bodies import Body, Box, ClearanceClasses, Cylinder, Shape
from geometry.meshes import Mesh, Points, mesh_from_manifold, mesh_of

TRAVEL = (0.0, 60.0)
seeds = st.integers(0, 2**32 - 1)


def box_mesh(low: Points, size: Points) -> Mesh:
    return mesh_of(Shape((Box(tuple(low.tolist()), tuple((low + size).tolist())),)))


def box_distance(low: Points, high: Points, other_low: Points, other_high: Points) -> float:
    return float(np.linalg.norm(np.maximum(np.maximum(other_low - high, low - other_high), 0.0)))


def hull(points: Points) -> Mesh:
    import manifold3d

    return mesh_from_manifold(manifold3d.Manifold.hull_points(points), 0.0)


def gap_over(
    mover: Mesh, obstacle: Mesh, direction: Points, travel: tuple[float, float] = TRAVEL
) -> tuple[float, bool]:
    pair = Pair(mover_of(mover, direction), whole(obstacle))
    near, _ = nearest(pair, sweep(pair.mover, *travel))
    return near.gap.distance, near.apart


def rotation(random: np.random.Generator) -> Points:
    turned, _ = np.linalg.qr(random.normal(size=(3, 3)))
    return turned * np.sign(np.linalg.det(turned))


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_thin_pairs_of_boxes_have_the_gap_and_verdict_of_the_closed_form(seed: int) -> None:
    """A box swept along z is a box: 0.5 to 3 mm thin along the travel, which sampling by 5 mm would miss."""
    random = np.random.default_rng(seed)
    low, size = random.uniform(-5.0, 5.0, 3), random.uniform(0.5, 3.0, 3)
    other, other_size = random.uniform([-6.0, -6.0, 24.0], [6.0, 6.0, 36.0]), random.uniform(0.5, 3.0, 3)
    true = box_distance(low, low + size + [0.0, 0.0, 60.0], other, other + other_size)
    mover, obstacle = box_mesh(low, size), box_mesh(other, other_size)
    task = Task("a", "b", Pair(mover_of(mover), whole(obstacle)))
    result = judge_travel(task, sweep(task.pair.mover, *TRAVEL), 0.5)
    assert result.gap is not None
    if true > 0.0:
        assert result.gap.nominal == pytest.approx(true, abs=1e-9)
        assert result.verdict == ("PASS" if true >= 0.5 else "FAIL")
        assert result.clash == ()
    else:
        start, stop = float(other[2] - low[2] - size[2]), float((other + other_size)[2] - low[2])
        assert result.verdict == "FAIL"
        assert result.gap.nominal < 0.0
        assert result.clash == (pytest.approx((start, stop), abs=1e-3),)


def random_span(random: np.random.Generator, height: float) -> tuple[float, float]:
    low, high = np.sort(random.uniform(0.0, height, 2)).tolist()
    return low, high + 0.5


def random_piece(random: np.random.Generator, spread: float, height: float) -> Box | Cylinder:
    centre, size = random.uniform(-spread, spread, 2), random.uniform(1.0, 4.0, 2)
    low, high = random_span(random, height)
    if random.random() < 0.5:
        return Cylinder("z", tuple(centre.tolist()), float(size[0]), (low, high))
    return Box((*(centre - size).tolist(), low), (*(centre + size).tolist(), high))


def random_sleeve(random: np.random.Generator) -> Shape:
    """A plate or a ring with a bore, round or square, anywhere in it."""
    low, high = random_span(random, 80.0)
    x, y = random.uniform(-2.0, 2.0, 2).tolist()
    size, span = float(random.uniform(2.0, 9.0)), (low, high)
    bores = (Cylinder("z", (x, y), size, span), Box((x - size, y - size, low), (x + size, y + size, high)))
    outlines = (Cylinder("z", (x, y), 14.0, span), Box((-15.0, -15.0, low), (15.0, 15.0, high)))
    return Shape((outlines[int(random.integers(2))],), (bores[int(random.integers(2))],))


@settings(max_examples=100, deadline=None)
@given(seeds)
def test_the_closed_form_lies_within_what_the_meshes_say(seed: int) -> None:
    """Boxes and cylinders, two to a body, beside each other or in a sleeve: two ways to one gap."""
    random = np.random.default_rng(seed)
    mover = Shape((random_piece(random, 1.5, 10.0), random_piece(random, 1.5, 10.0)))
    sleeved = random.random() < 0.5
    beside = Shape((random_piece(random, 12.0, 80.0), random_piece(random, 12.0, 80.0)))
    obstacle = random_sleeve(random) if sleeved else beside
    start, stop = np.sort(random.uniform(-5.0, 60.0, 2)).tolist()
    if random.random() < 0.5:
        mover, obstacle, start, stop = obstacle, mover, -stop, -start
    closed = closed_gap(mover, obstacle, start, stop)
    pair = Pair(mover_of(mesh_of(mover)), whole(mesh_of(obstacle)))
    near, _ = nearest(pair, sweep(pair.mover, start, stop))
    error = pair.chord_error + 1e-9
    if closed is None:
        assert near.gap.distance <= error or near.held
    else:
        assert closed[0] <= near.gap.distance + error
        assert near.gap.distance - error <= closed[1]
        # without a bore over an end both bounds are the gap
        assert closed[0] == closed[1] or sleeved


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_no_sampled_pose_is_nearer_and_one_is_nearly_as_near(seed: int) -> None:
    random = np.random.default_rng(seed)
    direction = random.normal(size=3)
    direction /= np.linalg.norm(direction)
    mover = hull(random.normal(size=(12, 3)))
    obstacle = hull(random.normal(size=(12, 3)) * 1.5 + 10.0 * direction + random.normal(size=3) * 4.0)
    distance, apart = gap_over(mover, obstacle, direction, (0.0, 20.0))
    moving, still = mover_of(mover, direction), whole(obstacle)
    sampled = min(pose_distance(moving, s, still) for s in np.linspace(0.0, 20.0, 81))
    step = 20.0 / 80.0
    assert distance <= sampled + 1e-9
    if apart:
        assert distance >= sampled - step / 2.0 - 1e-9
    else:
        # inside without touching is possible only where a body fits into the other between two samples
        assert sampled <= step


@settings(max_examples=30, deadline=None)
@given(seeds)
def test_rigid_motion_leaves_gaps_unchanged(seed: int) -> None:
    random = np.random.default_rng(seed)
    mover = mesh_of(
        Shape((Cylinder("z", (0.0, 0.0), 6.0, (0.0, 4.0)),), (Cylinder("z", (1.0, 0.0), 3.0, (0.0, 4.0)),))
    )
    obstacle = hull(random.normal(size=(10, 3)) * 3.0 + [12.0, 0.0, 30.0])
    along = np.array([0.0, 0.0, 1.0])
    before, apart = gap_over(mover, obstacle, along)
    turn, shift = rotation(random), random.uniform(-100.0, 100.0, 3)

    def placed(mesh: Mesh) -> Mesh:
        return Mesh(mesh.vertices @ turn.T + shift, mesh.triangles, mesh.chord_error)

    after, apart_after = gap_over(placed(mover), placed(obstacle), turn @ along)
    assert (after, apart_after) == (pytest.approx(before, abs=1e-7), apart)


def boxed_in(random: np.random.Generator, shrink: float) -> FitReport:
    """A nut-like mover in a square tube with a random rib; every wall moved inwards by `shrink`."""
    wide = 12.0 - shrink
    rib, height = float(random.uniform(7.0, 11.0)) - shrink, float(random.uniform(10.0, 50.0))
    walls = {
        "left": Box((-15.0, -15.0, -20.0), (-wide, 15.0, 90.0)),
        "right": Box((wide, -15.0, -20.0), (15.0, 15.0, 90.0)),
        "front": Box((-15.0, wide, -20.0), (15.0, 15.0, 90.0)),
        "floor": Box((-15.0, -15.0, -20.0), (15.0, 15.0, -4.0 + shrink)),
        "rib": Box((rib, -3.0, height - shrink), (13.0, 3.0, height + 1.0 + shrink)),
    }
    nut = Body("nut", "load", True, Shape((Cylinder("z", (0.0, 0.0), 7.0, (0.0, 5.0)),)))
    bodies = [nut, *(Body(name, "housing", False, Shape((wall,))) for name, wall in walls.items())]
    placed = [PlacedMesh(body, mesh_of(body.shape)) for body in bodies if isinstance(body.shape, Shape)]
    return fit(placed, (), ClearanceClasses(), TRAVEL)


@settings(max_examples=12, deadline=None)
@given(seeds, st.floats(0.01, 1.5))
def test_shrinking_the_housing_never_widens_a_gap(seed: int, shrink: float) -> None:
    wide = {(p.a, p.b): p for p in boxed_in(np.random.default_rng(seed), 0.0).pairs}
    tight = {(p.a, p.b): p for p in boxed_in(np.random.default_rng(seed), shrink).pairs}
    assert wide.keys() == tight.keys()
    for names, before in wide.items():
        after = tight[names]
        assert before.gap is not None
        assert after.gap is not None
        assert after.gap.nominal <= before.gap.nominal + 3e-3, names  # depths are found to 1e-3
        assert _length(after.below_required) >= _length(before.below_required) - 1e-3, names


def _length(windows: tuple[tuple[float, float], ...]) -> float:
    return math.fsum(high - low for low, high in windows)

"""Grown boxes, cylinders and bores: how far each reaches in any direction, against the true shape."""

from __future__ import annotations

import math

import numpy as np
import pytest
from vial_lift import box, rod

from calcs.grown_primitives import (
    Points,
    Simple,
    around,
    ball,
    bounds,
    hole,
    hull,
    inside,
    is_bore,
    meet,
    sums,
    united,
    vertices,
)
from geometry.bodies import Axis, Box, Cylinder

WAYS = np.random.default_rng(5).normal(size=(4000, 3))
WAYS = np.vstack([np.eye(3), -np.eye(3), WAYS / np.linalg.norm(WAYS, axis=1)[:, None]])


def reach(points: Points) -> Points:
    """How far points reach in each of the directions."""
    return (WAYS @ points.T).max(axis=1)


def true_reach(piece: Simple, growth: float = 0.0) -> Points:
    if isinstance(piece, Box):
        low, high = np.array(piece.low), np.array(piece.high)
        return np.maximum(WAYS * low, WAYS * high).sum(axis=1) + growth
    along = "xyz".index(piece.axis)
    across = np.delete(WAYS, along, axis=1)
    ends = np.maximum(WAYS[:, along] * piece.span[0], WAYS[:, along] * piece.span[1])
    return across @ np.array(piece.centre) + piece.radius * np.linalg.norm(across, axis=1) + ends + growth


BLOCK = box(-3.0, 2.0, 1.0, 4.0, -1.0, 6.0)
RODS = [Cylinder(axis, (1.5, -2.0), 5.0, (-3.0, 4.0)) for axis in ("x", "y", "z")]


@pytest.mark.parametrize("piece", [BLOCK, *RODS])
@pytest.mark.parametrize(("growth", "tolerance"), [(0.0, 0.01), (0.1, 0.01), (0.5, 0.01), (3.0, 0.1)])
def test_a_grown_piece_reaches_as_far_as_the_true_one_and_little_farther(
    piece: Simple, growth: float, tolerance: float
) -> None:
    points, excess = around(piece, growth, tolerance)
    beyond = reach(points) - true_reach(piece, growth)
    assert beyond.min() > -1e-12
    assert np.abs(beyond[:6]).max() < 1e-12  # flat where the axes leave it: its box is the true one
    assert beyond.max() <= excess + 1e-12
    assert excess <= tolerance
    assert (excess == 0.0) == (isinstance(piece, Box) and growth == 0.0)


def test_the_excess_of_a_cylinder_is_that_of_its_polygons() -> None:
    points, excess = around(rod(5.0, 0.0, 10.0), 0.0, 0.01)
    # 72 corners keep within 0.005: 5 / cos(180 / 72 deg) - 5
    assert len(points) == 2 * 72
    assert excess == pytest.approx(5.0 / math.cos(math.pi / 72) - 5.0, rel=1e-9)
    grown, more = around(rod(5.0, 0.0, 10.0), 2.0, 0.01)
    # 7 mm: 84 corners. A quarter of 2 mm: 12 flats keep within 0.005, so 12 corners and its two ends
    assert len(grown) == 2 * 14 * 84
    assert more == pytest.approx(
        2.0 / math.cos(math.pi / 48) - 2.0 + 7.0 / math.cos(math.pi / 84) - 7.0, rel=1e-9
    )


def test_small_ones_keep_sixteen_corners_and_two_flats() -> None:
    assert len(around(rod(0.1, 0.0, 1.0), 0.0, 0.02)[0]) == 2 * 16
    assert len(around(rod(0.05, 0.0, 1.0), 0.05, 0.1)[0]) == 2 * 4 * 16
    assert len(around(rod(0.05, 0.0, 1.0), 0.05, 0.0036)[0]) == 2 * 5 * 20


@pytest.mark.parametrize("piece", [BLOCK, *RODS])
def test_what_lies_inside_a_piece_reaches_nearly_as_far(piece: Simple) -> None:
    points, away = inside(piece, 0.02)
    short = true_reach(piece) - reach(points)
    assert short.min() > -1e-12
    assert short.max() <= away + 1e-12
    assert away == pytest.approx(0.0 if isinstance(piece, Box) else 5.0 * (1.0 - math.cos(math.pi / 36)))
    assert short[:6].max() == pytest.approx(away)  # the flats face the axes


def test_a_ball_is_flat_across_the_axes_and_never_too_small() -> None:
    for radius, tolerance in ((1.0, 0.1), (0.5, 0.01), (3.0, 0.03)):
        corners, excess = ball(radius, tolerance)
        out = reach(corners) - radius
        assert out.min() > -1e-9
        assert np.abs(out[:6]).max() < 1e-12
        assert 0.5 * excess < out.max() <= excess + 1e-12
        assert excess <= tolerance


@pytest.mark.parametrize(("tolerance", "parts"), [(1.0, 2), (0.15, 3), (0.05, 4), (0.012, 9), (0.0, 32)])
def test_a_ball_is_no_finer_than_it_has_to_be(tolerance: float, parts: int) -> None:
    """An octahedron with its edges in k parts has 4 k^2 + 2 corners; six become four where the axes leave."""
    corners, _ = ball(1.0, tolerance)
    assert len(corners) == 4 * parts**2 + 20


def test_the_coarsest_ball_in_closed_form() -> None:
    assert ball(2.0, 1.0)[1] == pytest.approx(2.0 * (math.sqrt(1.5) - 1.0))


def area(solid: object, height: float) -> float:
    return float(solid.slice(height).area())  # type: ignore[attr-defined] # a manifold3d solid


@pytest.mark.parametrize("growth", [0.1, 0.5, 2.0])
def test_a_round_hole_narrows_by_the_growth_and_flares_beyond_its_ends(growth: float) -> None:
    radius, tolerance = 4.0, 0.01
    found, excess = hole(rod(radius, 0.0, 10.0, 1.0, -2.0), (0.0, 10.0), growth, tolerance)
    assert excess <= tolerance
    for beyond in (0.0, 0.3 * growth, 0.8 * growth):
        true = radius - math.sqrt(growth**2 - beyond**2)
        least = radius - excess - math.sqrt((growth + excess) ** 2 - beyond**2)
        for height in (-beyond, 10.0 + beyond):
            assert math.pi * least**2 <= area(found, height) <= math.pi * true**2
    low, high = np.array(found.bounding_box()).reshape(2, 3)
    assert (low[2], high[2]) == pytest.approx((-growth - 1.0, 10.0 + growth + 1.0))
    assert (low + high)[:2] / 2.0 == pytest.approx([1.0, -2.0])


@pytest.mark.parametrize("growth", [0.1, 0.5, 2.0])
def test_a_square_hole_narrows_and_flares_too(growth: float) -> None:
    found, excess = hole(box(-4.0, 6.0, -3.0, 5.0, -5.0, 15.0), (0.0, 10.0), growth, 0.01)
    assert 0.0 < excess <= 0.01
    for beyond in (0.0, 0.3 * growth, 0.8 * growth):
        least, true = (
            (10.0 - 2.0 * in_by) * (8.0 - 2.0 * in_by)
            for in_by in (math.sqrt(wide**2 - beyond**2) for wide in (growth + excess, growth))
        )
        for height in (-beyond, 10.0 + beyond):
            assert least <= area(found, height) <= true + 1e-9
    low, high = np.array(found.bounding_box()).reshape(2, 3)
    assert (low[2], high[2]) == pytest.approx((-growth - 1.0, 10.0 + growth + 1.0))


def test_holes_that_do_not_grow_are_straight() -> None:
    found, away = hole(rod(4.0, 0.0, 10.0, 1.0, -2.0), (0.0, 10.0), 0.0, 0.01)
    low, high = np.array(found.bounding_box()).reshape(2, 3)
    assert (low[2], high[2]) == (-1.0, 11.0)
    # 48 corners keep within 0.01
    assert away == pytest.approx(4.0 * (1.0 - math.cos(math.pi / 48)))
    assert float(found.volume()) == pytest.approx(12.0 * 48 / 2 * 16.0 * math.sin(2.0 * math.pi / 48))
    square, exact = hole(box(-4.0, 6.0, -3.0, 5.0, 0.0, 10.0), (0.0, 10.0), 0.0, 0.01)
    assert exact == 0.0
    assert float(square.volume()) == pytest.approx(10.0 * 8.0 * 12.0)


def test_the_excess_of_a_grown_hole_is_the_worse_of_column_and_wall() -> None:
    _, excess = hole(rod(4.0, 0.0, 10.0), (0.0, 10.0), 1.0, 0.1)
    # the column's 16 corners; the wall's 20, and 4 flats of a quarter
    column = 4.0 * (1.0 - math.cos(math.pi / 16))
    wall = 4.0 * (1.0 - math.cos(math.pi / 20)) + 1.0 / math.cos(math.pi / 12) - 1.0
    assert excess == pytest.approx(max(column, wall), rel=1e-9)


def test_a_hole_that_grows_by_less_than_its_chords_leaves_no_slivers() -> None:
    found, _ = hole(rod(4.0, 0.0, 10.0), (0.0, 10.0), 1e-4, 0.01)
    assert len(found.slice(5.0).to_polygons()) == 1


@pytest.mark.parametrize(
    ("axis", "low", "high"),
    [
        ("x", (-3.0, -3.5, -7.0), (4.0, 6.5, 3.0)),
        ("y", (-3.5, -3.0, -7.0), (6.5, 4.0, 3.0)),
        ("z", (-3.5, -7.0, -3.0), (6.5, 3.0, 4.0)),
    ],
)
def test_boxes_around_cylinders(axis: Axis, low: tuple[float, ...], high: tuple[float, ...]) -> None:
    found = bounds(Cylinder(axis, (1.5, -2.0), 5.0, (-3.0, 4.0)))
    assert (found[0].tolist(), found[1].tolist()) == (list(low), list(high))
    assert [end.tolist() for end in bounds(BLOCK)] == [[-3.0, 1.0, -1.0], [2.0, 4.0, 6.0]]


PLATE = box(-5.0, 5.0, -5.0, 5.0, 0.0, 10.0)
DISC = rod(5.0, 0.0, 10.0)


@pytest.mark.parametrize(
    ("piece", "cut", "through"),
    [
        (PLATE, box(-4.0, 4.0, -4.0, 4.0, 0.0, 10.0), True),
        (PLATE, box(-5.0, 4.0, -4.0, 4.0, 0.0, 10.0), False),  # opens the side
        (PLATE, box(-4.0, 4.0, -4.0, 5.0, 0.0, 10.0), False),
        (PLATE, box(-4.0, 4.0, -4.0, 4.0, 0.1, 10.0), False),
        (PLATE, box(-4.0, 4.0, -4.0, 4.0, 0.0, 9.9), False),
        (PLATE, rod(2.0, 0.0, 10.0, 2.9, -2.9), True),
        (PLATE, rod(2.0, 0.0, 10.0, 3.0, 0.0), False),
        (PLATE, Cylinder("x", (0.0, 5.0), 2.0, (-5.0, 5.0)), False),
        (Cylinder("y", (0.0, 5.0), 5.0, (-5.0, 5.0)), rod(1.0, 0.0, 10.0), False),
        (DISC, rod(2.0, 0.0, 10.0, 1.8, 2.3), True),  # 2.92 off the axis
        (DISC, rod(2.0, 0.0, 10.0, 1.8, 2.4), False),  # 3 off: its side is open
        (DISC, box(-3.0, 0.0, 0.0, 3.9, 0.0, 10.0), True),  # the corner at 4.92
        (rod(5.0, 0.0, 10.0, 7.0, -7.0), box(4.0, 7.0, -7.0, -3.1, 0.0, 10.0), True),
        (rod(5.0, 0.0, 10.0, 7.0, -7.0), box(7.0, 10.0, -10.9, -7.0, 0.0, 10.0), True),
        (DISC, box(-3.0, 0.0, 0.0, 4.0, 0.0, 10.0), False),  # at 5
    ],
)
def test_a_bore_runs_right_through_inside_the_section(piece: Simple, cut: Simple, through: bool) -> None:
    assert is_bore(piece, cut) is through


def test_boxes_meet_in_more_than_a_face() -> None:
    assert meet(PLATE, box(4.9, 9.0, -1.0, 1.0, 1.0, 2.0))
    assert not meet(PLATE, box(5.0, 9.0, -1.0, 1.0, 1.0, 2.0))
    assert not meet(box(5.0, 9.0, -1.0, 1.0, 1.0, 2.0), PLATE)


def test_sums_hulls_and_unions() -> None:
    assert sums(np.array([[0.0, 0.0, 0.0], [1.0, 2.0, 3.0]]), np.array([[10.0, 0.0, 0.0]])).tolist() == [
        [10.0, 0.0, 0.0],
        [11.0, 2.0, 3.0],
    ]
    cube = hull(around(box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0), 0.0, 0.01)[0])
    assert vertices(cube).shape == (8, 3)
    both = united([cube, cube.translate((0.5, 0.0, 0.0))])
    assert float(both.volume()) == pytest.approx(1.5)

"""Gaps of boxes and cylinders in closed form, by hand: beside, in a bore, over an end, along the travel."""

from __future__ import annotations

import math

import pytest
from vial_lift import box, fixed, moving, placed, rod

from calcs.clearance import Pair
from calcs.clearance_closed import closed_gap
from calcs.clearance_pairs import Task, judge_contact, judge_travel
from calcs.clearance_sweep import mover_of, sweep, whole
from calcs.fit import fit
from geometry.bodies import Box, ClearanceClasses, Contact, Cylinder, Posed, Primitive, Prism, Shape
from geometry.errors import KernelError
from geometry.meshes import mesh_of

TRAVEL = (-4.0, 64.0)
SHAFT = rod(3.0, 10.0, 20.0)  # sweeps z from 6 to 84


def shape(*adds: Primitive, cuts: tuple[Primitive, ...] = ()) -> Shape:
    return Shape(adds, cuts)


def gap(mover: Primitive, *adds: Primitive, cuts: tuple[Primitive, ...] = ()) -> tuple[float, float] | None:
    return closed_gap(shape(mover), shape(*adds, cuts=cuts), *TRAVEL)


@pytest.mark.parametrize(
    ("obstacle", "expected"),
    [
        (rod(2.0, 0.0, 100.0, 6.0, 8.0), 5.0),  # centres 10 apart, less 3 and 2
        (rod(2.0, 90.0, 100.0, 6.0, 8.0), math.hypot(5.0, 6.0)),  # and 6 above the highest pose
        (rod(2.0, -9.0, 2.0, 6.0, 8.0), math.hypot(5.0, 4.0)),  # and 4 below the lowest
        (rod(9.0, 90.0, 100.0, 1.0, 0.0), 6.0),  # right above it
        (box(7.0, 9.0, -5.0, 5.0, 0.0, 100.0), 4.0),  # a face
        (box(-9.0, -8.0, -5.0, 5.0, 0.0, 100.0), 5.0),
        (box(6.0, 9.0, 8.0, 9.0, 0.0, 100.0), 7.0),  # a corner 10 from the centre
        (box(-9.0, -6.0, -9.0, -8.0, 0.0, 100.0), 7.0),
        (box(6.0, 9.0, 8.0, 9.0, 85.5, 100.0), math.hypot(7.0, 1.5)),
    ],
)
def test_a_shaft_beside_and_over(obstacle: Primitive, expected: float) -> None:
    assert gap(SHAFT, obstacle) == pytest.approx((expected, expected), rel=1e-14)
    # the same the other way round: it stands, the other moves the other way
    assert closed_gap(shape(obstacle), shape(SHAFT), -64.0, 4.0) == pytest.approx((expected,) * 2, rel=1e-14)


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        (box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0), box(4.0, 5.0, 0.5, 6.0, 0.0, 9.0), 3.0),
        (box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0), box(4.0, 5.0, 5.0, 6.0, 0.0, 9.0), 5.0),
        (box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0), box(4.0, 5.0, -6.0, -4.0, 0.0, 9.0), 5.0),
        (box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0), box(3.0, 5.0, 4.0, 6.0, 71.0, 79.0), 7.0),  # 2, 3, 6 apart
    ],
)
def test_boxes(one: Box, other: Box, expected: float) -> None:
    assert gap(one, other) == pytest.approx((expected, expected), rel=1e-14)


@pytest.mark.parametrize(
    ("bore", "expected"),
    [
        (rod(3.5, 0.0, 100.0), 0.5),  # coaxial
        (rod(3.05, 0.0, 100.0), 0.05),
        (rod(3.5, 0.0, 100.0, 0.3, 0.4), 0.0),  # touches: no gap to give
        (rod(5.0, 0.0, 100.0, 0.3, 0.4), 1.5),
        (box(-4.0, 7.0, -5.0, 8.0, -1.0, 101.0), 1.0),  # the low x wall
        (box(-6.0, 7.0, -5.0, 8.0, -1.0, 101.0), 2.0),  # the low y wall
        (box(-6.0, 4.5, -5.0, 8.0, -1.0, 101.0), 1.5),
        (box(-6.0, 7.0, -8.0, 4.25, -1.0, 101.0), 1.25),
    ],
)
def test_a_shaft_in_a_bore(bore: Box | Cylinder, expected: float) -> None:
    plate = box(-20.0, 20.0, -20.0, 20.0, 0.0, 100.0)
    found = gap(SHAFT, plate, cuts=(bore,))
    assert found == (pytest.approx((expected, expected), rel=1e-13) if expected else None)
    # a bored mover around a shaft that stands
    moved = closed_gap(shape(plate, cuts=(bore,)), shape(SHAFT), *TRAVEL)
    assert moved == (pytest.approx((expected, expected), rel=1e-13) if expected else None)


def test_a_square_bar_in_a_round_and_in_a_square_bore() -> None:
    bar, plate = box(-3.0, 3.0, -4.0, 1.0, 10.0, 20.0), box(-20.0, 20.0, -20.0, 20.0, 0.0, 100.0)
    assert gap(bar, plate, cuts=(rod(6.0, 0.0, 100.0),)) == pytest.approx((1.0, 1.0))  # its corner at 5
    assert gap(bar, plate, cuts=(rod(9.0, 0.0, 100.0, -1.0, 2.0),)) == pytest.approx(
        (9.0 - math.hypot(4.0, 6.0),) * 2
    )
    square = box(-4.0, 5.0, -7.0, 3.0, 0.0, 100.0)
    assert gap(bar, plate, cuts=(square,)) == pytest.approx((1.0, 1.0))
    assert gap(bar, plate, cuts=(box(-4.0, 3.5, -7.0, 3.0, 0.0, 100.0),)) == pytest.approx((0.5, 0.5))
    assert gap(bar, plate, cuts=(box(-4.0, 5.0, -4.25, 3.0, 0.0, 100.0),)) == pytest.approx((0.25, 0.25))
    assert gap(bar, plate, cuts=(box(-4.0, 5.0, -7.0, 1.75, 0.0, 100.0),)) == pytest.approx((0.75, 0.75))


def test_a_shaft_below_a_bored_plate_keeps_both_distances() -> None:
    plate, bore = box(-20.0, 20.0, -20.0, 20.0, 90.0, 95.0), rod(11.0, 90.0, 95.0)
    assert gap(SHAFT, plate, cuts=(bore,)) == pytest.approx((10.0, 10.0))  # 8 from the wall, 6 below it
    narrow = rod(2.0, 90.0, 95.0)
    assert gap(SHAFT, plate, cuts=(narrow,)) == (6.0, math.inf)  # it may be the bore that faces it
    assert gap(SHAFT, plate) == (6.0, 6.0)


def test_the_least_of_all_pieces_counts() -> None:
    steps = (rod(2.0, 0.0, 8.0), rod(4.0, 8.0, 104.0), rod(2.0, 104.0, 113.0))
    carriage = shape(box(-15.0, 15.0, -12.0, 12.0, 30.0, 40.0), cuts=(rod(5.0, 30.0, 40.0),))
    assert closed_gap(carriage, shape(*steps), *TRAVEL) == (1.0, 1.0)
    flange = shape(rod(7.5, 14.0, 26.0), rod(12.0, 26.0, 30.0), cuts=(rod(4.15, 14.0, 30.0),))
    assert closed_gap(flange, shape(box(10.0, 14.0, -12.0, -9.0, 5.0, 26.0)), *TRAVEL) == pytest.approx(
        (math.sqrt(181.0) - 12.0,) * 2, rel=1e-13
    )
    assert closed_gap(flange, shape(*steps), *TRAVEL) == pytest.approx((0.15, 0.15))


PLATE = box(-20.0, 20.0, -20.0, 20.0, 0.0, 100.0)
OUTLINE = Prism(((30.0, 0.0), (31.0, 0.0), (31.0, 1.0)), (None,) * 3, (0.0, 1.0))


ASKEW = Posed(rod(1.0, 0.0, 9.0), (30.0, 0.0, 0.0), (0.6, 0.0, 0.8), (0.8, 0.0, -0.6))


@pytest.mark.parametrize(
    ("adds", "cuts"),
    [
        ((PLATE,), (rod(5.0, 10.0, 100.0),)),  # blind
        ((PLATE,), (Cylinder("x", (0.0, 50.0), 5.0, (-20.0, 20.0)),)),  # across
        ((PLATE,), (rod(5.0, 0.0, 100.0), rod(5.0, 0.0, 100.0, 6.0, 0.0))),  # two that run into each other
        ((Cylinder("x", (0.0, 50.0), 5.0, (10.0, 20.0)),), ()),
        ((OUTLINE,), ()),
        ((ASKEW,), ()),
        ((PLATE,), (ASKEW,)),
        ((PLATE,), (rod(5.0, 0.0, 100.0), OUTLINE)),
        ((box(2.0, 9.0, -5.0, 5.0, 0.0, 100.0),), ()),  # overlaps
        ((box(3.0, 9.0, -5.0, 5.0, 0.0, 100.0),), ()),  # touches
        ((box(2.0, 9.0, -5.0, 5.0, 84.0, 100.0),), ()),  # touches at the end of the travel
    ],
)
def test_without_a_closed_form_there_is_no_answer(
    adds: tuple[Primitive, ...], cuts: tuple[Primitive, ...]
) -> None:
    assert gap(SHAFT, *adds, cuts=cuts) is None


def test_a_bore_that_misses_a_piece_leaves_it_whole() -> None:
    two = (PLATE, box(20.0, 30.0, -20.0, 20.0, 0.0, 50.0))
    assert gap(SHAFT, *two, cuts=(rod(4.0, 0.0, 100.0),)) == (1.0, 1.0)


def task(mover: Shape, obstacle: Shape) -> Task:
    pair = Pair(mover_of(mesh_of(mover)), whole(mesh_of(obstacle)))
    return Task("mover", "obstacle", pair, shapes=(mover, obstacle))


def test_a_gap_of_exactly_what_is_required_passes_and_one_a_hair_less_fails() -> None:
    bores = {radius: shape(PLATE, cuts=(rod(radius, 0.0, 100.0),)) for radius in (3.5, 3.4999)}
    for radius, verdict in ((3.5, "PASS"), (3.4999, "FAIL")):
        made = task(shape(SHAFT), bores[radius])
        result = judge_travel(made, sweep(made.pair.mover, *TRAVEL), 0.5)
        assert made.pair.chord_error > 1e-3
        assert result.verdict == verdict
        assert result.gap == pytest.approx((radius - 3.0,) * 3, abs=1e-12)
    assert result.below_required == (TRAVEL,)


def test_what_a_closed_form_bounds_from_below_keeps_the_meshes_bound_above() -> None:
    plate = shape(box(-20.0, 20.0, -20.0, 20.0, 90.0, 95.0), cuts=(rod(2.0, 90.0, 95.0),))
    made = task(shape(SHAFT), plate)
    result = judge_travel(made, sweep(made.pair.mover, *TRAVEL), 0.5)
    assert result.gap is not None
    assert (result.gap.low, result.gap.nominal) == pytest.approx((6.0, 6.0), abs=1e-12)
    assert result.gap.high == pytest.approx(6.0 + made.pair.chord_error)


def test_a_contact_shows_the_closed_form_too() -> None:
    made = task(shape(SHAFT), shape(PLATE, cuts=(rod(3.1, 0.0, 100.0),)))
    result = judge_contact(made, [Contact("mover", "obstacle")], 0.5, TRAVEL)
    assert (result.verdict, result.gap) == ("PASS", pytest.approx((0.1,) * 3, abs=1e-12))


@pytest.mark.parametrize("radius", [3.49, 3.51])
def test_meshes_that_deny_the_closed_form_are_ours_to_mend(radius: float) -> None:
    """The shape of another bore stands for a closed form that is wrong."""
    pair = task(shape(SHAFT), shape(PLATE, cuts=(rod(3.5, 0.0, 100.0),))).pair
    wrong = (shape(SHAFT), shape(PLATE, cuts=(rod(radius, 0.0, 100.0),)))
    made = Task("shaft", "plate", pair, shapes=wrong)
    with pytest.raises(KernelError, match=r"shaft / plate: the closed form gives a gap of .* the meshes"):
        judge_travel(made, sweep(pair.mover, *TRAVEL), 0.2)


def test_a_fit_knows_its_own_shapes() -> None:
    bodies = [
        moving("shaft", "load", SHAFT),
        fixed("sleeve", "housing", PLATE, cuts=(rod(3.5, 0.0, 100.0),)),
    ]
    (result,) = fit([placed(body) for body in bodies], (), ClearanceClasses(), TRAVEL).pairs
    assert (result.verdict, result.gap) == ("PASS", (0.5, 0.5, 0.5))

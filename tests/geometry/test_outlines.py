"""Outlines: their closed-form integrals, their arcs, and what is refused."""

import math

import numpy as np
import pytest

from geometry.errors import ShapeError
from geometry.outlines import Corner, outline, radius_integral, section_area, section_polar_moment


def plain_rod(radius):
    return outline((0.0, radius), [Corner((2.0, radius))])


def test_a_plain_rod_has_the_area_and_polar_moment_of_a_disc():
    rod = plain_rod(3.0)
    assert section_area(rod) == pytest.approx(math.pi * 9, rel=1e-14)
    assert section_polar_moment(rod) == pytest.approx(math.pi * 81 / 2, rel=1e-14)


def test_straight_flanks_give_the_frustum_formula():
    # Crest 4 over 0.6, root 3 over 0.4, flanks over 0.5 each: r^2 over a flank is (a^2 + a b + b^2) / 3.
    made = outline(
        (0.0, 4.0), [Corner((0.6, 4.0)), Corner((1.1, 3.0)), Corner((1.5, 3.0)), Corner((2.0, 4.0))]
    )
    square = 0.6 * 16 + 0.4 * 9 + 2 * 0.5 * (16 + 12 + 9) / 3
    assert section_area(made) == pytest.approx(math.pi / 2 * square, rel=1e-13)


def test_every_integral_to_the_eighth_power_is_exact():
    made = outline((0.0, 1.0), [Corner((1.0, 2.0)), Corner((2.0, 1.0))])
    for power, value in enumerate(radius_integral(made, *range(9))):
        assert value == pytest.approx(2 * (2 ** (power + 1) - 1) / (power + 1), rel=1e-13)


def test_an_arc_keeps_its_radius_within_a_millionth():
    made = outline((0.0, 5.0), [Corner((2.0, 5.0), through=(1.0, 4.0))])
    u = np.linspace(0, 1, 101)
    for piece in made.pieces:
        s, r = piece.at(u).T
        assert np.abs(np.hypot(s - 1.0, r - 5.0) - 1.0).max() < 1e-6
    assert made.smallest_radius_mm == pytest.approx(4.0, abs=1e-12)
    assert len(made.pieces) == 4, "split at its lowest point and into at most 60 degrees each"


def test_the_groove_of_a_half_circle_takes_away_what_pappus_says():
    made = outline((0.0, 5.0), [Corner((2.0, 5.0), through=(1.0, 4.0)), Corner((3.0, 5.0))])
    # Half a disc of radius 1: area pi/2, centroid 4/(3 pi) below its diameter.
    taken = 2 * math.pi * (5 - 4 / (3 * math.pi)) * math.pi / 2 / 3.0
    assert section_area(made) == pytest.approx(math.pi * 25 - taken, rel=1e-7)


def test_a_wall_at_right_angles_to_the_axis_is_allowed():
    square = outline(
        (0.0, 5.0), [Corner((1.0, 5.0)), Corner((1.0, 4.0)), Corner((2.0, 4.0)), Corner((2.0, 5.0))]
    )
    assert section_area(square) == pytest.approx(math.pi * (25 + 16) / 2, rel=1e-14)


@pytest.mark.parametrize(
    ("corners", "message"),
    [
        ([Corner((1.0, 4.0)), Corner((0.9, 5.0))], "runs back along the axis"),
        ([Corner((1.0, -0.1)), Corner((2.0, 5.0))], "reaches radius -0.1000 mm"),
        ([Corner((2.0, 4.0))], "begins at radius 5.000000 and ends at 4.000000"),
        ([Corner((2.0, 5.0), through=(1.0, 5.0))], "is straight"),
    ],
)
def test_what_is_no_outline_is_refused_with_its_numbers(corners, message):
    with pytest.raises(ShapeError, match=message):
        outline((0.0, 5.0), corners)

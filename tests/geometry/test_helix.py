"""Splines that stand for helices and spirals: how far they are off, and that neighbours agree."""

import math

import numpy as np
import pytest

from geometry.errors import KernelError
from geometry.helix import DEGREE, SPAN, Stretch, basis, clamped_knots, greville, spirals, unit_helix


def test_the_basis_sums_to_one_and_reproduces_a_line():
    knots = clamped_knots(5)
    x = np.linspace(0, 5, 77)
    values = basis(knots, x)
    assert np.abs(values.sum(axis=1) - 1).max() < 1e-14
    assert np.abs(values @ greville(knots) - x).max() < 1e-13


@pytest.mark.parametrize("spans", [1, 2, 16, 40])
def test_a_helix_is_met_within_a_billionth_of_its_radius(spans):
    circle, angle = unit_helix(spans)
    x = np.linspace(0, spans, 501)
    values = basis(clamped_knots(spans), x)
    assert np.abs(values @ circle - np.exp(1j * SPAN * x)).max() < 1.3e-9
    assert np.abs(values @ angle - SPAN * x).max() < 1e-13


def test_two_stretches_are_the_same_spline_where_both_reach():
    one, other = Stretch.covering(0.1, 5.0), Stretch.covering(2.0, 9.0)
    angles = np.linspace(2.2, 4.8, 50)
    points = []
    for stretch in (one, other):
        circle, _ = stretch.poles()
        points.append(basis(clamped_knots(stretch.spans), angles / SPAN - stretch.first) @ circle)
    assert np.abs(points[0] - points[1]).max() < 1e-13


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-7.3, -7.2), (SPAN, 2 * SPAN), (6283.0, 6286.0)])
def test_a_stretch_covers_its_angles_and_no_span_more(low, high):
    knots = Stretch.covering(low, high).knots
    assert knots[0] <= low < knots[1]
    assert knots[-2] < high <= knots[-1]


def test_spirals_start_and_end_on_the_thread_and_stay_near_it():
    s, r, k = np.array([0.2, 0.9]), np.array([4.0, 3.1]), math.tau / 1.5
    axial, slope = np.array([0.0, 3.0, 30.0]), np.array([0.0, 1.0, -1.0])
    poles = spirals((s, r), axial, slope, k)
    assert poles.shape[0] == 3
    spans = poles.shape[1] - DEGREE
    u = np.linspace(0, 1, 333)
    here_s, here_r = s[0] + u * (s[1] - s[0]), r[0] + u * (r[1] - r[0])
    for curve, a, b in zip(poles, axial, slope, strict=True):
        x, y, z = (basis(clamped_knots(spans), u * spans) @ curve).T
        height = a + b * here_r
        assert np.abs(x + 1j * y - here_r * np.exp(1j * k * (height - here_s))).max() < 1.5e-8
        assert np.abs(z - height).max() < 1e-12


def test_a_spiral_of_too_many_turns_is_not_passed_off_as_fitted():
    with pytest.raises(KernelError, match="cannot be fitted"):
        spirals((np.array([0.0, 1.0]), np.array([5.0, 4.0])), np.zeros(1), np.zeros(1), math.tau * 40)

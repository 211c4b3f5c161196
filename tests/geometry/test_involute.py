from __future__ import annotations

import math

import pytest

from geometry.errors import InputError
from geometry.involute import (
    contact_ratio,
    inverse_involute,
    involute,
    span_measurement,
    tooth_thickness,
    working_pressure_angle,
)

A20 = math.radians(20)


@pytest.mark.parametrize("degrees", [0.0, 0.01, 1, 5, 14.5, 20, 30, 45, 60, 79.9])
def test_the_inverse_gives_the_angle_back(degrees: float) -> None:
    angle = math.radians(degrees)
    assert inverse_involute(involute(angle)) == pytest.approx(angle, rel=1e-9, abs=1e-15)


@pytest.mark.parametrize("value", [-1e-9, -0.1, 5.0, math.nan])
def test_values_that_no_gear_has_are_refused(value: float) -> None:
    with pytest.raises(InputError, match="no pressure angle"):
        inverse_involute(value)


def test_shifts_that_push_the_gears_through_one_another_are_refused() -> None:
    with pytest.raises(InputError, match="no pressure angle"):
        working_pressure_angle(-2.0, 24, A20)


def test_one_more_tooth_spans_one_more_base_pitch() -> None:
    two, three = (span_measurement(20, k, 0.5, pressure_angle=A20) for k in (2, 3))
    assert three - two == pytest.approx(math.pi * 0.5 * math.cos(A20), rel=1e-12)


def test_a_span_across_one_tooth_is_its_base_thickness() -> None:
    base = 0.5 * 20 * math.cos(A20)
    thickness = tooth_thickness(20, 0.5, shift=0.3, pressure_angle=A20, diameter=base)
    one = span_measurement(20, 1, 0.5, shift=0.3, pressure_angle=A20)
    assert one == pytest.approx(thickness, rel=1e-12)


def test_there_is_no_thickness_inside_the_base_circle() -> None:
    with pytest.raises(InputError, match="inside the base circle"):
        tooth_thickness(20, 1.0, pressure_angle=A20, diameter=18.0)


def test_an_internal_pair_is_in_contact_longer_than_an_external_one() -> None:
    external = contact_ratio((20, 60), (11, 31), 1.0, 40.0, pressure_angle=A20)
    internal = contact_ratio((20, 60), (11, 29), 1.0, 20.0, pressure_angle=A20, internal=True)
    assert 1.6 < external < internal < 2.2

"""Involute function, span measurement and contact: table values from memory, and worked examples.

Tables of the involute and of span measurements (DIN 3960, ISO 21771, Machinery's Handbook) as recalled from
memory, to the digits printed there; Bevan, Theory of Machines, ch. 10; Sarkar, Theory of Machines, ex. 4.1.
"""

from __future__ import annotations

import math

import pytest

from geometry.involute import (
    contact_ratio,
    inverse_involute,
    involute,
    mesh_loss_factor,
    path_of_contact,
    span_measurement,
    spanned_teeth,
    tooth_thickness,
    working_centre_distance,
    working_pressure_angle,
)

A20 = math.radians(20)


@pytest.mark.parametrize(
    ("degrees", "value"),
    [
        (14.5, 0.0055448),
        (15, 0.0061498),
        (20, 0.0149044),
        (22.5, 0.0215145),  # 0.0215138 is a slip of memory met in copies: computed 0.02151448
        (25, 0.0299753),
        (30, 0.0537515),
    ],
)
def test_involute_function(degrees: float, value: float) -> None:
    assert involute(math.radians(degrees)) == pytest.approx(value, abs=6e-8)  # seven printed digits
    assert math.degrees(inverse_involute(value)) == pytest.approx(degrees, abs=1e-4)


@pytest.mark.parametrize(
    ("teeth", "spanned", "value"),
    [
        (12, 2, 4.5963),
        (17, 2, 4.6663),
        (18, 3, 7.6324),
        (20, 3, 7.6604),  # 7.6605 is a slip of memory met in copies: computed 7.660439
        (24, 3, 7.7165),
        (30, 4, 10.7526),
        (40, 5, 13.8448),
    ],
)
def test_span_measurement_of_module_one(teeth: int, spanned: int, value: float) -> None:
    assert span_measurement(teeth, spanned, pressure_angle=A20) == pytest.approx(value, abs=6e-5)


# Not 18: at 18 teeth two and three lie equally near half height, and tables take either.
@pytest.mark.parametrize(("teeth", "spanned"), [(12, 2), (17, 2), (20, 3), (24, 3), (30, 4), (40, 5)])
def test_span_tables_measure_across_these_numbers_of_teeth(teeth: int, spanned: int) -> None:
    assert spanned_teeth(teeth, pressure_angle=A20) == spanned


def contact(pinion: int, wheel: int, module: float, degrees: float) -> tuple[float, float]:
    """Path of contact (mm) and contact ratio of a pair with addenda of one module."""
    angle = math.radians(degrees)
    tips = (module * (pinion / 2 + 1), module * (wheel / 2 + 1))
    bases = (module * pinion / 2 * math.cos(angle), module * wheel / 2 * math.cos(angle))
    distance = module * (pinion + wheel) / 2
    ratio = contact_ratio((pinion, wheel), tips, module, distance, pressure_angle=angle)
    return path_of_contact(tips, bases, distance), ratio


@pytest.mark.parametrize(
    ("degrees", "path", "arc_over_pitch", "tolerance"),
    [
        # Bevan ch. 10, ex. 6, 28 and 45 teeth. The published path of 4.97 m is of a 44-tooth wheel.
        (20, 4.980, 1.685, 0.002),
        (14.5, 6.1035, 2.0, 0.01),
    ],
)
def test_path_and_ratio_of_contact(
    degrees: float, path: float, arc_over_pitch: float, tolerance: float
) -> None:
    length, ratio = contact(28, 45, 1.0, degrees)
    assert length == pytest.approx(path, abs=5e-4)
    assert ratio == pytest.approx(arc_over_pitch, abs=tolerance)


def test_published_path_with_the_wheel_of_44_teeth_it_belongs_to() -> None:
    assert contact(28, 44, 1.0, 14.5)[0] == pytest.approx(6.092, abs=0.001)
    assert contact(28, 44, 1.0, 20)[0] == pytest.approx(4.97, abs=0.005)


def test_arc_of_contact() -> None:
    # Sarkar ex. 4.1, p. 133: 48 and 30 teeth, module 5, 20 deg: arc of contact 26.7 mm.
    length, _ = contact(30, 48, 5.0, 20)
    assert length / math.cos(A20) == pytest.approx(26.7, abs=0.05)


def test_loss_factor_of_a_mesh() -> None:
    # Computed: 20 and 40 teeth, 20 deg, unshifted; friction 0.06 leaves 0.9900361 of the power.
    tips, bases = (11.0, 21.0), (10 * math.cos(A20), 20 * math.cos(A20))
    pitch = math.pi * math.cos(A20)
    after, before = (
        (math.sqrt(t**2 - b**2) - b * math.tan(A20)) / pitch for t, b in zip(tips, bases, strict=True)
    )
    factor = mesh_loss_factor((20, 40), before, after)
    assert factor == pytest.approx(0.1660645, abs=5e-8)
    assert 1 - 0.06 * factor == pytest.approx(0.9900361, abs=5e-8)


def test_working_centre_distance_of_shifted_teeth() -> None:
    # 12/12/36 with shifts 0.3/0.3/0.9 works at 12.524 modules in both meshes (computed elsewhere).
    assert working_centre_distance(0.6, 24, 1.0, A20) == pytest.approx(12.524, abs=5e-4)
    assert working_centre_distance(0.9 - 0.3, 36 - 12, 1.0, A20) == pytest.approx(12.524, abs=5e-4)


def test_thickness_at_the_reference_and_at_the_base_circle() -> None:
    # s = m (pi / 2 + 2 x tan a); s_b = d_b (s / d + inv a): both closed forms.
    assert tooth_thickness(20, 2.0, pressure_angle=A20) == pytest.approx(math.pi, rel=1e-15)
    base = 40.0 * math.cos(A20)
    at_base = tooth_thickness(20, 2.0, shift=0.25, pressure_angle=A20, diameter=base)
    reference = tooth_thickness(20, 2.0, shift=0.25, pressure_angle=A20)
    assert at_base == pytest.approx(base * (reference / 40.0 + involute(A20)), rel=1e-12)


def test_unshifted_pairs_work_at_their_own_pressure_angle() -> None:
    assert working_pressure_angle(0.0, 50, A20) == pytest.approx(A20, rel=1e-14)

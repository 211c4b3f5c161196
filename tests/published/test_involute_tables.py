"""Involute function, span measurement and contact: table values from memory, and worked examples.

Tables of the involute and of span measurements (DIN 3960, ISO 21771, Machinery's Handbook) as recalled from
memory, to the digits printed there; Bevan, Theory of Machines, ch. 10, and Sarkar, Theory of Machines,
ex. 4.1: outputs of worked notebooks.
"""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from geometry.involute import (
    contact_ratio,
    inverse_involute,
    involute,
    path_of_contact,
    span_measurement,
    spanned_teeth,
)

A20 = math.radians(20)

PUBLISHED = (
    Case("DIN 3960, ISO 21771", "involute function", 5, "memory"),
    Case("DIN 3960, ISO 21771", "span measurements", 12, "memory"),
    Case("Bevan", "ch. 10, example 6", 4, "notebook"),
    Case("Sarkar", "example 4.1", 1, "notebook"),
)


@pytest.mark.parametrize(
    ("degrees", "value"),
    [
        (14.5, 0.0055448),
        (15, 0.0061498),
        (20, 0.0149044),
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

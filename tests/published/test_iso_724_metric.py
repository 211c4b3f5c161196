"""ISO 68-1, ISO 261 and ISO 724: basic sizes of metric threads (mm, three decimals).

Rows with d3 are from a table that quotes the standard; pitch and minor diameters are from memory where the
table does not carry them, and agree with the formulas to 1 um.
"""

import pytest
from published_cases import Case

from geometry.threads import thread

# d2 = D2, D1, d3
BASIC_SIZES = {
    "M1.6x0.35": (1.373, 1.221, 1.171),
    "M2x0.4": (1.740, 1.567, 1.509),
    "M2.5x0.45": (2.208, 2.013, 1.948),
    "M3x0.5": (2.675, 2.459, 2.387),
    "M4x0.7": (3.545, 3.242, 3.141),
    "M5x0.8": (4.480, 4.134, 4.019),
    "M6x1": (5.350, 4.917, 4.773),
    "M6x0.75": (5.513, 5.188, 5.080),
    "M8x1.25": (7.188, 6.647, 6.466),
    "M8x1": (7.350, 6.917, 6.773),
    "M8x0.75": (7.513, 7.188, 7.080),
    "M10x1.5": (9.026, 8.376, 8.160),
    "M10x1.25": (9.188, 8.647, 8.466),
    "M10x1": (9.350, 8.917, 8.773),
    "M12x1.75": (10.863, 10.106, 9.853),
    "M12x1.5": (11.026, 10.376, 10.160),
    "M12x1.25": (11.188, 10.647, 10.466),
    "M14x1.5": (13.026, 12.376, 12.160),
    "M16x2": (14.701, 13.835, 13.546),
    "M16x1.5": (15.026, 14.376, 14.160),
    "M16x1": (15.350, 14.917, 14.773),
    "M20x2.5": (18.376, 17.294, 16.933),
    "M20x1.5": (19.026, 18.376, 18.160),
    "M24x3": (22.051, 20.752, 20.319),
    "M24x2": (22.701, 21.835, 21.546),
}

# ISO 261, from memory
COARSE_PITCHES = {
    "M1.6": 0.35,
    "M2": 0.4,
    "M2.5": 0.45,
    "M3": 0.5,
    "M3.5": 0.6,
    "M4": 0.7,
    "M5": 0.8,
    "M6": 1.0,
    "M8": 1.25,
    "M10": 1.5,
    "M12": 1.75,
    "M14": 2.0,
    "M16": 2.0,
    "M18": 2.5,
    "M20": 2.5,
    "M22": 2.5,
    "M24": 3.0,
}

PUBLISHED = (
    Case("ISO 724", "basic sizes with d3", 3 * len(BASIC_SIZES), "page"),
    Case("ISO 261", "coarse pitches", len(COARSE_PITCHES), "memory"),
)


@pytest.mark.parametrize("designation", BASIC_SIZES)
def test_basic_sizes(designation):
    made = thread(designation)
    found = (made.pitch_diameter_mm, made.internal_minor_diameter_mm, made.root_diameter_mm)
    # The table is rounded to 1 um, and some rows round the last half the other way.
    assert found == pytest.approx(BASIC_SIZES[designation], abs=0.001)
    assert made.minor_diameter_mm == made.internal_minor_diameter_mm


@pytest.mark.parametrize("designation", COARSE_PITCHES)
def test_a_size_without_a_pitch_means_the_coarse_one(designation):
    assert thread(designation).pitch_mm == COARSE_PITCHES[designation]

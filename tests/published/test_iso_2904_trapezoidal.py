"""ISO 2904 (DIN 103): basic sizes of metric trapezoidal threads (mm).

Tr8 to Tr14 as found in a reference table of DIN 103-4, the others from memory.
"""

import pytest
from published_cases import Case

from geometry.threads import families, thread

# d2, D4, d3, D1, ac
BASIC_SIZES = {
    "Tr8x1.5": (7.250, 8.300, 6.200, 6.500, 0.15),
    "Tr10x2": (9.000, 10.500, 7.500, 8.000, 0.25),
    "Tr12x3": (10.500, 12.500, 8.500, 9.000, 0.25),
    "Tr14x3": (12.500, 14.500, 10.500, 11.000, 0.25),
    "Tr16x4": (14.000, 16.500, 11.500, 12.000, 0.25),
    "Tr20x4": (18.000, 20.500, 15.500, 16.000, 0.25),
    "Tr24x5": (21.500, 24.500, 18.500, 19.000, 0.25),
    "Tr28x5": (25.500, 28.500, 22.500, 23.000, 0.25),
    "Tr32x6": (29.000, 33.000, 25.000, 26.000, 0.5),
    "Tr10x1.5": (9.25, 10.3, 8.2, 8.5, 0.15),
}

PUBLISHED = (
    Case("ISO 2904, DIN 103-4", "basic sizes Tr8 to Tr14", 20, "page"),
    Case("ISO 2904", "basic sizes from Tr16 on, Tr10x1.5", 30, "memory"),
    Case("ISO 2902", "first choice of pitch", 9, "memory"),
)


@pytest.mark.parametrize("designation", BASIC_SIZES)
def test_basic_sizes(designation):
    made = thread(designation)
    found = (
        made.pitch_diameter_mm,
        made.internal_major_diameter_mm,
        made.root_diameter_mm,
        made.internal_minor_diameter_mm,
        made.root_clearance_mm,
    )
    assert found == pytest.approx(BASIC_SIZES[designation], abs=1e-9)
    assert made.engagement_depth_mm == pytest.approx(made.pitch_mm / 2, abs=1e-12)
    assert (made.flank_angle_deg, made.back_flank_angle_deg) == (15.0, 15.0)


def test_first_choice_of_each_diameter():
    """ISO 2902, from memory."""
    (family,) = (f for f in families() if f.name == "metric trapezoidal")
    first: dict[float, float] = {}
    for size in family.sizes:
        first.setdefault(size.diameter_mm, size.pitch_mm)
    expected = {8: 1.5, 10: 2, 12: 3, 14: 3, 16: 4, 20: 4, 24: 5, 28: 5, 32: 6}
    assert {diameter: first[diameter] for diameter in expected} == expected


def test_multi_start_keeps_the_profile_and_multiplies_the_lead():
    single, multiple = thread("Tr8x2"), thread("Tr8x8(P2)")
    assert multiple.lead_mm == 8.0
    assert multiple.external == single.external

"""DIN 513: basic sizes of metric buttress threads (mm), from memory."""

import pytest
from published_cases import Case

from geometry.threads import thread

# d2, d3, D1
BASIC_SIZES = {
    "S10x2": (8.5, 6.529, 7.0),
    "S20x4": (17.0, 13.058, 14.0),
    "S32x6": (27.5, 21.587, 23.0),
    "S40x7": (34.75, 27.851, 29.5),
}

PUBLISHED = (Case("DIN 513", "basic sizes", 3 * len(BASIC_SIZES) + 3, "memory"),)


@pytest.mark.parametrize("designation", BASIC_SIZES)
def test_basic_sizes(designation):
    made = thread(designation)
    found = (made.pitch_diameter_mm, made.root_diameter_mm, made.internal_minor_diameter_mm)
    assert found == pytest.approx(BASIC_SIZES[designation], abs=0.0006)


def test_flanks_and_crest():
    made = thread("S20x4")
    assert (made.flank_angle_deg, made.back_flank_angle_deg) == (3.0, 30.0)
    crest = next(piece for piece in made.external.pieces if piece.is_land)
    assert crest.width_mm == pytest.approx(0.26384 * 4, abs=1e-5)

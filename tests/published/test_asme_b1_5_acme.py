"""ASME B1.5: basic sizes of general purpose Acme threads, and limits of class 2G (inch).

Basic sizes as printed in Machinery's Handbook, 27th edition, pages 1828 and 1831; limits from memory.
"""

import math

import pytest
from published_cases import Case

from geometry.threads import thread

# pitch diameter, minor diameter, crest flat, lead angle (degrees, minutes), total depth
BASIC_SIZES = {
    "1/4-16": (0.2188, 0.1875, 0.0232, (5, 12), 0.0362),
    "5/16-14": (0.2768, 0.2411, 0.0265, (4, 42), 0.0407),
    "7/16-12": (0.3958, 0.3542, 0.0309, (3, 50), 0.0467),
    "5/8-8": (0.5625, 0.5000, 0.0463, (4, 3), 0.0725),
    "3/4-6": (0.6667, 0.5833, 0.0618, (4, 33), 0.0933),
    "1-5": (0.9000, 0.8000, 0.0741, (4, 3), 0.1100),
}
# as (max, min), from memory
LIMITS_2G = {
    "1/4-16": {
        "d": (0.2500, 0.2450), "d2": (0.2148, 0.2043), "d3": (0.1775, 0.1618),
        "D1": (0.1925, 0.1875), "D2": (0.2293, 0.2188), "D": (0.2700, 0.2600),
    },
    "1/2-10": {
        "d": (0.5000, 0.4950), "d2": (0.4443, 0.4306), "d3": (0.3800, 0.3594),
        "D1": (0.4050, 0.4000), "D2": (0.4637, 0.4500), "D": (0.5400, 0.5200),
    },
}  # fmt: skip

PUBLISHED = (
    Case("ASME B1.5, Machinery's Handbook 27", "basic sizes, p. 1828 and 1831", 5 * len(BASIC_SIZES), "page"),
    Case("ASME B1.5", "limits of class 2G", 12 * len(LIMITS_2G), "memory"),
)


@pytest.mark.parametrize("size", BASIC_SIZES)
def test_basic_sizes(size):
    made = thread(f"{size} ACME")
    crest = next(
        p for p in made.external.pieces if p.is_land and p.poles[0][1] == made.external.largest_radius_mm
    )
    pitch_diameter, minor, flat, (degrees, minutes), depth = BASIC_SIZES[size]
    found = (made.pitch_diameter_mm, made.minor_diameter_mm, crest.width_mm)
    # Printed to four decimals of an inch.
    assert [mm / 25.4 for mm in found] == pytest.approx([pitch_diameter, minor, flat], abs=0.000051)
    assert (made.major_diameter_mm - made.root_diameter_mm) / 50.8 == pytest.approx(depth, abs=0.000051)
    lead_angle = math.degrees(math.atan(made.lead_mm / math.pi / made.pitch_diameter_mm))
    assert lead_angle == pytest.approx(degrees + minutes / 60, abs=0.6 / 60)


@pytest.mark.parametrize("size", LIMITS_2G)
def test_limits_in_class_2g(size):
    limits = thread(f"{size} ACME").limits("2G")
    assert limits.keys() == LIMITS_2G[size].keys()
    for name, printed in LIMITS_2G[size].items():
        assert [mm / 25.4 for mm in limits[name]] == pytest.approx(printed, abs=0.000051), name

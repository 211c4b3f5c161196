"""ISO 3408-2: nominal diameters and leads of ball screws (mm), from memory."""

from published_cases import Case

from geometry.threads import families

DIAMETERS = {6, 8, 10, 12, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200}
LEADS = {1, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 32, 40}

PUBLISHED = (Case("ISO 3408-2", "nominal diameters and leads", len(DIAMETERS) + len(LEADS), "memory"),)


def test_every_nominal_diameter_and_lead_is_known_and_no_other():
    (family,) = (f for f in families() if f.name == "ball groove")
    assert {size.diameter_mm for size in family.sizes} == DIAMETERS
    assert {size.pitch_mm for size in family.sizes} == LEADS

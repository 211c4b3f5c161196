"""ISO 3408-2: nominal diameters and leads of ball screws (mm), from memory."""

import pytest

from calcs.formulas import screw
from geometry.threads import families, thread

DIAMETERS = {6, 8, 10, 12, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200}
LEADS = {1, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 32, 40}


def test_every_nominal_diameter_and_lead_is_known_and_no_other():
    (family,) = (f for f in families() if f.name == "ball groove")
    assert {size.diameter_mm for size in family.sizes} == DIAMETERS
    assert {size.pitch_mm for size in family.sizes} == LEADS


@pytest.mark.parametrize(("designation", "value"), [("Ball16x5", 0.9077485), ("Ball8x2", 0.8876579)])
def test_efficiency_is_that_of_the_lead_angle_alone(designation, value):
    """Computed from tan b / tan(b + rho) with tan(rho) = 0.01: rolling friction is stated for the thrust."""
    made = thread(designation)
    flank = made.flank_angle_deg
    found = screw.efficiency(made.lead_mm / 1e3, made.pitch_diameter_mm / 1e3, 0.01, flank)
    assert float(found) == pytest.approx(value, abs=1e-6)

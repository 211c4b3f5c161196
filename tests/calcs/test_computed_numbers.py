"""Numbers computed from a closed form, apart from the code: they prove arithmetic only."""

from __future__ import annotations

import math

import pytest

from calcs.checks.strength import EIGENVALUES
from calcs.formulas import screw
from geometry.threads import thread


def test_eigenvalues_solve_their_characteristic_equations() -> None:
    free, fixed = EIGENVALUES["fixed", "free"], EIGENVALUES["fixed", "fixed"]
    hinged = EIGENVALUES["fixed", "supported"]
    assert math.cos(free) * math.cosh(free) == pytest.approx(-1.0, abs=5e-4)
    assert math.cos(fixed) * math.cosh(fixed) == pytest.approx(1.0, abs=5e-3)
    assert math.tan(hinged) == pytest.approx(math.tanh(hinged), abs=1e-4)


@pytest.mark.parametrize(("designation", "value"), [("Ball16x5", 0.9077485), ("Ball8x2", 0.8876579)])
def test_efficiency_is_that_of_the_lead_angle_alone(designation: str, value: float) -> None:
    """From tan b / tan(b + rho) with tan(rho) = 0.01: rolling friction is stated for the thrust."""
    made = thread(designation)
    flank = made.flank_angle_deg
    found = screw.efficiency(made.lead_mm / 1e3, made.pitch_diameter_mm / 1e3, 0.01, flank)
    assert float(found) == pytest.approx(value, abs=1e-6)

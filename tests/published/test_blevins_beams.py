"""First natural frequencies of uniform beams: Blevins, Formulas for Natural Frequency (from memory)."""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.checks.strength import EIGENVALUES
from calcs.formulas import strength

# f = c sqrt(E I / (m L^4)), handbook constants
CONSTANTS = {
    ("fixed", "free"): 0.560,
    ("supported", "supported"): 1.571,
    ("fixed", "supported"): 2.454,
    ("fixed", "fixed"): 3.561,
}

PUBLISHED = (Case("Blevins", "first frequencies of uniform beams", len(CONSTANTS), "memory"),)


@pytest.mark.parametrize("ends", sorted(CONSTANTS))
def test_critical_speed_has_the_handbook_constant(ends: tuple[str, str]) -> None:
    modulus, density, diameter, length = 210e9, 7850.0, 0.0085, 0.300
    stiffness = modulus * strength.round_second_moment_m4(diameter)
    mass_kg_m = density * strength.round_area_m2(diameter)
    frequency = CONSTANTS[ends] * math.sqrt(stiffness / (mass_kg_m * length**4))
    speed = strength.critical_speed_rad_s(modulus, density, diameter, length, EIGENVALUES[ends])
    assert speed / (2.0 * math.pi) == pytest.approx(frequency, rel=1e-3)

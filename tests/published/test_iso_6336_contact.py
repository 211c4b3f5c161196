"""ISO 6336-2: zone factor of unshifted spur teeth and elasticity factor of steel on steel (from memory)."""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from calcs.formulas import teeth

PUBLISHED = (Case("ISO 6336-2", "zone and elasticity factors", 3, "memory"),)


@pytest.mark.parametrize(("degrees", "zone"), [(20.0, 2.495), (25.0, 2.285)])
def test_zone_factor(degrees: float, zone: float) -> None:
    assert teeth.zone_factor(math.radians(degrees)) == pytest.approx(zone, abs=1e-3)


def test_elasticity_factor_of_steel_is_189_8() -> None:
    # 206 000 N/mm2, nu 0.3; a pinion on a rack under 1 N on 1 mm of width and diameter leaves Z_H Z_E
    angle = math.radians(20.0)
    found = teeth.contact_pressure_pa(1.0, 1.0, 1.0, 1e12, angle, 206e3, 0.3)
    assert found / teeth.zone_factor(angle) == pytest.approx(189.8, abs=0.05)

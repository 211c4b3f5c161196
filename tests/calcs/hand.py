"""Checks called with plain numbers: the helpers of the tests that are done by hand.

The screw has d2 = 10 mm and lead pi mm, so tan(lambda) = 0.1. Flanks of 60 degrees make a friction of 0.15
tan(phi') = 0.3: tan(phi' + lambda) = 0.4 / 0.97, tan(phi' - lambda) = 0.2 / 1.03; and one of 0.05 just holds.
"""

from __future__ import annotations

from math import pi

from calcs.case import LoadCase, Push
from calcs.check import Check
from calcs.checks.drive import AxialForces
from calcs.finding import Finding
from geometry.units import Band


def same(value: float) -> Band:
    """Give a band without spread."""
    return Band(value, value, value)


def case(name: str = "case", up: float = 1.0, side: float = 0.0, *pushes: Push, shaken: str = "") -> LoadCase:
    """Give a load case without a temperature."""
    return LoadCase(name, up, side, pushes, None, shaken)


LEAD, D2, FLANK = 0.001 * pi, 0.01, pi / 3.0
TILTED = case("tilted", -0.6, 0.8)
PUSHED = case("pushed", 0.6, 0.8, Push(0.0, 0.02, 30.0), Push(0.01, 0.03, 5.0), Push(0.0, 0.01, -40.0))
UP = AxialForces("up", 20.0, Band(1.0, 2.0, 4.0))
DOWN = AxialForces("down", -30.0, Band(3.0, 5.0, 6.0))


def found(check: Check, *numbers: object, **named: object) -> Finding:
    """Call a check's function."""
    finding = check.function(*numbers, **named)
    assert isinstance(finding, Finding)
    return finding


def edges(check: Check, value: float, *before: object, low_passes: bool = False) -> None:
    """Hold a check against limits one part in a thousand to both sides of its value, the last argument."""
    verdicts = [found(check, *before, value * share).verdict for share in (1.001, 0.999)]
    assert verdicts == (["FAIL", "PASS"] if low_passes else ["PASS", "FAIL"])

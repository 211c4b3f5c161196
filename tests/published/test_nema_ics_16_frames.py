"""NEMA ICS 16 square stepper flanges: bolt circles and pilots in inches, from memory, not seen in print."""

from __future__ import annotations

import math

import pytest
from published_cases import Case

from geometry.motor import nema_frames

INCH = 25.4
# Bolt circle and pilot diameter in inches; the holes stand at the corners of a square. Those of the other
# frames are not recalled: tests/geometry holds them by what their holes and pilots must leave of the face.
FRAMES = {
    "NEMA 17": (1.725, 0.866),
    "NEMA 23": (2.625, 1.500),
}
PUBLISHED = (Case("NEMA ICS 16", "bolt circle and pilot of two frames", 2 * len(FRAMES), "memory"),)


@pytest.mark.parametrize("name", FRAMES)
def test_bolt_circle_and_pilot(name: str) -> None:
    circle, pilot = FRAMES[name]
    frame = nema_frames()[name]
    # Makers round to a tenth or a hundredth of a millimetre.
    assert frame.spacing * math.sqrt(2.0) == pytest.approx(circle * INCH, abs=0.05)
    assert frame.pilot_diameter == pytest.approx(pilot * INCH, abs=0.01)


def test_a_frame_is_named_by_its_width_in_tenths_of_an_inch() -> None:
    for name in ("NEMA 8", "NEMA 11", "NEMA 14", "NEMA 17", "NEMA 23"):
        tenths = float(name.removeprefix("NEMA "))
        assert nema_frames()[name].width == pytest.approx(tenths * INCH / 10, abs=2.1)

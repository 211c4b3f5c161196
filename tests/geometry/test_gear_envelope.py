from __future__ import annotations

import math

import pytest

from geometry.bodies import Box, Cylinder, Shape
from geometry.design import Design, read_text
from geometry.frames import Missing
from geometry.gear_envelope import gear_envelope, gear_problems, gear_solid
from geometry.solids import bounding_box, volume_of_solid


def ears(**changes: str) -> Design:
    sizes = {
        "width": "26 mm",
        "depth": "8 mm",
        "thickness": "4 mm",
        "hole": "2.2 mm",
        "spacing": "22 mm",
    } | changes
    text = ", ".join(f'{name} = "{value}"' for name, value in sizes.items())
    return read_text(
        '[motion]\nstroke = "0..5 mm"\nspeed = "10 mm/s"\nmass = "0.1 kg"\n'
        '[screw]\nthread = "M6"\nlength = "30 mm"\n[nut]\nlength = "8 mm"\nfriction = 0.15\n'
        f'[gears]\ndiameter = "16 mm"\nlength = "16 mm"\nears = {{ {text} }}\n'
    )


def test_the_gear_is_a_cylinder_with_drilled_ears() -> None:
    envelope = gear_envelope(ears())
    assert isinstance(envelope, Shape)
    assert envelope.adds == (
        Cylinder("z", (0, 0), 8, (-16, 0)),
        Box((-13, -4, -4), (13, 4, 0)),
    )
    # The plate beyond the circle: its area less the part of the disc between y = -4 and 4.
    inside = 2 * (4 * math.sqrt(64 - 16) + 64 * math.asin(0.5))
    volume = math.pi * 64 * 16 + (26 * 8 - inside) * 4 - 2 * math.pi * 1.1**2 * 4
    solid = gear_solid(ears())
    assert volume_of_solid(solid) == pytest.approx(volume, rel=1e-9)
    low, high = bounding_box(solid)
    assert (*low, *high) == pytest.approx((-13, -8, -16, 13, 8, 0), abs=1e-9)


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"spacing": "24 mm"}, "gears.ears.width", "reach 26.2 mm, over the ears' width of 26 mm"),
        ({"depth": "2 mm"}, "gears.ears.depth", "holes of 2.2 mm do not fit in ears of 2 mm depth"),
        ({"spacing": "18 mm"}, "gears.ears.spacing", "begin 15.8 mm apart, inside the gear's body of 16 mm"),
        ({"thickness": "17 mm"}, "gears.ears.thickness", "ears of 17 mm are thicker than the gear is long"),
    ],
)
def test_ears_that_cannot_be_drilled_are_refused(changes: dict[str, str], field: str, says: str) -> None:
    (problem,) = gear_problems(ears(**changes))
    assert problem.field == field
    assert says in problem.message
    assert problem.repair


def test_a_gear_without_its_length_says_so() -> None:
    design = read_text(
        '[motion]\nstroke = "0..5 mm"\nspeed = "10 mm/s"\nmass = "0.1 kg"\n[screw]\nthread = "M6"\n'
        'length = "30 mm"\n[nut]\nlength = "8 mm"\nfriction = 0.15\n[gears]\nratio = 4\ndiameter = "16 mm"\n'
    )
    assert gear_envelope(design) == Missing(("gears.length",))

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


MOUNT = {
    "pilot_diameter": '"9 mm"',
    "pilot_height": '"1 mm"',
    "pilot_bore": '"8 mm"',
    "bolt": '"M1.6"',
    "bolt_circle": '"12.5 mm"',
    "bolt_holes": "4",
    "bolt_depth": '"2.5 mm"',
}


def mounted(**changes: str | None) -> Design:
    fields = {name: value for name, value in (MOUNT | changes).items() if value is not None}
    text = "\n".join(f"{name} = {value}" for name, value in fields.items())
    return read_text(
        '[motion]\nstroke = "0..5 mm"\nspeed = "10 mm/s"\nmass = "0.1 kg"\n'
        '[screw]\nthread = "M6"\nlength = "30 mm"\n[nut]\nlength = "8 mm"\nfriction = 0.15\n'
        f'[gears]\ndiameter = "16 mm"\nlength = "16 mm"\n[gears.mount]\n{text}\n'
    )


def test_a_mounting_face_has_its_pilot_and_the_core_holes_of_its_thread() -> None:
    assert gear_problems(mounted()) == ()
    pilot = math.pi * (4.5**2 - 4.0**2)
    holes = 4 * math.pi * 0.625**2 * 2.5  # M1.6: 1.6 less its pitch of 0.35
    solid = gear_solid(mounted())
    assert volume_of_solid(solid) == pytest.approx(math.pi * 64 * 16 + pilot - holes, rel=1e-9)
    assert bounding_box(solid)[1][2] == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"pilot_bore": None}, "gears.mount", "the pilot lacks pilot_bore"),
        ({"bolt_depth": None, "bolt": None}, "gears.mount", "the mounting holes lack bolt and bolt_depth"),
        ({"pilot_bore": '"9 mm"'}, "gears.mount.pilot_bore", "leaves nothing of a pilot of 9 mm"),
        ({"bolt": '"M1.7"'}, "gears.mount.bolt", "M1.7"),
        ({"bolt_circle": '"15 mm"'}, "gears.mount.bolt_circle", "reaches 16.6 mm, over the gear's 16 mm"),
        ({"bolt_circle": '"10 mm"'}, "gears.mount.bolt_circle", "runs into the pilot of 9 mm"),
        ({"bolt_depth": '"16 mm"'}, "gears.mount.bolt_depth", "go through a gear of 16 mm"),
        ({"bolt_holes": "30"}, "gears.mount.bolt_holes", "30 holes M1.6 on 12.5 mm run together: 1.31 mm"),
    ],
)
def test_a_mounting_face_without_room_is_refused(
    changes: dict[str, str | None], field: str, says: str
) -> None:
    (problem,) = gear_problems(mounted(**changes))
    assert problem.field == field
    assert says in problem.message
    assert problem.repair

from __future__ import annotations

import math
from pathlib import Path

import pytest

from geometry.bodies import Cylinder, Shape
from geometry.cable import cable_envelope, cable_length
from geometry.design import Design, read, read_text
from geometry.errors import ShapeError
from geometry.frames import Missing, required
from geometry.motor import (
    encoder_envelope,
    motor_envelope,
)
from geometry.motor_problems import motor_problems
from geometry.solids import bounding_box, solid_of, volume_of_solid

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"


def edited(*changes: tuple[str, str]) -> Design:
    text = DEMO.read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return read_text(text)


def cable(direction: str) -> Design:
    return edited(("direction = [0, 0, -1]  ", f"direction = {direction}  "))


def test_the_cable_needs_eighteen_millimetres_behind_the_encoder() -> None:
    assert cable_length(read(DEMO)) == 18.0
    assert cable_envelope(read(DEMO)) == Shape((Cylinder("z", (0, 0), 1.5, (-72, -54)),))


@pytest.mark.parametrize(
    ("direction", "piece"),
    [
        ("[1, 0, 0]", Cylinder("x", (0, -52.5), 1.5, (7.75, 25.75))),
        ("[-2, 0, 0]", Cylinder("x", (0, -52.5), 1.5, (-25.75, -7.75))),
        ("[0, 1, 0]", Cylinder("y", (0, -52.5), 1.5, (7.75, 25.75))),
        ("[0, -1, 0]", Cylinder("y", (0, -52.5), 1.5, (-25.75, -7.75))),
    ],
)
def test_a_cable_may_leave_sideways_beside_the_rear_face(direction: str, piece: Cylinder) -> None:
    assert cable_envelope(cable(direction)) == Shape((piece,))


def test_a_cable_that_leaves_into_the_motor_is_refused() -> None:
    (forward,) = motor_problems(cable("[0, 0, 1]"))
    assert "into the motor" in forward.message
    (leaning,) = motor_problems(cable("[0, 1, 1]"))
    assert "along [0, 0.707, 0.707], into the motor" in leaning.message
    assert motor_problems(read(DEMO)) == ()


def test_without_an_encoder_the_cable_leaves_the_motor() -> None:
    text = DEMO.read_text(encoding="utf-8")
    start, end = text.index("[motor.encoder]"), text.index("[supply]")
    design = read_text(text[:start] + text[end:])
    assert cable_envelope(design) == Shape((Cylinder("z", (0, 0), 1.5, (-64, -46)),))


def test_the_solids_are_the_envelopes() -> None:
    design = read(DEMO)
    motor, encoder, cable = (
        solid_of(required(envelope(design), "part"))
        for envelope in (motor_envelope, encoder_envelope, cable_envelope)
    )
    assert volume_of_solid(motor) == pytest.approx(math.pi * 64 * 30, rel=1e-9)
    assert volume_of_solid(encoder) == pytest.approx(math.pi * 7.75**2 * 8, rel=1e-9)
    assert volume_of_solid(cable) == pytest.approx(math.pi * 1.5**2 * 18, rel=1e-9)
    low, high = bounding_box(encoder)
    assert (*low, *high) == pytest.approx((-7.75, -7.75, -54, 7.75, 7.75, -46), abs=1e-9)


def test_what_a_motor_lacks_is_named() -> None:
    design = edited(('kind = "brushed"\ndiameter = "16 mm"\nlength = "30 mm"', 'kind = "brushed"'))
    assert motor_envelope(design) == Missing(("motor.length", "motor.diameter"))
    assert encoder_envelope(design) == Missing(("motor.length",))
    assert cable_envelope(design) == Missing(("motor.length",))
    with pytest.raises(ShapeError, match=r"give motor\.length, motor\.diameter"):
        required(motor_envelope(design), "motor")

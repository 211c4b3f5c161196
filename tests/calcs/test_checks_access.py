"""Room for drivers and connectors, by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from demo_rows import DEMO, changed, rows

from calcs.checks.access import access
from calcs.checks.service import piece_spans
from geometry.bodies import Body, Box, Cylinder, FileShape, Posed, Shape
from geometry.design_sections import Access

PLACE = 'position = ["11 mm", "0 mm", "-4 mm"]'
LEFT = DEMO[DEMO.index('[[service.driver]]\nname = "left') : DEMO.index("[clearance]")]
ONE = (LEFT, "")
THIN = ('diameter = "4 mm"\nlength = "4.9 mm"', 'diameter = "1 mm"\nlength = "5.9 mm"')


def at(x: str, y: str, z: str) -> tuple[str, str]:
    return PLACE, f'position = ["{x}", "{y}", "{z}"]'


def along(x: int, y: int, z: int) -> tuple[str, str]:
    return "direction = [0, 0, -1]\ndiameter", f"direction = [{x}, {y}, {z}]\ndiameter"


def test_the_ears_screws_are_reached_past_the_motor_with_the_floor_off() -> None:
    row = rows()["service.access"]
    assert row.verdict == "PASS"
    assert row.value == pytest.approx(1.0)  # 11 - 8 - 2
    assert row.note == (
        "right ear's driver passes motor at 1 mm; right ear's driver: only with floor off; "
        "left ear's driver: only with floor off"
    )


def test_a_thicker_driver_does_not_pass() -> None:
    row = rows(ONE, ('diameter = "4 mm"\nlength = "60 mm"', 'diameter = "8 mm"\nlength = "60 mm"'))
    assert row["service.access"].verdict == "FAIL"
    assert row["service.access"].value == pytest.approx(-1.0)
    assert row["service.access"].remedy == "motor 1 mm away, or a thinner or shorter tool"


@pytest.mark.parametrize(
    ("place", "direction", "gap"),
    [
        (("16 mm", "0 mm", "-4 mm"), (0, 0, -1), 2.0),  # to the right wall's face at 20
        (("16 mm", "14 mm", "-4 mm"), (0, 0, -1), 2.0),  # to that wall and to the front one alike
        (
            ("0 mm", "14 mm", "-30 mm"),
            (1, 0, 0),
            -6.0,
        ),  # through the right wall, 6 from the end of it at y 18
        (("0 mm", "0 mm", "-30 mm"), (0, 0, -1), -10.0),  # starts in the motor
    ],
)
def test_distances(place: tuple[str, str, str], direction: tuple[int, int, int], gap: float) -> None:
    row = rows(ONE, at(*place), along(*direction))["service.access"]
    assert row.value == pytest.approx(gap), row.note


def test_a_connector_is_judged_with_the_drivers_and_the_way_to_a_cover_is_no_gap() -> None:
    plug = ("direction = [0, 0, -1]         # leaves", "direction = [0, 0, -1] # leaves")
    right = DEMO[DEMO.index('[[service.driver]]\nname = "right') : DEMO.index(LEFT)]
    connector = (
        right.replace("service.driver", "service.connector").replace("-4 mm", "130 mm").replace("-1]", "1]")
    )
    alone = rows(plug, ONE, (right, connector))["service.access"]
    assert (alone.verdict, alone.value) == ("PASS", None)
    assert alone.note == "nothing stands beside them"


def test_what_moves_may_stand_at_either_end() -> None:
    # past the carriage's corner at z 30 to 40: blocked at s = -4, free with the carriage 64 mm further
    over = rows(ONE, at("13 mm", "10 mm", "45 mm"), along(0, 0, -1), ('length = "60 mm"', 'length = "15 mm"'))
    assert over["service.access"].value > 0.0  # type: ignore[operator]  # a number


def test_a_direction_along_no_axis_is_not_checked() -> None:
    row = rows(ONE, along(0, 1, 1))["service.access"]
    assert (row.verdict, row.note) == ("NOT CHECKED", "right ear's driver goes along no axis")


def test_a_file_is_not_seen() -> None:
    bodies, drivers = (changed().find(name) for name in ("bodies", "drivers"))
    assert bodies is not None
    assert drivers is not None
    file = Body("shell", "housing", moves=False, shape=FileShape("shell.stl"))
    found = access.function((*bodies.value, file), 0.0, 0.06, drivers.value)
    assert found.verdict == "NOT CHECKED"
    assert "shell is a file and not seen here" in found.note


def test_a_hole_lets_a_tool_through() -> None:
    inside = rows(ONE, at("0 mm", "0 mm", "118 mm"), along(0, 0, -1), ('length = "60 mm"', 'length = "4 mm"'))
    # the screw's end at 113 is 1 mm below the driver's tip; its way to the lid is a cover's
    assert inside["service.access"].value == pytest.approx(1.0)
    bored = ('length = "60 mm"', 'length = "4.9 mm"')
    plate = rows(ONE, at("0 mm", "3.5 mm", "7 mm"), along(0, 0, -1), bored, THIN)["service.access"]
    assert plate.value == pytest.approx(0.5)  # in the bore of 5, and beside the journal of 2.5


def test_without_tools_there_is_nothing_to_say() -> None:
    right = DEMO[DEMO.index('[[service.driver]]\nname = "right') : DEMO.index("[clearance]")]
    row = rows((right, ""))["service.access"]
    assert (row.verdict, row.note) == ("INFO", "no [[service.driver]] and no [[service.connector]]")


def test_a_piece_askew_counts_with_the_box_around_its_own_box() -> None:
    # 18 long along (0, 0.6, -0.8), its own y along (0, -0.8, -0.6), radius 1.5
    askew = Posed(Cylinder("z", (0.0, 0.0), 1.5, (0.0, 18.0)), (0, 0, -54), (0.0, 0.6, -0.8), (1.0, 0.0, 0.0))
    assert np.array(piece_spans(askew, (-4.0, 64.0))) == pytest.approx(
        np.array([(-1.5, 1.5), (-1.2, 12.0), (-69.3 - 4.0, -53.1 + 64.0)])
    )


def tool(x: float, top: float, length: float, diameter: float, down: bool = True) -> Access:
    """A tool along z, at y = 0."""
    return Access.model_construct(
        name="driver",
        position=(x, 0.0, top),
        direction=(0.0, 0.0, -1.0 if down else 1.0),
        diameter=diameter,
        length=length,
    )


PLATE = Body(
    "plate",
    "housing",
    moves=False,
    shape=Shape(
        (Box((-10.0, -20.0, 0.0), (10.0, 20.0, 2.0)),), (Cylinder("z", (0.0, 0.0), 5.0, (0.0, 2.0)),)
    ),
)


@pytest.mark.parametrize(
    ("driver", "gap_mm"),
    [
        (tool(1.0, 10.0, 12.0, 6.0), 1.0),  # through the hole: 5 less 1 less 3
        (tool(-1.5, -8.0, 12.0, 6.0, down=False), 0.5),
        (tool(20.0, 10.0, 12.0, 4.0), 8.0),  # beside the plate
        (tool(16.0, 10.0, 4.0, 4.0), math.hypot(4.0, 4.0)),  # 4 beside it and 4 above it
        (tool(15.0, -10.0, 6.0, 4.0, down=False), 5.0),  # 3 beside it and 4 below it
        (tool(8.0, 10.0, 4.0, 2.0), 4.0),  # 4 above it
        (tool(9.0, 10.0, 9.0, 4.0), -1.0),  # 1 into it, though 3 across
        (tool(9.0, 10.0, 12.0, 4.0), -3.0),  # through it: 3 across to be free
    ],
)
def test_room_beside_before_and_within_a_bored_plate(driver: Access, gap_mm: float) -> None:
    found = access.function((PLATE,), 0.0, 0.0, (driver,))
    assert found.value == pytest.approx(gap_mm / 1e3, abs=1e-12)


def test_the_corner_of_a_box_is_as_far_as_it_is() -> None:
    post = Body("post", "housing", moves=False, shape=Shape((Box((3.0, 4.0, 0.0), (9.0, 9.0, 2.0)),)))
    found = access.function((post,), 0.0, 0.0, (tool(0.0, 10.0, 12.0, 2.0),))
    assert found.value == pytest.approx(0.004)  # 3, 4, 5 less 1


def test_only_a_cover_in_the_way_has_to_come_off() -> None:
    drivers = (tool(1.0, 10.0, 12.0, 6.0),)
    lid = Body("lid", "cover", moves=False, shape=Shape((Box((-9.0, -9.0, 5.0), (9.0, 9.0, 6.0)),)))
    aside = Body("hood", "cover", moves=False, shape=Shape((Box((30.0, -9.0, 5.0), (39.0, 9.0, 6.0)),)))
    file = Body("cap", "cover", moves=False, shape=FileShape("cap.stl"))
    assert access.function((PLATE, lid, aside, file), 0.0, 0.0, drivers).note.startswith(
        "driver passes plate at 1 mm; driver: only with lid off"
    )
    assert "only with" not in access.function((PLATE, aside), 0.0, 0.0, drivers).note

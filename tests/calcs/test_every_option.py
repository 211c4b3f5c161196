"""No option that does nothing: every number of the design file is read by a check, a body or an output."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import pytest
from demo_rows import DEMO

from calcs.case import Case, case_of
from calcs.case_fields import FIELDS
from calcs.check import Check, known_checks, run_check
from calcs.result import Result
from calcs.variation import Dial, dials_of
from geometry.design import Design, read_text
from geometry.design_schema import all_sections, marker

ROOT = Path(__file__).parents[2]
TURNED = (1.07, 0.5, 2.0, 0.1, 10.0)  # times itself; a number may stand where little of it does not matter

# Fields that are read by the rules of the file alone, and why that is enough.
ONLY_A_RULE = {
    "screw.lead": "a second statement of the designation: the file is refused where they differ",
}


Said = tuple[object, ...]
WORDS = {  # words, choices and lists among what checks ask for
    "turning_part", "travelling_part", "without_power", "allowed_lengths", "screw_material", "screw_grade",
    "seal_kind", "near_end", "far_end", "nut_end", "nut_material", "guide_kind", "rod_material", "brake_on",
    "motor_frame",
    "motor_square_m",  # its number shapes the body; checks ask only whether there is one
    "stages",
    "spur",
    "drivers",
    "connectors",
    "mount_bolt", "motor_kind", "torque_table", "cable_direction", "general_tolerance", "gap_name",
    "housing_material", "held_material",
}  # fmt: skip


def numbers() -> list[str]:
    """Every field of the schema that is a number, a quantity, a range or a band."""
    found = []
    for section, kind in all_sections(Design):
        for name in kind.model_fields:
            field = marker(kind, name)
            if field is not None and (
                "number" in str(field.json) or "title" in field.json or "integer" in str(field.json)
            ):
                found.append(f"{section}.{name}".lstrip("."))
    return found


@cache
def attributes() -> frozenset[str]:
    """Every attribute that a module beside the design file's own asks something for."""
    found: set[str] = set()
    for folder in ("geometry", "calcs", "exports"):
        for path in (ROOT / folder).rglob("*.py"):
            if not path.stem.startswith("design") and not path.stem.endswith("_problems"):
                tree = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
                found |= {node.attr for node in tree if isinstance(node, ast.Attribute)}
    return frozenset(found)


def test_every_number_is_read_outside_the_file() -> None:
    for_checks = {field.removesuffix(".low").removesuffix(".high") for field in FIELDS.values()}
    others = [dotted for dotted in numbers() if dotted not in for_checks]
    assert len(others) > 100
    unread = {dotted for dotted in others if dotted.rpartition(".")[2] not in attributes()}
    assert unread == set(ONLY_A_RULE)


# Together these designs give every number that a check asks for: what is added to a section of the demo.
SLIDING = {
    "motion": ['repeatability = "0.05 mm"', 'accuracy = "0.1 mm"'],
    "nut": [
        'play = "0.05 mm"', 'strength = "60 MPa"', 'lubricant = "-20..80 degC"', 'force_momentary = "400 N"',
    ],
    "screw": ['strength = "300 MPa"', 'lead_error = "0.1 mm"'],
    "ends": [
        'thrust_continuous = "50 N"', 'thrust_momentary = "600 N"', 'bearing_dynamic = "1.2 kN"',
        'collar_diameter = "7 mm"', 'collar_friction = "0.08..0.12..0.16"',
    ],
    "guide": ['play = "0.02 mm"', 'reaction_arm = "21 mm"', 'side_limit = "150 N"', 'moment_limit = "2 N*m"'],
    "stops": ['hysteresis = "0.1 mm"', 'current_limit = "0.45 A"'],
    "supply": ['current_limit = "1.5 A"'],
    "gears": [
        'speed_limit = "9000 rpm"', 'tooth_strength = "200 MPa"', 'tooth_pressure = "600 MPa"',
        'life = "1000 h"', 'inertia = "0.05 g*cm2"', 'ratio = 4.0',
        'mount = { bolt = "M1.6", bolt_circle = "13 mm", '
        'bolt_holes = 3, bolt_depth = "2 mm", bolt_strength = "450 MPa" }',
    ],
    "motor": [
        'thermal_time_constant = "6 s"', 'thermal_time_constant_housing = "300 s"',
        'current_continuous = "0.3 A"',
        'speed_limit = "9000 rpm"', 'life = "3000 h"', 'life_turns = 300000000',
        'detent_torque = "0.5 mN*m"',
    ],
    "thermal": ['diameter = "12 mm"', 'play = "10 um"'],
}  # fmt: skip
COUPLED = """
[coupling]
inertia = "2 g*cm2"
backlash = "0.2 deg"
torque = "20 mN*m"
stiffness = "2 N*m/rad"

[brake]
torque = "10 mN*m"
travel = "5 deg"
inertia = "0.1 g*cm2"
"""


BALLS = {
    "nut": [
        'balls = { dynamic_load = "2.1 kN", static_load = "3 kN", circle = "8.3 mm", preload = "20 N", '
        "load_factor = 1.3, speed_value = 60000 }",
    ],
    "motor": [
        'voltage = "12 V"', 'no_load_speed = "9930 rpm"', 'no_load_current = "15 mA"',
        'stall_torque = "14 mN*m"', 'stall_current = "1.26 A"',
    ],
}  # fmt: skip
SPRUNG = {
    "nut": ['spring = "20 N"'],
    "motor": ["steps = 200", 'inductance = "3 mH"', 'current_continuous = "0.5 A"'],
}
DRAGGED = {"nut": ['drag = "1 mN*m"']}
TABLE = (
    'torque_table = [{ speed = "0 rpm", torque = "40 mN*m" }, { speed = "6000 rpm", torque = "10 mN*m" }]\n'
)
BELLOWS = """
[seal]
kind = "bellows"
diameter = "16 mm"
bore = "9 mm"
length = "8 mm"
extended = "76 mm"
"""
ROD = """
[seal]
kind = "lip"
diameter = "16 mm"
bore = "9 mm"
length = "4 mm"
drag = "1 mN*m"

[push_rod]
diameter = "14 mm"
length = "105 mm"
bore = "9 mm"
strength = "350 MPa"

[push_rod.guide]
bore = "14.05 mm"
diameter = "20 mm"
length = "10 mm"
position = "113 mm"
"""


def with_lines(text: str, sections: dict[str, list[str]]) -> str:
    for section, lines in sections.items():
        head = f"[{section}]\n"
        assert head in text
        text = text.replace(head, head + "".join(f"{line}\n" for line in lines), 1)
    return text


def replaced(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


@cache
def designs() -> tuple[Case, ...]:
    """A sliding, a ball, a sprung and a dragged nut; four ways to give a motor."""
    widths = ('module = "0.3 mm"', 'module = "0.3 mm"\nwidth = "4 mm"')
    sliding = replaced(with_lines(DEMO, SLIDING) + COUPLED, widths)
    by_stall = [
        (f"{name} = ", f"# {name} = ") for name in ("resistance", "torque_constant", "no_load_current")
    ]
    balls = replaced(
        DEMO, *by_stall, ("Tr8x1.5", "Ball8x2"), ('"0.08..0.15..0.20"', '"0.003..0.005..0.010"'),
        ('stroke = "0..60 mm"', 'stroke = "1..60 mm"'), ('near_bearing = "0 mm"', 'near_bearing = "1 mm"'),
    )  # fmt: skip
    sprung = replaced(
        DEMO, *by_stall, ('kind = "brushed"', f'kind = "stepper"\n{TABLE}'), ("counts", "# counts")
    )
    texts = (
        sliding,
        with_lines(balls, BALLS),
        with_lines(sprung, SPRUNG) + BELLOWS,
        with_lines(DEMO, DRAGGED) + ROD,
    )
    return tuple(case_of(read_text(text)) for text in texts)


NAMES = [name for name in FIELDS if name not in WORDS]


@cache
def turnable() -> dict[str, list[tuple[Case, Dial]]]:
    found: dict[str, list[tuple[Case, Dial]]] = {}
    for case in designs():
        for dial in dials_of(case):
            found.setdefault(dial.name, []).append((case, dial))
    return found


@cache
def answer(check: Check, case: Case) -> Said:
    return said(run_check(check, case))


def said(row: Result) -> Said:
    """What a row says, without the list of its inputs."""
    return row.verdict, row.value, row.limit, row.margin, row.note, row.remedy


@pytest.mark.parametrize("name", NAMES)
def test_every_number_that_checks_ask_for_changes_a_row(name: str) -> None:
    assert name in turnable(), "no design here gives it"
    for case, dial in turnable()[name]:
        asking = [c for c in known_checks() if any(name in case.reach(n) for n in c.names)]
        for times in TURNED:
            if not dial.factors[0] <= times <= dial.factors[1]:
                continue
            turned = case.changed(name, dial.put(dial.value * times))
            if any(answer(c, case) != said(run_check(c, turned)) for c in asking):
                return
    raise AssertionError(f"{FIELDS[name]} does nothing")

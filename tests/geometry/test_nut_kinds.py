from __future__ import annotations

import math
from typing import Any

import pytest

from calcs.case import shape_in_metres
from calcs.mass import shape_properties
from exports.part_meshes import part_mesh
from geometry.bodies import Body, Contact, Shape
from geometry.design import Design, read_text
from geometry.meshes import mesh_faults, signed_volume
from geometry.nut import half_solid, nut_envelope, nut_solid, spring_envelope
from geometry.nut_problems import nut_problems
from geometry.placed import place
from geometry.solids import bounding_box, volume_of_solid
from geometry.stack import arrangement_of, contacts_of
from geometry.thread_ends import threaded_bore
from geometry.thread_properties import threaded_solid
from geometry.threads import thread

BASE = """
[motion]
stroke = "0..5 mm"
speed = "10 mm/s"
mass = "0.1 kg"
[screw]
thread = "Tr8x1.5"
length = "40 mm"
[nut]
friction = 0.15
position = "15.13 mm"
length = "8 mm"
material = "POM"
"""
FLANGE = 'kind = "flanged"\nbody_diameter = "12 mm"\nflange_diameter = "24 mm"\nflange_thickness = "3 mm"'
BOLTS = 'bolt_circle = "17 mm"\nbolt_holes = 4'
SEGMENT = 12**2 * (math.acos(9 / 12) - 9 / 12 * math.sin(math.acos(9 / 12)))  # of a disc of 24, flat at 9


def design(*lines: str) -> Design:
    return read_text("\n".join((BASE, *lines)))


def half_disc(radius: float, distance: float) -> float:
    angle = math.acos(distance / radius)
    return radius**2 * (angle - math.sin(angle) * math.cos(angle))


KINDS = {
    "flats": (
        ('body_diameter = "14 mm"', 'across_flats = "12 mm"'),
        (math.pi * 49 - 2 * half_disc(7, 6)) * 8,
    ),
    "key": (
        ('body_diameter = "14 mm"', 'key = { width = "4 mm", height = "1.5 mm" }'),
        # The rib stands on the chord of its width, above the disc's segment.
        (math.pi * 49 + 4 * (8.5 - math.sqrt(45)) - half_disc(7, math.sqrt(45))) * 8,
    ),
    "square": (('kind = "square"', 'across_flats = "13 mm"'), 169 * 8),
    "turned square": (
        ('kind = "square"', 'across_flats = "13 mm"', 'body_diameter = "15 mm"'),
        (math.pi * 7.5**2 - 4 * half_disc(7.5, 6.5)) * 8,
    ),
    "two-sided flange": (
        (FLANGE, BOLTS, 'bolt_hole = "2.4 mm"', 'flange_flats = "18 mm"'),
        math.pi * 36 * 5 + (math.pi * 144 - 2 * SEGMENT - 4 * math.pi * 1.44) * 3,
    ),
    "flange for cap screws": (
        (FLANGE, BOLTS, 'bolt = "M3"', 'bolt_fit = "medium"'),
        math.pi * 36 * 5 + (math.pi * 144 - 4 * math.pi * 1.7**2) * 3,
    ),
    "tapped flange": (
        (FLANGE, BOLTS, 'bolt = "M3"', 'flange = "toward motor"'),
        math.pi * 36 * 5 + (math.pi * 144 - 4 * math.pi * 1.25**2) * 3,
    ),
}


def is_one_valid_solid(solid: Any) -> bool:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TopAbs import TopAbs_ShapeEnum

    return bool(solid.ShapeType() == TopAbs_ShapeEnum.TopAbs_SOLID and BRepCheck_Analyzer(solid).IsValid())


def void(low: float, high: float) -> float:
    bore = threaded_bore(thread("Tr8x1.5"), low, high, ends="chamfered")
    return threaded_solid(bore).volume_mm3


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_is_one_valid_solid_and_a_closed_mesh_of_its_closed_form(name: str) -> None:
    lines, outer = KINDS[name]
    made = design(*lines)
    assert nut_problems(made) == ()
    light, detailed = nut_solid(made, detailed=False), nut_solid(made, detailed=True)
    assert is_one_valid_solid(light)
    assert is_one_valid_solid(detailed)
    plain = math.pi / 4 * thread("Tr8x1.5").internal_major_diameter_mm ** 2 * 8
    assert volume_of_solid(light) == pytest.approx(outer - plain, rel=1e-9)
    assert volume_of_solid(detailed) == pytest.approx(outer - void(15.13, 23.13), rel=1e-6)
    envelope = nut_envelope(made)
    assert isinstance(envelope, Shape)
    mass = shape_properties(shape_in_metres(envelope), 1e9)  # 1 kg per mm3
    assert mass.mass_kg == pytest.approx(outer - plain, rel=1e-12)
    for corner, other in zip(bounding_box(light), bounding_box(detailed), strict=True):
        assert corner == pytest.approx(other, abs=1e-6)
    (nut,) = (body for body in place(made).bodies if body.body.name == "nut")
    mesh = part_mesh(made, nut, 0.005)
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(outer - void(15.13, 23.13), rel=0.005)


SECOND = """
[nut.second]
length = "5 mm"
spring_length = "4 mm"
spring_diameter = "11 mm"
spring_bore = "9 mm"
spring_mass = "0.8 g"
"""


def bodies(made: Design) -> dict[str, Body]:
    return {body.name: body for body in arrangement_of(made).bodies}


@pytest.mark.parametrize(
    ("flange", "half", "spring"),
    [
        ("away from motor", (6.13, 11.13), (11.13, 15.13)),
        ("toward motor", (27.13, 32.13), (23.13, 27.13)),
    ],
)
def test_the_second_half_and_its_spring_lie_behind_the_flange(
    flange: str, half: tuple[float, float], spring: tuple[float, float]
) -> None:
    made = design(FLANGE, f'flange = "{flange}"', SECOND)
    found = bodies(made)
    assert all(found[name].moves for name in ("nut", "nut_half", "nut_spring"))
    assert found["nut_half"].material == "POM"
    assert found["nut_spring"].mass_kg == pytest.approx(8e-4)
    envelope = spring_envelope(made)
    assert isinstance(envelope, Shape)
    assert envelope.adds[0].span == pytest.approx(spring)  # type: ignore[union-attr]  # a tube
    detailed = half_solid(made, detailed=True)
    assert is_one_valid_solid(detailed)
    assert is_one_valid_solid(half_solid(made, detailed=False))
    assert volume_of_solid(detailed) == pytest.approx(math.pi * 36 * 5 - void(*half), rel=1e-6)
    (placed,) = (body for body in place(made).bodies if body.body.name == "nut_half")
    assert mesh_faults(part_mesh(made, placed, 0.005)) == ()
    assert contacts_of(made) == (
        Contact("nut", "screw"),
        Contact("nut_half", "screw"),
        Contact("nut", "nut_spring"),
        Contact("nut_half", "nut_spring"),
    )


def test_a_nut_without_a_body_leaves_none_and_no_contact() -> None:
    made = design('kind = "none"')
    assert list(bodies(made)) == ["screw"]
    assert arrangement_of(made).unplaced == ()
    assert contacts_of(made) == ()


@pytest.mark.parametrize(
    ("lines", "field", "says"),
    [
        (
            ('body_diameter = "14 mm"', 'across_flats = "8.5 mm"'),
            "nut.across_flats",
            "write an across_flats above",
        ),
        (('body_diameter = "14 mm"', 'across_flats = "15 mm"'), "nut.across_flats", "below 14 mm"),
        (
            (
                'body_diameter = "14 mm"',
                'across_flats = "12 mm"',
                'key = { width = "4 mm", height = "1 mm" }',
            ),
            "nut.key",
            "leave out key or across_flats",
        ),
        (
            ('body_diameter = "14 mm"', 'key = { width = "14 mm", height = "1 mm" }'),
            "nut.key.width",
            "below 14 mm",
        ),
        (
            ('kind = "square"', 'across_flats = "13 mm"', 'body_diameter = "13 mm"'),
            "nut.body_diameter",
            "above 13 mm",
        ),
        (('kind = "square"', 'across_flats = "13 mm"', 'bolt = "M3"'), "nut.bolt", 'kind = "flanged"'),
        ((FLANGE, 'flange_flats = "25 mm"'), "nut.flange_flats", "below 24 mm"),
        ((FLANGE, 'flange_flats = "8.5 mm"'), "nut.flange_flats", "write flange_flats above"),
        (
            (FLANGE, BOLTS, 'bolt_hole = "2.4 mm"', 'flange_flats = "14 mm"'),
            "nut.flange_flats",
            "above 14.42 mm",
        ),
        ((FLANGE, BOLTS, 'bolt_hole = "2.4 mm"', 'bolt = "M3"'), "nut.bolt", "keep bolt_hole or bolt"),
        ((FLANGE, BOLTS, 'bolt = "Q3"'), "nut.bolt", ""),
        ((FLANGE, BOLTS), "nut", "bolt_hole (or bolt)"),
        ((FLANGE, BOLTS, 'bolt_fit = "fine"', 'bolt_hole = "2.4 mm"'), "nut.bolt_fit", 'write bolt = "M3"'),
        ((FLANGE, BOLTS, 'bolt = "M4x0.5"', 'bolt_fit = "fine"'), "nut.bolt", "take one of M1.6"),
        (
            (FLANGE.replace("24", "22"), BOLTS, 'bolt = "M3"', 'bolt_fit = "coarse"'),
            "nut.bolt_circle",
            "bolt_circle of 16.5 mm or less",
        ),
        (
            (FLANGE, SECOND.replace('"9 mm"', '"7.5 mm"')),
            "nut.second.spring_bore",
            "spring_bore above 8 mm",
        ),
        (
            (FLANGE, SECOND.replace('"9 mm"', '"11 mm"')),
            "nut.second.spring_diameter",
            "spring_diameter above 11 mm",
        ),
        (('kind = "none"', 'body_diameter = "12 mm"'), "nut.body_diameter", "leave body_diameter out"),
    ],
)
def test_what_cannot_be_built_is_refused_with_its_repair(
    lines: tuple[str, ...], field: str, says: str
) -> None:
    (problem,) = nut_problems(design(*lines))
    assert problem.field == field
    assert says in problem.repair


def test_the_repairs_of_wrong_flats_are_enough() -> None:
    holes = design(FLANGE, BOLTS, 'bolt_hole = "2.4 mm"', 'flange_flats = "14.43 mm"')
    assert nut_problems(holes) == ()
    assert nut_problems(design('body_diameter = "14 mm"', 'across_flats = "13.9 mm"')) == ()

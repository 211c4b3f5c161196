"""A material's name that no table knows is said, with the one that was meant."""

from __future__ import annotations

import pytest
from demo_rows import rows

from calcs.checks import plausible
from calcs.finding import Finding
from calcs.materials import nearest_material
from geometry.bodies import Body, Box, Shape

BLOCK = Shape((Box((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)),))


def found(*bodies: Body, **named: str) -> Finding:
    made: Finding = plausible.known_materials.function(bodies, **named)
    return made


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("stainless 1.4301", "stainless steel"),  # the longest of the names in it, not steel
        ("carbon steel C45", "steel"),
        ("brasss", "brass"),
        ("Alumnium", "aluminium"),
        ("FR4", ""),
    ],
)
def test_an_unknown_name_is_told_the_nearest(typed: str, meant: str) -> None:
    assert nearest_material(typed) == meant


def test_a_screw_of_an_unknown_material_is_said_and_asked_for() -> None:
    made = rows(('material = "steel"', 'material = "stainless 1.4301"'))
    row = made["plausible.materials"]
    assert (row.verdict, row.value) == ("WARN", 1.0)
    assert row.note == 'not known: screw.material "stainless 1.4301"'
    assert row.remedy == 'write "stainless steel", or one of `strokebox known materials`'
    assert "a known screw.material" in made["strength.buckling"].missing


def test_a_material_that_is_not_given_is_asked_for_by_its_field() -> None:
    assert "nut.material" in rows(('material = "POM"', ""))["life.material_pressure"].missing


def test_known_materials_are_named() -> None:
    row = rows()["plausible.materials"]
    assert (row.verdict, row.value, row.note) == ("PASS", 4.0, "POM, aluminium, stainless steel, steel")


def test_a_body_is_named_by_its_field_or_its_name() -> None:
    own = Body("motor_cover", "actuator", False, BLOCK, part_of_actuator=True, material="tin")
    made = found(own, Body("jaw", "load", True, BLOCK, material="FR4"), held_material="oak")
    assert made.note == (
        'not known: thermal.against "oak", motor_cover.material "tin", material of jaw "FR4"'
    )
    assert (made.value, made.remedy) == (3.0, "see `strokebox known materials`")


def test_a_body_with_a_mass_may_be_of_anything() -> None:
    made = found(Body("jaw", "load", True, BLOCK, material="FR4", mass_kg=0.1))
    assert (made.verdict, made.value, made.note) == ("INFO", None, "none is named")
    assert found(screw_material="steel", nut_material="steel").value == 1.0


def test_two_near_names_are_both_given() -> None:
    made = found(screw_material="brasss", nut_material="Peeek", rod_material="brasss")
    assert made.remedy == 'write "brass" or "PEEK", or one of `strokebox known materials`'

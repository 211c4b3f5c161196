from __future__ import annotations

from pathlib import Path

import pytest

import strokebox
from exports.assembly import assembly_tree, group_of, prefix
from exports.demo import FIRST, demo_texts
from geometry.design import read_text
from geometry.placed import place

DESIGN = read_text(demo_texts()[FIRST], FIRST)


def test_parts_stand_in_the_group_of_what_they_do() -> None:
    groups = {placed.body.name: group_of(placed.body) for placed in place(DESIGN).bodies}
    assert groups["motor"] == groups["gear"] == groups["encoder"] == "standing"
    assert groups["screw"] == "turning"
    assert groups["nut"] == groups["flag"] == "moving"
    assert groups["cable"] == "room"
    assert groups["rib"] == groups["pcb"] == "surroundings"


def test_the_housing_is_there_only_when_asked_for() -> None:
    placement = place(DESIGN)
    alone = assembly_tree(DESIGN, placement, detailed=False, with_housing=False)
    whole = assembly_tree(DESIGN, placement, detailed=False, with_housing=True)
    assert [group.name for group in alone.children] == [
        "VL-100_standing", "VL-100_turning", "VL-100_moving", "VL-100_room",
    ]  # fmt: skip
    assert whole.children[-1].name == "VL-100_surroundings"
    assert len(whole.children[-1].children) == 16


def test_names_of_two_designs_do_not_repeat() -> None:
    other = read_text(demo_texts()["vial-lift-rib.toml"], "rib.toml")
    assert prefix(DESIGN) != prefix(other)
    unnumbered = read_text(demo_texts()[FIRST].replace('number = "VL-100"', ""), "my lift.toml")
    assert prefix(unnumbered) == "my-lift"


def test_build_gives_a_cadquery_assembly_of_valid_solids(tmp_path: Path) -> None:
    path = tmp_path / FIRST
    path.write_text(demo_texts()[FIRST], encoding="utf-8")
    built = strokebox.build(path)
    shapes = {name.rsplit("/", 1)[-1]: part for name, part in built.objects.items() if part.obj is not None}
    assert {"VL-100_motor", "VL-100_screw", "VL-100_nut"} <= shapes.keys()
    box = built.toCompound().BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx(
        (-72.0, 113.0), abs=1e-6
    )  # from the cable's room to the far journal
    assert all(part.obj.isValid() for part in shapes.values())

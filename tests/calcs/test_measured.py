"""What the meshes of files tell: moments against closed forms, and the rows that `make` fills in."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

import strokebox
from calcs.check_design import check_design
from calcs.mass import MassProperties, combined, shape_properties
from calcs.measured import measured, mesh_moments
from exports.demo import FIRST, HOUSING, demo_texts, write_demo
from geometry.bodies import Box, Cylinder, Shape
from geometry.meshes import mesh_of
from geometry.placed import place

BLOCK = Shape((Box((10.0, -4.0, 2.0), (30.0, 2.0, 5.0)),))
BORED = Shape((Box((-15.0, -12.0, 0.0), (15.0, 12.0, 10.0)),), (Cylinder("z", (3.0, 1.0), 5.0, (0.0, 10.0)),))


def in_metres(shape: Shape) -> MassProperties:
    (box,), holes = shape.adds, shape.cuts
    assert isinstance(box, Box)
    scaled = Box(*(tuple(x / 1e3 for x in corner) for corner in (box.low, box.high)))  # type: ignore[arg-type] # three each
    cuts = tuple(
        Cylinder(
            h.axis, (h.centre[0] / 1e3, h.centre[1] / 1e3), h.radius / 1e3, (h.span[0] / 1e3, h.span[1] / 1e3)
        )
        for h in holes
        if isinstance(h, Cylinder)
    )
    return shape_properties(Shape((scaled,), cuts), 1.0)


@pytest.mark.parametrize(("shape", "tolerance"), [(BLOCK, 1e-12), (BORED, 2e-4)])
def test_moments_of_a_mesh_are_those_of_the_closed_form(shape: Shape, tolerance: float) -> None:
    found, exact = mesh_moments(mesh_of(shape, 0.001)), in_metres(shape)
    assert found.mass_kg == pytest.approx(exact.mass_kg, rel=tolerance)
    np.testing.assert_allclose(found.centre_m, exact.centre_m, atol=1e-6 if shape.cuts else 1e-15)
    scale = float(np.abs(exact.tensor_kg_m2).max())
    np.testing.assert_allclose(found.tensor_kg_m2, exact.tensor_kg_m2, atol=max(tolerance, 1e-12) * scale)


def test_moments_of_two_bodies_combine() -> None:
    both = combined([mesh_moments(mesh_of(BLOCK)), mesh_moments(mesh_of(BORED, 0.001))])
    assert both.mass_kg == pytest.approx((20 * 6 * 3 + 30 * 24 * 10 - math.pi * 250) * 1e-9, rel=1e-4)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_demo(tmp_path_factory.mktemp("measured")).parent


def by_file(folder: Path, text: str) -> Path:
    head, _, rest = text.partition("[[housing.body]]")
    contacts = rest[rest.index("# Pairs that are meant to touch") :]
    path = folder / "by-file.toml"
    path.write_text(f'{head}[housing]\nfile = "{HOUSING}"\n{contacts}', encoding="utf-8")
    return path


def test_make_measures_the_cable_room_that_check_cannot_see(folder: Path) -> None:
    design = strokebox.read(by_file(folder, demo_texts()[FIRST]))
    (blind,) = [row for row in check_design(design).results if row.id == "service.cable_room"]
    assert blind.verdict == "NOT CHECKED"
    seen = check_design(design, measured(design, place(design)))
    (row,) = [row for row in seen.results if row.id == "service.cable_room"]
    assert row.verdict == "PASS"
    assert row.value == pytest.approx(20.0, abs=0.02)


def test_make_weighs_a_file_body_by_its_material(folder: Path) -> None:
    text = demo_texts()[FIRST]
    wall = 'name = "arm"\non = "nut flange"\nbox = ["-5..5 mm", "12..48 mm", "0..8 mm"]\nmass = "390 g"'
    assert wall in text
    swapped = text.replace(
        wall, f'name = "arm"\nfile = "{HOUSING}"\nsolid = "pcb_cover"\nmaterial = "aluminium"'
    ).replace("pcb_cover", "rib")
    path = folder / "arm-by-file.toml"
    path.write_text(swapped, encoding="utf-8")
    design = strokebox.read(path)
    before = {row.id: row for row in check_design(design).results}
    after = {row.id: row for row in check_design(design, measured(design, place(design))).results}
    assert before["mass.total"].verdict == "NOT CHECKED"
    rib_kg = 1.3 * 12 * 1.2 * 1e-9 * 2700
    assert after["mass.moving"].value == pytest.approx((0.024 + 0.034 + 0.002 + rib_kg) * 1e3, rel=0.01)


def test_a_design_without_files_needs_no_measuring(tmp_path: Path) -> None:
    from geometry.design import read

    write_demo(tmp_path)
    design = read(tmp_path / FIRST)
    assert measured(design, place(design)) == {}

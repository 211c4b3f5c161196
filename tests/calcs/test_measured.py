"""What the meshes of files tell: moments against closed forms, and the rows that `make` fills in."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

import strokebox
from calcs.check_design import check_design
from calcs.mass import MassProperties, combined, shape_properties
from calcs.measured import DISC, _free, _others, cable_room, measured, mesh_moments
from exports.demo import FIRST, HOUSING, demo_texts, write_demo
from geometry.bodies import Body, Box, Cylinder, Posed, Shape
from geometry.design import read_text
from geometry.meshes import Mesh, mesh_of
from geometry.placed import PlacedBody, Placement, place

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


DISC_MESH = mesh_of(Shape((Cylinder("z", (0.0, 0.0), 1.5, (-54.0 - DISC, -54.0)),)))
DOWN = [0.0, 0.0, -1.0]


def block(*ends: float) -> Mesh:
    return mesh_of(Shape((Box((ends[0], ends[2], ends[4]), (ends[1], ends[3], ends[5])),)))


@pytest.mark.parametrize(
    ("obstacle", "reach", "free"),
    [
        (block(-9, 9, -9, 9, -78, -74), 100.0, 20.0),
        (block(-9, 9, -9, 9, -78, -74), 19.0, math.inf),  # not looked for so far
        (block(-9, 9, -9, 9, -60, -54.5), 100.0, 0.5),
        (block(1.4, 9, -1, 1, -78, -74), 100.0, 20.0),  # its rim is met
        (block(1.6, 9, -1, 1, -78, -74), 100.0, math.inf),  # and passes
        (block(-9, 9, -9, 9, -50, -40), 100.0, math.inf),  # behind it
    ],
)
def test_a_disc_goes_until_it_meets_a_body(obstacle: Mesh, reach: float, free: float) -> None:
    assert _free(DISC_MESH, DOWN, obstacle, reach) == pytest.approx(free, abs=2e-4)


def standing(name: str, mesh: Mesh, *, moves: bool = False, own: bool = False) -> PlacedBody:
    return PlacedBody(Body(name, "housing", moves, BLOCK, part_of_actuator=own), mesh)


@pytest.mark.parametrize(
    ("direction", "wall", "floor", "room"),
    [
        ((0, 0, -1), (-9, 9, -9, 9, -90, -84), (-9, 9, -9, 9, -99, -95), 30.0),
        ((0, 0, 1), (-9, 9, -9, 9, -20, -10), (-9, 9, -9, 9, 60, 65), 34.0),
        ((1, 0, 0), (30, 33, -9, 9, -60, -40), (50, 55, -9, 9, -60, -40), 30.0),
        ((-1, 0, 0), (-33, -25, -9, 9, -60, -40), (-55, -50, -9, 9, -60, -40), 25.0),
        ((0, 1, 0), (-9, 9, 20, 33, -60, -40), (-9, 9, 50, 55, -60, -40), 20.0),
        ((0, -1, 0), (-9, 9, -33, -15, -60, -40), (-9, 9, -55, -50, -60, -40), 15.0),
    ],
)
def test_room_behind_the_cable_along_each_axis(
    direction: tuple[int, int, int], wall: tuple[float, ...], floor: tuple[float, ...], room: float
) -> None:
    """The cable starts at z = -54, in the axis or off to a side of it; the nearer of two walls counts."""
    text = demo_texts()[FIRST].replace("direction = [0, 0, -1]  ", f"direction = {list(direction)}  ")
    design = read_text(text)
    axis = max(range(3), key=lambda a: abs(direction[a]))
    along, across = ("xyz"[axis], (0.0, 0.0) if axis == 2 else (0.0, -50.0))
    start = -54.0 if axis == 2 else 0.0
    sense = direction[axis]
    column = Cylinder(along, across, 1.5, (start, start + 18.0) if sense > 0 else (start - 18.0, start))  # type: ignore[arg-type] # one of x, y, z
    cable = PlacedBody(
        Body("cable", "cable", False, Shape((column,)), part_of_actuator=True), block(0, 1, 0, 1, 0, 1)
    )
    bodies = (
        standing("floor", block(*floor)),
        standing("wall", block(*wall)),
        standing("encoder", block(-9, 9, -9, 9, -55, -46), own=True),  # its own, from which it comes
    )
    found, name = cable_room(design, Placement(bodies), cable)
    assert (found * 1e3, name) == (pytest.approx(room, abs=2e-4), "wall")
    nothing, _ = cable_room(
        design, Placement((standing("behind", block(200, 201, 200, 201, 200, 201)),)), cable
    )
    assert nothing == math.inf


def test_what_moves_is_in_the_cables_way_at_both_ends_of_its_travel() -> None:
    design = read_text(demo_texts()[FIRST])
    bodies = (
        standing("arm", block(0, 1, 0, 1, 30, 40), moves=True),
        standing("wall", block(0, 1, 0, 1, 5, 6)),
    )
    found = [(name, float(mesh.bounds[0][2])) for name, mesh in _others(design, Placement(bodies))]
    assert found == [("arm", 26.0), ("arm", 94.0), ("wall", 5.0)]
    assert [mesh.bounds[0].tolist()[:2] for _, mesh in _others(design, Placement(bodies))] == [[0.0, 0.0]] * 3


def test_moments_of_a_box_off_its_axes_by_hand() -> None:
    """20 x 6 x 3 mm of 1 kg/m3, about its centre at (20, -1, 3.5) mm."""
    found = mesh_moments(mesh_of(BLOCK))
    assert found.mass_kg == pytest.approx(360e-9, rel=1e-12)
    assert found.centre_m == pytest.approx([0.020, -0.001, 0.0035])
    sides = [(36.0 + 9.0), (400.0 + 9.0), (400.0 + 36.0)]
    assert np.diag(found.tensor_kg_m2) == pytest.approx([360e-9 * side * 1e-6 / 12.0 for side in sides])


def test_the_room_of_a_cable_askew_is_measured_along_its_own_way() -> None:
    column = Cylinder("z", (0.0, 0.0), 1.5, (0.0, 18.0))
    askew = Posed(column, (0.0, 0.0, -54.0), (0.0, 0.6, -0.8), (1.0, 0.0, 0.0))
    cable = PlacedBody(
        Body("cable", "cable", False, Shape((askew,)), part_of_actuator=True), block(0, 1, 0, 1, 0, 1)
    )
    floor = standing("floor", block(-99, 99, -99, 99, -80, -74))
    found, name = cable_room(read_text(demo_texts()[FIRST]), Placement((floor,)), cable)
    # 20 mm down to the floor; the lower edge of the end, 1.5 x 0.6 further down, meets it first
    assert (found * 1e3, name) == (pytest.approx((20.0 - 1.5 * 0.6) / 0.8, abs=0.01), "floor")

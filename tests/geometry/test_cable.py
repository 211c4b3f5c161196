"""A cable that leaves along any direction: its room in a frame of its own, as mesh, solid and weight."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from calcs.check_design import check_design
from calcs.fit_design import fit_design
from calcs.mass import shape_properties
from calcs.measured import measured
from geometry.bodies import Box, Cylinder, Posed, Shape
from geometry.cable import across, cable_envelope, is_straight
from geometry.design import Design, read_text
from geometry.frames import shifted_shape
from geometry.meshes import mesh_faults, mesh_of, signed_volume
from geometry.motor_problems import motor_problems
from geometry.placed import place
from geometry.solids import bounding_box, solid_of, volume_of_solid

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
CABLE = "direction = [0, 0, -1]         # leaves the encoder's rear face"


def leaving(*lines: str) -> Design:
    text = DEMO.read_text(encoding="utf-8")
    assert text.count(CABLE) == 1
    return read_text(text.replace(CABLE, "\n".join(lines)))


def room(made: Design) -> Shape:
    found = cable_envelope(made)
    assert isinstance(found, Shape)
    return found


def test_a_cable_askew_starts_where_a_straight_one_does_and_goes_its_own_way() -> None:
    (back,) = room(leaving("direction = [0, 3, -4]")).adds
    assert isinstance(back, Posed)
    assert (back.origin, back.z_axis) == ((0.0, 0.0, -54.0), pytest.approx((0.0, 0.6, -0.8)))
    assert back.piece == Cylinder("z", (0.0, 0.0), 1.5, (0.0, 18.0))
    (side,) = room(leaving("direction = [0, 4, -3]")).adds
    assert isinstance(side, Posed)
    assert side.origin == pytest.approx((0.0, 7.75, -52.5))


def test_a_bend_across_an_axis_stays_along_the_axes_and_one_askew_turns_with_its_side() -> None:
    made = leaving("bend = [0, 1, 1]")  # the part across is +y
    assert all(not isinstance(piece, Posed) for piece in room(made).adds)
    column, bend = room(leaving("bend = [1, 1, 0]")).adds
    assert isinstance(column, Posed)
    assert isinstance(bend, Posed)
    assert bend.x_axis == pytest.approx((math.sqrt(0.5), math.sqrt(0.5), 0.0))
    assert bend.piece == Box((0.0, -1.5, 3.0), (13.5, 1.5, 18.0))


@pytest.mark.parametrize("lines", ["direction = [1, 2, -2]", "direction = [1, 2, -2]\nbend = [0, 0, -1]"])
def test_mesh_solid_and_closed_form_agree(lines: str) -> None:
    shape = room(leaving(lines))
    mesh, solid = mesh_of(shape), solid_of(shape)
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(volume_of_solid(solid), rel=1e-3)
    low, high = bounding_box(solid)
    assert [*mesh.bounds[0], *mesh.bounds[1]] == pytest.approx([*low, *high], abs=0.01)
    if len(shape.adds) == 1:
        made = shape_properties(shape, 1.0)
        assert made.mass_kg == pytest.approx(math.pi * 1.5**2 * 18.0)
        middle = np.array(shape.adds[0].origin) + 9.0 * np.array([1, 2, -2]) / 3.0  # type: ignore[union-attr] # Posed
        assert made.centre_m == pytest.approx(middle)
        along = np.array([1, 2, -2]) / 3.0
        assert along @ made.tensor_kg_m2 @ along == pytest.approx(made.mass_kg * 1.5**2 / 2)
    assert mesh.curved is not None
    assert mesh.curved.any()
    moved = mesh_of(shifted_shape(shape, (1.0, 2.0, 3.0)))
    assert moved.bounds[0] == pytest.approx(mesh.bounds[0] + [1.0, 2.0, 3.0])


def test_the_axes_of_a_frame_are_right_handed() -> None:
    (piece,) = room(leaving("direction = [1, 2, -2]")).adds
    assert isinstance(piece, Posed)
    assert np.linalg.det(np.array(piece.axes)) == pytest.approx(1.0)
    assert np.array(piece.axes) @ np.array(piece.axes).T == pytest.approx(np.eye(3))


def test_a_bend_along_the_cable_is_refused() -> None:
    (problem,) = motor_problems(leaving("direction = [0, 3, -4]", "bend = [0, 3, -4]"))
    assert problem.field == "service.cable.bend"
    assert across((0.0, 0.6, -0.8), (0.0, 0.6, -0.8)) is None
    assert is_straight((0.0, 0.0, -1.0))


def test_fit_judges_it_against_the_housing_and_make_measures_its_room() -> None:
    made = leaving("direction = [0, 3, -4]")
    (row,) = [row for row in check_design(made).results if row.id == "service.cable_room"]
    assert (row.verdict, row.remedy) == ("NOT CHECKED", "run strokebox make")
    assert "askew, along [0, 0.6, -0.8]" in row.note
    seen = measured(made, place(made))
    length, name = seen["seen_cable_room_m"]
    # the floor's top at z = -74 is 20 mm below the exit; the disc's lower edge reaches it first
    assert name == "floor"
    assert length * 1e3 == pytest.approx((20.0 - 1.5 * 0.6) / 0.8, abs=0.05)
    (row,) = [row for row in check_design(made, seen).results if row.id == "service.cable_room"]
    assert (row.verdict, row.value) == ("PASS", pytest.approx(length * 1e3))
    pairs = {frozenset((pair.a, pair.b)): pair for pair in fit_design(made).pairs}
    floor = pairs[frozenset(("cable", "floor"))]
    assert floor.gap is not None
    assert floor.gap.nominal == pytest.approx(20.0 - 18.0 * 0.8 - 1.5 * 0.6, abs=0.01)

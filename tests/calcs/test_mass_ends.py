"""Mass of screws with milled, drilled, threaded and bored ends, and of shapes with an outline, by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from demo_rows import changed, rows

from calcs import mass
from calcs.case import shape_in_metres
from geometry.bodies import Box, Cylinder, Prism, Shape

NEAR = 'near_journal = { diameter = "5 mm", length = "8 mm"'
STEEL = 7.85e-3  # g/mm3


def screw_mass(*changes: tuple[str, str]) -> float:
    value = rows(*changes)["mass.screw"].value
    assert isinstance(value, float)
    return value


def test_a_hexagon_takes_what_it_leaves_of_the_round() -> None:
    milled = screw_mass((f"{NEAR} }}", f'{NEAR}, hexagon = "4 mm", milled = "6 mm" }}'))
    section = math.pi / 4.0 * 25.0 - math.sqrt(3.0) / 2.0 * 16.0
    assert screw_mass() - milled == pytest.approx(section * 6.0 * STEEL, rel=1e-6)


def test_a_hole_across_takes_nearly_a_cylinder() -> None:
    drilled = screw_mass((f"{NEAR} }}", f'{NEAR}, cross_hole = "1.5 mm", cross_hole_at = "3 mm" }}'))
    taken = (screw_mass() - drilled) / STEEL
    straight = math.pi / 4.0 * 1.5**2 * 5.0
    assert 0.97 * straight < taken < straight  # the round's sides are shorter beside the axis


def test_a_thread_on_an_end_takes_the_volume_of_its_grooves() -> None:
    threaded = screw_mass((f"{NEAR} }}", f'{NEAR}, thread = "M5" }}'))
    taken = (screw_mass() - threaded) / STEEL
    assert math.pi / 4.0 * (25.0 - 4.48**2) * 8.0 == pytest.approx(taken, rel=0.25)


def test_a_bore_takes_its_own_cylinder() -> None:
    bored = screw_mass(('length = "96 mm" ', 'length = "96 mm"\nbore = "2 mm"\nbore_depth = "20 mm" '))
    assert screw_mass() - bored == pytest.approx(math.pi / 4.0 * 4.0 * 20.0 * STEEL, rel=1e-6)


def test_a_prism_of_straight_edges_is_a_box_and_of_arcs_a_cylinder() -> None:
    corners = ((-0.02, -0.01), (0.02, -0.01), (0.02, 0.01), (-0.02, 0.01))
    prism = mass.primitive_properties(Prism(corners, (False,) * 4, (0.0, 0.05)), 1000.0)
    same = mass.primitive_properties(Box((-0.02, -0.01, 0.0), (0.02, 0.01, 0.05)), 1000.0)
    assert prism.mass_kg == pytest.approx(same.mass_kg)
    assert np.allclose(prism.centre_m, same.centre_m)
    assert np.allclose(prism.tensor_kg_m2, same.tensor_kg_m2)
    quarters = ((0.01, 0.0), (0.0, 0.01), (-0.01, 0.0), (0.0, -0.01))
    round_one = mass.primitive_properties(Prism(quarters, (True,) * 4, (0.0, 0.05)), 1000.0)
    cylinder = mass.primitive_properties(Cylinder("z", (0.0, 0.0), 0.01, (0.0, 0.05)), 1000.0)
    assert round_one.mass_kg == pytest.approx(cylinder.mass_kg)
    assert np.allclose(round_one.tensor_kg_m2, cylinder.tensor_kg_m2)


def test_a_prism_in_millimetres_becomes_one_in_metres() -> None:
    prism = Prism(((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)), (False, True, False), (0.0, 5.0))
    (made,) = shape_in_metres(Shape((prism,))).adds
    assert made == Prism(((1e-3, 0.0), (0.0, 1e-3), (-1e-3, 0.0)), (False, True, False), (0.0, 5e-3))


def test_a_prism_stands_in_the_cables_way_with_its_round() -> None:
    from calcs.checks.service import free_m

    column = Cylinder("z", (0.0, 0.0), 0.0015, (-0.06, -0.054))
    square = Prism(((0.01, 0.01), (-0.01, 0.01), (-0.01, -0.01), (0.01, -0.01)), (False,) * 4, (-0.09, -0.08))
    assert free_m(column, -1.0, Shape((square,)), (0.0, 0.0)) == pytest.approx(0.026)
    assert changed().find("bodies") is not None

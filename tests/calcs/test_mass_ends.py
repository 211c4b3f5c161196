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


def test_a_bored_screw_stays_round_its_axis() -> None:
    found = changed(('length = "96 mm" ', 'length = "96 mm"\nbore = "2 mm" ')).find("screw_solid")
    assert found is not None
    assert found.value.centre_m[:2] == pytest.approx([0.0, 0.0], abs=1e-15)
    assert found.value.tensor_kg_m2[2, 2] < found.value.tensor_kg_m2[0, 0]
    assert np.diag(np.diag(found.value.tensor_kg_m2)) == pytest.approx(found.value.tensor_kg_m2, abs=1e-18)


def test_a_prism_of_straight_edges_is_a_box_and_of_arcs_a_cylinder() -> None:
    corners = ((-0.02, -0.01), (0.02, -0.01), (0.02, 0.01), (-0.02, 0.01))
    prism = mass.primitive_properties(Prism(corners, (None,) * 4, (0.0, 0.05)), 1000.0)
    same = mass.primitive_properties(Box((-0.02, -0.01, 0.0), (0.02, 0.01, 0.05)), 1000.0)
    assert prism.mass_kg == pytest.approx(same.mass_kg)
    assert np.allclose(prism.centre_m, same.centre_m)
    assert np.allclose(prism.tensor_kg_m2, same.tensor_kg_m2)
    quarters = ((0.01, 0.0), (0.0, 0.01), (-0.01, 0.0), (0.0, -0.01))
    round_one = mass.primitive_properties(Prism(quarters, ((0.0, 0.0),) * 4, (0.0, 0.05)), 1000.0)
    cylinder = mass.primitive_properties(Cylinder("z", (0.0, 0.0), 0.01, (0.0, 0.05)), 1000.0)
    assert round_one.mass_kg == pytest.approx(cylinder.mass_kg)
    assert np.allclose(round_one.tensor_kg_m2, cylinder.tensor_kg_m2)


def test_a_prism_in_millimetres_becomes_one_in_metres() -> None:
    prism = Prism(((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)), (None, (2.0, 0.0), None), (0.0, 5.0))
    (made,) = shape_in_metres(Shape((prism,))).adds
    assert made == Prism(((1e-3, 0.0), (0.0, 1e-3), (-1e-3, 0.0)), (None, (2e-3, 0.0), None), (0.0, 5e-3))


def test_a_prism_stands_in_the_cables_way_with_the_box_around_it() -> None:
    from calcs.checks.service import free_m

    column = Cylinder("z", (0.0, 0.0), 0.0015, (-0.06, -0.054))
    square = Prism(((0.01, 0.01), (-0.01, 0.01), (-0.01, -0.01), (0.01, -0.01)), (None,) * 4, (-0.09, -0.08))
    assert free_m(column, -1.0, Shape((square,)), (0.0, 0.0)) == pytest.approx(0.026)
    assert changed().find("bodies") is not None


def test_a_prism_without_symmetry_has_its_products() -> None:
    """A right triangle with legs a and b: area a b / 2, about its centre a b^3 / 36 and -a^2 b^2 / 72."""
    a, b, low, high, density = 0.03, 0.02, 0.01, 0.06, 1000.0
    x, y = 0.004, -0.007  # of the right angle
    corners = ((x, y), (x + a, y), (x, y + b))
    found = mass.primitive_properties(Prism(corners, (None,) * 3, (low, high)), density)
    per_area, length = density * (high - low), high - low
    kilograms = per_area * a * b / 2.0
    assert found.mass_kg == pytest.approx(kilograms, rel=1e-12)
    assert found.centre_m == pytest.approx([x + a / 3.0, y + b / 3.0, 0.035], rel=1e-12)
    about_x, about_y = per_area * a * b**3 / 36.0, per_area * a**3 * b / 36.0
    along, product = kilograms * length**2 / 12.0, -per_area * a**2 * b**2 / 72.0
    tensor = [
        [about_x + along, -product, 0.0],
        [-product, about_y + along, 0.0],
        [0.0, 0.0, about_x + about_y],
    ]
    assert np.allclose(found.tensor_kg_m2, tensor, rtol=1e-9, atol=1e-15)


def test_two_equal_cylinders_that_cross_share_the_bicylinder() -> None:
    """Volume 16 r^3 / 3; integral of x^2 16 r^5 / 15, of y^2 and z^2 64 r^5 / 45 each."""
    radius = 0.002
    found = mass.crossed_properties(radius, radius, 0.03, 1000.0)
    assert found.mass_kg == pytest.approx(1000.0 * 16.0 / 3.0 * radius**3, rel=1e-8)
    assert found.centre_m.tolist() == [0.0, 0.0, 0.03]
    xx, yy = 1000.0 * 16.0 / 15.0 * radius**5, 1000.0 * 64.0 / 45.0 * radius**5
    assert np.allclose(found.tensor_kg_m2, np.diag([2 * yy, xx + yy, xx + yy]), rtol=1e-7, atol=0.0)


def test_a_thin_hole_across_is_summed_in_slices() -> None:
    """Slices of the hole at each x: a rectangle as high as the hole and as wide as the shaft there."""
    hole, shaft, density, count = 0.0012, 0.0025, 7850.0, 400_000
    x = ((np.arange(count) + 0.5) / count * 2.0 - 1.0) * hole
    high, wide, step = np.sqrt(hole**2 - x**2), np.sqrt(shaft**2 - x**2), 2.0 * hole / count
    area = 4.0 * high * wide * step * density
    xx, yy, zz = (float((area * square).sum()) for square in (x**2, wide**2 / 3.0, high**2 / 3.0))
    found = mass.crossed_properties(hole, shaft, 0.004, density)
    assert found.mass_kg == pytest.approx(float(area.sum()), rel=1e-7)
    wanted = np.diag([yy + zz, xx + zz, xx + yy])
    assert np.allclose(found.tensor_kg_m2, wanted, rtol=1e-7, atol=0.0)

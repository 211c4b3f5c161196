from __future__ import annotations

import math

import numpy as np
import pytest

from calcs.mass import shape_properties
from geometry.bodies import Cylinder, Prism, Shape
from geometry.errors import ShapeError
from geometry.meshes import mesh_faults, mesh_of, signed_volume
from geometry.prisms import (
    flatted_disc,
    hull_of_rounds,
    prism_bounds,
    regular,
    ribbed_disc,
    section_moments,
    shifted_prism,
    two_flats,
)
from geometry.solids import bounding_box, solid_of, volume_of_solid

SPAN = (1.0, 4.0)
PRISMS = {
    "one flat": flatted_disc(5.0, [(0.7, 2.0)], SPAN),
    "two flats": two_flats(16.0, 12.0, SPAN),
    "sharp hexagon": regular(6, 8.0, 20.0, SPAN),
    "turned hexagon": regular(6, 8.0, 8.8, SPAN),
    "sharp square": regular(4, 10.0, 100.0, SPAN),
    "round square": regular(4, 42.3, 54.0, SPAN),
    "key": ribbed_disc(15.0, 4.0, 1.5, SPAN),
}


def test_areas_known_from_plane_geometry() -> None:
    half = math.acos(0.8)
    segment = 2.5**2 * (half - math.sin(half) * math.cos(half))
    assert section_moments(PRISMS["one flat"]).area == pytest.approx(math.pi * 6.25 - segment, rel=1e-12)
    assert section_moments(PRISMS["sharp hexagon"]).area == pytest.approx(math.sqrt(3) / 2 * 64, rel=1e-12)
    square = section_moments(PRISMS["sharp square"])
    assert square.area == pytest.approx(100.0, rel=1e-12)
    assert square.xx == pytest.approx(10.0**4 / 12, rel=1e-12)
    assert abs(square.x) < 1e-12
    assert abs(square.xy) < 1e-10


@pytest.mark.parametrize("name", PRISMS)
def test_solid_mesh_and_closed_form_agree(name: str) -> None:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    shape = Shape((PRISMS[name],))
    solid, mesh, own = solid_of(shape, name), mesh_of(shape), shape_properties(shape, 1.0)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert volume_of_solid(solid) == pytest.approx(own.mass_kg, rel=1e-9)
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties)
    inertia, centre = properties.MatrixOfInertia(), properties.CentreOfMass()
    kernel = [[inertia.Value(i, j) for j in (1, 2, 3)] for i in (1, 2, 3)]
    assert own.tensor_kg_m2 == pytest.approx(np.array(kernel), rel=1e-7, abs=1e-6)
    assert own.centre_m == pytest.approx([centre.X(), centre.Y(), centre.Z()], abs=1e-9)
    assert mesh_faults(mesh) == ()
    assert mesh.chord_error <= 0.002
    assert signed_volume(mesh) == pytest.approx(own.mass_kg, rel=0.002)


def test_straight_faces_are_exact_and_only_the_round_ones_are_marked() -> None:
    square, hexagon = mesh_of(Shape((PRISMS["sharp square"],))), mesh_of(Shape((PRISMS["turned hexagon"],)))
    assert square.chord_error == 0.0
    assert square.curved is not None
    assert not square.curved.any()
    assert hexagon.curved is not None
    assert 0 < hexagon.curved.sum() < len(hexagon.triangles)


def test_a_bore_through_a_prism_leaves_one_solid() -> None:
    shape = Shape((PRISMS["two flats"],), (Cylinder("z", (0.0, 0.0), 4.0, SPAN),))
    area = section_moments(PRISMS["two flats"]).area
    assert volume_of_solid(solid_of(shape)) == pytest.approx((area - math.pi * 16) * 3, rel=1e-9)
    assert mesh_faults(mesh_of(shape)) == ()


@pytest.mark.parametrize("distance", [0.0, 2.5, 3.0])
def test_a_flat_that_misses_the_round_is_refused(distance: float) -> None:
    with pytest.raises(ShapeError, match=r"take a distance above 0 and below 2\.5 mm"):
        flatted_disc(5.0, [(0.0, distance)], SPAN)


def test_a_rib_wider_than_the_round_is_refused() -> None:
    with pytest.raises(ShapeError, match="take a width below 5 mm"):
        ribbed_disc(5.0, 5.0, 1.0, SPAN)


def test_a_section_without_length_is_refused() -> None:
    with pytest.raises(ShapeError, match="has no length"):
        solid_of(Shape((Prism(PRISMS["key"].corners, PRISMS["key"].arcs, (2.0, 2.0)),)))


@pytest.mark.parametrize("at", [(9.0, 0.0), (-3.0, 7.0), (2.0, -8.0)])
def test_a_hull_of_two_rounds_is_a_solid_of_its_closed_form(at: tuple[float, float]) -> None:
    hull = hull_of_rounds(6.0, 4.0, at, (1.0, 5.0))
    apart = math.hypot(*at)
    lean = math.acos(2.0 / apart)
    sides = (6.0 + 4.0) * math.sqrt(apart**2 - 4.0)
    area = sides + 36.0 * (math.pi - lean) + 16.0 * lean
    moments = section_moments(hull)
    assert moments.area == pytest.approx(area)
    solid, mesh = solid_of(Shape((hull,))), mesh_of(Shape((hull,)), 0.0005)
    assert volume_of_solid(solid) == pytest.approx(4.0 * area)
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(4.0 * area, rel=1e-3)
    low, high = prism_bounds(hull)
    (x0, y0, _), (x1, y1, _) = bounding_box(solid)
    assert (*low, *high) == pytest.approx((x0, y0, x1, y1), abs=1e-6)


def test_the_moments_of_a_prism_off_the_axis_are_those_of_the_kernel() -> None:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    hull = shifted_prism(hull_of_rounds(6.0, 4.0, (5.0, 6.0), (0.0, 1.0)), 3.0, -2.0, 0.0)
    found, kernel = section_moments(hull), GProp_GProps()
    BRepGProp.VolumeProperties_s(solid_of(Shape((hull,))), kernel)
    centre, tensor = kernel.CentreOfMass(), kernel.MatrixOfInertia()
    assert (found.x / found.area, found.y / found.area) == pytest.approx((centre.X(), centre.Y()))
    x, y = centre.X(), centre.Y()
    assert found.xx - found.area * x * x == pytest.approx(tensor.Value(2, 2) - found.area / 12)
    assert found.yy - found.area * y * y == pytest.approx(tensor.Value(1, 1) - found.area / 12)
    assert found.xy - found.area * x * y == pytest.approx(-tensor.Value(1, 2))


def test_a_round_within_the_other_has_no_hull_with_it() -> None:
    with pytest.raises(ShapeError, match="lies in it"):
        hull_of_rounds(6.0, 2.0, (3.0, 0.0), (0.0, 1.0))

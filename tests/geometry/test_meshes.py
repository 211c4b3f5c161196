"""Meshes of shapes and solids: closed, outward, and as near to the true surface as they say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.bodies import Box, Cylinder, Shape
from geometry.errors import KernelError, ShapeError
from geometry.meshes import (
    Mesh,
    distance_to_triangles,
    facet_count,
    free_edges,
    manifold_of,
    merged,
    mesh_faults,
    mesh_of,
    moved,
    signed_volume,
    surface_area,
)

CUBE = Shape((Box((1.0, 2.0, 3.0), (2.0, 4.0, 6.0)),))


def test_box_is_exact_closed_and_outward() -> None:
    mesh = mesh_of(CUBE)
    assert mesh.chord_error == 0.0
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(6.0, rel=1e-14)
    assert surface_area(mesh) == pytest.approx(22.0, rel=1e-14)
    assert [list(corner) for corner in mesh.bounds] == [[1.0, 2.0, 3.0], [2.0, 4.0, 6.0]]


@pytest.mark.parametrize("axis", ["x", "y", "z"])
@pytest.mark.parametrize("tolerance", [0.05, 0.002])
def test_cylinder_facets_are_centred_on_the_true_surface(axis: str, tolerance: float) -> None:
    mesh = mesh_of(Shape((Cylinder(axis, (3.0, -2.0), 12.0, (0.0, 4.0)),)), tolerance)  # type: ignore[arg-type] # parametrised
    assert mesh_faults(mesh) == ()
    others = [i for i in range(3) if "xyz"[i] != axis]
    assert mesh.bounds[1][others[0]] == pytest.approx(15.0 + mesh.chord_error)
    count = len(mesh.vertices) // 2
    ring = mesh.vertices[:count, others] - [3.0, -2.0]
    middles = (ring + np.roll(ring, 1, axis=0)) / 2.0
    assert np.hypot(*ring.T) - 12.0 == pytest.approx(mesh.chord_error, abs=1e-12)
    assert 12.0 - np.hypot(*middles.T) == pytest.approx(mesh.chord_error, abs=1e-12)
    assert tolerance / 4 < mesh.chord_error <= tolerance


def test_equal_radii_have_equal_facets_so_a_shaft_fills_its_bore() -> None:
    plate = mesh_of(
        Shape((Box((-20.0, -20.0, 0.0), (20.0, 20.0, 5.0)),), (Cylinder("z", (0.3, 0.1), 2.5, (0.0, 5.0)),))
    )
    shaft = mesh_of(Shape((Cylinder("z", (0.3, 0.1), 2.5, (-3.0, 8.0)),)))
    assert (manifold_of(plate) ^ manifold_of(shaft)).volume() == pytest.approx(0.0, abs=1e-9)
    assert facet_count(2.5, 0.002) % 4 == 0


def test_bored_and_stacked_shape_has_the_volume_of_the_formula() -> None:
    shape = Shape(
        (Cylinder("z", (0.0, 0.0), 7.5, (14.0, 26.0)), Cylinder("z", (0.0, 0.0), 12.0, (26.0, 30.0))),
        (Cylinder("z", (0.0, 0.0), 4.0, (14.0, 30.0)),),
    )
    mesh = mesh_of(shape)
    true = math.pi * (7.5**2 * 12.0 + 12.0**2 * 4.0 - 4.0**2 * 16.0)
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(true, rel=5e-4)
    assert len(mesh.piece_points) == 1


def test_a_body_of_two_pieces_shows_one_point_of_each() -> None:
    mesh = mesh_of(Shape((Box((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)), Box((5.0, 0.0, 0.0), (6.0, 1.0, 1.0)))))
    assert sorted(point[0] < 3.0 for point in mesh.piece_points) == [False, True]


def test_shapes_without_volume_are_refused_with_their_numbers() -> None:
    with pytest.raises(ShapeError, match=r"box from \(0, 0, 0\) to \(1, 1, 0\)"):
        mesh_of(Shape((Box((0, 0, 0), (1, 1, 0)),)))
    with pytest.raises(ShapeError, match="radius 0"):
        mesh_of(Shape((Cylinder("z", (0, 0), 0, (0, 1)),)))
    with pytest.raises(ShapeError, match="leave nothing"):
        mesh_of(Shape((Box((0, 0, 0), (1, 1, 1)),), (Box((0, 0, 0), (1, 1, 1)),)))
    with pytest.raises(ShapeError, match="without a solid piece"):
        mesh_of(Shape(()))


def test_faults_name_holes_flips_and_inversion() -> None:
    cube = mesh_of(CUBE)
    holed = Mesh(cube.vertices, cube.triangles[1:], 0.0)
    assert len(free_edges(holed)) == 3
    assert "3 free edges" in mesh_faults(holed)[0]
    flipped = cube.triangles.copy()
    flipped[0] = flipped[0][::-1]
    assert "free edges or flipped" in mesh_faults(Mesh(cube.vertices, flipped, 0.0))[0]
    assert "inside out: volume -6" in mesh_faults(Mesh(cube.vertices, cube.triangles[:, ::-1], 0.0))[0]
    assert mesh_faults(Mesh(cube.vertices, cube.triangles[:0], 0.0)) == ("no triangles",)
    spoiled = cube.vertices.copy()
    spoiled[0, 0] = np.nan
    assert "not finite" in mesh_faults(Mesh(spoiled, cube.triangles, 0.0))[0]
    with pytest.raises(KernelError, match="not a closed manifold"):
        manifold_of(holed)


def test_merging_closes_a_mesh_of_loose_triangles() -> None:
    cube = mesh_of(CUBE)
    loose = cube.corners.reshape(-1, 3)
    loose = loose + np.where(np.arange(len(loose)) % 2, 1e-9, 0.0)[:, None]
    mesh = merged(loose, np.arange(len(loose)).reshape(-1, 3), 0.0)
    assert len(mesh.vertices) == 8
    assert mesh_faults(mesh) == ()


def test_moved_shifts_the_box() -> None:
    assert list(moved(mesh_of(CUBE), (0.0, 0.0, -3.0)).bounds[0]) == [1.0, 2.0, 0.0]


def test_distance_to_triangle_inside_side_and_corner() -> None:
    corner = np.array([[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 4.0, 0.0]])
    points = np.array([[1.0, 1.0, 2.0], [2.0, -3.0, 0.0], [-3.0, -4.0, 0.0], [3.0, 3.0, 0.0]])
    expected = [2.0, 3.0, 5.0, math.sqrt(2.0)]
    assert distance_to_triangles(points, np.repeat(corner[None], 4, axis=0)) == pytest.approx(expected)
    flat = np.array([[[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0]]])
    assert distance_to_triangles(np.array([[1.0, 1.0, 0.0]]), flat) == pytest.approx([1.0])

"""Meshes of kernel solids: closed, and as near to the true surface as they say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.errors import KernelError
from geometry.meshes import mesh_faults, signed_volume
from geometry.solid_meshes import mesh_of_solid


def test_planar_solid_is_exact_and_closed() -> None:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox

    mesh = mesh_of_solid(BRepPrimAPI_MakeBox(1.0, 2.0, 3.0).Solid())
    assert (mesh.chord_error, mesh_faults(mesh), len(mesh.vertices)) == (0.0, (), 8)
    assert signed_volume(mesh) == pytest.approx(6.0, rel=1e-12)


def test_cylinder_has_the_sag_of_its_facets_and_keeps_no_older_mesh() -> None:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder

    solid = BRepPrimAPI_MakeCylinder(12.0, 5.0).Solid()
    coarse, fine = mesh_of_solid(solid, 0.05), mesh_of_solid(solid, 0.002)
    for mesh, tolerance in ((coarse, 0.05), (fine, 0.002)):
        radii = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
        facets = int((radii > 11.9).sum()) // 2
        assert mesh.chord_error == pytest.approx(12.0 * (1.0 - math.cos(math.pi / facets)), rel=1e-6)
        assert mesh.chord_error <= tolerance
        assert mesh_faults(mesh) == ()
    assert len(fine.triangles) > 3 * len(coarse.triangles)


def test_sphere_error_is_measured_also_at_its_poles() -> None:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeSphere

    mesh = mesh_of_solid(BRepPrimAPI_MakeSphere(10.0).Solid(), 0.05)
    middles = np.linalg.norm(mesh.corners.mean(axis=1), axis=1)
    assert mesh_faults(mesh) == ()
    assert 10.0 - middles.min() <= mesh.chord_error <= 0.05


def test_a_shape_without_faces_is_refused() -> None:
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    nothing = TopoDS_Compound()
    BRep_Builder().MakeCompound(nothing)
    with pytest.raises(KernelError, match="no faces"):
        mesh_of_solid(nothing)


def test_flat_faces_of_a_cylinder_are_known_to_be_exact() -> None:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder

    mesh = mesh_of_solid(BRepPrimAPI_MakeCylinder(12.0, 5.0).Solid(), 0.01)
    assert mesh.curved is not None
    heights = mesh.corners[:, :, 2]
    ends = (heights == heights[:, :1]).all(axis=1)
    assert list(mesh.curved) == list(~ends)

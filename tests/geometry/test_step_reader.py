"""What the reader does to a solid in its own process: the mesh it chooses."""

from __future__ import annotations

from typing import Any

import pytest

from geometry import step_reader
from geometry.meshes import mesh_faults, signed_volume
from geometry.solids import volume_of_solid


def lofted(low: tuple[float, float], high: tuple[float, float], height: float) -> Any:
    """Loft a solid between two ellipses (mm)."""
    import cadquery as cq

    sketch = cq.Workplane("XY").ellipse(*low).workplane(offset=height).ellipse(*high)
    return sketch.loft().val().wrapped


def test_a_freeform_solid_is_meshed_as_finely_as_its_triangles_allow(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(step_reader, "MOST_TRIANGLES", 20_000)
    solid = lofted((32, 27), (28, 24), 190)
    mesh = step_reader._mesh(solid, 0.002)
    assert 10_000 < len(mesh.triangles) < 2 * 20_000
    assert 0.002 < mesh.chord_error < 1.0
    assert mesh_faults(mesh) == ()
    # its surface of about 190 x 2 pi x 28 mm lies within the stated error
    surface = 190 * 6.2832 * 28 + 2 * 3.1416 * 32 * 27
    assert abs(signed_volume(mesh) - volume_of_solid(solid)) < surface * mesh.chord_error


def test_a_plain_solid_is_meshed_as_finely_as_asked() -> None:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder

    mesh = step_reader._mesh(BRepPrimAPI_MakeCylinder(12.0, 40.0).Solid(), 0.002)
    assert 0.0005 < mesh.chord_error <= 0.002

"""Thread meshes: what the public function gives, how rod and nut mate, and what is refused."""

import math

import numpy as np
import pytest
import trimesh

from geometry.errors import ShapeError
from geometry.thread_ends import threaded_bore, threaded_rod
from geometry.thread_mesh import nut_mesh, rod_mesh, thread_mesh
from geometry.thread_properties import threaded_solid
from geometry.threads import thread


def test_rod_and_nut_mate_in_one_frame():
    """With clearance on root and crest only, the flanks touch: no rod vertex lies deep inside the nut."""
    made = thread("Tr8x1.5")
    vertices, _ = rod_mesh(threaded_rod(made, 20), 0.005)
    inside = vertices[(vertices[:, 2] > 4) & (vertices[:, 2] < 12)]
    angle = np.arctan2(inside[:, 1], inside[:, 0])
    s = (inside[:, 2] - angle * made.lead_mm / math.tau) % made.pitch_mm
    corners = np.array(
        [p for piece in made.internal.pieces for p in (piece.poles[0],)]
        + [made.internal.pieces[-1].poles[-1]]
    )
    s_bore = np.concatenate((corners[:, 0] - made.pitch_mm, corners[:, 0], corners[:, 0] + made.pitch_mm))
    bore_radius = np.interp(s, s_bore, np.tile(corners[:, 1], 3))
    assert (np.hypot(inside[:, 0], inside[:, 1]) <= bore_radius + 1e-9).all()


def test_the_public_function_gives_a_trimesh():
    mesh = thread_mesh("M3x0.5", 10, tolerance_mm=0.005)
    assert isinstance(mesh, trimesh.Trimesh)
    assert mesh.is_volume
    assert mesh.bounds == pytest.approx(np.array([[-1.5, -1.5, 0], [1.5, 1.5, 10]]), abs=0.005)
    exact = threaded_solid(threaded_rod(thread("M3"), 10)).volume_mm3
    assert -0.003 < mesh.volume / exact - 1 < 0


def test_same_input_same_mesh():
    one, other = (thread_mesh("M3", 5, tolerance_mm=0.01) for _ in range(2))
    assert one.vertices.tobytes() == other.vertices.tobytes()
    assert one.faces.tobytes() == other.faces.tobytes()


@pytest.mark.parametrize("tolerance", [0.0, -1.0, 9e-5, 0.11, math.nan, math.inf])
def test_a_tolerance_out_of_range_is_refused_with_the_range(tolerance):
    with pytest.raises(ShapeError, match=r"must lie between 0.0001 and 0.1") as refusal:
        thread_mesh("M3", 5, tolerance_mm=tolerance)
    assert "take" in refusal.value.problems[0].repair


def test_a_mesh_that_would_be_huge_is_refused():
    with pytest.raises(ShapeError, match="triangles, at most 8000000"):
        thread_mesh("M24x1", 1000, tolerance_mm=1e-4)


def test_a_nut_narrower_than_its_bore_is_refused():
    bore = threaded_bore(thread("Tr8x1.5"), 0, 8)
    with pytest.raises(ShapeError, match=r"outside comes to radius 4\.1 mm, its bore needs"):
        nut_mesh(bore, [(8.0, 0.0), (4.1, 8.0)], 0.01)

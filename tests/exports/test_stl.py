import numpy as np
import pytest

from exports.stl import stl_bytes, write_stl
from geometry.bodies import Box, Cylinder, Shape
from geometry.errors import KernelError
from geometry.meshes import Mesh, mesh_faults, mesh_of, signed_volume
from geometry.stl_reader import read_stl

TUBE = mesh_of(
    Shape((Cylinder("z", (0.1, 0.2), 3.3, (0.0, 7.7)),), (Cylinder("z", (0.1, 0.2), 1.1, (0.0, 7.7)),)), 0.01
)


def test_size_header_and_count_are_those_of_binary_stl() -> None:
    data, said = stl_bytes(TUBE)
    assert said == ()
    assert len(data) == 84 + 50 * len(TUBE.triangles)
    assert int.from_bytes(data[80:84], "little") == len(TUBE.triangles)
    assert not data.lower().startswith(b"solid")


def test_mesh_comes_back_closed_with_its_volume() -> None:
    found = read_stl(stl_bytes(TUBE)[0], 1.0, surface_only=False)
    assert found.not_checked == ()
    # Single precision: 2^-24 of each coordinate; the volume moves by about that share of it.
    assert found.volume == pytest.approx(signed_volume(TUBE), rel=1e-6)
    assert mesh_faults(found.mesh) == ()


def test_an_independent_reader_agrees(tmp_path) -> None:  # type: ignore[no-untyped-def] # pytest's path
    import trimesh

    write_stl(tmp_path / "tube.stl", TUBE)
    found = trimesh.load_mesh(tmp_path / "tube.stl")
    assert found.is_watertight
    assert found.is_winding_consistent
    assert found.volume == pytest.approx(signed_volume(TUBE), rel=1e-6)


def test_normals_point_outward_with_length_one() -> None:
    cube = mesh_of(Shape((Box((-1, -1, -1), (1, 1, 1)),)))
    data, _ = stl_bytes(cube)
    rows = np.frombuffer(data, np.dtype([("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")]), offset=84)
    outward = np.einsum("ij,ij->i", rows["n"], rows["c"].mean(axis=1))
    assert outward == pytest.approx(np.ones(12), abs=1e-6)
    assert np.linalg.norm(rows["n"], axis=1) == pytest.approx(np.ones(12), abs=1e-6)


def test_same_mesh_same_bytes() -> None:
    assert stl_bytes(TUBE) == stl_bytes(Mesh(TUBE.vertices.copy(), TUBE.triangles.copy(), TUBE.chord_error))


def test_triangles_thinner_than_single_precision_leave_no_hole() -> None:
    cube = mesh_of(Shape((Box((0, 0, 0), (100, 100, 100)),)))
    # Put a point 1e-9 mm beside corner 0 on an edge from it: its triangles vanish in single precision.
    triangle = int(np.flatnonzero((cube.triangles == 0).any(axis=1))[0])
    a, b, c = np.roll(cube.triangles[triangle], -int(np.flatnonzero(cube.triangles[triangle] == 0)[0]))
    twin = int(np.flatnonzero(((cube.triangles == a) | (cube.triangles == b)).sum(axis=1) == 2)[1])
    d = int(next(v for v in cube.triangles[twin] if v not in (a, b)))
    new = len(cube.vertices)
    towards = cube.vertices[b] - cube.vertices[a]
    vertices = np.vstack([cube.vertices, cube.vertices[a] + 1e-9 * towards / np.linalg.norm(towards)])
    kept = np.delete(cube.triangles, [triangle, twin], axis=0)
    split = [[a, new, c], [new, b, c], [b, new, d], [new, a, d]]
    fine = Mesh(vertices, np.vstack([kept, split]).astype(np.int32), 0.0)
    assert mesh_faults(fine) == ()
    data, said = stl_bytes(fine)
    assert said == ()
    assert int.from_bytes(data[80:84], "little") == 12


def test_open_mesh_is_written_and_said(tmp_path) -> None:  # type: ignore[no-untyped-def] # pytest's path
    cube = mesh_of(Shape((Box((0, 0, 0), (1, 1, 1)),)))
    said = write_stl(tmp_path / "open.stl", Mesh(cube.vertices, cube.triangles[1:], 0.0))
    assert len(said) == 1
    assert said[0].startswith("open.stl: not a closed solid: 3 free edges")
    assert (tmp_path / "open.stl").stat().st_size == 84 + 50 * 11


def test_not_a_number_is_ours_to_mend() -> None:
    with pytest.raises(KernelError, match="not finite"):
        stl_bytes(Mesh(np.full((3, 3), np.nan), np.array([[0, 1, 2]], np.int32), 0.0))

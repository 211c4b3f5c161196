"""STL files: units, damage, and which way and how completely their surfaces close."""

from __future__ import annotations

import math
import struct
from pathlib import Path

import numpy as np
import pytest
from file_solids import CUBE, read, refusal

from exports.stl import stl_bytes
from geometry.bodies import Box, Shape
from geometry.housing import placed_solid
from geometry.meshes import Mesh, mesh_of, moved


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1.0), ("inch", 25.4), ("cm", 10.0), ("m", 1000.0)])
def test_stl_is_read_in_its_declared_unit(tmp_path: Path, unit: str, factor: float) -> None:
    found = read(tmp_path, "cube.stl", stl_bytes(CUBE)[0], unit=unit, shift=(1.0, 0.0, 0.0))
    (cube,) = found.solids
    assert (cube.name, cube.closed, cube.brep, found.unit) == ("cube", True, b"", unit)
    assert cube.volume == pytest.approx((10 * factor) ** 3, rel=1e-6)
    assert cube.low == (1.0, 0.0, 0.0)
    assert placed_solid(cube) is None


def test_stl_without_a_unit_shows_its_extents(tmp_path: Path) -> None:
    text = refusal(tmp_path, "cube.stl", stl_bytes(CUBE)[0], unit="")
    assert "an STL carries no unit; the extents are 10.00 x 10.00 x 10.00" in text


def ascii_stl(mesh: Mesh) -> str:
    corners = (
        "".join(f"vertex {x:.9g} {y:.9g} {z:.9g}\n" for x, y, z in triangle) for triangle in mesh.corners
    )
    facets = "".join(f"facet normal 0 0 0\n outer loop\n{text} endloop\nendfacet\n" for text in corners)
    return f"solid cube\n{facets}endsolid cube\n"


def test_ascii_stl_is_read_and_its_damage_seen(tmp_path: Path) -> None:
    text = ascii_stl(CUBE)
    assert read(tmp_path, "cube.stl", text.encode()).solids[0].volume == pytest.approx(1000)
    assert "truncated or damaged" in refusal(tmp_path, "cube.stl", text[: len(text) // 2].encode())
    assert "line 4: 'vertex 0 0 zero' is no vertex" in refusal(
        tmp_path, "cube.stl", text.replace(text.splitlines()[3], "vertex 0 0 zero", 1).encode()
    )


def test_binary_stl_that_begins_with_solid_is_binary(tmp_path: Path) -> None:
    data = b"solid facet".ljust(80) + stl_bytes(CUBE)[0][80:]
    assert read(tmp_path, "cube.stl", data).solids[0].volume == pytest.approx(1000)


@pytest.mark.parametrize("change", [-1, -50, 7])
def test_truncated_binary_stl_is_refused(tmp_path: Path, change: int) -> None:
    data = stl_bytes(CUBE)[0]
    text = refusal(tmp_path, "cube.stl", data[:change] if change < 0 else data + b"x" * change)
    assert f"the 12 triangles announced need 684 bytes, the file has {684 + change}" in text


def test_stl_that_is_nothing_is_refused(tmp_path: Path) -> None:
    assert "0 triangles" in refusal(tmp_path, "a.stl", bytes(84))
    assert "3 bytes are no STL" in refusal(tmp_path, "a.stl", b"abc")


def test_stl_with_not_a_number_is_refused(tmp_path: Path) -> None:
    data = bytearray(stl_bytes(CUBE)[0])
    data[84 + 50 * 6 + 12 : 84 + 50 * 6 + 16] = struct.pack("<f", math.nan)
    text = refusal(tmp_path, "cube.stl", bytes(data))
    assert "1 of 12 triangles have coordinates that are not numbers, the first is triangle 7" in text


def test_stl_with_a_triangle_missing_gives_no_inside(tmp_path: Path) -> None:
    found = read(tmp_path, "cube.stl", stl_bytes(Mesh(CUBE.vertices, CUBE.triangles[1:], 0.0))[0])
    assert (found.solids[0].closed, found.solids[0].volume) == (False, None)
    assert found.not_checked[0].startswith(
        "cube.stl: 3 free edges: the surface is not closed (longest 14.142 mm at "
    )
    assert found.not_checked[0].endswith("distance to the surface only, containment NOT CHECKED")


def test_part_flipped_stl_gives_no_inside(tmp_path: Path) -> None:
    triangles = CUBE.triangles.copy()
    triangles[3] = triangles[3][::-1]
    found = read(tmp_path, "cube.stl", stl_bytes(Mesh(CUBE.vertices, triangles, 0.0))[0])
    assert not found.solids[0].closed
    assert "3 edges whose two triangles face opposite ways" in found.not_checked[0]


def test_inverted_stl_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, "cube.stl", stl_bytes(Mesh(CUBE.vertices, CUBE.triangles[:, ::-1], 0.0))[0])
    assert "inside out: the body around 5.000, 5.000, 5.000 mm has the volume -1000 mm3" in text


def test_stl_far_from_its_origin_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, "cube.stl", stl_bytes(moved(CUBE, (2e6, 0, 0)))[0])
    assert "lies 2e+06 mm from its origin" in text


def together(*meshes: Mesh) -> bytes:
    counts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    triangles = [mesh.triangles + count for mesh, count in zip(meshes, counts, strict=False)]
    whole = Mesh(np.vstack([mesh.vertices for mesh in meshes]), np.vstack(triangles).astype(np.int32), 0.0)
    return stl_bytes(whole)[0]


def small(size: float, at: float, inward: bool = False) -> Mesh:
    mesh = mesh_of(Shape((Box((at, at, at), (at + size, at + size, at + size)),)))
    return Mesh(mesh.vertices, mesh.triangles[:, ::-1].copy(), 0.0) if inward else mesh


def test_overlapping_bodies_are_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, "two.stl", together(CUBE, moved(CUBE, (5, 0, 0))))
    assert "two bodies overlap by 500 mm3 around 7.500, 5.000, 5.000 mm" in text


def test_inner_shell_turned_the_wrong_way_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, "hollow.stl", together(CUBE, small(4, 3)))
    assert "the body around 5.000, 5.000, 5.000 mm (64 mm3) lies inside another body" in text
    assert "flip the inner shell" in text


@pytest.mark.parametrize(
    ("pieces", "volume"),
    [
        ((CUBE, small(4, 3, inward=True)), 1000 - 64),  # a cavity
        ((CUBE, small(4, 3, inward=True), small(2, 4)), 1000 - 64 + 8),  # a body in a cavity
        ((CUBE, moved(CUBE, (20, 0, 0))), 2000),  # apart
        ((CUBE, moved(small(4, 0), (10, 3, 3))), 1064),  # touching
    ],
)
def test_cavities_and_separate_bodies_are_right(
    tmp_path: Path, pieces: tuple[Mesh, ...], volume: float
) -> None:
    found = read(tmp_path, "many.stl", together(*pieces))
    assert found.not_checked == ()
    assert found.solids[0].volume == pytest.approx(volume, rel=1e-6)


def test_cavity_outside_of_any_body_is_refused(tmp_path: Path) -> None:
    assert "inside out" in refusal(tmp_path, "a.stl", together(CUBE, small(4, 20, inward=True)))

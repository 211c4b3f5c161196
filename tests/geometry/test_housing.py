"""Files from users: what is read, what is refused, and the words for it."""

import math
import re
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from exports.step import Frame, Node, step_bytes
from exports.stl import stl_bytes
from geometry.bodies import Box, Cylinder, FileShape, Shape
from geometry.errors import InputError
from geometry.housing import FileSolids, origin_problem, placed_solid, read_solids, unit_problem
from geometry.meshes import Mesh, mesh_faults, mesh_of, moved, signed_volume
from geometry.solids import bounding_box, solid_of, volume_of_solid

BLOCK = Shape((Box((0, 0, 0), (40, 40, 100)),), (Cylinder("x", (20, 50), 12, (0, 40)),))
BLOCK_VOLUME = 40 * 40 * 100 - math.pi * 144 * 40
CUBE = mesh_of(Shape((Box((0, 0, 0), (10, 10, 10)),)))


def read(folder: Path, name: str, data: bytes, **about: Any) -> FileSolids:
    (folder / name).write_bytes(data)
    return read_solids(FileShape(name, **about), folder, tolerance_mm=0.01, field="housing.file")


def refusal(folder: Path, name: str, data: bytes, **about: Any) -> str:
    with pytest.raises(InputError) as caught:
        read(folder, name, data, **about)
    (problem,) = caught.value.problems
    assert problem.field == "housing.file"
    assert problem.message.startswith(f"{name}: ")
    assert problem.repair
    assert "Traceback" not in str(problem)
    return str(problem)


def step_of(shape: Any, folder: Path, unit: str = "MM") -> bytes:
    """Write any kernel shape, also one that is no solid, without names."""
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_Controller, STEPControl_StepModelType, STEPControl_Writer

    STEPControl_Controller.Init_s()
    Interface_Static.SetCVal_s("write.step.unit", unit)
    writer = STEPControl_Writer()
    writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    writer.Write(str(folder / "written.step"))
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    return (folder / "written.step").read_bytes()


def open_shell(shape: Any, left_out: int = 1) -> Any:
    """Give the faces of a shape less some as a shell."""
    from OCP.BRep import BRep_Builder
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS_Shell

    shell, builder = TopoDS_Shell(), BRep_Builder()
    builder.MakeShell(shell)
    explorer, index = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE), 0
    while explorer.More():
        if index >= left_out:
            builder.Add(shell, explorer.Current())
        explorer.Next()
        index += 1
    return shell


def named_step() -> bytes:
    block, cube = solid_of(BLOCK), solid_of(Shape((Box((0, 0, 0), (10, 10, 10)),)))
    children = (
        Node("wall", block, colour=(0.2, 0.4, 0.6, 0.5), frame=Frame((0, 0, 7))),
        Node("Gehäuse", cube, colour=(1, 0, 0, 1), frame=Frame((100, 0, 0), (1, 0, 0), (0, 1, 0))),
    )
    return step_bytes(Node("housing", children=children), title="housing")[0]


def test_step_keeps_names_colours_places_and_volumes(tmp_path: Path) -> None:
    found = read(tmp_path, "housing.step", named_step())
    assert (found.kind, found.unit, found.not_checked) == ("step", "millimetre", ())
    wall, cube = found.solids
    assert (wall.name, cube.name) == ("wall", "Gehäuse")
    assert wall.colour == pytest.approx((0.2, 0.4, 0.6, 0.5), abs=1e-6)
    assert wall.closed
    assert wall.volume == pytest.approx(BLOCK_VOLUME, rel=1e-9)
    assert wall.low == pytest.approx((0, 0, 7), abs=1e-5)
    assert wall.high == pytest.approx((40, 40, 107), abs=1e-5)
    assert cube.low == pytest.approx((100, 0, 0), abs=1e-5)
    assert mesh_faults(wall.mesh) == ()
    assert 0 < wall.mesh.chord_error <= 0.01
    # An inscribed bore is too small by at most its chord error all round.
    assert 0 <= signed_volume(wall.mesh) - BLOCK_VOLUME <= 2 * math.pi * 12 * 40 * wall.mesh.chord_error


def test_step_shift_moves_mesh_box_and_exact_solid(tmp_path: Path) -> None:
    found = read(tmp_path, "housing.step", named_step(), solid_name="Gehäuse", shift=(1.0, 2.0, 3.0))
    (cube,) = found.solids
    assert cube.low == pytest.approx((101, 2, 3), abs=1e-5)
    assert cube.mesh.bounds[0] == pytest.approx((101, 2, 3), abs=1e-9)
    solid = placed_solid(cube)
    assert bounding_box(solid)[0] == pytest.approx((101, 2, 3), abs=1e-5)
    assert volume_of_solid(solid) == pytest.approx(1000, rel=1e-9)


def test_step_in_inches_is_converted_and_said(tmp_path: Path) -> None:
    data = step_of(solid_of(BLOCK), tmp_path, "INCH")
    assert b"25.4" in data
    found = read(tmp_path, "box.stp", data)
    assert found.unit == "inch"
    assert found.solids[0].high == pytest.approx((40, 40, 100), abs=1e-5)
    assert any("inch" in note for note in found.notes)


def test_repeated_names_are_made_unique_and_said(tmp_path: Path) -> None:
    found = read(tmp_path, "pair.step", named_step().replace(rb"Geh\X2\00E4\X0\use", b"wall"))
    assert [solid.name for solid in found.solids] == ["wall", "wall-2"]
    assert found.notes == ("pair.step: name made unique: wall -> wall-2",)


def test_name_that_is_not_there_lists_those_that_are(tmp_path: Path) -> None:
    text = refusal(tmp_path, "housing.step", named_step(), solid_name="lid")
    assert "no solid is named 'lid'" in text
    assert "wall, Gehäuse" in text


def test_open_shell_is_refused_with_its_free_edges(tmp_path: Path) -> None:
    text = refusal(tmp_path, "housing.step", step_of(open_shell(solid_of(BLOCK)), tmp_path))
    assert "1 open shell, 0 solids, " in text
    assert "free edge" in text
    assert "longest" in text
    assert "clearance NOT CHECKED" in text
    assert "surface_only = true" in text


def test_open_shell_beside_a_solid_is_refused_too(tmp_path: Path) -> None:
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    both, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(both)
    builder.Add(both, solid_of(BLOCK))
    builder.Add(both, open_shell(solid_of(Shape((Box((50, 0, 0), (60, 10, 10)),)))))
    text = refusal(tmp_path, "housing.step", step_of(both, tmp_path))
    assert "1 open shell, 1 solid, 4 free edges (longest 10.000 mm at " in text


def test_closed_shell_without_a_solid_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, "housing.step", step_of(open_shell(solid_of(BLOCK), left_out=0), tmp_path))
    assert "1 closed shell without a solid, 0 solids" in text


def test_declared_surface_is_read_without_a_volume(tmp_path: Path) -> None:
    data = step_of(open_shell(solid_of(BLOCK)), tmp_path)
    found = read(tmp_path, "housing.step", data, surface_only=True)
    assert not found.solids[0].closed
    assert found.solids[0].volume is None
    assert found.not_checked == ("housing.step: declared surface_only: containment NOT CHECKED",)


def test_solid_with_a_missing_face_is_refused(tmp_path: Path) -> None:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid

    solid = BRepBuilderAPI_MakeSolid(open_shell(solid_of(BLOCK))).Solid()
    assert "free edge" in refusal(tmp_path, "housing.step", step_of(solid, tmp_path))


def test_faces_turned_against_each_other_are_no_valid_solid(tmp_path: Path) -> None:
    text = refusal(tmp_path, "block.step", named_step().replace(b",.F.);", b",.T.);"))
    assert "solid 'wall' is not a valid shape" in text


@pytest.mark.parametrize(
    ("written", "wrong"),
    [(rb"(=CIRCLE\('',#\d+,)12\.", rb"\g<1>9."), (rb"\(40\.,0\.,100\.\)", b"(40.,0.,103.)")],
)
def test_edges_beside_their_faces_are_refused(tmp_path: Path, written: bytes, wrong: bytes) -> None:
    """The kernel widens its tolerance to 3 mm here, and calls the solid valid."""
    data = named_step()
    assert re.search(written, data)
    text = refusal(tmp_path, "block.step", re.sub(written, wrong, data))
    assert "of 'wall' miss each other by up to 3" in text


def test_step_without_shapes_is_refused(tmp_path: Path) -> None:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.gp import gp_Pnt

    edge = BRepBuilderAPI_MakeEdge(gp_Pnt(0, 0, 0), gp_Pnt(1, 0, 0)).Edge()
    assert "0 solids" in refusal(tmp_path, "wire.step", step_of(edge, tmp_path))


@pytest.mark.parametrize("damage", ["empty", "noise", "cut short", "no shapes"])
def test_damaged_step_is_refused(tmp_path: Path, damage: str) -> None:
    whole = named_step()
    start = b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n"
    data = {
        "empty": b"",
        "noise": np.random.default_rng(1).bytes(5000),
        "cut short": whole[: len(whole) // 2],
        "no shapes": start + b"#1=PRODUCT('a','a','',(#1));\nENDSEC;\nEND-ISO-10303-21;\n",
    }[damage]
    text = refusal(tmp_path, "housing.step", data)
    assert "not a whole STEP file" in text or "0 solids" in text


def test_step_that_kills_the_kernel_is_refused(tmp_path: Path) -> None:
    """The kernel dies of a segmentation fault on points of an unknown type (measured with OCP 7.9)."""
    text = refusal(
        tmp_path, "housing.step", named_step().replace(b"=CARTESIAN_POINT(", b"=CARTESIAN_POINTX(")
    )
    assert "the file is damaged" in text


@pytest.mark.parametrize(
    ("entity", "words"),
    [
        (b"=CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(", "1 solid of the file could not be read: NOT CHECKED"),
        (
            b"=MANIFOLD_SOLID_BREP(",
            "references in the file that lead nowhere: 2; what is missing is NOT CHECKED",
        ),
    ],
)
def test_solid_that_the_kernel_drops_is_not_checked(tmp_path: Path, entity: bytes, words: str) -> None:
    lines = named_step().split(b"\n")
    lines.remove(next(line for line in lines if entity in line))
    found = read(tmp_path, "housing.step", b"\n".join(lines))
    assert [solid.name for solid in found.solids] == ["Gehäuse"]
    assert found.not_checked == (f"housing.step: {words}",)


def test_missing_file_and_unknown_kind_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_solids(FileShape("nowhere.step"), tmp_path)
    assert "neither STEP nor STL" in refusal(tmp_path, "housing.obj", b"")


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


def housing_stl(folder: Path, scale: float, unit: str) -> FileSolids:
    size = np.array((48, 49, 192)) * scale
    mesh = mesh_of(Shape((Box((0, 0, 0), tuple(float(side) for side in size)),)))  # type: ignore[arg-type] # three
    return read(folder, "housing.stl", stl_bytes(mesh)[0], unit=unit)


def test_housing_in_inches_read_as_mm_names_the_unit(tmp_path: Path) -> None:
    problem = unit_problem(housing_stl(tmp_path, 1 / 25.4, "mm"), 167.0, "housing.unit")
    assert problem is not None
    text = str(problem)
    assert "largest extent 7.56 with the declared unit mm (1.89 x 1.93 x 7.56)" in text
    assert "the actuator alone is 167 mm. x25.4 -> 192 mm would contain it. Nothing was scaled" in text
    assert 'declare unit = "inch"' in text


def test_housing_in_mm_read_as_inches_names_the_unit(tmp_path: Path) -> None:
    problem = unit_problem(housing_stl(tmp_path, 1, "inch"), 167.0)
    assert problem is not None
    assert 'declare unit = "mm"' in problem.repair


def test_housing_in_its_own_unit_raises_no_question(tmp_path: Path) -> None:
    assert unit_problem(housing_stl(tmp_path, 1 / 25.4, "inch"), 167.0) is None
    assert unit_problem(housing_stl(tmp_path, 1, "mm"), 167.0) is None


def test_housing_that_no_unit_makes_fit_says_so(tmp_path: Path) -> None:
    problem = unit_problem(housing_stl(tmp_path, 1e-7, "mm"), 167.0)
    assert problem is not None
    assert "No unit makes it fit" in problem.message


def test_actuator_outside_the_housing_is_told_with_its_distance(tmp_path: Path) -> None:
    found = housing_stl(tmp_path, 1, "mm")
    problem = origin_problem(found, (0, 261, 0), (48, 300, 150))
    assert problem is not None
    assert "outside the bounding box of housing.stl by 212 mm in y" in problem.message
    assert "[0.0, 256.0, -21.0]" in problem.repair
    assert origin_problem(found, (0, 40, 0), (48, 300, 150)) is None

"""Files from users: what is read, what is refused, and the words for it."""

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from file_solids import read, refusal

from exports.step import Frame, Node, step_bytes
from exports.stl import stl_bytes
from geometry.bodies import Box, Cylinder, FileShape, Shape
from geometry.errors import InputError
from geometry.housing import FileSolids, origin_problem, placed_solid, read_solids, unit_problem
from geometry.meshes import mesh_faults, mesh_of, signed_volume
from geometry.solids import bounding_box, solid_of, volume_of_solid

BLOCK = Shape((Box((0, 0, 0), (40, 40, 100)),), (Cylinder("x", (20, 50), 12, (0, 40)),))
BLOCK_VOLUME = 40 * 40 * 100 - math.pi * 144 * 40


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

"""What is written comes back: names, colours, tree, places, volumes, unit; and the same bytes everywhere."""

import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from exports.step import EPOCH, Frame, Node, step_bytes, write_step
from geometry.bodies import Box, Cylinder, Shape
from geometry.errors import KernelError
from geometry.solids import bounding_box, solid_of, volume_of_solid

ROOT = Path(__file__).parents[2]
BRICK = Shape((Box((0, 0, 0), (1, 2, 3)),))
ROD = Shape((Cylinder("z", (0, 0), 3, (0, 5)),), (Cylinder("z", (0, 0), 1, (0, 5)),))
GREEN = (0.1, 0.7, 0.2, 1.0)
GLASS = (0.5, 0.5, 0.9, 0.25)


def lift() -> Node:
    brick, rod = solid_of(BRICK), solid_of(ROD)
    moving = Node(
        "moving",
        children=(
            Node("nut", rod, colour=GREEN),
            Node("carriage", brick, colour=GLASS, frame=Frame((10, 20, 30))),
        ),
        frame=Frame((0, 0, 100)),
    )
    fixed = Node(
        "fixed",
        children=(
            Node("planet", rod, colour=GREEN, frame=Frame((5, 0, 0), (1, 0, 0), (0, 1, 0))),
            Node("planet", rod, colour=GREEN, frame=Frame((-5, 0, 0))),
            Node("Gehäuse 中", brick, colour=(1, 0, 0, 1)),
        ),
    )
    return Node("lift", children=(moving, fixed))


def reread(path: Path) -> list[tuple[int, str, tuple[float, ...] | None, Any]]:
    """Give depth, occurrence name, colour and placed shape of every node of the tree."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Quantity import Quantity_TypeOfColor
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_ShapeTool
    from OCP.XCAFPrs import XCAFPrs_DocumentExplorer

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    assert reader.Transfer(document)
    found = []
    explorer = XCAFPrs_DocumentExplorer(document, 0)
    while explorer.More():
        node = explorer.Current()
        name = TDataStd_Name()
        assert node.Label.FindAttribute(TDataStd_Name.GetID_s(), name)
        colour = node.Style.GetColorSurfRGBA() if node.Style.IsSetColorSurf() else None
        rgba = colour and (*colour.GetRGB().Values(Quantity_TypeOfColor.Quantity_TOC_sRGB), colour.Alpha())
        shape = XCAFDoc_ShapeTool.GetShape_s(node.RefLabel).Moved(node.Location)
        found.append((explorer.CurrentDepth(), name.Get().ToExtString(), rgba, shape))
        explorer.Next()
    return found


def test_everything_comes_back(tmp_path: Path) -> None:
    said = write_step(tmp_path / "lift.step", lift())
    assert said == ("name made unique: planet -> planet-2",)
    nodes = reread(tmp_path / "lift.step")
    assert [(depth, name) for depth, name, _, _ in nodes] == [
        (0, "lift"),
        (1, "moving"),
        (2, "nut"),
        (2, "carriage"),
        (1, "fixed"),
        (2, "planet"),
        (2, "planet-2"),
        (2, "Gehäuse 中"),
    ]
    by_name = {name: (colour, shape) for _, name, colour, shape in nodes}
    for name, colour in (
        ("nut", GREEN),
        ("carriage", GLASS),
        ("planet-2", GREEN),
        ("Gehäuse 中", (1, 0, 0, 1)),
    ):
        assert by_name[name][0] == pytest.approx(colour, abs=1e-6), name
    # The kernel keeps single precision for colours, 1e-7 mm for boxes.
    for name, volume, low, high in (
        ("nut", 40 * math.pi, (-3, -3, 100), (3, 3, 105)),
        ("carriage", 6.0, (10, 20, 130), (11, 22, 133)),
        ("planet", 40 * math.pi, (5, -3, -3), (10, 3, 3)),
        ("planet-2", 40 * math.pi, (-8, -3, 0), (-2, 3, 5)),
        ("Gehäuse 中", 6.0, (0, 0, 0), (1, 2, 3)),
    ):
        shape = by_name[name][1]
        assert volume_of_solid(shape) == pytest.approx(volume, rel=1e-6), name
        found_low, found_high = bounding_box(shape)
        assert found_low == pytest.approx(low, abs=1e-5), name
        assert found_high == pytest.approx(high, abs=1e-5), name


def test_two_processes_and_two_runs_give_the_same_bytes(tmp_path: Path) -> None:
    code = (
        f"import sys; sys.path[:0] = [{str(ROOT)!r}, {str(Path(__file__).parent)!r}]\n"
        "from test_step import lift, step_bytes\n"
        "step_bytes(lift(), title='warm up', date='')\n"  # occurrence numbers count on within a process
        "sys.stdout.buffer.write(step_bytes(lift(), title='lift', date='2024-05-06')[0])\n"
    )
    here = step_bytes(lift(), title="lift", date="2024-05-06")[0]
    for _ in range(2):
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
        assert done.stdout == here  # and nothing of the kernel's chatter beside it


def test_header_says_ap242_millimetres_and_no_clock() -> None:
    text = step_bytes(lift(), title="Mütter's lift", date="2024-05-06", author="J. Doe")[0].decode("ascii")
    head, data = text.split("DATA;", 1)
    assert "FILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF" in head
    assert "FILE_NAME('M\\X2\\00FC\\X0\\tter''s lift','2024-05-06T00:00:00',('J. Doe')" in head
    assert "SI_UNIT(.MILLI.,.METRE.)" in data
    assert "INCH" not in data.upper()


@pytest.mark.parametrize("date", ["", "6th of May", "2024-05"])
def test_date_that_is_no_date_gives_the_epoch(date: str) -> None:
    assert EPOCH.encode() in step_bytes(Node("a", solid_of(BRICK)), title="a", date=date)[0]


def test_one_solid_many_times_is_one_product() -> None:
    rod = solid_of(ROD)
    alone = step_bytes(Node("a", children=(Node("planet", rod, colour=GREEN),)), title="a")[0]
    three = Node(
        "a", children=tuple(Node("planet", rod, colour=GREEN, frame=Frame((x, 0, 0))) for x in (0, 9, 18))
    )
    assert (
        step_bytes(three, title="a")[0].count(b"MANIFOLD_SOLID_BREP")
        == alone.count(b"MANIFOLD_SOLID_BREP")
        == 1
    )


def test_awkward_names_survive(tmp_path: Path) -> None:
    names = ["it's #1; a \\ name", "bracket_part", "two\nlines", " ", "x" * 150]
    tree = Node("all", children=tuple(Node(name, solid_of(BRICK)) for name in names))
    said = write_step(tmp_path / "a.step", tree)
    found = [name for _, name, _, _ in reread(tmp_path / "a.step")]
    assert found == ["all", "it's #1; a \\ name", "bracket-part", "two lines", "part", "x" * 150]
    assert len(said) == 3
    assert "'bracket_part' -> 'bracket-part'" in said[0]


def test_placement_that_a_solid_carries_is_kept(tmp_path: Path) -> None:
    from OCP.gp import gp_Trsf, gp_Vec
    from OCP.TopLoc import TopLoc_Location

    move = gp_Trsf()
    move.SetTranslation(gp_Vec(0, 0, 7))
    moved = solid_of(BRICK).Moved(TopLoc_Location(move))
    write_step(tmp_path / "alone.step", Node("a", moved))
    write_step(
        tmp_path / "tree.step",
        Node("t", children=(Node("a", moved, frame=Frame((1, 0, 0), (1, 0, 0), (0, 1, 0))),)),
    )
    assert bounding_box(reread(tmp_path / "alone.step")[-1][3])[0] == pytest.approx((0, 0, 7), abs=1e-5)
    # Frame: z of the part along x of the tree, x along y: (x, y, z) -> (1 + z, x, y).
    assert bounding_box(reread(tmp_path / "tree.step")[-1][3])[0] == pytest.approx((8, 0, 0), abs=1e-5)


def test_part_without_solid_is_ours_to_mend() -> None:
    with pytest.raises(KernelError, match="'ghost' has no solid"):
        step_bytes(Node("a", children=(Node("ghost"),)), title="a")

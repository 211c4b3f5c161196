"""A STEP file's solids as plain numbers, read in a process of its own: a malformed file can kill the kernel.

geometry.housing calls it as `python -m geometry.step_reader FILE ANSWER QUESTION`, the question in JSON. The
answer is a NumPy archive with a JSON header: nothing but numbers and text crosses between the processes.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from geometry.errors import KernelError, ShapeError
from geometry.meshes import Mesh
from geometry.names import unique_names
from geometry.solid_meshes import mesh_of_solid
from geometry.solids import bounding_box, brep_of_solid, volume_of_solid

FIRST_LOOK = 0.05  # mm; chord error of a first mesh, which tells how many triangles a finer one takes
MOST_TRIANGLES = 100_000  # of one solid; a lofted shell would take millions and many minutes at 0.002 mm
LOOSEST = 0.1  # mm; our own limit, a fifth of the usual clearance of a moving part
_CLOSE_IT = "close it in the CAD system, or set surface_only = true (distance to the surface only)"


@dataclass(frozen=True)
class Part:
    """A solid or a loose surface of the file, placed (mm), with its colour (sRGB and alpha, 0 to 1)."""

    name: str
    colour: list[float] | None
    is_solid: bool
    shape: Any


def main(file: str, answer: str, question: str) -> None:
    """Write the answer archive for one STEP file (mm); what is wrong with the file is an answer too."""
    asked = json.loads(question)
    arrays: dict[str, Any] = {}
    try:
        header = _read(file, asked, arrays)
    except ShapeError as refusal:
        header = {"message": refusal.problems[0].message, "repair": refusal.problems[0].repair}
    except KernelError as failure:
        header = {"message": str(failure)}
    except Exception as failure:  # the kernel raises types of its own with no common base but this
        if not type(failure).__module__.startswith("OCP"):
            raise
        header = {"message": f"the CAD kernel gave up on it ({type(failure).__name__})"}
    arrays["header"] = np.frombuffer(json.dumps(header).encode(), np.uint8)
    with open(answer, "wb") as stream:
        np.savez(stream, **arrays)


def _read(file: str, asked: dict[str, Any], arrays: dict[str, Any]) -> dict[str, Any]:
    """Fill the arrays (vertices, triangles, boundary representation of each part) and give the header."""
    document, units, solids_written = _load(file)
    parts, notes = _named(list(_parts(document)), Path(file).stem)
    lost = max(0, solids_written - _distinct(parts))
    parts = _wanted(parts, asked["solid_name"])
    surface_only = bool(asked["surface_only"])
    if not surface_only:
        _refuse_surfaces(parts)
    records = []
    for index, part in enumerate(parts):
        volume = None if surface_only else _volume(part)
        _refuse_invalid(part)
        _refuse_loose(part)
        mesh = _mesh(part.shape, asked["tolerance"])
        arrays[f"vertices{index}"], arrays[f"triangles{index}"] = mesh.vertices, mesh.triangles
        if mesh.curved is not None:
            arrays[f"curved{index}"] = mesh.curved
        arrays[f"brep{index}"] = np.frombuffer(brep_of_solid(part.shape), np.uint8)
        low, high = bounding_box(part.shape)
        record = {"name": part.name, "colour": part.colour, "volume": volume, "low": low, "high": high}
        records.append({**record, "chord_error": mesh.chord_error})
    return {"units": units, "parts": records, "lost": lost, "notes": notes}


def _load(file: str) -> tuple[Any, list[str], int]:
    """Give the document, the names of the file's length units and how many solids the file writes."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TColStd import TColStd_SequenceOfAsciiString
    from OCP.TDocStd import TDocStd_Document

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    repair = "export it again as STEP (AP242 or AP214) and check that the whole file arrived"
    if reader.ReadFile(file) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise ShapeError("this is not a whole STEP file", repair)
    names = [TColStd_SequenceOfAsciiString() for _ in range(3)]
    reader.ChangeReader().FileUnits(*names)
    units = sorted({names[0].Value(i).ToCString().lower() for i in range(1, names[0].Length() + 1)})
    model = reader.ChangeReader().StepModel()
    kinds = [model.Entity(i).DynamicType().Name() for i in range(1, model.NbEntities() + 1)]
    written = sum(kind.endswith(("_ManifoldSolidBrep", "_BrepWithVoids", "_FacetedBrep")) for kind in kinds)
    if not reader.Transfer(document):
        raise ShapeError("0 solids: nothing in the file makes a shape", repair)
    return document, units, written


def _parts(document: Any) -> Iterator[Part]:
    """Walk the placed leaves of the tree: their solids, then the surfaces that belong to no solid."""
    from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool
    from OCP.XCAFPrs import XCAFPrs_DocumentExplorer, XCAFPrs_DocumentExplorerFlags_OnlyLeafNodes

    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    explorer = XCAFPrs_DocumentExplorer(document, int(XCAFPrs_DocumentExplorerFlags_OnlyLeafNodes))
    while explorer.More():
        node = explorer.Current()
        name = _label_name(node.RefLabel) or _label_name(node.Label)
        whole = _rgba(node.Style.GetColorSurfRGBA()) if node.Style.IsSetColorSurf() else None
        for is_solid, piece in _pieces(XCAFDoc_ShapeTool.GetShape_s(node.RefLabel)):
            yield Part(name, _own_colour(colours, piece) or whole, is_solid, piece.Moved(node.Location))
        explorer.Next()


def _label_name(label: Any) -> str:
    """Give a label's name, or nothing where the kernel made it up."""
    from OCP.TDataStd import TDataStd_Name

    name = TDataStd_Name()
    if not label.FindAttribute(TDataStd_Name.GetID_s(), name):
        return ""
    text = str(name.Get().ToExtString()).strip()
    # The kernel's stand-ins for a missing name: a label's address, or the type of the shape.
    return "" if text.startswith("=>[") or text in {"SOLID", "COMPOUND", "SHELL", "COMPSOLID"} else text


def _pieces(shape: Any) -> Iterator[tuple[bool, Any]]:
    """Give the solids of a leaf, then its shells outside any solid, then its faces outside any shell."""
    from OCP.TopAbs import TopAbs_ShapeEnum as Kind
    from OCP.TopExp import TopExp_Explorer

    for wanted, avoid in (
        (Kind.TopAbs_SOLID, Kind.TopAbs_SHAPE),
        (Kind.TopAbs_SHELL, Kind.TopAbs_SOLID),
        (Kind.TopAbs_FACE, Kind.TopAbs_SHELL),
    ):
        explorer = TopExp_Explorer(shape, wanted, avoid)
        while explorer.More():
            yield wanted == Kind.TopAbs_SOLID, explorer.Current()
            explorer.Next()


def _own_colour(colours: Any, shape: Any) -> list[float] | None:
    """Give the colour that the file puts on this very shape."""
    from OCP.Quantity import Quantity_ColorRGBA
    from OCP.XCAFDoc import XCAFDoc_ColorType

    colour = Quantity_ColorRGBA()
    kinds = (XCAFDoc_ColorType.XCAFDoc_ColorSurf, XCAFDoc_ColorType.XCAFDoc_ColorGen)
    return _rgba(colour) if any(colours.GetColor(shape, kind, colour) for kind in kinds) else None


def _rgba(colour: Any) -> list[float]:
    """Give a kernel colour (linear single precision inside) as sRGB and alpha, to the digits it carries."""
    from OCP.Quantity import Quantity_TypeOfColor

    rgb = colour.GetRGB().Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)
    return [round(float(value), 6) for value in (*rgb, colour.Alpha())]


def _distinct(parts: list[Part]) -> int:
    """Count the solids, one that occurs several times once."""
    from OCP.TopLoc import TopLoc_Location

    return len({hash(part.shape.Located(TopLoc_Location())) for part in parts if part.is_solid})


def _named(parts: list[Part], stem: str) -> tuple[list[Part], list[str]]:
    """Give every part a name of its own: the file's, or the file name where there is none."""
    names, notes = unique_names(part.name or stem for part in parts)
    return [replace(part, name=name) for part, name in zip(parts, names, strict=True)], list(notes)


def _wanted(parts: list[Part], name: str) -> list[Part]:
    """Give all parts, or the one that was asked for by name."""
    if not parts:
        raise ShapeError("0 solids and 0 surfaces in the file", "export the solid bodies as STEP")
    found = [part for part in parts if name in ("", part.name)]
    if not found:
        there = ", ".join(part.name for part in parts[:12]) + (", ..." if len(parts) > 12 else "")
        raise ShapeError(f"no solid is named {name!r}", f"the file holds: {there}")
    return found


def _mesh(shape: Any, tolerance: float) -> Mesh:
    """Mesh a shape as finely as asked, or as MOST_TRIANGLES allow; the mesh says its chord error (mm).

    On freeform faces the kernel's count goes with 1 / tolerance, on others it grows more slowly.
    """
    look = mesh_of_solid(shape, max(FIRST_LOOK, tolerance))
    allowed = FIRST_LOOK * len(look.triangles) / MOST_TRIANGLES
    return mesh_of_solid(shape, max(tolerance, allowed))


def _refuse_surfaces(parts: list[Part]) -> None:
    """Refuse surfaces that bound no solid; say how many, how open, and where the longest free edge is."""
    shells = [part for part in parts if not part.is_solid]
    if not shells:
        return
    solids = len(parts) - len(shells)
    free = [edge for part in shells for edge in free_edges(part.shape)]
    kind = "open shell" if free else "closed shell without a solid"
    count = f"{len(shells)} {kind}{'s' * (len(shells) > 1)}, {solids} solid{'s' * (solids != 1)}"
    edges = f", {_about(free)}" if free else ""
    undecided = "inside and outside cannot be decided: clearance NOT CHECKED"
    raise ShapeError(f"{count}{edges}; {undecided}", _CLOSE_IT)


def _about(free: list[tuple[float, tuple[float, float, float]]]) -> str:
    length, (x, y, z) = max(free)
    return (
        f"{len(free)} free edge{'s' * (len(free) > 1)} (longest {length:.3f} mm at {x:.3f}, {y:.3f}, {z:.3f})"
    )


def free_edges(shape: Any) -> list[tuple[float, tuple[float, float, float]]]:
    """Give length and midpoint (mm) of every edge that bounds one face only."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GCPnts import GCPnts_AbscissaPoint
    from OCP.TopAbs import TopAbs_ShapeEnum as Kind
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

    faces_of = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, Kind.TopAbs_EDGE, Kind.TopAbs_FACE, faces_of)
    found = []
    for index in range(1, faces_of.Extent() + 1):
        edge, faces = TopoDS.Edge_s(faces_of.FindKey(index)), faces_of.FindFromIndex(index)
        seam = BRep_Tool.IsClosed_s(edge, TopoDS.Face_s(faces.First()))
        if faces.Extent() > 1 or seam or BRep_Tool.Degenerated_s(edge):
            continue
        curve = BRepAdaptor_Curve(edge)
        middle = curve.Value(0.5 * (curve.FirstParameter() + curve.LastParameter()))
        found.append((float(GCPnts_AbscissaPoint.Length_s(curve)), (middle.X(), middle.Y(), middle.Z())))
    return found


def _volume(part: Part) -> float:
    """Give a solid's volume (mm3); refuse one that is open or inside out."""
    free = free_edges(part.shape)
    if free:
        raise ShapeError(f"solid {part.name!r} is open: {_about(free)}; clearance NOT CHECKED", _CLOSE_IT)
    volume = volume_of_solid(part.shape)
    if not volume > 0:
        raise ShapeError(
            f"solid {part.name!r} is inside out: its volume is {volume:.6g} mm3",
            "turn its faces outward in the CAD system and export it again",
        )
    return volume


def _refuse_invalid(part: Part) -> None:
    """Refuse what the kernel calls invalid: such a shape meshes with holes and without an error."""
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TopAbs import TopAbs_ShapeEnum as Kind
    from OCP.TopExp import TopExp_Explorer

    if BRepCheck_Analyzer(part.shape).IsValid():
        return
    bad = []
    explorer = TopExp_Explorer(part.shape, Kind.TopAbs_FACE)
    while explorer.More():
        if not BRepCheck_Analyzer(explorer.Current()).IsValid():
            bad.append(explorer.Current())
        explorer.Next()
    place = "its faces do not fit together"
    if bad:
        x, y, z = ((a + b) / 2 for a, b in zip(*bounding_box(bad[0]), strict=True))
        place = f"{len(bad)} bad face{'s' * (len(bad) > 1)}, the first around {x:.3f}, {y:.3f}, {z:.3f} mm"
    kind = "solid" if part.is_solid else "surface"
    raise ShapeError(
        f"{kind} {part.name!r} is not a valid shape: {place}",
        "repair it in the CAD system and export it again",
    )


def _refuse_loose(part: Part) -> None:
    """Refuse a shape whose faces, edges and corners miss each other: to the kernel any gap is valid."""
    from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance

    gap = ShapeAnalysis_ShapeTolerance().Tolerance(part.shape, 1)  # 1: the largest
    if gap > LOOSEST:
        raise ShapeError(
            f"faces, edges and corners of {part.name!r} miss each other by up to {gap:.3g} mm "
            f"(limit {LOOSEST:g} mm)",
            "repair it in the CAD system and export it again",
        )


if __name__ == "__main__":
    main(*sys.argv[1:])

"""Solids of the CAD kernel: made of boxes and cylinders, and carried between processes as bytes (mm)."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any

from geometry.bodies import Box, Cylinder, Posed, Primitive, Prism, Shape
from geometry.errors import KernelError, ShapeError
from geometry.prisms import arc_angles, outline_edges, section_moments


def solid_of(shape: Shape, name: str = "") -> Any:
    """Build a shape's boxes and cylinders as one valid solid (TopoDS_Solid, mm).

    Raises ShapeError for a piece without extent or a shape in several pieces, KernelError if the kernel's
    booleans return something else than they were asked for.
    """
    for piece in (*shape.adds, *shape.cuts):
        _refuse_flat(piece, name)
    if not shape.adds:
        raise ShapeError("a shape without any solid piece", "add a box or a cylinder", name)
    solid = _primitive(shape.adds[0])
    if shape.adds[1:]:
        solid = _boolean("fuse", solid, [_primitive(piece) for piece in shape.adds[1:]])
    if shape.cuts:
        solid = _boolean("cut", solid, [_primitive(piece) for piece in shape.cuts])
    found = _solids_in(solid)
    if len(found) != 1:
        raise ShapeError(
            f"the pieces make {len(found)} solids, not one",
            "let the added pieces touch on a face and the cuts leave them joined, or make separate bodies",
            name,
        )
    _refuse_wrong(found[0], shape, name)
    return found[0]


def turned_solid(outline: Sequence[tuple[float, float]], name: str = "") -> Any:
    """Turn a closed outline (r, z, mm), counter-clockwise, about z into one valid solid (TopoDS_Solid, mm).

    Raises KernelError where the kernel leaves something else than the volume of the closed form.
    Source: Pappus, cone frustums summed edge by edge.
    """
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt
    from OCP.TopoDS import TopoDS

    polygon = BRepBuilderAPI_MakePolygon()
    for r, z in outline:
        polygon.Add(gp_Pnt(r, 0.0, z))
    polygon.Close()
    axis = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
    face = BRepBuilderAPI_MakeFace(polygon.Wire()).Face()
    (solid,) = _solids_in(BRepPrimAPI_MakeRevol(face, axis).Shape())
    edges = zip(outline, (*outline[1:], outline[0]), strict=True)
    wanted = math.pi / 3.0 * sum((b[1] - a[1]) * (a[0] ** 2 + a[0] * b[0] + b[0] ** 2) for a, b in edges)
    volume = volume_of_solid(solid)
    if not (BRepCheck_Analyzer(solid).IsValid() and math.isclose(abs(volume), wanted, rel_tol=1e-6)):
        raise KernelError(f"{name or 'an outline'} turned: {volume:.6g} mm3, {wanted:.6g} in closed form")
    return solid if volume > 0.0 else TopoDS.Solid_s(solid.Reversed())


def brep_of_solid(shape: Any) -> bytes:
    """Give a kernel shape as its binary boundary representation, without triangles."""
    from OCP.BinTools import BinTools, BinTools_FormatVersion

    stream = io.BytesIO()
    newest = BinTools_FormatVersion.BinTools_FormatVersion_CURRENT
    BinTools.Write_s(shape, stream, False, False, newest)
    return stream.getvalue()


def solid_of_brep(brep: bytes) -> Any:
    """Give the kernel shape that `brep_of_solid` wrote; KernelError if the bytes are no such shape."""
    from OCP.BinTools import BinTools
    from OCP.Storage import Storage_StreamReadError
    from OCP.TopoDS import TopoDS_Shape

    shape = TopoDS_Shape()
    try:
        BinTools.Read_s(shape, io.BytesIO(brep))
    except Storage_StreamReadError as failure:
        raise KernelError(f"{len(brep)} bytes do not hold a boundary representation") from failure
    return shape


def volume_of_solid(solid: Any) -> float:
    """Give a solid's volume (mm3) as the kernel integrates it over the faces; negative if inside out."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties)
    return float(properties.Mass())


def bounding_box(shape: Any) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Give the low and high corner (mm) of the smallest box along the axes around the exact surfaces."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return (low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z())


def _refuse_flat(piece: Primitive, name: str) -> None:
    """Refuse a piece without thickness."""
    if isinstance(piece, Posed):
        _refuse_flat(piece.piece, name)
        return
    if isinstance(piece, Box):
        for axis, low, high in zip("xyz", piece.low, piece.high, strict=True):
            if not low < high:
                message = f"a box from {axis} = {low:g} to {high:g} mm has no thickness"
                raise ShapeError(message, f"give the smaller {axis} first and a larger one after it", name)
        return
    if isinstance(piece, Prism):
        if not piece.span[0] < piece.span[1]:
            message = f"a section from z = {piece.span[0]:g} to {piece.span[1]:g} mm has no length"
            raise ShapeError(message, "give the smaller end first and a larger one after it", name)
        return
    if not piece.span[0] < piece.span[1]:
        message = f"a cylinder from {piece.axis} = {piece.span[0]:g} to {piece.span[1]:g} mm has no length"
        raise ShapeError(message, "give the smaller end first and a larger one after it", name)
    if not piece.radius > 0:
        raise ShapeError(f"a cylinder of radius {piece.radius:g} mm", "give a radius above 0", name)


def _primitive(piece: Primitive) -> Any:
    """Build one box, cylinder or prism."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    if isinstance(piece, Box):
        return BRepPrimAPI_MakeBox(gp_Pnt(*piece.low), gp_Pnt(*piece.high)).Solid()
    if isinstance(piece, Prism):
        return _prism(piece)
    if isinstance(piece, Posed):
        return _posed(piece)
    place = list(piece.centre)
    place.insert("xyz".index(piece.axis), piece.span[0])
    direction = [float(axis == piece.axis) for axis in "xyz"]
    frame = gp_Ax2(gp_Pnt(*place), gp_Dir(*direction))
    return BRepPrimAPI_MakeCylinder(frame, piece.radius, piece.span[1] - piece.span[0]).Solid()


def _posed(piece: Posed) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopoDS import TopoDS

    move = gp_Trsf()
    frame = gp_Ax3(gp_Pnt(*piece.origin), gp_Dir(*piece.z_axis), gp_Dir(*piece.x_axis))
    move.SetTransformation(frame, gp_Ax3())
    return TopoDS.Solid_s(BRepBuilderAPI_Transform(_primitive(piece.piece), move, True).Shape())


def _prism(piece: Prism) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Vec
    from OCP.TopoDS import TopoDS

    low, high = piece.span
    wire = BRepBuilderAPI_MakeWire()
    for start, end, centre in outline_edges(piece):
        if centre is not None:
            circle = gp_Circ(gp_Ax2(gp_Pnt(*centre, low), gp_Dir(0, 0, 1)), math.dist(start, centre))
            wire.Add(BRepBuilderAPI_MakeEdge(circle, *arc_angles(start, end, centre)).Edge())
        else:
            wire.Add(BRepBuilderAPI_MakeEdge(gp_Pnt(*start, low), gp_Pnt(*end, low)).Edge())
    face = BRepBuilderAPI_MakeFace(wire.Wire()).Face()
    return TopoDS.Solid_s(BRepPrimAPI_MakePrism(face, gp_Vec(0, 0, high - low)).Shape())


def _boolean(kind: str, first: Any, others: list[Any]) -> Any:
    """Unite the first shape with the others, or cut them from it; faces left in one plane become one."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
    from OCP.TopTools import TopTools_ListOfShape

    operation = BRepAlgoAPI_Fuse() if kind == "fuse" else BRepAlgoAPI_Cut()
    arguments, tools = TopTools_ListOfShape(), TopTools_ListOfShape()
    arguments.Append(first)
    for other in others:
        tools.Append(other)
    operation.SetArguments(arguments)
    operation.SetTools(tools)
    operation.Build()
    if not operation.IsDone():
        raise KernelError(f"the kernel could not {kind} {len(others) + 1} pieces")
    operation.SimplifyResult()
    return operation.Shape()


def _solids_in(shape: Any) -> list[Any]:
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    found = []
    while explorer.More():
        found.append(TopoDS.Solid_s(explorer.Current()))
        explorer.Next()
    return found


def _refuse_wrong(solid: Any, shape: Shape, name: str) -> None:
    """Trust no validity flag alone: the volume must lie between what the pieces allow."""
    from OCP.BRepCheck import BRepCheck_Analyzer

    if not BRepCheck_Analyzer(solid).IsValid():
        raise KernelError(f"{name or 'a shape'}: the kernel's boolean left an invalid solid")
    added = [_volume(piece) for piece in shape.adds]
    cut = sum(_volume(piece) for piece in shape.cuts)
    volume = volume_of_solid(solid)
    # A bracket, not a sum: an added piece may reach into another (an ear into a round body).
    low, high = max(added) - cut, sum(added)
    if not (max(low, 0.0) * (1 - 1e-6) <= volume <= high * (1 + 1e-6) and volume > 0):
        raise KernelError(
            f"{name or 'a shape'}: the kernel's boolean left {volume:.6g} mm3, "
            f"the pieces allow {low:.6g} to {high:.6g}"
        )


def _volume(piece: Primitive) -> float:
    """Give one piece's volume in closed form (mm3)."""
    if isinstance(piece, Posed):
        return _volume(piece.piece)
    if isinstance(piece, Cylinder):
        return math.pi * piece.radius**2 * (piece.span[1] - piece.span[0])
    if isinstance(piece, Prism):
        return section_moments(piece).area * (piece.span[1] - piece.span[0])
    return math.prod(high - low for low, high in zip(piece.low, piece.high, strict=True))

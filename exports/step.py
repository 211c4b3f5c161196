"""STEP AP242 of a tree of named, coloured, placed solids (mm); the same tree gives the same bytes."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from exports.files import write_bytes
from exports.part21 import canonical, encoded
from geometry import VERSION
from geometry.bodies import Point
from geometry.errors import KernelError
from geometry.names import unique_names

Colour = tuple[float, float, float, float]
EPOCH = "1970-01-01T00:00:00"  # in the header where the design gives no date: a clock would change the bytes


@dataclass(frozen=True)
class Frame:
    """Where a node stands in its parent: origin (mm), direction of its z and of its x axis."""

    origin: Point = (0.0, 0.0, 0.0)
    z_axis: Point = (0.0, 0.0, 1.0)
    x_axis: Point = (1.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Node:
    """A named part with its solid (TopoDS_Shape, mm), or a named assembly of children.

    The colour is sRGB and alpha, 0 to 1. Nodes that share one solid and colour share one product in the file.
    """

    name: str
    solid: Any = None
    children: tuple[Node, ...] = ()
    colour: Colour | None = None
    frame: Frame = Frame()


@dataclass(frozen=True, eq=False)
class _Product:
    """A solid already in the document, in one colour."""

    solid: Any
    colour: Colour | None
    label: Any


def write_step(
    path: Path, tree: Node, *, title: str = "", date: str = "", author: str = ""
) -> tuple[str, ...]:
    """Write a tree as STEP AP242 (ISO 10303-21 and -242), in mm; give a sentence on each name changed.

    `date` is the document's, as typed; where it is no ISO date the header says the epoch. Raises KernelError
    if the kernel cannot write the tree, InputError if the file cannot be written.
    """
    data, said = step_bytes(tree, title=title or path.name, date=date, author=author)
    write_bytes(path, data)
    return said


def step_bytes(tree: Node, *, title: str, date: str = "", author: str = "") -> tuple[bytes, tuple[str, ...]]:
    """Give the bytes of `write_step`, and a sentence on each name that had to be changed."""
    tree, said = _renamed(tree)
    with _quiet_kernel():
        written = _kernel_step(tree)
    return canonical(written, _header(title, date, author)), said


def _renamed(tree: Node) -> tuple[Node, tuple[str, ...]]:
    """Give every node a name that survives: unique, no control characters, no ending that readers drop."""
    nodes = list(_walk(tree))
    said = []
    wanted = []
    for node in nodes:
        name = re.sub(r"[\x00-\x1f\x7f\ud800-\udfff]", " ", node.name).strip() or "part"
        if name.endswith("_part"):  # a widespread reader takes this ending for its own mark and drops it
            name = name.removesuffix("_part") + "-part"
        if name != node.name:
            said.append(f"name changed to survive import: {node.name!r} -> {name!r}")
        wanted.append(name)
    names, made_unique = unique_names(wanted)
    given = iter(names)

    def rebuild(node: Node) -> Node:
        name = next(given)
        return replace(node, name=name, children=tuple(rebuild(child) for child in node.children))

    return rebuild(tree), (*said, *made_unique)


def _walk(node: Node) -> Iterator[Node]:
    yield node
    for child in node.children:
        yield from _walk(child)


def _kernel_step(tree: Node) -> bytes:
    """Let the kernel write the tree."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_Controller, STEPControl_StepModelType
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    STEPControl_Controller.Init_s()
    for key, value in (("write.step.schema", "AP242DIS"), ("write.step.unit", "MM")):
        if not Interface_Static.SetCVal_s(key, value):
            raise KernelError(f"the kernel does not know {key} = {value}")
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.001)  # the document counts in millimetres
    _add(document, tree if tree.children else replace(tree, solid=_moved_for_good(tree.solid)), [])
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    writer.SetColorMode(True)
    stream = io.BytesIO()
    if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
        raise KernelError(f"the kernel could not turn {tree.name!r} into STEP")
    if writer.WriteStream(stream) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise KernelError(f"the kernel could not write {tree.name!r} as STEP")
    return stream.getvalue()


def _add(document: Any, node: Node, products: list[_Product]) -> Any:
    """Put a node and what is below it into the document; give its label."""
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    if not node.children:
        return _product(document, node, products)
    label = shapes.NewShape()
    _set_name(label, node.name)
    for child in node.children:
        product = _add(document, child, products)
        _set_name(shapes.AddComponent(label, product, _location(child)), child.name)
    return label


def _product(document: Any, node: Node, products: list[_Product]) -> Any:
    """Give the label of a part's solid in its colour, made once."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    if node.solid is None:
        raise KernelError(f"the part {node.name!r} has no solid")
    solid = _bare(node.solid)
    known = [product for product in products if product.solid.IsSame(solid)]
    for product in known:
        if product.colour == node.colour:
            return product.label
    # The document knows a solid by identity: the same one in another colour has to be a copy.
    own = BRepBuilderAPI_Copy(solid).Shape() if known else solid
    label = XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).AddShape(own, False)
    _set_name(label, node.name)
    if node.colour is not None:
        colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
        colours.SetColor(label, _kernel_colour(node.colour), XCAFDoc_ColorType.XCAFDoc_ColorSurf)
    products.append(_Product(solid, node.colour, label))
    return label


def _set_name(label: Any, name: str) -> None:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name

    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _kernel_colour(colour: Colour) -> Any:
    from OCP.Quantity import Quantity_Color, Quantity_ColorRGBA, Quantity_TypeOfColor

    rgb = Quantity_Color(*colour[:3], Quantity_TypeOfColor.Quantity_TOC_sRGB)
    return Quantity_ColorRGBA(rgb, colour[3])


def _bare(solid: Any) -> Any:
    """Give a solid without the placement it carries, which belongs to its occurrence."""
    from OCP.TopLoc import TopLoc_Location

    return solid.Located(TopLoc_Location())


def _moved_for_good(solid: Any) -> Any:
    """Give a solid moved to where its placement puts it: a part alone has no occurrence to carry that."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform

    if solid is None or solid.Location().IsIdentity():
        return solid
    return BRepBuilderAPI_Transform(_bare(solid), solid.Location().Transformation(), True).Shape()


def _location(node: Node) -> Any:
    """Give a node's place in its parent: its frame, then what placement its solid carries."""
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopLoc import TopLoc_Location

    frame = node.frame
    move = gp_Trsf()
    move.SetTransformation(
        gp_Ax3(gp_Pnt(*frame.origin), gp_Dir(*frame.z_axis), gp_Dir(*frame.x_axis)), gp_Ax3()
    )
    place = TopLoc_Location(move)
    return place if node.solid is None else place.Multiplied(node.solid.Location())


def _header(title: str, date: str, author: str) -> str:
    """Write the header section (ISO 10303-21, clause 8) with the document's date instead of the clock's."""
    day = re.fullmatch(r"(\d{4}-\d{2}-\d{2})(T\d{2}:\d{2}:\d{2})?", date.strip())
    time = f"{day[1]}{day[2] or 'T00:00:00'}" if day else EPOCH
    name, who, tool = (encoded(text) for text in (title, author, f"strokebox {VERSION}"))
    return (
        "HEADER;\n"
        "FILE_DESCRIPTION(('solids in mm'),'2;1');\n"
        f"FILE_NAME('{name}','{time}',('{who}'),(''),'{tool}','{tool}','');\n"
        "FILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF {1 0 10303 442 1 1 4 }'));\n"
        "ENDSEC;\n"
    )


@contextmanager
def _quiet_kernel() -> Iterator[None]:
    """Keep the kernel's statistics off standard output, which may have to be one JSON document."""
    from OCP.Message import Message

    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for printer in printers:
        messenger.RemovePrinter(printer)
    try:
        yield
    finally:
        for printer in printers:
            messenger.AddPrinter(printer)

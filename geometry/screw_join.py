"""Solids joined in a plane across the axis, and bored along it, face by face: no boolean touches a thread.

Imports the CAD kernel: import this module only where a solid is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepClass import BRepClass_FaceClassifier
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_ShapeEnum, TopAbs_State
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Iterator, TopoDS_Solid, TopoDS_Vertex, TopoDS_Wire

from geometry import thread_brep as brep
from geometry.errors import KernelError, ShapeError
from geometry.thread_caps import lateral
from geometry.thread_cone import full_circle, oriented


def joined(one: TopoDS_Solid, other: TopoDS_Solid, z: float) -> TopoDS_Solid:
    """Join two solids that meet in a plane at z (mm), the end face of one well inside the other's.

    Raises ShapeError where the two outlines cross or coincide.
    """
    here, there = faces_of(one), faces_of(other)
    first, second = end_face(here, z), end_face(there, z)
    kept = [face for face in (*here, *there) if not face.IsSame(first) and not face.IsSame(second)]
    inner, outer = sorted((first, second), key=_reach)
    if _reach(inner) >= _nearest(outer) - brep.TOLERANCE_MM:
        raise ShapeError(
            f"at z = {z:g} mm an end of {2 * _reach(inner):.4g} mm does not lie inside one of "
            f"{2 * _nearest(outer):.4g} mm",
            "let two steps beside one another differ in diameter",
        )
    return brep.solid([*kept, brep.with_hole(outer, _outline(inner))])


def bored(solid: TopoDS_Solid, radius: float, low: float, high: float, *, through: bool) -> TopoDS_Solid:
    """Bore a solid along its axis from its end face at `high` down to `low` (mm), where it ends or goes out.

    Raises ShapeError where the bore does not fit an end face.
    """
    faces = faces_of(solid)
    bottom, mouth = (full_circle(radius, z, 0.0, arcs=1) for z in (low, high))
    made = [lateral(bottom, mouth).Oriented(brep.REVERSED)]
    ends = [(high, brep.wire(oriented(mouth.edges, backwards=True)))]
    if through:
        ends.append((low, brep.wire(oriented(bottom.edges, backwards=False))))
    else:
        made.append(brep.face(brep.plane(low, facing_up=True), brep.wire(bottom.edges)))
    for z, hole in ends:
        face = end_face(faces, z)
        if _nearest(face) <= radius + brep.TOLERANCE_MM:
            raise ShapeError(
                f"a bore of {2 * radius:g} mm breaks out of the screw's end at z = {z:g} mm, whose edge "
                f"comes within {_nearest(face):.3f} mm of the axis",
                f"take a bore below {2 * _nearest(face):.4g} mm",
                "screw.bore",
            )
        faces = [other for other in faces if not other.IsSame(face)]
        made.append(brep.with_hole(face, hole))
    return brep.solid([*faces, *made])


def faces_of(solid: TopoDS_Solid) -> list[TopoDS_Face]:
    """The faces of a solid."""
    faces = []
    explorer = TopExp_Explorer(solid, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        faces.append(TopoDS.Face_s(explorer.Current()))
        explorer.Next()
    return faces


def end_face(faces: Iterable[TopoDS_Face], z: float) -> TopoDS_Face:
    """The plane face across the axis at z (mm) that the axis meets. Raises KernelError without one."""
    for face in faces:
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
            continue
        plane = surface.Plane()
        level = abs(abs(plane.Axis().Direction().Z()) - 1) < 1e-9 and abs(plane.Location().Z() - z) < 1e-6
        if level and BRepClass_FaceClassifier(face, gp_Pnt(0, 0, z), 1e-6).State() == TopAbs_State.TopAbs_IN:
            return face
    raise KernelError(f"no end face at z = {z:g} mm")


def _outline(face: TopoDS_Face) -> TopoDS_Wire:
    """The outer wire of a face without holes, as the face runs along it."""
    return TopoDS.Wire_s(TopoDS_Iterator(face).Value())


def _reach(face: TopoDS_Face) -> float:
    """Distance from the axis to the farthest corner of a face's outline (mm); of a circle its radius."""
    return max(_radii(face))


def _nearest(face: TopoDS_Face) -> float:
    """Distance from the axis to the nearest edge of a face (mm)."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    z = BRepAdaptor_Surface(face).Plane().Location().Z()
    axis: TopoDS_Vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(0, 0, z)).Vertex()
    return float(BRepExtrema_DistShapeShape(axis, _outline(face)).Value())


def _radii(face: TopoDS_Face) -> list[float]:
    from OCP.BRep import BRep_Tool

    explorer = TopExp_Explorer(face, TopAbs_ShapeEnum.TopAbs_VERTEX)
    radii = []
    while explorer.More():
        point = BRep_Tool.Pnt_s(TopoDS.Vertex_s(explorer.Current()))
        radii.append(math.hypot(point.X(), point.Y()))
        explorer.Next()
    return radii

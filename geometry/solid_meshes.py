"""Kernel solids as closed triangle meshes, with the chord error that they really have (mm)."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.errors import KernelError
from geometry.meshes import DEFAULT_TOLERANCE, Mesh, Points, distance_to_triangles, merged


def mesh_of_solid(solid: Any, tolerance: float = DEFAULT_TOLERANCE) -> Mesh:
    """Mesh a kernel solid (TopoDS_Shape) with an absolute deflection and the chord error it really has (mm).

    The deviation is measured, since the kernel misses its own target on freeform faces: at the middle of
    every triangle and triangle side on the surface, and of every piece of the edges. Where it is above
    `tolerance` the solid is meshed again with half the deflection, at most twice. Raises KernelError where a
    face is left without triangles.
    """
    for deflection in (tolerance, tolerance / 2.0, tolerance / 4.0):
        mesh = _tessellated(solid, deflection)
        if mesh.chord_error <= tolerance:
            break
    return mesh


def _tessellated(solid: Any, deflection: float) -> Mesh:
    from OCP.BRep import BRep_Tool
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.BRepTools import BRepTools
    from OCP.TopAbs import TopAbs_FACE, TopAbs_REVERSED
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    BRepTools.Clean_s(solid)  # else a coarser mesh of an earlier caller is kept
    BRepMesh_IncrementalMesh(solid, deflection, False, 0.5)
    vertices, triangles, curved, count, error = [], [], [], 0, 0.0
    explorer = TopExp_Explorer(solid, TopAbs_FACE)
    while explorer.More():
        face = TopoDS.Face_s(explorer.Current())
        location = TopLoc_Location()
        patch = BRep_Tool.Triangulation_s(face, location)
        if patch is None or patch.NbTriangles() == 0:
            raise KernelError("a face of the solid was left without triangles")
        nodes, corners = _patch_arrays(patch, location.Transformation())
        deviation = _face_deviation(face, patch, nodes, corners)
        error = max(error, deviation, _edge_deviation(face, patch, location, nodes))
        vertices.append(nodes)
        triangles.append((corners[:, ::-1] if face.Orientation() == TopAbs_REVERSED else corners) + count)
        curved.append(np.full(len(corners), deviation > 0.0))
        count += len(nodes)
        explorer.Next()
    if not vertices:
        raise KernelError("the shape has no faces to mesh")
    return merged(np.vstack(vertices), np.vstack(triangles), error, np.concatenate(curved))


def _patch_arrays(patch: Any, placement: Any) -> tuple[Points, NDArray[np.int64]]:
    nodes = [patch.Node(i).Transformed(placement).Coord() for i in range(1, patch.NbNodes() + 1)]
    corners = [patch.Triangle(i).Get() for i in range(1, patch.NbTriangles() + 1)]
    return np.array(nodes, dtype=np.float64), np.array(corners, dtype=np.int64) - 1


def _face_deviation(face: Any, patch: Any, nodes: Points, corners: NDArray[np.int64]) -> float:
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Plane

    surface = BRepAdaptor_Surface(face)
    if surface.GetType() == GeomAbs_Plane:
        return 0.0
    parameters = np.array([patch.UVNode(i).Coord() for i in range(1, patch.NbNodes() + 1)])[corners]
    weights = np.array([[1, 1, 1], [3, 3, 0], [0, 3, 3], [3, 0, 3]]) / np.array([[3], [6], [6], [6]])
    samples = np.einsum("kc,tcx->tkx", weights, parameters).reshape(-1, 2)
    points = np.array([surface.Value(u, v).Coord() for u, v in samples.tolist()])
    own = distance_to_triangles(points, np.repeat(nodes[corners], len(weights), axis=0))
    return _largest_least_distance(points, own, nodes[corners])


def _largest_least_distance(points: Points, bound: Points, corners: Points) -> float:
    """The largest distance of the points to the triangles, given an upper bound for each point.

    At a pole of the surface a sample may lie over a neighbour of its own triangle, which then only bounds it.
    """
    middle = corners.mean(axis=1)
    radius = np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1)
    worst = 0.0
    for sample in np.argsort(-bound):
        if bound[sample] <= worst:
            break
        near = corners[
            np.linalg.norm(middle - points[sample], axis=1) <= bound[sample] * (1.0 + 1e-9) + radius
        ]
        distances = distance_to_triangles(np.broadcast_to(points[sample], (len(near), 3)), near)
        worst = max(worst, min(float(bound[sample]), float(distances.min(initial=np.inf))))
    return worst


def _edge_deviation(face: Any, patch: Any, location: Any, nodes: Points) -> float:
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_Line
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    worst = 0.0
    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge_s(explorer.Current())
        explorer.Next()
        if BRep_Tool.Degenerated_s(edge):
            continue
        curve = BRepAdaptor_Curve(edge)
        polygon = BRep_Tool.PolygonOnTriangulation_s(edge, patch, location)
        if polygon is None or not polygon.HasParameters() or curve.GetType() == GeomAbs_Line:
            continue
        count = polygon.NbNodes()
        ends = nodes[[polygon.Node(i) - 1 for i in range(1, count + 1)]]
        at = np.array([polygon.Parameter(i) for i in range(1, count + 1)])
        points = np.array([curve.Value(t).Coord() for t in ((at[1:] + at[:-1]) / 2.0).tolist()])
        pieces = np.stack([ends[:-1], ends[1:], ends[1:]], axis=1)
        worst = max(worst, float(distance_to_triangles(points, pieces).max()))
    return worst

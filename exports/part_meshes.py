"""Meshes of the parts as they are made, real threads included, at s = 0 (mm)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from geometry.bodies import Cylinder, FileShape, Shape
from geometry.frames import required, stations_of
from geometry.gear_parts import member_mesh, toothed_parts
from geometry.meshes import Mesh, manifold_of, mesh_from_manifold, mesh_of, moved, turned_mesh
from geometry.nut import half_blank, length_of, nut_blank
from geometry.screw import bore_span
from geometry.screw_ends import Piece, with_ends
from geometry.screw_thread import solid_thread
from geometry.seal import bellows_outline
from geometry.thread_ends import ThreadedLength, threaded_bore
from geometry.thread_mesh import MeshArrays, nut_mesh, rod_mesh

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.placed import PlacedBody

BEYOND = 1.0  # mm; the threaded tube reaches past the nut's outside, which then cuts it


def part_meshes(design: Design, placed: PlacedBody, tolerance: float) -> Iterator[tuple[str, Mesh]]:
    """Mesh a part within `tolerance` (mm) by name; a gear with teeth as its hollow housing and its members.

    The names are those of the detailed solids. Raises ShapeError for sizes that make no part.
    """
    parts = toothed_parts(design, placed.body)
    if parts is None:
        yield placed.body.name, part_mesh(design, placed, tolerance)
        return
    housing, members = parts
    yield placed.body.name, mesh_of(housing, tolerance)
    for member in members:
        yield f"{placed.body.name}_{member.name}", member_mesh(member, tolerance)


def part_mesh(design: Design, placed: PlacedBody, tolerance: float) -> Mesh:
    """Mesh a part within `tolerance` (mm): screw and nut with real threads, others by their envelope or file.

    Raises ShapeError for sizes that make no part.
    """
    body = placed.body
    if isinstance(body.shape, FileShape):
        return placed.mesh
    if body.part_of_actuator and body.name == "screw":
        return screw_mesh(design, tolerance)
    if body.part_of_actuator and body.name == "nut":
        return threaded_nut_mesh(design, tolerance)
    if body.part_of_actuator and body.name == "nut_half":
        return _threaded(design, required(half_blank(design), "nut_half"), tolerance)
    if body.stretches:
        return turned_mesh(bellows_outline(design, body.shape), tolerance)
    return mesh_of(body.shape, tolerance)


def screw_mesh(design: Design, tolerance: float) -> Mesh:
    """Mesh the screw with its real threads, ends and bore (mm). Raises ShapeError."""
    start, screw = stations_of(design).thread_start, design.screw
    rod, pieces = with_ends(screw)
    made = moved(_mesh(rod_mesh(rod, tolerance), tolerance), (0.0, 0.0, start))
    if not pieces and screw.bore is None:
        return made
    ends = [moved(_end_mesh(piece, tolerance), (0.0, 0.0, start)) for piece in pieces]
    solid = sum((manifold_of(end) for end in ends), manifold_of(made))
    if screw.bore is not None:
        low, high = bore_span(design)
        # Beyond open ends, lest a film be left in their planes.
        span = (low - BEYOND if screw.bore_depth is None else low, high + BEYOND)
        tool = mesh_of(Shape((Cylinder("z", (0.0, 0.0), screw.bore / 2, span),)), tolerance)
        solid -= manifold_of(tool)
    return mesh_from_manifold(solid, max([tolerance, *(end.chord_error for end in ends)]))


def _end_mesh(piece: Piece, tolerance: float) -> Mesh:
    if isinstance(piece.form, ThreadedLength):
        return _mesh(rod_mesh(piece.form, tolerance), tolerance)
    return mesh_of(piece.form, tolerance)


def threaded_nut_mesh(design: Design, tolerance: float) -> Mesh:
    """Mesh the nut with its real internal thread, flange and bolt holes (mm). Raises ShapeError."""
    return _threaded(design, required(nut_blank(design), "nut"), tolerance)


def _threaded(design: Design, blank: Shape, tolerance: float) -> Mesh:
    start = stations_of(design).thread_start
    low, high = (z - start for z in length_of(blank))
    bore = threaded_bore(solid_thread(design.screw, design.nut), low, high, ends="chamfered")
    outside = mesh_of(blank, tolerance)
    radius = float(np.abs(outside.vertices[:, :2]).max()) * np.sqrt(2.0) + BEYOND
    tube = _mesh(nut_mesh(bore, [(radius, low), (radius, high)], tolerance), tolerance)
    cut = manifold_of(moved(tube, (0.0, 0.0, start))) ^ manifold_of(outside)
    return mesh_from_manifold(cut, max(tolerance, outside.chord_error))


def _mesh(arrays: MeshArrays, tolerance: float) -> Mesh:
    vertices, triangles = arrays
    return Mesh(vertices, triangles.astype(np.int32), tolerance)

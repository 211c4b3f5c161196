"""What only the meshes of placed bodies can tell: moments of a file's solids, room behind the cable."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from calcs.clearance_sweep import mover_of, sweep, swept_gap, whole
from calcs.mass import MassProperties, combined
from geometry.bodies import Body, Cylinder, FileShape, Point, Posed, Primitive, Shape
from geometry.meshes import Mesh, mesh_of
from geometry.placed import PlacedBody, Placement
from geometry.stack import travel_of

if TYPE_CHECKING:
    from geometry.design import Design

MM = 1e-3  # m
DISC = 0.01  # mm; thickness of the disc that stands for the cable's end


def measured(design: Design, placement: Placement) -> dict[str, Any]:
    """Measure the values of calcs.case.MEASURED that a design's files make necessary (SI)."""
    found: dict[str, Any] = {}
    files = [p for p in placement.bodies if isinstance(p.body.shape, FileShape)]
    if moments := file_moments(files):
        found["file_moments"] = moments
    cable = next((p for p in placement.bodies if p.body.name == "cable"), None)
    askew = cable is not None and _is_askew(cable.body)
    if (files or askew) and cable is not None and design.service.cable is not None:
        found["seen_cable_room_m"] = cable_room(design, placement, cable)
    return found


def file_moments(files: list[PlacedBody]) -> dict[str, MassProperties]:
    """Mass properties at unit density (1 kg/m3) of each body that is a file of closed solids, at s = 0."""
    by_body: dict[str, list[PlacedBody]] = {}
    for placed in files:
        by_body.setdefault(placed.given_name, []).append(placed)
    return {
        name: combined(mesh_moments(placed.mesh) for placed in solids)
        for name, solids in by_body.items()
        if all(placed.closed for placed in solids)
    }


def mesh_moments(mesh: Mesh) -> MassProperties:
    """Mass properties of a closed mesh (mm) at unit density, in SI about its centre.

    Source: divergence theorem, sums over the tetrahedra from one point to every triangle.
    """
    about = mesh.vertices.mean(axis=0)
    corners = (mesh.corners - about) * MM
    sixth = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6.0
    volume = float(sixth.sum())
    total = corners.sum(axis=1)
    centre = (sixth[:, None] * total).sum(axis=0) / 4.0 / volume
    products = np.einsum("i,ijk,ijl->kl", sixth, corners, corners) + np.einsum(
        "i,ik,il->kl", sixth, total, total
    )
    second = products / 20.0 - volume * np.outer(centre, centre)
    tensor = np.trace(second) * np.eye(3) - second
    return MassProperties(volume, centre + about * MM, tensor)


def cable_room(design: Design, placement: Placement, cable: PlacedBody) -> tuple[float, str]:
    """Length (m) that the cable's end can go straight before it meets a body, and which; infinite if none."""
    assert isinstance(cable.body.shape, Shape)  # the cable is always our own envelope
    assert design.service.cable is not None
    disc, direction = _end_disc(cable.body.shape.adds[0], design.service.cable.direction)
    others = list(_others(design, placement))
    corners = np.vstack([*(mesh.bounds for _, mesh in others), *disc.bounds])
    reach = float(np.linalg.norm(np.ptp(corners, axis=0)))
    rooms = [(_free(disc, direction, mesh, reach), name) for name, mesh in others]
    room, name = min(rooms, default=(math.inf, ""))
    return (room * MM, name) if math.isfinite(room) else (math.inf, "")


def _is_askew(cable: Body) -> bool:
    return isinstance(cable.shape, Shape) and any(isinstance(piece, Posed) for piece in cable.shape.adds)


def _end_disc(column: Primitive, way: Point) -> tuple[Mesh, list[float]]:
    """The disc that stands for the cable's end where it leaves, and the direction in which it goes."""
    if isinstance(column, Posed):
        assert isinstance(column.piece, Cylinder)
        end = column.piece._replace(span=(0.0, DISC))
        return mesh_of(Shape((column._replace(piece=end),))), list(column.z_axis)
    assert isinstance(column, Cylinder)
    along = "xyz".index(column.axis)
    sense = math.copysign(1.0, way[along])
    start = column.span[0] if sense > 0.0 else column.span[1]
    low, high = sorted((start, start + sense * DISC))
    disc = mesh_of(Shape((column._replace(span=(low, high)),)))
    return disc, [sense if axis == along else 0.0 for axis in range(3)]


def _others(design: Design, placement: Placement) -> Iterator[tuple[str, Mesh]]:
    """Every body that is not the actuator's own, movers at both ends of their travel."""
    for placed in placement.bodies:
        if not placed.body.part_of_actuator:
            for shift in travel_of(design) if placed.body.moves else (0.0,):
                vertices = placed.mesh.vertices + np.array([0.0, 0.0, shift])
                yield placed.body.name, Mesh(vertices, placed.mesh.triangles, placed.mesh.chord_error)


def _free(disc: Mesh, direction: list[float], obstacle: Mesh, reach: float) -> float:
    """How far the disc goes before its sweep touches the obstacle (mm), by halving; infinite past reach."""
    mover, solid = mover_of(disc, direction), whole(obstacle)

    def touches(length: float) -> bool:
        gap = swept_gap(sweep(mover, 0.0, length), solid)
        return gap is not None and gap.distance <= 0.0

    if not touches(reach):
        return math.inf
    low, high = 0.0, reach
    while high - low > 1e-4:
        middle = (low + high) / 2.0
        low, high = (low, middle) if touches(middle) else (middle, high)
    return low + DISC

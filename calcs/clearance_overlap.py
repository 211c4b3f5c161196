"""How much two bodies share, how deep, and the least shift that parts them (mm, mm3)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from calcs.clearance_sweep import Mover
from calcs.keepout import swept_mesh
from geometry.errors import KernelError
from geometry.meshes import (
    Mesh,
    Points,
    distance_to_triangles,
    manifold_of,
    mesh_from_manifold,
    moved,
    signed_volume,
    surface_area,
)

_NOTHING = 1e-8  # mm3; rounding leaves less than this where faces of 100 mm lie on each other
_SHIFT_STEP = 1e-4  # mm to which the parting shift is bisected
_SHIFT_TRIES = 60
_SAMPLES = 400  # points of a common piece whose depth is measured


@dataclass(frozen=True)
class Overlap:
    """The common volume (mm3) of two bodies, its box (low, high corner, mm) and its depth (mm).

    `depth` is that of the deepest piece: its mean thickness 2V/A or, where that is within `touch`, also how
    deep its surface lies inside either body. Depth within the chord errors is touching.
    """

    volume: float
    box: tuple[tuple[float, float, float], tuple[float, float, float]]
    depth: float


@dataclass(frozen=True)
class PartingShift:
    """The least shift along an axis that parts two bodies: its length (mm) and unit direction."""

    length: float
    direction: tuple[float, float, float]


def overlap(first: Mesh, second: Mesh, touch: float) -> Overlap | None:
    """Intersect two closed meshes in double precision; None where they share no volume.

    `touch` is the depth (mm) up to which the two may merely touch. Raises KernelError where a mesh is not a
    manifold.
    """
    common = manifold_of(first) ^ manifold_of(second)
    if common.volume() <= _NOTHING:
        return None
    parts = [part for part in common.decompose() if part.volume() > _NOTHING]
    pieces = [piece for part in parts if len((piece := mesh_from_manifold(part, 0.0)).triangles)]
    if not pieces:
        return None
    points = np.vstack([piece.vertices for piece in pieces])
    low, high = points.min(axis=0), points.max(axis=0)
    depth = max(_depth(piece, (first, second), touch) for piece in pieces)
    return Overlap(float(common.volume()), (_triple(low), _triple(high)), depth)


def _depth(piece: Mesh, bodies: tuple[Mesh, Mesh], touch: float) -> float:
    thickness = 2.0 * signed_volume(piece) / surface_area(piece)
    if thickness > touch:
        return thickness
    samples = np.vstack([piece.vertices, piece.corners.mean(axis=1)])
    samples = samples[:: 1 + len(samples) // _SAMPLES]
    return max(thickness, *(_deepest(samples, body, 2.0 * touch) for body in bodies))


def _deepest(points: Points, body: Mesh, reach: float) -> float:
    """Largest distance from the points to the body's surface, as far as `reach` tells."""
    low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
    corners = body.corners
    near = corners[(corners.max(axis=1) >= low).all(axis=1) & (corners.min(axis=1) <= high).all(axis=1)]
    least = [
        distance_to_triangles(np.broadcast_to(point, (len(near), 3)), near).min(initial=reach)
        for point in points
    ]
    return float(max(least))


def parting_shift(first: Mesh, second: Mesh) -> PartingShift:
    """Give the least shift of `first` along +-x, +-y or +-z that leaves no common volume with `second`.

    Along each axis the shift grows by the extent of what is still shared until nothing is, and is then
    bisected. Raises KernelError where a mesh is not a manifold.
    """
    ours, theirs = manifold_of(first), manifold_of(second)
    best = PartingShift(np.inf, (0.0, 0.0, 0.0))
    reaches = [(second.bounds[1] - first.bounds[0]), (first.bounds[1] - second.bounds[0])]
    directions = [(axis, sign) for axis in range(3) for sign in (1.0, -1.0)]
    for axis, sign in sorted(directions, key=lambda way: float(reaches[way[1] < 0.0][way[0]])):
        direction = np.zeros(3)
        direction[axis] = sign
        length = _shift_along(ours, theirs, direction, best.length)
        if length < best.length - _SHIFT_STEP:
            best = PartingShift(length, _triple(direction))
    return best


def _shift_along(ours: Any, theirs: Any, direction: Points, limit: float) -> float:
    """Give the shift along a direction that parts the bodies; infinite when it is not less than `limit`."""
    joined = parted = 0.0
    for _ in range(_SHIFT_TRIES):
        extent = _shared_extent(ours, theirs, parted * direction, direction)
        if extent == 0.0:
            break
        joined, parted = parted, parted + max(extent, _SHIFT_STEP)
        if joined >= limit:
            return float(np.inf)
    else:
        raise KernelError(f"two bodies were not parted by a shift of {parted:.3g} mm")
    # Most shapes part exactly at the extent of what they share: look just below it before bisecting.
    probe = max(joined, parted - _SHIFT_STEP)
    while parted - joined > _SHIFT_STEP:
        if _shared_extent(ours, theirs, probe * direction, direction) > 0.0:
            joined = probe
        else:
            parted = probe
        probe = (joined + parted) / 2.0
    return parted


def _shared_extent(ours: Any, theirs: Any, shift: Points, direction: Points) -> float:
    common = ours.translate(tuple(shift)) ^ theirs
    if common.volume() <= _NOTHING:
        return 0.0
    box = np.array(common.bounding_box()).reshape(2, 3)
    return float(abs((box[1] - box[0]) @ direction))


def swept_solid(mover: Mover, start: float, stop: float) -> Mesh:
    """Give what a closed mesh sweeps from `start` to `stop` (mm of travel).

    Raises KernelError where the mesh is not a manifold.
    """
    mesh = moved(mover.mesh, start * mover.direction)
    if stop <= start:
        return mesh
    solid = swept_mesh(manifold_of(mesh), ((stop - start) * mover.direction).tolist())
    return mesh_from_manifold(solid, mesh.chord_error)


def clipped(mesh: Mesh, low: Points, high: Points) -> Mesh:
    """Give the part of a closed mesh inside a box (mm). Raises KernelError where it is not a manifold."""
    import manifold3d

    cube = manifold3d.Manifold.cube((high - low).tolist()).translate(low.tolist())
    return mesh_from_manifold(manifold_of(mesh) ^ cube, mesh.chord_error)


def _triple(values: Points) -> tuple[float, float, float]:
    x, y, z = values.tolist()
    return x, y, z

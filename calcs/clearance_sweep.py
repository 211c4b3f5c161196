"""The swept boundary of a moving mesh and its exact least distance to an obstacle over the travel (mm).

A distance query against the surface that a body sweeps gives the continuous minimum over the travel in one
step: nothing can hide between sampled positions. Method: recipes of this project, own derivation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.meshes import Mesh, Points, Triangles, edges_of

ALONG_Z = (0.0, 0.0, 1.0)
_FLAT = 1e-9  # |n . d| below this: the face is parallel to the travel
_WHOLE_TREE = 300_000  # triangles, a tree of 1.5 s and 180 MB; larger obstacles are cropped to each sweep
TOUCH = 1e-7  # mm; surfaces nearer than this touch


@dataclass(frozen=True, eq=False)
class Mover:
    """A mesh and what its sweep along `direction` (unit vector) is made of.

    `rear` and `front` are the faces (k, 3) looking against and along the travel (parallel ones are in both),
    `sides` the edges (k, 2) between faces that look different ways.
    """

    mesh: Mesh
    direction: Points
    rear: Triangles
    front: Triangles
    sides: Triangles
    tree: Any


@dataclass(frozen=True, eq=False)
class Sweep:
    """The swept boundary of a mover from `start` to `stop` (mm of travel)."""

    mover: Mover
    start: float
    stop: float
    boundary: Mesh
    tree: Any


@dataclass(frozen=True, eq=False)
class Obstacle:
    """A mesh that stands still and the tree of its triangles; beyond `margin` distances are not known."""

    mesh: Mesh
    tree: Any
    margin: float = np.inf


@dataclass(frozen=True)
class Gap:
    """A least distance (mm), the travel where it occurs, and its points on the mover and on the obstacle."""

    distance: float
    travel: float
    on_mover: tuple[float, float, float]
    on_obstacle: tuple[float, float, float]


def mover_of(mesh: Mesh, direction: Sequence[float] | Points = ALONG_Z) -> Mover:
    """Prepare a mesh for sweeps along a direction (any length)."""
    unit = np.asarray(direction, dtype=np.float64)
    unit = unit / np.linalg.norm(unit)
    a, b, c = np.moveaxis(mesh.corners, 1, 0)
    normal = np.cross(b - a, c - a)
    length = np.linalg.norm(normal, axis=1)
    looks = (normal @ unit) / np.where(length > 0.0, length, np.inf)
    side = np.where(np.abs(looks) < _FLAT, 0, np.sign(looks)).astype(np.int8)
    return Mover(
        mesh,
        unit,
        rear=mesh.triangles[side <= 0],
        front=mesh.triangles[side >= 0],
        sides=_turning_edges(mesh.triangles, side),
        tree=tree_of(mesh.vertices, mesh.triangles),
    )


def _turning_edges(triangles: Triangles, side: NDArray[np.int8]) -> Triangles:
    """Edges whose faces look different ways, or that do not have exactly two faces (the rim of a sheet)."""
    edges, edge_of_side, _ = edges_of(triangles)
    looks = np.tile(side, 3)
    lowest, highest = np.full(len(edges), 2), np.full(len(edges), -2)
    np.minimum.at(lowest, edge_of_side, looks)
    np.maximum.at(highest, edge_of_side, looks)
    return np.asarray(edges[(lowest != highest) | (np.bincount(edge_of_side) != 2)], dtype=np.int32)


def tree_of(vertices: Points, triangles: Triangles) -> Any:
    """Build the bounding-volume tree of a triangle set."""
    import fcl

    model = fcl.BVHModel()
    model.beginModel(len(vertices), len(triangles))
    model.addSubModel(np.ascontiguousarray(vertices, dtype=np.float64), triangles)
    model.endModel()
    return model


def sweep(mover: Mover, start: float, stop: float) -> Sweep:
    """Build the swept boundary from `start` to `stop` (mm): inside the sweep, and covering its surface."""
    mesh, step = mover.mesh, mover.direction
    if start == stop == 0.0:
        return Sweep(mover, start, stop, mesh, mover.tree)
    first = mesh.vertices + start * step
    if stop <= start:
        return Sweep(
            mover, start, start, Mesh(first, mesh.triangles, mesh.chord_error), tree_of(first, mesh.triangles)
        )
    count = len(first)
    a, b = mover.sides.T
    triangles = np.vstack(
        [
            mover.rear,
            mover.front + count,
            np.column_stack([a, b, b + count]),
            np.column_stack([a, b + count, a + count]),
        ]
    ).astype(np.int32)
    vertices = np.vstack([first, mesh.vertices + stop * step])
    return Sweep(
        mover, start, stop, Mesh(vertices, triangles, mesh.chord_error), tree_of(vertices, triangles)
    )


def whole(mesh: Mesh) -> Obstacle:
    """Make an obstacle of all triangles of a mesh."""
    return Obstacle(mesh, tree_of(mesh.vertices, mesh.triangles))


def is_big(mesh: Mesh) -> bool:
    """Tell whether a tree of the whole mesh costs more than cropping it for each mover."""
    return len(mesh.triangles) > _WHOLE_TREE


def around(mesh: Mesh, swept: Sweep, margin: float) -> Obstacle:
    """Make an obstacle of the triangles within `margin` (mm) of the box around a sweep."""
    low, high = swept.boundary.bounds
    corners = mesh.corners
    near = (corners.max(axis=1) >= low - margin).all(axis=1) & (corners.min(axis=1) <= high + margin).all(
        axis=1
    )
    if near.all():
        return whole(mesh)
    if not near.any():
        return Obstacle(mesh, None, margin)
    kept = mesh.triangles[near]
    used, renumbered = np.unique(kept, return_inverse=True)
    tree = tree_of(mesh.vertices[used], renumbered.reshape(kept.shape).astype(np.int32))
    return Obstacle(mesh, tree, margin)


def swept_gap(swept: Sweep, obstacle: Obstacle) -> Gap | None:
    """Give the least surface distance over the sweep; None when nothing lies within the obstacle's margin.

    0 means that the surfaces touch or cross, and then travel and points only name a place nearby.
    """
    if obstacle.tree is None:
        return None
    distance, ours, theirs, triangle = _distance(swept.tree, np.zeros(3), obstacle.tree)
    if distance > obstacle.margin:
        return None
    travel = _travel_at(swept, triangle, ours)
    return Gap(distance, travel, _point(ours), _point(theirs))


def pose_distance(mover: Mover, travel: float, obstacle: Obstacle) -> float:
    """Give the surface distance (mm) at one travel; infinite when the obstacle has nothing near."""
    if obstacle.tree is None:
        return float(np.inf)
    return _distance(mover.tree, travel * mover.direction, obstacle.tree)[0]


def shifted_distance(swept: Sweep, shift: Points, obstacle: Obstacle) -> float:
    """Give the surface distance (mm) of a whole sweep that is shifted by a vector (3,)."""
    return np.inf if obstacle.tree is None else _distance(swept.tree, shift, obstacle.tree)[0]


def _distance(first: Any, shift: Points, second: Any) -> tuple[float, Points, Points, int]:
    import fcl

    result = fcl.DistanceResult()
    request = fcl.DistanceRequest(enable_nearest_points=True)
    ours = fcl.CollisionObject(first, fcl.Transform(shift))
    distance = fcl.distance(ours, fcl.CollisionObject(second, fcl.Transform()), request, result)
    near, far = result.nearest_points
    return max(float(distance), 0.0), np.asarray(near), np.asarray(far), int(result.b1)


def _travel_at(swept: Sweep, triangle: int, point: Points) -> float:
    """Read the travel off the piece of the boundary: rear copy, front copy, or where along a swept edge."""
    mover = swept.mover
    side = triangle - len(mover.rear) - len(mover.front)
    if swept.stop <= swept.start or triangle < len(mover.rear):
        return swept.start
    if side < 0:
        return swept.stop
    a, b = mover.mesh.vertices[mover.sides[side % len(mover.sides)]]
    across = (b - a) - ((b - a) @ mover.direction) * mover.direction
    square = across @ across
    share = ((point - a) @ across) / (square or np.inf)  # an edge along the travel is nearest anywhere on it
    travel = (point - a - share * (b - a)) @ mover.direction
    return float(np.clip(travel, swept.start, swept.stop))


def _point(values: Points) -> tuple[float, float, float]:
    x, y, z = values.tolist()
    return x, y, z

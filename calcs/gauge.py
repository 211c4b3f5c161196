"""The go gauge: swept movers grown by the required clearance, relieved at contacts, split (mesh, mm)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from calcs.grown_primitives import united
from calcs.keepout import closed_solid, keep_out, swept_mesh
from geometry.bodies import Body, Contact, Shape
from geometry.errors import KernelError, ShapeError
from geometry.meshes import Mesh, manifold_of, mesh_from_manifold

NOISE = 1e-6  # mm3; what the union of flush faces may leave of an overlap that is none
INSERTION_LIMIT = 20_000  # triangles of a body that a gauge half is tried to pass

Placed = tuple[Body, Mesh]
SplitAxis = Literal["x", "y"]


@dataclass(frozen=True)
class Way:
    """A straight way in: direction of motion, covers to take off, what else bars it, what was not tried."""

    direction: str
    covers: tuple[str, ...]
    blocked_by: tuple[str, ...]
    not_tried: tuple[str, ...]


@dataclass(frozen=True)
class Gauge:
    """The gauge in its place, its two halves on either side of a plane, and the best way in of each (mm)."""

    whole: Mesh
    halves: tuple[Mesh, Mesh]
    axis: SplitAxis
    position: float
    ways: tuple[Way, Way]


def gauge_of(
    bodies: Sequence[Placed],
    contacts: Sequence[Contact],
    travel: tuple[float, float],
    required: float,
    clearance: float,
    axis: tuple[float, float] = (0.0, 0.0),
) -> Gauge:
    """Make the go gauge of all that moves, for a `required` gap, in two halves (mm).

    Each mover is relieved around the partners of its own declared contacts, which are grown by the print
    `clearance`; so another mover that hits a partner still shows. Where a contact holds over a part of the
    travel only, the relief outside it is shallower: there the gauge keeps `required - clearance`. The halves
    meet at x or y of the screw's `axis`, whichever leaves less in the way. Raises ShapeError where nothing
    moves or a mesh is too fine to grow. Source: common practice, no source.
    """
    moving = [placed for placed in bodies if placed[0].moves]
    fixed = [placed for placed in bodies if not placed[0].moves]
    parts, excess = [], 0.0
    for mover in moving:
        grown = keep_out([mover], travel, required)
        solid, excess = manifold_of(grown), max(excess, grown.chord_error)
        for partner, windows in _partners(mover[0], fixed, contacts):
            near = _near(partner, grown)
            if len(near[1].triangles):
                solid -= _relief(mover, near, _outside(windows, travel), required, clearance)
        parts.append(solid)
    if not parts:
        raise ShapeError("nothing moves, so there is no gauge", "give at least one [[moving]] body")
    whole = united(parts)
    paths = _paths(fixed, whole)
    planes: tuple[tuple[SplitAxis, float], ...] = (("x", axis[0]), ("y", axis[1]))
    splits = [_split(whole, along, position, fixed, paths) for along, position in planes]
    along, position, halves, ways = min(
        splits, key=lambda split: sum(len(way.blocked_by) for way in split[3])
    )
    first, second = (mesh_from_manifold(half, excess) for half in halves)
    return Gauge(mesh_from_manifold(whole, excess), (first, second), along, position, ways)


def drops_in(
    gauge: Mesh, fixed: Sequence[Placed], contacts: Sequence[Contact] = ()
) -> tuple[tuple[str, float | None], ...]:
    """Name every body that the gauge overlaps at its place, with the volume (mm3); empty: it drops in.

    The partner of a declared contact is named where the overlap exceeds what that contact allows: the gauge
    is relieved around partners, so they should not touch either. None stands for a body that is not closed,
    of which nothing can be said. Source: manifold3d intersection.
    """
    solid = manifold_of(gauge)
    found: list[tuple[str, float | None]] = []
    for body, mesh in fixed:
        allowed = max((c.overlap_mm3 for c in contacts if body.name in (c.a, c.b)), default=0.0)
        try:
            volume = float((solid ^ manifold_of(mesh)).volume())
        except KernelError:
            found.append((body.name, None))
            continue
        if volume > allowed + NOISE:
            found.append((body.name, volume))
    return tuple(found)


def _partners(
    mover: Body, fixed: Sequence[Placed], contacts: Sequence[Contact]
) -> Iterator[tuple[Placed, list[tuple[float, float] | None]]]:
    for placed in fixed:
        windows = [c.travel for c in contacts if {c.a, c.b} == {mover.name, placed[0].name}]
        if windows:
            yield placed, windows


def _outside(
    windows: list[tuple[float, float] | None], travel: tuple[float, float]
) -> list[tuple[float, float]]:
    """The stretches of travel in no window; None is a window over all of it."""
    stretches, at = [], travel[0]
    for low, high in sorted(window or travel for window in windows):
        if low > at:
            stretches.append((at, min(low, travel[1])))
        at = max(at, high)
    return [*stretches, (at, travel[1])] if at < travel[1] else stretches


def _relief(
    mover: Placed, partner: Placed, outside: list[tuple[float, float]], required: float, clearance: float
) -> Any:
    relief = manifold_of(keep_out([partner], (0.0, 0.0), clearance))
    for stretch in outside:
        relief -= manifold_of(keep_out([mover], stretch, max(required - clearance, 0.0)))
    return relief


def _near(partner: Placed, grown: Mesh) -> Placed:
    """Cut a file body down to what lies near the sweep: only that needs to be grown."""
    body, mesh = partner
    if isinstance(body.shape, Shape):
        return partner
    import manifold3d

    low, high = grown.bounds
    margin = 0.1 * float(np.linalg.norm(high - low))
    block = manifold3d.Manifold.cube(high - low + 2.0 * margin).translate(low - margin)
    return body, mesh_from_manifold(closed_solid(body, mesh) ^ block, mesh.chord_error)


def _split(
    whole: Any,
    along: SplitAxis,
    position: float,
    fixed: Sequence[Placed],
    paths: Mapping[str, Mapping[str, Any]],
) -> tuple[SplitAxis, float, tuple[Any, Any], tuple[Way, Way]]:
    upper, lower = whole.split_by_plane(np.eye(3)["xy".index(along)], position)
    ways = (_best_way(upper, fixed, paths, f"+{along}"), _best_way(lower, fixed, paths, f"-{along}"))
    return along, position, (upper, lower), ways


def _paths(fixed: Sequence[Placed], whole: Any) -> dict[str, dict[str, Any]]:
    """By direction, the room that each fixed body bars for a part that comes to its place that way.

    A part that moves along d passes through a body exactly where, at its place, it overlaps that body swept
    along d.
    """
    solids = {body.name: _solid_or_none(mesh) for body, mesh in fixed}
    low, high = np.array(whole.bounding_box()).reshape(2, 3)
    for _, mesh in fixed:
        low, high = np.minimum(low, mesh.bounds[0]), np.maximum(high, mesh.bounds[1])
    return {
        sign + name: {
            body: swept_mesh(solid, (1.0 if sign == "+" else -1.0) * (high - low)[index] * np.eye(3)[index])
            for body, solid in solids.items()
            if solid is not None
        }
        for index, name in enumerate("xyz")
        for sign in "+-"
    }


def _solid_or_none(mesh: Mesh) -> Any:
    if len(mesh.triangles) > INSERTION_LIMIT:
        return None
    try:
        return manifold_of(mesh)
    except KernelError:
        return None


def _best_way(half: Any, fixed: Sequence[Placed], paths: Mapping[str, Mapping[str, Any]], side: str) -> Way:
    ways = []
    for direction, barred in paths.items():
        if direction == side:
            continue  # from behind the other half
        hits = {name for name, room in barred.items() if _overlap(half, room)}
        covers = tuple(body.name for body, _ in fixed if body.name in hits and body.role == "cover")
        others = tuple(body.name for body, _ in fixed if body.name in hits and body.role != "cover")
        missed = tuple(body.name for body, _ in fixed if body.name not in barred)
        ways.append(Way(direction, covers, others, missed))
    return min(ways, key=lambda way: (len(way.blocked_by), len(way.covers)))


def _overlap(one: Any, other: Any) -> bool:
    low, high = np.array(one.bounding_box()).reshape(2, 3)
    other_low, other_high = np.array(other.bounding_box()).reshape(2, 3)
    if np.any(low >= other_high) or np.any(other_low >= high):
        return False
    return float((one ^ other).volume()) > NOISE

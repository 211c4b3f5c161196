"""Thread meshes straight from the outline: closed triangle meshes of threaded rods and of turned nuts.

Points run along each helix, and neighbouring helices are zipped together by angle; cones and turned faces are
rows of rings, plane ends are fans. No CAD kernel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from geometry.errors import ShapeError
from geometry.mesh_chains import Indices, Line, feet, zipped
from geometry.outlines import Array, Piece
from geometry.thread_ends import RadiusHeight, ThreadedLength, ThreadEnd, threaded_rod
from geometry.threads import thread

if TYPE_CHECKING:
    import trimesh

MeshArrays = tuple[Array, Indices]

FINEST_MM = 1e-4
COARSEST_PITCHES = 0.2
MOST_TRIANGLES = 8_000_000
# The tolerance is shared between steps of angle along the helix and steps of the outline across it.
ANGLE_SHARE, ACROSS_SHARE = 0.65, 0.3


def thread_mesh(designation: str, length_mm: float, *, tolerance_mm: float) -> trimesh.Trimesh:
    """A threaded rod from z = 0 to its length (mm) with plain ends, as a closed trimesh.Trimesh.

    No point of it is further than the tolerance (mm) from the exact surface. Its vertices lie on the surface,
    so that its volume is a little small (by 0.26 % for M3 at 0.005 mm, 0.03 % at 0.001 mm). Raises InputError
    for an unknown designation, ShapeError for a length or tolerance out of range.
    """
    import trimesh

    vertices, triangles = rod_mesh(threaded_rod(thread(designation), length_mm), tolerance_mm)
    return trimesh.Trimesh(vertices, triangles, process=False)


def rod_mesh(rod: ThreadedLength, tolerance_mm: float) -> MeshArrays:
    """Vertices (n, 3) in mm and triangles (m, 3), counter-clockwise from outside, of a threaded rod.

    Raises ShapeError for a tolerance (mm) out of range.
    """
    corners = [radius for end in (rod.near, rod.far) for radius, _ in end.turned]
    mesh, loops = _skin(rod, tolerance_mm, max([rod.outline.largest_radius_mm, *corners]))
    for loop, is_far in zip(loops, (False, True), strict=True):
        turned = loop.end.turned
        if loop.end.mouth_radius_mm is None:
            mesh.fan(mesh.without_walls(loop, 0.0, is_far)[0], loop.end.height_mm, is_far)
            continue
        mouth = mesh.cone(loop, loop.end.mouth_radius_mm, is_far)
        rows = [mouth, *mesh.rings(mouth[1], turned[1:-1])]
        mesh.join(rows, is_far)
        mesh.fan(rows[-1][0], turned[-1][1], is_far)
    return mesh.arrays(left_hand=rod.thread.hand == "left", inside_out=False)


def nut_mesh(bore: ThreadedLength, outside: Sequence[RadiusHeight], tolerance_mm: float) -> MeshArrays:
    """Vertices (n, 3) in mm and triangles (m, 3) of a turned nut around a threaded bore.

    `outside` lists the corners (radius, z) in mm of the nut's outside from its near to its far end face.
    Raises ShapeError for a tolerance out of range or an outside that is narrower than the bore.
    """
    mouth = max(end.mouth_radius_mm or bore.outline.largest_radius_mm for end in (bore.near, bore.far))
    narrowest = min(radius for radius, _ in outside)
    if narrowest <= mouth:
        raise ShapeError(
            f"the nut's outside comes to radius {narrowest:g} mm, its bore needs {mouth:.3f}",
            f"make the nut wider than {2 * mouth:.2f} mm",
        )
    mesh, (near, far) = _skin(bore, tolerance_mm, mouth)
    step = _step(tolerance_mm, max(radius for radius, _ in outside))
    angles = -np.linspace(0.0, math.tau, math.ceil(math.tau / step), endpoint=False)
    rings = mesh.rings(angles, outside)
    near_mouth, far_mouth = (
        mesh.without_walls(loop, outside[0][0], is_far)
        if loop.end.mouth_radius_mm is None
        else mesh.cone(loop, loop.end.mouth_radius_mm, is_far)
        for loop, is_far in ((near, False), (far, True))
    )
    mesh.wall(near_mouth, rings[0])
    mesh.join(rings, is_far=False)
    mesh.wall(rings[-1], far_mouth)
    return mesh.arrays(left_hand=bore.thread.hand == "left", inside_out=True)


@dataclass(frozen=True)
class _Curve:
    """Where a strip between two helices ends: the points strictly between them, s rising."""

    indices: Indices
    angles: Array
    s: Array
    r: Array

    def facing(self, onward: bool) -> Line:
        """The points as they stand, or in reverse."""
        return (self.indices, self.angles) if onward else (self.indices[::-1], self.angles[::-1])


@dataclass(frozen=True)
class _Loop:
    """The closed polygon in which a thread ends, s rising: vertex indices, their s and r (mm)."""

    indices: Indices
    s: Array
    r: Array
    k: float
    end: ThreadEnd

    def angles(self, radius: Array | float) -> Array:
        """Angles on the cut at a radius (mm), along the helices through the loop's points."""
        return _cut_angles(self.end, self.k, self.s, radius)

    def keys(self, radius: Array, s: float, mouth: float) -> Array:
        """What rises along a helix on the cut towards the mouth: the angle, or on a plane the nearness."""
        cut = self.end.cut
        if cut.slope == 0.0:
            return -np.abs(radius - mouth)
        rising: Array = np.sign(cut.slope * (mouth - radius[0])) * (cut.slope * radius - s)
        return rising


@dataclass
class _Mesh:
    """A mesh that grows: blocks of vertices and of triangles facing away from the axis."""

    step: float
    points: list[Array] = field(default_factory=list)
    faces: list[Indices] = field(default_factory=list)
    count: int = 0

    def add(self, radius: Array | float, angle: Array, height: Array | float) -> Indices:
        """Indices of new vertices at cylindrical coordinates (mm, rad, mm)."""
        x, y = radius * np.cos(angle), radius * np.sin(angle)
        self.points.append(np.column_stack((x, y, np.broadcast_to(height, x.shape))))
        self.count += len(x)
        return np.arange(self.count - len(x), self.count)

    def cone(self, loop: _Loop, mouth: float, is_far: bool) -> Line:
        """Triangles from a loop along its cone to the mouth circle, whose vertices are returned.

        Rows of vertices run along the helices through the loop. The points of a wall at right angles to the
        axis share one helix: only the one nearest to the mouth has a row, and the others hang above it.
        """
        cut = loop.end.cut
        footed, _ = feet(loop.s, loop.r, loop.k, mouth)
        foot = _Loop(loop.indices[footed], loop.s[footed], loop.r[footed], loop.k, loop.end)
        rows = [(foot.indices, foot.angles(foot.r))]
        radii = [foot.r]
        steps = max(1, math.ceil(loop.k * np.abs(loop.r - mouth).max() / self.step))
        for share in np.arange(1, steps + 1) / steps:
            radius = foot.r + share * (mouth - foot.r)
            angles = foot.angles(radius)
            rows.append((self.add(radius, angles, cut.axial + cut.slope * radius), angles))
            radii.append(radius)
        indices = np.stack([row[0] for row in rows])
        self.join(rows, is_far, skip=self.beside_walls(loop, mouth, (indices, np.stack(radii)), is_far))
        return rows[-1]

    def without_walls(self, loop: _Loop, towards: float, is_far: bool) -> Line:
        """The loop of a plain end without the points of its radial edges that hang above one of them.

        Seen along a radius the points of such an edge lie in one line, and what joins the loop to the axis or
        to a circle outside would have triangles of no area: those points are cut off first, as triangles.
        """
        footed, _ = feet(loop.s, loop.r, loop.k, towards)
        row = (loop.indices[footed][None], loop.r[footed][None])
        self.beside_walls(loop, towards, row, is_far)
        return loop.indices[footed], loop.angles(loop.r)[footed]

    def beside_walls(
        self, loop: _Loop, mouth: float, rows: tuple[Indices, Array], is_far: bool
    ) -> npt.NDArray[np.bool_]:
        """Triangles between columns of vertices of which one has points hanging above it.

        `rows` holds the indices and radii (rows, columns) down to the mouth. Returns whether the space after
        each column was filled.
        """
        footed, hanging = feet(loop.s, loop.r, loop.k, mouth)
        filled = np.zeros(len(footed), dtype=bool)
        for column, (before, after) in hanging.items():
            filled[column - 1] |= len(before) > 0
            filled[column] |= len(after) > 0
        none: Indices = np.empty(0, dtype=np.int64)
        for left in np.flatnonzero(filled).tolist():
            right = (left + 1) % len(footed)
            after_left, before_right = hanging.get(left, (none, none))[1], hanging.get(right, (none, none))[0]
            s = loop.s[footed[left]], loop.s[footed[right]] + (0.0 if right else math.tau / loop.k)
            chains = [
                (
                    np.append(loop.indices[above], rows[0][:, column]),
                    loop.keys(np.append(loop.r[above], rows[1][:, column]), along, mouth),
                )
                for column, above, along in ((left, after_left, s[0]), (right, before_right, s[1]))
            ]
            strip = zipped(*chains)
            self.faces.append(strip if is_far else strip[:, ::-1])
        return filled

    def rings(self, angles: Array, corners: Sequence[RadiusHeight]) -> list[Line]:
        """A circle of vertices at the same angles for each corner (radius, z)."""
        return [(self.add(radius, angles, z), angles) for radius, z in corners]

    def join(self, rows: Sequence[Line], is_far: bool, skip: npt.NDArray[np.bool_] | None = None) -> None:
        """Triangles between rows of vertices whose angles fall, on the diagonal that turns less.

        `skip` names the vertices between which and the following ones there are to be none.
        """
        kept = slice(None) if skip is None else ~skip
        for (a, a_angles), (b, b_angles) in pairwise(rows):
            a_next, b_next = np.roll(a, -1), np.roll(b, -1)
            falling = np.abs(_following(a_angles) - b_angles) <= np.abs(a_angles - _following(b_angles))
            one = np.where(falling, (a, a_next, b), (a, a_next, b_next)).T[kept]
            other = np.where(falling, (a_next, b_next, b), (a, b_next, b)).T[kept]
            self.faces += [one[:, ::-1], other[:, ::-1]] if is_far else [one, other]

    def fan(self, row: Indices, z: float, is_far: bool) -> None:
        """Triangles from a row to a vertex on the axis."""
        centre = np.broadcast_to(self.add(np.zeros(1), np.zeros(1), z), row.shape)
        following = np.roll(row, -1)
        self.faces.append(np.column_stack((following, row, centre) if is_far else (row, following, centre)))

    def wall(self, one: Line, other: Line) -> None:
        """Triangles between two rings whose vertices stand at angles of their own."""
        start = one[1][0]
        chains = []
        for indices, angles in (one, other):
            order = np.argsort((angles - start) % math.tau, kind="stable")
            turn = ((angles - start) % math.tau)[order]
            chains.append((np.append(indices[order], indices[order[0]]), np.append(turn, turn[0] + math.tau)))
        self.faces.append(zipped(*chains)[:, ::-1])

    def arrays(self, *, left_hand: bool, inside_out: bool) -> MeshArrays:
        """The whole mesh, mirrored for a left hand, turned inside out for a bore."""
        vertices, triangles = np.concatenate(self.points), np.concatenate(self.faces)
        if left_hand:
            vertices[:, 1] *= -1
        return vertices, triangles[:, ::-1].copy() if left_hand != inside_out else triangles


def _step(tolerance_mm: float, radius: float) -> float:
    """Step of angle (rad) whose chord at a radius stays within the tolerance's share."""
    return 2 * math.acos(1 - min(1.0, ANGLE_SHARE * tolerance_mm / radius))


def _skin(
    part: ThreadedLength, tolerance_mm: float, largest_radius: float
) -> tuple[_Mesh, tuple[_Loop, _Loop]]:
    """The helical strips of a thread as a mesh, and the two loops in which they end."""
    _must_be_in_range(part, tolerance_mm)
    step = _step(tolerance_mm, largest_radius)
    k = math.tau / part.thread.lead_mm
    s, r = _lines(part, k, step, ACROSS_SHARE * tolerance_mm)
    first, last = (_cut_angles(end, k, s, r) for end in (part.near, part.far))
    steps = np.maximum(1, np.ceil((last - first)[:-1] / step)).astype(int)
    _must_not_be_huge(2 * int(steps.sum()), tolerance_mm)
    mesh = _Mesh(step)
    lines: list[Line] = []
    for i, count in enumerate(steps):
        angle = np.linspace(first[i], last[i], count + 1)
        lines.append((mesh.add(r[i], angle, s[i] + angle / k), angle))
    lines.append((lines[0][0], lines[0][1] - math.tau))
    near, far = (
        [_curve(mesh, end, k, s[i : i + 2], r[i : i + 2]) for i in range(len(steps))] for end in part.ends
    )
    mesh.faces = [_strip(*pair, *ends) for pair, *ends in zip(pairwise(lines), near, far, strict=True)]
    starts, stops = ([int(indices[place]) for indices, _ in lines] for place in (0, -1))
    return mesh, (_loop(starts, s, r, near, k, part.near), _loop(stops, s, r, far, k, part.far))


def _cut_angles(end: ThreadEnd, k: float, s: Array, radius: Array | float) -> Array:
    angles: Array = k * (end.cut.axial + end.cut.slope * radius - s)
    return angles


def _lines(part: ThreadedLength, k: float, step: float, tolerance_mm: float) -> tuple[Array, Array]:
    """The s and r (n + 1,) of the helices over one lead: the outline's corners, and points between them."""
    stations = [_stations(piece, k, step, tolerance_mm) for piece in part.outline.pieces]
    s, r = np.concatenate([points[:-1] for points in stations]).T
    s = np.concatenate([s + start * part.thread.pitch_mm for start in range(part.thread.starts)])
    r = np.tile(r, part.thread.starts)
    return np.append(s, s[0] + part.thread.lead_mm), np.append(r, r[0])


def _stations(piece: Piece, k: float, step: float, tolerance_mm: float) -> Array:
    """Points (n, 2) along a piece, so many that strips between them stay within the tolerance (mm)."""
    parts = 1
    while True:
        points = piece.at(np.linspace(0.0, 1.0, 2 * parts + 1))
        sag = np.hypot(*(points[1::2] - (points[:-2:2] + points[2::2]) / 2).T)
        if (sag + _twist(points[::2], k, step)).max() <= tolerance_mm:
            return points[::2]
        parts += 1


def _twist(points: Array, k: float, step: float) -> Array:
    """How far the middle of each quadrilateral, one step long, is from the helicoid through its edges (mm).

    Its corners miss a plane by dr step along the tangent, a quarter of which counts in the middle; the normal
    of the flank is (dr / k) there to (r dr, r ds) in the axial plane.
    """
    (ds, dr), r = np.abs(np.diff(points, axis=0)).T, points[:, 1].min()
    normal = np.hypot(dr / k, r * np.hypot(ds, dr))
    twist: Array = dr * step / 4 * (dr / k) / normal
    return twist


def _curve(mesh: _Mesh, end: ThreadEnd, k: float, s: Array, r: Array) -> _Curve:
    """New vertices where a cut crosses the strip between two helices."""
    # On a cone the steps must be small also on its mouth circle and along its helices.
    turn = max(k * np.ptp(s), abs(end.cut.slope) * k * np.ptp(r), np.ptp(_cut_angles(end, k, s, r)))
    share = np.linspace(0.0, 1.0, max(1, math.ceil(turn / mesh.step)) + 1)[1:-1]
    s, r = s[0] + share * (s[1] - s[0]), r[0] + share * (r[1] - r[0])
    angles = _cut_angles(end, k, s, r)
    return _Curve(mesh.add(r, angles, end.cut.axial + end.cut.slope * r), angles, s, r)


def _loop(corners: list[int], s: Array, r: Array, curves: list[_Curve], k: float, end: ThreadEnd) -> _Loop:
    parts = [
        (np.append(corners[i], c.indices), np.append(s[i], c.s), np.append(r[i], c.r))
        for i, c in enumerate(curves)
    ]
    indices, all_s, all_r = (np.concatenate(column) for column in zip(*parts, strict=True))
    return _Loop(indices, all_s, all_r, k, end)


def _strip(left: Line, right: Line, near: _Curve, far: _Curve) -> Indices:
    """Triangles between two helices and the curves in which both ends cut the strip.

    Each curve goes with the helix that begins, or ends, nearer to the middle of the thread, so that the angle
    rises along both chains. The points of a curve are in line with its two ends in the strip: of the other
    chain the second vertex comes before them, and the last one after them, lest triangles be flat.
    """
    chains = [left, right]
    late = 0 if left[1][0] >= right[1][0] else 1
    chains[late] = _chain(near.facing(late == 1), chains[late])
    early = 0 if left[1][-1] <= right[1][-1] else 1
    chains[early] = _chain(chains[early], far.facing(early == 0))
    second = np.nextafter(chains[1 - late][1][1], math.inf)
    chains[late] = (chains[late][0], np.maximum(chains[late][1], second))
    indices, angles = chains[1 - early]
    chains[1 - early] = (indices, np.append(angles[:-1], math.inf))
    return zipped(*chains)


def _following(angles: Array) -> Array:
    """The angle of each vertex's successor round a ring, in which angles fall by a turn."""
    return np.append(angles[1:], angles[0] - math.tau)


def _chain(one: Line, other: Line) -> Line:
    return np.concatenate((one[0], other[0])), np.concatenate((one[1], other[1]))


def _must_be_in_range(part: ThreadedLength, tolerance_mm: float) -> None:
    coarsest = COARSEST_PITCHES * part.thread.pitch_mm
    if not FINEST_MM <= tolerance_mm <= coarsest:
        raise ShapeError(
            f"mesh tolerance is {tolerance_mm:g} mm, for {part.thread.designation} it must lie between "
            f"{FINEST_MM:g} and {coarsest:g}",
            f"take {min(max(tolerance_mm, FINEST_MM), coarsest) if tolerance_mm > 0 else 0.01:g} mm",
            "tolerance",
        )


def _must_not_be_huge(triangles: int, tolerance_mm: float) -> None:
    if triangles > MOST_TRIANGLES:
        # The number of triangles falls with the root of the tolerance, and faster where there are arcs.
        enough = tolerance_mm * (triangles / MOST_TRIANGLES) ** 2
        raise ShapeError(
            f"the mesh would have {triangles} triangles, at most {MOST_TRIANGLES} are made",
            f"take a tolerance of {enough:.2g} mm or a shorter thread",
            "tolerance",
        )

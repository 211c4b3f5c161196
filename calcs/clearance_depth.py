"""Where along the travel a pair overlaps deepest, and how much it shares there (mm, mm3)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from calcs.clearance import Pair
from calcs.clearance_overlap import Overlap, PartingShift, clipped, overlap, parting_shift, swept_solid
from calcs.clearance_sweep import Mover
from calcs.clearance_windows import Interval
from geometry.meshes import Mesh, moved

_DEPTH_ROUNDING = 1e-6  # mm; common volume thinner than this is rounding
_STRETCHES = 60  # of travel, looked at for the deepest pose
_CELLS = 64  # of the travel, to bound the common volume of a contact at one pose
_CLIPPED = 5_000  # triangles; obstacles with more are clipped to where the windows lie
_AS_DEEP = 1e-3  # mm; depths that differ by less are equal


@dataclass(frozen=True)
class DeepestPose:
    """The pose (mm of travel) of the deepest overlap: the shift that parts the bodies, what they share."""

    travel: float
    shift: PartingShift
    shared: Overlap


@dataclass(frozen=True, eq=False)
class _Scene:
    """A mover and the obstacle, clipped to what a shift of the mover by up to `reach` (mm) can come to."""

    mover: Mover
    near: Mesh
    reach: float
    whole: Mesh
    touch: float


def shared_on_the_way(pair: Pair, start: float, stop: float) -> Overlap | None:
    """Give what the pair shares from `start` to `stop` (mm); None where it touches at most.

    Touching is not overlapping: what is no deeper than the chord errors may be either.
    """
    touch = _touch(pair)
    shared = overlap(swept_solid(pair.mover, start, stop), pair.obstacle.mesh, touch)
    return shared if shared is not None and shared.depth > touch else None


def most_shared(pair: Pair, start: float, stop: float) -> float:
    """Bound the common volume (mm3) at any one pose by what short stretches of the travel share."""
    ends = np.linspace(start, stop, _CELLS + 1).tolist()
    cells = [shared_on_the_way(pair, low, high) for low, high in pairwise(ends)]
    return max((cell.volume for cell in cells if cell is not None), default=0.0)


def deepest_pose(pair: Pair, windows: Sequence[Interval]) -> DeepestPose | None:
    """Find the pose of the deepest overlap; None where the whole way through the windows only touches.

    What parts all that a stretch of travel sweeps parts every pose on it, so its shift bounds their depth:
    the stretch of the largest bound is halved until no bound is above the deepest pose by 0.001 mm, or 60
    stretches were looked at. Raises KernelError where a mesh is not a manifold.
    """
    scene = _scene(pair, windows)
    stretches = [bounded for low, high in windows if (bounded := _bounded(scene, low, high))]
    best: DeepestPose | None = None
    for _ in range(_STRETCHES):
        if not stretches:
            break
        bound, low, high = stretches.pop(stretches.index(max(stretches)))
        if best is not None and bound <= best.shift.length + _AS_DEEP:
            break
        middle = (low + high) / 2.0
        for pose in (middle, low, high):
            best = _deeper(best, _at_pose(scene, pose))
        if high - low > _AS_DEEP:
            halves = (_bounded(scene, low, middle), _bounded(scene, middle, high))
            stretches += [half for half in halves if half is not None]
    return best


def _bounded(scene: _Scene, low: float, high: float) -> tuple[float, float, float] | None:
    """Bound the depth (mm) of all poses of a stretch; None where it touches at most."""
    swept = swept_solid(scene.mover, low, high)
    shared = overlap(swept, scene.near, scene.touch)
    if shared is None or shared.depth <= scene.touch:
        return None
    return _parted(scene, swept).length, low, high


def _parted(scene: _Scene, mesh: Mesh) -> PartingShift:
    shift = parting_shift(mesh, scene.near)
    return shift if shift.length < scene.reach else parting_shift(mesh, scene.whole)


def _touch(pair: Pair) -> float:
    return pair.chord_error + _DEPTH_ROUNDING


def _scene(pair: Pair, windows: Sequence[Interval]) -> _Scene:
    mover, mesh = pair.mover, pair.obstacle.mesh
    if len(mesh.triangles) <= _CLIPPED:
        return _Scene(mover, mesh, np.inf, mesh, _touch(pair))
    low, high = mover.mesh.bounds
    reach = float((high - low).max())
    ends = np.ravel(windows)[:, None] * mover.direction
    near = clipped(mesh, low + ends.min(axis=0) - reach, high + ends.max(axis=0) + reach)
    return _Scene(mover, near, reach, mesh, _touch(pair))


def _at_pose(scene: _Scene, travel: float) -> DeepestPose | None:
    pose = moved(scene.mover.mesh, travel * scene.mover.direction)
    shared = overlap(pose, scene.near, scene.touch)
    if shared is None or shared.depth <= scene.touch:
        return None
    return DeepestPose(travel, _parted(scene, pose), shared)


def _deeper(best: DeepestPose | None, other: DeepestPose | None) -> DeepestPose | None:
    """Keep the deeper of two poses; of equally deep ones that with more common volume, else the first."""
    if best is None or other is None:
        return best or other
    gain = other.shift.length - best.shift.length
    if abs(gain) > _AS_DEEP:
        return other if gain > 0.0 else best
    return other if other.shared.volume > best.shared.volume * (1.0 + 1e-6) else best

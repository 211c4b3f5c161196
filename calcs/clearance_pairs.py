"""The verdict on a pair of bodies: its gap as an interval, where it is too small, what they share (mm)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from calcs.check import ORDER
from calcs.clearance import Nearest, Pair, nearest, sharper_bounds
from calcs.clearance_overlap import Overlap, PartingShift, overlap, parting_shift, swept_overlap
from calcs.clearance_sweep import TOUCH, Sweep, sweep
from calcs.clearance_windows import Interval, clear_of, joined, windows_nearer
from calcs.finding import Verdict
from geometry.bodies import Contact, Point
from geometry.meshes import moved
from geometry.units import Band

Kind = Literal["travel", "static", "contact"]
Box = tuple[Point, Point]

ROUNDING = 1e-9  # mm; a gap that is short of the required one by less is that gap
_DEPTH_ROUNDING = 1e-6  # mm; common volume thinner than this is rounding
_POSES = 9  # per window of clash, to find its deepest pose
_REFINEMENTS = 7  # halvings of the step between poses around the deepest
_CELLS = 64  # of the travel, to bound the common volume of a contact at one pose


@dataclass(frozen=True)
class SharedVolume:
    """What two bodies share at one pose: volume (mm3), its box (mm), the travel (mm; None if static)."""

    volume: float
    box: Box
    at_travel: float | None


@dataclass(frozen=True)
class PairResult:
    """The answer on one pair (mm); `gap` is None where a body has no mesh.

    `below_required` and `clash` are windows of travel. `shortfall_axis` is the axis along which the obstacle
    would be cut, 0, 1 or 2.
    """

    a: str
    b: str
    kind: Kind
    required: float
    verdict: Verdict
    gap: Band | None = None
    at_travel: float | None = None
    points: tuple[Point, Point] | None = None
    below_required: tuple[Interval, ...] = ()
    clash: tuple[Interval, ...] = ()
    overlap: SharedVolume | None = None
    reason: str = ""
    shortfall_axis: int | None = None
    remedies: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Task:
    """A pair to judge: names of mover and obstacle, the two bodies, why inside cannot be told (or empty)."""

    a: str
    b: str
    pair: Pair
    undecided: str = ""

    @property
    def has_volume(self) -> bool:
        """Both bodies are solid, so that what they share is a volume."""
        return self.pair.mover_is_solid and self.pair.obstacle_is_solid


@dataclass(frozen=True)
class _Deepest:
    travel: float
    shift: PartingShift
    shared: Overlap


def judge_travel(task: Task, swept: Sweep, required: float) -> PairResult:
    """Judge a moving body against a fixed one over a sweep."""
    return _judged(task, swept, required, "travel")


def judge_static(task: Task, required: float) -> PairResult:
    """Judge two bodies at the one pose in which they are given."""
    result = _judged(task, sweep(task.pair.mover, 0.0, 0.0), required, "static")
    return _without_travel(result)


def judge_contact(task: Task, contact: Contact, required: float, travel: Interval | None) -> PairResult:
    """Judge a declared contact: by common volume in its range of travel, by the required gap outside it.

    `travel` is None for a pair at one pose.
    """
    start, stop = travel or (0.0, 0.0)
    low, high = contact.travel or (start, stop)
    inside = (max(low, start), min(high, stop))
    if travel is None:
        inside = (start, stop)
    results = [_touching(task, contact, inside)] if inside[0] <= inside[1] else []
    outside = clear_of([inside], start, stop) if inside[0] <= inside[1] else ((start, stop),)
    results += [_judged(task, sweep(task.pair.mover, *stretch), required, "contact") for stretch in outside]
    worst = max(results, key=lambda result: (ORDER.index(result.verdict), result.required - _low(result)))
    merged = replace(
        worst,
        below_required=tuple(joined(window for result in results for window in result.below_required)),
        clash=tuple(joined(window for result in results for window in result.clash)),
    )
    return _without_travel(merged) if travel is None else merged


def not_measured(a: str, b: str, kind: Kind, required: float, reason: str) -> PairResult:
    """Report a pair of which a body has no mesh."""
    return PairResult(a, b, kind, required, "NOT CHECKED", reason=reason)


def verdict_on(gap: Band, required: float) -> Verdict:
    """Judge the printed interval on its low end: what lies within the chord errors is not proven."""
    if gap.low >= required - ROUNDING:
        return "PASS"
    return "FAIL" if gap.high < required - ROUNDING else "NOT PROVEN"


def _judged(task: Task, swept: Sweep, required: float, kind: Kind) -> PairResult:
    near, pair = nearest(task.pair, swept)
    task = replace(task, pair=pair)
    if near.apart:
        return _apart(task, swept, near, required, kind)
    windows = _windows(pair, TOUCH, swept) or ((swept.start, swept.stop),)
    deepest = _deepest(task, windows) if task.has_volume else None
    if deepest is None:
        return _touch_or_cross(task, swept, near, required, kind, windows)
    return _clash(task, swept, deepest, required, kind, windows)


def _apart(task: Task, swept: Sweep, near: Nearest, required: float, kind: Kind) -> PairResult:
    error, distance = task.pair.chord_error, near.gap.distance
    gap = Band(distance - error, distance, distance + error)
    verdict = verdict_on(gap, required)
    if verdict == "NOT PROVEN":
        gap = Band(*sharper_bounds(task.pair, swept, near.gap))
        verdict = verdict_on(gap, required)
    if required == 0.0 and verdict == "NOT PROVEN":
        verdict = "PASS"  # nothing tells this pair from one that touches, and it may touch
    below = (
        _windows(task.pair, required + error - ROUNDING, swept) if verdict in ("FAIL", "NOT PROVEN") else ()
    )
    between = np.abs(np.subtract(near.gap.on_obstacle, near.gap.on_mover))
    result = PairResult(
        task.a, task.b, kind, required, verdict, gap, near.gap.travel,
        (near.gap.on_mover, near.gap.on_obstacle),
        below_required=below, shortfall_axis=int(between.argmax()),
    )  # fmt: skip
    return _unless_undecided(result, task)


def _touch_or_cross(
    task: Task, swept: Sweep, near: Nearest, required: float, kind: Kind, windows: tuple[Interval, ...]
) -> PairResult:
    """Judge surfaces that meet without a common volume, or of which no common volume can be told."""
    error = task.pair.chord_error
    gap = Band(-error, 0.0, error)
    verdict = "PASS" if required == 0.0 else verdict_on(gap, required)
    point = near.gap.on_mover
    result = PairResult(
        task.a, task.b, kind, required, verdict, gap, near.gap.travel, (point, point),
        below_required=() if required == 0.0 else _windows(task.pair, required + error - ROUNDING, swept),
        clash=() if task.has_volume else windows,
    )  # fmt: skip
    if verdict != "FAIL" and not task.has_volume:
        task = replace(task, undecided=task.undecided or "surfaces meet: touching and crossing look alike")
    return _unless_undecided(result, task)


def _clash(
    task: Task, swept: Sweep, deepest: _Deepest, required: float, kind: Kind, windows: tuple[Interval, ...]
) -> PairResult:
    error, depth = task.pair.chord_error, deepest.shift.length
    middle = tuple(np.mean(deepest.shared.box, axis=0).tolist())
    return PairResult(
        task.a, task.b, kind, required, "FAIL", Band(-depth - error, -depth, -depth + error), deepest.travel,
        (middle, middle),
        below_required=_windows(task.pair, max(required + error - ROUNDING, TOUCH), swept) or windows,
        clash=windows,
        overlap=SharedVolume(deepest.shared.volume, deepest.shared.box, deepest.travel),
        shortfall_axis=int(np.abs(deepest.shift.direction).argmax()),
    )  # fmt: skip


def _unless_undecided(result: PairResult, task: Task) -> PairResult:
    """A surface that is too near fails whatever lies inside; anything better waits for an answer."""
    if result.verdict == "FAIL" or not task.undecided:
        return result
    return replace(result, verdict="NOT CHECKED", reason=task.undecided)


def _windows(pair: Pair, threshold: float, swept: Sweep) -> tuple[Interval, ...]:
    if swept.stop <= swept.start:
        return ()
    return windows_nearer(pair, threshold, swept.start, swept.stop)


def _touching(task: Task, contact: Contact, inside: Interval) -> PairResult:
    """Judge a declared contact where it may touch: by the volume that the two share at any one pose."""
    pair, (start, stop) = task.pair, inside
    swept = sweep(pair.mover, start, stop)
    near, pair = nearest(pair, swept)
    error, distance = pair.chord_error, near.gap.distance if near.apart else 0.0
    result = PairResult(
        task.a, task.b, "contact", 0.0, "PASS", Band(distance - error, distance, distance + error),
        near.gap.travel, (near.gap.on_mover, near.gap.on_obstacle),
    )  # fmt: skip
    if not task.has_volume:
        reason = task.undecided or "a surface: touching and crossing look alike"
        return replace(result, verdict="NOT CHECKED", reason=reason)
    shared = _swept(pair, start, stop)
    if shared is None or shared.volume <= contact.overlap_mm3:
        return result
    deepest = _deepest(replace(task, pair=pair), (inside,))
    if deepest is not None and deepest.shared.volume > contact.overlap_mm3:
        failed = _clash(task, swept, deepest, 0.0, "contact", _windows(pair, TOUCH, swept) or (inside,))
        return replace(failed, reason=f"the contact allows {contact.overlap_mm3:g} mm3 of overlap")
    if _most_shared(pair, inside) <= contact.overlap_mm3:
        return result
    return replace(result, verdict="NOT PROVEN", reason="the overlap at one pose could not be bounded")


def _most_shared(pair: Pair, inside: Interval) -> float:
    """Bound the common volume (mm3) at any one pose by what short stretches of the travel sweep."""
    ends = np.linspace(*inside, _CELLS + 1).tolist()
    cells = [_swept(pair, a, b) for a, b in pairwise(ends)]
    return max((cell.volume for cell in cells if cell is not None), default=0.0)


def _touch(pair: Pair) -> float:
    """Touching is not overlapping: what is no deeper than the chord errors may be either (mm)."""
    return pair.chord_error + _DEPTH_ROUNDING


def _swept(pair: Pair, start: float, stop: float) -> Overlap | None:
    """What the pair shares on the way, deeper than touching."""
    shared = swept_overlap(pair.mover, pair.obstacle.mesh, start, stop, _touch(pair))
    return shared if shared is not None and shared.depth > _touch(pair) else None


def _deepest(task: Task, windows: Sequence[Interval]) -> _Deepest | None:
    """Find the pose of the deepest overlap; None where the whole way through the windows only touches.

    Poses are looked at closer and closer around the deepest one. Whether there is an overlap at all is not
    sampled: what the windows sweep decides it.
    """
    best: _Deepest | None = None
    for low, high in windows:
        if _swept(task.pair, low, high) is None:
            continue
        step = (high - low) / (_POSES - 1)
        found = _deepest_of(task, [low + index * step for index in range(_POSES)])
        found = found or _at_pose(task, _pose_of_overlap(task.pair, low, high))
        for _ in range(_REFINEMENTS if found and step > 0.0 else 0):
            step /= 2.0
            beside = (
                [s for s in (found.travel - step, found.travel + step) if low <= s <= high] if found else []
            )
            found = _deeper(found, _deepest_of(task, beside))
        best = _deeper(best, found)
    return best


def _deepest_of(task: Task, poses: Sequence[float]) -> _Deepest | None:
    """Look at poses from the middle outwards, so that of equally deep ones the middle one is named."""
    best: _Deepest | None = None
    for pose in sorted(set(poses), key=lambda s: (abs(s - float(np.mean(poses))), s)):
        best = _deeper(best, _at_pose(task, pose))
    return best


def _pose_of_overlap(pair: Pair, low: float, high: float) -> float:
    """Halve a stretch of travel whose sweep overlaps down to a pose that does."""
    while high - low > 1e-3:
        middle = (low + high) / 2.0
        low, high = (low, middle) if _swept(pair, low, middle) is not None else (middle, high)
    return (low + high) / 2.0


def _at_pose(task: Task, travel: float) -> _Deepest | None:
    pair = task.pair
    pose, obstacle = moved(pair.mover.mesh, travel * pair.mover.direction), pair.obstacle.mesh
    shared = overlap(pose, obstacle, _touch(pair))
    if shared is None or shared.depth <= _touch(pair):
        return None
    return _Deepest(travel, parting_shift(pose, obstacle), shared)


def _deeper(best: _Deepest | None, other: _Deepest | None) -> _Deepest | None:
    """Keep the deeper of two poses; of equally deep ones that with more common volume, else the first."""
    if best is None or other is None:
        return best or other
    gain = other.shift.length - best.shift.length
    if abs(gain) > 1e-3:
        return other if gain > 0.0 else best
    return other if other.shared.volume > best.shared.volume * (1.0 + 1e-6) else best


def _low(result: PairResult) -> float:
    return -math.inf if result.gap is None else result.gap.low


def _without_travel(result: PairResult) -> PairResult:
    shared = result.overlap and replace(result.overlap, at_travel=None)
    return replace(result, at_travel=None, below_required=(), clash=(), overlap=shared)

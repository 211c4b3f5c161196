"""The verdict on a pair of bodies: its gap as an interval, where it is too small, what they share (mm)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from calcs.clearance import Nearest, Pair, nearest, sharper_bounds
from calcs.clearance_closed import closed_gap
from calcs.clearance_depth import DeepestPose, deepest_pose, most_shared, shared_on_the_way
from calcs.clearance_sweep import TOUCH, Sweep, sweep
from calcs.clearance_windows import Interval, clear_of, joined, windows_nearer
from calcs.finding import Verdict
from calcs.result import ORDER
from geometry.bodies import Contact, Point, Shape
from geometry.errors import KernelError
from geometry.units import Band

Kind = Literal["travel", "static", "contact"]
Box = tuple[Point, Point]

ROUNDING = 1e-9  # mm; a gap that is short of the required one by less is that gap
_SELF_CHECK = 1e-6  # mm by which closed form and meshes may be at odds, chord errors counted


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
    """A pair to judge: names of mover and obstacle, the two bodies, why inside cannot be told (or empty).

    `shapes`: what the meshes were made of, given where the mover goes along z.
    """

    a: str
    b: str
    pair: Pair
    undecided: str = ""
    shapes: tuple[Shape, Shape] | None = None

    @property
    def has_volume(self) -> bool:
        """Both bodies are solid, so that what they share is a volume."""
        return self.pair.mover_is_solid and self.pair.obstacle_is_solid


def judge_travel(task: Task, swept: Sweep, required: float) -> PairResult:
    """Judge a moving body against a fixed one over a sweep."""
    return _judged(task, swept, required, "travel")


def judge_static(task: Task, required: float) -> PairResult:
    """Judge two bodies at the one pose in which they are given."""
    result = _judged(task, sweep(task.pair.mover, 0.0, 0.0), required, "static")
    return _without_travel(result)


def judge_contact(
    task: Task, contacts: Sequence[Contact], required: float, travel: Interval | None
) -> PairResult:
    """Judge a pair's declared contacts: by common volume in their ranges of travel, by the class outside.

    `travel` is None for a pair at one pose, where a contact has no range.
    """
    start, stop = travel or (0.0, 0.0)
    ranges = [(start, stop) if travel is None else contact.travel or (start, stop) for contact in contacts]
    touching = [
        (contact, (max(low, start), min(high, stop)))
        for contact, (low, high) in zip(contacts, ranges, strict=True)
        if low <= stop and high >= start
    ]
    results = [_touching(task, contact, inside) for contact, inside in touching]
    outside = clear_of([inside for _, inside in touching], start, stop)
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
    deepest = deepest_pose(pair, windows) if task.has_volume else None
    if deepest is None:
        return _touch_or_cross(task, swept, near, required, kind, windows)
    return _clash(task, swept, deepest, required, kind, windows)


def _apart(task: Task, swept: Sweep, near: Nearest, required: float, kind: Kind) -> PairResult:
    error, distance = task.pair.chord_error, near.gap.distance
    gap = _narrowed(task, swept, Band(distance - error, distance, distance + error))
    verdict = verdict_on(gap, required)
    if verdict == "NOT PROVEN":
        gap = _narrowed(task, swept, Band(*sharper_bounds(task.pair, swept, near.gap)))
        verdict = verdict_on(gap, required)
    if required == 0.0 and verdict == "NOT PROVEN":
        verdict = "PASS"  # nothing tells this pair from one that touches, and it may touch
    below = () if verdict == "PASS" else _surface_windows(task.pair, required + error - ROUNDING, swept)
    between = np.abs(np.subtract(near.gap.on_obstacle, near.gap.on_mover))
    result = PairResult(
        task.a, task.b, kind, required, verdict, gap, near.gap.travel,
        (near.gap.on_mover, near.gap.on_obstacle),
        below_required=below, shortfall_axis=int(between.argmax()),
    )  # fmt: skip
    return _unless_undecided(result, task)


def _narrowed(task: Task, swept: Sweep, meshed: Band) -> Band:
    """Narrow what the meshes say of a gap by its closed form, where there is one.

    Raises KernelError where the two are at odds.
    """
    closed = closed_gap(*task.shapes, swept.start, swept.stop) if task.shapes else None
    if closed is None:
        return meshed
    low, high = max(meshed.low, closed[0]), min(meshed.high, closed[1])
    if low > high + _SELF_CHECK:
        words = f"{task.a} / {task.b}: the closed form gives a gap of {closed[0]:g} to {closed[1]:g} mm"
        raise KernelError(f"{words}, the meshes one of {meshed.low:g} to {meshed.high:g} mm")
    high = max(low, high)
    return Band(low, min(max(meshed.nominal, low), high), high)


def _touch_or_cross(
    task: Task, swept: Sweep, near: Nearest, required: float, kind: Kind, windows: tuple[Interval, ...]
) -> PairResult:
    """Judge surfaces that meet without a common volume, or of which no common volume can be told."""
    error = task.pair.chord_error
    gap = Band(-error, 0.0, error)
    verdict = "PASS" if required == 0.0 else verdict_on(gap, required)
    below = () if required == 0.0 else _surface_windows(task.pair, required + error - ROUNDING, swept)
    point = near.gap.on_mover
    result = PairResult(
        task.a, task.b, kind, required, verdict, gap, near.gap.travel, (point, point),
        below_required=below,
        clash=() if task.has_volume else windows,
    )  # fmt: skip
    if verdict != "FAIL" and not task.has_volume:
        task = replace(task, undecided=task.undecided or "surfaces meet: touching and crossing look alike")
    return _unless_undecided(result, task)


def _clash(
    task: Task, swept: Sweep, deepest: DeepestPose, required: float, kind: Kind, windows: tuple[Interval, ...]
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


def _surface_windows(pair: Pair, threshold: float, swept: Sweep) -> tuple[Interval, ...]:
    """Windows of a pair of which neither holds a piece of the other anywhere: surfaces alone tell them."""
    return _windows(replace(pair, mover_is_solid=False, obstacle_is_solid=False), threshold, swept)


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
    gap = Band(distance - error, distance, distance + error)
    result = PairResult(
        task.a, task.b, "contact", 0.0, "PASS", _narrowed(task, swept, gap) if near.apart else gap,
        near.gap.travel, (near.gap.on_mover, near.gap.on_obstacle),
    )  # fmt: skip
    if not task.has_volume:
        reason = task.undecided or "a surface: touching and crossing look alike"
        return replace(result, verdict="NOT CHECKED", reason=reason)
    shared = shared_on_the_way(pair, start, stop)
    if shared is None or shared.volume <= contact.overlap_mm3:
        return result
    deepest = deepest_pose(pair, (inside,))
    if deepest is not None and deepest.shared.volume > contact.overlap_mm3:
        failed = _clash(task, swept, deepest, 0.0, "contact", _windows(pair, TOUCH, swept) or (inside,))
        return replace(failed, reason=f"the contact allows {contact.overlap_mm3:g} mm3 of overlap")
    if most_shared(pair, start, stop) <= contact.overlap_mm3:
        return result
    return replace(result, verdict="NOT PROVEN", reason="the overlap at one pose could not be bounded")


def _low(result: PairResult) -> float:
    return -math.inf if result.gap is None else result.gap.low


def _without_travel(result: PairResult) -> PairResult:
    shared = result.overlap and replace(result.overlap, at_travel=None)
    return replace(result, at_travel=None, below_required=(), clash=(), overlap=shared)

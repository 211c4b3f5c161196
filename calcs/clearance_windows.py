"""The stretches of travel in which a pair is nearer than a threshold (mm), by swept queries only."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from calcs.clearance import Pair, comes_nearer
from calcs.clearance_sweep import pose_distance

Interval = tuple[float, float]

_EDGE = 1e-5  # mm of travel to which the ends of a window are bisected
_COARSEST = 0.25  # mm; the finest stretches looked at: a clear one twice as long holds one of them whole


def windows_nearer(pair: Pair, threshold: float, start: float, stop: float) -> tuple[Interval, ...]:
    """Give the windows of travel in which the pair is nearer than `threshold` (mm).

    What is left out is proven clear over its whole length; a window may swallow a clear stretch shorter than
    0.5 mm or a 128th of the travel, whichever is less.
    """
    cell = min(_COARSEST, (stop - start) / 256.0)

    def cells(low: float, high: float) -> Iterable[Interval]:
        middle = (low + high) / 2.0
        distance = pose_distance(pair.mover, middle, pair.obstacle)
        if distance >= threshold and not comes_nearer(pair, threshold, low, high):
            return
        # The distance changes by at most the travel: near enough in the middle is near everywhere.
        if distance + (high - low) / 2.0 < threshold or high - low <= cell:
            yield low, high
        else:
            yield from cells(low, middle)
            yield from cells(middle, high)

    return tuple(_refined(pair, threshold, window, (start, stop)) for window in joined(cells(start, stop)))


def _refined(pair: Pair, threshold: float, window: Interval, travel: Interval) -> Interval:
    """Move both ends of a window inwards to where the threshold is crossed."""
    low, high = window
    if low > travel[0]:
        low = _last_true(lambda s: not comes_nearer(pair, threshold, window[0], s), window[0], window[1])
    if high < travel[1]:
        high = -_last_true(lambda s: not comes_nearer(pair, threshold, -s, window[1]), -window[1], -window[0])
    return low, high


def _last_true(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Bisect for where `holds`, true at `low`, becomes false; `high` when it never does."""
    while high - low > _EDGE:
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return (low + high) / 2.0


def joined(intervals: Iterable[Interval]) -> list[Interval]:
    """Unite intervals that overlap or meet, in order."""
    union: list[Interval] = []
    for low, high in sorted(intervals):
        if union and low <= union[-1][1]:
            union[-1] = (union[-1][0], max(high, union[-1][1]))
        else:
            union.append((low, high))
    return union


def clear_of(windows: Sequence[Interval], start: float, stop: float) -> tuple[Interval, ...]:
    """Give the stretches of a travel that lie outside all windows; those of no length are left out."""
    clear, at = [], start
    for low, high in [*joined(windows), (stop, stop)]:
        if min(low, stop) - at > _EDGE:
            clear.append((at, min(low, stop)))
        at = max(at, high)
    return tuple(clear)


def longest(intervals: Sequence[Interval]) -> Interval | None:
    """Give the longest interval, the first of equals; None of none."""
    return max(intervals, key=lambda window: window[1] - window[0], default=None)

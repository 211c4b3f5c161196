"""Chains of vertices that triangles join: zipped along their keys, and where walls leave points hanging."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from geometry.outlines import Array

Indices = npt.NDArray[np.int64]
Line = tuple[Indices, Array]  # vertex indices and their rising keys
Hanging = dict[int, tuple[Indices, Indices]]


def zipped(left: Line, right: Line) -> Indices:
    """Triangles (n, 3) between two chains of vertices with rising keys, each new vertex closing one."""
    key = np.concatenate((left[1][1:], right[1][1:]))
    order = np.argsort(key, kind="stable")
    on_left = order < len(left[1]) - 1
    i = np.cumsum(on_left)
    j = np.cumsum(~on_left)
    new = np.where(on_left, left[0][i], right[0][j])
    return np.column_stack((left[0][i - on_left], new, right[0][j - ~on_left]))


def feet(s: Array, r: Array, k: float, mouth: float) -> tuple[Indices, Hanging]:
    """The points of a loop that have a row towards a mouth (mm), and by their place those that hang above.

    The loop's points (n,) are given by their s and r (mm), k is 2 pi / lead; points of a wall at right
    angles to the axis stand at one s, and only the one nearest to the mouth has a row.

    Those before a foot come first, those after it second, both from the furthest from the mouth inward.
    """
    count, far = len(s), np.abs(r - mouth)
    on_wall = _same_helix(s, np.roll(s, -1), k)  # with the following point
    if not on_wall.any():
        return np.arange(count), {}
    nearer_follows = on_wall & (np.roll(far, -1) < far)
    nearer_before = np.roll(on_wall, 1) & (np.roll(far, 1) < far)
    hangs = nearer_follows | nearer_before
    footed = np.flatnonzero(~hangs)
    hanging: Hanging = {}
    for column, foot in enumerate(footed.tolist()):
        before: list[int] = []
        after: list[int] = []
        while nearer_follows[(foot - 1 - len(before)) % count]:
            before.append((foot - 1 - len(before)) % count)
        while nearer_before[(foot + 1 + len(after)) % count]:
            after.append((foot + 1 + len(after)) % count)
        if before or after:
            hanging[column] = (np.array(before[::-1], dtype=np.int64), np.array(after[::-1], dtype=np.int64))
    return footed, hanging


def _same_helix(s: Array, other: Array, k: float) -> npt.NDArray[np.bool_]:
    """Whether points stand at the same place along the axis, or a lead apart."""
    turns = k / math.tau * (s - other)
    return np.abs(turns - np.round(turns)) < 1e-9

"""One cycle of a load case in parts: extending and retracting, with and without outside forces."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from calcs.case import LoadCase
from calcs.checks.drive import AxialForces


class Part(NamedTuple):
    """A part of a cycle: force on the screw (N), negative where it drives the motion, way (m) and time (s).

    `ramping`: what speeds up, or may while an outside force acts.
    """

    name: str
    force_n: float
    way_m: float
    time_s: float
    ramping: bool = False


def parts_of(
    forces: AxialForces,
    case: LoadCase,
    low_m: float,
    high_m: float,
    reached_m_s: float,
    ramp_s: float,
    move_s: float,
    peak_force_n: float,
) -> tuple[Part, ...]:
    """Give one cycle, each way from its lightest part to its heaviest, with one ramp at the peak force.

    An outside force counts on the way that it resists, over its own stretch.
    """
    stroke, drag = high_m - low_m, forces.friction_n.nominal
    ramp_m = reached_m_s * ramp_s / 2.0
    out, back = (stretches(case, low_m, high_m, against=against) for against in (True, False))
    return (
        *_way("extending", drag + forces.weight_n, out, stroke - ramp_m, move_s - ramp_s, reached_m_s),
        Part("ramp", peak_force_n, ramp_m, ramp_s, ramping=True),
        *_way("retracting", drag - forces.weight_n, back, stroke, move_s, reached_m_s),
    )


def _way(
    name: str,
    force_n: float,
    outside: list[tuple[float, float]],
    way_m: float,
    time_s: float,
    speed_m_s: float,
) -> tuple[Part, ...]:
    pushed = sum(length for _, length in outside)
    share = min(way_m / pushed, 1.0) if pushed > 0.0 else 1.0  # the ramp may take the last of the way
    left = Part(name, force_n, way_m - share * pushed, time_s - share * pushed / speed_m_s)
    parts = [
        Part(f"{name} against {push:g} N", force_n + push, share * way, share * way / speed_m_s, ramping=True)
        for push, way in sorted(outside)
    ]
    return (left, *parts)


def stretches(case: LoadCase, low_m: float, high_m: float, *, against: bool) -> list[tuple[float, float]]:
    """Give force (N) and length (m) of what resists extending, else retracting; overlaps add up."""
    pushes = [push for push in case.pushes if (push.force_n > 0.0) is against]
    ends = sorted({min(max(end, low_m), high_m) for push in pushes for end in (push.low_m, push.high_m)})
    found = []
    for start, end in pairwise(ends):
        force = sum(abs(push.force_n) for push in pushes if push.low_m <= start and end <= push.high_m)
        if force > 0.0:
            found.append((force, end - start))
    return found

"""One cycle of a load case in parts: extending and retracting, with and without outside forces."""

from __future__ import annotations

from typing import NamedTuple

from calcs.case import LoadCase
from calcs.check import derived
from calcs.checks.drive import AxialForces, stretches
from geometry.units import Band


class Part(NamedTuple):
    """A part of a cycle: force on the screw (N), negative where it drives the motion, way (m) and time (s).

    `ramping`: what speeds up, or may while an outside force acts.
    """

    name: str
    force_n: float
    way_m: float
    time_s: float
    ramping: bool = False


@derived()
def cycle_parts(
    axial_forces: tuple[AxialForces, ...],
    load_cases: tuple[LoadCase, ...],
    peak_force_n: Band,
    usable_low_m: float,
    usable_high_m: float,
    reached_m_s: float,
    move_s: float,
    acceleration_m_s2: float,
) -> tuple[tuple[Part, ...], ...]:
    """One cycle of each load case, each way from its lightest part to its heaviest, a ramp at the peak force.

    An outside force counts on the way that it resists, over its own stretch.
    """
    ends, stroke = (usable_low_m, usable_high_m), usable_high_m - usable_low_m
    ramp_s = reached_m_s / acceleration_m_s2
    ramp = Part("ramp", peak_force_n.nominal, reached_m_s * ramp_s / 2.0, ramp_s, ramping=True)
    cycles = []
    for forces, case in zip(axial_forces, load_cases, strict=True):
        drag, weight = forces.friction_n.nominal, forces.weight_n
        out, back = (stretches(case, *ends, against=against) for against in (True, False))
        left = (stroke - ramp.way_m, move_s - ramp_s, reached_m_s)
        extending = _way("extending", drag + weight, out, *left)
        retracting = _way("retracting", drag - weight, back, stroke, move_s, reached_m_s)
        cycles.append((*extending, ramp, *retracting))
    return tuple(cycles)


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

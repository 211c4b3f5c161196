"""The motion profile over a cycle: peak speed, time, effective values, equivalent load."""

from __future__ import annotations

import math
from functools import reduce

from calcs.case import LoadCase
from calcs.check import check, derived
from calcs.checks.cycle import Part
from calcs.checks.drive import AxialForces, stretches
from calcs.finding import Finding, at_least, at_most, digits, info
from calcs.formulas import ball, motion

KINEMATICS = "kinematics of the trapezoidal and triangular profile"


@derived()
def reached_m_s(
    usable_low_m: float, usable_high_m: float, speed_m_s: float, acceleration_m_s2: float
) -> float:
    """Highest speed of a move over the stroke (m/s)."""
    return float(motion.peak_speed_m_s(usable_high_m - usable_low_m, speed_m_s, acceleration_m_s2))


@derived()
def move_s(usable_low_m: float, usable_high_m: float, speed_m_s: float, acceleration_m_s2: float) -> float:
    """Time of a move over the stroke (s)."""
    return float(motion.move_time_s(usable_high_m - usable_low_m, speed_m_s, acceleration_m_s2))


@derived()
def cycle_legs(cycle_parts: tuple[tuple[Part, ...], ...]) -> tuple[Part, ...]:
    """The heaviest cycle of all load cases, its forces without their direction."""
    cycles = (tuple(p._replace(force_n=abs(p.force_n)) for p in parts) for parts in cycle_parts)
    return max(cycles, key=_square)


@derived()
def wearing_force_n(
    axial_forces: tuple[AxialForces, ...],
    load_cases: tuple[LoadCase, ...],
    usable_low_m: float,
    usable_high_m: float,
) -> float:
    """Mean force over the way up and down (N), the worst load case, each outside force on its own way."""
    means = []
    for forces, case in zip(axial_forces, load_cases, strict=True):
        weight, drag = abs(forces.weight_n), forces.friction_n.nominal
        both = weight + drag + abs(weight - drag)
        for against in (True, False):
            pushed = stretches(case, usable_low_m, usable_high_m, against=against)
            both += sum(force * way for force, way in pushed) / (usable_high_m - usable_low_m)
        means.append(both / 2.0)
    return max(means)


def _square(legs: tuple[Part, ...]) -> float:
    return sum(leg.force_n**2 * leg.time_s for leg in legs)


@derived()
def equivalent_load_n(cycle_legs: tuple[Part, ...]) -> float:
    """Cubic mean of the axial force over the way of a cycle (N)."""
    return _cubic_mean_n(cycle_legs)


@derived()
def ball_load_n(cycle_legs: tuple[Part, ...], ball_preload_n: float = 0.0) -> float:
    """The same of what the balls of a preloaded nut carry in its loaded half (N)."""
    return _cubic_mean_n(
        tuple(
            leg._replace(force_n=float(ball.preloaded_load_n(leg.force_n, ball_preload_n)))
            for leg in cycle_legs
        )
    )


def _cubic_mean_n(legs: tuple[Part, ...]) -> float:
    def merge(one: Part, other: Part) -> Part:
        way = one.way_m + other.way_m
        force = float(ball.merged_load_n(one.force_n, one.way_m, other.force_n, other.way_m))
        return Part("mean", force, way, one.time_s + other.time_s)

    return reduce(merge, legs).force_n


@check(
    "motion.peak_speed",
    unit="m/s",
    shown="mm/s",
    formula="min(v, sqrt(a s))",
    source=KINEMATICS,
    limit="speed_m_s",
)
def peak_speed(reached_m_s: float, acceleration_m_s2: float, limit: float | None = None) -> Finding:
    """Speed that a move over the stroke reaches, against the wanted one."""
    wanted = reached_m_s if limit is None else limit
    ramp = reached_m_s / acceleration_m_s2
    shape = "triangular" if reached_m_s < wanted else "trapezoidal"
    enough = acceleration_m_s2 * (wanted / reached_m_s) ** 2 * 1e3  # the peak goes with its root
    remedy = f"motion.acceleration of {enough:.4g} mm/s2, a longer stroke, or that speed as motion.speed"
    return at_least(
        reached_m_s, limit, below="WARN", note=f"{shape} profile, ramps of {digits(ramp)} s", remedy=remedy
    )


@check(
    "motion.cycle_time",
    unit="s",
    formula="t = 2 (s / v + v / a)",
    source=KINEMATICS,
    limit="cycle_s",
    asked_by=("motion.cycle_time",),
)
def cycle_time(move_s: float, limit: float | None = None) -> Finding:
    """Time of one move up and one down, against the cycle."""
    share = "" if limit is None else f", {100.0 * min(2.0 * move_s / limit, 1.0):.0f} % of the cycle"
    return at_most(
        2.0 * move_s,
        limit,
        note=f"{digits(move_s)} s a move{share}",
        remedy=f"motion.cycle_time of {digits(2.0 * move_s)} s or more, or a higher speed",
    )


@check(
    "motion.cycle_speed",
    unit="m/s",
    shown="mm/s",
    formula="v = a t / 2 (1 - sqrt(1 - 4 s / (a t^2))), t half the cycle",
    source=KINEMATICS,
    margin_kind="none",
)
def cycle_speed(
    usable_low_m: float, usable_high_m: float, acceleration_m_s2: float, cycle_s: float
) -> Finding:
    """Lowest running speed that keeps the cycle time without rests."""
    stroke, half = usable_high_m - usable_low_m, cycle_s / 2.0
    speed = float(motion.speed_for_time_m_s(stroke, half, acceleration_m_s2))
    if math.isinf(speed):
        least = float(motion.least_acceleration_m_s2(stroke, half)) * 1e3
        return info(None, f"the ramps alone take longer: motion.acceleration of {least:.4g} mm/s2 would do")
    thirds, ramp = motion.thirds_speed_m_s(stroke, half), motion.thirds_acceleration_m_s2(stroke, half)
    note = (
        f"in equal thirds of ramp, run and ramp: {digits(thirds * 1e3)} mm/s with {digits(ramp * 1e3)} mm/s2"
    )
    return info(speed, note)


@check(
    "motion.effective_speed",
    unit="m/s",
    shown="mm/s",
    formula="v sqrt((t - 4 v / 3a) / (T / 2)), a sqrt(2 v / (a T / 2))",
    source=f"root mean square, {KINEMATICS}",
    margin_kind="none",
)
def effective_speed(reached_m_s: float, acceleration_m_s2: float, move_s: float, cycle_s: float) -> Finding:
    """Root mean square of the speed over the cycle."""
    period = max(cycle_s, 2.0 * move_s) / 2.0
    speed = float(motion.rms_speed_m_s(reached_m_s, acceleration_m_s2, move_s, period))
    ramp = float(motion.rms_acceleration_m_s2(reached_m_s, acceleration_m_s2, period))
    return info(speed, f"of the acceleration {digits(ramp * 1e3)} mm/s2")


@check(
    "motion.effective_force",
    unit="N",
    formula="sqrt(sum F^2 t / T)",
    source="definition of the root mean square",
    margin_kind="none",
)
def effective_force(cycle_legs: tuple[Part, ...], cycle_s: float) -> Finding:
    """Root mean square of the axial force over the cycle."""
    period = max(cycle_s, sum(leg.time_s for leg in cycle_legs))
    legs = "; ".join(
        f"{digits(leg.force_n)} N for {digits(leg.time_s)} s {leg.name}"
        for leg in cycle_legs
        if leg.time_s > 0.0
    )
    return info(math.sqrt(_square(cycle_legs) / period), legs)

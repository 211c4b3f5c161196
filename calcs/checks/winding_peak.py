"""The winding's highest temperature in a cycle: it heats apart from its housing, faster than that."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from calcs.check import check
from calcs.checks.motor import COPPER_PER_K, REFERENCE_C
from calcs.checks.winding import Heating
from calcs.finding import Finding, at_most, digits
from calcs.formulas import motor

RESTED = 1e4  # times the cycle: long enough for all to cool down


class Bodies(NamedTuple):
    """What heats up: thermal resistances of winding and housing (K/W) and their time constants (s)."""

    winding_k_w: float
    housing_k_w: float
    winding_constant_s: float
    housing_constant_s: float


@check(
    "motor.winding_peak",
    unless="no_rms",
    unit="degC",
    margin_kind="difference",
    formula="Ta + w; tau_1 dw/dt = I^2 R(w) Rth_1 - w + h, tau_2 dh/dt = (w - h) Rth_2 / Rth_1 - h",
    source="two bodies that heat apart, each of the first order: common practice, no source",
    limit="winding_limit_c",
    asked_by=("motor.thermal_time_constant",),
)
def winding_peak(
    heating_legs: tuple[Heating, ...],
    resistance_ohm: float,
    cycle_s: float,
    winding_k_w: float,
    housing_k_w: float,
    winding_constant_s: float,
    housing_constant_s: float,
    hottest_ambient_c: float,
    limit: float | None = None,
) -> Finding:
    """Highest winding temperature in a cycle: both moves in one stretch, the rest behind them."""
    bodies = Bodies(winding_k_w, housing_k_w, winding_constant_s, housing_constant_s)

    def peak_c(rest_s: float) -> float:
        return _peak_c((*heating_legs, Heating(0.0, rest_s)), resistance_ohm, bodies, hottest_ambient_c)

    moves = sum(leg.time_s for leg in heating_legs)
    rest = max(cycle_s - moves, 0.0)
    remedy = "a larger motor: one cycle from cold heats it beyond that"
    if limit is not None and peak_c(RESTED * (rest + moves)) <= limit:
        remedy = "a longer motion.cycle_time or a larger motor"
    parts = "; ".join(str(leg) for leg in heating_legs if leg.time_s > 0.0)
    note = f"{parts}; rest of {digits(rest)} s"
    return at_most(peak_c(rest), limit, note=note, remedy=remedy)


def _peak_c(cycle: tuple[Heating, ...], resistance_ohm: float, bodies: Bodies, ambient_c: float) -> float:
    """Highest temperature of the winding at the end of a part (degC), infinite where it gets ever hotter."""

    def through(rises: tuple[float, float]) -> list[tuple[float, float]]:
        ends = []
        for part in cycle:
            rises = _heated(part, rises, resistance_ohm, bodies, ambient_c)
            ends.append(rises)
        return ends

    from_cold = np.array(through((0.0, 0.0))[-1])
    kept = np.array([through(rises)[-1] for rises in ((1.0, 0.0), (0.0, 1.0))]).T - from_cold[:, None]
    if not np.isfinite(kept).all() or abs(np.linalg.eigvals(kept)).max() >= 1.0:
        return math.inf  # what a cycle leaves of a rise grows from cycle to cycle
    settled = np.linalg.solve(np.eye(2) - kept, from_cold)
    return ambient_c + max(winding for winding, _ in through((float(settled[0]), float(settled[1]))))


def _heated(
    part: Heating, rises: tuple[float, float], resistance_ohm: float, bodies: Bodies, ambient_c: float
) -> tuple[float, float]:
    """Rises of winding and housing over the ambient (K) behind a part of the cycle."""
    warm = motor.resistance_at_ohm(resistance_ohm, ambient_c, REFERENCE_C, COPPER_PER_K)
    loss = motor.copper_loss_w(part.current_a, warm)
    growth = COPPER_PER_K * motor.copper_loss_w(part.current_a, resistance_ohm) * bodies.winding_k_w
    given = (*rises, loss, growth, *bodies, part.time_s)
    return float(motor.winding_rise_k(*given)), float(motor.housing_rise_k(*given))

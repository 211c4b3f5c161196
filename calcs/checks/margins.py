"""Torque margins of the motor, nominal and in the corners of friction, supply and winding temperature."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from calcs.check import check
from calcs.checks.motor import COPPER_PER_K, LINE, REFERENCE_C, MotorLine
from calcs.finding import Finding, at_least, digits

DYNAMIC = 1.25  # torque margin at speed: AIAA S-114 (from memory)
STATIC = 2.0  # torque margin at stall: AIAA S-114 (from memory)
MARGINS = f"{LINE}; margins 1.25 and 2.0 after AIAA S-114 (from memory)"
ELECTRICAL = ("motor.resistance", "motor.torque_constant", "motor.stall_torque")  # a motor to be judged
RATIOS = tuple(1.1**step for step in range(1, 25))  # times the ratio, to a tenth and ten times
OTHERWISE = "a longer motor, more supply voltage, or a lower speed"
LIMITED = "a higher current limit or a longer motor"
AT_REST = "more ratio, a longer motor, or more supply voltage"


def margin(available: float, needed: float, limit: float, fault: str) -> Finding:
    """Judge a torque against what is needed (N*m)."""
    ratio = available / needed if needed > 0.0 else math.inf
    remedy = f"{digits(needed * limit * 1e3)} mN*m would pass: {fault}"
    return at_least(
        ratio, limit, remedy=remedy, note=f"{available * 1e3:.2f} mN*m for {needed * 1e3:.2f} mN*m"
    )


def speed_fault(
    torque_nm: Callable[[float], float],
    speed_rad_s: float,
    needed_nm: float,
    load_nm: float,
    limit: float,
    otherwise: str,
) -> str:
    """Say what lifts a margin at speed, another ratio only where one would do.

    With more ratio the load asks for less and the ramp, which is the rotor's, for more; the motor runs faster
    and gives less.
    """
    for times in RATIOS:
        for words, change in (("more", times), ("less", 1.0 / times)):
            asked = load_nm / change + (needed_nm - load_nm) * change
            if torque_nm(change * speed_rad_s) >= limit * asked:
                return f"{words} ratio, {otherwise}"
    return otherwise


class Corner(NamedTuple):
    """The motor's line at a voltage and a winding temperature, and the speed at which it is asked."""

    line: MotorLine
    supply_v: float
    winding_c: float
    speed_rad_s: float

    def torque_nm(self, speed_rad_s: float) -> float:
        """Torque at a speed (N*m)."""
        return self.line.torque_nm(self.supply_v, speed_rad_s, self.winding_c)


def _at_speed(corner: Corner, available: float, needed: float, load: float, limit: float) -> Finding:
    words = LIMITED if available >= corner.line.most_nm else OTHERWISE  # more current where its limit holds
    fault = speed_fault(corner.torque_nm, corner.speed_rad_s, needed, load, limit, words)
    return margin(available, needed, limit, fault)


def _at_rest(line: MotorLine, stall_nm: float) -> str:
    return f"more ratio, {LIMITED}" if stall_nm >= line.most_nm else AT_REST


@check(
    "motor.dynamic_margin.nominal",
    unless="no_line_given",
    formula="((U - kt omega) / R - I0) kt / T",
    source=MARGINS,
    limit=DYNAMIC,
    asked_by=ELECTRICAL,
)
def dynamic_nominal(
    available_torque_nm: float,
    needed_torque_nm: float,
    load_torque_nm: float,
    motor_line: MotorLine,
    motor_speed_rad_s: float,
    limit: float = DYNAMIC,
) -> Finding:
    """Torque at speed over torque needed: nominal."""
    corner = Corner(motor_line, motor_line.supply_v.nominal, REFERENCE_C, motor_speed_rad_s)
    return _at_speed(corner, available_torque_nm, needed_torque_nm, load_torque_nm, limit)


@check(
    "motor.dynamic_margin.friction",
    unless="no_line_given",
    formula="((U - kt omega) / R - I0) kt / T",
    source=MARGINS,
    limit=DYNAMIC,
    asked_by=ELECTRICAL,
)
def dynamic_friction(
    available_torque_nm: float,
    worst_needed_torque_nm: float,
    worst_load_torque_nm: float,
    motor_line: MotorLine,
    motor_speed_rad_s: float,
    limit: float = DYNAMIC,
) -> Finding:
    """Torque at speed over torque needed: worst friction and gear efficiency."""
    corner = Corner(motor_line, motor_line.supply_v.nominal, REFERENCE_C, motor_speed_rad_s)
    return _at_speed(corner, available_torque_nm, worst_needed_torque_nm, worst_load_torque_nm, limit)


@check(
    "motor.dynamic_margin.supply",
    unless="no_line_given",
    formula="((U - kt omega) / R - I0) kt / T",
    source=MARGINS,
    limit=DYNAMIC,
    asked_by=ELECTRICAL,
)
def dynamic_supply(
    low_supply_torque_nm: float,
    worst_needed_torque_nm: float,
    worst_load_torque_nm: float,
    motor_line: MotorLine,
    motor_speed_rad_s: float,
    limit: float = DYNAMIC,
) -> Finding:
    """Torque at speed over torque needed: worst friction and lowest supply."""
    corner = Corner(motor_line, motor_line.supply_v.low, REFERENCE_C, motor_speed_rad_s)
    return _at_speed(corner, low_supply_torque_nm, worst_needed_torque_nm, worst_load_torque_nm, limit)


@check(
    "motor.dynamic_margin.warm",
    unless="no_line_given",
    formula="((U - kt omega) / R(T) - I0) kt / T",
    source=MARGINS,
    limit=DYNAMIC,
    asked_by=ELECTRICAL,
)
def dynamic_warm(
    warm_torque_nm: float,
    worst_needed_torque_nm: float,
    worst_load_torque_nm: float,
    low_supply_torque_nm: float,
    motor_line: MotorLine,
    motor_speed_rad_s: float,
    winding_c: float,
    limit: float = DYNAMIC,
) -> Finding:
    """Torque at speed over torque needed: worst friction, lowest supply, warm winding."""
    corner = Corner(motor_line, motor_line.supply_v.low, winding_c, motor_speed_rad_s)
    found = _at_speed(corner, warm_torque_nm, worst_needed_torque_nm, worst_load_torque_nm, limit)
    # the torque line is linear in 1 / R: I + I0 falls by 1 + a dT, which gives the winding that just passes
    constant, no_load = motor_line.torque_constant_nm_a, motor_line.no_load_current_a
    cold = low_supply_torque_nm / constant + no_load
    asked = limit * worst_needed_torque_nm / constant + no_load
    passing = REFERENCE_C + (cold / asked - 1.0) / COPPER_PER_K
    if passing < REFERENCE_C:
        return found
    return found._replace(note=f"{found.note}; {limit:g} is reached with the winding at {passing:.1f} degC")


@check(
    "motor.static_margin.nominal",
    unless="no_line_given",
    formula="(U / R - I0) kt / T",
    source=MARGINS,
    limit=STATIC,
    asked_by=ELECTRICAL,
)
def static_nominal(
    stall_torque_nm: float, load_torque_nm: float, motor_line: MotorLine, limit: float = STATIC
) -> Finding:
    """Stall torque over torque needed at rest: nominal."""
    return margin(stall_torque_nm, load_torque_nm, limit, _at_rest(motor_line, stall_torque_nm))


@check(
    "motor.static_margin.friction",
    unless="no_line_given",
    formula="(U / R - I0) kt / T",
    source=MARGINS,
    limit=STATIC,
    asked_by=ELECTRICAL,
)
def static_friction(
    stall_torque_nm: float, worst_load_torque_nm: float, motor_line: MotorLine, limit: float = STATIC
) -> Finding:
    """Stall torque over torque needed at rest: worst friction and gear efficiency."""
    return margin(stall_torque_nm, worst_load_torque_nm, limit, _at_rest(motor_line, stall_torque_nm))


@check(
    "motor.static_margin.supply",
    unless="no_line_given",
    formula="(U / R - I0) kt / T",
    source=MARGINS,
    limit=STATIC,
    asked_by=ELECTRICAL,
)
def static_supply(
    low_supply_stall_torque_nm: float,
    worst_load_torque_nm: float,
    motor_line: MotorLine,
    limit: float = STATIC,
) -> Finding:
    """Stall torque over torque needed at rest: worst friction and lowest supply."""
    return margin(
        low_supply_stall_torque_nm,
        worst_load_torque_nm,
        limit,
        _at_rest(motor_line, low_supply_stall_torque_nm),
    )


@check(
    "motor.static_margin.warm",
    unless="no_line_given",
    formula="(U / R(T) - I0) kt / T",
    source=MARGINS,
    limit=STATIC,
    asked_by=ELECTRICAL,
)
def static_warm(
    warm_stall_torque_nm: float, worst_load_torque_nm: float, motor_line: MotorLine, limit: float = STATIC
) -> Finding:
    """Stall torque over torque needed at rest: worst friction, lowest supply, warm winding."""
    return margin(
        warm_stall_torque_nm,
        worst_load_torque_nm,
        limit,
        _at_rest(motor_line, warm_stall_torque_nm),
    )

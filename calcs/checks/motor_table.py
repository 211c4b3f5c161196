"""A motor given as a table of torque over speed: pull-out of a stepper, or the torque of any other."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from calcs.check import check, derived
from calcs.checks.margins import DYNAMIC, ELECTRICAL, speed_fault
from calcs.finding import Finding, at_least, digits, info
from calcs.formulas import motor
from geometry.units import Band

if TYPE_CHECKING:
    from geometry.design_drive import TorquePoint

PULL_OUT = 2.0  # open loop: half the pull-out torque is kept in hand; common practice, no source
AGREES = 0.1  # how far the no-load speed may differ; our own choice


def _torque_at(table: tuple[TorquePoint, ...], speed_rad_s: float) -> float:
    """Torque straight between a table's rows, none beyond the last (N*m)."""
    speeds, torques = ([getattr(row, name) for row in table] for name in ("speed", "torque"))
    return float(np.interp(speed_rad_s, speeds, torques, left=torques[0], right=0.0))


@derived()
def table_torque_nm(torque_table: tuple[TorquePoint, ...], motor_speed_rad_s: float) -> float:
    """Torque of the table at the running speed (N*m)."""
    return _torque_at(torque_table, motor_speed_rad_s)


@check(
    "motor.table_margin",
    formula="T_table(omega) / T",
    source="common practice, no source: 2 for a stepper (half its pull-out), else 1.25 after AIAA S-114 "
    "(from memory)",
    asked_by=("motor.torque_table", "motor.steps", *ELECTRICAL),
    unless="no_table",
)
def table_margin(
    table_torque_nm: float,
    needed_torque_nm: float,
    worst_needed_torque_nm: float,
    worst_load_torque_nm: float,
    torque_table: tuple[TorquePoint, ...],
    motor_speed_rad_s: float,
    motor_kind: str = "brushed",
    limit: float | None = None,
) -> Finding:
    """Torque of the motor's table at speed over torque needed, nominal and at the worst friction."""
    stepper = motor_kind == "stepper"
    limit = (PULL_OUT if stepper else DYNAMIC) if limit is None else limit
    needed = (worst_needed_torque_nm, needed_torque_nm)
    low, high = (table_torque_nm / nm if nm > 0.0 else math.inf for nm in needed)
    words = "pull-out" if stepper else "table"
    note = f"{words}: {table_torque_nm * 1e3:.2f} mN*m for {needed_torque_nm * 1e3:.2f} mN*m, at worst "
    note += f"{worst_needed_torque_nm * 1e3:.2f} mN*m"
    if motor_speed_rad_s > torque_table[-1].speed:
        note += f"; the table ends at {torque_table[-1].speed * 30 / math.pi:.0f} rpm"
    torque = partial(_torque_at, torque_table)
    fault = speed_fault(torque, motor_speed_rad_s, worst_needed_torque_nm, worst_load_torque_nm, limit)
    remedy = f"{digits(worst_needed_torque_nm * limit * 1e3)} mN*m at that speed would pass: {fault}"
    return at_least(Band(low, high, high), limit, note=note, remedy=remedy)


@check(
    "motor.stepper_corner",
    unless="no_stepper",
    unit="rad/s",
    shown="rpm",
    formula="omega = U / (L I p), p = steps / 4",
    source="omega L I = U of a phase; common practice, no source",
    margin_kind="none",
)
def stepper_corner(
    supply_v: Band, inductance_h: float, continuous_current_a: float, steps: int, motor_speed_rad_s: float
) -> Finding:
    """Speed above which the supply no longer drives a stepper's full current."""
    value = float(motor.stepper_corner_rad_s(supply_v.low, inductance_h, continuous_current_a, steps))
    share = motor_speed_rad_s / value
    rate = 1.0 / float(motor.step_time_s(motor_speed_rad_s, steps))
    note = (
        f"it runs at {share:.2g} of that with {rate:.0f} steps a second; above it torque falls as 1 / speed"
    )
    return info(value, note)


@check(
    "motor.no_load_point",
    unless="no_line",
    formula="(U - I0 R) / kt / omega0",
    source="the torque line without load, against the given no-load speed; 10 %: our own choice",
    margin_kind="none",
    asked_by=("motor.no_load_speed",),
)
def no_load_point(
    rated_v: float,
    resistance_ohm: float,
    torque_constant_nm_a: float,
    no_load_current_a: float,
    given_no_load_rad_s: float,
) -> Finding:
    """No-load speed of the motor's constants over the given one."""
    line = (rated_v, resistance_ohm, torque_constant_nm_a, no_load_current_a)
    value = float(motor.speed_at_torque_rad_s(*line, 0.0)) / given_no_load_rad_s
    if abs(value - 1.0) <= AGREES:
        return Finding(value, "PASS", note="the motor's data agree")
    constant = motor.torque_constant_from_no_load_nm_a(
        rated_v, resistance_ohm, no_load_current_a, given_no_load_rad_s
    )
    remedy = f"check the motor's data: a torque constant of {float(constant) * 1e3:.4g} mN*m/A would agree"
    return Finding(value, "WARN", 1.0, note="the motor's data contradict one another", remedy=remedy)

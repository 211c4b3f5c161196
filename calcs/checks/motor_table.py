"""A motor given as a table of torque over speed: pull-out of a stepper, or the torque of any other."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from calcs.check import check, derived
from calcs.checks.margins import AT_REST, DYNAMIC, ELECTRICAL, OTHERWISE, STATIC, margin, speed_fault
from calcs.finding import Finding, at_least, digits, info
from calcs.formulas import motor
from geometry.units import Band

if TYPE_CHECKING:
    from geometry.design_drive import TorquePoint

RPM = 30.0 / math.pi
PULL_OUT = 2.0  # open loop: half the pull-out torque is kept in hand; common practice, no source
AGREES = 0.1  # how far the no-load speed may differ; our own choice


class TorqueTable(NamedTuple):
    """A motor's table of torque (N*m) over speed (rad/s) under a current limit, straight between its rows."""

    speeds_rad_s: tuple[float, ...]
    torques_nm: tuple[float, ...]
    most_nm: float = math.inf

    def __str__(self) -> str:
        """Give the rows in a line for the report."""
        rows = zip(self.speeds_rad_s, self.torques_nm, strict=True)
        words = ", ".join(f"{digits(n * RPM, 4)} rpm {digits(t * 1e3)} mN*m" for n, t in rows)
        return words if math.isinf(self.most_nm) else f"{words}; at most {digits(self.most_nm * 1e3)} mN*m"

    def at_nm(self, speed_rad_s: float) -> float:
        """Torque at a speed (N*m), none beyond the last row."""
        first = self.torques_nm[0]
        found = np.interp(speed_rad_s, self.speeds_rad_s, self.torques_nm, left=first, right=0.0)
        return min(float(found), self.most_nm)

    def up_to_nm(self, speed_rad_s: float) -> float:
        """Least torque on the way from rest to a speed (N*m)."""
        below = [self.at_nm(row) for row in self.speeds_rad_s if row < speed_rad_s]
        return min([*below, self.at_nm(0.0), self.at_nm(speed_rad_s)])


@derived("motor.torque_constant", "motor.no_load_current", stepper=("motor.current_continuous",))
def torque_over_speed(
    torque_table: tuple[TorquePoint, ...],
    current_limit_a: float = math.inf,
    motor_kind: str = "brushed",
    continuous_current_a: float | None = None,
    torque_constant_nm_a: float | None = None,
    no_load_current_a: float | None = None,
) -> TorqueTable | None:
    """The motor's table under supply.current_limit, None where that cannot be told from what is given.

    Less current gives a stepper less at every speed, another motor at most what the current makes.
    """
    speeds, torques = tuple(row.speed for row in torque_table), tuple(row.torque for row in torque_table)
    if math.isinf(current_limit_a):
        return TorqueTable(speeds, torques)
    if motor_kind == "stepper":
        if continuous_current_a is None:
            return None
        share = min(current_limit_a / continuous_current_a, 1.0)
        return TorqueTable(speeds, tuple(share * torque for torque in torques))
    if torque_constant_nm_a is None or no_load_current_a is None:
        return None
    most = float(motor.torque_nm(current_limit_a, torque_constant_nm_a, no_load_current_a))
    return TorqueTable(speeds, torques, max(most, 0.0))


@derived()
def table_torque_nm(torque_over_speed: TorqueTable, motor_speed_rad_s: float) -> float:
    """Least torque of the table up to the running speed (N*m): it must get there."""
    return torque_over_speed.up_to_nm(motor_speed_rad_s)


@check(
    "motor.table_margin",
    formula="least T_table(0 .. omega) / T",
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
    torque_over_speed: TorqueTable,
    motor_speed_rad_s: float,
    motor_kind: str = "brushed",
    limit: float | None = None,
) -> Finding:
    """Torque of the motor's table up to its speed over torque needed, nominal and at the worst friction."""
    stepper = motor_kind == "stepper"
    limit = (PULL_OUT if stepper else DYNAMIC) if limit is None else limit
    needed = (worst_needed_torque_nm, needed_torque_nm)
    low, high = (table_torque_nm / nm if nm > 0.0 else math.inf for nm in needed)
    words = "pull-out" if stepper else "table"
    note = f"{words}: {table_torque_nm * 1e3:.2f} mN*m for {needed_torque_nm * 1e3:.2f} mN*m, at worst "
    note += f"{worst_needed_torque_nm * 1e3:.2f} mN*m"
    if (last := torque_over_speed.speeds_rad_s[-1]) < motor_speed_rad_s:
        note += f"; the table ends at {last * RPM:.0f} rpm"
    elif table_torque_nm < torque_over_speed.at_nm(motor_speed_rad_s):
        note += "; on its way up to speed it has less than there"
    torques = (worst_needed_torque_nm, worst_load_torque_nm)
    fault = speed_fault(torque_over_speed.up_to_nm, motor_speed_rad_s, *torques, limit, OTHERWISE)
    remedy = f"{digits(worst_needed_torque_nm * limit * 1e3)} mN*m up to that speed would pass: {fault}"
    return at_least(Band(low, high, high), limit, note=note, remedy=remedy)


@check(
    "motor.table_start",
    formula="T_table(0) / T",
    source="margin 2.0 at rest after AIAA S-114 (from memory)",
    limit=STATIC,
    asked_by=("motor.torque_table",),
    unless="no_table",
)
def table_start(
    torque_over_speed: TorqueTable,
    worst_load_torque_nm: float,
    motor_kind: str = "brushed",
    limit: float = STATIC,
) -> Finding:
    """Torque of the motor's table at rest over torque needed there at the worst friction."""
    at_rest = torque_over_speed.at_nm(0.0)
    if motor_kind == "stepper":
        return info(None, "a stepper needs half its pull-out at every speed: see motor.table_margin")
    return margin(at_rest, worst_load_torque_nm, limit, AT_REST)


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

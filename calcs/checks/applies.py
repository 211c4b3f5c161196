"""Why a check does not apply to a design: the words for its row, or "" where it applies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calcs.check import derived

if TYPE_CHECKING:
    from geometry.design_drive import TorquePoint
    from geometry.threads import Thread

ROLLING = "ball groove"


@derived()
def no_balls(thread_record: Thread | None = None, ball_dynamic_n: float | None = None) -> str:
    """Say that nothing rolls."""
    rolls = ball_dynamic_n is not None or (thread_record is not None and thread_record.family == ROLLING)
    return "" if rolls else "a sliding nut has no balls"


@derived()
def no_sliding(no_balls: str) -> str:
    """Say that nothing slides."""
    return "" if no_balls else "balls roll between screw and nut: see life.balls"


@derived()
def no_rod(rod_length_m: float | None = None) -> str:
    """Say that there is no push rod."""
    return "no [push_rod]" if rod_length_m is None else ""


@derived()
def no_column(travelling_part: str = "nut") -> str:
    """Say that no column lies between bearing and nut."""
    return "the screw travels: see strength.drawn_out" if travelling_part == "screw" else ""


@derived()
def no_drawn_out(travelling_part: str = "nut", rod_length_m: float | None = None) -> str:
    """Say that the screw is not drawn out, or not by itself."""
    if travelling_part != "screw":
        return "the nut travels: see strength.buckling"
    return "" if rod_length_m is None else "screw and rod are one column: see strength.rod_buckling"


@derived()
def no_whirl(turning_part: str = "screw") -> str:
    """Say that the screw stands still."""
    return "" if turning_part == "screw" else "the screw does not turn"


@derived()
def no_seal(seal_kind: str = "") -> str:
    """Say that nothing seals the screw."""
    return "" if seal_kind else "no [seal]"


@derived()
def no_round_motor(motor_frame: str = "", motor_square_m: float | None = None) -> str:
    """Say that the motor is square."""
    if motor_frame:
        return f"its size is that of a {motor_frame} frame"
    return "" if motor_square_m is None else "a square motor"


@derived()
def no_stepper(motor_kind: str = "brushed") -> str:
    """Say that the motor is no stepper."""
    return "" if motor_kind == "stepper" else f"a {motor_kind} motor is no stepper"


@derived()
def no_line(no_stepper: str) -> str:
    """Say that the motor's torque is no straight line over its speed."""
    return "" if no_stepper else "a stepper has no torque line: see motor.table_margin"


@derived()
def no_line_given(
    no_line: str,
    torque_table: tuple[TorquePoint, ...] = (),
    resistance_ohm: float | None = None,
) -> str:
    """Say that the motor is given by its table alone."""
    if no_line or not torque_table or resistance_ohm is not None:
        return no_line
    return "the motor is given by its table: see motor.table_margin"


@derived()
def no_table(
    no_line: str, torque_table: tuple[TorquePoint, ...] = (), resistance_ohm: float | None = None
) -> str:
    """Say that the motor is given by its line instead."""
    if no_line or torque_table or resistance_ohm is None:
        return ""
    return "the motor is given by its line: see motor.dynamic_margin"


@derived()
def no_rms(no_stepper: str) -> str:
    """Say that no current follows the load."""
    return "" if no_stepper else "a stepper's driver holds its current whatever the load: see motor.winding"


@derived()
def no_runaway(no_stepper: str) -> str:
    """Say that the motor cannot outrun its control."""
    return "" if no_stepper else "a stepper turns no faster than it is stepped"

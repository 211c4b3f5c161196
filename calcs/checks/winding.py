"""Current over the cycle and the winding's temperature."""

from __future__ import annotations

import math
from typing import NamedTuple

from calcs.case import LoadCase
from calcs.check import check, derived
from calcs.checks.cycle import Part
from calcs.checks.drive import ONE, ZERO, torque_for
from calcs.checks.motor import COPPER_PER_K, REFERENCE_C
from calcs.finding import Finding, at_most, digits, info
from calcs.formulas import gearing, motor
from geometry.units import Band

THERMAL = "two thermal resistances in series: common practice, no source; copper: IEC 60028 (from memory)"


class Heating(NamedTuple):
    """A part of the cycle: its current (A) and its time (s)."""

    current_a: float
    time_s: float

    def __str__(self) -> str:
        """Give the part in a few words for the report."""
        return f"{digits(self.current_a)} A for {digits(self.time_s)} s"


@derived()
def heating_legs(
    cycle_parts: tuple[tuple[Part, ...], ...],
    peak_force_n: Band,
    working_current_a: float,
    pitch_diameter_m: float,
    lead_m: float,
    friction: Band,
    flank_angle_rad: float,
    ratio: float,
    gear_efficiency: Band,
    torque_constant_nm_a: float,
    no_load_current_a: float,
    collar_friction: Band = ZERO,
    collar_diameter_m: float = 0.0,
    anti_rotation: Band = ONE,
    screw_drag_nm: Band = ZERO,
) -> tuple[Heating, ...]:
    """Currents over one cycle up and down, the load case that heats most.

    The ramp at the highest current, which it adds to the parts against outside forces too, since it may fall
    there; a load that drives the screw takes current as well: the motor has to hold it back.
    """

    def current(force_n: float) -> float:
        thread = (pitch_diameter_m, lead_m, friction.nominal, flank_angle_rad)
        screw_nm = torque_for(force_n, *thread, collar_friction.nominal, collar_diameter_m)
        turned_nm = screw_nm * anti_rotation.nominal + screw_drag_nm.nominal  # a load may drive against drag
        shaft_nm = gearing.input_torque_nm(abs(turned_nm), ratio, gear_efficiency.nominal)
        return float(motor.current_a(shaft_nm, torque_constant_nm_a, no_load_current_a))

    added = working_current_a - current(peak_force_n.nominal)  # by what turns, while it speeds up
    cycles = (
        tuple(Heating(current(p.force_n) + (added if p.ramping else 0.0), p.time_s) for p in parts)
        for parts in cycle_parts
    )
    return max(cycles, key=_square)


def _square(legs: tuple[Heating, ...]) -> float:
    return sum(leg.current_a**2 * leg.time_s for leg in legs)


@derived()
def square_current_a2_s(heating_legs: tuple[Heating, ...]) -> float:
    """Sum of I^2 t over one cycle up and down (A^2*s)."""
    return _square(heating_legs)


@derived()
def effective_current_a(square_current_a2_s: float, cycle_s: float) -> float:
    """Effective current of the cycle (A)."""
    return float(motor.rms_current_a(square_current_a2_s, cycle_s))


@derived("motor.torque_constant", stepper=("motor.current_continuous",))
def heating_current_a(
    effective_current_a: float | None = None,
    motor_kind: str = "brushed",
    continuous_current_a: float | None = None,
    current_limit_a: float = math.inf,
) -> float | None:
    """Current that heats the winding (A); of a stepper both phases at full current all the time."""
    if motor_kind == "stepper":
        if continuous_current_a is None:
            return None
        return math.sqrt(2.0) * min(continuous_current_a, current_limit_a)
    return effective_current_a


@derived("load_case.ambient")
def hottest_ambient_c(load_cases: tuple[LoadCase, ...]) -> float | None:
    """Highest ambient temperature of all load cases (degC)."""
    return max((case.ambient_c.high for case in load_cases if case.ambient_c), default=None)


@derived()
def winding_c(
    heating_current_a: float,
    resistance_ohm: float,
    winding_k_w: float,
    housing_k_w: float,
    hottest_ambient_c: float,
) -> float:
    """Steady winding temperature in the hottest ambient (degC)."""
    thermal = winding_k_w + housing_k_w
    line = (heating_current_a, resistance_ohm, thermal, hottest_ambient_c)
    return float(motor.winding_temperature_c(*line, REFERENCE_C, COPPER_PER_K))


@check(
    "motor.effective_current",
    unless="no_rms",
    unit="A",
    formula="I_rms = sqrt(sum I^2 t / T)",
    source="definition of the root mean square; the ramp at the highest current",
    limit="continuous_current_a",
    asked_by=("motor.current_continuous",),
)
def effective_current(effective_current_a: float, limit: float | None = None) -> Finding:
    """Effective current over the cycle."""
    if limit is None:
        return info(effective_current_a)
    return at_most(effective_current_a, limit, remedy="a longer motion.cycle_time or a larger motor")


@check(
    "motor.winding",
    unit="degC",
    margin_kind="difference",
    formula="T = Ta + I_rms^2 R (1 + a (T - 25)) (Rth1 + Rth2)",
    source=THERMAL,
    limit="winding_limit_c",
    asked_by=("motor.winding_limit",),
)
def winding(
    winding_c: float,
    heating_current_a: float,
    hottest_ambient_c: float,
    motor_kind: str = "brushed",
    limit: float | None = None,
) -> Finding:
    """Winding temperature in the hottest ambient."""
    note = "steady over the cycle; an rms value does not see peaks as long as the winding's time constant"
    if math.isinf(winding_c):
        note = "it gets ever hotter: as copper warms, its loss grows by more than the housing can give away"
    if motor_kind == "stepper":
        words = (
            "both phases at motor.current_continuous all the time; a driver that lowers it at rest is cooler"
        )
        return at_most(winding_c, limit, note=words, remedy="less current or a larger motor")
    return at_most(winding_c, limit, note=note, remedy="a longer motion.cycle_time or a larger motor")

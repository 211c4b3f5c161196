"""The motor at its working point: torque, current, voltage, and what it has in its corners."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from calcs.check import check, derived
from calcs.finding import Finding, at_most, digits, info
from calcs.formulas import gearing, motion, motor, screw
from geometry.units import Band

if TYPE_CHECKING:
    from geometry.design_drive import TorquePoint

REFERENCE_C = 25.0  # the temperature that terminal resistances are stated at; common practice, no source
COPPER_PER_K = 0.00393  # IEC 60028 (from memory)
LINE = "linear motor model, Fitzgerald, Kingsley & Umans, Electric Machinery (DC machines)"


class MotorLine(NamedTuple):
    """A direct-current motor with its supply: resistance at 25 degC, torque constant, no-load current."""

    resistance_ohm: float
    torque_constant_nm_a: float
    no_load_current_a: float
    supply_v: Band
    current_limit_a: float = math.inf

    def __str__(self) -> str:
        """Give the motor in a line for the report."""
        limit = "" if math.isinf(self.current_limit_a) else f", at most {self.current_limit_a:g} A"
        constants = f"{self.resistance_ohm:g} ohm, {self.torque_constant_nm_a * 1e3:g} mN*m/A"
        return f"{constants}, {self.no_load_current_a:g} A no-load, {self.supply_v.nominal:g} V{limit}"

    def resistance_at(self, winding_c: float) -> float:
        """Resistance at a winding temperature (ohm)."""
        return float(motor.resistance_at_ohm(self.resistance_ohm, winding_c, REFERENCE_C, COPPER_PER_K))

    def torque_nm(self, supply_v: float, speed_rad_s: float = 0.0, winding_c: float = REFERENCE_C) -> float:
        """Torque that supply, winding and current limit give at a speed (N*m)."""
        constants = (self.torque_constant_nm_a, self.no_load_current_a)
        line = motor.available_torque_nm(supply_v, self.resistance_at(winding_c), *constants, speed_rad_s)
        return min(float(line), self.most_nm)

    @property
    def most_nm(self) -> float:
        """Torque at the current limit (N*m)."""
        constants = (self.torque_constant_nm_a, self.no_load_current_a)
        return float(motor.torque_nm(self.current_limit_a, *constants))

    def speed_rad_s(self, supply_v: float, torque_nm: float) -> float:
        """Speed that the motor settles at under a torque (rad/s), winding at 25 degC."""
        constants = (self.resistance_ohm, self.torque_constant_nm_a, self.no_load_current_a)
        return float(motor.speed_at_torque_rad_s(supply_v, *constants, torque_nm))

    def limited(self, current_a: float) -> MotorLine:
        """Give the same motor under a lower current limit."""
        return self._replace(current_limit_a=min(current_a, self.current_limit_a))


@derived("motor.resistance")
def resistance_ohm(
    given_resistance_ohm: float | None = None,
    rated_v: float | None = None,
    stall_current_a: float | None = None,
) -> float | None:
    """Terminal resistance at 25 degC (ohm), given or from the stall point."""
    if given_resistance_ohm is not None or rated_v is None or stall_current_a is None:
        return given_resistance_ohm
    return float(motor.resistance_from_stall_ohm(rated_v, stall_current_a))


@derived("motor.no_load_current")
def no_load_current_a(
    given_no_load_current_a: float | None = None, motor_kind: str = "brushed"
) -> float | None:
    """No-load current (A), none of a stepper's pull-out torque."""
    return 0.0 if motor_kind == "stepper" else given_no_load_current_a


@derived("motor.torque_constant", stepper=("motor.torque_table", "motor.current_continuous"))
def torque_constant_nm_a(
    given_torque_constant_nm_a: float | None = None,
    given_stall_torque_nm: float | None = None,
    stall_current_a: float | None = None,
    given_no_load_current_a: float | None = None,
    given_no_load_rad_s: float | None = None,
    rated_v: float | None = None,
    resistance_ohm: float | None = None,
    motor_kind: str = "brushed",
    torque_table: tuple[TorquePoint, ...] = (),
    continuous_current_a: float | None = None,
) -> float | None:
    """Torque constant (N*m/A), given, or from the stall point, or from the no-load point.

    Of a stepper its pull-out torque at rest over its phase current.
    """
    stall = (given_stall_torque_nm, stall_current_a, given_no_load_current_a)
    no_load = (rated_v, resistance_ohm, given_no_load_current_a, given_no_load_rad_s)
    if given_torque_constant_nm_a is not None:
        return given_torque_constant_nm_a
    if motor_kind == "stepper":
        if not torque_table or continuous_current_a is None:
            return None
        return torque_table[0].torque / continuous_current_a
    if None not in stall:
        return float(motor.torque_constant_from_stall_nm_a(*stall))
    return None if None in no_load else float(motor.torque_constant_from_no_load_nm_a(*no_load))


@derived()
def motor_speed_rad_s(speed_m_s: float, lead_m: float, ratio: float) -> float:
    """Motor speed at the running speed of the nut (rad/s)."""
    return float(screw.rotation_rad_s(speed_m_s, lead_m)) * ratio


@derived()
def no_load_speed_rad_s(motor_line: MotorLine) -> float:
    """No-load speed at the nominal supply (rad/s)."""
    return motor_line.speed_rad_s(motor_line.supply_v.nominal, 0.0)


@derived()
def turning_inertia_kg_m2(
    screw_inertia_kg_m2: float,
    coupling_inertia_kg_m2: float = 0.0,
    brake_inertia_kg_m2: float = 0.0,
    brake_on: str = "",
) -> float:
    """Inertia that turns with the screw (kg*m^2)."""
    return (
        screw_inertia_kg_m2 + coupling_inertia_kg_m2 + (brake_inertia_kg_m2 if brake_on == "screw" else 0.0)
    )


@derived()
def rotor_inertia_kg_m2(
    motor_inertia_kg_m2: float,
    gear_inertia_kg_m2: float = 0.0,
    brake_inertia_kg_m2: float = 0.0,
    brake_on: str = "",
) -> float:
    """Inertia that turns with the rotor, the gear's as felt there (kg*m^2)."""
    return motor_inertia_kg_m2 + gear_inertia_kg_m2 + (brake_inertia_kg_m2 if brake_on == "motor" else 0.0)


def _ramp_nm(
    rotor_kg_m2: float,
    turning_kg_m2: float,
    ratio: float,
    efficiency: float,
    acceleration_m_s2: float,
    lead_m: float,
) -> float:
    alpha = motion.angular_acceleration_rad_s2(acceleration_m_s2, lead_m)
    return float(motion.acceleration_torque_nm(rotor_kg_m2, turning_kg_m2, ratio, efficiency, alpha))


@derived()
def load_torque_nm(raising_torque_nm: Band, ratio: float, gear_efficiency: Band) -> float:
    """Motor torque under the peak force without inertia of what turns (N*m), nominal."""
    return float(gearing.input_torque_nm(raising_torque_nm.nominal, ratio, gear_efficiency.nominal))


@derived()
def worst_load_torque_nm(raising_torque_nm: Band, ratio: float, gear_efficiency: Band) -> float:
    """The same at the high end of friction and the low end of efficiency (N*m)."""
    return float(gearing.input_torque_nm(raising_torque_nm.high, ratio, gear_efficiency.low))


@derived()
def needed_torque_nm(
    load_torque_nm: float,
    rotor_inertia_kg_m2: float,
    turning_inertia_kg_m2: float,
    ratio: float,
    gear_efficiency: Band,
    acceleration_m_s2: float,
    lead_m: float,
) -> float:
    """Motor torque under the peak force while everything speeds up (N*m), nominal."""
    turning = (rotor_inertia_kg_m2, turning_inertia_kg_m2, ratio)
    return load_torque_nm + _ramp_nm(*turning, gear_efficiency.nominal, acceleration_m_s2, lead_m)


@derived()
def worst_needed_torque_nm(
    worst_load_torque_nm: float,
    rotor_inertia_kg_m2: float,
    turning_inertia_kg_m2: float,
    ratio: float,
    gear_efficiency: Band,
    acceleration_m_s2: float,
    lead_m: float,
) -> float:
    """The same at the high end of friction and the low end of efficiency (N*m)."""
    turning = (rotor_inertia_kg_m2, turning_inertia_kg_m2, ratio)
    return worst_load_torque_nm + _ramp_nm(*turning, gear_efficiency.low, acceleration_m_s2, lead_m)


@derived()
def motor_line(
    resistance_ohm: float,
    torque_constant_nm_a: float,
    no_load_current_a: float,
    supply_v: Band,
    current_limit_a: float = math.inf,
    motor_kind: str = "brushed",
    continuous_current_a: float | None = None,
) -> MotorLine:
    """The motor with its supply: what torque there is at a speed; of a stepper at rest alone."""
    if motor_kind == "stepper" and continuous_current_a is not None:
        current_limit_a = min(current_limit_a, continuous_current_a)
    return MotorLine(resistance_ohm, torque_constant_nm_a, no_load_current_a, supply_v, current_limit_a)


@derived()
def available_torque_nm(motor_line: MotorLine, motor_speed_rad_s: float) -> float:
    """Torque at the running speed from the nominal supply (N*m)."""
    return motor_line.torque_nm(motor_line.supply_v.nominal, motor_speed_rad_s)


@derived()
def low_supply_torque_nm(motor_line: MotorLine, motor_speed_rad_s: float) -> float:
    """Torque at the running speed from the lowest supply (N*m)."""
    return motor_line.torque_nm(motor_line.supply_v.low, motor_speed_rad_s)


@derived()
def warm_torque_nm(motor_line: MotorLine, motor_speed_rad_s: float, winding_c: float) -> float:
    """Torque at the running speed from the lowest supply, the winding at its predicted temperature (N*m)."""
    return motor_line.torque_nm(motor_line.supply_v.low, motor_speed_rad_s, winding_c)


@derived()
def stall_torque_nm(motor_line: MotorLine) -> float:
    """Stall torque from the nominal supply (N*m)."""
    return motor_line.torque_nm(motor_line.supply_v.nominal)


@derived()
def low_supply_stall_torque_nm(motor_line: MotorLine) -> float:
    """Stall torque from the lowest supply (N*m)."""
    return motor_line.torque_nm(motor_line.supply_v.low)


@derived()
def warm_stall_torque_nm(motor_line: MotorLine, winding_c: float) -> float:
    """Stall torque from the lowest supply, the winding at its predicted temperature (N*m)."""
    return motor_line.torque_nm(motor_line.supply_v.low, 0.0, winding_c)


@derived()
def working_current_a(
    needed_torque_nm: float, torque_constant_nm_a: float, no_load_current_a: float
) -> float:
    """Current at the highest torque of the cycle (A), nominal."""
    return float(motor.current_a(needed_torque_nm, torque_constant_nm_a, no_load_current_a))


@check(
    "motor.torque",
    unit="N*m",
    shown="mN*m",
    formula="T = T_screw / (i eta) + (J_rotor + J_screw / (i^2 eta)) i alpha",
    source="conservation of power; equal kinetic energy",
    margin_kind="none",
)
def torque(needed_torque_nm: float, load_torque_nm: float, worst_needed_torque_nm: float) -> Finding:
    """Motor torque at the highest force, ramping up."""
    note = (
        f"{load_torque_nm * 1e3:.2f} mN*m of it against the load; "
        f"{worst_needed_torque_nm * 1e3:.2f} mN*m at the worst friction and gear efficiency"
    )
    return info(needed_torque_nm, note)


@check(
    "motor.speed",
    unit="rad/s",
    shown="rpm",
    formula="n = i v / lead",
    source="the motor's own limit",
    limit="motor_speed_limit_rad_s",
    asked_by=("motor.speed_limit",),
)
def speed(motor_speed_rad_s: float, limit: float | None = None) -> Finding:
    """Motor speed at the running speed of the nut."""
    if limit is None:
        return info(motor_speed_rad_s)
    return at_most(motor_speed_rad_s, limit, remedy="a longer lead, less ratio or a lower speed")


@check(
    "motor.current",
    unless="no_line_given",
    unit="A",
    formula="I = T / kt + I0",
    source=LINE,
    limit="current_limit_a",
)
def current(working_current_a: float, limit: float | None = None) -> Finding:
    """Motor current at the highest force."""
    if limit is None:
        return info(working_current_a, "no supply.current_limit to hold it against")
    return at_most(
        working_current_a, limit, remedy=f"supply.current_limit of {digits(working_current_a)} A or more"
    )


@check(
    "motor.voltage",
    unless="no_line_given",
    unit="V",
    formula="V = I R + kt omega",
    source=LINE,
)
def voltage(
    working_current_a: float,
    resistance_ohm: float,
    torque_constant_nm_a: float,
    motor_speed_rad_s: float,
    supply_v: Band,
    lead_m: float,
    ratio: float,
    limit: float | None = None,
) -> Finding:
    """Voltage that the running speed needs at the highest force."""
    limit = supply_v.nominal if limit is None else limit
    needed = float(
        motor.voltage_v(working_current_a, resistance_ohm, torque_constant_nm_a, motor_speed_rad_s)
    )
    spare = (limit - working_current_a * resistance_ohm) / torque_constant_nm_a
    speed = spare / ratio * lead_m / (2.0 * math.pi)
    remedy = f"a supply of {digits(needed)} V or more"
    remedy += f", or a speed of {digits(speed * 1e3)} mm/s or less" if speed > 0.0 else ""
    return at_most(needed, limit, note=f"at {motor_speed_rad_s * 30 / math.pi:.0f} rpm", remedy=remedy)

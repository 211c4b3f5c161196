"""Direct-current motors: torque line, voltage, winding. Coherent SI and degC; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def current_a(shaft_torque_nm: Any, torque_constant_nm_a: Any, no_load_current_a: Any) -> Any:
    """Current for a shaft torque (A), T / kt + I0. Source: common practice, linear motor model."""
    return shaft_torque_nm / torque_constant_nm_a + no_load_current_a


def torque_nm(motor_current_a: Any, torque_constant_nm_a: Any, no_load_current_a: Any) -> Any:
    """Shaft torque of a current (N*m), (I - I0) kt. Source: common practice, linear motor model."""
    return (motor_current_a - no_load_current_a) * torque_constant_nm_a


def voltage_v(
    motor_current_a: Any, resistance_ohm: Any, torque_constant_nm_a: Any, motor_speed_rad_s: Any
) -> Any:
    """Terminal voltage (V), I R + kt omega.

    Source: Fitzgerald, Kingsley & Umans, Electric Machinery, DC machines.
    """
    return motor_current_a * resistance_ohm + torque_constant_nm_a * motor_speed_rad_s


def available_torque_nm(
    supply_v: Any,
    resistance_ohm: Any,
    torque_constant_nm_a: Any,
    no_load_current_a: Any,
    motor_speed_rad_s: Any,
) -> Any:
    """Torque that a supply gives at a speed (N*m), ((U - kt omega) / R - I0) kt; at rest the stall torque.

    Source: the torque line that follows from U = I R + kt omega (Fitzgerald, Kingsley & Umans, DC machines).
    """
    current = (supply_v - torque_constant_nm_a * motor_speed_rad_s) / resistance_ohm
    return torque_nm(current, torque_constant_nm_a, no_load_current_a)


def speed_at_torque_rad_s(
    supply_v: Any,
    resistance_ohm: Any,
    torque_constant_nm_a: Any,
    no_load_current_a: Any,
    shaft_torque_nm: Any,
) -> Any:
    """Speed that the motor settles at under a torque (rad/s), (U - (T / kt + I0) R) / kt.

    Source: the same torque line, solved for the speed.
    """
    current = current_a(shaft_torque_nm, torque_constant_nm_a, no_load_current_a)
    return (supply_v - current * resistance_ohm) / torque_constant_nm_a


def resistance_at_ohm(
    resistance_ohm: Any, winding_c: Any, reference_c: Any, resistance_coefficient_per_k: Any
) -> Any:
    """Winding resistance at a temperature (ohm), R (1 + alpha (T - T0)).

    Source: linear temperature coefficient; copper 0.00393 / K, IEC 60028 (from memory).
    """
    return resistance_ohm * (1.0 + resistance_coefficient_per_k * (winding_c - reference_c))


def winding_temperature_c(
    effective_current_a: Any,
    resistance_ohm: Any,
    thermal_resistance_k_w: Any,
    ambient_c: Any,
    reference_c: Any,
    resistance_coefficient_per_k: Any,
) -> Any:
    """Steady winding temperature (degC), the closed solution of T = Ta + I^2 R (1 + alpha (T - T0)) Rth.

    Infinite where heating outruns cooling. Source: thermal resistances in series; common practice.
    """
    loss = effective_current_a**2 * resistance_ohm * thermal_resistance_k_w
    slope = 1.0 - resistance_coefficient_per_k * loss
    rise = loss * (1.0 + resistance_coefficient_per_k * (ambient_c - reference_c))
    settles = slope > 0.0
    return ambient_c + rise * np.where(settles, 1.0 / np.where(settles, slope, 1.0), np.inf)


def rms_current_a(square_current_a2_s: Any, cycle_s: Any) -> Any:
    """Effective current of a cycle (A), sqrt(sum I^2 t / T). Source: definition of the root mean square."""
    return np.sqrt(square_current_a2_s / cycle_s)


def resistance_from_stall_ohm(supply_v: Any, stall_current_a: Any) -> Any:
    """Winding resistance (ohm) from a stall current, U / I. Source: the torque line at zero speed."""
    return supply_v / stall_current_a


def torque_constant_from_stall_nm_a(
    stall_torque_nm: Any, stall_current_a: Any, no_load_current_a: Any
) -> Any:
    """Torque constant (N*m/A) from the stall point, T / (I - I0). Source: the torque line at zero speed."""
    return stall_torque_nm / (stall_current_a - no_load_current_a)

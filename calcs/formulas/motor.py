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


def torque_constant_from_no_load_nm_a(
    supply_v: Any, resistance_ohm: Any, no_load_current_a: Any, no_load_speed_rad_s: Any
) -> Any:
    """Torque constant (N*m/A) from the no-load point, (U - I0 R) / omega0.

    Source: the torque line without load (Fitzgerald, Kingsley & Umans, DC machines).
    """
    return (supply_v - no_load_current_a * resistance_ohm) / no_load_speed_rad_s


def copper_loss_w(motor_current_a: Any, resistance_ohm: Any) -> Any:
    """Loss in the winding (W), I^2 R. Source: Joule."""
    return motor_current_a**2 * resistance_ohm


def pulsed_rise_k(loss_w: Any, thermal_k_w: Any, on_s: Any, cycle_s: Any, time_constant_s: Any) -> Any:
    """Highest temperature rise of a body heated for a part of every cycle (K), once the cycles have settled.

    P R (1 - e^(-t_on / tau)) / (1 - e^(-T / tau)). Source: first-order heating, repeated; common practice.
    """
    shares = [1.0 - np.exp(-span_s / time_constant_s) for span_s in (on_s, cycle_s)]
    return loss_w * thermal_k_w * shares[0] / shares[1]


def stepper_corner_rad_s(supply_v: Any, inductance_h: Any, phase_current_a: Any, steps: Any) -> Any:
    """Speed above which a stepper's supply no longer drives its full current (rad/s), U / (L I p).

    p = full steps / 4 pole pairs. Source: omega L I = U of the phase; common practice, no source.
    """
    return supply_v / (inductance_h * phase_current_a * steps / 4.0)


def step_time_s(motor_speed_rad_s: Any, steps: Any) -> Any:
    """Time of one full step at a speed (s), 2 pi / (omega n). Source: definition of the full step."""
    return 2.0 * np.pi / (motor_speed_rad_s * steps)

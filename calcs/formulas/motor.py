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
    rise = copper_loss_w(effective_current_a, resistance_ohm) * thermal_resistance_k_w
    return copper_temperature_c(rise, ambient_c, reference_c, resistance_coefficient_per_k)


def copper_temperature_c(
    reference_rise_k: Any, ambient_c: Any, reference_c: Any, resistance_coefficient_per_k: Any
) -> Any:
    """Temperature of a winding (degC) whose resistance at T0 would heat it by a rise above the ambient.

    The closed solution of T = Ta + rise (1 + alpha (T - T0)); infinite where heating outruns cooling.
    Source: linear temperature coefficient; copper 0.00393 / K, IEC 60028 (from memory).
    """
    slope = 1.0 - resistance_coefficient_per_k * reference_rise_k
    rise = reference_rise_k * (1.0 + resistance_coefficient_per_k * (ambient_c - reference_c))
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


def winding_rise_k(
    winding_rise_k: Any,
    housing_rise_k: Any,
    loss_w: Any,
    growth: Any,
    winding_k_w: Any,
    housing_k_w: Any,
    winding_constant_s: Any,
    housing_constant_s: Any,
    heated_s: Any,
) -> Any:
    """Rise of a winding over the ambient (K), some time on from rises of winding and housing.

    tau_1 dw/dt = P R_1 + g w - w + h, tau_2 dh/dt = (w - h) R_2 / R_1 - h: the loss is P at the ambient's
    temperature and grows by g w / R_1, of copper g = alpha I^2 R_0 R_1. Source: two first-order bodies.
    """
    rates = _two_body_rates(growth, winding_k_w, housing_k_w, winding_constant_s, housing_constant_s)
    kept, gained = _two_body_shares(*rates, heated_s)
    drive_k_s = loss_w * winding_k_w / winding_constant_s
    return kept[0] * winding_rise_k + kept[1] * housing_rise_k + gained[0] * drive_k_s


def housing_rise_k(
    winding_rise_k: Any,
    housing_rise_k: Any,
    loss_w: Any,
    growth: Any,
    winding_k_w: Any,
    housing_k_w: Any,
    winding_constant_s: Any,
    housing_constant_s: Any,
    heated_s: Any,
) -> Any:
    """Rise of the housing over the ambient (K), as `winding_rise_k` gives the winding's.

    Source: two bodies of the first order.
    """
    rates = _two_body_rates(growth, winding_k_w, housing_k_w, winding_constant_s, housing_constant_s)
    kept, gained = _two_body_shares(*rates, heated_s)
    drive_k_s = loss_w * winding_k_w / winding_constant_s
    return kept[2] * winding_rise_k + kept[3] * housing_rise_k + gained[1] * drive_k_s


def _two_body_rates(
    growth: Any, winding_k_w: Any, housing_k_w: Any, winding_constant_s: Any, housing_constant_s: Any
) -> tuple[Any, Any, Any, Any]:
    """Rows of the matrix of both equations (1/s): of the winding, of the housing."""
    share = housing_k_w / winding_k_w
    winding = ((growth - 1.0) / winding_constant_s, 1.0 / winding_constant_s)
    return (*winding, share / housing_constant_s, -(1.0 + share) / housing_constant_s)


def _two_body_shares(own: Any, other: Any, back: Any, loses: Any, heated_s: Any) -> tuple[Any, Any]:
    """Exponential of the matrix times the time, by rows, and its first column integrated over the time."""
    mean = (own + loses) / 2.0
    apart = np.sqrt(((own - loses) / 2.0) ** 2 + other * back)  # above 0: the roots are real
    grown, shrunk = (np.exp((mean + root) * heated_s) for root in (apart, -apart))
    summed = tuple(_summed(mean + root, heated_s) for root in (apart, -apart))

    def mixed(one: Any, two: Any) -> tuple[Any, Any, Any, Any]:
        middle, slope = (one + two) / 2.0, (one - two) / (2.0 * apart)
        half = (own - loses) / 2.0
        return middle + slope * half, slope * other, slope * back, middle - slope * half

    gained = mixed(*summed)
    return mixed(grown, shrunk), (gained[0], gained[2])


def _summed(rate: Any, heated_s: Any) -> Any:
    """Integral of e^(rate t) over the time (s), also where nothing grows or decays."""
    steps = rate * heated_s
    still = np.abs(steps) < 1e-12
    return heated_s * np.where(still, 1.0, np.expm1(steps) / np.where(still, 1.0, steps))


def stepper_corner_rad_s(supply_v: Any, inductance_h: Any, phase_current_a: Any, steps: Any) -> Any:
    """Speed above which a stepper's supply no longer drives its full current (rad/s), U / (L I p).

    p = full steps / 4 pole pairs. Source: omega L I = U of the phase; common practice, no source.
    """
    return supply_v / (inductance_h * phase_current_a * steps / 4.0)


def step_time_s(motor_speed_rad_s: Any, steps: Any) -> Any:
    """Time of one full step at a speed (s), 2 pi / (omega n). Source: definition of the full step."""
    return 2.0 * np.pi / (motor_speed_rad_s * steps)

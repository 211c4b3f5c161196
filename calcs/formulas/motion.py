"""Motion of the load: time, acceleration, inertia, stopping. Coherent SI; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def peak_speed_m_s(distance_m: Any, speed_m_s: Any, acceleration_m_s2: Any) -> Any:
    """Highest speed of a move (m/s): the wanted one, or sqrt(a s) where the move is too short for it.

    Source: kinematics of the trapezoidal and triangular profile.
    """
    return np.minimum(speed_m_s, np.sqrt(acceleration_m_s2 * distance_m))


def move_time_s(distance_m: Any, speed_m_s: Any, acceleration_m_s2: Any) -> Any:
    """Time of a move from rest to rest (s), s / v + v / a with v the reached speed.

    Source: kinematics of the trapezoidal and triangular profile.
    """
    reached = peak_speed_m_s(distance_m, speed_m_s, acceleration_m_s2)
    return distance_m / reached + reached / acceleration_m_s2


def ramp_time_s(speed_m_s: Any, acceleration_m_s2: Any) -> Any:
    """Time to reach a speed (s), v / a. Source: kinematics."""
    return speed_m_s / acceleration_m_s2


def stopping_distance_m(speed_m_s: Any, deceleration_m_s2: Any, latency_s: Any) -> Any:
    """Way from the sensor's edge to rest (m), v^2 / 2a + v t. Source: kinematics."""
    return speed_m_s**2 / (2.0 * deceleration_m_s2) + speed_m_s * latency_s


def angular_acceleration_rad_s2(acceleration_m_s2: Any, lead_m: Any) -> Any:
    """Angular acceleration of the screw (rad/s^2), 2 pi a / lead. Source: definition of lead."""
    return 2.0 * np.pi * acceleration_m_s2 / lead_m


def carried_inertia_kg_m2(mass_kg: Any, lead_m: Any) -> Any:
    """Inertia of a carried mass as the screw feels it (kg*m^2), m (lead / 2 pi)^2.

    Source: equal kinetic energy.
    """
    return mass_kg * (lead_m / (2.0 * np.pi)) ** 2


def reflected_inertia_kg_m2(inertia_kg_m2: Any, ratio: Any) -> Any:
    """Inertia behind a reduction as the motor feels it (kg*m^2), J / i^2. Source: equal kinetic energy."""
    return inertia_kg_m2 / ratio**2


def acceleration_torque_nm(
    rotor_inertia_kg_m2: Any,
    screw_inertia_kg_m2: Any,
    ratio: Any,
    gear_efficiency: Any,
    screw_acceleration_rad_s2: Any,
) -> Any:
    """Motor torque that speeds up rotor and screw (N*m), (J_rotor + J_screw / (i^2 eta)) i alpha.

    Source: equal kinetic energy, the gear's loss on what passes through it.
    """
    behind = reflected_inertia_kg_m2(screw_inertia_kg_m2, ratio) / gear_efficiency
    return (rotor_inertia_kg_m2 + behind) * ratio * screw_acceleration_rad_s2


def moment_friction_n(moment_force_n: Any, arm_m: Any, guide_length_m: Any, guide_friction: Any) -> Any:
    """Guide friction from a force beside the guide (N), 2 mu F arm / length.

    Source: common practice, no source.
    """
    return 2.0 * guide_friction * moment_force_n * arm_m / guide_length_m


def tilt_error_m(play_m: Any, arm_m: Any, guide_length_m: Any) -> Any:
    """Way of a point at an arm when a block tilts from side to side in its play (m), play arm / length.

    Source: geometry for small angles.
    """
    return play_m * arm_m / guide_length_m


def binding_ratio(guide_friction: Any) -> Any:
    """Arm per guide length at which a guide locks whatever the force, 1 / (2 mu).

    Source: equilibrium of a guide carried at its two edges; common practice, no source.
    """
    return 1.0 / (2.0 * guide_friction)


def speed_for_time_m_s(distance_m: Any, move_s: Any, acceleration_m_s2: Any) -> Any:
    """Running speed that makes a move in a given time (m/s), a t / 2 (1 - sqrt(1 - 4 s / (a t^2))).

    Infinite where the ramps alone take longer. Source: kinematics of the trapezoidal profile.
    """
    filled = 4.0 * distance_m / (acceleration_m_s2 * move_s**2)
    share = np.where(filled <= 1.0, 1.0 - np.sqrt(np.abs(1.0 - filled)), np.inf)
    return acceleration_m_s2 * move_s / 2.0 * share


def least_acceleration_m_s2(distance_m: Any, move_s: Any) -> Any:
    """Least acceleration that makes a move in a given time (m/s^2), 4 s / t^2.

    Source: kinematics of the triangular profile.
    """
    return 4.0 * distance_m / move_s**2


def thirds_speed_m_s(distance_m: Any, move_s: Any) -> Any:
    """Running speed of a move in equal thirds of ramp, run and ramp (m/s), 1.5 s / t.

    Source: kinematics of the trapezoidal profile.
    """
    return 1.5 * distance_m / move_s


def thirds_acceleration_m_s2(distance_m: Any, move_s: Any) -> Any:
    """Acceleration of a move in equal thirds of ramp, run and ramp (m/s^2), 4.5 s / t^2.

    Source: kinematics of the trapezoidal profile.
    """
    return 4.5 * distance_m / move_s**2


def rms_speed_m_s(reached_m_s: Any, acceleration_m_s2: Any, move_s: Any, period_s: Any) -> Any:
    """Effective speed of one move from rest to rest in a period (m/s), v sqrt((t - 4 v / 3a) / T).

    Source: root mean square of the trapezoidal profile.
    """
    return reached_m_s * np.sqrt((move_s - 4.0 / 3.0 * reached_m_s / acceleration_m_s2) / period_s)


def rms_acceleration_m_s2(reached_m_s: Any, acceleration_m_s2: Any, period_s: Any) -> Any:
    """Effective acceleration of one move in a period (m/s^2), a sqrt(2 v / (a T)).

    Source: root mean square of the trapezoidal profile.
    """
    return acceleration_m_s2 * np.sqrt(2.0 * reached_m_s / (acceleration_m_s2 * period_s))

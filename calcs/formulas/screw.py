"""Power screws: angles, torques, efficiency, holding. Coherent SI; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def lead_angle_rad(lead_m: Any, pitch_diameter_m: Any) -> Any:
    """Lead angle on the pitch diameter (rad), tan(lambda) = lead / (pi d2).

    Source: Shigley, Mechanical Engineering Design 9e, section 8-2.
    """
    return np.arctan(lead_m / (np.pi * pitch_diameter_m))


def friction_angle_rad(friction: Any, flank_angle_rad: Any) -> Any:
    """Friction angle of a thread (rad), tan(phi') = mu / cos(alpha), alpha the axial flank angle.

    Source: Shigley 9e, eq. 8-5 (sec alpha).
    """
    return np.arctan(friction / np.cos(flank_angle_rad))


def torque_per_force_m(lead_m: Any, pitch_diameter_m: Any, friction: Any, flank_angle_rad: Any) -> Any:
    """Raising torque per axial force (m), d2 / 2 tan(lambda + phi'); infinite where it cannot be turned.

    Source: Shigley 9e, eq. 8-5, written with angles.
    """
    angle = lead_angle_rad(lead_m, pitch_diameter_m) + friction_angle_rad(friction, flank_angle_rad)
    return pitch_diameter_m / 2.0 * np.where(angle < np.pi / 2.0, np.tan(angle), np.inf)


def raise_torque_nm(
    force_n: Any,
    pitch_diameter_m: Any,
    lead_m: Any,
    friction: Any,
    flank_angle_rad: Any,
    collar_friction: Any = 0.0,
    collar_diameter_m: Any = 0.0,
) -> Any:
    """Torque that moves a load against its force (N*m), thrust collar on its mean diameter included.

    Source: Shigley 9e, eq. 8-1, 8-5 and 8-6.
    """
    thread = force_n * torque_per_force_m(lead_m, pitch_diameter_m, friction, flank_angle_rad)
    return thread + collar_torque_nm(force_n, collar_friction, collar_diameter_m)


def lower_torque_nm(
    force_n: Any,
    pitch_diameter_m: Any,
    lead_m: Any,
    friction: Any,
    flank_angle_rad: Any,
    collar_friction: Any = 0.0,
    collar_diameter_m: Any = 0.0,
) -> Any:
    """Torque that moves a load along with its force (N*m); negative where the load drives the screw.

    Source: Shigley 9e, eq. 8-2 and 8-6, with sec(alpha) as in 8-5.
    """
    angle = friction_angle_rad(friction, flank_angle_rad) - lead_angle_rad(lead_m, pitch_diameter_m)
    thread = force_n * pitch_diameter_m / 2.0 * np.tan(angle)
    return thread + collar_torque_nm(force_n, collar_friction, collar_diameter_m)


def collar_torque_nm(force_n: Any, collar_friction: Any, collar_diameter_m: Any) -> Any:
    """Friction torque of a thrust collar (N*m) on its mean diameter, F mu d / 2.

    Source: Shigley 9e, eq. 8-6.
    """
    return force_n * collar_friction * collar_diameter_m / 2.0


def efficiency(
    lead_m: Any,
    pitch_diameter_m: Any,
    friction: Any,
    flank_angle_rad: Any,
    collar_friction: Any = 0.0,
    collar_diameter_m: Any = 0.0,
) -> Any:
    """Efficiency from torque to force, F lead / (2 pi T); without a collar tan(lambda) / tan(lambda + phi').

    Source: Shigley 9e, eq. 8-4.
    """
    thread = torque_per_force_m(lead_m, pitch_diameter_m, friction, flank_angle_rad)
    collar = collar_torque_nm(1.0, collar_friction, collar_diameter_m)
    return lead_m / (2.0 * np.pi) / (thread + collar)


def holding_ratio(lead_m: Any, pitch_diameter_m: Any, friction: Any, flank_angle_rad: Any) -> Any:
    """How many times thread friction exceeds what holds the load, (mu / cos alpha) / tan(lambda).

    Source: Shigley 9e, eq. 8-3 (self-locking where it is above 1).
    """
    slope = np.tan(lead_angle_rad(lead_m, pitch_diameter_m))
    return friction / np.cos(flank_angle_rad) / slope


def threshold_friction(lead_m: Any, pitch_diameter_m: Any, flank_angle_rad: Any) -> Any:
    """Friction below which the load turns the screw, tan(lambda) cos(alpha). Source: Shigley 9e, eq. 8-3."""
    return np.tan(lead_angle_rad(lead_m, pitch_diameter_m)) * np.cos(flank_angle_rad)


def push_force_n(
    torque_nm: Any,
    pitch_diameter_m: Any,
    lead_m: Any,
    friction: Any,
    flank_angle_rad: Any,
    collar_friction: Any = 0.0,
    collar_diameter_m: Any = 0.0,
) -> Any:
    """Axial force that a screw torque can push with (N), thrust collar on its mean diameter included.

    Source: Shigley 9e, eq. 8-5 and 8-6 solved for the force.
    """
    thread = torque_per_force_m(lead_m, pitch_diameter_m, friction, flank_angle_rad)
    return torque_nm / (thread + collar_torque_nm(1.0, collar_friction, collar_diameter_m))


def rotation_rad_s(speed_m_s: Any, lead_m: Any) -> Any:
    """Screw speed (rad/s) for a nut speed, 2 pi v / lead.

    Source: definition of lead, ISO 5408 (from memory).
    """
    return 2.0 * np.pi * speed_m_s / lead_m


def sliding_speed_m_s(speed_m_s: Any, lead_m: Any, pitch_diameter_m: Any) -> Any:
    """Speed along the helix at the pitch diameter (m/s), pi d2 n / cos(lambda).

    Source: geometry of the helix.
    """
    return speed_m_s * sliding_share(lead_m, pitch_diameter_m)


def sliding_share(lead_m: Any, pitch_diameter_m: Any) -> Any:
    """Length slid along the helix per length travelled, 1 / sin(lambda). Source: geometry of the helix."""
    return 1.0 / np.sin(lead_angle_rad(lead_m, pitch_diameter_m))


def back_efficiency(lead_m: Any, pitch_diameter_m: Any, friction: Any, flank_angle_rad: Any) -> Any:
    """Efficiency from force to torque, tan(lambda - phi') / tan(lambda); negative where the thread holds.

    Source: the lowering torque of Shigley 9e, eq. 8-2, over that without friction.
    """
    angle = lead_angle_rad(lead_m, pitch_diameter_m)
    return np.tan(angle - friction_angle_rad(friction, flank_angle_rad)) / np.tan(angle)


def torque_at_efficiency_nm(force_n: Any, lead_m: Any, screw_efficiency: Any) -> Any:
    """Torque that pushes with a force (N*m), F lead / (2 pi eta). Source: conservation of power."""
    return force_n * lead_m / (2.0 * np.pi * screw_efficiency)


def driven_torque_nm(force_n: Any, lead_m: Any, back_efficiency: Any) -> Any:
    """Torque that a force turns the screw with (N*m), F lead eta' / (2 pi); negative: it has to be turned.

    Source: conservation of power.
    """
    return force_n * lead_m * back_efficiency / (2.0 * np.pi)


def anti_rotation_factor(torque_per_force_m: Any, guide_friction: Any, reaction_arm_m: Any) -> Any:
    """How many times the torque grows by the friction of what keeps the nut from turning.

    1 / (1 - 2 mu k / r), k the torque per force, r the arm; infinite where the drive locks itself.
    Source: equilibrium, the reaction on both sides of the guide; common practice, no source.
    """
    share = 2.0 * guide_friction * torque_per_force_m / reaction_arm_m
    locks = share >= 1.0
    return np.where(locks, np.inf, 1.0 / np.where(locks, 1.0, 1.0 - share))


def anti_rotation_friction_n(torque_nm: Any, guide_friction: Any, reaction_arm_m: Any) -> Any:
    """Friction along the screw of what keeps the nut from turning (N), 2 mu T / r.

    Source: equilibrium; common practice, no source.
    """
    return 2.0 * guide_friction * torque_nm / reaction_arm_m


def spring_drag_nm(
    spring_n: Any, lead_m: Any, pitch_diameter_m: Any, friction: Any, flank_angle_rad: Any
) -> Any:
    """Drag of a nut in two halves that a spring presses apart (N*m): one half raised, the other lowered.

    Source: Shigley 9e, eq. 8-1 and 8-2 with sec(alpha), added.
    """
    raised = torque_per_force_m(lead_m, pitch_diameter_m, friction, flank_angle_rad)
    angle = friction_angle_rad(friction, flank_angle_rad) - lead_angle_rad(lead_m, pitch_diameter_m)
    return spring_n * (raised + pitch_diameter_m / 2.0 * np.tan(angle))

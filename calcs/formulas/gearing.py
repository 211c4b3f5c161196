"""Gear stacks as a drive sees them: torque, efficiency, lost motion. Coherent SI; floats or arrays.

The conditions on tooth numbers belong to the shape: geometry.tooth_rules.
"""

from __future__ import annotations

from typing import Any

import numpy as np


def input_torque_nm(screw_torque_nm: Any, ratio: Any, gear_efficiency: Any) -> Any:
    """Torque at the motor for a torque at the screw (N*m), T / (i eta). Source: conservation of power."""
    return screw_torque_nm / (ratio * gear_efficiency)


def output_torque_nm(motor_torque_nm: Any, ratio: Any, gear_efficiency: Any) -> Any:
    """Torque at the screw for a torque at the motor (N*m), T i eta. Source: conservation of power."""
    return motor_torque_nm * ratio * gear_efficiency


def lost_motion_m(lead_m: Any, backlash_rad: Any) -> Any:
    """Nut travel lost to an angle of backlash at the screw (m), lead * angle / 2 pi.

    Source: definition of lead.
    """
    return lead_m * backlash_rad / (2.0 * np.pi)


def wind_up_rad(torque_swing_nm: Any, stiffness_nm_rad: Any) -> Any:
    """Angle that a shaft in torsion turns through when its torque swings (rad), T / k.

    Source: Hooke's law.
    """
    return torque_swing_nm / stiffness_nm_rad


def step_m(lead_m: Any, counts: Any, ratio: Any) -> Any:
    """Smallest commanded step of the nut (m) for the counts of one motor turn, lead / (counts i).

    Source: definition of lead.
    """
    return lead_m / (counts * ratio)

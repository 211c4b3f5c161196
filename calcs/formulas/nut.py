"""Sliding nuts and loaded threads: pressure, pv, wear, bending. Coherent SI; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def engaged_turns(length_m: Any, pitch_m: Any) -> Any:
    """Thread turns in engagement, length / pitch. Source: definition of pitch."""
    return length_m / pitch_m


def thread_pressure_pa(
    force_n: Any, pitch_diameter_m: Any, flank_height_m: Any, turns: Any, area_factor: Any
) -> Any:
    """Mean pressure on the flanks (Pa), F / (pi d2 H1 z f), f the share of the flank that carries.

    Source: Shigley 9e, eq. 8-10, with the height of engagement instead of p / 2.
    """
    return force_n / (np.pi * pitch_diameter_m * flank_height_m * turns * area_factor)


def pressure_velocity_pa_m_s(pressure_pa: Any, sliding_m_s: Any) -> Any:
    """Pressure times sliding speed (Pa*m/s). Source: definition of pv, common practice."""
    return pressure_pa * sliding_m_s


def wear_depth_m(wear_coefficient_m2_n: Any, pressure_pa: Any, slid_m: Any) -> Any:
    """Wear depth normal to the flank (m), k p s. Source: Archard's wear law (from memory)."""
    return wear_coefficient_m2_n * pressure_pa * slid_m


def axial_wear_m(wear_depth_m: Any, flank_angle_rad: Any) -> Any:
    """Axial play from wear normal to the flank (m), h / cos(alpha). Source: geometry of the flank."""
    return wear_depth_m / np.cos(flank_angle_rad)


def thread_bending_pa(force_n: Any, root_diameter_m: Any, turns: Any, pitch_m: Any) -> Any:
    """Bending stress at the root of a square thread (Pa), 6 F / (pi dr n p). Source: Shigley 9e, eq. 8-11."""
    return 6.0 * force_n / (np.pi * root_diameter_m * turns * pitch_m)


def first_turn_force_n(force_n: Any, turns: Any) -> Any:
    """Force on the turn that carries most (N): 0.38 of it, or an equal share where there are fewer turns.

    Source: Shigley 9e, section 8-2 (0.38, 0.25, 0.18 on the first, second and third turn).
    """
    return force_n * np.maximum(0.38, 1.0 / turns)


def thread_shear_pa(force_n: Any, cylinder_diameter_m: Any, turns: Any, pitch_m: Any) -> Any:
    """Highest transverse shear at the root of a square thread (Pa), 3 F / (pi d n p).

    On the root diameter for the screw, on the major one for the nut. Source: Shigley 9e, section 8-2
    (3 V / 2A).
    """
    return 3.0 * force_n / (np.pi * cylinder_diameter_m * turns * pitch_m)

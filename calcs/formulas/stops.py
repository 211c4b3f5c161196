"""Running into a hard stop: energy, push, impact, and coming free again. Coherent SI; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def rotational_energy_j(inertia_kg_m2: Any, speed_rad_s: Any) -> Any:
    """Energy of a turning part (J), J omega^2 / 2. Source: mechanics."""
    return 0.5 * inertia_kg_m2 * speed_rad_s**2


def translational_energy_j(mass_kg: Any, speed_m_s: Any) -> Any:
    """Energy of a travelling part (J), m v^2 / 2. Source: mechanics."""
    return 0.5 * mass_kg * speed_m_s**2


def arriving_energy_j(
    rotor_energy_j: Any, screw_energy_j: Any, load_energy_j: Any, gear_efficiency: Any, screw_efficiency: Any
) -> Any:
    """Energy that reaches the stop (J): (rotor * eta_gear + screw) * eta_screw + load.

    Source: energy balance with the drive's losses; common practice, no source.
    """
    return (rotor_energy_j * gear_efficiency + screw_energy_j) * screw_efficiency + load_energy_j


def impact_force_n(push_n: Any, energy_j: Any, stiffness_n_m: Any) -> Any:
    """Highest force in an undamped elastic stop (N), hit under a constant push: F0 + sqrt(F0^2 + 2 E k).

    Source: energy balance of a spring; without damping, so on the high side.
    """
    return push_n + np.sqrt(push_n**2 + 2.0 * energy_j * stiffness_n_m)


def push_for_impact_n(impact_n: Any, energy_j: Any, stiffness_n_m: Any) -> Any:
    """Push that gives an impact force (N), (F^2 - 2 E k) / 2F: `impact_force_n` solved for the push.

    Negative where the energy alone gives more. Source: the same energy balance.
    """
    return (impact_n**2 - 2.0 * energy_j * stiffness_n_m) / (2.0 * impact_n)

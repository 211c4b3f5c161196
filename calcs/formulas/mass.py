"""Mass and inertia of simple solids. Coherent SI; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def cylinder_volume_m3(radius_m: Any, length_m: Any) -> Any:
    """Volume of a cylinder (m^3). Source: geometry."""
    return np.pi * radius_m**2 * length_m


def box_volume_m3(width_m: Any, depth_m: Any, height_m: Any) -> Any:
    """Volume of a box (m^3). Source: geometry."""
    return width_m * depth_m * height_m


def axial_inertia_kg_m2(mass_kg: Any, radius_m: Any) -> Any:
    """Inertia of a solid cylinder about its axis (kg*m^2), m r^2 / 2. Source: mechanics."""
    return mass_kg * radius_m**2 / 2.0


def transverse_inertia_kg_m2(mass_kg: Any, radius_m: Any, length_m: Any) -> Any:
    """Inertia of a solid cylinder about a diameter through its centre (kg*m^2), m (3 r^2 + h^2) / 12.

    Source: mechanics.
    """
    return mass_kg * (3.0 * radius_m**2 + length_m**2) / 12.0


def box_inertia_kg_m2(mass_kg: Any, first_side_m: Any, second_side_m: Any) -> Any:
    """Inertia of a box about the axis through its centre across two sides (kg*m^2), m (a^2 + b^2) / 12.

    Source: mechanics.
    """
    return mass_kg * (first_side_m**2 + second_side_m**2) / 12.0

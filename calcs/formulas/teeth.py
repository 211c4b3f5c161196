"""Spur teeth: tangential force, bending after Lewis, contact pressure after Hertz. SI; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np

from geometry import gear_tables


def lewis_factor(teeth: Any) -> Any:
    """Lewis form factor Y (a number) of an unshifted 20 degree tooth, between the table's rows along 1 / z.

    Below 12 teeth that of 12, above 400 that of 400. Source: Shigley 9e, table 14-2 (from memory).
    """
    return gear_tables.lewis_factor(teeth)


def tooth_force_n(torque_nm: Any, pitch_diameter_m: Any, meshes: Any) -> Any:
    """Tangential force on a tooth (N) of a gear with equal meshes around it, 2 T / (d N).

    Source: equilibrium; planets that share equally.
    """
    return 2.0 * torque_nm / (pitch_diameter_m * meshes)


def lewis_bending_pa(tangential_n: Any, width_m: Any, module_m: Any, form_factor: Any) -> Any:
    """Bending stress of a tooth (Pa), F / (b m Y). Source: Shigley 9e, eq. 14-2 with metric pitch."""
    return tangential_n / (width_m * module_m * form_factor)


def zone_factor(pressure_angle_rad: Any) -> Any:
    """Zone factor Z_H (a number) of unshifted spur teeth, sqrt(2 / (cos a sin a)).

    Source: ISO 6336-2 (from memory).
    """
    return np.sqrt(2.0 / (np.cos(pressure_angle_rad) * np.sin(pressure_angle_rad)))


def contact_pressure_pa(
    tangential_n: Any,
    width_m: Any,
    pinion_diameter_m: Any,
    tooth_ratio: Any,
    pressure_angle_rad: Any,
    elastic_modulus_pa: Any,
    poisson_ratio: Any,
) -> Any:
    """Contact pressure at the pitch point (Pa), Z_H sqrt(E / (2 pi (1 - nu^2)) F (u + 1) / (b d1 u)).

    Two gears of one material, external teeth. Source: Hertz; ISO 6336-2 without its K factors (from memory).
    """
    elastic_pa = elastic_modulus_pa / (2.0 * np.pi * (1.0 - poisson_ratio**2))
    load_pa = tangential_n / (width_m * pinion_diameter_m) * (tooth_ratio + 1.0) / tooth_ratio
    return zone_factor(pressure_angle_rad) * np.sqrt(elastic_pa * load_pa)

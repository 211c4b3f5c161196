"""The screw as a column and a shaft: stress, buckling, critical speed. Coherent SI; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def round_second_moment_m4(diameter_m: Any) -> Any:
    """Second moment of area of a round (m^4), pi d^4 / 64. Source: mechanics."""
    return np.pi * diameter_m**4 / 64.0


def round_area_m2(diameter_m: Any) -> Any:
    """Area of a round (m^2). Source: geometry."""
    return np.pi * diameter_m**2 / 4.0


def axial_stress_pa(force_n: Any, root_diameter_m: Any) -> Any:
    """Direct stress in the screw's body (Pa), 4 F / (pi dr^2). Source: Shigley 9e, eq. 8-8."""
    return 4.0 * force_n / (np.pi * root_diameter_m**2)


def torsion_stress_pa(torque_nm: Any, root_diameter_m: Any) -> Any:
    """Shear stress in the screw's body (Pa), 16 T / (pi dr^3). Source: Shigley 9e, eq. 8-7."""
    return 16.0 * torque_nm / (np.pi * root_diameter_m**3)


def body_stress_pa(axial_pa: Any, torsion_pa: Any) -> Any:
    """Von Mises stress of tension and torsion (Pa), sqrt(sigma^2 + 3 tau^2). Source: Shigley 9e, eq. 5-15."""
    return np.sqrt(axial_pa**2 + 3.0 * torsion_pa**2)


def slenderness(length_m: Any, diameter_m: Any, end_factor: Any) -> Any:
    """Slenderness of a round column over its effective length, L / (sqrt(C) d / 4).

    Source: Shigley 9e, section 4-12.
    """
    return length_m / (np.sqrt(end_factor) * diameter_m / 4.0)


def transition_slenderness(elastic_modulus_pa: Any, yield_pa: Any) -> Any:
    """Effective slenderness above which Euler's load holds, sqrt(2 pi^2 E / Sy).

    Source: Shigley 9e, eq. 4-44.
    """
    return np.sqrt(2.0 * np.pi**2 * elastic_modulus_pa / yield_pa)


def euler_load_n(elastic_modulus_pa: Any, diameter_m: Any, length_m: Any, end_factor: Any) -> Any:
    """Buckling load of a slender round (N), C pi^2 E I / L^2. Source: Shigley 9e, eq. 4-43."""
    return end_factor * np.pi**2 * elastic_modulus_pa * round_second_moment_m4(diameter_m) / length_m**2


def johnson_load_n(
    elastic_modulus_pa: Any, yield_pa: Any, diameter_m: Any, length_m: Any, end_factor: Any
) -> Any:
    """Buckling load of a stocky round (N), A (Sy - (Sy l / (2 pi k))^2 / (C E)).

    Source: Shigley 9e, eq. 4-46.
    """
    bend = yield_pa * slenderness(length_m, diameter_m, end_factor) / (2.0 * np.pi)
    return round_area_m2(diameter_m) * (yield_pa - bend**2 / elastic_modulus_pa)


def buckling_load_n(
    elastic_modulus_pa: Any, yield_pa: Any, diameter_m: Any, length_m: Any, end_factor: Any
) -> Any:
    """Buckling load of a round (N): Johnson's below the transition slenderness, Euler's above.

    Source: Shigley 9e, section 4-13.
    """
    stocky = slenderness(length_m, diameter_m, end_factor) < transition_slenderness(
        elastic_modulus_pa, yield_pa
    )
    return np.where(
        stocky,
        johnson_load_n(elastic_modulus_pa, yield_pa, diameter_m, length_m, end_factor),
        euler_load_n(elastic_modulus_pa, diameter_m, length_m, end_factor),
    )


def critical_speed_rad_s(
    elastic_modulus_pa: Any, density_kg_m3: Any, diameter_m: Any, length_m: Any, eigenvalue: Any
) -> Any:
    """First critical speed of a round shaft (rad/s), (beta / L)^2 sqrt(E / rho) d / 4; no factor in it.

    Source: Euler-Bernoulli beam (Blevins, Formulas for Natural Frequency and Mode Shape, from memory).
    """
    wave_speed = np.sqrt(elastic_modulus_pa / density_kg_m3)
    return (eigenvalue / length_m) ** 2 * wave_speed * diameter_m / 4.0


def thread_root_stress_pa(bending_pa: Any, axial_pa: Any, torsion_pa: Any) -> Any:
    """Von Mises stress at the root of a thread (Pa): bending across, compression along, torsion.

    Source: Shigley 9e, eq. 5-14, as in example 8-1.
    """
    return np.sqrt(bending_pa**2 + bending_pa * axial_pa + axial_pa**2 + 3.0 * torsion_pa**2)


def shear_yield_pa(yield_pa: Any) -> Any:
    """Yield strength in shear (Pa), 0.577 Sy. Source: distortion energy, Shigley 9e, eq. 5-21."""
    return 0.577 * yield_pa


def stress_area_m2(pitch_diameter_m: Any, root_diameter_m: Any) -> Any:
    """Tensile stress area of a screw (m^2), pi / 4 ((d2 + d3) / 2)^2. Source: ISO 898-1 (from memory)."""
    return np.pi / 4.0 * ((pitch_diameter_m + root_diameter_m) / 2.0) ** 2


def bolt_preload_n(stress_area_m2: Any, yield_pa: Any, share: Any) -> Any:
    """Preload of a screw tightened to a share of its yield (N). Source: common practice, no source."""
    return share * yield_pa * stress_area_m2


def tightening_torque_nm(preload_n: Any, major_diameter_m: Any, nut_factor: Any) -> Any:
    """Torque that makes a preload (N*m), K F d. Source: Shigley 9e, eq. 8-27."""
    return nut_factor * preload_n * major_diameter_m


def gyration_diameter_m(diameter_m: Any, bore_m: Any) -> Any:
    """Diameter of the full round with a tube's radius of gyration (m), sqrt(D^2 + d^2). Source: mechanics."""
    return np.sqrt(diameter_m**2 + bore_m**2)


def tube_share(diameter_m: Any, bore_m: Any) -> Any:
    """Area of a tube over the full round's with its radius of gyration, (D^2 - d^2) / (D^2 + d^2).

    Both buckle at one stress, so this is also the ratio of their buckling loads. Source: mechanics.
    """
    return (diameter_m**2 - bore_m**2) / (diameter_m**2 + bore_m**2)


def overhang_end_factor(span_m: Any, overhang_m: Any) -> Any:
    """End factor C over the overhang of a column pinned at both ends of a span and free beyond it.

    The load acts through both: tan(u) (1 / (r u) - cot(r u)) = 1, r = span / overhang, C = (u / pi)^2.
    Source: rotation of a beam-column's end under the moment that its overhang brings (own derivation).
    """
    ratio = span_m / overhang_m
    low, high = 0.0 * ratio, np.pi / np.maximum(2.0, ratio)
    for _ in range(60):  # halvings: the side grows from -1 to infinity
        middle = (low + high) / 2.0
        beyond = np.tan(middle) * (1.0 / (ratio * middle) - 1.0 / np.tan(ratio * middle)) > 1.0
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    return (low / np.pi) ** 2

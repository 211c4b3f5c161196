"""Ball screws: life, static safety, preload, speed value. Coherent SI; floats or arrays.

Efficiency both ways is that of any screw (formulas.screw) on the ball circle with its rolling friction.
"""

from __future__ import annotations

from typing import Any

import numpy as np


def merged_load_n(first_n: Any, first_turns: Any, second_n: Any, second_turns: Any) -> Any:
    """Load (N) that tires as two loads do, each over its turns: ((F1^3 n1 + F2^3 n2) / (n1 + n2))^(1/3).

    Folded over a cycle it is the cubic mean. Source: ISO 3408-5 (from memory).
    """
    # products and a root of its own: numpy's power of an array takes several times as long as they do
    sum_n3 = first_n * first_n * first_n * first_turns + second_n * second_n * second_n * second_turns
    return np.cbrt(sum_n3 / (first_turns + second_turns))


def basic_life_turns(dynamic_load_n: Any, equivalent_load_n: Any, load_factor: Any) -> Any:
    """Turns that nine of ten reach (a number), (C / (f F))^3 1e6.

    Source: ISO 3408-5 (from memory); the same law for ball bearings: ISO 281, Shigley 9e, eq. 11-3.
    """
    share = dynamic_load_n / (load_factor * equivalent_load_n)
    return share * share * share * 1e6


def dynamic_load_n(equivalent_load_n: Any, wanted_turns: Any, load_factor: Any) -> Any:
    """Dynamic load rating (N) that a life in turns asks for, f F (n / 1e6)^(1/3).

    Source: `basic_life_turns` solved for the rating; Shigley 9e, eq. 11-3.
    """
    return load_factor * equivalent_load_n * np.cbrt(wanted_turns / 1e6)


def static_safety(static_load_n: Any, highest_load_n: Any) -> Any:
    """Static safety (a number), C0 / F. Source: ISO 76 and ISO 3408-5 (from memory)."""
    return static_load_n / highest_load_n


def lift_off_n(preload_n: Any) -> Any:
    """Force at which a preloaded nut lifts off (N), 2^1.5 F. Source: ISO 3408-5 (from memory)."""
    return 2.0**1.5 * preload_n


def preloaded_load_n(force_n: Any, preload_n: Any) -> Any:
    """Load of the loaded half of a preloaded nut (N), P (1 + F / (2^1.5 P))^1.5, F itself once it lifts off.

    Source: Hertz's law of both halves, ISO 3408-5 (from memory).
    """
    lift_n = lift_off_n(preload_n)
    held = lift_n > force_n
    grown = 1.0 + force_n / np.where(held, lift_n, force_n + lift_n)
    return np.where(held, preload_n * grown * np.sqrt(grown), force_n)


def preload_torque_nm(preload_n: Any, lead_m: Any, circle_diameter_m: Any) -> Any:
    """Drag of a preloaded ball nut (N*m), 0.05 F lead / (2 pi sqrt(tan(beta))).

    Source: JIS B 1192 (from memory).
    """
    slope = lead_m / (np.pi * circle_diameter_m)
    return 0.05 * preload_n * lead_m / (2.0 * np.pi * np.sqrt(slope))


def ball_speed_m_s(circle_diameter_m: Any, speed_rad_s: Any) -> Any:
    """Ball circle times speed of rotation (m/s), d omega; makers write it d n in mm and rpm.

    Source: common practice, no source.
    """
    return circle_diameter_m * speed_rad_s

"""Temperature: parts that grow apart. Coherent SI; floats or arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def growth_m(first_per_k: Any, second_per_k: Any, length_m: Any, change_k: Any) -> Any:
    """How far two materials grow apart over a length (m), |a1 - a2| L dT.

    Source: linear thermal expansion, any text on strength of materials.
    """
    return np.abs(first_per_k - second_per_k) * length_m * change_k


def travel_deviation_m(travel_m: Any, variation_m: Any, reference_m: Any) -> Any:
    """Specified travel deviation of a transport ball screw (m), 2 (l / 300 mm) v300.

    reference_m: the 300 mm that the variation is stated for. Source: ISO 3408-3 (from memory).
    """
    return 2.0 * travel_m / reference_m * variation_m

"""Sarkar, Theory of Machines, Example 11.12 (page 298), output of a worked notebook."""

from __future__ import annotations

import pytest
from published_cases import Case

from calcs.formulas import motion

PUBLISHED = (Case("Sarkar", "example 11.12", 1, "notebook"),)


def test_inertia_of_1400_behind_3_to_1_is_felt_as_155_56() -> None:
    assert motion.reflected_inertia_kg_m2(1400.0, 3.0) == pytest.approx(155.56, abs=0.01)

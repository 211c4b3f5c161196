"""Units in names and the units that people read."""

from __future__ import annotations

import pint
import pytest

from calcs.naming import SHOWN, SUFFIXES, bare, factor, shown_unit_of, unit_of

REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("name", "unit", "short"),
    [
        ("speed_m_s", "m/s", "speed"),
        ("acceleration_m_s2", "m/s**2", "acceleration"),
        ("stiffness_n_m", "N/m", "stiffness"),
        ("torque_nm", "N*m", "torque"),
        ("torque_constant_nm_a", "N*m/A", "torque_constant"),
        ("wear_m2_n", "m**2/N", "wear"),
        ("coefficient_per_k", "1/K", "coefficient"),
        ("pv_pa_m_s", "Pa*m/s", "pv"),
        ("friction", "", "friction"),
        ("ratio", "", "ratio"),
    ],
)
def test_the_longest_suffix_counts(name: str, unit: str, short: str) -> None:
    assert unit_of(name) == unit
    assert bare(name) == short


def test_a_rated_life_is_read_in_hours() -> None:
    assert (shown_unit_of("motor_life_s"), shown_unit_of("gear_life_s")) == ("h", "h")
    assert (shown_unit_of("cycle_s"), unit_of("motor_life_s")) == ("s", "s")


@pytest.mark.parametrize("kind", sorted(SUFFIXES))
def test_every_suffix_can_be_shown(kind: str) -> None:
    assert factor(shown_unit_of(f"x{kind}"), unit_of(f"x{kind}")) > 0.0


@pytest.mark.parametrize("shown", sorted(SHOWN))
def test_factors_are_those_of_the_units(shown: str) -> None:
    one = REGISTRY.Quantity(1.0, shown).to(SHOWN[shown].si).magnitude
    assert SHOWN[shown].factor == pytest.approx(one, rel=1e-14, abs=0.0)


def test_a_unit_shows_itself_as_it_is() -> None:
    assert factor("mm", "mm") == 1.0
    assert factor("", "") == 1.0


def test_a_pair_that_does_not_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="no way to show"):
        factor("mm", "N")

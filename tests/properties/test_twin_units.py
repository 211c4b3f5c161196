"""Every formula run twice, on SI floats and on quantities with units: value and dimension must agree."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pint
import pytest

import calcs.formulas
from calcs.naming import SUFFIXES, suffix, unit_of

REGISTRY = pint.UnitRegistry()

# plausible sizes of a small drive, so that no branch of a formula is a corner case by accident
BY_SUFFIX = {
    "": 0.6,
    "_m": 0.012,
    "_m2": 3e-5,
    "_m4": 7e-11,
    "_n": 14.0,
    "_nm": 0.012,
    "_kg": 0.45,
    "_s": 0.02,
    "_m_s": 0.025,
    "_m_s2": 0.25,
    "_rad": 0.26,
    "_rad_s": 420.0,
    "_rad_s2": 1000.0,
    "_pa": 2.1e11,
    "_j": 0.01,
    "_a": 0.4,
    "_a2_s": 0.09,
    "_v": 12.0,
    "_ohm": 9.5,
    "_h": 0.0025,
    "_nm_rad": 30.0,
    "_nm_a": 0.0114,
    "_kg_m": 0.3,
    "_kg_m2": 1e-7,
    "_kg_m3": 7850.0,
    "_k_w": 36.0,
    "_c": 35.0,
    "_k": 25.0,
    "_per_k": 0.0039,
    "_n_m": 2e5,
    "_m2_n": 1e-14,
    "_pa_m_s": 6e4,
    "_m3": 1e-6,
    "_w": 1.0,
    "_nm_m3": 2400.0,
}
BY_NAME = {
    "lead_m": 0.0015,
    "pitch_diameter_m": 0.00725,
    "bore_m": 0.008,
    "friction": 0.15,
    "yield_pa": 4e8,
    "length_m": 0.09,
    "ratio": 4.0,
    "reference_c": 25.0,
    "effective_current_a": 0.1,
    "no_load_current_a": 0.015,
    "stall_current_a": 1.2,
    "turns": 10.0,
    "counts": 64.0,
    "eigenvalue": 3.9,
    "move_s": 1.0,
    "on_s": 0.008,
    "meshes": 3.0,
    "teeth": 23.0,
    "steps": 200.0,
    "torque_per_force_m": 0.0009,
    "reaction_arm_m": 0.021,
}


@cache
def formulas() -> dict[str, Callable[..., Any]]:
    found = {}
    for info in pkgutil.iter_modules(calcs.formulas.__path__):
        module = importlib.import_module(f"calcs.formulas.{info.name}")
        for name, entry in vars(module).items():
            if inspect.isfunction(entry) and entry.__module__ == module.__name__ and not name.startswith("_"):
                found[f"{info.name}.{name}"] = entry
    return found


def arguments(function: Callable[..., Any]) -> dict[str, float]:
    return {
        name: BY_NAME.get(name, BY_SUFFIX[suffix(name)]) for name in inspect.signature(function).parameters
    }


def quantity(name: str, value: Any) -> Any:
    # a temperature is a difference here: an offset unit can neither be scaled nor added
    unit = "delta_degC" if suffix(name) == "_c" else unit_of(name)
    return REGISTRY.Quantity(value, unit or "dimensionless")


def test_there_are_formulas_and_every_suffix_has_a_sample() -> None:
    assert len(formulas()) > 40
    assert set(SUFFIXES) | {""} == set(BY_SUFFIX)


@pytest.mark.parametrize("name", sorted(formulas()))
def test_with_units_a_formula_gives_the_same_value_and_the_unit_that_its_name_says(name: str) -> None:
    function = formulas()[name]
    plain = arguments(function)
    value = float(function(**plain))
    twin = function(**{key: quantity(key, number) for key, number in plain.items()})
    twin = REGISTRY.Quantity(twin) if not isinstance(twin, pint.Quantity) else twin
    wanted = quantity(name.split(".")[1], 1.0)
    assert np.isfinite(value)
    assert twin.dimensionality == wanted.dimensionality
    assert twin.to(wanted.units).magnitude == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("name", sorted(formulas()))
def test_arrays_give_what_one_by_one_gives(name: str) -> None:
    function = formulas()[name]
    random = np.random.default_rng(7)
    columns = {key: value * random.uniform(0.7, 1.3, 25) for key, value in arguments(function).items()}
    together = function(**columns)
    alone = [float(function(**{key: column[i] for key, column in columns.items()})) for i in range(25)]
    assert np.allclose(together, alone, rtol=1e-14, atol=0.0)


@pytest.mark.parametrize("name", sorted(formulas()))
def test_docstrings_name_the_unit_and_a_source(name: str) -> None:
    text = inspect.getdoc(formulas()[name]) or ""
    assert "Source:" in text

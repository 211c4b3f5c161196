"""Materials by name, each with its source."""

from __future__ import annotations

import pytest

from calcs.materials import material, materials


@pytest.mark.parametrize(
    ("name", "density"),
    [("steel", 7850.0), ("Stainless", 8000.0), ("ALUMINUM", 2700.0), (" pom ", 1410.0), ("brass", 8545.0)],
)
def test_a_material_is_found_by_any_of_its_names(name: str, density: float) -> None:
    found = material(name)
    assert found is not None
    assert found.density_kg_m3 == density


def test_an_unknown_material_is_not_guessed() -> None:
    assert material("unobtainium") is None


def test_names_are_unique_and_sources_are_there() -> None:
    names = [name.casefold() for m in materials() for name in (m.name, *m.also)]
    assert len(names) == len(set(names))
    assert all(m.source for m in materials())
    assert all(500.0 < m.density_kg_m3 < 20000.0 for m in materials())


def test_steel_of_the_demo() -> None:
    steel = material("steel")
    assert steel is not None
    assert steel.elastic_modulus_pa == 206e9
    assert not steel.plastic

"""Materials by name, read from materials.toml with their sources."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True)
class Material:
    """A material: density (kg/m3), elastic modulus (Pa) and expansion (1/K) where a source has them."""

    name: str
    also: tuple[str, ...]
    density_kg_m3: float
    elastic_modulus_pa: float | None
    expansion_per_k: float | None
    plastic: bool
    source: str


@cache
def materials() -> tuple[Material, ...]:
    """Every material that is known, in the order of the file (SI). Source: each material's own."""
    text = resources.files("calcs").joinpath("materials.toml").read_text(encoding="utf-8")
    return tuple(
        Material(
            name=row["name"],
            also=tuple(row.get("also", ())),
            density_kg_m3=float(row["density"]),
            elastic_modulus_pa=row.get("elastic_modulus"),
            expansion_per_k=row.get("expansion"),
            plastic=row.get("plastic", False),
            source=row["source"],
        )
        for row in tomllib.loads(text)["material"]
    )


def material(name: str) -> Material | None:
    """Find a material by its name or one of its other names, whatever the case; None when it is not known."""
    wanted = name.strip().casefold()
    return next((m for m in materials() if wanted in (n.casefold() for n in (m.name, *m.also))), None)

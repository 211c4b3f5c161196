"""Materials by name, read from materials.toml with their sources."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple


class Sliding(NamedTuple):
    """What tables allow a material as a bearing: pressure low and high, pv, speed, temperature."""

    pressure_pa: tuple[float, float]
    pv_pa_m_s: float | None
    speed_m_s: float | None
    hottest_c: float
    softens: bool
    source: str

    def __str__(self) -> str:
        """Give its source, for the report."""
        return self.source


class Material(NamedTuple):
    """A material: density (kg/m3), elastic modulus (Pa) and expansion (1/K) where a source has them."""

    name: str
    also: tuple[str, ...]
    density_kg_m3: float
    elastic_modulus_pa: float | None
    expansion_per_k: float | None
    plastic: bool
    source: str
    sliding: Sliding | None


@cache
def materials() -> tuple[Material, ...]:
    """Every material that is known, in the order of the file (SI). Source: each material's own."""
    text = Path(__file__).with_name("materials.toml").read_text(encoding="utf-8")
    return tuple(
        Material(
            name=row["name"],
            also=tuple(row.get("also", ())),
            density_kg_m3=float(row["density"]),
            elastic_modulus_pa=row.get("elastic_modulus"),
            expansion_per_k=row.get("expansion"),
            plastic=row.get("plastic", False),
            source=row["source"],
            sliding=_sliding(row),
        )
        for row in tomllib.loads(text)["material"]
    )


def _sliding(row: Mapping[str, Any]) -> Sliding | None:
    found = row.get("sliding")
    if found is None:
        return None
    low, high = found["pressure"]
    return Sliding(
        pressure_pa=(low, high),
        pv_pa_m_s=found.get("pv"),
        speed_m_s=found.get("speed"),
        hottest_c=found["hottest"],
        softens=row.get("plastic", False),
        source=found["source"],
    )


def nearest_material(name: str) -> str:
    """Name the material that an unknown name most likely means, "" for none: its own words first."""
    typed = name.casefold()
    known = {n.casefold(): m.name for m in materials() for n in (m.name, *m.also)}
    if inside := [n for n in known if n in typed]:
        return known[max(inside, key=len)]
    near = get_close_matches(typed, known, 1)
    return known[near[0]] if near else ""


def material(name: str) -> Material | None:
    """Find a material by its name or one of its other names, whatever the case; None when it is not known."""
    wanted = name.strip().casefold()
    return next((m for m in materials() if wanted in (n.casefold() for n in (m.name, *m.also))), None)

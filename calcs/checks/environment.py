"""Temperature, lubricant, seals, vibration."""

from __future__ import annotations

import math

from calcs.case import LoadCase
from calcs.cautions import VIBRATION
from calcs.check import check, derived
from calcs.finding import ROUNDING, Finding, at_least, at_most, digits, info
from calcs.formulas import environment
from calcs.materials import material
from geometry.units import Band

EXPANSION = "linear thermal expansion; coefficients: strokebox known materials"
COLD_C = 0.0
COLD_TIMES = (2, 5)  # how far seals and grease stiffen below 0 degC; common practice, no source


@derived("thermal.material", "thermal.against")
def expansions_per_k(housing_material: str, held_material: str) -> tuple[float, float] | None:
    """Expansion of the housing and of what it holds (1/K)."""
    found = [material(name) for name in (housing_material, held_material)]
    known = [one.expansion_per_k for one in found if one is not None and one.expansion_per_k is not None]
    return (known[0], known[1]) if len(known) == 2 else None


@check(
    "environment.growth",
    unit="m",
    shown="um",
    formula="|a1 - a2| L dT",
    source=EXPANSION,
    limit="allowed_growth_m",
    asked_by=("thermal.allowed",),
)
def growth(
    expansions_per_k: tuple[float, float],
    joined_length_m: float,
    temperature_change_k: float,
    housing_material: str,
    held_material: str,
    limit: float | None = None,
) -> Finding:
    """How far housing and what it holds grow apart over their length."""
    value = float(environment.growth_m(*expansions_per_k, joined_length_m, temperature_change_k))
    note = f"{housing_material} against {held_material}, {temperature_change_k:g} K"
    return at_most(value, limit, note=note, remedy="materials that grow alike, or one end left free")


def _rounded_up(number: float) -> str:
    """Write a number with three digits that is not below it."""
    if number <= 0.0:
        return digits(number)
    step = 10.0 ** (math.floor(math.log10(number)) - 2)
    return digits(math.ceil(number / step - ROUNDING) * step)


@check(
    "environment.fit",
    unit="m",
    shown="um",
    formula="play - |a1 - a2| D dT >= 0",
    source=EXPANSION,
    limit=0.0,
    margin_kind="difference",
    asked_by=("thermal.play",),
)
def fit(
    expansions_per_k: tuple[float, float],
    fit_diameter_m: float,
    fit_play_m: float,
    temperature_change_k: float,
    limit: float = 0.0,
) -> Finding:
    """Play that is left of a fit at the worst temperature."""
    lost = float(environment.growth_m(*expansions_per_k, fit_diameter_m, temperature_change_k))
    end = "cold" if expansions_per_k[0] > expansions_per_k[1] else "hot"
    note = f"{digits(lost * 1e6)} um go at the {end} end, as much is gained at the other"
    left = 0.0 if math.isclose(fit_play_m, lost, rel_tol=ROUNDING) else fit_play_m - lost
    return at_least(left, limit, note=note, remedy=f"thermal.play of {_rounded_up((limit + lost) * 1e6)} um")


@check(
    "environment.lubricant",
    unit="degC",
    formula="coldest - T_low, T_high - hottest",
    source="the lubricant's own range",
    limit=0.0,
    margin_kind="difference",
    asked_by=("nut.lubricant",),
)
def lubricant(
    lubricant_c: Band, hottest_ambient_c: float, coldest_ambient_c: float, limit: float = 0.0
) -> Finding:
    """Ambient within the range of the lubricant, the smaller room of both ends."""
    room = min(coldest_ambient_c - lubricant_c.low, lubricant_c.high - hottest_ambient_c)
    note = (
        f"{coldest_ambient_c:g} to {hottest_ambient_c:g} degC in {lubricant_c.low:g} to {lubricant_c.high:g}"
    )
    return at_least(room, limit, note=note, remedy="another lubricant")


@check(
    "environment.seal_drag",
    unit="N",
    formula="drag of seals and wipers, part of every force",
    source="the seal's own; stiffer in the cold: common practice, no source",
    margin_kind="none",
)
def seal_drag(guide_drag_n: float, steady_force_n: Band, coldest_ambient_c: float) -> Finding:
    """Drag of seals, and its share of the steady force."""
    share = 100.0 * guide_drag_n / steady_force_n.nominal if steady_force_n.nominal > 0.0 else 0.0
    note = f"{share:.0f} % of the steady force"
    if coldest_ambient_c >= COLD_C:
        return info(guide_drag_n, note)
    low, high = COLD_TIMES
    words = f"Below 0 degC grease and seals drag {low} to {high} times as much: measure the cold start"
    return info(guide_drag_n, note, cautions=(words,))


@check(
    "environment.vibration",
    formula="none: no calculation proves it",
    source="common practice, no source",
    margin_kind="none",
)
def vibration(load_cases: tuple[LoadCase, ...]) -> Finding:
    """Vibration that is stated: what friction holds, and screws, may loosen."""
    stated = [f"{case.name}: {case.vibration}" for case in load_cases if case.vibration]
    if not stated:
        return info(None, "none is stated")
    remedy = "test it, with a brake or detent for the load and locked screws"
    return Finding(None, "NOT PROVEN", note="; ".join(stated), cautions=(VIBRATION,), remedy=remedy)

"""The sliding nut: pressure, pv, wear as a range."""

from __future__ import annotations

import math

from calcs.check import check, derived
from calcs.finding import Finding, at_most, digits
from calcs.formulas import nut, screw
from calcs.materials import material
from geometry.units import Band

PRESSURE = "Shigley 9e, eq. 8-10; the share of the flank that carries: common practice, no source"


@derived()
def turns(nut_length_m: float, pitch_m: float) -> float:
    """Thread turns of the nut."""
    return float(nut.engaged_turns(nut_length_m, pitch_m))


@derived()
def nut_pressure_pa(
    peak_force_n: Band,
    pitch_diameter_m: float,
    flank_height_m: float,
    turns: float,
    area_factor: float = 1.0,
    nut_spring_n: float = 0.0,
) -> float:
    """Pressure on the flanks at the highest force, the spring of a nut in two halves on top (Pa)."""
    thread = (pitch_diameter_m, flank_height_m, turns, area_factor)
    return float(nut.thread_pressure_pa(peak_force_n.high + nut_spring_n, *thread))


@derived()
def sliding_m_s(speed_m_s: float, lead_m: float, pitch_diameter_m: float) -> float:
    """Sliding speed along the helix (m/s)."""
    return float(screw.sliding_speed_m_s(speed_m_s, lead_m, pitch_diameter_m))


@check(
    "life.pressure",
    unless="no_sliding",
    unit="Pa",
    shown="MPa",
    formula="p = (F + F_spring) / (pi d2 H1 z f)",
    source=PRESSURE,
    limit="pressure_limit_pa",
    asked_by=("nut.pressure_limit",),
)
def pressure(
    nut_pressure_pa: float,
    turns: float,
    area_factor: float | None = None,
    nut_material: str = "",
    limit: float | None = None,
) -> Finding:
    """Pressure on the nut's flanks at the highest force."""
    known = material(nut_material)
    note = "no nut.area_factor: the whole flank is counted"
    if known is None or known.plastic:
        note += "; a plastic nut carries on 0.25 to 0.75 of it"
    needed = "" if limit is None else f"a nut {nut_pressure_pa / limit:.2f} times as long"
    return at_most(nut_pressure_pa, limit, remedy=needed, note=note if area_factor is None else "")


@check(
    "life.pv",
    unless="no_sliding",
    unit="Pa*m/s",
    shown="MPa*m/s",
    formula="pv = p pi d2 n / cos(lambda)",
    source=f"{PRESSURE}; pv limits depend on maker and test",
    limit="pv_limit_pa_m_s",
    asked_by=("nut.pv_limit",),
)
def pv(nut_pressure_pa: float, sliding_m_s: float, limit: float | None = None) -> Finding:
    """Pressure times sliding speed of the nut."""
    value = float(nut.pressure_velocity_pa_m_s(nut_pressure_pa, sliding_m_s))
    needed = "" if limit is None else f"a nut {value / limit:.2f} times as long, or that much less speed"
    return at_most(
        value, limit, remedy=needed, note=f"sliding at {digits(sliding_m_s)} m/s, counted without rests"
    )


@check(
    "life.wear",
    unless="no_sliding",
    unit="m",
    shown="mm",
    formula="h = k p s / cos(alpha), p of the mean force on the whole flank, s along the helix",
    source="Archard's wear law (from memory); coefficients scatter by a decade",
    limit="wear_limit_m",
    asked_by=("nut.wear_limit",),
)
def wear(
    wear_coefficient_m2_n: Band,
    wearing_force_n: float,
    cycles: int,
    usable_low_m: float,
    usable_high_m: float,
    pitch_diameter_m: float,
    lead_m: float,
    flank_height_m: float,
    flank_angle_rad: float,
    turns: float,
    nut_spring_n: float = 0.0,
    limit: float | None = None,
) -> Finding:
    """Axial wear of the nut over its life, as a range."""
    force = wearing_force_n + nut_spring_n
    pressure_pa = nut.thread_pressure_pa(force, pitch_diameter_m, flank_height_m, turns, 1.0)
    way = 2.0 * cycles * (usable_high_m - usable_low_m)
    slid = way * screw.sliding_share(lead_m, pitch_diameter_m)
    low, _, high = wear_coefficient_m2_n
    spread = Band(low, math.sqrt(low * high), high)  # a coefficient known to a decade: its geometric middle
    value = Band(
        *(float(nut.axial_wear_m(nut.wear_depth_m(k, pressure_pa, slid), flank_angle_rad)) for k in spread)
    )
    words = f"{digits(force)} N on average, {digits(way / 1e3)} km of travel, "
    words += f"{slid / 1e3:.0f} km along the helix"
    if limit is None:
        return at_most(value, limit, note=words)
    if value.low > limit:
        remedy = f"at most {digits(cycles * limit / value.low)} cycles even at the best, or a longer nut"
        return at_most(value, limit, note=words, remedy=remedy)
    remedy = "test it, or plan to measure the play"
    if value.high > limit:
        remedy += f"; even the high end keeps to the limit up to {digits(cycles * limit / value.high)} cycles"
    return Finding(value, "NOT PROVEN", limit, value.high, "at most", remedy=remedy, note=words)

"""The loaded thread turn by turn: pressure, bending, shear, and all of it together; slenderness."""

from __future__ import annotations

from calcs.check import check, derived
from calcs.checks.strength import STRESS_FACTOR
from calcs.finding import Finding, at_most, digits, info
from calcs.formulas import gearing, nut, strength
from calcs.materials import material
from geometry.units import Band

UNEVEN = "first turn k = 0.38 of the load: Shigley 9e, section 8-2; plastics share evenly: common practice"
STRAIGHT, ASK = (
    40.0,
    50.0,
)  # length over diameter: normal up to, to be asked up to; common practice, no source


@derived()
def turn_share(turns: float, nut_material: str = "") -> float:
    """Share of the force on the turn that carries most: evenly shared in a plastic nut."""
    known = material(nut_material)
    if known is not None and known.plastic:
        return 1.0 / turns
    return float(nut.first_turn_force_n(1.0, turns))


@derived()
def highest_force_n(highest_push_n: float, impact_n: Band | None = None) -> float:
    """The highest force of all (N): work, stalled motor, or the impact at a stop."""
    return max(highest_push_n, impact_n.high if impact_n is not None else 0.0)


@check(
    "strength.first_turn_pressure",
    unless="no_sliding",
    unit="Pa",
    shown="MPa",
    formula="p = k (F + F_spring) / (pi d2 H1 f)",
    source=UNEVEN,
    limit="pressure_limit_pa",
    asked_by=("nut.pressure_limit",),
)
def first_turn_pressure(
    peak_force_n: Band,
    turn_share: float,
    pitch_diameter_m: float,
    flank_height_m: float,
    area_factor: float = 1.0,
    nut_spring_n: float = 0.0,
    limit: float | None = None,
) -> Finding:
    """Pressure on the flank of the turn that carries most, the spring of a nut in two halves on top."""
    force = turn_share * (peak_force_n.high + nut_spring_n)
    value = float(nut.thread_pressure_pa(force, pitch_diameter_m, flank_height_m, 1.0, area_factor))
    return at_most(value, limit, note=_share(turn_share), remedy="a larger thread or a softer nut")


@check(
    "strength.first_turn_bending",
    unless="no_sliding",
    unit="Pa",
    shown="MPa",
    formula="sigma = 6 k F / (pi d3 p)",
    source=f"Shigley 9e, eq. 8-11; {UNEVEN}",
    asked_by=("screw.strength",),
)
def first_turn_bending(
    turn_bending_pa: float, turn_share: float, screw_yield_pa: float, limit: float | None = None
) -> Finding:
    """Bending at the root of the turn that carries most, stalled motor, against a third of its yield."""
    limit = screw_yield_pa / STRESS_FACTOR if limit is None else limit
    return at_most(turn_bending_pa, limit, note=_share(turn_share), remedy="a thicker screw")


@derived()
def turn_bending_pa(
    highest_push_n: float, turn_share: float, root_diameter_m: float, pitch_m: float
) -> float:
    """Bending at the root of the turn that carries most (Pa)."""
    return float(nut.thread_bending_pa(turn_share * highest_push_n, root_diameter_m, 1.0, pitch_m))


@check(
    "strength.thread_shear",
    unless="no_sliding",
    unit="Pa",
    shown="MPa",
    formula="tau = 3 k F / (pi d3 p)",
    source=f"Shigley 9e, section 8-2 (3 V / 2A) and eq. 5-21; {UNEVEN}",
    asked_by=("screw.strength",),
)
def thread_shear(
    highest_push_n: float,
    turn_share: float,
    root_diameter_m: float,
    pitch_m: float,
    screw_yield_pa: float,
    limit: float | None = None,
) -> Finding:
    """Shear at the root of the screw's thread, stalled motor, against a third of its yield in shear."""
    value = float(nut.thread_shear_pa(turn_share * highest_push_n, root_diameter_m, 1.0, pitch_m))
    limit = float(strength.shear_yield_pa(screw_yield_pa)) / STRESS_FACTOR if limit is None else limit
    return at_most(value, limit, note=_share(turn_share), remedy="a thicker screw or a coarser thread")


@check(
    "strength.nut_shear",
    unless="no_sliding",
    unit="Pa",
    shown="MPa",
    formula="tau = 3 k F_max / (pi d p)",
    source=f"Shigley 9e, section 8-2 (3 V / 2A) and eq. 5-21; {UNEVEN}",
    asked_by=("nut.strength",),
)
def nut_shear(
    highest_force_n: float,
    highest_push_n: float,
    turn_share: float,
    major_diameter_m: float,
    pitch_m: float,
    nut_yield_pa: float,
    limit: float | None = None,
) -> Finding:
    """Shear at the root of the nut's thread, highest force, against a third of its yield in shear."""
    value, pushed = (
        float(nut.thread_shear_pa(turn_share * force, major_diameter_m, 1.0, pitch_m))
        for force in (highest_force_n, highest_push_n)
    )
    limit = float(strength.shear_yield_pa(nut_yield_pa)) / STRESS_FACTOR if limit is None else limit
    remedy = "a stronger nut, a larger thread" + (", or a softer stop" if pushed <= limit else "")
    return at_most(value, limit, note=_share(turn_share), remedy=remedy)


@check(
    "strength.thread_combined",
    unless="no_sliding",
    unit="Pa",
    shown="MPa",
    formula="sqrt(sb^2 + sb sa + sa^2 + 3 tau^2), sb bending, sa axial, tau torsion",
    source=f"Shigley 9e, eq. 5-14 as in example 8-1; {UNEVEN}; factor 3: common practice, no source",
    asked_by=("screw.strength",),
)
def thread_combined(
    turn_bending_pa: float,
    highest_push_n: float,
    peak_force_n: Band,
    stall_torque_nm: float,
    ratio: float,
    gear_efficiency: Band,
    root_diameter_m: float,
    screw_yield_pa: float,
    limit: float | None = None,
) -> Finding:
    """Bending, compression and torsion together at the root of the thread, stalled motor."""
    torque = gearing.output_torque_nm(stall_torque_nm, ratio, gear_efficiency.high)
    axial = strength.axial_stress_pa(highest_push_n, root_diameter_m)
    torsion = strength.torsion_stress_pa(torque, root_diameter_m)
    value = float(strength.thread_root_stress_pa(turn_bending_pa, axial, torsion))
    parts = {"bending": turn_bending_pa, "axial": axial, "torsion": torsion}
    note = f"{', '.join(f'{name} {digits(stress / 1e6)}' for name, stress in parts.items())} MPa"
    limit = screw_yield_pa / STRESS_FACTOR if limit is None else limit
    remedy = "a thicker screw" + (" or a supply.current_limit" if highest_push_n > peak_force_n.high else "")
    return at_most(value, limit, note=note, remedy=remedy)


@check(
    "strength.slenderness",
    formula="L / d",
    source="40 normal, up to 50 to be asked, above it a support: common practice, no source",
    limit=STRAIGHT,
    asked_by=("ends.near",),
)
def slenderness(
    near_bearing_m: float,
    screw_end_m: float,
    major_diameter_m: float,
    far_bearing_m: float | None = None,
    travelling_part: str = "nut",
    limit: float = STRAIGHT,
) -> Finding:
    """Unsupported length of the screw over its diameter."""
    if travelling_part == "screw":
        return info(None, "the screw travels: see strength.drawn_out")
    far = screw_end_m if far_bearing_m is None else far_bearing_m
    value = (far - near_bearing_m) / major_diameter_m
    remedy = "a thicker screw, a support along it or a shorter one"
    return at_most(value, limit, fail_above=limit * ASK / STRAIGHT, remedy=remedy)


def _share(share: float) -> str:
    return f"{share:.2f} of the force on the turn that carries most"

"""The screw as column and shaft: buckling, critical speed, stress under the stalled motor."""

from __future__ import annotations

import math

from calcs.check import check, derived
from calcs.finding import Finding, at_least, at_most, digits, info, not_checked
from calcs.formulas import gearing, nut, strength
from calcs.materials import material
from geometry.units import Band

# Euler's end factor: Shigley 9e, table 4-2; fixed-supported is the exact value, handbooks round to 2
END_FACTORS = {
    ("fixed", "free"): 0.25,
    ("supported", "supported"): 1.0,
    ("fixed", "supported"): 2.0457,
    ("fixed", "fixed"): 4.0,
}
# first eigenvalue of a beam: Blevins, Formulas for Natural Frequency and Mode Shape (from memory)
EIGENVALUES = {
    ("fixed", "free"): 1.8751,
    ("supported", "supported"): math.pi,
    ("fixed", "supported"): 3.9266,
    ("fixed", "fixed"): 4.7300,
}
BUCKLING_FACTOR = 3.0  # common practice, no source
SPEED_SHARE = 0.8  # allowed share of the critical speed, applied once; common practice, no source
STRESS_FACTOR = 3.0  # yield over stress under the stalled motor; common practice, no source
CARRIED = "the screw turns and goes along with its drive: what holds it where is not modelled here"
SLENDER = 100.0  # below it Euler's load needs the yield strength beside it; common practice, no source


def _ends(one: str, other: str, table: dict[tuple[str, str], float]) -> float | None:
    return table.get((one, other)) or table.get((other, one))


@derived("screw.material")
def screw_modulus_pa(screw_material: str) -> float | None:
    """Elastic modulus of the screw's material (Pa)."""
    found = material(screw_material)
    return None if found is None else found.elastic_modulus_pa


@derived("screw.material")
def screw_density_kg_m3(screw_material: str) -> float | None:
    """Density of the screw's material (kg/m3)."""
    found = material(screw_material)
    return None if found is None else found.density_kg_m3


@derived()
def highest_push_n(peak_force_n: Band, stall_push_n: Band | None = None) -> float:
    """The highest push that the screw can see without impact (N): of the work, or of the stalled motor."""
    return peak_force_n.high if stall_push_n is None else max(peak_force_n.high, stall_push_n.high)


def column_load_n(
    modulus_pa: float, yield_pa: float | None, diameter_m: float, length_m: float, end_factor: float
) -> float:
    """Buckling load of a round (N), by Euler where no yield is known: the caller sees that it is slender."""
    column = (diameter_m, length_m, end_factor)
    if yield_pa is None:
        return float(strength.euler_load_n(modulus_pa, *column))
    return float(strength.buckling_load_n(modulus_pa, yield_pa, *column))


@check(
    "strength.buckling",
    unless="no_column",
    unit="N",
    asked_by=("ends.near",),
    formula="F = C pi^2 E I / L^2 (Euler), below the transition slenderness Johnson's load",
    source="Shigley 9e, sections 4-12 and 4-13; factor 3: common practice, no source",
)
def buckling(
    near_end: str,
    nut_end: str,
    near_bearing_m: float,
    nut_position_m: float,
    nut_length_m: float,
    travel_high_m: float,
    root_diameter_m: float,
    screw_modulus_pa: float,
    highest_push_n: float,
    screw_yield_pa: float | None = None,
    limit: float | None = None,
) -> Finding:
    """Buckling load of the screw at the farthest nut against three times the highest push."""
    factor = _ends(near_end, nut_end, END_FACTORS)
    if factor is None:
        return not_checked(f"{near_end} and {nut_end} ends hold no column", "another ends.near or ends.nut")
    length = nut_position_m + nut_length_m + travel_high_m - near_bearing_m
    held = f"{near_end}-{nut_end} over {length * 1e3:.4g} mm"
    column = (screw_modulus_pa, screw_yield_pa, root_diameter_m, length, factor)
    remedy = "a thicker screw, a shorter one, or a nut end that holds it"
    return _column(held, *column, BUCKLING_FACTOR * highest_push_n if limit is None else limit, remedy)


def _column(
    held: str,
    modulus_pa: float,
    yield_pa: float | None,
    diameter_m: float,
    length_m: float,
    end_factor: float,
    limit: float,
    remedy: str,
) -> Finding:
    slender = float(strength.slenderness(length_m, diameter_m, end_factor))
    note = f"{held}, slenderness {slender:.0f}, on the root diameter"
    if yield_pa is None and slender < SLENDER:
        return not_checked(f"{note}: so stocky a screw needs screw.strength", 'screw.strength = "350 MPa"')
    load = column_load_n(modulus_pa, yield_pa, diameter_m, length_m, end_factor)
    return at_least(load, limit, note=note, remedy=remedy)


@check(
    "strength.drawn_out",
    unless="no_drawn_out",
    unit="N",
    asked_by=("motion.travels",),
    formula="F = C pi^2 E I / L^2 (Euler), below the transition slenderness Johnson's load",
    source="Shigley 9e, sections 4-12 and 4-13; factor 3: common practice, no source",
)
def drawn_out(
    nut_end: str,
    screw_end_m: float,
    nut_position_m: float,
    nut_length_m: float,
    travel_high_m: float,
    root_diameter_m: float,
    screw_modulus_pa: float,
    highest_push_n: float,
    turning_part: str = "screw",
    screw_yield_pa: float | None = None,
    limit: float | None = None,
) -> Finding:
    """Buckling load of a travelling screw beyond its nut, its end free, against three times the push."""
    if turning_part == "screw":
        return not_checked(CARRIED, "have the column calculated")
    length = screw_end_m + travel_high_m - nut_position_m - nut_length_m
    if length <= 0.0:
        return info(None, "the screw never comes out of the nut's far face")
    factor = _ends(nut_end, "free", END_FACTORS)
    if factor is None:
        return not_checked(f"a {nut_end} nut and a free end hold no column", 'ends.nut = "fixed"')
    held = f"{nut_end}-free, {length * 1e3:.4g} mm beyond the nut"
    column = (screw_modulus_pa, screw_yield_pa, root_diameter_m, length, factor)
    remedy = "a thicker screw, a shorter one, or a guide at its end"
    return _column(held, *column, BUCKLING_FACTOR * highest_push_n if limit is None else limit, remedy)


@check(
    "strength.critical_speed",
    unless="no_whirl",
    unit="rad/s",
    shown="rpm",
    asked_by=("ends.near",),
    formula="omega <= 0.8 (beta / L)^2 sqrt(E / rho) d3 / 4",
    source="Euler-Bernoulli beam, eigenvalues: Blevins (from memory); 0.8 once: common practice, no source",
)
def critical_speed(
    near_end: str,
    far_end: str,
    near_bearing_m: float,
    screw_end_m: float,
    root_diameter_m: float,
    screw_modulus_pa: float,
    screw_density_kg_m3: float,
    screw_speed_rad_s: float,
    far_bearing_m: float | None = None,
    travelling_part: str = "nut",
    limit: float | None = None,
) -> Finding:
    """Screw speed against 0.8 of its critical speed."""
    if travelling_part == "screw":
        return not_checked(CARRIED, "have its critical speed calculated")
    eigenvalue = _ends(near_end, far_end, EIGENVALUES)
    if eigenvalue is None:
        return not_checked(f"a {near_end}-{far_end} screw is not held", "another ends.near or ends.far")
    if far_bearing_m is None and far_end != "free":
        return not_checked("the far bearing has no place", "give ends.far_bearing")
    far = screw_end_m if far_bearing_m is None or far_end == "free" else far_bearing_m
    length = far - near_bearing_m
    bar = (screw_modulus_pa, screw_density_kg_m3, root_diameter_m, length, eigenvalue)
    critical = float(strength.critical_speed_rad_s(*bar))
    allowed = SPEED_SHARE * critical if limit is None else limit
    shorter = length * math.sqrt(allowed / screw_speed_rad_s)
    bearing = "a bearing at the far end, " if far_end == "free" else ""
    return at_most(
        screw_speed_rad_s,
        allowed,
        note=f"{near_end}-{far_end}, {length * 1e3:.4g} mm: critical at {critical * 30 / math.pi:.0f} rpm",
        remedy=f"{bearing}an unsupported length of {digits(shorter * 1e3)} mm, "
        "a lower speed or a longer lead",
    )


@check(
    "strength.body_stress",
    unit="Pa",
    shown="MPa",
    formula="sqrt(sigma^2 + 3 tau^2), sigma = 4 F / (pi d3^2), tau = 16 T / (pi d3^3)",
    source="Shigley 9e, eq. 8-7, 8-8 and 5-15; factor 3: common practice, no source",
    asked_by=("screw.strength",),
)
def body_stress(
    highest_push_n: float,
    stall_torque_nm: float,
    ratio: float,
    gear_efficiency: Band,
    root_diameter_m: float,
    screw_yield_pa: float,
    limit: float | None = None,
) -> Finding:
    """Stress in the screw's body under the stalled motor, against a third of its yield."""
    torque = gearing.output_torque_nm(stall_torque_nm, ratio, gear_efficiency.high)
    axial = strength.axial_stress_pa(highest_push_n, root_diameter_m)
    stress = float(strength.body_stress_pa(axial, strength.torsion_stress_pa(torque, root_diameter_m)))
    return at_most(
        stress, screw_yield_pa / STRESS_FACTOR if limit is None else limit, remedy="a thicker screw"
    )


@check(
    "strength.thread_root",
    unless="no_sliding",
    unit="Pa",
    shown="MPa",
    formula="6 F / (pi d3 z p)",
    source="Shigley 9e, eq. 8-11 (square thread: on the high side); factor 3: common practice, no source",
    asked_by=("screw.strength",),
)
def thread_root(
    highest_push_n: float,
    root_diameter_m: float,
    turns: float,
    pitch_m: float,
    screw_yield_pa: float,
    limit: float | None = None,
) -> Finding:
    """Bending at the root of the screw's thread under the stalled motor, against a third of its yield."""
    stress = float(nut.thread_bending_pa(highest_push_n, root_diameter_m, turns, pitch_m))
    return at_most(stress, screw_yield_pa / STRESS_FACTOR if limit is None else limit, remedy="a longer nut")

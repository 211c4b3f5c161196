"""The push rod: as a column beyond its bush, and the play at its tip."""

from __future__ import annotations

from calcs.check import check, derived
from calcs.checks.strength import BUCKLING_FACTOR, SLENDER, column_load_n
from calcs.finding import Finding, at_least, digits, info, not_checked
from calcs.formulas import strength
from calcs.materials import material

FIXED_FREE = 0.25  # Euler's end factor: Shigley 9e, table 4-2
LEFT_OUT = "Not checked: a load across the rod, its bending, the wear of its bush"


@derived("push_rod.material")
def rod_modulus_pa(rod_material: str) -> float | None:
    """Elastic modulus of the push rod's material (Pa)."""
    found = material(rod_material)
    return None if found is None else found.elastic_modulus_pa


@derived("nut.position")
def rod_near_m(
    screw_end_m: float,
    nut_position_m: float | None = None,
    nut_length_m: float = 0.0,
    travelling_part: str = "nut",
) -> float | None:
    """Where a push rod begins at s = 0 (m): the nut's far face, or the end of a travelling screw."""
    if travelling_part == "screw":
        return screw_end_m
    return None if nut_position_m is None else nut_position_m + nut_length_m


@derived("nut.position")
def rod_span_m(
    rod_near_m: float,
    bush_position_m: float,
    bush_length_m: float,
    travel_high_m: float,
    nut_position_m: float | None = None,
    nut_length_m: float = 0.0,
    travelling_part: str = "nut",
) -> float | None:
    """Length from the nut to the middle of the rod's bush at the extended end (m)."""
    middle = bush_position_m + bush_length_m / 2.0
    if travelling_part == "nut":
        return middle - rod_near_m - travel_high_m
    return None if nut_position_m is None else middle - nut_position_m - nut_length_m


@derived()
def rod_overhang_m(
    rod_near_m: float,
    rod_length_m: float,
    travel_high_m: float,
    bush_position_m: float | None = None,
    bush_length_m: float | None = None,
) -> float:
    """Length from the bush's middle to the rod's tip at the extended end (m), without a bush all of it."""
    if bush_position_m is None or bush_length_m is None:
        return rod_length_m
    return rod_near_m + rod_length_m + travel_high_m - bush_position_m - bush_length_m / 2.0


@check(
    "strength.rod_buckling",
    unless="no_rod",
    unit="N",
    asked_by=("push_rod",),
    formula="F = C pi^2 E I / L^2 (Euler), below the transition slenderness Johnson's load",
    source="Shigley 9e, sections 4-12 and 4-13; C of an overhang: own derivation; factor 3: common practice",
)
def rod_buckling(
    rod_overhang_m: float,
    rod_diameter_m: float,
    rod_modulus_pa: float,
    highest_push_n: float,
    root_diameter_m: float,
    screw_modulus_pa: float,
    rod_span_m: float | None = None,
    rod_bore_m: float = 0.0,
    travelling_part: str = "nut",
    rod_yield_pa: float | None = None,
    screw_yield_pa: float | None = None,
    limit: float | None = None,
) -> Finding:
    """Buckling load of the push rod drawn out against three times the highest push."""
    span, overhang = rod_span_m, rod_overhang_m
    if overhang <= 0.0 or (span is not None and span <= 0.0):
        return not_checked("the rod does not reach from the nut through its bush", "a longer push_rod.length")
    factor, note = FIXED_FREE, f"held by the nut alone, {overhang * 1e3:.4g} mm free"
    if span is not None:
        factor = float(strength.overhang_end_factor(span, overhang))
        note = f"pinned at the nut and {span * 1e3:.4g} mm on in the bush, {overhang * 1e3:.4g} mm beyond it"
    sections = [(rod_diameter_m, rod_bore_m, rod_modulus_pa, rod_yield_pa, "push_rod.strength")]
    if travelling_part == "screw":  # screw and rod are one column, taken to be the weaker of both throughout
        sections.append((root_diameter_m, 0.0, screw_modulus_pa, screw_yield_pa, "screw.strength"))
        note += "; with the screw behind it, on the weaker section of both"
    loads = []
    for outer, bore, modulus, strong, field in sections:
        round_m = float(strength.gyration_diameter_m(outer, bore))
        slender = float(strength.slenderness(overhang, round_m, factor))
        if strong is None and slender < SLENDER:
            return not_checked(
                f"{note}: slenderness {slender:.0f}, so stocky a rod needs {field}", f'{field} = "350 MPa"'
            )
        load = column_load_n(modulus, strong, round_m, overhang, factor)
        loads.append((load * float(strength.tube_share(outer, bore)), slender))
    load, slender = min(loads)
    limit = BUCKLING_FACTOR * highest_push_n if limit is None else limit
    return at_least(
        load,
        limit,
        note=f"{note}, slenderness {slender:.0f}",
        remedy="a thicker rod, a shorter one, or a bush further out",
        cautions=(LEFT_OUT,),
    )


@check(
    "guide.rod_play",
    unless="no_rod",
    unit="m",
    shown="mm",
    margin_kind="none",
    formula="(D_bush - d) / 2 (a + b) / a, a from nut to bush, b from bush to tip",
    source="similar triangles; the rod pivots in the nut",
)
def rod_play(rod_span_m: float, rod_overhang_m: float, rod_diameter_m: float, bush_bore_m: float) -> Finding:
    """How far the drawn-out rod's tip may swing to each side by the play in its bush."""
    if rod_span_m <= 0.0:
        return not_checked("nothing lies between nut and bush", "a bush further out", asked=False)
    play = (bush_bore_m - rod_diameter_m) / 2.0
    lengths = f"{rod_span_m * 1e3:.4g} mm from the nut, {rod_overhang_m * 1e3:.4g} mm before the tip"
    return info(
        play * (rod_span_m + rod_overhang_m) / rod_span_m,
        f"{digits(play * 1e3)} mm in the bush, {lengths}",
    )

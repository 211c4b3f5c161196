"""The screws that hold the gear: their preload against the highest pull."""

from __future__ import annotations

import math

from calcs.check import check, derived
from calcs.finding import Finding, at_least, not_checked
from calcs.formulas import strength
from geometry.errors import InputError
from geometry.threads import thread

PRELOAD_SHARE = 0.7  # of the yield, tightened by torque; common practice, no source
NUT_FACTOR = 0.2  # torque over F d: Shigley 9e, table 8-15, as received
SEPARATION = 1.5  # preload over pull; common practice, no source


@derived("gears.mount.bolt")
def bolt_sizes_m(mount_bolt: str) -> tuple[float, float, float] | None:
    """Major, pitch and root diameter of the mounting screws (m)."""
    try:
        record = thread(mount_bolt)
    except InputError:
        return None
    return record.major_diameter_mm / 1e3, record.pitch_diameter_mm / 1e3, record.root_diameter_mm / 1e3


@check(
    "strength.mounting_screws",
    formula="n 0.7 Sy A / F, A = pi / 4 ((d2 + d3) / 2)^2",
    source="ISO 898-1 (stress area, from memory); preload and factor: common practice, no source",
    limit=SEPARATION,
    asked_by=("gears.mount.bolt",),
)
def mounting_screws(
    bolt_sizes_m: tuple[float, float, float],
    mount_bolts: int,
    mount_yield_pa: float,
    highest_force_n: float,
    mount_bolt: str,
    limit: float = SEPARATION,
) -> Finding:
    """Preload of the mounting screws over the highest pull on them."""
    if highest_force_n == 0.0:
        return not_checked("no force is known yet", asked=False)
    major, pitch, root = bolt_sizes_m
    preload = float(
        strength.bolt_preload_n(strength.stress_area_m2(pitch, root), mount_yield_pa, PRELOAD_SHARE)
    )
    torque = float(strength.tightening_torque_nm(preload, major, NUT_FACTOR))
    value = mount_bolts * preload / highest_force_n
    note = f"{mount_bolts} {mount_bolt}, {preload:.0f} N each at about {torque:.2g} N*m; "
    note += f"pull {highest_force_n:.0f} N in line with the screw, none beside it"
    remedy = f"{math.ceil(mount_bolts * limit / value)} screws, larger or stronger ones"
    return at_least(value, limit, note=note, remedy=remedy)

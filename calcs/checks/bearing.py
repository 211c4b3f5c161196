"""The thrust bearing: continuous and peak force, life where its rating is given."""

from __future__ import annotations

from calcs.check import check, derived
from calcs.finding import Finding, at_least, at_most, digits
from calcs.formulas import ball
from geometry.units import Band

OWN_LIMIT = "the bearing's own limit"


@derived()
def wanted_turns(cycles: int, usable_low_m: float, usable_high_m: float, lead_m: float) -> float:
    """Turns of the screw over all cycles, up and down."""
    return 2.0 * cycles * (usable_high_m - usable_low_m) / lead_m


@check(
    "bearing.thrust_continuous",
    unit="N",
    formula="F = max over s of m g |cos| + friction + F(s)",
    source=OWN_LIMIT,
    limit="thrust_continuous_n",
    asked_by=("ends.thrust_continuous",),
)
def thrust_continuous(sustained_force_n: Band, limit: float | None = None) -> Finding:
    """Highest force at constant speed, outside forces too, against what the thrust bearing bears always."""
    return at_most(sustained_force_n, limit, remedy="a bearing for more thrust")


@check(
    "bearing.thrust_peak",
    unit="N",
    formula="the highest force of the work, or the push of the stalled motor",
    source=f"{OWN_LIMIT}; the impact at a stop: stops.thrust",
    limit="thrust_limit_n",
    asked_by=("ends.thrust_momentary",),
)
def thrust_peak(highest_push_n: float, peak_force_n: Band, limit: float | None = None) -> Finding:
    """Highest push against what the thrust bearing bears for a moment."""
    stalled = limit is not None and peak_force_n.high <= limit  # else the work itself is too much
    remedy = "a bearing for more thrust" + (", or a supply.current_limit" if stalled else "")
    return at_most(highest_push_n, limit, remedy=remedy)


@check(
    "bearing.life",
    formula="L10 = (C / F_m)^3 1e6 >= 2 s cycles / lead",
    source="ISO 281 and Shigley 9e, eq. 11-3: ball bearings",
    limit="wanted_turns",
    asked_by=("ends.bearing_dynamic",),
)
def life(bearing_dynamic_n: float, equivalent_load_n: float, limit: float | None = None) -> Finding:
    """Turns that nine of ten thrust bearings reach, against those wanted."""
    value = float(ball.basic_life_turns(bearing_dynamic_n, equivalent_load_n, 1.0))
    remedy = ""
    if limit is not None:
        remedy = f"ends.bearing_dynamic of {float(ball.dynamic_load_n(equivalent_load_n, limit, 1.0)):.4g} N"
    note = f"equivalent load {digits(equivalent_load_n)} N; fatigue only, impacts and dirt not counted"
    return at_least(value, limit, note=note, remedy=remedy)

"""Hours and turns of life of motor and gears, against a rating where one is given."""

from __future__ import annotations

from calcs.check import check, derived
from calcs.finding import Finding, at_most, info

DUTY = "sum over the cycles, moves only; ratings: the maker's"


@derived()
def running_s(cycles: int, move_s: float) -> float:
    """Time that the drive runs over all cycles (s)."""
    return 2.0 * cycles * move_s


@check(
    "motor.life_hours",
    unit="s",
    shown="h",
    formula="t = 2 cycles (s / v + v / a)",
    source=DUTY,
    limit="motor_life_s",
    asked_by=("motor.life",),
)
def motor_hours(running_s: float, limit: float | None = None) -> Finding:
    """Running time of the motor over its life."""
    return at_most(running_s, limit, remedy="a brushless motor, a higher rating or a planned exchange")


@check(
    "motor.life_turns",
    formula="n = 2 cycles s i / lead",
    source=DUTY,
    limit="motor_life_turns",
    asked_by=("motor.life_turns",),
)
def motor_turns(wanted_turns: float, ratio: float, limit: float | None = None) -> Finding:
    """Turns of the rotor over its life."""
    return at_most(wanted_turns * ratio, limit, remedy="less ratio, a longer lead or a brushless motor")


@check(
    "gearing.life",
    unit="s",
    shown="h",
    formula="t = 2 cycles (s / v + v / a)",
    source=DUTY,
    limit="gear_life_s",
    asked_by=("gears.life",),
)
def gear_hours(running_s: float, has_gears: bool, limit: float | None = None) -> Finding:
    """Running time of the gears over their life."""
    if not has_gears:
        return info(None, "direct drive, no gears")
    return at_most(running_s, limit, remedy="a gear of a higher rating or a planned exchange")

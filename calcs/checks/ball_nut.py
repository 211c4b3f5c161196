"""The ball nut: life, static safety, preload, ball speed."""

from __future__ import annotations

import math

from calcs.check import check, derived
from calcs.finding import Finding, at_least, at_most, digits
from calcs.formulas import ball
from geometry.units import Band

STATIC = 2.0  # static safety: 1 to 2 normal, 2 to 3 with shocks; common practice, no source
SMOOTH = "fatigue only; very light loads at high speed, dirt and lack of grease are not covered"


@derived()
def ball_speed_limit_m_s(ball_speed_value: float) -> float:
    """Allowed ball circle times speed (m/s) of a value in mm and rpm."""
    return ball_speed_value * 1e-3 * math.pi / 30.0


@derived()
def circle_m(ball_dynamic_n: float, pitch_diameter_m: float, ball_circle_m: float | None = None) -> float:
    """Ball circle of a ball nut (m): given, else the pitch diameter."""
    return ball_circle_m or pitch_diameter_m


@check(
    "life.balls",
    unless="no_balls",
    formula="L10 = (Ca / (f F_m))^3 1e6 >= 2 s cycles / lead",
    source="ISO 3408-5 (from memory)",
    limit="wanted_turns",
    asked_by=("nut.balls",),
)
def balls(
    ball_dynamic_n: float,
    ball_load_n: float,
    ball_load_factor: float,
    limit: float | None = None,
) -> Finding:
    """Turns that nine of ten ball screws reach, against those wanted."""
    load = ball_load_n
    value = float(ball.basic_life_turns(ball_dynamic_n, load, ball_load_factor))
    rating = 0.0 if limit is None else float(ball.dynamic_load_n(load, limit, ball_load_factor))
    note = f"equivalent load {digits(load)} N, load factor {ball_load_factor:g}; {SMOOTH}"
    return at_least(value, limit, note=note, remedy=f"nut.balls.dynamic_load of {rating:.4g} N")


@check(
    "life.balls_static",
    unless="no_balls",
    formula="C0a / F_max",
    source="ISO 3408-5 (from memory); 1 to 2 normal, 2 to 3 with shocks: common practice, no source",
    limit=STATIC,
    asked_by=("nut.balls.static_load",),
)
def balls_static(
    ball_static_n: float, highest_force_n: float, highest_push_n: float, limit: float = STATIC
) -> Finding:
    """Static safety of the ball nut under the highest force."""
    value = float(ball.static_safety(ball_static_n, highest_force_n))
    remedy = f"nut.balls.static_load of {limit * highest_force_n:.4g} N"
    if limit * highest_push_n <= ball_static_n:
        remedy += ", or a softer stop"
    return at_least(value, limit, note=f"highest force {digits(highest_force_n)} N", remedy=remedy)


@check(
    "life.balls_preload",
    unless="no_balls",
    unit="N",
    formula="F <= 2^1.5 F_preload",
    source="ISO 3408-5 (from memory)",
    asked_by=("nut.balls.preload",),
)
def balls_preload(ball_preload_n: float, peak_force_n: Band, limit: float | None = None) -> Finding:
    """Highest force of the work against where the preload lifts off and play comes back."""
    if ball_preload_n == 0.0:
        return Finding(peak_force_n, "INFO", note="no nut.balls.preload: the nut has its play")
    limit = float(ball.lift_off_n(ball_preload_n)) if limit is None else limit
    needed = peak_force_n.high / float(ball.lift_off_n(1.0))
    return at_most(peak_force_n, limit, above="WARN", remedy=f"nut.balls.preload of {digits(needed)} N")


@check(
    "life.balls_speed",
    unless="no_balls",
    unit="m/s",
    shown="mm*rpm",
    formula="d n",
    source="70 000 rolled or simple, up to 150 000 by maker: common practice, no source",
    limit="ball_speed_limit_m_s",
    asked_by=("nut.balls",),
)
def balls_speed(circle_m: float, screw_speed_rad_s: float, limit: float | None = None) -> Finding:
    """Ball circle times speed of the screw, against what the return of the balls bears."""
    value = float(ball.ball_speed_m_s(circle_m, screw_speed_rad_s))
    return at_most(value, limit, remedy="a longer lead, a lower speed or a nut for more speed")

"""Along the travel: thread engagement at both stops, order of the ends, stopping, step."""

from __future__ import annotations

from itertools import pairwise

from calcs.check import check, derived
from calcs.finding import Finding, at_least, at_most, digits
from calcs.formulas import gearing, motion

SEEN_M = 1e-6  # less thread than this is rounding
ENGAGED = "geometry of the stack; one pitch in hand at each end: common practice, no source"


@derived()
def travel_low_m(usable_low_m: float, stop_low_m: float | None = None) -> float:
    """Lowest position that the nut can reach (m): the hard stop, else the usable end."""
    return usable_low_m if stop_low_m is None else stop_low_m


@derived()
def travel_high_m(usable_high_m: float, stop_high_m: float | None = None) -> float:
    """Highest position that the nut can reach (m): the hard stop, else the usable end."""
    return usable_high_m if stop_high_m is None else stop_high_m


def _as_if_the_nut_went(
    travels: str, thread_start_m: float, thread_end_m: float, nut_position_m: float, nut_length_m: float
) -> tuple[float, float, float]:
    """Thread start, thread end and nut (m) of the same engagement in which the nut is what travels."""
    if travels == "nut":
        return thread_start_m, thread_end_m, nut_position_m
    return -thread_end_m, -thread_start_m, -nut_position_m - nut_length_m


def _engagement(
    inside_m: float, pitch_m: float, limit: float | None, at_m: float, end: str, note: str
) -> Finding:
    limit = pitch_m if limit is None else limit
    lacking = (limit - inside_m) * 1e3
    move = at_m * 1e3 + (lacking if end == "low" else -lacking)
    where = f"at s = {at_m * 1e3:g} mm the nut"
    state = (
        f"is {digits(inside_m * 1e3)} mm inside the thread"
        if inside_m >= 0
        else f"runs {digits(-inside_m * 1e3)} mm off it"
    )
    return at_least(
        inside_m,
        limit,
        fail_below=0.0,
        note=f"{where} {state} ({inside_m / pitch_m:.2f} pitches){note}",
        remedy=f"{digits(lacking)} mm more thread at that end, or the stop at s = {move:.4g} mm",
    )


@check(
    "travel.engagement_retracted",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="z_nut + s_low - z_thread_start >= 1 pitch",
    source=ENGAGED,
    asked_by=("motion.hard_stops",),
)
def engagement_retracted(
    thread_start_m: float,
    nut_position_m: float,
    travel_low_m: float,
    pitch_m: float,
    thread_end_m: float = 0.0,
    nut_length_m: float = 0.0,
    travelling_part: str = "nut",
    limit: float | None = None,
) -> Finding:
    """Nut inside the thread at the retracted stop."""
    start, _, nut = _as_if_the_nut_went(
        travelling_part, thread_start_m, thread_end_m, nut_position_m, nut_length_m
    )
    inside = nut + travel_low_m - start
    return _engagement(inside, pitch_m, limit, travel_low_m, "low", "")


@check(
    "travel.engagement_extended",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="z_thread_end - (z_nut + L_nut + s_high) >= 1 pitch",
    source=ENGAGED,
    asked_by=("motion.hard_stops",),
)
def engagement_extended(
    thread_end_m: float,
    nut_position_m: float,
    nut_length_m: float,
    travel_high_m: float,
    pitch_m: float,
    thread_start_m: float = 0.0,
    travelling_part: str = "nut",
    thread_kg_m: float | None = None,
    limit: float | None = None,
) -> Finding:
    """Nut inside the thread at the extended stop."""
    _, end, nut = _as_if_the_nut_went(
        travelling_part, thread_start_m, thread_end_m, nut_position_m, nut_length_m
    )
    inside = end - nut - nut_length_m - travel_high_m
    surplus = inside - (pitch_m if limit is None else limit)
    note = ""
    if surplus > SEEN_M:
        weight = f", {surplus * thread_kg_m * 1e3:.2g} g" if thread_kg_m is not None else ""
        note = f"; {digits(surplus * 1e3)} mm of thread beyond that are never used{weight}"
    return _engagement(inside, pitch_m, limit, travel_high_m, "high", note)


@check(
    "travel.order",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="usable < sensor < hard stop < thread end, at both ends",
    source="common practice, no source",
    asked_by=("motion.hard_stops", "motion.sensors"),
    limit=0.0,
)
def order(
    usable_low_m: float,
    usable_high_m: float,
    thread_start_m: float,
    thread_end_m: float,
    nut_position_m: float,
    nut_length_m: float,
    sensor_low_m: float | None = None,
    sensor_high_m: float | None = None,
    stop_low_m: float | None = None,
    stop_high_m: float | None = None,
    travelling_part: str = "nut",
    limit: float = 0.0,
) -> Finding:
    """Smallest step in the order usable end, sensor, hard stop, thread end."""
    start, end, nut = _as_if_the_nut_went(
        travelling_part, thread_start_m, thread_end_m, nut_position_m, nut_length_m
    )
    thread_low, thread_high = start - nut, end - nut - nut_length_m
    ends = [
        ("thread end", thread_low, thread_high),
        ("hard stop", stop_low_m, stop_high_m),
        ("sensor", sensor_low_m, sensor_high_m),
        ("usable end", usable_low_m, usable_high_m),
    ]
    given = [(name, low, high) for name, low, high in ends if low is not None and high is not None]
    steps = [
        (min(inner_low - low, high - inner_high), outer, inner)
        for (outer, low, high), (inner, inner_low, inner_high) in pairwise(given)
    ]
    worst, first, then = min(steps)
    names = ", ".join(name for name, *_ in given)
    sketch = " < ".join(f"{low * 1e3:g}" for _, low, _ in given)
    sketch += " .. " + " < ".join(f"{high * 1e3:g}" for *_, high in reversed(given))
    note = f"{names}: {sketch} mm; the smallest step is from {first} to {then}"
    if worst == limit == 0.0:
        return Finding(
            worst, "WARN", limit, worst, "at least", note=note, remedy=f"move {first} and {then} apart"
        )
    return at_least(
        worst, limit, note=note, remedy=f"move {first} and {then} apart by {digits((limit - worst) * 1e3)} mm"
    )


@derived()
def sensor_to_stop_m(
    sensor_low_m: float, sensor_high_m: float, stop_low_m: float, stop_high_m: float
) -> float:
    """The shorter way from a sensor to its hard stop (m)."""
    return min(sensor_low_m - stop_low_m, stop_high_m - sensor_high_m)


@check(
    "travel.stopping",
    unit="m",
    shown="mm",
    formula="s = v^2 / 2a + v t + hysteresis",
    source="kinematics",
    limit="sensor_to_stop_m",
    asked_by=("motion.sensors",),
)
def stopping(
    speed_m_s: float,
    acceleration_m_s2: float,
    latency_s: float,
    hysteresis_m: float = 0.0,
    limit: float | None = None,
) -> Finding:
    """Stopping distance against the way from sensor to hard stop."""
    way = float(motion.stopping_distance_m(speed_m_s, acceleration_m_s2, latency_s)) + hysteresis_m
    remedy = ""
    if limit is not None and (room := limit - speed_m_s * latency_s - hysteresis_m) > 0.0:
        remedy = f"a deceleration of {speed_m_s**2 / (2 * room) * 1e3:.4g} mm/s2 or more, or "
    lacking = "" if limit is None else f"{digits((way - limit) * 1e3)} mm more between sensor and stop"
    return at_most(way, limit, remedy=remedy + lacking)


@check(
    "travel.step",
    unit="m",
    shown="um",
    formula="lead / (counts i)",
    source="definition of lead; one count of the encoder, or one full step of a stepper",
    limit="wanted_step_m",
    asked_by=("motion.step",),
)
def step(lead_m: float, turn_counts: int, ratio: float, limit: float | None = None) -> Finding:
    """Smallest step of the nut."""
    value = float(gearing.step_m(lead_m, turn_counts, ratio))
    needed = "" if limit is None else f"{turn_counts * value / limit:.0f} counts a motor turn or more"
    return at_most(value, limit, remedy=needed, note="a step is not yet accuracy: see gearing.lost_motion")


@derived("motor.encoder.counts", stepper=("motor.steps",))
def turn_counts(counts: int | None = None, steps: int | None = None) -> int | None:
    """Positions in one motor turn: the encoder's counts, else a stepper's full steps."""
    return steps if counts is None else counts

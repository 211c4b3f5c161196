"""The design's screw beside the same duty on metric, trapezoidal, Acme and ball screws of its diameter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calcs.checks.accuracy import REFERENCE_M, graded_m
from calcs.finding import over
from calcs.formulas import ball, nut, screw
from geometry.thread_families import families
from geometry.threads import thread
from geometry.units import Band

if TYPE_CHECKING:
    from calcs.case import Case
    from geometry.thread_families import Size
    from geometry.threads import Thread

KINDS = ("ISO metric", "metric trapezoidal", "Acme general purpose", "ball groove")
BALLS = "ball groove"
SLIDING = Band(0.08, 0.15, 0.20)  # greased, in a nut of plastic or bronze; common practice, no source
ROLLING = Band(0.003, 0.005, 0.010)  # common practice, no source
ROLLED_ERROR_M = (0.1e-3, 0.3e-3)  # in any 300 mm of a rolled sliding screw; common practice, no source
LOAD_FACTOR = 1.2  # between smooth and normal; common practice, no source
BALL_GRADE = "T7"  # of a rolled ball screw; common practice, no source


@dataclass(frozen=True)
class Choice:
    """One screw under the design's duty, in SI; None where the design gives too little.

    `holding` and `back_efficiency` are judged at low friction, `heat_w` while raising at the running speed.
    `cycles` is the life by wear of a sliding nut, `asked_rating_n` the dynamic rating a ball nut would need.
    """

    family: str
    designation: str
    lead_m: float
    efficiency: Band
    torque_nm: Band
    holding: float
    back_efficiency: float
    heat_w: float
    lead_error_m: Band
    cycles: Band | None
    asked_rating_n: float | None

    @property
    def holds(self) -> bool:
        """Whether the thread holds the load by itself even at its lowest friction; vibration not counted."""
        return self.holding > 1.0


def compare_screws(case: Case) -> tuple[Choice, ...]:
    """Compare the design's screw, first, with the nearest size of each other kind, all SI.

    Source: the same formulas as the checks'; the friction of kinds that are not the design's own: common
    practice, no source.
    """
    found = case.find("thread_record")
    assert found is not None  # every design has a thread
    own: Thread = found.value
    others = (_nearest(name, own.major_diameter_mm, own.lead_mm) for name in KINDS if name != own.family)
    return tuple(_choice(case, record, own=record is own) for record in (own, *others))


def _nearest(name: str, diameter_mm: float, lead_mm: float) -> Thread:
    """Give a family's size nearest in diameter, of a ball screw the nearest lead, the longer of two."""
    sizes = next(family.sizes for family in families() if family.name == name)

    def distance(size: Size) -> tuple[float, float, float]:
        away = abs(size.diameter_mm - diameter_mm)
        if name != BALLS:  # a family's first row of a diameter is its first choice
            return away, 0.0, 0.0
        return away, abs(size.pitch_mm - lead_mm), -size.pitch_mm

    return thread(min(sizes, key=distance).designation)


def _choice(case: Case, record: Thread, *, own: bool) -> Choice:
    rolls = record.family == BALLS
    friction = case.find("friction") if own else None
    mu = friction.value if friction is not None else (ROLLING if rolls else SLIDING)
    lead, diameter = record.lead_mm / 1e3, record.pitch_diameter_mm / 1e3
    shape = (lead, diameter)
    flank = math.radians(record.flank_angle_deg)
    peak, steady = (_sure(case, name) for name in ("peak_force_n", "steady_force_n"))
    efficiency = over(mu, lambda m: screw.efficiency(*shape, m, flank))
    power = steady * _sure(case, "speed_m_s")
    return Choice(
        family=record.family,
        designation=record.designation,
        lead_m=lead,
        efficiency=efficiency,
        torque_nm=over(efficiency, lambda eta: screw.torque_at_efficiency_nm(peak, lead, eta)),
        holding=float(screw.holding_ratio(*shape, mu.low, flank)),
        back_efficiency=float(screw.back_efficiency(*shape, mu.low, flank)),
        heat_w=power * (1.0 / efficiency.nominal - 1.0),
        lead_error_m=_lead_error(_stroke_m(case), rolls=rolls),
        cycles=None if rolls else _cycles(case, record),
        asked_rating_n=_rating(case, lead) if rolls else None,
    )


def _number(case: Case, name: str) -> float | None:
    """Give a value, of a band its usual one; None where the design does not give it."""
    found = case.find(name)
    if found is None:
        return None
    return float(found.value.nominal if isinstance(found.value, Band) else found.value)


def _sure(case: Case, name: str) -> float:
    """Give a value that every design has."""
    found = _number(case, name)
    assert found is not None
    return found


def _stroke_m(case: Case) -> float:
    return _sure(case, "usable_high_m") - _sure(case, "usable_low_m")


def _lead_error(travel_m: float, *, rolls: bool) -> Band:
    if rolls:
        parts = graded_m(BALL_GRADE, travel_m)
        assert parts is not None  # transport grades have no end
        return Band(max(parts), sum(parts), sum(parts))
    low, high = (error * max(travel_m / REFERENCE_M, 1.0) for error in ROLLED_ERROR_M)
    return Band(low, (low + high) / 2.0, high)


def _cycles(case: Case, record: Thread) -> Band | None:
    """Cycles until the nut has worn by its limit, with the design's nut length and wear coefficient."""
    wear, limit = case.find("wear_coefficient_m2_n"), _number(case, "wear_limit_m")
    if wear is None or limit is None:
        return None
    lead, diameter, pitch = (mm / 1e3 for mm in (record.lead_mm, record.pitch_diameter_mm, record.pitch_mm))
    turns = nut.engaged_turns(_sure(case, "nut_length_m"), pitch)
    mean = (_sure(case, "steady_force_n") + abs(_sure(case, "lowering_force_n"))) / 2.0
    pressure = nut.thread_pressure_pa(mean, diameter, record.engagement_depth_mm / 1e3, turns, 1.0)
    slid = 2.0 * _stroke_m(case) * screw.sliding_share(lead, diameter)
    flank = math.radians(record.flank_angle_deg)

    def cycles(coefficient: float) -> float:
        return limit / float(nut.axial_wear_m(nut.wear_depth_m(coefficient, pressure, slid), flank))

    low, _, high = wear.value
    return over(Band(low, math.sqrt(low * high), high), cycles)


def _rating(case: Case, lead_m: float) -> float | None:
    load, cycles = (_number(case, name) for name in ("equivalent_load_n", "cycles"))
    if load is None or cycles is None:
        return None
    return float(ball.dynamic_load_n(load, 2.0 * cycles * _stroke_m(case) / lead_m, LOAD_FACTOR))

"""The design's screw beside the same duty on metric, trapezoidal, Acme and ball screws of its diameter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calcs.checks.accuracy import REFERENCE_M, graded_m
from calcs.finding import Verdict, digits, over
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
class Life:
    """Cycles that a nut lives, None where the design gives too little; the verdict, and the words for it."""

    cycles: Band | None
    verdict: Verdict
    words: str


@dataclass(frozen=True)
class Choice:
    """One screw under the design's duty, in SI: its thread alone, without collar, drag and preload.

    `holding` and `back_efficiency` are judged at low friction, `heat_w` while raising at the running speed.
    `asked_rating_n` is the dynamic rating a ball nut would need, None where the design gives too little.
    `assumed` says what each number stands on that the design does not give.
    """

    family: str
    designation: str
    own: bool
    lead_m: float
    screw_speed_rad_s: float
    efficiency: Band
    torque_nm: Band
    holding: float
    back_efficiency: float
    heat_w: float
    lead_error_m: Band
    life: Life
    asked_rating_n: float | None
    assumed: tuple[str, ...]

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
    return tuple(_choice(case, record, own) for record in (own, *others))


def _nearest(name: str, diameter_mm: float, lead_mm: float) -> Thread:
    """Give a family's size nearest in diameter, of a ball screw the nearest lead, the longer of two."""
    sizes = next(family.sizes for family in families() if family.name == name)

    def distance(size: Size) -> tuple[float, ...]:
        away = abs(size.diameter_mm - diameter_mm)
        if name != BALLS:  # a family's first row of a diameter is its first choice
            return (away,)
        return away, abs(size.pitch_mm - lead_mm), -size.pitch_mm

    return thread(min(sizes, key=distance).designation)


def _choice(case: Case, record: Thread, own: Thread) -> Choice:
    rolls = record.family == BALLS
    mu, friction_words = _friction(case, record, own)
    lead, diameter = record.lead_mm / 1e3, record.pitch_diameter_mm / 1e3
    shape = (lead, diameter)
    flank = math.radians(record.flank_angle_deg)
    peak, steady, speed = (_sure(case, name) for name in ("peak_force_n", "steady_force_n", "speed_m_s"))
    per_force = over(mu, lambda m: screw.torque_per_force_m(*shape, m, flank))
    turning = float(screw.rotation_rad_s(speed, lead))
    error, error_words = _lead_error(case, rolls=rolls, own=record is own)
    life = _ball_life(case, lead, own=record is own) if rolls else _sliding_life(case, record, *shape)
    return Choice(
        family=record.family,
        designation=record.designation,
        own=record is own,
        lead_m=lead,
        screw_speed_rad_s=turning,
        efficiency=over(mu, lambda m: screw.efficiency(*shape, m, flank)),
        torque_nm=over(per_force, lambda arm: peak * arm),
        holding=float(screw.holding_ratio(*shape, mu.low, flank)),
        back_efficiency=float(screw.back_efficiency(*shape, mu.low, flank)),
        heat_w=steady * (per_force.nominal * turning - speed),
        lead_error_m=error,
        life=life,
        asked_rating_n=_rating(case, lead) if rolls else None,
        assumed=(friction_words, error_words),
    )


def _friction(case: Case, record: Thread, own: Thread) -> tuple[Band, str]:
    """Give the friction of a kind: the design's own where the pair is of the same nature, else the usual."""
    given = case.find("friction")
    rolls = record.family == BALLS
    if given is not None and rolls == (own.family == BALLS):
        return given.value, "nut.friction as given" if record is own else "friction of the design's own nut"
    if rolls:
        return ROLLING, f"friction {_words(ROLLING)} of balls: common practice, no source"
    return SLIDING, f"friction {_words(SLIDING)} of a greased sliding nut: common practice, no source"


def _words(band: Band) -> str:
    return "..".join(f"{end:g}" for end in band)


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


def _lead_error(case: Case, *, rolls: bool, own: bool) -> tuple[Band, str]:
    """Give the error of the lead over the stroke (m), and what it stands on."""
    travel_m, given = _stroke_m(case), case.find("lead_deviation_m")
    if own and given is not None:
        grade = case.find("screw_grade")
        return given.value, "screw.lead_error as given" if grade is None else f"grade {grade.value} as given"
    if rolls:
        parts = graded_m(BALL_GRADE, travel_m)
        assert parts is not None  # transport grades have no end
        error = Band(max(parts), sum(parts), sum(parts))
        return error, f"grade {BALL_GRADE} of a rolled screw: common practice, no source"
    low, high = (error * max(travel_m / REFERENCE_M, 1.0) for error in ROLLED_ERROR_M)
    words = f"lead error {ROLLED_ERROR_M[0] * 1e3:g} to {ROLLED_ERROR_M[1] * 1e3:g} mm in 300 mm of a rolled"
    return Band(low, (low + high) / 2.0, high), f"{words} screw: common practice, no source"


def _sliding_life(case: Case, record: Thread, lead_m: float, diameter_m: float) -> Life:
    """Cycles until the nut has worn by its limit, with the design's nut length and wear coefficient."""
    wear, limit = case.find("wear_coefficient_m2_n"), _number(case, "wear_limit_m")
    if wear is None or limit is None:
        return Life(None, "NOT CHECKED", "needs nut.wear_coefficient and nut.wear_limit")
    turns = nut.engaged_turns(_sure(case, "nut_length_m"), lead_m / record.starts)
    pressure = nut.thread_pressure_pa(
        _sure(case, "wearing_force_n"), diameter_m, record.engagement_depth_mm / 1e3, turns, 1.0
    )
    slid = 2.0 * _stroke_m(case) * screw.sliding_share(lead_m, diameter_m)
    flank = math.radians(record.flank_angle_deg)

    def cycles(coefficient: float) -> float:
        return limit / float(nut.axial_wear_m(nut.wear_depth_m(coefficient, pressure, slid), flank))

    low, _, high = wear.value
    lived, asked = over(Band(low, math.sqrt(low * high), high), cycles), _number(case, "cycles")
    verdict: Verdict = "FAIL" if asked is not None and lived.high < asked else "NOT PROVEN"
    return Life(lived, verdict, "by wear, with the length and wear coefficient of the design's nut: test it")


def _ball_life(case: Case, lead_m: float, *, own: bool) -> Life:
    """Cycles that nine of ten ball screws reach, where the nut is the design's own with its rating."""
    rating = _number(case, "ball_dynamic_n") if own else None
    load, asked = _number(case, "ball_load_n"), _number(case, "cycles")
    if rating is None or load is None:
        asked_rating = _rating(case, lead_m)
        needed = "" if asked_rating is None else f": it would need {digits(asked_rating)} N"
        return Life(None, "NOT CHECKED", f"no dynamic rating of a ball nut is given{needed}")
    turns = float(ball.basic_life_turns(rating, load, _number(case, "ball_load_factor") or LOAD_FACTOR))
    lived = turns * lead_m / (2.0 * _stroke_m(case))
    verdict: Verdict = "INFO" if asked is None else "PASS" if lived >= asked else "FAIL"
    return Life(
        Band(lived, lived, lived), verdict, "fatigue of the balls, nine of ten, by its dynamic rating"
    )


def _rating(case: Case, lead_m: float) -> float | None:
    load, cycles = (_number(case, name) for name in ("equivalent_load_n", "cycles"))
    if load is None or cycles is None:
        return None
    return float(ball.dynamic_load_n(load, 2.0 * cycles * _stroke_m(case) / lead_m, LOAD_FACTOR))

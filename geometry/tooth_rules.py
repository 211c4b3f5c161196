"""The conditions that the tooth numbers of a planetary stage must meet, each with its numbers."""

from __future__ import annotations

import math
from typing import NamedTuple

PRESSURE_ANGLE_DEG = 20.0


class ToothRule(NamedTuple):
    """One condition on a planetary stage: its numbers, whether it holds; a note refuses nothing."""

    name: str
    value: float
    limit: float
    passed: bool
    text: str
    note: bool = False


class ToothSet(NamedTuple):
    """Teeth of a planetary stage with the ring fixed, sun driving, carrier driven."""

    sun: int
    planet: int
    ring: int
    planets: int

    @property
    def ratio(self) -> float:
        """Sun turns per carrier turn, 1 + ring / sun."""
        return 1.0 + self.ring / self.sun

    def __str__(self) -> str:
        """Give sun/planet/ring as the trade writes it."""
        return f"{self.sun}/{self.planet}/{self.ring}"


def undercut_shift(teeth: int, pressure_angle_deg: float = PRESSURE_ANGLE_DEG) -> float:
    """Give the least profile shift (in modules) against undercut by a rack cutter of full depth.

    x = 1 - z sin^2(a) / 2; negative where no shift is needed. Source: any text on gears (from memory).
    """
    return 1.0 - teeth * math.sin(math.radians(pressure_angle_deg)) ** 2 / 2.0


def stage_rules(
    sun: int,
    planet: int,
    ring: int,
    planets: int,
    *,
    centre_distance: float | None = None,
    planet_tip_diameter: float | None = None,
) -> tuple[ToothRule, ...]:
    """Give each condition of a planetary stage with its numbers: ring, spacing, neighbours, undercut notes.

    The working centre distance and the planet's tip diameter, both in modules, replace those of unshifted
    teeth. Source: textbooks on planetary gears (from memory): ring = sun + 2 planet; (sun + ring) / N an
    integer; 2 a sin(pi / N) > tip diameter, by 0.5 module where teeth are shifted (common practice).
    """
    rules = [_ring_rule(sun, planet, ring), _spacing_rule(sun, ring, planets)]
    if planets > 1:
        rules.append(_neighbour_rule(sun, planet, planets, centre_distance, planet_tip_diameter))
    rules += [_undercut_note("sun", sun), _undercut_note("planet", planet)]
    return tuple(rules)


def rules_of(teeth: ToothSet) -> tuple[ToothRule, ...]:
    """Give the conditions of a tooth set, see `stage_rules`."""
    return stage_rules(teeth.sun, teeth.planet, teeth.ring, teeth.planets)


def spur_rules(pinion: int, wheel: int) -> tuple[ToothRule, ...]:
    """Give what is to be noted of a spur stage: the shifts against undercut, see `stage_rules`."""
    return _undercut_note("pinion", pinion), _undercut_note("wheel", wheel)


def _ring_rule(sun: int, planet: int, ring: int) -> ToothRule:
    needed = sun + 2 * planet
    sign = "=" if ring == needed else "is not"
    text = f"ring = sun + 2 planet: {ring} {sign} {sun} + 2 x {planet} = {needed}"
    return ToothRule("ring", ring, needed, ring == needed, text)


def _spacing_rule(sun: int, ring: int, planets: int) -> ToothRule:
    whole = (sun + ring) % planets == 0
    share = (sun + ring) / planets
    verdict = "an integer" if whole else "not an integer"
    text = f"(sun + ring) / planets = ({sun} + {ring}) / {planets} = {share:.6g}, {verdict}"
    return ToothRule("spacing", share, round(share), whole, text)


def _neighbour_rule(
    sun: int, planet: int, planets: int, centre_distance: float | None, tip_diameter: float | None
) -> ToothRule:
    sine = math.sin(math.pi / planets)
    if centre_distance is None or tip_diameter is None:
        between, needed = (sun + planet) * sine, planet + 2.0
        formula = f"(sun + planet) sin(180/{planets}) = {between:.4g}"
    else:
        shifted = abs(2.0 * centre_distance - sun - planet) > 1e-9 or tip_diameter > planet + 2.0 + 1e-9
        between, needed = 2.0 * centre_distance * sine, tip_diameter + (0.5 if shifted else 0.0)
        formula = f"2 a sin(180/{planets}) = {between:.4g}"
    passed = between > needed
    verdict, sign = ("clear", ">") if passed else ("touch", "<=")
    text = f"neighbours {verdict}: {formula} {sign} {needed:.4g}"
    return ToothRule("neighbours", between, needed, passed, text)


def _undercut_note(member: str, teeth: int) -> ToothRule:
    shift = undercut_shift(teeth)
    passed = shift <= 0.0
    text = (
        f"{member} of {teeth} teeth is free of undercut"
        if passed
        else f"{member} of {teeth} teeth needs profile shift x >= {shift:.3f} against undercut"
    )
    return ToothRule(f"undercut {member}", 0.0, shift, passed, text, note=True)

"""Planetary tooth numbers with the reasons for what is refused."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from geometry.errors import InputError, Problem

PRESSURE_ANGLE_DEG = 20.0
EXACT = 1e-9  # relative error below which a ratio counts as met
FAR_SUN = 2000  # the largest sun tried to show what an exact stage would need


@dataclass(frozen=True)
class ToothRule:
    """One condition on a planetary stage: its numbers, whether it holds; a note refuses nothing."""

    name: str
    value: float
    limit: float
    passed: bool
    text: str
    note: bool = False


@dataclass(frozen=True)
class ToothSet:
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


@dataclass(frozen=True)
class RefusedSet:
    """A tooth set near the wanted ratio with the conditions that it fails."""

    teeth: ToothSet
    failed: tuple[ToothRule, ...]


@dataclass(frozen=True)
class PlanetaryAnswer:
    """What one stage (or two) can do for a wanted ratio, and why the rest was refused."""

    ratio: float
    planets: int
    max_ring: int
    tolerance: float
    offered: tuple[ToothSet, ...]
    refused: tuple[RefusedSet, ...]
    beyond: ToothSet | None
    two_stages: tuple[tuple[ToothSet, ToothSet], ...]
    reason: str

    @property
    def exact(self) -> bool:
        """Whether the first offered set meets the ratio exactly."""
        return bool(self.offered) and abs(self.error(self.offered[0])) < EXACT

    def error(self, teeth: ToothSet) -> float:
        """Relative error of the set's ratio against the wanted one."""
        return teeth.ratio / self.ratio - 1.0

    def explain(self) -> str:
        """Say in lines of text what is offered, what is refused, and which condition refuses it."""
        head = f"{self.ratio:g}:1 in one stage, {self.planets} planets, ring <= {self.max_ring} teeth: "
        lines = [head + self._answer()]
        for teeth in self.offered[:3]:
            lines += [f"  {teeth}: note: {rule.text}" for rule in rules_of(teeth) if not rule.passed]
        for refused in self.refused[:3]:
            lines.append(f"  {refused.teeth} refused: " + "; ".join(rule.text for rule in refused.failed))
        return "\n".join(lines)

    def _answer(self) -> str:
        if self.exact:
            return ", ".join(map(str, self.offered[:3]))
        if self.offered:
            near = (f"{s} = {s.ratio:.4f} ({100 * self.error(s):+.1f} %)" for s in self.offered[:2])
            return "not exact; nearest " + ", ".join(near)
        text = f"refused: {self.reason}"
        if self.two_stages:
            first, second = self.two_stages[0]
            text += f"; two stages {first.ratio:g} ({first}) x {second.ratio:g} ({second})"
            if abs(first.ratio * second.ratio / self.ratio - 1.0) > EXACT:
                text += f" = {first.ratio * second.ratio:.4f}"
        elif self.ratio > 2.0:
            text += f"; two stages do not come within {100 * self.tolerance:g} % of it either"
        return text


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
        between, needed = 2.0 * centre_distance * sine, tip_diameter + 0.5
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


def planetary(
    ratio: float,
    planets: int = 3,
    *,
    max_ring: int = 80,
    min_sun: int = 12,
    min_planet: int = 9,
    tolerance: float = 0.03,
) -> PlanetaryAnswer:
    """Find the tooth numbers of one planetary stage (ring fixed) for a ratio, or say what refuses it.

    Exact sets by size; without any, the nearest within `tolerance` (relative); if one stage cannot, pairs of
    stages. The fewest teeth are our own choice. Source of the conditions: see `stage_rules`.
    Raises InputError for arguments that are no numbers of a gear.
    """
    _refuse_arguments(ratio, planets, max_ring, min_sun, min_planet, tolerance)
    sets = _all_sets(planets, max_ring, min_sun)
    near = sorted(
        (s for s in sets if abs(s.ratio / ratio - 1.0) <= tolerance),
        key=lambda s: (abs(s.ratio / ratio - 1.0), s.ring),
    )
    judged = [(s, _failed(s, min_planet)) for s in near]
    good = [s for s, failed in judged if not failed]
    exact = [s for s in good if abs(s.ratio / ratio - 1.0) < EXACT]
    offered = tuple(exact or good)
    beyond = None if exact else _beyond(ratio, planets, min_sun, min_planet)
    return PlanetaryAnswer(
        ratio=ratio,
        planets=planets,
        max_ring=max_ring,
        tolerance=tolerance,
        offered=offered,
        refused=tuple(RefusedSet(s, failed) for s, failed in judged if failed),
        beyond=beyond,
        two_stages=() if offered else _pairs(sets, ratio, min_planet, tolerance),
        reason="" if offered else _reason(ratio, planets, max_ring, min_sun, min_planet, beyond),
    )


def _refuse_arguments(
    ratio: float, planets: int, max_ring: int, min_sun: int, min_planet: int, tolerance: float
) -> None:
    problems = []
    if not (math.isfinite(ratio) and ratio > 0.0):
        problems.append(
            Problem(f"ratio {ratio:g} is not a positive number", "write for example 4", field="ratio")
        )
    if planets < 2:
        problems.append(
            Problem(f"{planets} planets cannot share the load evenly", "write 2 or more", field="planets")
        )
    for name, teeth in (("max_ring", max_ring), ("min_sun", min_sun), ("min_planet", min_planet)):
        if teeth < 1:
            problems.append(Problem(f"{teeth} teeth is no gear", "write 1 or more", field=name))
    if not 0.0 <= tolerance < 1.0:
        problems.append(
            Problem(
                f"tolerance {tolerance:g} is no relative error", "write for example 0.03", field="tolerance"
            )
        )
    if problems:
        raise InputError(*problems)


def tooth_sets(planets: int, *, max_ring: int = 80, min_sun: int = 12, min_planet: int = 9) -> list[ToothSet]:
    """Give every planetary tooth set that meets the conditions of `stage_rules`, by ring and sun."""
    sets = (teeth for teeth in _all_sets(planets, max_ring, min_sun) if not _failed(teeth, min_planet))
    return sorted(sets, key=lambda teeth: (teeth.ring, teeth.sun))


def _all_sets(planets: int, max_ring: int, min_sun: int) -> list[ToothSet]:
    suns = np.arange(min_sun, max_ring)
    sun, ring = np.meshgrid(suns, np.arange(1, max_ring + 1), indexing="ij")
    keep = (ring > sun) & ((ring - sun) % 2 == 0)
    pairs = zip(sun[keep].tolist(), ring[keep].tolist(), strict=True)
    return [ToothSet(s, (r - s) // 2, r, planets) for s, r in pairs]


def _failed(teeth: ToothSet, min_planet: int) -> tuple[ToothRule, ...]:
    failed = [rule for rule in rules_of(teeth) if not rule.passed and not rule.note]
    if teeth.planet < min_planet:
        text = f"planet of {teeth.planet} teeth is below {min_planet}"
        failed.append(ToothRule("planet", teeth.planet, min_planet, False, text))
    return tuple(failed)


def _beyond(ratio: float, planets: int, min_sun: int, min_planet: int) -> ToothSet | None:
    """Find the smallest set that meets the ratio exactly when the ring may have any number of teeth."""
    share = Fraction(ratio - 1.0).limit_denominator(1000)
    if share <= 1 or abs(float(share + 1) / ratio - 1.0) > EXACT:
        return None
    step = share.denominator
    for sun in range(step * math.ceil(min_sun / step), FAR_SUN, step):
        ring = int(share * sun)
        teeth = ToothSet(sun, (ring - sun) // 2, ring, planets)
        if not _failed(teeth, min_planet):
            return teeth
    return None


def _pairs(
    sets: list[ToothSet], ratio: float, min_planet: int, tolerance: float
) -> tuple[tuple[ToothSet, ToothSet], ...]:
    """Pair the smallest sets, lower ratio first: exact pairs before near ones, then by their rings."""
    smallest: dict[float, ToothSet] = {}
    for teeth in sorted(sets, key=lambda s: s.ring):
        if teeth.ratio not in smallest and not _failed(teeth, min_planet):
            smallest[teeth.ratio] = teeth
    stages = [smallest[r] for r in sorted(smallest)]
    values = np.array([s.ratio for s in stages])
    error = np.abs(np.multiply.outer(values, values) / ratio - 1.0)
    first, second = np.nonzero(np.triu(error <= tolerance))
    found = [
        (max(error[a, b], EXACT), max(stages[a].ring, stages[b].ring), stages[a].ring + stages[b].ring, a, b)
        for a, b in zip(first.tolist(), second.tolist(), strict=True)
    ]
    return tuple((stages[a], stages[b]) for *_, a, b in sorted(found))


def _reason(
    ratio: float, planets: int, max_ring: int, min_sun: int, min_planet: int, beyond: ToothSet | None
) -> str:
    """Name the condition that keeps every set of the ratio out."""
    sine = math.sin(math.pi / planets)
    if ratio <= 2.0:
        return "with the ring fixed a stage is always above 2:1, since ring = sun + 2 planet"
    if beyond is not None and beyond.ring > max_ring:
        return f"ring above {max_ring} teeth ({beyond})"
    highest = 2.0 + 2.0 * sine / (1.0 - sine) if planets > 2 else math.inf
    if ratio >= highest:
        return (
            f"neighbours touch: {planets} planets leave room only below {highest:.4g}:1, whatever the teeth"
        )
    if min_sun * (ratio - 2.0) / 2.0 < min_planet and beyond is None:
        return f"planet below {min_planet} teeth beside a sun of {min_sun}"
    return f"no set with ring <= {max_ring} meets every condition within the tolerance"

"""Planetary tooth numbers for a ratio, with the reasons for what is refused."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import numpy as np

from geometry.errors import InputError, Problem, ShapeError
from geometry.planetary_stage import design_stage
from geometry.tooth_rules import ToothRule, ToothSet, rules_of

EXACT = 1e-9  # relative error below which a ratio counts as met
FAR_SUN = 2000  # the largest sun tried to show what an exact stage would need


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
    stages. Every set offered is one that `design_stage` makes teeth for. The fewest teeth are our own choice.
    Source of the conditions: see `stage_rules`.
    Raises InputError for arguments that are no numbers of a gear.
    """
    _refuse_arguments(ratio, planets, max_ring, min_sun, min_planet, tolerance)
    sets = _all_sets(planets, max_ring, min_sun)
    near = sorted(
        (s for s in sets if abs(s.ratio / ratio - 1.0) <= tolerance),
        key=lambda s: (abs(s.ratio / ratio - 1.0), s.ring),
    )
    judged = [(s, _failed(s, min_planet) or _design_refusal(s)) for s in near]
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


@cache
def _design_refusal(teeth: ToothSet) -> tuple[ToothRule, ...]:
    """What refuses a set once its teeth are designed: shifted neighbours, contact; else nothing."""
    try:
        design_stage(teeth.sun, teeth.planet, teeth.ring, teeth.planets)
    except ShapeError as refused:
        return (ToothRule("design", 0.0, 0.0, False, refused.problems[0].message),)
    return ()


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
        if teeth.ratio in smallest or _failed(teeth, min_planet) or _design_refusal(teeth):
            continue
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

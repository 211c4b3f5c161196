"""The stack solver: which planetary stages, one behind the other, give a ratio in a diameter (mm, N mm).

It lists what would do, with teeth, module, width, length, efficiency and backlash, and says what it refused
and why. A spur stage beside the axis is the alternative.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np

from geometry.errors import InputError, Problem, ShapeError
from geometry.gear_blanks import RIM
from geometry.gear_tables import lewis_factor, modules
from geometry.gear_teeth import Array
from geometry.gear_train import axial_gap, disc_thickness, end_walls, housing_wall
from geometry.gears import EXACT, planetary, tooth_sets
from geometry.planetary_stage import PlanetaryStage, design_stage
from geometry.spur_stage import SpurStage, design_spur
from geometry.tooth_rules import ToothSet

LEAST_WIDTH, USUAL_WIDTH, MOST_WIDTH = 5.0, 10.0, 15.0  # face width in modules; common practice, no source
BENDING_MPA = 200.0  # allowed Lewis stress of hardened steel teeth; common practice, no source
LOAD_SHARE = 1.2  # the most loaded planet's share over the mean; common practice, no source
REVERSED = 0.7  # of the allowed stress, for planets bent both ways; common practice, no source
OFFERED = 4  # of each number of stages
TRIED = 400  # combinations of one number of stages designed until so many are found
MOST_STAGES = 4
MOST_RATIOS = {3: 300, 4: 100}  # tried for so many stages: their products would fill the memory


@dataclass(frozen=True)
class Wanted:
    """What a stack is asked for: diameter (mm), ratio and its relative tolerance, output torque (N mm)."""

    diameter: float
    ratio: float
    tolerance: float = 0.0
    torque: float | None = None
    planets: int = 3
    length: float | None = None
    bending_mpa: float = BENDING_MPA
    least_module: float = 0.1
    max_ring: int = 80


@dataclass(frozen=True)
class StackStage:
    """One stage of a stack with its face width (mm) and the torque at its carrier (N mm)."""

    stage: PlanetaryStage
    width: float
    torque: float | None

    @property
    def teeth(self) -> ToothSet:
        """Its tooth numbers."""
        stage = self.stage
        return ToothSet(stage.sun.teeth, stage.planet.teeth, stage.ring.teeth, stage.planets)

    @property
    def length(self) -> float:
        """Length along the axis: teeth, carrier disc and a gap behind each (mm)."""
        module = self.stage.module
        return self.width + disc_thickness(module) + 2.0 * axial_gap(module)

    def __str__(self) -> str:
        """Give teeth, module and width."""
        return f"{self.teeth} m {self.stage.module:g} x {self.width:.3g}"


@dataclass(frozen=True)
class GearStack:
    """Stages from the motor to the output, and what they come to."""

    stages: tuple[StackStage, ...]
    length: float

    @property
    def ratio(self) -> float:
        """Motor turns per output turn."""
        return math.prod(placed.stage.ratio for placed in self.stages)

    @property
    def efficiency(self) -> float:
        """By tooth friction alone; bearings, seals and grease take more in a small gear."""
        return math.prod(placed.stage.efficiency() for placed in self.stages)

    @property
    def backlash_deg(self) -> float:
        """Angle (deg) that the output may turn while the motor stands still."""
        total = 0.0
        for placed in self.stages:  # what a stage brings is divided by the ratio of each one after it
            total = total / placed.stage.ratio + placed.stage.backlash_at_carrier
        return math.degrees(total)

    def __str__(self) -> str:
        """Give the stack in one line."""
        return (
            f"{self.ratio:.6g}:1 = {' + '.join(map(str, self.stages))}; {self.length:.3g} mm long, "
            f"efficiency {self.efficiency:.3f} (teeth alone), backlash {self.backlash_deg:.2g} deg"
        )


@dataclass(frozen=True)
class RefusedStack:
    """Stages that would have the ratio, and what refuses them."""

    teeth: tuple[ToothSet, ...]
    reason: str

    def __str__(self) -> str:
        """Give teeth and reason in one line."""
        return f"{' + '.join(map(str, self.teeth))} refused: {self.reason}"


@dataclass(frozen=True)
class StackAnswer:
    """The stacks offered, fewest stages and shortest first, those refused, and a reason for each count."""

    wanted: Wanted
    offered: tuple[GearStack, ...]
    refused: tuple[RefusedStack, ...]
    reasons: tuple[str, ...]
    spur: tuple[SpurStage, ...]

    def explain(self) -> str:
        """Say in lines of text what is offered, what is refused and why, and the spur alternative."""
        head = (
            f"{self.wanted.ratio:g}:1 in {self.wanted.diameter:g} mm, {self.wanted.planets} planets a stage"
        )
        lines = [f"{head}: {len(self.offered)} offered"]
        lines += [f"  {stack}" for stack in self.offered]
        lines += [f"  {reason}" for reason in self.reasons]
        lines += [f"  {refused}" for refused in self.refused]
        for pair in self.spur:
            lines.append(
                f"  spur, offset {pair.centre_distance:.4g} mm: {pair.pinion.teeth}/{pair.wheel.teeth} "
                f"m {pair.pinion.module:g}, efficiency {pair.efficiency():.3f} (teeth alone)"
            )
        return "\n".join(lines)


@cache
def _of_module_one(teeth: ToothSet) -> PlanetaryStage | str:
    """Design the stage in module 1, where only its proportions count, or say what refuses it."""
    try:
        return design_stage(teeth.sun, teeth.planet, teeth.ring, teeth.planets)
    except ShapeError as refused:
        return refused.problems[0].message


def _module(teeth: ToothSet, wanted: Wanted) -> float | str:
    """Give the largest standard module that the diameter holds (mm), or what refuses the stage."""
    unit = _of_module_one(teeth)
    if isinstance(unit, str):
        return unit
    room = wanted.diameter / 2.0 - housing_wall(wanted.diameter)
    largest = room / (unit.ring.root_radius + RIM) * (1.0 + 1e-12)
    fitting = [m for m in modules() if wanted.least_module <= m <= largest]
    if fitting:
        return fitting[-1]
    return f"{wanted.diameter:g} mm would need a module of {largest:.3g} mm, below {wanted.least_module:g}"


def _designed(teeth: ToothSet, wanted: Wanted) -> PlanetaryStage:
    """The stage in its largest module; only sets that have one are combined."""
    module = _module(teeth, wanted)
    assert isinstance(module, float)
    return design_stage(teeth.sun, teeth.planet, teeth.ring, teeth.planets, module=module)


def solve_stack(wanted: Wanted, *, most_stages: int = 3) -> StackAnswer:
    """List the stacks of up to `most_stages` planetary stages that meet what is wanted, or say why none does.

    Each stage has the largest standard module that the diameter holds, and the face width that its torque
    needs by Lewis' formula; every one offered is a stage that `design_stage` passes. Raises InputError for
    numbers that are no question.
    """
    _refuse(wanted, most_stages)
    sets = [
        teeth
        for teeth in tooth_sets(wanted.planets, max_ring=wanted.max_ring)
        if not isinstance(_module(teeth, wanted), str)
    ]
    offered: list[GearStack] = []
    refused: list[RefusedStack] = []
    reasons: list[str] = []
    for count in range(1, most_stages + 1):
        found, turned_down = _judge(wanted, _combinations(sets, wanted, count) if sets else ())
        offered += found
        refused += turned_down
        if not found and not turned_down:
            reasons.append(_why_none(sets, wanted, count))
    refused = [*_nearest_refused(wanted), *refused]
    offered.sort(key=lambda s: (len(s.stages), abs(s.ratio / wanted.ratio - 1.0) > EXACT, s.length))
    return StackAnswer(wanted, tuple(offered), tuple(refused), tuple(reasons), _spur(wanted))


def _refuse(wanted: Wanted, most_stages: int) -> None:
    problems = []
    if not 1 <= most_stages <= MOST_STAGES:
        problems.append(Problem(f"{most_stages} stages", f"write 1 to {MOST_STAGES}", field="most_stages"))
    rows = (
        ("diameter", wanted.diameter, "the gear's outer diameter in mm"),
        ("torque", wanted.torque, "the output torque in N mm, or leave it out"),
        ("length", wanted.length, "the longest gear in mm, or leave it out"),
        ("bending_mpa", wanted.bending_mpa, "the allowed bending stress in MPa"),
    )
    for name, value, meaning in rows:
        if value is not None and not (math.isfinite(value) and value > 0.0):
            problems.append(Problem(f"{name} {value:g} is not above 0", f"write {meaning}", field=name))
    if problems:
        raise InputError(*problems)
    planetary(wanted.ratio, wanted.planets, tolerance=wanted.tolerance, max_ring=wanted.max_ring)


def _combinations(sets: list[ToothSet], wanted: Wanted, count: int) -> Iterator[tuple[ToothSet, ...]]:
    """Give sets of so many stages whose product is the ratio, the nearest and most even first.

    Of several stages each ratio has its smallest ring, which has the largest module. All stages but one are
    listed; the one left, at least as high as they, is looked up among the ratios that there are.
    """
    slack = max(wanted.tolerance, EXACT)
    if count == 1:
        near = [teeth for teeth in sets if abs(teeth.ratio / wanted.ratio - 1.0) <= slack]
        yield from ((t,) for t in sorted(near, key=lambda t: abs(t.ratio / wanted.ratio - 1.0) > EXACT))
        return
    smallest = {teeth.ratio: teeth for teeth in reversed(sets)}
    ratios = _spread(smallest, MOST_RATIOS.get(count, len(smallest)))
    heads = _rising(ratios, count - 1, wanted.ratio * (1.0 + slack))
    needed = wanted.ratio / heads.prod(axis=1)
    first = np.searchsorted(ratios, np.maximum(needed * (1.0 - slack), heads[:, -1]))
    hits = np.maximum(np.searchsorted(ratios, needed * (1.0 + slack), side="right") - first, 0)
    rows = np.repeat(np.arange(len(heads)), hits)
    within = np.arange(len(rows)) - np.repeat(np.cumsum(hits) - hits, hits)
    chosen = np.column_stack((heads[rows], ratios[first[rows] + within]))
    error = np.maximum(np.abs(chosen.prod(axis=1) / wanted.ratio - 1.0), EXACT)
    for row in np.lexsort((chosen.max(axis=1), error))[:TRIED]:
        # The higher ratio first: the last stage bears the torque, and a lower ratio has the larger sun.
        yield tuple(smallest[float(ratio)] for ratio in chosen[row][::-1])


def _spread(smallest: dict[float, ToothSet], most: int) -> Array:
    """Give the ratios, rising; of too many, that of the smallest ring in each of `most` even groups."""
    groups = np.array_split(np.array(sorted(smallest)), min(most, len(smallest)))
    return np.array([min(group.tolist(), key=lambda ratio: smallest[ratio].ring) for group in groups])


def _rising(ratios: Array, count: int, most: float) -> Array:
    """Rows of `count` ratios that do not fall and leave room below `most` for one more like the last."""
    rows = ratios[:, None][ratios**2 <= most]
    for _ in range(count - 1):
        longer = np.column_stack((np.repeat(rows, len(ratios), axis=0), np.tile(ratios, len(rows))))
        fits = longer.prod(axis=1) * longer[:, -1] <= most
        rows = longer[fits & (longer[:, -1] >= longer[:, -2])]
    return rows


def _judge(
    wanted: Wanted, combinations: Iterable[tuple[ToothSet, ...]]
) -> tuple[list[GearStack], list[RefusedStack]]:
    """Build stacks until enough are found; keep the first refused of them, with the reason."""
    found: list[GearStack] = []
    refused: list[RefusedStack] = []
    for teeth in combinations:
        made = _stack(wanted, teeth)
        if isinstance(made, GearStack):
            found.append(made)
        elif len(refused) < OFFERED:
            refused.append(RefusedStack(teeth, made))
        if len(found) == OFFERED:
            break
    return found, refused


def _stack(wanted: Wanted, teeth: tuple[ToothSet, ...]) -> GearStack | str:
    """Give every stage its width, from the output back, and the stack its length; or what refuses it."""
    torque = wanted.torque
    stages: list[StackStage] = []
    for number in range(len(teeth), 0, -1):
        stage = _designed(teeth[number - 1], wanted)
        width = _width(stage, torque, wanted.bending_mpa)
        if width > MOST_WIDTH * stage.module:
            return (
                f"stage {number} needs a face width of {width:.3g} mm for {torque:.4g} N mm, above "
                f"{MOST_WIDTH:g} modules of {stage.module:g} mm"
            )
        stages.insert(0, StackStage(stage, width, torque))
        if torque is not None:
            torque /= stage.ratio * stage.efficiency()
    length = sum(end_walls(wanted.diameter)) + sum(placed.length for placed in stages)
    if wanted.length is not None and length > wanted.length:
        return f"it is {length:.4g} mm long, above {wanted.length:g} mm"
    return GearStack(tuple(stages), length)


def _width(stage: PlanetaryStage, torque: float | None, bending_mpa: float) -> float:
    """Face width (mm) by Lewis' formula, stress = F / (b m Y), for sun and planets; the usual without torque.

    Source: Shigley, eq. 14-2; planets bent both ways bear less (common practice, no source).
    """
    module = stage.module
    if torque is None:
        return USUAL_WIDTH * module
    sun_torque = torque / stage.ratio / stage.efficiency()
    force = LOAD_SHARE * sun_torque / stage.planets / (module * stage.sun.teeth / 2.0)
    weakest = min(float(lewis_factor(stage.sun.teeth)), REVERSED * float(lewis_factor(stage.planet.teeth)))
    return max(force / (module * weakest * bending_mpa), LEAST_WIDTH * module)


def _why_none(sets: list[ToothSet], wanted: Wanted, count: int) -> str:
    """Say why no stages of this count come near the ratio."""
    words = "1 stage" if count == 1 else f"{count} stages"
    if not sets:
        return f"{words}: none of {wanted.planets} planets fits in {wanted.diameter:g} mm"
    ratios = [teeth.ratio for teeth in sets]
    low, high = min(ratios) ** count, max(ratios) ** count
    text = f"{words} in {wanted.diameter:g} mm: {low:.4g}:1 to {high:.4g}:1"
    if low <= wanted.ratio <= high:
        text += f", but none found within {100.0 * wanted.tolerance:g} % of {wanted.ratio:g}:1"
    if count > 1:
        return text
    answer = planetary(wanted.ratio, wanted.planets, tolerance=wanted.tolerance, max_ring=wanted.max_ring)
    return f"{text}; {answer.reason}" if answer.reason else text


def _nearest_refused(wanted: Wanted) -> Iterator[RefusedStack]:
    """Single stages that would have the ratio but fail a condition, or their design."""
    answer = planetary(
        wanted.ratio, wanted.planets, tolerance=max(wanted.tolerance, EXACT), max_ring=wanted.max_ring
    )
    for failed in answer.refused[:OFFERED]:
        yield RefusedStack((failed.teeth,), "; ".join(rule.text for rule in failed.failed))
    for teeth in answer.offered[:OFFERED]:
        module = _module(teeth, wanted)
        if isinstance(module, str):
            yield RefusedStack((teeth,), module)


def _spur(wanted: Wanted) -> tuple[SpurStage, ...]:
    """Spur stages whose wheel fits the diameter: the fewest pinion teeth first, in the largest module."""
    found: list[SpurStage] = []
    for pinion in range(12, 25):
        wheel = round(pinion * wanted.ratio)
        if wheel < pinion or abs(wheel / pinion / wanted.ratio - 1.0) > max(wanted.tolerance, EXACT):
            continue
        try:
            unit = design_spur(pinion, wheel)
        except ShapeError:
            continue
        room = (wanted.diameter / 2.0 - housing_wall(wanted.diameter)) / unit.wheel.tip_radius
        fitting = [m for m in modules() if wanted.least_module <= m <= room]
        if fitting:
            found.append(design_spur(pinion, wheel, module=fitting[-1]))
        if len(found) == OFFERED:
            break
    return tuple(found)

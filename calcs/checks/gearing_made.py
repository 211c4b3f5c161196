"""What the teeth of given stages tell by themselves: shifts, neighbours, efficiency, backlash."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from calcs.check import check, derived
from calcs.finding import Finding, info
from geometry.errors import ShapeError
from geometry.planetary_stage import PlanetaryStage, design_stage
from geometry.spur_stage import SpurStage, design_spur
from geometry.tooth_rules import ToothRule, stage_rules
from geometry.units import Band

if TYPE_CHECKING:
    from geometry.design_gears import Spur, Stage

SMALL_STAGE = (0.80, 0.85)  # low and usual efficiency of a small stage; common practice, no source
TEETH = "tooth friction: Mueller 1982, Merritt (from memory); 0.80 to 0.85 a stage with bearings and grease: "


class MadeStage(NamedTuple):
    """A stage as its teeth are cut, or the words that refuse them."""

    given: Stage
    made: PlanetaryStage | None
    refused: str = ""

    def __str__(self) -> str:
        """Give the stage in a line for the report."""
        return self.refused or (
            f"{self.given}, {self.made.centre_distance:.4g} mm apart" if self.made else ""
        )

    @property
    def typed(self) -> bool:
        """Whether the design says how the teeth are shifted."""
        return self.given.sun_shift is not None or self.given.planet_shift is not None

    def neighbours(self) -> ToothRule | None:
        """Judge neighbouring planets by the teeth as cut, in the numbers of unshifted ones where both agree.

        None for one planet.
        """
        given = self.given
        numbers = (given.sun, given.planet, given.ring, given.planets)
        plain = _neighbour_rule(stage_rules(*numbers))
        if plain is None or (self.made is None and not self.refused.startswith("neighbours")):
            return plain
        if self.made is None:
            return ToothRule(plain.name, plain.value, plain.limit, False, self.refused)
        module = self.made.module
        cut = _neighbour_rule(
            stage_rules(
                *numbers,
                centre_distance=self.made.centre_distance / module,
                planet_tip_diameter=2.0 * self.made.planet.tip_radius / module,
            )
        )
        assert cut is not None  # as there is a plain one
        if self.typed or cut.passed != plain.passed:
            return cut
        same = math.isclose(cut.value, plain.value) and math.isclose(cut.limit, plain.limit)
        words = plain.text if same else f"{plain.text}, as cut {cut.value:.4g} > {cut.limit:.4g}"
        return ToothRule(plain.name, plain.value, plain.limit, plain.passed, words)


def _neighbour_rule(rules: tuple[ToothRule, ...]) -> ToothRule | None:
    return next((rule for rule in rules if rule.name == "neighbours"), None)


@derived()
def made_stages(stages: tuple[Stage, ...]) -> tuple[MadeStage, ...]:
    """Every stage with its teeth, cut in modules where the module is not given."""
    return tuple(map(_made, stages))


def _made(given: Stage) -> MadeStage:
    module = 1.0 if given.module is None else given.module
    try:
        made = design_stage(
            given.sun,
            given.planet,
            given.ring,
            given.planets,
            module=module,
            pressure_angle_deg=given.pressure_angle,
            sun_shift=given.sun_shift,
            planet_shift=given.planet_shift,
            backlash=None if given.module is None else given.tooth_backlash,
        )
    except ShapeError as refused:
        return MadeStage(given, None, refused.problems[0].message)
    return MadeStage(given, made)


@derived()
def made_spur(spur: Spur, has_inline_gear: bool = False, stages: tuple[Stage, ...] = ()) -> SpurStage | None:
    """The spur stage with its teeth; None where they do not work, or the gear before it is a bought one."""
    if has_inline_gear and not stages:
        return None
    try:
        return design_spur(
            spur.pinion,
            spur.wheel,
            module=spur.module,
            pressure_angle_deg=spur.pressure_angle,
            backlash=spur.tooth_backlash,
        )
    except ShapeError:
        return None


def tooth_efficiency(stages: tuple[MadeStage, ...], spur: SpurStage | None = None) -> float | None:
    """Efficiency that tooth friction alone leaves of all stages; None where one has no teeth that work."""
    known = [stage.made.efficiency() for stage in stages if stage.made is not None]
    if len(known) < len(stages) or not (stages or spur):
        return None
    return math.prod(known) * (spur.efficiency() if spur else 1.0)


def usual_efficiency(stages: tuple[MadeStage, ...], spur: SpurStage | None = None) -> Band | None:
    """Efficiency to expect of small stages, at best that of their teeth alone; None without such teeth."""
    best = tooth_efficiency(stages, spur)
    if best is None:
        return None
    count = len(stages) + (spur is not None)
    low, usual = (min(each**count, best) for each in SMALL_STAGE)
    return Band(low, usual, best)


@derived()
def tooth_backlash_rad(
    made_stages: tuple[MadeStage, ...] = (), made_spur: SpurStage | None = None
) -> float | None:
    """Backlash of the teeth alone at the output (rad): a stage's counts over the ratios behind it."""
    if not made_stages and made_spur is None:
        return None
    angle, ratio = (made_spur.backlash_at_wheel, made_spur.ratio) if made_spur else (0.0, 1.0)
    for stage in reversed(made_stages):
        if stage.made is None:
            return None
        angle += stage.made.backlash_at_carrier / ratio
        ratio *= stage.made.ratio
    return angle


@check(
    "gearing.efficiency",
    formula="product of (1 + e z_ring / z_sun) / (1 + z_ring / z_sun), e of the meshes; e of a spur stage",
    source=f"{TEETH}common practice, no source",
    margin_kind="none",
)
def efficiency(
    has_gears: bool,
    gear_efficiency: Band,
    given_gear_efficiency: Band | None = None,
    made_stages: tuple[MadeStage, ...] = (),
    made_spur: SpurStage | None = None,
) -> Finding:
    """Efficiency of the gear stack."""
    if not has_gears:
        return info(None, "direct drive, no gears")
    best = tooth_efficiency(made_stages, made_spur)
    words = "" if best is None else f"tooth friction alone would leave {best:.3f}"
    if given_gear_efficiency is not None:
        return info(gear_efficiency, words)
    caution = ("No gears.efficiency is given: 0.80 to 0.85 a stage is assumed, at best the teeth's own",)
    return info(gear_efficiency, words, cautions=caution)

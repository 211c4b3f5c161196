"""One planetary stage designed from its tooth numbers: shifts, centre distance, tips, backlash (mm).

Ring fixed, sun driving, carrier driven. Both meshes work at one centre distance, which asks for
x_ring = x_sun + 2 x_planet where ring = sun + 2 planet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from geometry.errors import ShapeError
from geometry.gear_pair import (
    BACKLASH,
    FORM_MARGIN,
    TIP_CLEARANCE,
    TOOTH_FRICTION,
    base_tangent,
    contact_of,
    loss_of,
    nominal_root,
    pair_distance,
    refuse_contact,
    shift_against_undercut,
    shift_notes,
    with_external_tip,
)
from geometry.gear_teeth import ADDENDUM, GearTeeth, check_teeth
from geometry.tooth_rules import stage_rules


@dataclass(frozen=True)
class PlanetaryStage:
    """A planetary stage whose teeth mesh: its three gears, working centre distance and backlash (mm)."""

    sun: GearTeeth
    planet: GearTeeth
    ring: GearTeeth
    planets: int
    centre_distance: float
    backlash: float
    notes: tuple[str, ...] = ()

    @property
    def ratio(self) -> float:
        """Sun turns per carrier turn."""
        return 1.0 + self.ring.teeth / self.sun.teeth

    @property
    def module(self) -> float:
        """Module of all three gears (mm)."""
        return self.sun.module

    @property
    def contact_ratios(self) -> tuple[float, float]:
        """Contact ratio of sun with planet, and of planet with ring."""
        return (
            contact_of(self.sun, self.planet, self.centre_distance),
            contact_of(self.planet, self.ring, self.centre_distance),
        )

    @property
    def backlash_at_carrier(self) -> float:
        """Angle (rad) that the carrier may turn while sun and ring stand still.

        The play of both meshes shows at the sun as 2 j / r_b; the carrier turns the ratio times less.
        """
        return 2.0 * self.backlash / self.sun.base_radius / self.ratio

    def efficiency(self, friction: float = TOOTH_FRICTION) -> float:
        """Efficiency by tooth friction alone, without bearings and grease; see `efficiency_at_carrier`."""
        held = (1.0 - friction * loss_of(self.sun, self.planet, self.centre_distance)) * (
            1.0 - friction * loss_of(self.planet, self.ring, self.centre_distance)
        )
        return efficiency_at_carrier(self.ring.teeth / self.sun.teeth, held)

    def planet_angles(self) -> tuple[float, ...]:
        """Angles (rad) at which the planets stand, the sun having a tooth at angle 0."""
        return tuple(math.tau * index / self.planets for index in range(self.planets))

    def planet_turn(self, angle: float) -> float:
        """Angle (rad) of a tooth of the planet that stands at an angle, in mesh with the sun."""
        return angle + math.pi - (0.5 - angle / self.sun.pitch) * self.planet.pitch

    def ring_turn(self) -> float:
        """Angle (rad) of a tooth of the ring, in mesh with the planet at angle 0 and so with all."""
        return (self.planet_turn(0.0) / self.planet.pitch + 0.5) * self.ring.pitch


def efficiency_at_carrier(ring_over_sun: float, held: float) -> float:
    """Give a stage's efficiency, sun to carrier, ring fixed, from that of both meshes with the carrier held.

    (1 + e R) / (1 + R), R the ring's teeth over the sun's. Source: Mueller 1982, Merritt (from memory).
    """
    return (1.0 + held * ring_over_sun) / (1.0 + ring_over_sun)


@lru_cache(maxsize=256)  # the parts, the checks and every search ask for the same stage
def design_stage(
    sun: int,
    planet: int,
    ring: int,
    planets: int = 3,
    *,
    module: float = 1.0,
    pressure_angle_deg: float = 20.0,
    sun_shift: float | None = None,
    planet_shift: float | None = None,
    backlash: float | None = None,
) -> PlanetaryStage:
    """Design a stage: shifts against undercut, the common centre distance, tips short of root and fillet.

    Lengths in mm, shifts in modules, `backlash` normal to the flanks of each mesh. Shifts left out are the
    least without undercut, in hundredths. Raises ShapeError with what refuses the stage and the number.
    """
    angle = math.radians(pressure_angle_deg)
    play = BACKLASH * module if backlash is None else backlash
    thinning = play / 2.0
    _refuse_numbers(sun, planet, ring, planets)
    bare_sun, bare_planet, bare_ring = (
        GearTeeth(teeth, module, math.nan, pressure_angle=angle, thinning=thinning, internal=teeth == ring)
        for teeth in (sun, planet, ring)
    )
    sun_gear = replace(bare_sun, shift=_given_or_least(sun_shift, bare_sun))
    planet_gear = replace(bare_planet, shift=_given_or_least(planet_shift, bare_planet))
    distance = pair_distance(sun_gear, planet_gear)
    sun_gear, planet_gear = (
        with_external_tip(sun_gear, planet_gear, distance),
        with_external_tip(planet_gear, sun_gear, distance),
    )
    bare_ring = replace(bare_ring, shift=sun_gear.shift + 2.0 * planet_gear.shift)
    gears = (sun_gear, planet_gear, _ring_around(planet_gear, bare_ring, sun_gear, distance))
    for name, gear in zip(("sun", "planet", "ring"), gears, strict=True):
        check_teeth(gear, name)
    stage = PlanetaryStage(*gears, planets, distance, play, _notes(gears))
    _refuse_stage(stage)
    return stage


def _refuse_numbers(sun: int, planet: int, ring: int, planets: int) -> None:
    for rule in stage_rules(sun, planet, ring, planets):
        if rule.name in ("ring", "spacing") and not rule.passed:
            repair = f"write ring = {sun + 2 * planet}" if rule.name == "ring" else "choose other teeth"
            raise ShapeError(rule.text, repair, rule.name)


def _given_or_least(shift: float | None, gear: GearTeeth) -> float:
    return shift_against_undercut(gear) if shift is None else shift


def _ring_around(planet: GearTeeth, ring: GearTeeth, sun: GearTeeth, distance: float) -> GearTeeth:
    """Set the ring's tip clear of the planets' roots and fillets, and its root where their tips need it."""
    clearance = TIP_CLEARANCE * ring.module
    # Both meshes share the working pressure angle, and with it the length between the tangent points.
    roll = base_tangent(sun, planet, distance) + planet.form_roll + FORM_MARGIN * ring.module
    tip = max(
        ring.module * (ring.teeth / 2.0 + ring.shift - ADDENDUM),
        distance + nominal_root(planet) + clearance,
        math.hypot(ring.base_radius, roll),
    )
    return replace(ring, tip_radius=tip, ring_root_radius=distance + planet.tip_radius + clearance)


def _notes(gears: tuple[GearTeeth, GearTeeth, GearTeeth]) -> tuple[str, ...]:
    """Say which profile is shifted and why, and which tip is shortened."""
    sun, planet, ring = gears
    said = shift_notes("sun", sun) + shift_notes("planet", planet)
    if ring.shift:
        said.append(f"ring shifted by {ring.shift:g} to the common centre distance")
    return tuple(said)


def _refuse_stage(stage: PlanetaryStage) -> None:
    """Raise ShapeError for neighbours that touch or teeth that let go before the next ones carry."""
    rules = stage_rules(
        stage.sun.teeth,
        stage.planet.teeth,
        stage.ring.teeth,
        stage.planets,
        centre_distance=stage.centre_distance / stage.module,
        planet_tip_diameter=2.0 * stage.planet.tip_radius / stage.module,
    )
    for rule in rules:
        if rule.name == "neighbours" and not rule.passed:
            raise ShapeError(rule.text, "choose fewer planets or a lower ratio", "planets")
    for pair, ratio in zip(("sun and planet", "planet and ring"), stage.contact_ratios, strict=True):
        refuse_contact(pair, ratio)

"""One planetary stage designed from its tooth numbers: shifts, centre distance, tips, backlash (mm).

Ring fixed, sun driving, carrier driven. Both meshes work at one centre distance, which asks for
x_ring = x_sun + 2 x_planet where ring = sun + 2 planet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from geometry.errors import InputError, ShapeError
from geometry.gear_teeth import ADDENDUM, DEDENDUM, GearTeeth, check_teeth, least_shift
from geometry.gears import stage_rules
from geometry.involute import (
    contact_ratio,
    mesh_loss_factor,
    roll_length,
    working_centre_distance,
)

TIP_CLEARANCE = DEDENDUM - ADDENDUM  # modules, between a tip and the root it turns in
BACKLASH = 0.05  # modules between flanks where nothing is said; small gears, common practice, no source
LEAST_TIP_LAND = 0.2  # modules; common practice, no source
LEAST_CONTACT_RATIO = 1.1  # common practice, no source: 1.2 is usual, small shifted gears go to 1.1
FORM_MARGIN = 0.02  # modules of roll that a tip stays off the other gear's fillet, our own choice
TOOTH_FRICTION = 0.08  # greased steel on steel; common practice, no source
SHIFT_STEP = 100  # shifts are whole hundredths of a module


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
            _contact(self.sun, self.planet, self.centre_distance),
            _contact(self.planet, self.ring, self.centre_distance),
        )

    @property
    def backlash_at_carrier(self) -> float:
        """Angle (rad) that the carrier may turn while sun and ring stand still.

        The play of both meshes shows at the sun as 2 j / r_b; the carrier turns the ratio times less.
        """
        return 2.0 * self.backlash / self.sun.base_radius / self.ratio

    def efficiency(self, friction: float = TOOTH_FRICTION) -> float:
        """Efficiency by tooth friction alone, without bearings and grease.

        (1 + e R) / (1 + R), R = ring / sun, e both meshes with the carrier held. Source: Mueller 1982 (from
        memory); loss of a mesh: `mesh_loss_factor`.
        """
        held = (1.0 - friction * _loss(self.sun, self.planet, self.centre_distance)) * (
            1.0 - friction * _loss(self.planet, self.ring, self.centre_distance)
        )
        teeth = self.ring.teeth / self.sun.teeth
        return (1.0 + held * teeth) / (1.0 + teeth)

    def planet_angles(self) -> tuple[float, ...]:
        """Angles (rad) at which the planets stand, the sun having a tooth at angle 0."""
        return tuple(math.tau * index / self.planets for index in range(self.planets))

    def planet_turn(self, angle: float) -> float:
        """Angle (rad) of a tooth of the planet that stands at an angle, in mesh with the sun."""
        return angle + math.pi - (0.5 - angle / self.sun.pitch) * self.planet.pitch

    def ring_turn(self) -> float:
        """Angle (rad) of a tooth of the ring, in mesh with the planet at angle 0 and so with all."""
        return (self.planet_turn(0.0) / self.planet.pitch + 0.5) * self.ring.pitch


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
    shifts = (
        _least_shift(bare_sun) if sun_shift is None else sun_shift,
        _least_shift(bare_planet) if planet_shift is None else planet_shift,
    )
    distance = _distance(shifts, sun + planet, module, angle)
    gears = _with_tips(
        replace(bare_sun, shift=shifts[0]),
        replace(bare_planet, shift=shifts[1]),
        replace(bare_ring, shift=shifts[0] + 2.0 * shifts[1]),
        distance,
    )
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


def _least_shift(gear: GearTeeth) -> float:
    """Round the least shift without undercut, thinning included, up to a hundredth; 0 if none is needed."""
    needed = least_shift(gear.teeth, gear.pressure_angle) - gear.generating_shift
    return max(0.0, math.ceil(needed * SHIFT_STEP - 1e-9) / SHIFT_STEP)


def _distance(shifts: tuple[float, float], teeth: int, module: float, angle: float) -> float:
    try:
        return working_centre_distance(sum(shifts), teeth, module, angle)
    except InputError as refused:
        message = f"shifts of {shifts[0]:g} and {shifts[1]:g} push sun and planet through one another"
        raise ShapeError(message, "write shifts that are less negative", "shift") from refused


def _with_tips(
    sun: GearTeeth, planet: GearTeeth, ring: GearTeeth, distance: float
) -> tuple[GearTeeth, GearTeeth, GearTeeth]:
    """Set the tips: one module of addendum, less what root clearance, fillets and tip lands take.

    A tip may touch its partner's involute only, which ends at the form radius; along the line of contact the
    rolls of both add up to the distance between the base circles' tangent points.
    """
    module, margin = sun.module, FORM_MARGIN * sun.module
    clearance = TIP_CLEARANCE * module
    across = math.sqrt(distance**2 - (sun.base_radius + planet.base_radius) ** 2)
    sun_tip = min(
        _standard_tip(sun),
        distance - _nominal_root(planet) - clearance,
        math.hypot(sun.base_radius, max(across - planet.form_roll - margin, 0.0)),
    )
    planet_tip = min(
        _standard_tip(planet),
        distance - _nominal_root(sun) - clearance,
        math.hypot(planet.base_radius, max(across - sun.form_roll - margin, 0.0)),
    )
    sun, planet = _with_land(sun, sun_tip), _with_land(planet, planet_tip)
    ring_tip = max(
        ring.module * (ring.teeth / 2.0 + ring.shift - ADDENDUM),
        distance + _nominal_root(planet) + clearance,
        math.hypot(ring.base_radius, across + planet.form_roll + margin),
    )
    root = distance + planet.tip_radius + clearance
    return sun, planet, replace(ring, tip_radius=ring_tip, ring_root_radius=root)


def _standard_tip(gear: GearTeeth) -> float:
    return gear.module * (gear.teeth / 2.0 + gear.shift + ADDENDUM)


def _nominal_root(gear: GearTeeth) -> float:
    return gear.module * (gear.teeth / 2.0 + gear.shift - DEDENDUM)


def _with_land(gear: GearTeeth, tip_radius: float) -> GearTeeth:
    """Shorten a tip until it has the least land, by bisection: the land falls all the way outwards."""
    least = LEAST_TIP_LAND * gear.module
    made = replace(gear, tip_radius=tip_radius)
    if made.tip_land >= least:
        return made
    low, high = max(gear.base_radius, gear.form_radius), tip_radius
    for _ in range(60):
        middle = (low + high) / 2.0
        if replace(gear, tip_radius=middle).tip_land >= least:
            low = middle
        else:
            high = middle
    return replace(gear, tip_radius=low)


def _notes(gears: tuple[GearTeeth, GearTeeth, GearTeeth]) -> tuple[str, ...]:
    """Say which profile is shifted and why, and which tip is shortened."""
    said = []
    for name, gear in zip(("sun", "planet"), gears[:2], strict=True):
        least = least_shift(gear.teeth, gear.pressure_angle)
        if gear.shift and least > 0.0:
            said.append(
                f"{name} of {gear.teeth} teeth shifted by {gear.shift:g} against undercut, "
                f"which needs {least:.3f}"
            )
        short = _standard_tip(gear) - gear.tip_radius
        if short > 1e-6:
            said.append(f"{name} tips shortened by {short / gear.module:.3f} modules")
    ring = gears[2]
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
        if ratio < LEAST_CONTACT_RATIO:
            raise ShapeError(
                f"{pair} have a contact ratio of {ratio:.3f}, below {LEAST_CONTACT_RATIO:g}",
                "choose more teeth or less shift",
                "shift",
            )


def _contact(first: GearTeeth, second: GearTeeth, distance: float) -> float:
    return contact_ratio(
        (first.teeth, second.teeth),
        (first.tip_radius, second.tip_radius),
        first.module,
        distance,
        pressure_angle=first.pressure_angle,
        internal=second.internal,
    )


def _loss(first: GearTeeth, second: GearTeeth, distance: float) -> float:
    """Loss factor of a mesh from its shares of contact before and after the pitch point."""
    bases = (first.base_radius, second.base_radius)
    legs = bases[1] - bases[0] if second.internal else bases[0] + bases[1]
    tangent = math.sqrt((distance / legs) ** 2 - 1.0)
    base_pitch = math.pi * first.module * math.cos(first.pressure_angle)
    own, their = (
        (roll_length(gear.tip_radius, gear.base_radius) - gear.base_radius * tangent) / base_pitch
        for gear in (first, second)
    )
    before = -their if second.internal else their
    return mesh_loss_factor((first.teeth, second.teeth), before, own, internal=second.internal)

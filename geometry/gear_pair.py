"""Two gears that mesh: shifts against undercut, tips short of root and fillet, contact and loss (mm)."""

from __future__ import annotations

import math
from dataclasses import replace

from geometry.errors import InputError, ShapeError
from geometry.gear_teeth import ADDENDUM, DEDENDUM, GearTeeth, least_shift
from geometry.involute import contact_ratio, mesh_loss_factor, roll_length, working_centre_distance

TIP_CLEARANCE = DEDENDUM - ADDENDUM  # modules, between a tip and the root it turns in
BACKLASH = 0.05  # modules between flanks where nothing is said; small gears, common practice, no source
LEAST_TIP_LAND = 0.2  # modules; common practice, no source
LEAST_CONTACT_RATIO = 1.1  # common practice, no source: 1.2 is usual, small shifted gears go to 1.1
FORM_MARGIN = 0.02  # modules of roll that a tip stays off the other gear's fillet, our own choice
TOOTH_FRICTION = 0.08  # greased steel on steel; common practice, no source
SHIFT_STEP = 100  # shifts are whole hundredths of a module


def shift_against_undercut(gear: GearTeeth) -> float:
    """Round the least shift without undercut, thinning included, up to a hundredth; 0 if none is needed."""
    needed = least_shift(gear.teeth, gear.pressure_angle) - gear.generating_shift
    return max(0.0, math.ceil(needed * SHIFT_STEP - 1e-9) / SHIFT_STEP)


def pair_distance(first: GearTeeth, second: GearTeeth) -> float:
    """Give the centre distance at which an external pair has no play but its thinning (mm).

    Raises ShapeError for shifts so negative that no centre distance is left.
    """
    try:
        return working_centre_distance(
            first.shift + second.shift, first.teeth + second.teeth, first.module, first.pressure_angle
        )
    except InputError as refused:
        message = f"shifts of {first.shift:g} and {second.shift:g} push the gears through one another"
        raise ShapeError(message, "write shifts that are less negative", "shift") from refused


def base_tangent(first: GearTeeth, second: GearTeeth, distance: float) -> float:
    """Give the length of the line of contact between the base circles of an external pair (mm)."""
    return math.sqrt(distance**2 - (first.base_radius + second.base_radius) ** 2)


def with_external_tip(gear: GearTeeth, partner: GearTeeth, distance: float) -> GearTeeth:
    """Set a gear's tip: one module of addendum, less what the partner's root and fillet and the land take.

    A tip may touch its partner's involute only, which ends at the form circle; along the line of contact the
    rolls of both add up to its length between the base circles. The root it clears is the one that is
    cut, deeper than the nominal one by the thinning.
    """
    roll = base_tangent(gear, partner, distance) - partner.form_roll - FORM_MARGIN * gear.module
    tip = min(
        standard_tip(gear),
        distance - partner.root_radius - TIP_CLEARANCE * gear.module,
        math.hypot(gear.base_radius, max(roll, 0.0)),
    )
    return _with_land(gear, tip)


def standard_tip(gear: GearTeeth) -> float:
    """Give the tip radius of a full addendum (mm)."""
    return gear.module * (gear.teeth / 2.0 + gear.shift + ADDENDUM)


def nominal_root(gear: GearTeeth) -> float:
    """Give the root radius that an external gear has without thinning (mm)."""
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


def shift_notes(name: str, gear: GearTeeth) -> list[str]:
    """Say that a profile is shifted and why, and that its tips are shortened, with the numbers."""
    said = []
    least = least_shift(gear.teeth, gear.pressure_angle)
    if gear.shift and least > 0.0:
        said.append(
            f"{name} of {gear.teeth} teeth shifted by {gear.shift:g} against undercut, "
            f"which needs {least:.3f}"
        )
    short = standard_tip(gear) - gear.tip_radius
    if short > 1e-6:
        said.append(f"{name} tips shortened by {short / gear.module:.3f} modules")
    return said


def refuse_contact(words: str, ratio: float) -> None:
    """Raise ShapeError for teeth that let go before the next ones carry."""
    if ratio < LEAST_CONTACT_RATIO:
        raise ShapeError(
            f"{words} have a contact ratio of {ratio:.3f}, below {LEAST_CONTACT_RATIO:g}",
            "choose more teeth or less shift",
            "shift",
        )


def contact_of(first: GearTeeth, second: GearTeeth, distance: float) -> float:
    """Give the contact ratio of a pair, the second a ring or not."""
    return contact_ratio(
        (first.teeth, second.teeth),
        (first.tip_radius, second.tip_radius),
        first.module,
        distance,
        pressure_angle=first.pressure_angle,
        internal=second.internal,
    )


def loss_of(first: GearTeeth, second: GearTeeth, distance: float) -> float:
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

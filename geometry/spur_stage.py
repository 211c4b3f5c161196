"""A spur stage: a pinion beside a wheel on a parallel shaft, the alternative where an offset helps (mm)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from geometry.gear_pair import (
    BACKLASH,
    TOOTH_FRICTION,
    contact_of,
    loss_of,
    pair_distance,
    refuse_contact,
    shift_against_undercut,
    shift_notes,
    with_external_tip,
)
from geometry.gear_teeth import GearTeeth, check_teeth


@dataclass(frozen=True)
class SpurStage:
    """A pinion that drives a wheel at a centre distance, the shafts' offset (mm), with normal backlash."""

    pinion: GearTeeth
    wheel: GearTeeth
    centre_distance: float
    backlash: float
    notes: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Give the stage in a line for the report."""
        return f"{self.pinion.teeth}/{self.wheel.teeth} spur, {self.centre_distance:.4g} mm apart"

    @property
    def ratio(self) -> float:
        """Pinion turns per wheel turn; the wheel turns the other way."""
        return self.wheel.teeth / self.pinion.teeth

    @property
    def contact_ratio(self) -> float:
        """Contact ratio of the mesh."""
        return contact_of(self.pinion, self.wheel, self.centre_distance)

    @property
    def backlash_at_wheel(self) -> float:
        """Angle (rad) that the wheel may turn while the pinion stands still."""
        return self.backlash / self.wheel.base_radius

    def efficiency(self, friction: float = TOOTH_FRICTION) -> float:
        """Efficiency by tooth friction alone, without bearings and grease; see `loss_of`."""
        return 1.0 - friction * loss_of(self.pinion, self.wheel, self.centre_distance)


def design_spur(
    pinion: int,
    wheel: int,
    *,
    module: float = 1.0,
    pressure_angle_deg: float = 20.0,
    backlash: float | None = None,
) -> SpurStage:
    """Design a spur stage: shifts against undercut, the centre distance they ask for, tips, backlash (mm).

    Raises ShapeError with what refuses the pair and the number.
    """
    play = BACKLASH * module if backlash is None else backlash
    bare = [
        GearTeeth(
            teeth, module, math.nan, pressure_angle=math.radians(pressure_angle_deg), thinning=play / 2.0
        )
        for teeth in (pinion, wheel)
    ]
    first, second = (replace(gear, shift=shift_against_undercut(gear)) for gear in bare)
    distance = pair_distance(first, second)
    small, large = with_external_tip(first, second, distance), with_external_tip(second, first, distance)
    for name, gear in (("pinion", small), ("wheel", large)):
        check_teeth(gear, name)
    notes = (*shift_notes("pinion", small), *shift_notes("wheel", large))
    stage = SpurStage(small, large, distance, play, notes)
    refuse_contact("pinion and wheel", stage.contact_ratio)
    return stage

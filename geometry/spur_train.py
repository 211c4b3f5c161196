"""The spur stage of a design: designed, placed before the motor's side of the stack, its housing (mm).

The wheel stands on the screw's axis, the pinion beside it on the motor's: all that is behind the stage
stands on that second axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from geometry.bodies import Shape
from geometry.errors import Problem, ShapeError
from geometry.gear_train import USUAL_WIDTH, axial_gap, bore_radius, end_walls, housing_wall
from geometry.prisms import hull_of_rounds
from geometry.spur_stage import SpurStage, design_spur

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_gears import Spur

NEARLY = 1e-9  # of a direction that lies across the axis


class SpurTrain(NamedTuple):
    """A spur stage placed with its front at z = 0: offset of its pinion, z of its teeth, its housing (mm)."""

    stage: SpurStage
    offset: tuple[float, float]
    length: float
    teeth: tuple[float, float]
    hollow: tuple[float, float]
    gap: float
    wall: float

    @property
    def hollow_radii(self) -> tuple[float, float]:
        """Radii of the room for wheel and pinion."""
        return self.stage.wheel.tip_radius + self.gap, self.stage.pinion.tip_radius + self.gap

    @property
    def bores(self) -> tuple[float, float]:
        """Bores of wheel and pinion for their shafts."""
        wheel, pinion = self.stage.wheel, self.stage.pinion
        return tuple(2.0 * bore_radius(gear.root_radius, gear.module) for gear in (wheel, pinion))  # type: ignore[return-value] # two of them

    def housing(self) -> Shape:
        """The housing as a closed body: the hull of both rooms with their wall."""
        wheel, pinion = (radius + self.wall for radius in self.hollow_radii)
        return Shape((hull_of_rounds(wheel, pinion, self.offset, (-self.length, 0.0)),))


def spur_train(design: Design) -> SpurTrain | None:
    """Design and place a design's spur stage; None where it has none.

    Raises ShapeError, at its field, for teeth or lengths that do not work.
    """
    spur = design.gears.spur if design.gears else None
    return None if spur is None else _placed(spur)


def placed_spur(design: Design) -> SpurTrain | None:
    """Give a design's spur stage where it has one that works; `spur_problems` says what keeps it out."""
    try:
        return spur_train(design)
    except ShapeError:
        return None


@lru_cache(maxsize=64)
def _stage(pinion: int, wheel: int, module: float, angle_deg: float, backlash: float | None) -> SpurStage:
    return design_spur(pinion, wheel, module=module, pressure_angle_deg=angle_deg, backlash=backlash)


def _placed(spur: Spur) -> SpurTrain:
    x, y, z = spur.direction
    if abs(z) > NEARLY:
        raise ShapeError(
            f"the motor lies beside the screw, but its direction leans {math.degrees(math.asin(z)):.3g} deg "
            "along it",
            "write a direction across the screw, such as [1, 0, 0]",
            "gears.spur.direction",
        )
    try:
        stage = _stage(spur.pinion, spur.wheel, spur.module, spur.pressure_angle, spur.tooth_backlash)
    except ShapeError as refused:
        problem = refused.problems[0]
        raise ShapeError(f"spur stage: {problem.message}", problem.repair, "gears.spur") from refused
    diameter = 2.0 * stage.wheel.tip_radius
    wall, gap, (front, rear) = housing_wall(diameter), axial_gap(spur.module), end_walls(diameter)
    width = USUAL_WIDTH * spur.module if spur.width is None else spur.width
    needed = front + width + 2.0 * gap + rear
    length = needed if spur.length is None else spur.length
    if length < needed - NEARLY:
        raise ShapeError(
            f"a face width of {width:g} mm with gaps and walls needs {needed:.4g} mm, the housing of a spur "
            f"stage is {length:g} mm long",
            f"write a length of {math.ceil(needed * 100) / 100:g} mm or more, or a smaller width",
            "gears.spur.length",
        )
    offset = (stage.centre_distance * x, stage.centre_distance * y)
    teeth = (-front - gap - width, -front - gap)
    return SpurTrain(stage, offset, length, teeth, (rear - length, -front), gap, wall)


def spur_notes(design: Design) -> tuple[str, ...]:
    """Tell what the teeth of the spur stage are cut to: distance, backlash, shifts (mm)."""
    train = placed_spur(design)
    if train is None:
        return ()
    stage = train.stage
    return (
        f"spur stage: {stage.pinion.teeth}/{stage.wheel.teeth}, module {stage.wheel.module:g} mm, "
        f"centre distance {stage.centre_distance:.4f} mm, backlash {1e3 * stage.backlash:.3g} um"
        + "".join(f"; {note}" for note in stage.notes),
    )


def spur_problems(design: Design) -> Iterator[Problem]:
    """Give what keeps a spur stage from being built or placed, each at its field."""
    gears = design.gears
    if gears is None or gears.spur is None:
        return
    try:
        spur_train(design)
    except ShapeError as refused:
        yield refused.problems[0]
    for name in ("ears", "mount"):
        if getattr(gears, name) is not None:
            yield Problem(
                f"the front face that {name} are on lies against the spur stage",
                f"leave {name} out: the spur stage's housing is what is mounted",
                field=f"gears.{name}",
            )
    if gears.inline and not gears.stage and gears.ratio is None:
        yield Problem(
            "beside the spur stage there is a gear of its own size, but its ratio is not known",
            "write ratio = motor : screw in all, or [[gears.stage]], or leave its size out",
            field="gears",
        )

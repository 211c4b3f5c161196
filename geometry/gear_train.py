"""The teeth inside a gear's envelope: stages designed and placed along the axis, walls, shafts (mm).

From the front face (z = 0) backwards: front wall with output and bearings, then each stage from the last to
the first, its carrier in front of its teeth, then what length is left, then the rear wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from geometry.errors import Problem, ShapeError
from geometry.gear_blanks import RIM
from geometry.planetary_stage import PlanetaryStage, design_stage
from geometry.threads import thread
from geometry.tooth_rules import stage_rules

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_gears import Gears, Output, Stage

# Proportions of small gearheads: common practice, no source.
USUAL_WIDTH = 10.0  # modules of face width where nothing is said
LEAST_WIDTH = 4.0  # modules
DISC = 2.5  # modules of carrier disc
LEAST_DISC = 0.6
GAP = 0.3  # modules between what turns at different speeds, along the axis
LEAST_GAP = 0.1
MOST_BORE = 3.0  # modules of radius, of suns and planets
PIN_PLAY = 0.005  # radially, between pin and planet
SHAFT_PLAY = 0.1  # radially, where a shaft passes a wall
LIP = 0.5  # of wall that holds a bearing from behind


class PlacedStage(NamedTuple):
    """A stage with z of its teeth and of its carrier's disc (mm), bores and the disc's radius."""

    stage: PlanetaryStage
    teeth: tuple[float, float]
    disc: tuple[float, float]
    disc_radius: float
    sun_bore: float
    planet_bore: float


class OutputEnd(NamedTuple):
    """The output's shaft, its flange and its bearings in the front wall (mm); flush with z = 0."""

    shaft_radius: float
    flange: tuple[float, float] | None
    """Radius and thickness."""
    bearing_radius: float
    bearings: tuple[tuple[float, float], ...]
    """z of each."""

    @property
    def flange_depth(self) -> float:
        """How far the flange reaches into the front wall, with the gap behind it."""
        return 0.0 if self.flange is None else self.flange[1] + LEAST_GAP


class GearTrain(NamedTuple):
    """Every stage of a gear, placed, and the hollow of its housing (mm)."""

    stages: tuple[PlacedStage, ...]
    output: OutputEnd
    hollow: tuple[float, float]
    hollow_radius: float
    rear: float
    """z of the gear's rear face, its front face at 0."""


def gear_train(design: Design) -> GearTrain | None:
    """Design and place the teeth of a gear; None where it is bought, or its shape or modules are not ours.

    Raises ShapeError for stages that do not work or that the gear's diameter or length does not hold.
    """
    gears = design.gears
    if gears is None or gears.shape or not gears.stage or gears.diameter is None or gears.length is None:
        return None
    if any(given.module is None for given in gears.stage):
        return None
    stages = [_designed(given, index) for index, given in enumerate(gears.stage)]
    hollow_radius = gears.diameter / 2.0 - housing_wall(gears.diameter)
    for index, stage in enumerate(stages):
        _refuse_diameter(stage, hollow_radius, gears.diameter, index)
    return _placed(gears, stages, gears.length, hollow_radius, gears.diameter)


def teeth_notes(design: Design) -> tuple[str, ...]:
    """Tell what the teeth of each stage are cut to: distance, backlash, shifts; or why there are none."""
    reason = why_no_teeth(design)
    train = None if reason else gear_train(design)
    if train is None:
        return (reason,) if reason else ()
    return tuple(
        f"stage {number}: {stage.sun.teeth}/{stage.planet.teeth}/{stage.ring.teeth}, "
        f"module {stage.module:g} mm, centre distance {stage.centre_distance:.4f} mm, "
        f"backlash {1e3 * stage.backlash:.3g} um a mesh" + "".join(f"; {note}" for note in stage.notes)
        for number, stage in enumerate((placed.stage for placed in train.stages), start=1)
    )


def why_no_teeth(design: Design) -> str:
    """Say why a gear with known stages is only its envelope; empty where it has teeth or is bought."""
    gears = design.gears
    if gears is None or gears.shape or not gears.stage:
        return ""
    lacking = [f"gears.stage[{i}].module" for i, given in enumerate(gears.stage) if given.module is None]
    if lacking:
        return f"gear without teeth: it lacks {', '.join(lacking)}"
    try:
        gear_train(design)
    except ShapeError as refused:
        return f"gear without teeth: {refused.problems[0].message}"
    return ""


def train_problems(design: Design) -> Iterator[Problem]:
    """Give what keeps the teeth out of the gear: its size, or a profile shift that was typed.

    What the checks judge (ring, spacing, neighbours), and teeth that no typed number spoils, is no problem of
    the input: the gear stays an envelope then, and `why_no_teeth` says so.
    """
    try:
        gear_train(design)
    except ShapeError as refused:
        problem = refused.problems[0]
        if problem.field.startswith("gears."):
            yield problem


def _designed(given: Stage, index: int) -> PlanetaryStage:
    assert given.module is not None  # gear_train asks only then
    try:
        return design_stage(
            given.sun,
            given.planet,
            given.ring,
            given.planets,
            module=given.module,
            pressure_angle_deg=given.pressure_angle,
            sun_shift=given.sun_shift,
            planet_shift=given.planet_shift,
            backlash=given.tooth_backlash,
        )
    except ShapeError as refused:
        problem = refused.problems[0]
        judged = not all(
            rule.passed or rule.note
            for rule in stage_rules(given.sun, given.planet, given.ring, given.planets)
        )
        typed = [name for name in ("sun_shift", "planet_shift") if getattr(given, name) is not None]
        field = f"gears.stage[{index}].{typed[0]}" if typed and not judged else ""
        raise ShapeError(f"stage {index + 1}: {problem.message}", problem.repair, field) from refused


def housing_wall(diameter: float) -> float:
    """Give the usual wall of the housing around the rings (mm). Source: common practice, none."""
    return max(0.4, 0.04 * diameter)


def end_walls(diameter: float) -> tuple[float, float]:
    """Give the usual front and rear wall (mm). Source: common practice, none."""
    return max(1.0, 0.08 * diameter), max(0.6, 0.05 * diameter)


def axial_gap(module: float) -> float:
    """Give the usual gap (mm) between what turns at different speeds. Source: common practice, none."""
    return max(GAP * module, LEAST_GAP)


def disc_thickness(module: float) -> float:
    """Give the usual thickness of a carrier's disc (mm). Source: common practice, none."""
    return max(DISC * module, LEAST_DISC)


def _refuse_diameter(stage: PlanetaryStage, hollow_radius: float, diameter: float, index: int) -> None:
    needed = stage.ring.root_radius + RIM * stage.module
    if needed <= hollow_radius:
        return
    outer = 2.0 * (needed + housing_wall(diameter))
    fits = stage.module * hollow_radius / needed
    raise ShapeError(
        f"stage {index + 1}: {stage.ring.teeth} ring teeth of module {stage.module:g} mm need a diameter of "
        f"{outer:.4g} mm with rim and wall, the gear has {diameter:g} mm",
        f"write a module up to {math.floor(fits * 1e3) / 1e3:g} mm, or a larger gears.diameter",
        f"gears.stage[{index}].module",
    )


def _placed(
    gears: Gears, stages: list[PlanetaryStage], length: float, hollow_radius: float, diameter: float
) -> GearTrain:
    """Place the stages from the front wall backwards."""
    front, rear = _front_wall(gears, diameter), end_walls(diameter)[1]
    gaps = [axial_gap(stage.module) for stage in stages]
    discs = [
        given.carrier or disc_thickness(stage.module)
        for given, stage in zip(gears.stage, stages, strict=True)
    ]
    taken = front + rear + 2.0 * sum(gaps) + sum(discs) + gaps[0]
    widths = _widths(gears, stages, length - taken)
    placed: list[PlacedStage] = []
    z = -front
    for index in range(len(stages) - 1, -1, -1):
        z -= gaps[index]
        disc = (z - discs[index], z)
        teeth = (disc[0] - gaps[index] - widths[index], disc[0] - gaps[index])
        placed.insert(0, _with_bores(stages[index], teeth, disc, hollow_radius))
        z = teeth[0]
    output = _output_end(gears.output, placed[-1], diameter)
    _refuse_opening(gears, output)
    return GearTrain(
        tuple(placed),
        output,
        (rear - length, -front),
        hollow_radius,
        -length,
    )


def _front_wall(gears: Gears, diameter: float) -> float:
    """Thickness of the front wall: what output, bearings and mounting holes take of it."""
    walls = [end_walls(diameter)[0]]
    output = gears.output
    if output is not None:
        flange = (output.flange_thickness or 0.0) + LEAST_GAP
        walls.append(flange + output.bearings * (output.bearing_width or 0.0) + LIP)
    if gears.mount is not None and gears.mount.bolt_depth is not None:
        walls.append(gears.mount.bolt_depth + LIP)
    return max(walls)


def _widths(gears: Gears, stages: list[PlanetaryStage], free: float) -> list[float]:
    """Face widths: as given, else ten modules or an equal share of the length that is free."""
    open_stages = sum(given.width is None for given in gears.stage)
    left = free - sum(given.width or 0.0 for given in gears.stage)
    share = left / open_stages if open_stages else math.inf
    widths = [
        given.width or min(USUAL_WIDTH * stage.module, share)
        for given, stage in zip(gears.stage, stages, strict=True)
    ]
    least = [
        given.width or LEAST_WIDTH * stage.module for given, stage in zip(gears.stage, stages, strict=True)
    ]
    if sum(least) > free + 1e-9:
        needed = (gears.length or 0.0) - free + sum(least)
        raise ShapeError(
            f"{len(stages)} {'stage' if len(stages) == 1 else 'stages'} with carriers, gaps and walls need "
            f"{needed:.4g} mm, the gear is {gears.length:g} mm long",
            f"write a length of {math.ceil(needed * 100) / 100:g} mm or more, or smaller face widths",
            "gears.length",
        )
    return widths


def _with_bores(
    stage: PlanetaryStage, teeth: tuple[float, float], disc: tuple[float, float], hollow_radius: float
) -> PlacedStage:
    """Bore sun and planets as their roots allow, and size the disc around the pins."""
    sun, planet = (bore_radius(gear.root_radius, stage.module) for gear in (stage.sun, stage.planet))
    reach = stage.centre_distance + planet + stage.module
    radius = min(reach, hollow_radius - SHAFT_PLAY)
    return PlacedStage(stage, teeth, disc, radius, 2.0 * sun, 2.0 * planet)


def bore_radius(root_radius: float, module: float) -> float:
    """Give the usual radius of a gear's bore (mm) under its roots. Source: common practice, none."""
    return min(0.5 * root_radius, root_radius - 1.2 * module, MOST_BORE * module)


def _output_end(given: Output | None, last: PlacedStage, diameter: float) -> OutputEnd:
    """Shaft, flange and bearings as given; a plain shaft of usual size where nothing is said."""
    if given is None:
        return OutputEnd(min(0.15 * diameter, 0.8 * last.disc_radius), None, 0.0, ())
    radius = given.diameter / 2.0
    if radius >= last.disc_radius:
        raise ShapeError(
            f"an output shaft of {given.diameter:g} mm is thicker than the carrier, "
            f"{2 * last.disc_radius:.4g} mm",
            f"write a diameter below {2 * last.disc_radius:.4g} mm",
            "gears.output.diameter",
        )
    flange = None
    if given.flange_diameter and given.flange_thickness:
        flange = (given.flange_diameter / 2.0, given.flange_thickness)
        _refuse_rim("flange_diameter", given.flange_diameter, given.diameter, diameter)
    if not (given.bearing_diameter and given.bearing_width):
        return OutputEnd(radius, flange, 0.0, ())
    _refuse_rim("bearing_diameter", given.bearing_diameter, given.diameter, diameter)
    width, top = given.bearing_width, -(LEAST_GAP + flange[1] if flange else 0.0)
    places = tuple((top - (i + 1) * width, top - i * width) for i in range(given.bearings))
    return OutputEnd(radius, flange, given.bearing_diameter / 2.0, places)


def _refuse_rim(name: str, outer: float, shaft: float, gear: float) -> None:
    room = gear - 2.0 * housing_wall(gear)
    if not shaft < outer < room:
        raise ShapeError(
            f"{name} {outer:g} mm does not lie between the output shaft's {shaft:g} mm and {room:.4g} mm, "
            "where the gear's wall begins",
            f"write a {name} between them",
            f"gears.output.{name}",
        )


def _refuse_opening(gears: Gears, output: OutputEnd) -> None:
    """Refuse a front opening for the output that cuts the pilot off, or runs into the mounting holes."""
    mount = gears.mount
    if mount is None:
        return
    if output.flange is not None:
        name, radius = "flange_diameter", output.flange[0] + SHAFT_PLAY
    elif output.bearings:
        name, radius = "bearing_diameter", output.bearing_radius
    else:
        name, radius = "diameter", output.shaft_radius + SHAFT_PLAY
    limits = [("the pilot", mount.pilot_diameter)]
    if mount.bolt is not None and mount.bolt_circle is not None:
        limits.append(("the mounting holes", mount.bolt_circle - thread(mount.bolt).major_diameter_mm))
    for words, limit in limits:
        if limit is not None and 2.0 * (radius + LEAST_GAP) >= limit:
            raise ShapeError(
                f"the output's opening of {2 * radius:.4g} mm in the front face reaches {words} at "
                f"{limit:.4g} mm",
                f"write a {name} below {limit - 2.0 * (LEAST_GAP + SHAFT_PLAY):.4g} mm",
                f"gears.output.{name}" if gears.output is not None else "gears.mount",
            )

"""The gear stack as a body: cylinder, mounting ears, pilot and tapped holes (mm)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from geometry.bodies import Box, Cylinder, Primitive, Shape
from geometry.cap_screws import tap_drill
from geometry.errors import InputError, Problem
from geometry.frames import Missing, missing, required
from geometry.spur_train import placed_spur
from geometry.threads import thread

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_gears import Ears, Gears, Mount


def gear_envelope(design: Design) -> Shape | Missing:
    """Give the gear as a cylinder behind its front face at z = 0, ears, pilot and holes there (mm)."""
    gears = design.gears
    if gears is None or gears.diameter is None or gears.length is None:
        return missing(design, "gears.length", "gears.diameter")
    rear = -gears.length
    adds: list[Primitive] = [_round(gears.diameter, rear, 0.0)]
    cuts: list[Primitive] = []
    if gears.ears is not None:
        ears = gears.ears
        adds.append(
            Box((-ears.width / 2, -ears.depth / 2, -ears.thickness), (ears.width / 2, ears.depth / 2, 0.0))
        )
        cuts += [_hole(side * ears.spacing / 2, 0.0, ears.hole, -ears.thickness) for side in (-1, 1)]
    mount = gears.mount
    if mount is not None and mount.pilot_diameter and mount.pilot_height and mount.pilot_bore:
        adds.append(_round(mount.pilot_diameter, 0.0, mount.pilot_height))
        cuts.append(_round(mount.pilot_bore, 0.0, mount.pilot_height))
    if gears.bore is not None:
        cuts.append(_round(gears.bore, rear, 0.0))
    return Shape(tuple(adds), (*cuts, *_mounting_holes(mount)))


def spur_envelope(design: Design) -> Shape | Missing:
    """Give the housing of the spur stage behind z = 0, around both its axes (mm)."""
    train = placed_spur(design)
    return missing(design, "gears.spur") if train is None else train.housing()


def _round(diameter: float, low: float, high: float) -> Cylinder:
    return Cylinder("z", (0.0, 0.0), diameter / 2, (low, high))


def _hole(x: float, y: float, diameter: float, low: float) -> Cylinder:
    return Cylinder("z", (x, y), diameter / 2, (low, 0.0))


def _mounting_holes(mount: Mount | None) -> tuple[Cylinder, ...]:
    """Core holes of the tapped circle, straddling the x axis (common practice, no source)."""
    if mount is None or not (mount.bolt and mount.bolt_circle and mount.bolt_holes and mount.bolt_depth):
        return ()
    angles = [math.pi * (2 * index + 1) / mount.bolt_holes for index in range(mount.bolt_holes)]
    radius = mount.bolt_circle / 2
    return tuple(
        _hole(radius * math.cos(a), radius * math.sin(a), tap_drill(mount.bolt), -mount.bolt_depth)
        for a in angles
    )


def gear_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of the gear: ears, pilot and holes that have no room."""
    gears = design.gears
    if gears is None:
        return ()
    ears = () if gears.ears is None else tuple(_ear_problems(gears, gears.ears))
    if gears.bore is not None and gears.diameter is not None and gears.bore >= gears.diameter:
        message = f"a bore of {gears.bore:g} mm leaves nothing of a gear of {gears.diameter:g} mm"
        return (Problem(message, f"write a bore below {gears.diameter:g} mm", field="gears.bore"),)
    return ears if gears.mount is None else (*ears, *_pilot_problems(gears.mount), *_bolt_problems(gears))


def _lacking(section: Mount, names: tuple[str, ...]) -> list[str]:
    """Give the fields left out of a group of which some are given."""
    absent = [name for name in names if getattr(section, name) is None]
    return absent if len(absent) < len(names) else []


def _pilot_problems(mount: Mount) -> Iterator[Problem]:
    names = ("pilot_diameter", "pilot_height", "pilot_bore")
    if absent := _lacking(mount, names):
        yield Problem(
            f"the pilot lacks {' and '.join(absent)}",
            f"give all of {', '.join(names)}, or none",
            field="gears.mount",
        )
    outer, bore = mount.pilot_diameter, mount.pilot_bore
    if outer is not None and bore is not None and bore >= outer:
        yield Problem(
            f"a bore of {bore:g} mm leaves nothing of a pilot of {outer:g} mm",
            f"write a pilot_bore below {outer:g} mm",
            field="gears.mount.pilot_bore",
        )


def _bolt_problems(gears: Gears) -> Iterator[Problem]:
    mount = gears.mount
    assert mount is not None  # gear_problems asks only then
    names = ("bolt", "bolt_circle", "bolt_holes", "bolt_depth")
    if absent := _lacking(mount, names):
        yield Problem(
            f"the mounting holes lack {' and '.join(absent)}",
            f"give all of {', '.join(names)}, or none",
            field="gears.mount",
        )
    if mount.bolt is None or mount.bolt_circle is None:
        return
    try:
        size = thread(mount.bolt).major_diameter_mm
    except InputError as error:
        for problem in error.problems:
            yield replace(problem, field="gears.mount.bolt")
        return
    circle, inner = mount.bolt_circle, mount.pilot_diameter or 0.0
    if gears.diameter is not None and circle + size >= gears.diameter:
        yield Problem(
            f"{mount.bolt} on {circle:g} mm reaches {circle + size:g} mm, over the gear's "
            f"{gears.diameter:g} mm",
            f"write a bolt_circle below {gears.diameter - size:g} mm",
            field="gears.mount.bolt_circle",
        )
    if circle - size <= inner:
        yield Problem(
            f"{mount.bolt} on {circle:g} mm runs into the pilot of {inner:g} mm",
            f"write a bolt_circle above {inner + size:g} mm",
            field="gears.mount.bolt_circle",
        )
    if gears.length is not None and mount.bolt_depth is not None and mount.bolt_depth >= gears.length:
        yield Problem(
            f"mounting holes {mount.bolt_depth:g} mm deep go through a gear of {gears.length:g} mm",
            f"write a bolt_depth below {gears.length:g} mm",
            field="gears.mount.bolt_depth",
        )
    if mount.bolt_holes is not None and mount.bolt_holes > 1:
        apart = circle * math.sin(math.pi / mount.bolt_holes)
        if apart <= size:
            yield Problem(
                f"{mount.bolt_holes} holes {mount.bolt} on {circle:g} mm run together: {apart:.3g} mm apart",
                "write fewer holes or a larger bolt_circle",
                field="gears.mount.bolt_holes",
            )


def _ear_problems(gears: Gears, ears: Ears) -> Iterator[Problem]:
    if ears.spacing + ears.hole >= ears.width:
        yield Problem(
            f"the ear holes reach {ears.spacing + ears.hole:g} mm, over the ears' width of {ears.width:g} mm",
            f"write a width above {ears.spacing + ears.hole:g} mm or a smaller spacing",
            field="gears.ears.width",
        )
    if ears.hole >= ears.depth:
        yield Problem(
            f"holes of {ears.hole:g} mm do not fit in ears of {ears.depth:g} mm depth",
            f"write a depth above {ears.hole:g} mm",
            field="gears.ears.depth",
        )
    if gears.diameter is not None and ears.spacing - ears.hole < gears.diameter:
        yield Problem(
            f"the ear holes begin {ears.spacing - ears.hole:g} mm apart, inside the gear's body of "
            f"{gears.diameter:g} mm",
            f"write a spacing of {gears.diameter + ears.hole:g} mm or more",
            field="gears.ears.spacing",
        )
    if gears.length is not None and ears.thickness > gears.length:
        yield Problem(
            f"ears of {ears.thickness:g} mm are thicker than the gear is long, {gears.length:g} mm",
            f"write a thickness of {gears.length:g} mm or less",
            field="gears.ears.thickness",
        )


def gear_solid(design: Design) -> Any:
    """Build the gear's envelope as bought (TopoDS_Solid, mm); ShapeError where the design lacks a size."""
    from geometry.solids import solid_of

    return solid_of(required(gear_envelope(design), "gear"), "gear")

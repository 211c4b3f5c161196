"""The gear stack as a body: cylinder, mounting ears, pilot and tapped holes (mm)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from geometry.bodies import Box, Cylinder, Shape
from geometry.errors import Problem
from geometry.frames import Missing, missing, required, stations_of

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_parts import Ears, Gears


def gear_envelope(design: Design) -> Shape | Missing:
    """Give the gear as a cylinder behind z = 0 with its mounting ears at the front face (mm)."""
    gears, rear = design.gears, stations_of(design).gear_rear
    if gears is None or gears.diameter is None or rear is None:
        return missing(design, "gears.length", "gears.diameter")
    body = Cylinder("z", (0.0, 0.0), gears.diameter / 2, (rear, 0.0))
    if gears.ears is None:
        return Shape((body,))
    ears = gears.ears
    plate = Box((-ears.width / 2, -ears.depth / 2, -ears.thickness), (ears.width / 2, ears.depth / 2, 0.0))
    holes = tuple(
        Cylinder("z", (side * ears.spacing / 2, 0.0), ears.hole / 2, (-ears.thickness, 0.0))
        for side in (-1, 1)
    )
    return Shape((body, plate), holes)


def gear_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of the gear: ears too small or too thick for their holes or body."""
    gears = design.gears
    return () if gears is None or gears.ears is None else tuple(_ear_problems(gears, gears.ears))


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

"""Placed bodies as solids of the kernel: threads and gear teeth real or as envelopes (mm)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from geometry.bodies import Body, Shape
from geometry.nut import half_solid, nut_solid
from geometry.own_parts import PART_COLOURS
from geometry.screw import screw_solid
from geometry.seal import bellows_solid

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.placed import PlacedBody, Placement


def solids_of(
    design: Design, placement: Placement, *, detailed: bool, bodies: Iterable[Body] | None = None
) -> tuple[tuple[Body, Any], ...]:
    """Build placed bodies at s = 0 as one valid solid each (TopoDS_Solid, mm), threads real or as cylinders.

    In detail a gear whose stages have teeth and modules is hollow, and its members follow it as bodies of
    their own. `bodies` limits the work to some of the placement's. An STL has no exact solid and is left out.
    Light and detailed solids have one bounding box. Raises InputError for sizes that make no solid.
    """
    wanted = None if bodies is None else {body.name for body in bodies}
    chosen = [placed for placed in placement.bodies if wanted is None or placed.body.name in wanted]
    pairs = (pair for placed in chosen for pair in _solids(design, placed, detailed))
    return tuple((body, solid) for body, solid in pairs if solid is not None)


def _solids(design: Design, placed: PlacedBody, detailed: bool) -> Iterator[tuple[Body, Any]]:
    from geometry.gear_parts import member_solids, toothed_parts
    from geometry.solids import solid_of

    body = placed.body
    parts = toothed_parts(design, body) if detailed else None
    if parts is None:
        yield body, _solid(design, placed, detailed)
        if detailed and body.part_of_actuator and body.name == "nut" and placed.from_file is None:
            yield from _balls(design, body)
        return
    housing, members = parts
    yield body, solid_of(housing, body.name)
    for member, solid in member_solids(members):
        name = f"{body.name}_{member.name}"
        yield body._replace(name=name, mass_kg=None, colour=member.colour, source="teeth"), solid


def _balls(design: Design, nut: Body) -> Iterator[tuple[Body, Any]]:
    """The balls of a ball nut that are to be shown, each a body of its own that goes with the nut."""
    from geometry.ball_nut import ball_solids

    for number, solid in enumerate(ball_solids(design), start=1):
        colour = PART_COLOURS["screw"]
        yield nut._replace(name=f"nut_ball_{number}", mass_kg=None, colour=colour, source="balls"), solid


def _solid(design: Design, placed: PlacedBody, detailed: bool) -> Any:
    from geometry.housing import placed_solid
    from geometry.solids import solid_of

    body = placed.body
    if placed.from_file is not None:
        return placed_solid(placed.from_file)
    if body.part_of_actuator and body.name == "screw":
        return screw_solid(design, detailed=detailed)
    if body.part_of_actuator and body.name == "nut":
        return nut_solid(design, detailed=detailed)
    if body.part_of_actuator and body.name == "nut_half":
        return half_solid(design, detailed=detailed)
    assert isinstance(body.shape, Shape)  # a file body has its solid from its file
    if body.stretches and detailed:
        return bellows_solid(design, body.shape)
    return solid_of(body.shape, body.name)

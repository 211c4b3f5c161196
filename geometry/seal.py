"""What seals the screw at the front face: a lip seal, or bellows that follow what travels (mm)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from geometry.bodies import Cylinder, Shape
from geometry.errors import Problem
from geometry.frames import Missing, missing, stations_of
from geometry.motor import front_of, round_along_z, screw_diameter

if TYPE_CHECKING:
    from geometry.design import Design

FOLD = 1.2  # of a fold's depth that it is drawn out at most; common practice, no source
SKIN = 0.25  # of the depth; common practice, no source


def seal_start(design: Design) -> float:
    """Give where a seal begins (z, mm): on the front face, or on the pilot of gear or motor."""
    if design.gears is not None:
        mount = design.gears.mount
        return (mount.pilot_height or 0.0) if mount else 0.0
    return (front_of(design.motor).pilot_height or 0.0) if design.motor else 0.0


def is_drawn_out(design: Design) -> bool:
    """Tell whether the seal is a bellows between the front face and what travels away from it.

    A drive that turns what travels goes along the travel itself, and its bellows keep their length.
    """
    seal, motion = design.seal, design.motion
    return seal is not None and seal.kind == "bellows" and motion.turns != motion.travels


def _moving_end(design: Design) -> float | None:
    """Where the bellows end at s = 0: on the nut's near face, or on the end of a travelling screw."""
    at = stations_of(design)
    return at.nut_near if design.motion.travels == "nut" else at.screw_end


def seal_envelope(design: Design) -> Shape | Missing:
    """Give the seal around the screw before the front face or its pilot (mm), bellows as long as at s = 0."""
    seal = design.seal
    if seal is None:
        return missing(design, "seal")
    start = seal_start(design)
    end = _moving_end(design) if is_drawn_out(design) else start + seal.length
    if end is None:
        return missing(design, "nut.position")
    return Shape((round_along_z(seal.diameter, (start, end)),), (round_along_z(seal.bore, (start, end)),))


def seal_problems(design: Design) -> Iterator[Problem]:
    """Give what cannot be built of the seal; whether bellows are long enough is judged by checks."""
    seal = design.seal
    if seal is None:
        return
    if seal.bore >= seal.diameter:
        yield Problem(
            f"a bore of {seal.bore:g} mm leaves nothing of a seal of {seal.diameter:g} mm",
            f"write a bore below {seal.diameter:g} mm",
            field="seal.bore",
        )
    start = seal_start(design)
    end, travel = start + seal.length, design.motion.hard_stops or design.motion.stroke
    if is_drawn_out(design):
        moving = _moving_end(design)
        if moving is None:
            return
        end = moving + travel.high
        if moving + travel.low <= start:
            yield Problem(
                f"at s = {travel.low:g} mm the bellows have no room at all: they begin at z = {start:g} mm, "
                f"what travels is at {moving + travel.low:g} mm",
                f"let the travel begin {start - moving - travel.low + seal.length:g} mm further out",
                field="seal.length",
            )
    passes = screw_diameter(design, start, end)
    if passes is not None and seal.bore < passes:
        yield Problem(
            f"the screw, {passes:g} mm there, does not pass a seal of {seal.bore:g} mm",
            f"write a bore of {passes:g} mm or more",
            field="seal.bore",
        )


def bellows_outline(design: Design, shape: Shape) -> tuple[tuple[float, float], ...]:
    """Give the section (r, z, mm) of folded bellows within their envelope, counter-clockwise.

    So many folds that none is drawn out beyond 1.2 of its depth. Common practice, no source.
    """
    seal = design.seal
    (outer,), (inner,) = shape.adds, shape.cuts
    assert seal is not None
    assert isinstance(outer, Cylinder)  # as of seal_envelope
    assert isinstance(inner, Cylinder)
    low, high = outer.span
    depth = outer.radius - inner.radius
    longest = max(seal.extended or 0.0, high - low)
    folds = max(2, math.ceil(longest / (FOLD * depth)))
    skin = SKIN * depth
    heights = [low + (high - low) * index / (2 * folds) for index in range(2 * folds + 1)]
    outside = [(outer.radius if index % 2 else inner.radius + skin, z) for index, z in enumerate(heights)]
    inside = [(outer.radius - skin if index % 2 else inner.radius, z) for index, z in enumerate(heights)]
    return (*outside, *reversed(inside))


def bellows_solid(design: Design, shape: Shape) -> Any:
    """Build folded bellows (TopoDS_Solid, mm) by turning their section about z.

    Raises KernelError where the kernel leaves no valid solid of the volume that Pappus gives.
    """
    from geometry.solids import turned_solid

    return turned_solid(bellows_outline(design, shape), "screw_seal")

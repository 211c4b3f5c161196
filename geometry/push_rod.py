"""The push rod or tube on what travels and the bush that guides it: envelopes, what cannot be built (mm)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from geometry.bodies import Cylinder, Shape
from geometry.errors import Problem
from geometry.frames import Missing, missing, stations_of
from geometry.motor import screw_diameter

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_rod import Bush, PushRod


def rod_envelope(design: Design) -> Shape | Missing:
    """Give the rod or tube before the nut, or before a travelling screw's end (mm)."""
    rod, at = design.push_rod, stations_of(design)
    if rod is None or at.rod_near is None or at.rod_end is None:
        return missing(design, "push_rod", "nut.position")
    return _tube(rod.diameter, rod.bore, at.rod_near, at.rod_end)


def bush_envelope(design: Design) -> Shape | Missing:
    """Give the bush around the rod (mm), where it stands."""
    bush = None if design.push_rod is None else design.push_rod.guide
    if bush is None:
        return missing(design, "push_rod.guide")
    return _tube(bush.diameter, bush.bore, bush.position, bush.position + bush.length)


def _tube(diameter: float, bore: float | None, low: float, high: float) -> Shape:
    rounds = [Cylinder("z", (0.0, 0.0), size / 2, (low, high)) for size in (diameter, bore) if size]
    return Shape(tuple(rounds[:1]), tuple(rounds[1:]))


def rod_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of rod and bush, each at its field with the smallest repair."""
    rod = design.push_rod
    if rod is None:
        return ()
    bush = () if rod.guide is None else tuple(_bush_problems(rod, rod.guide))
    own = (*_bore_problems(design, rod), *_length_problems(design, rod))
    return (*own, *_entering_problems(design, rod), *bush)


def _bore_problems(design: Design, rod: PushRod) -> Iterator[Problem]:
    if rod.bore is not None and rod.bore >= rod.diameter:
        yield Problem(
            f"a bore of {rod.bore:g} mm leaves no wall in a tube of {rod.diameter:g} mm",
            f"write a bore below {rod.diameter:g} mm",
            field="push_rod.bore",
        )
    at, travel = stations_of(design), _travel(design)
    if design.motion.travels != "nut" or at.rod_near is None or at.rod_end is None:
        return
    passes = screw_diameter(design, at.rod_near + travel[0], at.rod_end + travel[1])
    if passes is None or (rod.bore or 0.0) >= passes:
        return
    clear = 2 * design.clearance.moving_to_fixed
    said = "a solid rod before the nut runs into the screw"
    if rod.bore is not None:
        said = f"a tube with a bore of {rod.bore:g} mm does not pass over the screw"
    yield Problem(
        f"{said}, {passes:g} mm: radial clearance {((rod.bore or 0.0) - passes) / 2:g} mm",
        f"write a bore of {passes + clear:g} mm or more, for {clear / 2:g} mm of clearance",
        field="push_rod.bore" if rod.bore is not None else "push_rod",
    )


def _length_problems(design: Design, rod: PushRod) -> Iterator[Problem]:
    """At the retracted end the rod must still reach through its bush, and a tube cover the screw."""
    at, low = stations_of(design), _travel(design)[0]
    if at.rod_near is None:
        return
    needs = []
    if design.motion.travels == "nut" and at.screw_end > at.rod_near + low:
        needs.append((at.screw_end, "the screw comes out of it: its end"))
    if rod.guide is not None:
        needs.append((rod.guide.position + rod.guide.length, "it leaves its bush, whose far face"))
    reach = at.rod_near + low + rod.length
    for needed, said in sorted(needs, reverse=True)[:1]:
        if reach < needed:
            yield Problem(
                f"at s = {low:g} mm the {'tube' if rod.bore else 'rod'} ends at z = {reach:g} mm; "
                f"{said} is at {needed:g} mm",
                f"write a length of {rod.length + needed - reach:.6g} mm or more",
                field="push_rod.length",
            )


def _entering_problems(design: Design, rod: PushRod) -> Iterator[Problem]:
    """At the extended end a travelling screw must not have followed its rod into the bush."""
    at, high = stations_of(design), _travel(design)[1]
    if rod.guide is None or at.rod_near is None or design.motion.travels != "screw":
        return
    begins = at.rod_near + high
    if begins > rod.guide.position:
        yield Problem(
            f"at s = {high:g} mm the screw ends and the rod begins at z = {begins:g} mm, beyond the near "
            f"face of its bush at {rod.guide.position:g} mm: the thread would run in the bush",
            f"write a position of {begins:g} mm or more",
            field="push_rod.guide.position",
        )


def _bush_problems(rod: PushRod, bush: Bush) -> Iterator[Problem]:
    if bush.bore < rod.diameter:
        yield Problem(
            f"a bush with a bore of {bush.bore:g} mm does not take a rod of {rod.diameter:g} mm: "
            f"radial clearance {(bush.bore - rod.diameter) / 2:g} mm",
            f"write a bore of {rod.diameter:g} mm or more",
            field="push_rod.guide.bore",
        )
    if bush.diameter <= bush.bore:
        yield Problem(
            f"a bore of {bush.bore:g} mm leaves no wall in a bush of {bush.diameter:g} mm",
            f"write a diameter above {bush.bore:g} mm",
            field="push_rod.guide.diameter",
        )


def _travel(design: Design) -> tuple[float, float]:
    travel = design.motion.hard_stops or design.motion.stroke
    return travel.low, travel.high

"""What cannot be built of a screw's ends: no way on for the nut, features without room."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from geometry.errors import InputError, Problem, ShapeError
from geometry.screw_ends import Step, circlips, free_circle, groove_of, narrowest, steps_of
from geometry.screw_thread import thread_of
from geometry.thread_ends import cone_beyond
from geometry.threads import thread

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_parts import Screw

_MILLED = ("flat", "hexagon", "square")
_WALL = 0.05  # mm between two outlines in one plane; less is no step


def screw_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of the screw, each at its field with the smallest repair."""
    screw = design.screw
    near, far = steps_of(screw, "near"), steps_of(screw, "far")
    own = [problem for step in (*near, *far) for problem in _step_problems(step)]
    if own:
        return tuple(own)
    beside = [problem for steps in (near, far) for pair in pairwise(steps) for problem in _beside(*pair)]
    return (*_passing_problems(screw, near, far), *beside, *_bore_problems(screw, (*near, *far)))


def _passing_problems(screw: Screw, near: tuple[Step, ...], far: tuple[Step, ...]) -> Iterator[Problem]:
    """The nut must pass over one end."""
    bore = thread_of(screw).internal_minor_diameter_mm
    if not near or not far:
        return
    thick = [max(steps, key=lambda step: step.journal.diameter) for steps in (near, far)]
    if min(step.journal.diameter for step in thick) <= bore:
        return
    first, second = thick
    thin = second if second.journal.diameter <= first.journal.diameter else first
    yield Problem(
        f"journals of {first.journal.diameter:g} and {second.journal.diameter:g} mm: the nut, {bore:g} mm "
        "inside its thread, passes over neither end",
        f"turn the journal of {thin.journal.diameter:g} mm down to {bore:g} mm or less",
        field=f"{thin.field}.diameter",
    )


def _step_problems(step: Step) -> Iterator[Problem]:
    yield from _milled_problems(step)
    yield from _hole_problems(step)
    yield from _groove_problems(step)
    yield from _thread_problems(step)
    own = step.journal
    if own.chamfer is not None and not step.is_turned:
        yield Problem(
            "a chamfer is turned on plain ends alone, this one is milled, drilled or threaded",
            "leave chamfer out",
            field=f"{step.field}.chamfer",
        )
    elif own.chamfer is not None and own.chamfer >= min(own.diameter / 2, own.length):
        yield Problem(
            f"a chamfer of {own.chamfer:g} mm takes the whole end of {own.diameter:g} x {own.length:g} mm",
            f"write a chamfer below {min(own.diameter / 2, own.length):g} mm",
            field=f"{step.field}.chamfer",
        )


def _milled_problems(step: Step) -> Iterator[Problem]:
    own = step.journal
    given = [name for name in _MILLED if getattr(own, name) is not None]
    if len(given) > 1:
        yield Problem(
            f"one end has {' and '.join(given)}", "keep one of them", field=f"{step.field}.{given[0]}"
        )
        return
    if bool(given) != (own.milled is not None):
        what = f"{given[0]} lacks milled" if given else "milled lacks flat, hexagon or square"
        yield Problem(
            f"{what}: over which length", f'write {given[0] if given else "flat"} and milled = "6 mm"',
            field=step.field,
        )  # fmt: skip
        return
    if not given:
        return
    if own.milled is not None and own.milled >= own.length:
        yield Problem(
            f"milled {own.milled:g} mm leave nothing round of {own.length:g} mm beside the shoulder",
            f"write milled below {own.length:g} mm, or a longer end",
            field=f"{step.field}.milled",
        )
    size = getattr(own, given[0])
    least = own.diameter / 2 if given[0] == "flat" else own.diameter / math.sqrt(2.0) * 0.5
    if not least < size < own.diameter:
        yield Problem(
            f"{given[0]} {size:g} mm on a round of {own.diameter:g} mm is no {given[0]}",
            f"write {given[0]} above {least:.3g} mm and below {own.diameter:g} mm",
            field=f"{step.field}.{given[0]}",
        )


def _hole_problems(step: Step) -> Iterator[Problem]:
    own = step.journal
    if (own.cross_hole is None) != (own.cross_hole_at is None):
        yield Problem(
            "a cross hole needs its diameter and its place",
            "give both cross_hole and cross_hole_at, or none",
            field=step.field,
        )
        return
    if own.cross_hole is None or own.cross_hole_at is None:
        return
    radius, low = own.cross_hole / 2, own.milled or 0.0
    if own.cross_hole >= own.diameter:
        yield Problem(
            f"a cross hole of {own.cross_hole:g} mm leaves nothing of {own.diameter:g} mm",
            f"write a cross_hole below {own.diameter:g} mm",
            field=f"{step.field}.cross_hole",
        )
    high = own.length
    if (groove := circlips().get(own.diameter)) is not None and own.circlip is not None:
        high = own.length - own.circlip - groove.groove_width if own.circlip < own.length / 2 else high
    if not low < own.cross_hole_at - radius < own.cross_hole_at + radius < high:
        yield Problem(
            f"a cross hole of {own.cross_hole:g} mm at {own.cross_hole_at:g} mm does not lie on the round "
            f"from {low:g} to {high:g} mm behind the free end",
            f"write a cross_hole_at above {low + radius:g} and below {high - radius:g} mm",
            field=f"{step.field}.cross_hole_at",
        )


def _groove_problems(step: Step) -> Iterator[Problem]:
    own = step.journal
    try:
        groove = groove_of(own)
    except ShapeError as error:
        for problem in error.problems:
            yield replace(problem, field=f"{step.field}.circlip")
        return
    if groove is None:
        return
    room = own.length - (own.milled or 0.0) - (own.chamfer or 0.0)
    least = circlips()[own.diameter].least_to_end
    left = room - groove.start_mm - groove.width_mm
    if left < least:
        most = room - groove.width_mm - least
        yield Problem(
            f"the circlip's groove, {groove.width_mm:g} mm wide, leaves {left:.3g} mm to the end of "
            f"{room:g} mm, DIN 471 asks {least:g} (from memory)",
            f"write a circlip of {most:.3g} mm or less" if most >= 0 else "lengthen the end",
            field=f"{step.field}.circlip",
        )


def _thread_problems(step: Step) -> Iterator[Problem]:
    own = step.journal
    if own.thread is None:
        return
    others = [name for name in (*_MILLED, "cross_hole", "circlip") if getattr(own, name) is not None]
    if others:
        yield Problem(
            f"a threaded end has {others[0]} as well",
            f"leave {others[0]} out, or put it on a step of its own",
            field=f"{step.field}.{others[0]}",
        )
    try:
        made = thread(own.thread)
    except InputError as error:
        for problem in error.problems:
            yield replace(problem, field=f"{step.field}.thread")
        return
    if abs(made.major_diameter_mm - own.diameter) > 1e-6 * own.diameter:
        yield Problem(
            f"{made.designation} is {made.major_diameter_mm:g} mm thick, the end {own.diameter:g} mm",
            f'write diameter = "{made.major_diameter_mm:g} mm"',
            field=f"{step.field}.diameter",
        )


def _beside(inner: Step, outer: Step) -> Iterator[Problem]:
    """Two steps that meet in a plane must differ, or milled faces would run into the next step."""
    if inner.is_turned and outer.is_turned:
        return
    room, size = free_circle(inner), outer.journal.diameter / 2
    if outer.journal.thread is not None:
        made = thread(outer.journal.thread)
        size = made.root_diameter_mm / 2 - cone_beyond(made)
    if size >= room - _WALL:
        yield Problem(
            f"the tip, {2 * size:.4g} mm where it begins, does not stand inside the journal's end of "
            f"{2 * room:.4g} mm",
            f"turn the tip below {2 * (room - _WALL):.4g} mm, or a thicker journal",
            field=f"{outer.field}.diameter",
        )


def _bore_problems(screw: Screw, steps: tuple[Step, ...]) -> Iterator[Problem]:
    if screw.bore is None:
        if screw.bore_depth is not None:
            yield Problem(
                "a depth without a bore", "write bore, or leave bore_depth out", field="screw.bore_depth"
            )
        return
    made = thread_of(screw)
    reached = [step for step in steps if screw.bore_depth is None or step.outward > 0]
    room = min([made.root_diameter_mm / 2 - 2 * cone_beyond(made), *map(narrowest, reached)])
    if screw.bore / 2 >= room - _WALL:
        yield Problem(
            f"a bore of {screw.bore:g} mm leaves no wall where the screw is thinnest, {2 * room:.4g} mm",
            f"write a bore below {2 * (room - _WALL):.4g} mm",
            field="screw.bore",
        )
    if any(step.journal.cross_hole is not None for step in reached):
        yield Problem(
            "the centre bore runs into a cross hole",
            "leave the cross hole or the bore out, or drill the bore less deep from the other end",
            field="screw.bore",
        )
    whole = screw.length + sum(step.journal.length for step in steps)
    if screw.bore_depth is not None and screw.bore_depth >= whole:
        yield Problem(
            f"a bore {screw.bore_depth:g} mm deep goes through the screw of {whole:g} mm",
            "leave bore_depth out for a bore right through",
            field="screw.bore_depth",
        )

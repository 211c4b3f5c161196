"""What cannot be built of a nut: no wall, a flange its kind denies, holes without room."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from geometry.ball_nut import ball_problems
from geometry.cap_screws import cap_screw
from geometry.errors import InputError, Problem
from geometry.nut import FLANGE, bolt_hole_diameter, bolt_places
from geometry.screw_thread import thread_of
from geometry.thread_ends import cone_beyond

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_parts import Nut

_BOLTS = ("bolt_circle", "bolt_holes", "bolt_hole")
_ONLY_FLANGED = (*FLANGE, *_BOLTS, "bolt", "flange_flats")


def nut_problems(design: Design) -> tuple[Problem, ...]:
    """Give what cannot be built of the nut, each at its field with the smallest repair."""
    nut = design.nut
    if nut.kind == "none":
        return tuple(_bodiless_problems(nut))
    own = _flange_problems(nut) if nut.kind == "flanged" else _kind_problems(nut)
    return (
        *_wall_problems(design),
        *_body_problems(nut),
        *own,
        *_spring_problems(design),
        *ball_problems(design),
    )


def _bodiless_problems(nut: Nut) -> Iterator[Problem]:
    given = [name for name in ("body_diameter", "across_flats", "key", "second") if getattr(nut, name)]
    if given:
        yield Problem(
            f'the nut has no body of its own (kind = "none") but {given[0]}',
            f'leave {given[0]} out, or write kind = "cylindrical"',
            field=f"nut.{given[0]}",
        )


def _wall_problems(design: Design) -> Iterator[Problem]:
    made = thread_of(design.screw)
    mouth = made.internal_major_diameter_mm + 2 * cone_beyond(made)
    for name in ("body_diameter", "across_flats", "flange_flats"):
        width = getattr(design.nut, name)
        if width is not None and width <= mouth:
            what = "a body" if name == "body_diameter" else "a width over flats"
            yield Problem(
                f"{what} of {width:g} mm leaves no wall around the mouth of {made.designation}, "
                f"{mouth:g} mm wide",
                f"write {'a' if name == 'body_diameter' else 'an'} {name} above {mouth:g} mm"
                if name != "flange_flats"
                else f"write flange_flats above {mouth:g} mm",
                field=f"nut.{name}",
            )


def _body_problems(nut: Nut) -> Iterator[Problem]:
    if nut.key is not None and (nut.kind == "square" or nut.across_flats is not None):
        yield Problem(
            "a nut held by its flats has a key as well",
            "leave out key or across_flats; a square nut needs no key",
            field="nut.key",
        )
    if nut.body_diameter is None:
        return
    if nut.key is not None and nut.key.width >= nut.body_diameter:
        yield Problem(
            f"a key of {nut.key.width:g} mm is wider than the body of {nut.body_diameter:g} mm",
            f"write a width below {nut.body_diameter:g} mm",
            field="nut.key.width",
        )
    if nut.across_flats is None:
        return
    widest = nut.across_flats * (math.sqrt(2.0) if nut.kind == "square" else 1.0)
    if nut.kind == "square" and nut.body_diameter <= nut.across_flats:
        yield Problem(
            f"corners turned to {nut.body_diameter:g} mm leave no flats of {nut.across_flats:g} mm",
            f"write a body_diameter above {nut.across_flats:g} mm, or leave it out for sharp corners",
            field="nut.body_diameter",
        )
    elif nut.kind != "square" and widest >= nut.body_diameter:
        yield Problem(
            f"flats {nut.across_flats:g} mm apart leave a body of {nut.body_diameter:g} mm round",
            f"write across_flats below {nut.body_diameter:g} mm",
            field="nut.across_flats",
        )


def _kind_problems(nut: Nut) -> Iterator[Problem]:
    given = [name for name in _ONLY_FLANGED if getattr(nut, name) is not None]
    if given:
        yield Problem(
            f"the nut is {nut.kind} but has {', '.join(given)}",
            'write kind = "flanged", or leave these out',
            field=f"nut.{given[0]}",
        )


def _flange_problems(nut: Nut) -> Iterator[Problem]:
    flats, flange = nut.flange_flats, nut.flange_diameter
    if flats is not None and flange is not None and flats >= flange:
        yield Problem(
            f"flats {flats:g} mm apart leave a flange of {flange:g} mm round",
            f"write flange_flats below {flange:g} mm",
            field="nut.flange_flats",
        )
    if nut.bolt is not None:
        try:
            bolt_hole_diameter(nut)
        except InputError as error:
            for problem in error.problems:
                yield replace(problem, field="nut.bolt")
            return
    if nut.bolt is not None and nut.bolt_hole is not None:
        yield Problem(
            f"the holes are given twice, as {nut.bolt_hole:g} mm and by {nut.bolt}",
            "keep bolt_hole or bolt",
            field="nut.bolt",
        )
        return
    if nut.bolt is None and nut.bolt_fit != "tapped":
        yield Problem(
            f"the holes are of the {nut.bolt_fit} series, but not for which bolt",
            'write bolt = "M3", or leave bolt_fit out',
            field="nut.bolt_fit",
        )
        return
    yield from _bolt_problems(nut)


def _bolt_problems(nut: Nut) -> Iterator[Problem]:
    hole = bolt_hole_diameter(nut)
    given = {"bolt_circle": nut.bolt_circle, "bolt_holes": nut.bolt_holes, "bolt_hole": hole}
    absent = [name for name, value in given.items() if value is None]
    if nut.bolt_circle is None or nut.bolt_holes is None or hole is None:
        if len(absent) < len(_BOLTS):
            message = f"the bolt holes lack {' and '.join(absent)}"
            yield Problem(
                message, "give all of bolt_circle, bolt_holes and bolt_hole (or bolt), or none", field="nut"
            )
        return
    yield from _circle_problems(nut, nut.bolt_circle, hole)
    yield from _head_problems(nut, nut.bolt_circle)
    pitch = nut.bolt_circle * math.sin(math.pi / nut.bolt_holes)
    if nut.bolt_holes > 1 and pitch <= hole:
        most = math.floor(math.pi / math.asin(min(hole / nut.bolt_circle, 1.0)) - 1e-9)
        yield Problem(
            f"{nut.bolt_holes} holes of {hole:g} mm on {nut.bolt_circle:g} mm run together: "
            f"{pitch:.3g} mm apart",
            f"write {max(1, most)} holes or fewer",
            field="nut.bolt_holes",
        )


def _head_problems(nut: Nut, circle: float) -> Iterator[Problem]:
    """Heads of cap screws through the flange must lie on it."""
    if nut.bolt is None or nut.bolt_fit == "tapped" or nut.flange_diameter is None:
        return
    head = cap_screw(nut.bolt).head_diameter
    if circle + head > nut.flange_diameter:
        yield Problem(
            f"heads of {nut.bolt} (ISO 4762, {head:g} mm) on {circle:g} mm reach {circle + head:g} mm, over "
            f"the flange of {nut.flange_diameter:g} mm",
            f"write a bolt_circle of {nut.flange_diameter - head:g} mm or less, or a larger flange_diameter",
            field="nut.bolt_circle",
        )


def _circle_problems(nut: Nut, circle: float, hole: float) -> Iterator[Problem]:
    """Holes that leave the flange outwards, or sideways over its flats, or begin inside the body."""
    if nut.flange_diameter is not None and circle + hole >= nut.flange_diameter:
        yield Problem(
            f"bolt holes of {hole:g} mm on {circle:g} mm reach {circle + hole:g} mm, outside the flange of "
            f"{nut.flange_diameter:g} mm",
            f"write a bolt_circle below {nut.flange_diameter - hole:g} mm or a larger flange_diameter",
            field="nut.bolt_circle",
        )
    over = 2 * max(abs(x) for x, _ in bolt_places(nut)) + hole
    if nut.flange_flats is not None and over >= nut.flange_flats:
        yield Problem(
            f"bolt holes of {hole:g} mm reach {over:.4g} mm along x, over flats "
            f"{nut.flange_flats:g} mm apart",
            f"write flange_flats above {over:.4g} mm, another number of holes or a smaller bolt_circle",
            field="nut.flange_flats",
        )
    if nut.body_diameter is not None and circle - hole < nut.body_diameter:
        yield Problem(
            f"bolt holes of {hole:g} mm on {circle:g} mm begin at {circle - hole:g} mm, inside the nut's "
            f"body of {nut.body_diameter:g} mm",
            f"write a bolt_circle of {nut.body_diameter + hole:g} mm or more",
            field="nut.bolt_circle",
        )


def _spring_problems(design: Design) -> Iterator[Problem]:
    second, major = design.nut.second, thread_of(design.screw).major_diameter_mm
    if second is None:
        return
    if second.spring_bore <= major:
        yield Problem(
            f"a spring of {second.spring_bore:g} mm inside does not pass over the screw's {major:g} mm",
            f"write a spring_bore above {major:g} mm",
            field="nut.second.spring_bore",
        )
    if second.spring_diameter <= second.spring_bore:
        yield Problem(
            f"a spring of {second.spring_diameter:g} mm outside leaves no wire around "
            f"{second.spring_bore:g} mm",
            f"write a spring_diameter above {second.spring_bore:g} mm",
            field="nut.second.spring_diameter",
        )

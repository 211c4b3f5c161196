"""What no single field can get wrong: the order of the ends, names that must exist, sizes that clash."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from difflib import get_close_matches
from itertools import pairwise
from typing import Any, NamedTuple

from geometry.design_parts import Ends, Nut, Screw
from geometry.design_sections import LoadCase, Motion
from geometry.errors import InputError
from geometry.units import Span

# Which section brings which of the actuator's own bodies; screw and nut are always there.
ACTUATOR_BODIES = {
    "screw": ("screw",),
    "nut": ("nut",),
    "nut_half": ("nut", "second"),
    "nut_spring": ("nut", "second"),
    "motor": ("motor",),
    "gear": ("gears",),
    "spur_gear": ("gears", "spur"),
    "encoder": ("motor", "encoder"),
    "motor_cover": ("motor", "cover"),
    "screw_seal": ("seal",),
    "screw_seal_front": ("seal",),
    "cable": ("service", "cable"),
    "push_rod": ("push_rod",),
    "push_rod_bush": ("push_rod", "guide"),
}
BODY_LISTS = (("moving",), ("fixed",), ("housing", "body"), ("keep_out",))


class Clash(NamedTuple):
    """A problem between fields, at the field to mend."""

    field: str
    message: str
    repair: str


Rule = Callable[
    [Mapping[str, Any], Mapping[str, Any]], Iterable[Clash]
]  # sections that could be read, raw file


def clashes(valid: Mapping[str, Any], raw: Mapping[str, Any]) -> Iterator[Clash]:
    """Give every impossible combination among the sections that could be read. Source: each rule's own."""
    motion: Motion | None = valid.get("motion")
    screw: Screw | None = valid.get("screw")
    if motion is not None:
        yield from _order_of_ends(motion)
        yield from _forces_act(valid.get("load_case", ()), _travel(motion))
    if screw is not None:
        yield from _thread(screw, motion)
        yield from _classes(screw, valid.get("nut"))
    nut: Nut | None = valid.get("nut")
    if nut is not None:
        yield from _nut(nut, screw)
    ends: Ends | None = valid.get("ends")
    if ends is not None:
        yield from _bearings(ends)
    yield from _names(raw)
    yield from _contacts(valid, raw, motion)


def _travel(motion: Motion) -> Span:
    return motion.hard_stops or motion.stroke


def _order_of_ends(motion: Motion) -> Iterator[Clash]:
    """Usable end, sensor and hard stop must follow one another at both ends (job of the end sensors)."""
    stroke = motion.stroke
    if stroke.low == stroke.high:
        yield Clash("motion.stroke", f"no travel: both ends at {stroke.low:g} mm", 'write "0..60 mm"')
        return
    rows = [("hard stop", "hard_stops", motion.hard_stops), ("sensor", "sensors", motion.sensors)]
    given = [row for row in rows if row[2] is not None]
    chain = [*given, ("usable end", "stroke", stroke)]
    for (outer, field, outside), (inner, _, inside) in pairwise(chain):
        assert outside is not None
        assert inside is not None
        low_side = f"{outer} {outside.low:g} mm is inside the {inner} {inside.low:g} mm"
        high_side = f"{outer} {outside.high:g} mm is inside the {inner} {inside.high:g} mm"
        wrong = [low_side] * (outside.low > inside.low) + [high_side] * (outside.high < inside.high)
        if wrong:
            yield Clash(
                f"motion.{field}",
                " and ".join(wrong),
                f'write {field} = "{min(outside.low, inside.low):g}..{max(outside.high, inside.high):g} mm" '
                f"or wider; the ends must rise from left to right:\n{_sketch(given, stroke)}",
            )


def _sketch(given: list[tuple[str, str, Span | None]], stroke: Span) -> str:
    """Draw the ends in the order they must have, with the numbers they were given."""
    left = [(name, span.low) for name, _, span in given if span] + [("usable", stroke.low)]
    right = [("usable", stroke.high)] + [(name, span.high) for name, _, span in reversed(given) if span]
    lows, highs = [value for _, value in left], [value for _, value in right]
    names = (
        "   ".join(f"{name:>9}" for name, _ in left)
        + " " * 10
        + "   ".join(f"{name:>9}" for name, _ in right)
    )
    first = _marked(lows, [*lows[1:], lows[-1]])
    second = _marked(highs, [*highs[1:], highs[-1]])
    return f"    {names}\n    {first} ======== {second}  mm   (! the next one is smaller)"


def _marked(values: list[float], following: list[float]) -> str:
    return "   ".join(
        f"{value:>8g}{'!' if value > after else ' '}" for value, after in zip(values, following, strict=True)
    )


def _forces_act(cases: tuple[LoadCase, ...], travel: Span) -> Iterator[Clash]:
    for case_index, case in enumerate(cases):
        for index, force in enumerate(case.forces):
            if force.travel and (force.travel.low > travel.high or force.travel.high < travel.low):
                yield Clash(
                    f"load_case[{case_index}].forces[{index}].travel",
                    f"{force.travel.low:g}..{force.travel.high:g} mm is outside the travel "
                    f"{travel.low:g}..{travel.high:g} mm: the force would never act",
                    "write a range within the travel",
                )


def _thread(screw: Screw, motion: Motion | None) -> Iterator[Clash]:
    """The designation alone says pitch, starts and lead; a lead or pitch beside it must agree."""
    from geometry.screw_thread import thread_of

    try:
        found = thread_of(screw)
    except InputError as error:
        way = next((name for name in ("outline", "family") if getattr(screw, name) is not None), "thread")
        otherwise = "; [screw.family] takes a size that no table has" if way == "thread" else ""
        for problem in error.problems:
            yield Clash(f"screw.{way}", problem.message, f"{problem.repair}{otherwise}")
        return
    for name, given, meant in (("lead", screw.lead, found.lead_mm), ("pitch", screw.pitch, found.pitch_mm)):
        if given is None or abs(given - meant) <= 1e-6 * meant:
            continue
        starts = f"{found.starts} start{'s' if found.starts > 1 else ''}"
        turns = ""
        if motion is not None and name == "lead":
            rpm, wrong = motion.speed / meant * 60, motion.speed / given * 60
            turns = f": {motion.speed:g} mm/s is {rpm:g} rpm of the screw, not {wrong:g}"
        yield Clash(
            f"screw.{name}",
            f'"{found.designation}" means {starts}, pitch {found.pitch_mm:g} mm, lead {found.lead_mm:g} mm; '
            f"{name} {given:g} mm contradicts it{turns}",
            f'write {name} = "{meant:g} mm", leave it out, or write the designation you mean',
        )


def _classes(screw: Screw, nut: Nut | None) -> Iterator[Clash]:
    """Refuse a tolerance class that the thread does not have, and a solid at the limit of no class."""
    from geometry.screw_thread import solid_thread, thread_of

    for section, part in (("screw", screw), ("nut", nut)):
        if part is None:
            continue
        if part.tolerance_class is None:
            if part.solid_size != "nominal":
                yield Clash(
                    f"{section}.solid_size",
                    f"{part.solid_size} is the limit of a class, and no tolerance_class is given",
                    'write tolerance_class = "7e" or the like, or solid_size = "nominal"',
                )
            continue
        try:
            thread_of(screw).limits(part.tolerance_class)
            solid_thread(screw, part)
        except InputError as error:
            problem = error.problems[0]
            yield Clash(f"{section}.tolerance_class", problem.message, problem.repair)


def _nut(nut: Nut, screw: Screw | None) -> Iterator[Clash]:
    if screw is not None and nut.length > screw.length:
        yield Clash(
            "nut.length",
            f"the nut's {nut.length:g} mm are longer than the thread's {screw.length:g} mm",
            "write a longer screw.length or a shorter nut.length",
        )
    if nut.flange_thickness is not None and nut.flange_thickness > nut.length:
        yield Clash(
            "nut.flange_thickness",
            f"a flange of {nut.flange_thickness:g} mm is thicker than the nut's {nut.length:g} mm",
            "the length counts with the flange: write a longer nut.length",
        )
    if nut.flange_diameter and nut.body_diameter and nut.flange_diameter < nut.body_diameter:
        yield Clash(
            "nut.flange_diameter",
            f"the flange, {nut.flange_diameter:g} mm, is smaller than the body, {nut.body_diameter:g} mm",
            'write the larger one as flange_diameter, or kind = "cylindrical"',
        )


def _bearings(ends: Ends) -> Iterator[Clash]:
    near, far = ends.near_bearing, ends.far_bearing
    if near is not None and far is not None and near >= far:
        yield Clash(
            "ends.far_bearing",
            f"the far bearing at z = {far:g} mm is not beyond the near one at {near:g} mm",
            "z counts along the screw away from the motor: swap the two",
        )


def _bodies(raw: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Give (field, name) of every body that the file names, also of those with problems of their own."""
    for path in BODY_LISTS:
        tables = _at(raw, path)
        for index, table in enumerate(tables if isinstance(tables, list) else []):
            if isinstance(table, dict) and isinstance(table.get("name"), str):
                yield f"{'.'.join(path)}[{index}].name", table["name"]


def _at(raw: Any, path: tuple[str, ...]) -> Any:
    for part in path:
        raw = raw.get(part) if isinstance(raw, dict) else None
    return raw


def _names(raw: Mapping[str, Any]) -> Iterator[Clash]:
    seen: dict[str, str] = dict.fromkeys(ACTUATOR_BODIES, "the actuator's own part")
    for field, name in _bodies(raw):
        if name in seen:
            yield Clash(
                field,
                f'the name "{name}" is taken already: {seen[name]}',
                f'write "{name}_2" or a better name',
            )
        seen.setdefault(name, field)


def _contacts(valid: Mapping[str, Any], raw: Mapping[str, Any], motion: Motion | None) -> Iterator[Clash]:
    own = {name for name, path in ACTUATOR_BODIES.items() if _at(raw, path) is not None}
    known = sorted(own | {name for _, name in _bodies(raw)})
    named_in_file = _at(raw, ("housing", "file")) is not None
    for index, contact in enumerate(valid.get("contact", ())):
        for side in ("a", "b"):
            name = getattr(contact, side)
            if name not in known and not named_in_file:
                yield _no_body(f"contact[{index}].{side}", name, known)
        if contact.a == contact.b:
            yield Clash(f"contact[{index}].b", f'"{contact.a}" cannot touch itself', "name the other body")
        travel = _travel(motion) if motion is not None else None
        if (
            contact.travel
            and travel
            and not travel.low <= contact.travel.low <= contact.travel.high <= travel.high
        ):
            yield Clash(
                f"contact[{index}].travel",
                f"{contact.travel.low:g}..{contact.travel.high:g} mm is outside the travel "
                f"{travel.low:g}..{travel.high:g} mm",
                "write a range within the travel",
            )


def _no_body(field: str, name: str, known: list[str]) -> Clash:
    if name in ACTUATOR_BODIES:
        section = ".".join(ACTUATOR_BODIES[name])
        return Clash(field, f'there is no "{name}": the design has no [{section}]', f"add [{section}]")
    near = get_close_matches(name, known, 1)
    if near:
        return Clash(field, f'there is no body "{name}", did you mean "{near[0]}"', f'write "{near[0]}"')
    return Clash(field, f'there is no body "{name}"', f"write one of {', '.join(known)}")

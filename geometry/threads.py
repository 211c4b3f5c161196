"""From a thread's designation, or its family with its fields, to its record. No CAD kernel is needed here."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from fractions import Fraction
from functools import lru_cache
from typing import Any, Literal, get_args

from geometry.ball_groove import Form, groove_shape
from geometry.errors import InputError, Problem
from geometry.outlines import Corner, Outline, Point, outline
from geometry.thread_families import Family, Head, Size, families, family, heads

__all__ = ["Family", "Hand", "Size", "Thread", "families", "family_thread", "thread"]

Hand = Literal["right", "left"]

MOST_STARTS = 8
MOST_MM = 1e6  # beyond it a number in a designation is a slip of the keyboard


@dataclass(frozen=True)
class Thread:
    """Basic sizes of one thread, both members, in mm and degrees; its outlines share one axial origin."""

    designation: str
    family: str
    pitch_mm: float
    lead_mm: float
    starts: int
    hand: Hand
    major_diameter_mm: float
    pitch_diameter_mm: float
    minor_diameter_mm: float
    """d1, where the flanks of the two members end in contact."""
    root_diameter_mm: float
    """d3, the bottom of the external groove."""
    internal_major_diameter_mm: float
    internal_minor_diameter_mm: float
    engagement_depth_mm: float
    """H1, the radial depth over which the flanks of the two members touch; of a ball groove its depth."""
    root_clearance_mm: float
    """Radial gap between the external root and the internal crest."""
    flank_angle_deg: float
    """Half angle of the flank that faces +z in the external member.

    0 for a ball groove: friction of balls is stated for the thrust itself, with the contact angle in it.
    """
    back_flank_angle_deg: float
    """Half angle of the flank that faces -z; equal to the other in a symmetric thread."""
    external: Outline
    internal: Outline
    source: str
    notes: tuple[str, ...] = ()
    ball_diameter_mm: float | None = None
    """Of a ball groove the diameter of its balls, which run on the pitch diameter."""
    contact_angle_deg: float | None = None
    """Of a ball groove, between the radius and the line through the contacts of a ball."""

    def limits(self, tolerance_class: str) -> dict[str, tuple[float, float]]:
        """Limits {name: (max_mm, min_mm)} in a class: d, d2, d3 of the screw, D, D1, D2 of the nut.

        A diameter that the class does not limit on both sides is left out. Raises InputError for a class that
        the thread's family does not have here. Source: the family's standard; `thread_limits.class_limits`
        says where each number is from.
        """
        from geometry.thread_limits import class_limits

        return dict(class_limits(self, tolerance_class).values)


@lru_cache(maxsize=256)
def thread(designation: str) -> Thread:
    """Basic sizes (mm) of a thread by its designation: "M3", "M4x0.5", "Tr 8×1.5", "Tr8x8(P2) LH".

    Case, spaces and × for x don't matter. Raises InputError for a designation that no family knows, with the
    nearest sizes, and for a lead that is not 1 to 8 times the pitch. Source: the family's standard, named in
    the record.
    """
    text, hand = _normal(designation)
    for head in heads():
        for pattern in head.patterns:
            if match := pattern.fullmatch(text):
                return _thread(family(head.file), designation, match.groupdict(), hand)
    if classed := re.fullmatch(r"(.+?)[- ]+(\d[a-zA-Z](?:\d[a-zA-Z])?)", designation.strip()):
        _refuse_class(designation, classed[1], classed[2])
    examples = ", ".join(head.example for head in heads())
    raise _refused(f"thread {designation!r} follows no known designation", f"write it like {examples}")


def _refuse_class(designation: str, size: str, tolerance_class: str) -> None:
    """Refuse a tolerance class behind a designation: screw and nut each state their own."""
    try:
        known = thread(size)
    except InputError:
        return  # what stands before it is no thread either
    raise _refused(
        f"thread {designation!r} names a tolerance class, which screw and nut each state themselves",
        f'write {known.designation}, and tolerance_class = "{tolerance_class}" beside it',
    )


@lru_cache(maxsize=256)
def family_thread(
    name: str,
    diameter_mm: float,
    pitch_mm: float,
    *,
    starts: int = 1,
    hand: Hand = "right",
    form: str = "gothic",
    ball_mm: float | None = None,
    conformity: float | None = None,
    contact_angle_deg: float | None = None,
) -> Thread:
    """Basic sizes (mm) of a thread by its family with its fields, whether or not the standard has the size.

    The last four are those of a ball groove. Raises InputError for an unknown family, for fields that the
    family does not have, and for sizes that leave no core, no land or no room for the balls. Source: the
    family's standard, named in the record; a size that it does not have is said in the notes.
    """
    known = family(_head(name).file)
    given = {"ball_diameter": ball_mm, "conformity": conformity, "contact_angle": contact_angle_deg}
    if known.groove is None and (extra := [field for field, value in given.items() if value is not None]):
        raise _refused(f"{known.name} has no {extra[0]}: it is no ball groove", f"take {extra[0]} out")
    size = _any_size(known, diameter_mm, pitch_mm)
    if known.groove is not None:
        changed = {"conformity": conformity, "contact_angle_deg": contact_angle_deg}
        groove = known.groove._replace(**{key: value for key, value in changed.items() if value is not None})
        known = known._replace(groove=groove)
        size = size._replace(ball_mm=ball_mm or size.ball_mm)
    designation = _designation(known, size, starts)
    return _record(known, size, starts, hand, designation, form)


def _head(name: str) -> Head:
    wanted = name.strip().lower()
    for head in heads():
        if wanted == head.name.lower():
            return head
    near = get_close_matches(wanted, [head.name.lower() for head in heads()], 1, 0.4)
    names = [head.name for head in heads()]
    best = next((known for known in names if known.lower() in near), names[0])
    raise _refused(f"no thread family is called {name!r}; known are {', '.join(names)}", f'write "{best}"')


def _any_size(family: Family, diameter: float, pitch: float) -> Size:
    """A size of the family's table, or one that it does not have."""
    for size in family.sizes:
        if math.isclose(size.diameter_mm, diameter, abs_tol=1e-6) and (
            abs(size.pitch_mm - pitch) <= family.slack_mm
        ):
            return size
    d, p = diameter / family.scale_mm, pitch / family.scale_mm
    designation = family.single_start.format(size=f"{d:g}", pitch=f"{p:g}", per_inch=f"{1 / p:.4g}")
    note = "" if family.free_sizes else f"{family.name} has no such size"
    return Size(f"{d:g}", diameter, pitch, designation, family.sources.get("free", "given"), note)


def _normal(designation: str) -> tuple[str, Hand]:
    """The designation without spaces (but between digits), × as x, and its hand taken off."""
    text = re.sub(r"(?<!\d)\s+|\s+(?!\d)", "", designation.strip()).replace("×", "x")
    bare = re.sub(r"-?LH$", "", text, flags=re.IGNORECASE)
    return bare, "right" if bare == text else "left"


def _thread(family: Family, designation: str, fields: Mapping[str, str | None], hand: Hand) -> Thread:
    form = (fields.get("form") or "gothic").lower()
    numbers = {name: _number(text) for name, text in fields.items() if text and name != "form"}
    if bad := [name for name, number in numbers.items() if not 0 < number < MOST_MM]:
        field = bad[0].replace("_", " ")
        message = f"thread {designation!r}: its {field} must lie above 0 and below {MOST_MM:g}"
        raise _refused(message, f"write it like {family.example}")
    scale = family.scale_mm
    pitch = 1 / numbers["per_inch"] if "per_inch" in numbers else numbers.get("pitch")
    size = _known_size(family, designation, numbers["diameter"] * scale, pitch and pitch * scale)
    starts = _starts(family, designation, size, numbers["lead"] * scale) if "lead" in numbers else 1
    return _record(family, size, starts, hand, _designation(family, size, starts), form)


def _number(text: str) -> float:
    """A decimal, a fraction or a whole number with a fraction ("1 1/4"); infinite where it has no value."""
    try:
        return float(sum(Fraction(part) for part in re.split(r"[ -]", text)))
    except (ZeroDivisionError, OverflowError):
        return math.inf


def _starts(family: Family, designation: str, size: Size, lead: float) -> int:
    starts = round(lead / size.pitch_mm)
    if abs(lead - starts * size.pitch_mm) > starts * _lead_slack(family) or not 1 <= starts <= MOST_STARTS:
        below = min(max(1, math.floor(lead / size.pitch_mm)), MOST_STARTS)
        raise _refused(
            f"thread {designation!r} has lead {lead:g} and pitch {size.pitch_mm:g} mm: "
            f"{lead / size.pitch_mm:.4g} starts, it must be a whole number from 1 to {MOST_STARTS}",
            f"write {_designation(family, size, below)}",
        )
    return starts


def _lead_slack(family: Family) -> float:
    return family.slack_mm if family.unit == "inch" else 1e-9


def _designation(family: Family, size: Size, starts: int) -> str:
    if starts == 1:
        return size.designation
    lead, pitch = starts * size.pitch_mm / family.scale_mm, size.pitch_mm / family.scale_mm
    digits = ".4g" if family.unit == "inch" else "g"
    return family.multi_start.format(size=size.name, lead=f"{lead:{digits}}", pitch=f"{pitch:{digits}}")


def _known_size(family: Family, designation: str, diameter: float, pitch: float | None) -> Size:
    if family.free_sizes and pitch is not None:
        return _any_size(family, diameter, pitch)
    same_diameter = [size for size in family.sizes if math.isclose(size.diameter_mm, diameter, abs_tol=1e-6)]
    if not same_diameter:
        nearest = sorted(family.sizes, key=lambda size: _distance(size, diameter, pitch))[:3]
        raise _refused(
            f"thread {designation!r}: {family.name} has no size of {diameter:g} mm here; "
            f"nearest are {_listed(nearest)}",
            f"write {nearest[0].designation}",
        )
    if pitch is None:
        if family.first_choice_may_be_omitted:
            return same_diameter[0]
        raise _refused(f"thread {designation!r} has no pitch", f"write {same_diameter[0].designation}")
    for size in same_diameter:
        if abs(size.pitch_mm - pitch) <= family.slack_mm:
            return size
    raise _unknown_pitch(family, designation, pitch, same_diameter)


def _unknown_pitch(family: Family, designation: str, pitch: float, same_diameter: list[Size]) -> InputError:
    """A pitch that is a whole multiple of a known one is most likely the lead of a multi-start thread."""
    nearest = min(same_diameter, key=lambda size: abs(math.log(size.pitch_mm / pitch)))
    repair = f"write {nearest.designation}"
    for size in same_diameter if family.multi_start else ():
        starts = round(pitch / size.pitch_mm)
        if 1 < starts <= MOST_STARTS and math.isclose(pitch, starts * size.pitch_mm, abs_tol=1e-9):
            repair += f", or {_designation(family, size, starts)} for {starts} starts"
    message = f"thread {designation!r}: {family.name} has pitch {pitch:g} mm for no thread of this diameter"
    return _refused(f"{message}; known are {_listed(same_diameter)}", repair)


def _nearest(family: Family, size: Size) -> list[Size]:
    return sorted(family.sizes, key=lambda known: _distance(known, size.diameter_mm, size.pitch_mm))[:3]


def _distance(size: Size, diameter: float, pitch: float | None) -> float:
    """How far a size is from what was asked for: by the ratio of diameters, then of pitches."""
    off = abs(math.log(size.diameter_mm / diameter))
    return off + (0.1 * abs(math.log(size.pitch_mm / pitch)) if pitch else 0.0)


def _listed(sizes: list[Size]) -> str:
    return ", ".join(size.designation for size in sizes)


def _refused(message: str, repair: str) -> InputError:
    return InputError(Problem(message, repair))


def _record(
    family: Family, size: Size, starts: int, hand: Hand, designation: str, form: str = "gothic"
) -> Thread:
    if not 1 <= starts <= MOST_STARTS:
        raise _refused(f"{starts} starts: they must be 1 to {MOST_STARTS}", f"write {MOST_STARTS} or fewer")
    make = _flanked if family.groove is None else _grooved
    made = make(family, size, form)
    notes = (size.note, made.notes[0] if made.notes else "")
    return replace(
        made,
        designation=designation + made.designation + (" LH" if hand == "left" else ""),
        lead_mm=starts * size.pitch_mm,
        starts=starts,
        hand=hand,
        notes=tuple(note for note in notes if note),
    )


def _flanked(family: Family, size: Size, form: str) -> Thread:
    """The record of a thread whose outline is in the family's file, single and right-handed."""
    pitch, clearance = size.pitch_mm, family.clearance_mm(size.pitch_mm)
    diameters = {
        name: size.diameter_mm + by_pitch * pitch + by_clearance * clearance
        for name, (by_pitch, by_clearance) in family.diameters.items()
    }
    if diameters["root"] <= 0:
        raise _refused(
            f"{size.designation} leaves no core: its root diameter would be {diameters['root']:g} mm",
            f"take a diameter above {size.diameter_mm - diameters['root']:g} mm or a finer pitch",
        )
    return Thread(
        designation="",
        family=family.name,
        pitch_mm=pitch,
        lead_mm=pitch,
        starts=1,
        hand="right",
        major_diameter_mm=diameters["major"],
        pitch_diameter_mm=diameters["pitch"],
        minor_diameter_mm=diameters["minor"],
        root_diameter_mm=diameters["root"],
        internal_major_diameter_mm=diameters["internal_major"],
        internal_minor_diameter_mm=diameters["internal_minor"],
        engagement_depth_mm=(diameters["major"] - diameters["internal_minor"]) / 2,
        root_clearance_mm=(diameters["internal_minor"] - diameters["root"]) / 2,
        flank_angle_deg=family.flank_angles_deg[0],
        back_flank_angle_deg=family.flank_angles_deg[1],
        external=_outline(family.outlines["external"], size.diameter_mm / 2, pitch, clearance),
        internal=_outline(family.outlines["internal"], size.diameter_mm / 2, pitch, clearance),
        source=f"{family.source}; size: {size.source}",
    )


def _grooved(family: Family, size: Size, form: str) -> Thread:
    """The record of a ball groove, single and right-handed; its designation is what the form adds to it."""
    groove, circle = family.groove, size.diameter_mm / 2
    assert groove is not None  # asked before
    if not size.ball_mm:
        raise _refused(
            f"{size.designation} is no size of the table, so its balls are not known",
            f"give family and ball_diameter, or take {_nearest(family, size)[0].designation}",
        )
    forms = get_args(Form)
    if form not in forms:
        raise _refused(f"no ball groove is of the form {form!r}", f"write {' or '.join(forms)}")
    shape = groove_shape(groove, "arc" if form == "arc" else "gothic", size.ball_mm, circle, size.pitch_mm)
    return Thread(
        designation=" arc" if form == "arc" else "",
        family=family.name,
        pitch_mm=size.pitch_mm,
        lead_mm=size.pitch_mm,
        starts=1,
        hand="right",
        major_diameter_mm=2 * shape.land_mm,
        pitch_diameter_mm=2 * circle,
        minor_diameter_mm=2 * shape.contact_mm,
        root_diameter_mm=2 * shape.root_mm,
        internal_major_diameter_mm=4 * circle - 2 * shape.root_mm,
        internal_minor_diameter_mm=4 * circle - 2 * shape.land_mm,
        engagement_depth_mm=shape.land_mm - shape.root_mm,
        root_clearance_mm=circle - size.ball_mm / 2 - shape.root_mm,
        flank_angle_deg=0.0,
        back_flank_angle_deg=0.0,
        external=shape.external,
        internal=shape.internal,
        source=f"{family.source}; size: {size.source}",
        notes=(
            f"balls of {size.ball_mm:g} mm, groove radius {groove.conformity:g} of that, contact at "
            f"{groove.contact_angle_deg:g} degrees",
        ),
        ball_diameter_mm=size.ball_mm,
        contact_angle_deg=groove.contact_angle_deg,
    )


def _outline(rows: list[Any], radius: float, pitch: float, clearance: float) -> Outline:
    """Outline in mm from rows of multiples: a point, or a table with `through` and `to` for an arc."""

    def point(row: list[float]) -> Point:
        s, r, by_clearance_s, by_clearance_r = (*row, 0.0, 0.0)[:4]
        return s * pitch + by_clearance_s * clearance, radius + r * pitch + by_clearance_r * clearance

    corners = [
        Corner(point(row["to"]), point(row["through"])) if isinstance(row, dict) else Corner(point(row))
        for row in rows[1:]
    ]
    return outline(point(rows[0]), corners)

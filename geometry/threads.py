"""From a thread's designation to its record, read from the families in geometry/standards.

A family is one TOML file: adding a file adds the family. No CAD kernel is needed here.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any, Literal

from geometry.errors import InputError, Problem
from geometry.outlines import Corner, Outline, Point, outline

Hand = Literal["right", "left"]

UNITS_MM = {"mm": 1.0, "inch": 25.4}
MOST_STARTS = 8
MOST_MM = 1e6  # beyond it a number in a designation is a slip of the keyboard


@dataclass(frozen=True)
class Size:
    """One row of a family's table: a nominal diameter with one pitch (mm)."""

    name: str
    diameter_mm: float
    pitch_mm: float
    designation: str
    source: str
    note: str = ""


@dataclass(frozen=True)
class Family:
    """A thread standard as data: how it is written, its outline in multiples of the pitch, its sizes."""

    name: str
    source: str
    unit: str
    example: str
    patterns: tuple[re.Pattern[str], ...]
    single_start: str
    multi_start: str
    first_choice_may_be_omitted: bool
    flank_angles_deg: tuple[float, float]
    clearances_mm: tuple[tuple[float, float], ...]
    diameters: Mapping[str, list[float]]
    outlines: Mapping[str, list[Any]]
    sizes: tuple[Size, ...]

    def clearance_mm(self, pitch_mm: float) -> float:
        """Radial root and crest clearance at a pitch (mm)."""
        return next(value for up_to, value in self.clearances_mm if pitch_mm <= up_to + 1e-9)


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
    """H1, the radial depth over which the flanks of the two members touch."""
    root_clearance_mm: float
    """Radial gap between the external root and the internal crest."""
    flank_angle_deg: float
    """Half angle of the flank that faces +z in the external member."""
    back_flank_angle_deg: float
    """Half angle of the flank that faces -z; equal to the other in a symmetric thread."""
    external: Outline
    internal: Outline
    source: str
    notes: tuple[str, ...] = ()


@cache
def families() -> tuple[Family, ...]:
    """Every thread family of geometry/standards, sorted by file name (diameters and pitches in mm)."""
    folder = resources.files("geometry.standards")
    files = sorted((f for f in folder.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)
    return tuple(_family(tomllib.loads(file.read_text(encoding="utf-8"))) for file in files)


def _family(data: Mapping[str, Any]) -> Family:
    scale = UNITS_MM[data["unit"]]
    first_flank, second_flank = data["flank_angles_deg"]
    return Family(
        name=data["family"],
        source=data["source"],
        unit=data["unit"],
        example=data["example"],
        patterns=tuple(re.compile(pattern, re.IGNORECASE) for pattern in data["patterns"]),
        single_start=data["single_start"],
        multi_start=data.get("multi_start", ""),
        first_choice_may_be_omitted=data["first_choice_may_be_omitted"],
        flank_angles_deg=(first_flank, second_flank),
        clearances_mm=tuple((up_to * scale, value * scale) for up_to, value in data["clearances"]),
        diameters=data["diameters"],
        outlines=data["outlines"],
        sizes=tuple(_size(row, data, scale) for row in data["sizes"]["rows"]),
    )


def _size(row: Mapping[str, Any], data: Mapping[str, Any], scale: float) -> Size:
    pitch = 1 / row["per_inch"] if "per_inch" in row else row["pitch"]
    name = row.get("name", f"{row['diameter']:g}")
    designation = data["single_start"].format(size=name, pitch=f"{pitch:g}", per_inch=row.get("per_inch"))
    source = data["sources"][row["source"]]
    return Size(name, row["diameter"] * scale, pitch * scale, designation, source, row.get("note", ""))


def thread(designation: str) -> Thread:
    """Basic sizes (mm) of a thread by its designation: "M3", "M4x0.5", "Tr 8×1.5", "Tr8x8(P2) LH".

    Case, spaces and × for x don't matter. Raises InputError for a designation that no family knows, with the
    nearest sizes, and for a lead that is not 1 to 8 times the pitch. Source: the family's standard, named in
    the record.
    """
    text, hand = _normal(designation)
    for family in families():
        for pattern in family.patterns:
            if match := pattern.fullmatch(text):
                return _thread(family, designation, match.groupdict(), hand)
    examples = ", ".join(family.example for family in families())
    raise _refused(f"thread {designation!r} follows no known designation", f"write it like {examples}")


def _normal(designation: str) -> tuple[str, Hand]:
    """The designation without spaces (but between digits), × as x, and its hand taken off."""
    text = re.sub(r"(?<!\d)\s+|\s+(?!\d)", "", designation.strip()).replace("×", "x")
    bare = re.sub(r"-?LH$", "", text, flags=re.IGNORECASE)
    return bare, "right" if bare == text else "left"


def _thread(family: Family, designation: str, fields: Mapping[str, str | None], hand: Hand) -> Thread:
    numbers = {name: _number(text) for name, text in fields.items() if text}
    if bad := [name for name, number in numbers.items() if not 0 < number < MOST_MM]:
        field = bad[0].replace("_", " ")
        message = f"thread {designation!r}: its {field} must lie above 0 and below {MOST_MM:g}"
        raise _refused(message, f"write it like {family.example}")
    scale = UNITS_MM[family.unit]
    pitch = 1 / numbers["per_inch"] if "per_inch" in numbers else numbers.get("pitch")
    size = _known_size(family, designation, numbers["diameter"] * scale, pitch and pitch * scale)
    starts = _starts(family, designation, size, numbers["lead"] * scale) if "lead" in numbers else 1
    name = _designation(family, size, starts)
    return _record(family, size, starts, hand, name if hand == "right" else f"{name} LH")


def _number(text: str) -> float:
    """A decimal, a fraction or a whole number with a fraction ("1 1/4"); infinite where it has no value."""
    try:
        return float(sum(Fraction(part) for part in re.split(r"[ -]", text)))
    except (ZeroDivisionError, OverflowError):
        return math.inf


def _starts(family: Family, designation: str, size: Size, lead: float) -> int:
    starts = round(lead / size.pitch_mm)
    if abs(lead - starts * size.pitch_mm) > 1e-9 or not 1 <= starts <= MOST_STARTS:
        below = min(max(1, math.floor(lead / size.pitch_mm)), MOST_STARTS)
        raise _refused(
            f"thread {designation!r} has lead {lead:g} and pitch {size.pitch_mm:g} mm: "
            f"{lead / size.pitch_mm:.4g} starts, it must be a whole number from 1 to {MOST_STARTS}",
            f"write {_designation(family, size, below)}",
        )
    return starts


def _designation(family: Family, size: Size, starts: int) -> str:
    if starts == 1:
        return size.designation
    scale = UNITS_MM[family.unit]
    lead, pitch = starts * size.pitch_mm / scale, size.pitch_mm / scale
    return family.multi_start.format(size=size.name, lead=f"{lead:g}", pitch=f"{pitch:g}")


def _known_size(family: Family, designation: str, diameter: float, pitch: float | None) -> Size:
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
        if math.isclose(size.pitch_mm, pitch, abs_tol=1e-6):
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


def _distance(size: Size, diameter: float, pitch: float | None) -> float:
    """How far a size is from what was asked for: by the ratio of diameters, then of pitches."""
    off = abs(math.log(size.diameter_mm / diameter))
    return off + (0.1 * abs(math.log(size.pitch_mm / pitch)) if pitch else 0.0)


def _listed(sizes: list[Size]) -> str:
    return ", ".join(size.designation for size in sizes)


def _refused(message: str, repair: str) -> InputError:
    return InputError(Problem(message, repair))


def _record(family: Family, size: Size, starts: int, hand: Hand, designation: str) -> Thread:
    pitch, clearance = size.pitch_mm, family.clearance_mm(size.pitch_mm)
    diameters = {
        name: size.diameter_mm + by_pitch * pitch + by_clearance * clearance
        for name, (by_pitch, by_clearance) in family.diameters.items()
    }
    return Thread(
        designation=designation,
        family=family.name,
        pitch_mm=pitch,
        lead_mm=starts * pitch,
        starts=starts,
        hand=hand,
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
        notes=(size.note,) if size.note else (),
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

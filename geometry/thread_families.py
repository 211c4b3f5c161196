"""The thread families of geometry/standards as records: adding a file adds the family.

Of a file only the part above its first table is read to see whether a designation is its own; the sizes and
the tolerances below are read for the family that is asked for.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

UNITS_MM = {"mm": 1.0, "inch": 25.4}
INCH_DECIMALS = 1e-4  # pitch and lead in inches are written with four decimals


class Size(NamedTuple):
    """One row of a family's table: a nominal diameter with one pitch (mm), and the ball of a ball groove."""

    name: str
    diameter_mm: float
    pitch_mm: float
    designation: str
    source: str
    note: str = ""
    ball_mm: float = 0.0


class Groove(NamedTuple):
    """A ball groove in shares of the ball's diameter: how its arcs fit the ball and where the lands begin."""

    conformity: float
    """Radius of an arc over the diameter of the ball: above 0.5."""
    contact_angle_deg: float
    land: float
    """Radial distance from the ball circle to the lands, in ball diameters, in screw and nut alike."""


class Family(NamedTuple):
    """A thread standard as data: how it is written, its outline in multiples of the pitch, its sizes."""

    name: str
    source: str
    unit: str
    example: str
    single_start: str
    multi_start: str
    first_choice_may_be_omitted: bool
    free_sizes: bool
    """Whether any diameter goes with any pitch; the sizes are then examples."""
    flank_angles_deg: tuple[float, float]
    clearances_mm: tuple[tuple[float, float], ...]
    diameters: Mapping[str, list[float]]
    outlines: Mapping[str, list[Any]]
    groove: Groove | None
    sources: Mapping[str, str]
    sizes: tuple[Size, ...]
    tolerances: Mapping[str, Any]
    """The tables `quantities` and `classes` as they stand in the file; empty without tolerance classes."""
    no_classes: str
    """Why there are no tolerance classes; empty where there are some, or nothing is said."""

    @property
    def scale_mm(self) -> float:
        """The family's unit in mm."""
        return UNITS_MM[self.unit]

    @property
    def slack_mm(self) -> float:
        """How far a typed pitch may be from the exact one: rounding only."""
        return INCH_DECIMALS * self.scale_mm if self.unit == "inch" else 1e-6

    @property
    def classes(self) -> tuple[str, ...]:
        """The tolerance classes whose limits are known."""
        return tuple(self.tolerances.get("classes", ()))

    def class_source(self, name: str) -> str:
        """Where the limits of a tolerance class are from."""
        return str(self.tolerances["classes"][name]["source"])

    def class_note(self, name: str) -> str:
        """What a class leaves open; empty for nothing."""
        return str(self.tolerances["classes"][name].get("note", ""))

    def clearance_mm(self, pitch_mm: float) -> float:
        """Radial root and crest clearance at a pitch (mm); beyond the table that of its last row."""
        for up_to, value in self.clearances_mm:
            if pitch_mm <= up_to + 1e-9:
                return value
        return self.clearances_mm[-1][1]


class Head(NamedTuple):
    """What says whether a designation belongs to a family: its name, an example and the patterns."""

    file: str
    name: str
    example: str
    patterns: tuple[re.Pattern[str], ...]


@cache
def heads() -> tuple[Head, ...]:
    """The head of every file of geometry/standards, sorted by file name. No source needed."""
    files = sorted(file.name for file in _folder().iterdir() if file.name.endswith(".toml"))
    return tuple(_head(file) for file in files)


def _folder() -> Path:
    return Path(__file__).with_name("standards")


def _text(file: str) -> str:
    return (_folder() / file).read_text(encoding="utf-8")


def _head(file: str) -> Head:
    """Parse the file up to its first table, the first line that begins with a bracket."""
    data = tomllib.loads(re.split(r"^\[", _text(file), maxsplit=1, flags=re.MULTILINE)[0])
    patterns = tuple(re.compile(pattern, re.IGNORECASE) for pattern in data["patterns"])
    return Head(file, data["family"], data["example"], patterns)


@cache
def family(file: str) -> Family:
    """The family of one file of geometry/standards (diameters and pitches in mm). No source needed."""
    data = tomllib.loads(_text(file))
    scale = UNITS_MM[data["unit"]]
    first_flank, second_flank = data["flank_angles_deg"]
    return Family(
        name=data["family"],
        source=data["source"],
        unit=data["unit"],
        example=data["example"],
        single_start=data["single_start"],
        multi_start=data.get("multi_start", ""),
        first_choice_may_be_omitted=data["first_choice_may_be_omitted"],
        free_sizes=data.get("free_sizes", False),
        flank_angles_deg=(first_flank, second_flank),
        clearances_mm=tuple((up_to * scale, value * scale) for up_to, value in data["clearances"]),
        diameters=data.get("diameters", {}),
        outlines=data.get("outlines", {}),
        groove=Groove(**data["groove"]) if "groove" in data else None,
        sources=data["sources"],
        sizes=tuple(_size(row, data, scale) for row in data["sizes"]["rows"]),
        tolerances=data.get("tolerances", {}),
        no_classes=data.get("no_classes", ""),
    )


def families() -> tuple[Family, ...]:
    """Every thread family of geometry/standards, sorted by file name (diameters and pitches in mm)."""
    return tuple(family(head.file) for head in heads())


def forget() -> None:
    """Forget what was read, for a folder that has changed since."""
    heads.cache_clear()
    family.cache_clear()


def _size(row: Mapping[str, Any], data: Mapping[str, Any], scale: float) -> Size:
    pitch = 1 / row["per_inch"] if "per_inch" in row else row["pitch"]
    name = row.get("name", f"{row['diameter']:g}")
    designation = data["single_start"].format(size=name, pitch=f"{pitch:g}", per_inch=row.get("per_inch"))
    return Size(
        name,
        row["diameter"] * scale,
        pitch * scale,
        designation,
        data["sources"][row["source"]],
        row.get("note", ""),
        row.get("ball", 0.0) * scale,
    )

"""Socket head cap screws and the holes for them, read from cap_screws.toml (mm)."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any, Literal, NamedTuple

from geometry.errors import InputError, Problem
from geometry.threads import thread

Fit = Literal["fine", "medium", "coarse"]
TABLE = Path(__file__).with_name("cap_screws.toml")


class CapScrew(NamedTuple):
    """One size (mm): its head, its clearance holes of three series, the drill of its tapped hole."""

    head_diameter: float
    head_height: float
    fine: float
    medium: float
    coarse: float
    tap_drill: float


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def cap_screws() -> dict[str, CapScrew]:
    """Give the screws by size (mm). Source: ISO 4762, ISO 273, ISO 2306, see `cap_screw_sources`."""
    return {size: CapScrew(*(float(value) for value in row)) for size, row in _table()["sizes"].items()}


def cap_screw_sources() -> tuple[str, ...]:
    """Give where heads, clearance holes and drills come from."""
    return tuple(_table()["sources"].values())


def cap_screw(designation: str) -> CapScrew:
    """Give the cap screw of a metric coarse thread (mm). Raises InputError, as for an unknown thread."""
    known = cap_screws().get(_coarse(designation))
    if known is None:
        raise InputError(
            Problem(
                f"ISO 4762 and ISO 273 as known here have no screw {designation}",
                f"take one of {', '.join(cap_screws())}, or give the hole's diameter",
            )
        )
    return known


def clearance_hole(designation: str, fit: Fit) -> float:
    """Give the through hole for a screw (mm). Source: ISO 273 (from memory). Raises InputError."""
    return float(getattr(cap_screw(designation), fit))


def tap_drill(designation: str) -> float:
    """Give the core hole of a tapped thread (mm): the drill of the table, else diameter less pitch.

    Source: ISO 2306 (from memory). Raises InputError for an unknown thread.
    """
    made, known = thread(designation), cap_screws().get(_coarse(designation))
    return made.major_diameter_mm - made.pitch_mm if known is None else known.tap_drill


def _coarse(designation: str) -> str:
    """The size alone where a thread is metric coarse, however it is written; else the designation."""
    made = thread(designation)
    size = f"M{made.major_diameter_mm:g}"
    if size not in _table()["sizes"] or made.family != thread(size).family:
        return designation
    return size if made.pitch_mm == thread(size).pitch_mm and made.hand == "right" else designation

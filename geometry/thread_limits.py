"""Limits of a thread's diameters in its tolerance classes, and outlines at either end of them.

The families' files hold the numbers: a tabulated value wins over the formula beside it, and a value that only
the formula gives is said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Literal

from geometry.errors import InputError, Problem
from geometry.outlines import Corner, Outline, Piece, Point, outline
from geometry.thread_families import Family, family, heads
from geometry.threads import Thread

Material = Literal["nominal", "maximum-material", "minimum-material"]

# ISO 3: the R40 series over one decade.
R40 = (
    *(1.0, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0, 2.12, 2.24, 2.36, 2.5, 2.65),
    *(2.8, 3.0, 3.15, 3.35, 3.55, 3.75, 4.0, 4.25, 4.5, 4.75, 5.0, 5.3, 5.6, 6.0, 6.3, 6.7, 7.1, 7.5),
    *(8.0, 8.5, 9.0, 9.5, 10.0),
)
DECIMALS = {"mm": 3, "inch": 4}  # of the family's unit, to which basic sizes and limits are rounded


@dataclass(frozen=True)
class ClassLimits:
    """The limits {name: (max_mm, min_mm)} of one class, their source, and which came from a formula."""

    values: Mapping[str, tuple[float, float]]
    source: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Quantity:
    """A deviation or a tolerance in thousandths of the family's unit, and whether a table holds it."""

    value: float
    is_tabulated: bool


def class_limits(thread: Thread, tolerance_class: str) -> ClassLimits:
    """Limits of a thread's diameters in a tolerance class (mm).

    Raises InputError for a class that the thread's family does not have here, and for a pitch that neither
    its table nor its formula covers. Source: the standard that the record names.
    """
    known = _family(thread, tolerance_class)
    data, scale = known.tolerances["classes"][tolerance_class], known.scale_mm
    found = {name: _quantity(known, thread, name) for name in _needed(data["limits"])}
    values: dict[str, tuple[float, float]] = {}
    for name, rule in data["limits"].items():
        basic = _rounded(getattr(thread, f"{rule['basic']}_diameter_mm") / scale, known.unit)
        start = basic + _sum(rule.get("from", {}), found) / 1000
        width = _sum(rule["width"], found) / 1000
        most, least = (start, start - width) if name[0] == "d" else (start + width, start)
        values[name] = (_rounded(most, known.unit) * scale, _rounded(least, known.unit) * scale)
    formula = [name for name, quantity in found.items() if not quantity.is_tabulated]
    note = f"by the standard's formula, not its table: {', '.join(formula)}" if formula else ""
    return ClassLimits(values, known.class_source(tolerance_class), (note,) if note else ())


def _family(thread: Thread, tolerance_class: str) -> Family:
    known = next((family(head.file) for head in heads() if head.name == thread.family), None)
    classes = known.classes if known else ()
    if known is not None and tolerance_class in classes:
        return known
    if not classes:
        because = f": {known.no_classes}" if known is not None and known.no_classes else ""
        raise InputError(
            Problem(
                f"no tolerance class is known for {thread.family}, so {thread.designation} has no limits "
                f'in "{tolerance_class}"{because}',
                "leave the class out, the thread then has its nominal size, and give the play as nut.play",
            )
        )
    raise InputError(
        Problem(
            f'{thread.family} has no tolerance class "{tolerance_class}" here',
            f"write {' or '.join(classes)}",
        )
    )


def _needed(rules: Mapping[str, Any]) -> list[str]:
    names = [name for rule in rules.values() for part in ("from", "width") for name in rule.get(part, {})]
    return list(dict.fromkeys(names))


def _sum(shares: Mapping[str, float], found: Mapping[str, _Quantity]) -> float:
    return sum(share * found[name].value for name, share in shares.items())


def _rounded(value: float, unit: str) -> float:
    """To the decimals of the table, halves up; the tiny term undoes binary fractions just below a half."""
    power = 10.0 ** DECIMALS[unit]
    return math.floor(value * power + 0.5 + 1e-6) / power


def _quantity(known: Family, thread: Thread, name: str) -> _Quantity:
    """A quantity from its table, else from its formula: the sum of c P^p d^q, rounded."""
    rule, steps = known.tolerances["quantities"][name], known.tolerances.get("diameter_steps")
    pitch, diameter = thread.pitch_mm / known.scale_mm, thread.major_diameter_mm / known.scale_mm
    step = _step(steps, diameter) if steps else None
    for row_pitch, value in rule.get("by_pitch", ()):
        if math.isclose(row_pitch, pitch, abs_tol=1e-9):
            return _Quantity(value, is_tabulated=True)
    for up_to, row_pitch, value in rule.get("by_diameter_and_pitch", ()):
        if step and step[1] == up_to and math.isclose(row_pitch, pitch, abs_tol=1e-9):
            return _Quantity(value, is_tabulated=True)
    terms = next((terms for up_to, terms in rule.get("formula", ()) if pitch <= up_to), None)
    if terms is None:
        raise InputError(
            Problem(
                f"{name} of {thread.designation}: pitch {pitch:g} with diameter {diameter:g} {known.unit} is "
                "not in the standard's table",
                "take a size of the standard, or leave the class out",
            )
        )
    mean = math.sqrt(step[0] * step[1]) if step else diameter
    raw = sum(c * pitch**p * mean**q for c, p, q in terms)
    return _Quantity(
        _to_series(max(raw, rule.get("least", raw)), rule["rounding"]), rule["rounding"] == "none"
    )


def _step(steps: list[float], diameter: float) -> tuple[float, float] | None:
    """The step of diameters, above its lower end and up to its upper one, or None outside all of them."""
    return next(((low, high) for low, high in pairwise(steps) if low < diameter <= high), None)


def _to_series(value: float, rounding: str) -> float:
    if rounding == "none":
        return value
    if rounding == "whole":
        return float(round(value))
    decade = 10.0 ** math.floor(math.log10(value))
    return float(min((step * decade for step in R40), key=lambda step: abs(step - value)))


def sized(thread: Thread, tolerance_class: str, material: Material) -> Thread:
    """The thread with the member that a class limits at its most or its least material (mm).

    The flanks move with the pitch diameter; crest and root move along them to their own limits, and where the
    class sets none, with the flanks. Raises InputError as `class_limits` does. Source: the limits; the shape
    between them is the basic profile's.
    """
    if material == "nominal":
        return thread
    limits = class_limits(thread, tolerance_class).values
    place = 0 if material == "maximum-material" else 1
    made = thread
    if "d2" in limits:
        size = {name: limits[name][place] for name in limits if name[0] == "d"}
        shift = size["d2"] - thread.pitch_diameter_mm
        crest, root = size["d"], size.get("d3", thread.root_diameter_mm + shift)
        made = replace(
            made,
            major_diameter_mm=crest,
            pitch_diameter_mm=size["d2"],
            root_diameter_mm=root,
            external=_moved(thread.external, shift / 2, crest / 2, root / 2),
        )
    if "D2" in limits:
        size = {name: limits[name][1 - place] for name in limits if name[0] == "D"}
        shift = size["D2"] - thread.pitch_diameter_mm
        root, crest = size.get("D", thread.internal_major_diameter_mm + shift), size["D1"]
        made = replace(
            made,
            internal_major_diameter_mm=root,
            internal_minor_diameter_mm=crest,
            internal=_moved(thread.internal, shift / 2, root / 2, crest / 2),
        )
    return made


def _moved(shape: Outline, shift: float, largest: float, smallest: float) -> Outline:
    """An outline moved outward, its lands then brought to radii of their own along the flanks beside them."""
    pieces = [Piece(tuple((s, r + shift) for s, r in piece.poles)) for piece in shape.pieces]
    top, bottom = shape.largest_radius_mm + shift, shape.smallest_radius_mm + shift
    starts = [piece.poles[0] for piece in pieces]
    count, pitch = len(pieces), shape.pitch_mm
    for i, piece in enumerate(pieces):
        if not piece.is_land:
            continue
        radius = piece.poles[0][1]
        wanted = (
            largest if math.isclose(radius, top) else smallest if math.isclose(radius, bottom) else radius
        )
        before, after = pieces[i - 1], pieces[(i + 1) % count]
        starts[i] = _on_line(before, wanted, -pitch if i == 0 else 0.0)
        starts[(i + 1) % count] = _on_line(after, wanted, -pitch if i + 1 == count else 0.0)
    corners = [
        Corner(starts[i + 1] if i + 1 < count else (starts[0][0] + pitch, starts[0][1])) for i in range(count)
    ]
    made = outline(starts[0], corners)
    # A round root keeps its own poles: it only moved.
    kept = [straight if old.degree == 1 else old for straight, old in zip(made.pieces, pieces, strict=True)]
    return Outline(tuple(kept))


def _on_line(flank: Piece, radius: float, along: float) -> Point:
    """Where a straight flank's line reaches a radius, moved along the axis."""
    (s0, r0), (s1, r1) = flank.poles[0], flank.poles[-1]
    return s0 + (radius - r0) * (s1 - s0) / (r1 - r0) + along, radius

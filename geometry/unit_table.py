"""The units of `units.txt`: every spelling, each unit's factor and dimension, and the conversion between two.

The file is written as pint reads it, and tests hold that pint reads the same out of it. Its few forms are
evaluated here because importing pint takes a third of the time of a whole check.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

from geometry.unit_text import FACTOR, UNIT, UnitError, spelled

Factors = tuple[tuple[str, int], ...]
Dimension = tuple[int, ...]

_BASES = ("[length]", "[mass]", "[time]", "[current]", "[temperature]")
_TERM = re.compile(r"([*/]?)\s*([\w.\[\]-]+)(?:\s*\*\*\s*([0-9]))?")


class Unit(NamedTuple):
    """What one of a unit is in m, kg, s, A, K, its dimension over them, and where its zero lies."""

    factor: float
    dimension: Dimension
    offset: float


def factors(unit: str, text: str = "") -> Factors:
    """Take a unit apart into (name, power), in the order typed; `text` is the quantity it stands in.

    Raises UnitError. Source: `units.txt`.
    """
    plain = spelled(unit)
    if plain and not UNIT.fullmatch(plain):
        raise UnitError(f'"{unit}" is not a unit', '"mm", "N*m" or "kg*m2"')
    found: list[tuple[str, int]] = []
    for sign, spelling, power in FACTOR.findall(plain):
        name = names().get(spelling)
        if name is None:
            raise _unknown(spelling, text or unit)
        found.append((name, int(power or 1) * (-1 if sign == "/" else 1)))
    if len(found) > 1 and any(_defined(name).offset for name, _ in found):
        raise UnitError(f'"{text or unit}" multiplies or divides a temperature in degC', "K for a difference")
    return tuple(found)


@cache
def product(parts: Factors) -> Unit:
    """Multiply units out to one factor and one dimension; an offset is kept only by a unit that stands alone.

    Raises nothing for parts from `factors`. Source: `units.txt`.
    """
    factor, dimension = 1.0, [0] * len(_BASES)
    for name, power in parts:
        unit = _defined(name)
        factor *= unit.factor**power
        dimension = [total + power * own for total, own in zip(dimension, unit.dimension, strict=True)]
    offset = _defined(parts[0][0]).offset if len(parts) == 1 and parts[0][1] == 1 else 0.0
    return Unit(factor, tuple(dimension), offset)


@cache
def names() -> dict[str, str]:
    """Map every spelling to its unit's name. Source: `units.txt`."""
    return {spelling: name for name, (_, spellings) in _lines().items() for spelling in spellings}


def definitions() -> list[str]:
    """Give the definitions as pint takes them. Source: `units.txt`."""
    text = Path(__file__).with_name("units.txt").read_text(encoding="utf-8")
    return [line for line in text.splitlines() if line and not line.startswith("#")]


@cache
def _lines() -> dict[str, tuple[str, tuple[str, ...]]]:
    """Give each unit's definition and spellings by its name."""
    parts = ([part.strip() for part in line.split("=")] for line in definitions())
    return {name: (value, (name, *symbols)) for name, value, *symbols in parts}


@cache
def _defined(name: str) -> Unit:
    """Evaluate a definition: numbers, units and base dimensions, multiplied and divided."""
    value, _, offset = _lines()[name][0].partition("; offset:")
    factor, dimension = 1.0, [0] * len(_BASES)
    for sign, term, exponent in _TERM.findall(value):
        power = int(exponent or 1) * (-1 if sign == "/" else 1)
        if term in _BASES:
            dimension[_BASES.index(term)] += power
        elif term[0].isdigit():
            factor *= float(term) ** power
        elif term != "[]":
            unit = _defined(term)
            factor *= unit.factor**power
            dimension = [total + power * own for total, own in zip(dimension, unit.dimension, strict=True)]
    return Unit(factor, tuple(dimension), float(offset or 0))


def _unknown(spelling: str, text: str) -> UnitError:
    """Refuse an unknown unit with the known one that differs by its case or by a letter."""
    from difflib import get_close_matches

    same_letters = [name for name in names() if name.lower() == spelling.lower()]
    near = same_letters or get_close_matches(spelling, list(names()), 1, 0.75)
    if not near:
        return UnitError(f'the unit "{spelling}" is not known', "one of `strokebox known units`")
    return UnitError(f'the unit "{spelling}" is not known', f'"{spelled(text).replace(spelling, near[0])}"')

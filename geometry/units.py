"""Text <-> number: one strict pattern for every quantity a person types. The only module that imports pint.

Number and unit are picked out first (`unit_text.py`) and the unit looked up in our own `units.txt`
(`unit_table.py`), so "1,5 mm" or "9**9**8 mm" are refused; pint never sees a raw string.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from geometry.unit_table import Factors, definitions, factors, names, product
from geometry.unit_text import (
    BAND,
    BOTH_WAYS,
    EACH_WAY,
    LONGEST_TEXT,
    PLAIN,
    SPAN,
    Kind,
    UnitError,
    spelled,
    split,
)

if TYPE_CHECKING:
    import re

    import pint

LARGEST = 1e30


class Span(NamedTuple):
    """A range from low to high in the kind's own unit."""

    low: float
    high: float


class Band(NamedTuple):
    """An uncertain value: low, nominal and high in the kind's own unit."""

    low: float
    nominal: float
    high: float


class Toleranced(NamedTuple):
    """A value with its upper and lower deviation, signed; None where no tolerance was given."""

    nominal: float
    upper: float | None
    lower: float | None


class Measure(NamedTuple):
    """A number with the unit it was typed in, where any dimension may stand; unit "" for a plain number."""

    value: float
    unit: str


KINDS: dict[str, Kind] = {
    "length": Kind("a length", "mm", "20 mm"),
    "area": Kind("an area", "mm2", "12 mm2"),
    "volume": Kind("a volume", "mm3", "0.5 mm3"),
    "speed": Kind("a speed", "mm/s", "25 mm/s"),
    "acceleration": Kind("an acceleration", "mm/s2", "250 mm/s2"),
    "angle": Kind("an angle", "deg", "1.5 deg"),
    "rotation": Kind("a speed of rotation", "rad/s", "4000 rpm"),
    "time": Kind("a time", "s", "12 s"),
    "mass": Kind("a mass", "kg", "0.45 kg"),
    "inertia": Kind("a moment of inertia", "kg*m2", "1.0 g*cm2"),
    "density": Kind("a density", "kg/m3", "7850 kg/m3"),
    "force": Kind("a force", "N", "8 N"),
    "energy": Kind("an energy", "J", "12 mJ"),
    "torque": Kind("a torque", "N*m", "60 mN*m"),
    "power": Kind("a power", "W", "3 W"),
    "pressure": Kind("a pressure", "Pa", "5 MPa"),
    "pv": Kind("a pressure times a speed", "Pa*m/s", "0.1 MPa*m/s"),
    "wear": Kind("a wear coefficient", "m2/N", "1e-15 m2/N"),
    "stiffness": Kind("a stiffness", "N/m", "200 N/mm"),
    "torsional_stiffness": Kind("a torsional stiffness", "N*m/rad", "30 N*m/rad"),
    "current": Kind("a current", "A", "15 mA"),
    "voltage": Kind("a voltage", "V", "12 V"),
    "resistance": Kind("a resistance", "ohm", "9.5 ohm"),
    "inductance": Kind("an inductance", "H", "0.8 mH"),
    "torque_constant": Kind("a torque constant", "N*m/A", "11.4 mN*m/A"),
    "temperature": Kind("a temperature", "degC", "35 degC"),
    "temperature_difference": Kind("a temperature difference", "K", "25 K"),
    "thermal_resistance": Kind("a thermal resistance", "K/W", "8 K/W"),
    "frequency": Kind("a frequency", "Hz", "50 Hz"),
    "number": Kind("a plain number", "", "0.15"),
}

# What a dimension alone cannot tell apart: an angle has none, a torque and an energy have the same.
_ANGLES = frozenset(
    "radian milliradian degree arcminute arcsecond revolution revolutions_per_minute".split()  # noqa: SIM905 - shorter
)
_ENERGIES = frozenset({"joule", "microjoule", "millijoule", "kilojoule", "watt_hour"})
_TURNING = frozenset({"angle", "rotation", "torsional_stiffness"})
_EITHER = frozenset({"torque_constant"})  # V*s/rad and N*m/A are the same thing


def quantity(text: object, kind: str) -> float:
    """Read one number with its unit, `"25 mm/s"`, as a float in the kind's unit.

    Raises InputError. Source: the contract of the design file (one number, one known unit).
    """
    return _read(text, kind, PLAIN)[0]


def span(text: object, kind: str) -> Span:
    """Read a range `"-24..24 mm"`, low first, in the kind's unit.

    Raises InputError. Source: the contract of the design file.
    """
    low, high = _read(text, kind, SPAN)
    if low > high:
        (first, second), unit = split(text, KINDS[kind], SPAN)
        raise UnitError(f'"{text}" runs backwards', f'"{second}..{first} {unit}"'.replace(' "', '"'))
    return Span(low, high)


def band(text: object, kind: str) -> Band:
    """Read `"low..high"`, `"low..nominal..high"` or one value in the kind's unit; two have a middle.

    Raises InputError. Source: the contract of the design file.
    """
    values = _read(text, kind, BAND, PLAIN)
    if len(values) == 2:
        middle = _tidy((values[0] + values[1]) / 2)
        values = [values[0], min(max(middle, values[0]), values[1]), values[1]]
    low, nominal, high = values if len(values) == 3 else values * 3
    if not low <= nominal <= high:
        raise UnitError(f'"{text}" is not in the order low..nominal..high', "the smallest first")
    return Band(low, nominal, high)


def toleranced(text: object, kind: str) -> Toleranced:
    """Read `"20 mm"`, `"20 +-0.1 mm"`, `"20 ±0.1 mm"` or `"20 +0.1/-0.2 mm"` in the kind's unit.

    Raises InputError. Source: the contract of the design file; deviations signed as in ISO 286-1.
    """
    both = isinstance(text, str) and BOTH_WAYS.match(spelled(text))
    nominal, *deviations = _read(text, kind, BOTH_WAYS if both else EACH_WAY, PLAIN, deviations=True)
    if not deviations:
        return Toleranced(nominal, None, None)
    upper, lower = deviations if len(deviations) == 2 else (deviations[0], -deviations[0])
    if upper < lower:
        raise UnitError(f'"{text}" has its upper deviation below its lower', "the upper deviation first")
    return Toleranced(nominal, upper, lower)


def measure(text: object) -> Measure:
    """Read a plain number, or one number with any known unit, and keep the unit as typed.

    Raises InputError. Source: the contract of the design file.
    """
    if isinstance(text, int | float) and not isinstance(text, bool):
        return Measure(_finite(text, text), "")
    numbers, unit = split(text, KINDS["number"], PLAIN)
    if unit:
        factors(unit, str(text))
    return Measure(_finite(text, float(numbers[0])), unit)


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Convert a number from one known unit to another, `convert(1, "inch", "mm")`; "" is a plain number.

    Raises InputError when a unit is unknown or the dimensions differ. Source: `units.txt`.
    """
    if from_unit == to_unit:
        return value
    source, target = product(factors(from_unit)), product(factors(to_unit))
    if source.dimension != target.dimension:
        raise UnitError(f'"{from_unit}" does not convert to "{to_unit}"', "units of one dimension")
    return _tidy((value * source.factor + source.offset - target.offset) / target.factor)


def known_units() -> tuple[tuple[str, tuple[str, ...], str], ...]:
    """Give every accepted unit as (name, spellings, what it measures). Source: `units.txt`."""
    spellings: dict[str, list[str]] = {}
    for spelling, name in names().items():
        spellings.setdefault(name, []).append(spelling)
    return tuple((name, tuple(known), _noun(((name, 1),))) for name, known in spellings.items())


def Q(text: str) -> Any:  # noqa: N802 - the customary name of a quantity at a prompt
    """Give a pint quantity for a prompt, `Q("25 mm/s")`, through the same strict pattern.

    Raises InputError. Source: `units.txt`.
    """
    from pint.util import UnitsContainer

    value, unit = measure(text)
    powers: dict[str, int] = {}
    for name, power in factors(unit):
        powers[name] = powers.get(name, 0) + power
    return _registry().Quantity(
        value, UnitsContainer({name: power for name, power in powers.items() if power})
    )


def _read(text: object, kind: str, *patterns: re.Pattern[str], deviations: bool = False) -> list[float]:
    """Read the numbers of a text in the kind's unit; with `deviations` all but the first are differences."""
    wanted = KINDS[kind]
    example = f'"{wanted.example}"' if wanted.unit else wanted.example
    if isinstance(text, int | float) and not isinstance(text, bool):
        number = _finite(text, text, example)
        if wanted.unit:
            repair = f'"{"0.." if patterns[0] is SPAN else ""}{number:g} {wanted.typed_unit}"'
            raise UnitError(f"{number:g} has no unit, {wanted.noun} is expected", repair)
        return [number]
    typed, unit = split(text, wanted, *patterns)
    numbers = [_finite(text, float(number), example) for number in typed]
    _require(str(text), numbers[0], unit, kind)
    first = convert(numbers[0], unit, wanted.unit)
    if not deviations:
        return [first, *(convert(number, unit, wanted.unit) for number in numbers[1:])]
    scale = product(factors(unit)).factor / product(factors(wanted.unit)).factor
    return [first, *(_tidy(number * scale) for number in numbers[1:])]


def _require(text: str, number: float, unit: str, kind: str) -> None:
    """Refuse a missing unit, a unit of another dimension, and an energy where a torque belongs."""
    wanted = KINDS[kind]
    if not unit and wanted.unit:
        repair = f'"{text.strip()} {wanted.typed_unit}"'
        raise UnitError(f'"{text}" has no unit, {wanted.noun} is expected', repair)
    if unit and not wanted.unit:
        raise UnitError(f'"{text}" has a unit, {wanted.noun} is expected', f"{number:g}")
    parts = factors(unit, text)
    if not _fits(parts, kind):
        noun = _noun(parts)
        weight = convert(number, unit, "kg") * 9.80665 if (noun, kind) == ("a mass", "force") else None
        aside = "" if weight is None else f" (it weighs {weight:.4g} N)"
        raise UnitError(f'"{text}" is {noun}{aside}, {wanted.noun} is expected', f'"{wanted.example}"')


def _finite(text: object, value: float, suggestion: str = "a number of ordinary size") -> float:
    """Refuse infinity, NaN, and sizes whose powers would leave the range of a float later."""
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    shown = str(text) if len(str(text)) < LONGEST_TEXT else "a number of that many digits"
    if not math.isfinite(number):
        raise UnitError(f"{shown} is not a finite number", suggestion)
    if number and not 1 / LARGEST <= abs(number) <= LARGEST:
        raise UnitError(f"{shown} is beyond any size this can mean", suggestion)
    return number


def _tidy(value: float) -> float:
    """Drop a conversion's last two digits: 11.4 mN*m is 0.0114 N*m, not 0.011400000000000002."""
    return float(f"{value:.14g}")


def _fits(parts: Factors, kind: str) -> bool:
    """Tell whether a unit measures a kind: by its dimension, and by name where that cannot tell."""
    named = {name for name, _ in parts}
    if product(parts).dimension != product(factors(KINDS[kind].unit)).dimension:
        return False
    if kind not in _EITHER and bool(named & _ANGLES) != (kind in _TURNING):
        return False
    return kind != "torque" or not named & _ENERGIES


def _noun(parts: Factors) -> str:
    """Name what a unit measures: "a length", "an energy"; torque goes by N*m, energy by J."""
    energy = bool({name for name, _ in parts} & _ENERGIES)
    fitting = (kind for kind in KINDS if _fits(parts, kind) and (energy or kind != "energy"))
    return next((KINDS[kind].noun for kind in fitting), "of another dimension")


@cache
def _registry() -> pint.UnitRegistry[float]:
    """Build pint's registry from our own file, for `Q` alone: reading a design needs no pint."""
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    registry.load_definitions(definitions())
    return registry

"""Text <-> number: one strict pattern for every quantity a person types. The only module that imports pint.

pint never sees a raw string: a number and units known from `units.txt` are picked out first, so "1,5 mm" or
"9**9**8 mm" are refused instead of being understood as something else.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, NamedTuple

from geometry.errors import InputError, Problem

if TYPE_CHECKING:
    import pint

LONGEST_TEXT = 80


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
    """A number with the unit it was typed in, for a place that takes any dimension; unit "" for a plain number."""

    value: float
    unit: str


@dataclass(frozen=True)
class Kind:
    """What a quantity measures, the unit its value is kept in, and an example of how to write it."""

    noun: str
    unit: str
    example: str
    angle: bool = False
    energy: bool = False


KINDS: dict[str, Kind] = {
    "length": Kind("a length", "mm", "20 mm"),
    "area": Kind("an area", "mm2", "12 mm2"),
    "volume": Kind("a volume", "mm3", "0.5 mm3"),
    "speed": Kind("a speed", "mm/s", "25 mm/s"),
    "acceleration": Kind("an acceleration", "mm/s2", "250 mm/s2"),
    "angle": Kind("an angle", "deg", "1.5 deg", angle=True),
    "rotation": Kind("a speed of rotation", "rad/s", "4000 rpm", angle=True),
    "time": Kind("a time", "s", "12 s"),
    "mass": Kind("a mass", "kg", "0.45 kg"),
    "inertia": Kind("a moment of inertia", "kg*m2", "1.0 g*cm2"),
    "density": Kind("a density", "kg/m3", "7850 kg/m3"),
    "force": Kind("a force", "N", "8 N"),
    "torque": Kind("a torque", "N*m", "60 mN*m"),
    "energy": Kind("an energy", "J", "12 mJ", energy=True),
    "power": Kind("a power", "W", "3 W"),
    "pressure": Kind("a pressure", "Pa", "5 MPa"),
    "pv": Kind("a pressure times a speed", "Pa*m/s", "0.1 MPa*m/s"),
    "wear": Kind("a wear coefficient", "m2/N", "1e-15 m2/N"),
    "stiffness": Kind("a stiffness", "N/m", "200 N/mm"),
    "torsional_stiffness": Kind("a torsional stiffness", "N*m/rad", "30 N*m/rad", angle=True),
    "current": Kind("a current", "A", "15 mA"),
    "voltage": Kind("a voltage", "V", "12 V"),
    "resistance": Kind("a resistance", "ohm", "9.5 ohm"),
    "inductance": Kind("an inductance", "H", "0.8 mH"),
    "torque_constant": Kind("a torque constant", "N*m/A", "11.4 mN*m/A"),
    "temperature": Kind("a temperature", "degC", "35 degC"),
    "thermal_resistance": Kind("a thermal resistance", "K/W", "8 K/W"),
    "number": Kind("a plain number", "", "0.15"),
}

_ANGLES = frozenset({"radian", "milliradian", "degree", "arcminute", "arcsecond", "revolution",
                     "revolutions_per_minute"})  # fmt: skip
_ENERGIES = frozenset({"joule", "microjoule", "millijoule", "kilojoule", "watt_hour"})
_OFFSETS = frozenset({"degree_Celsius", "degree_Fahrenheit"})
_ANGLE_ALLOWED = frozenset({"torque_constant"})  # V*s/rad and N*m/A are the same thing

_NUMBER = r"[+-]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d{1,3})?"
_PLAIN = re.compile(rf"({_NUMBER})")
_SPAN = re.compile(rf"({_NUMBER})\s*\.\.\s*({_NUMBER})")
_BAND = re.compile(rf"({_NUMBER})\s*\.\.\s*({_NUMBER})(?:\s*\.\.\s*({_NUMBER}))?")
_BOTH_WAYS = re.compile(rf"({_NUMBER})\s*(?:\+/?-|±)\s*((?![+-]){_NUMBER})")
_EACH_WAY = re.compile(rf"({_NUMBER})\s*(?P<upper>\+{_NUMBER[5:]}|0)\s*/\s*(?P<lower>[+-]{_NUMBER[5:]}|0)")
_FACTOR = re.compile(r"([*/ ]?)\s*([A-Za-z_]+)(?:(?:\^|\*\*)?(-?[1-9]))?\s*")
_SPELLINGS = str.maketrans(
    {"·": "*", "⋅": "*", "×": "*", "²": "2", "³": "3", "µ": "u", "μ": "u", "Ω": "ohm", "Ω": "ohm",
     "−": "-", "\N{NO-BREAK SPACE}": " ", "\N{NARROW NO-BREAK SPACE}": " "}
)  # fmt: skip


def quantity(text: object, kind: str) -> float:
    """Read one number with its unit, `"25 mm/s"`, as a float in the kind's unit.

    Raises InputError. Source: the design file's own rule (one number, one known unit).
    """
    (value,) = _read(text, kind, (_PLAIN,))
    return _finite(text, value)


def span(text: object, kind: str) -> Span:
    """Read a range `"-24..24 mm"`, low first, in the kind's unit.

    Raises InputError. Source: the design file's own rule.
    """
    low, high = _read(text, kind, (_SPAN,))
    if low > high:
        raise _refusal(f'"{text}" runs backwards', f'"{high:g}..{low:g}{_unit_text(text)}"')
    return Span(_finite(text, low), _finite(text, high))


def band(text: object, kind: str) -> Band:
    """Read `"low..high"`, `"low..nominal..high"` or one value, in the kind's unit; two values have their middle.

    Raises InputError. Source: the design file's own rule.
    """
    values = _read(text, kind, (_BAND, _PLAIN))
    if len(values) == 2:
        values = [values[0], _tidy((values[0] + values[1]) / 2), values[1]]
    low, nominal, high = values if len(values) == 3 else values * 3
    if not low <= nominal <= high:
        raise _refusal(f'"{text}" is not in the order low..nominal..high', "smallest first")
    return Band(_finite(text, low), _finite(text, nominal), _finite(text, high))


def toleranced(text: object, kind: str) -> Toleranced:
    """Read `"20 mm"`, `"20 +-0.1 mm"` (or with ±) or `"20 +0.1/-0.2 mm"` in the kind's unit; deviations are signed.

    Raises InputError. Source: the design file's own rule; deviations signed as in ISO 286-1.
    """
    if _pattern_of(text, (_EACH_WAY, _BOTH_WAYS)) is _BOTH_WAYS:
        nominal, deviation = _read(text, kind, (_BOTH_WAYS,), differences=True)
        return Toleranced(_finite(text, nominal), deviation, -deviation)
    values = _read(text, kind, (_EACH_WAY, _PLAIN), differences=True)
    if len(values) == 1:
        return Toleranced(_finite(text, values[0]), None, None)
    nominal, upper, lower = values
    if upper < lower:
        raise _refusal(f'"{text}" has its upper deviation below its lower', "the upper deviation first")
    return Toleranced(_finite(text, nominal), upper, lower)


def measure(text: object) -> Measure:
    """Read a plain number, or one number with any known unit, and keep the unit as typed.

    Raises InputError. Source: the design file's own rule.
    """
    if isinstance(text, int | float) and not isinstance(text, bool):
        return Measure(_finite(text, text), "")
    numbers, unit = _split(text, "number", (_PLAIN,))
    if unit:
        _factors(unit)
    return Measure(_finite(text, float(numbers[0])), unit)


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Convert a number from one known unit to another, `convert(1, "inch", "mm")`; "" is a plain number.

    Raises InputError when a unit is unknown or the dimensions differ. Source: `units.txt`.
    """
    if from_unit == to_unit:
        return value
    factor, offset = _line(from_unit, to_unit)
    return _tidy(value * factor + offset)


def known_units() -> tuple[tuple[str, tuple[str, ...], str], ...]:
    """Give every accepted unit as (name, spellings, what it measures). Source: `units.txt`."""
    names = {name: [] for name in dict.fromkeys(_names().values())}  # type: dict[str, list[str]]
    for spelling, name in _names().items():
        names[name].append(spelling)
    return tuple((name, tuple(spellings), _measures(((name, 1),))) for name, spellings in names.items())


def Q(text: str) -> Any:  # noqa: N802 - the customary name of a quantity at a prompt
    """Give a pint quantity for a prompt, `Q("25 mm/s")`, through the same strict pattern.

    Raises InputError. Source: `units.txt`.
    """
    value, unit = measure(text)
    return _registry().Quantity(value, _container(_factors(unit)) if unit else "dimensionless")


class _UnitError(InputError):
    """A quantity that cannot be read; `suggestion` is what to write in its place."""

    def __init__(self, message: str, suggestion: str) -> None:
        super().__init__(Problem(message, f"write {suggestion}"))
        self.message, self.suggestion = message, suggestion


def _refusal(message: str, suggestion: str) -> _UnitError:
    return _UnitError(message, suggestion)


def _finite(text: object, value: float) -> float:
    """Refuse infinity and NaN, and a whole number too large for a float."""
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        shown = str(text) if len(str(text)) < LONGEST_TEXT else "a number of that many digits"
        raise _refusal(f"{shown} is not a finite number", "a number of ordinary size")
    return number


def _tidy(value: float) -> float:
    """Drop the last two digits of a conversion, so that 11.4 mN*m is 0.0114 N*m and not 0.011400000000000002."""
    return float(f"{value:.14g}")


def _read(
    text: object, kind: str, patterns: tuple[re.Pattern[str], ...], *, differences: bool = False
) -> list[float]:
    """Read the numbers of a text in the kind's unit; with `differences` all but the first are deviations."""
    wanted = KINDS[kind]
    if isinstance(text, int | float) and not isinstance(text, bool):
        text = _finite(text, text)
        if wanted.unit:
            shown = f'"{text:g} {wanted.example.split(maxsplit=1)[1]}"'
            raise _refusal(f"{text:g} has no unit, {wanted.noun} is expected", shown)
        text = repr(text)
    numbers, unit = _split(text, kind, patterns)
    _require(text, unit, numbers, wanted, kind)
    if not unit:
        return [float(number) for number in numbers]
    factor, offset = _line(unit, wanted.unit)
    shifts = [offset] + [0.0 if differences else offset] * (len(numbers) - 1)
    return [_tidy(float(number) * factor + shift) for number, shift in zip(numbers, shifts, strict=True)]


def _pattern_of(text: object, patterns: tuple[re.Pattern[str], ...]) -> re.Pattern[str] | None:
    cleaned = text.translate(_SPELLINGS).strip() if isinstance(text, str) else ""
    return next((pattern for pattern in patterns if pattern.match(cleaned)), None)


def _split(text: object, kind: str, patterns: tuple[re.Pattern[str], ...]) -> tuple[list[str], str]:
    """Split a text into its numbers and its unit by the first pattern that fits it."""
    example = f'"{_example(kind, patterns)}"'
    if not isinstance(text, str):
        raise _refusal(f"{text!r} is not a quantity, {KINDS[kind].noun} is expected", example)
    if len(text) > LONGEST_TEXT:
        raise _refusal(f"a text of {len(text)} characters is not a quantity", example)
    cleaned = (
        text.translate(_SPELLINGS).replace("°C", "degC").replace("°F", "degF").replace("°", "deg").strip()
    )
    pattern = _pattern_of(text, patterns)
    found = pattern.match(cleaned) if pattern else None
    unit = cleaned[found.end() :].strip() if found else ""
    if found is None or (unit and not re.fullmatch(rf"(?:{_FACTOR.pattern})+", unit)):
        raise _unreadable(text, cleaned, kind, example)
    return [number for number in found.groups() if number is not None], unit


def _unreadable(text: str, cleaned: str, kind: str, example: str) -> _UnitError:
    """Say why a text is no quantity, with the smallest repair."""
    shown = f'"{text}"'
    wanted = KINDS[kind].noun
    if re.search(r"\d,\d", cleaned):
        plain = cleaned.replace(",", ".")
        if re.fullmatch(rf"{_NUMBER}\s*(?:{_FACTOR.pattern})*", plain):
            thousands = re.search(r"\d,\d{3}(?!\d)", cleaned)
            other = f' or "{cleaned.replace(",", "")}"' if thousands else ""
            return _refusal(f"{shown} has a decimal comma", f'"{plain}"{other}')
        return _refusal(f"{shown} has a decimal comma", "a decimal point")
    fraction = re.fullmatch(r"(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)\s*(.*)", cleaned)
    if fraction and int(fraction[3]):
        value = int(fraction[1] or 0) + int(fraction[2]) / int(fraction[3])
        return _refusal(f"{shown} is a fraction", f'"{value:.6g} {fraction[4]}"'.replace(' "', '"'))
    if re.match(r"[+-]?(nan|inf)", cleaned, re.IGNORECASE):
        return _refusal(f"{shown} is not a finite number", example)
    percent = re.fullmatch(rf"({_NUMBER})\s*%", cleaned)
    if percent and kind == "number":
        return _refusal(f"{shown} is a percentage", f"{float(percent[1]) / 100:g}")
    if ".." in cleaned and ".." not in example:
        return _refusal(f"{shown} is a range, one value is expected", example)
    if ".." not in cleaned and ".." in example and re.match(_NUMBER, cleaned):
        return _refusal(f"{shown} is one value, a range is expected", example)
    if not re.match(_NUMBER, cleaned):
        return _refusal(f"{shown} does not start with a number, {wanted} is expected", example)
    return _refusal(f"{shown} is not one number with one unit, {wanted} is expected", example)


def _example(kind: str, patterns: tuple[re.Pattern[str], ...]) -> str:
    number, _, unit = KINDS[kind].example.partition(" ")
    if patterns[0] is _SPAN:
        number = f"0..{number}"
    return f"{number} {unit}".strip()


def _unit_text(text: object) -> str:
    found = re.search(r"[A-Za-zµμΩ°].*$", str(text))
    return f" {found[0].strip()}" if found else ""


def _require(text: object, unit: str, numbers: list[str], wanted: Kind, kind: str) -> None:
    """Refuse a missing unit, a unit of another dimension, and an energy where a torque belongs."""
    number = f"{float(numbers[0]):g}"
    shape = str(text).strip() if not unit else number
    if not wanted.unit:
        if unit:
            raise _refusal(f'"{text}" has a unit, {wanted.noun} is expected', shape)
        return
    example_unit = wanted.example.split(maxsplit=1)[1]
    if not unit:
        raise _refusal(f'"{text}" has no unit, {wanted.noun} is expected', f'"{shape} {example_unit}"')
    parts = _factors(unit)
    if len(parts) > 1 and any(name in _OFFSETS for name, _ in parts):
        raise _refusal(f'"{text}" divides or multiplies a temperature in degC', "K for a difference")
    if not _fits(parts, wanted, kind):
        noun = _measures(parts)
        weight = f" ({number} kg weighs {float(numbers[0]) * 9.80665:.4g} N)" if (noun, unit) == ("a mass", "kg") \
            and kind == "force" else ""  # fmt: skip
        raise _refusal(f'"{text}" is {noun}{weight}, {wanted.noun} is expected', f'"{wanted.example}"')


def _fits(parts: tuple[tuple[str, int], ...], wanted: Kind, kind: str) -> bool:
    registry = _registry()
    names = {name for name, _ in parts}
    same = registry.get_dimensionality(_container(parts)) == _dimensionality(wanted.unit)
    angles = kind in _ANGLE_ALLOWED or bool(names & _ANGLES) == wanted.angle
    return same and angles and (wanted.energy or not names & _ENERGIES or kind not in ("torque",))


def _measures(parts: tuple[tuple[str, int], ...]) -> str:
    """Name what a unit measures: "a length", "an energy"."""
    energy = any(name in _ENERGIES for name, _ in parts)
    for kind, known in KINDS.items():
        if known.unit and (known.energy or not energy or kind != "torque") and _fits(parts, known, kind):
            return known.noun
    if _registry().get_dimensionality(_container(parts)) == _dimensionality("Hz"):
        return "a frequency"
    return "another dimension"


def _factors(unit: str) -> tuple[tuple[str, int], ...]:
    """Take a unit apart into (name, power), in the order typed; InputError for an unknown one."""
    cleaned = unit.translate(_SPELLINGS).replace("°C", "degC").replace("°F", "degF").replace("°", "deg")
    if not re.fullmatch(rf"(?:{_FACTOR.pattern})+", cleaned):
        raise _refusal(f'"{unit}" is not a unit', '"mm", "N*m" or "kg*m2"')
    parts = []
    for sign, spelling, power in _FACTOR.findall(cleaned):
        name = _names().get(spelling)
        if name is None:
            raise _refusal(f'unit "{spelling}" is not known{_similar(spelling)}', "a unit of `known units`")
        parts.append((name, int(power or 1) * (-1 if sign == "/" else 1)))
    return tuple(parts)


def _similar(spelling: str) -> str:
    """Give `, did you mean "mm"` when only the case differs or one letter does."""
    from difflib import get_close_matches

    same = [name for name in _names() if name.lower() == spelling.lower()]
    near = same or get_close_matches(spelling, list(_names()), 1, 0.75)
    return f', did you mean "{near[0]}"' if near else ""


@cache
def _names() -> dict[str, str]:
    """Map every spelling to its unit's name, from our own definitions file."""
    spellings: dict[str, str] = {}
    for line in _definitions():
        name, _, *symbols = (part.strip() for part in line.split("="))
        spellings |= dict.fromkeys((name, *symbols), name)
    return spellings


@cache
def _definitions() -> tuple[str, ...]:
    text = files("geometry").joinpath("units.txt").read_text(encoding="utf-8")
    return tuple(line for line in text.splitlines() if line and not line.startswith("#"))


@cache
def _registry() -> pint.UnitRegistry[float]:
    """Build the registry from our own file on first use: the full one takes three times as long to load."""
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    registry.load_definitions(list(_definitions()))
    return registry


def _container(parts: tuple[tuple[str, int], ...]) -> Any:
    from pint.util import UnitsContainer

    powers: dict[str, int] = {}
    for name, power in parts:
        powers[name] = powers.get(name, 0) + power
    return UnitsContainer({name: power for name, power in powers.items() if power})


@cache
def _dimensionality(unit: str) -> Any:
    return _registry().get_dimensionality(_container(_factors(unit) if unit else ()))


@cache
def _line(from_unit: str, to_unit: str) -> tuple[float, float]:
    """Give factor and offset of the straight line from one unit to the other."""
    source, target = (_container(_factors(unit) if unit else ()) for unit in (from_unit, to_unit))
    if _dimensionality(from_unit) != _dimensionality(to_unit):
        raise _refusal(f'"{from_unit}" does not convert to "{to_unit}"', "units of one dimension")
    registry = _registry()
    at_zero = float(registry.convert(0.0, source, target))
    return float(registry.convert(1.0, source, target)) - at_zero, at_zero

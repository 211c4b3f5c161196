"""The strict pattern of a quantity: which texts are a number, range, band or tolerance with one unit."""

from __future__ import annotations

import re
from typing import NamedTuple

from geometry.errors import InputError, Problem

LONGEST_TEXT = 80

NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_UNSIGNED = NUMBER.removeprefix("[+-]?")
FACTOR = re.compile(r"([*/ ]?)\s*([A-Za-z_]+)(?:(?:\^|\*\*)?(-?[1-9]))?\s*")
UNIT = re.compile(rf"(?:{FACTOR.pattern})+")

PLAIN = re.compile(rf"({NUMBER})")
SPAN = re.compile(rf"({NUMBER})\s*\.\.\s*({NUMBER})")
BAND = re.compile(rf"({NUMBER})\s*\.\.\s*({NUMBER})(?:\s*\.\.\s*({NUMBER}))?")
BOTH_WAYS = re.compile(rf"({NUMBER})\s*(?:\+/?-|±)\s*({_UNSIGNED})")
EACH_WAY = re.compile(rf"({NUMBER})\s*([+-]{_UNSIGNED}|0)\s*/\s*([+-]{_UNSIGNED}|0)")

_SPELLINGS = str.maketrans(
    {
        "·": "*", "⋅": "*", "×": "*", "²": "2", "³": "3", "µ": "u", "μ": "u", "−": "-",
        "\N{GREEK CAPITAL LETTER OMEGA}": "ohm", "\N{OHM SIGN}": "ohm",
        "\N{NO-BREAK SPACE}": " ", "\N{NARROW NO-BREAK SPACE}": " ",
    }
)  # fmt: skip


class UnitError(InputError):
    """A quantity that cannot be read: what is wrong with it, and what to write in its place."""

    def __init__(self, message: str, suggestion: str) -> None:
        """Keep the one problem; the suggestion follows the word "write"."""
        super().__init__(Problem(message, f"write {suggestion}"))


class Kind(NamedTuple):
    """What a quantity measures, the unit its value is kept in, and an example of how to write it."""

    noun: str
    unit: str
    example: str

    @property
    def typed_unit(self) -> str:
        """The unit of the example, the one people type."""
        return self.example.partition(" ")[2]


def spelled(text: str) -> str:
    """Replace the typographic spellings of a quantity by their plain ones: `mN·m`, `g·cm²`, `µm`, `Ω`, `°C`.

    Raises nothing. Source: the contract of the design file.
    """
    plain = text.translate(_SPELLINGS).strip()
    return plain.replace("°C", "degC").replace("°F", "degF").replace("°", "deg")


def split(text: object, kind: Kind, *patterns: re.Pattern[str]) -> tuple[list[str], str]:
    """Split a text into its numbers and its plain spelled unit ("" for none) by the first pattern that fits.

    Raises UnitError. Source: the contract of the design file.
    """
    example = f'"{_example(kind, patterns[0])}"'
    if not isinstance(text, str):
        raise UnitError(f"{text!r} is not a quantity, {kind.noun} is expected", example)
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"a text of {len(text)} characters is not a quantity", example)
    cleaned = spelled(text)
    for pattern in patterns:
        found = pattern.match(cleaned)
        unit = cleaned[found.end() :].strip() if found else ""
        if found and (not unit or UNIT.fullmatch(unit)):
            return [number for number in found.groups() if number is not None], unit
    message, suggestion = _trouble(cleaned, kind, example)
    raise UnitError(f'"{text}" {message}', suggestion)


def _example(kind: Kind, pattern: re.Pattern[str]) -> str:
    return f"0..{kind.example}" if pattern is SPAN else kind.example


def _trouble(cleaned: str, kind: Kind, example: str) -> tuple[str, str]:
    """Say why a text is no quantity, and the smallest repair."""
    ranged = re.fullmatch(rf"({NUMBER})\s*(?:-|–|to|\.{{3}})\s*({NUMBER})\s*(\D*)", cleaned)
    if re.search(r"[0-9],[0-9]", cleaned):
        return "has a decimal comma", _without_comma(cleaned)
    if fraction := re.fullmatch(r"(?:([0-9]+)\s+)?([0-9]+)\s*/\s*0*([1-9][0-9]*)\s*(.*)", cleaned):
        value = int(fraction[1] or 0) + int(fraction[2]) / int(fraction[3])
        return "is a fraction", f'"{value:.6g} {fraction[4]}"'.replace(' "', '"')
    if re.match(r"[+-]?(nan|inf)", cleaned, re.IGNORECASE):
        return "is not a finite number", example
    if (percent := re.fullmatch(rf"({NUMBER})\s*%", cleaned)) and not kind.unit:
        return "is a percentage", f"{float(percent[1]) / 100:g}"
    if twice := re.fullmatch(rf"({NUMBER})\s*(\D+?)\s*\.\.\s*({NUMBER})\s*(\D+)", cleaned):
        return "has a unit on both ends", f'"{twice[1]}..{twice[3]} {twice[4]}"'
    if ranged and ".." in example:
        return "is not a range", f'"{ranged[1]}..{ranged[2]} {ranged[3]}"'.replace(' "', '"')
    if ".." in cleaned and ".." not in example:
        return "is a range, one value is expected", example
    if ".." not in cleaned and ".." in example and re.match(NUMBER, cleaned):
        return "is one value, a range is expected", example
    if not re.match(NUMBER, cleaned):
        return f"does not start with a number, {kind.noun} is expected", example
    return f"is not one number with one unit, {kind.noun} is expected", example


def _without_comma(cleaned: str) -> str:
    """Suggest the decimal point, and where the comma may part thousands the number without it."""
    plain = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", cleaned)
    thousands = re.search(r"[0-9],[0-9]{3}(?![0-9])", cleaned)
    return f'"{plain}"' + (f' or "{cleaned.replace(",", "")}"' if thousands else "")

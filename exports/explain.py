"""One check in full: numbers, formula in symbols and with numbers put in, source, doubts, remedy, flip."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import IO, Any

from exports.console import Console, console, paragraph
from exports.wording import COLOURS, heading, margin, measure, number

Row = Mapping[str, Any]

# Input -> the symbol that formulas write for it. A symbol that two inputs of one row claim stays a symbol.
SYMBOLS = {
    "acceleration": "a",
    "area_factor": "f",
    "cable_bend_factor": "bend factor",
    "cable_diameter": "D",
    "cable_straight": "straight",
    "carried_mass": "m",
    "collar_diameter": "d_c",
    "collar_friction": "mu_c",
    "counts": "counts",
    "cycle": "T",
    "cycles": "cycles",
    "effective_current": "I_rms",
    "heating_current": "I_rms",
    "flank_angle": "alpha",
    "flank_height": "H1",
    "friction": "mu",
    "gear_efficiency": "eta",
    "guide_arm": "arm",
    "guide_friction": "mu",
    "guide_length": "length",
    "highest_force": "F_max",
    "highest_push": "F",
    "hottest_ambient": "Ta",
    "lead": "lead",
    "lost_angle": "backlash",
    "major_diameter": "d",
    "motor_diameter": "D",
    "motor_length": "L",
    "motor_speed": "omega",
    "needed_torque": "T",
    "no_load_current": "I0",
    "nut_play": "play",
    "nut_pressure": "p",
    "peak_force": "F",
    "pitch": "p",
    "pitch_diameter": "d2",
    "ratio": "i",
    "resistance": "R",
    "root_diameter": "d3",
    "screw_density": "rho",
    "screw_modulus": "E",
    "screw_yield": "Sy",
    "speed": "v",
    "stall_torque": "T_stall",
    "steady_force": "F",
    "supply": "U",
    "torque_constant": "kt",
    "turn_share": "k",
    "turns": "z",
    "working_current": "I",
}
# Behind a derived input these mean the same in every formula; a force or a torque may be another one there.
OF_PARTS = frozenset(
    {
        "E",
        "H1",
        "I0",
        "R",
        "U",
        "a",
        "alpha",
        "d2",
        "d3",
        "eta",
        "i",
        "kt",
        "lead",
        "m",
        "mu",
        "omega",
        "rho",
        "v",
    }
)


def print_explained(
    document: Mapping[str, Any], behind: Mapping[str, Any], *, stream: IO[str] | None = None
) -> None:
    """Print the one check of a document in full with what is behind its inputs, at most 100 columns wide."""
    out = console(stream)
    out.print(heading(document["design"]), style="bold")
    for row in document["checks"]:
        print_in_full(out, row, behind)


def print_in_full(out: Console, row: Row, behind: Mapping[str, Any] = MappingProxyType({})) -> None:
    """Print one row of the document of `check --json` in full.

    behind: the values that its derived inputs follow from, as the row's own inputs are written.
    """
    out.print()
    out.print(f"{row['id']}  {row['verdict']}", style=COLOURS[row["verdict"]])
    for line in _lines(row, behind):
        out.print(paragraph(line))


def _lines(row: Row, behind: Mapping[str, Any]) -> Iterator[str]:
    yield row["title"]
    yield f"value {measure(row['value'], row['unit'])}, limit {measure(row['limit'], row['unit'])}, " + (
        f"margin {margin(row)}"
    )
    yield f"formula: {row['formula']}"
    if (put_in := numbers_put_in(row, behind)) != row["formula"]:
        result = "" if re.search("[<>]=", put_in) else f" = {measure(row['value'], row['unit'])}"
        yield f"numbers put in: {put_in}{result}"
    yield f"source: {row['source']}"
    for name, given in row["inputs"].items():
        yield f"{name} = {shown(given)}  ({_origin(given)})"
    for name, given in behind.items():
        yield f"from {name} = {shown(given)}  ({_origin(given)})"
    if row["note"]:
        yield row["note"]
    for caution in row["cautions"]:
        yield f"caution: {caution}"
    if row["remedy"]:
        yield f"to pass: {row['remedy']}"
    if row.get("accepted"):
        yield f"accepted: {row['accepted']}"
    yield f"flips with: {flip_words(row['flip'])}"


def numbers_put_in(row: Row, behind: Mapping[str, Any] = MappingProxyType({})) -> str:
    """Write a row's formula with the numbers of its inputs in place of their symbols; others stay symbols."""
    deeper = {symbol: text for symbol, text in _by_symbol(behind).items() if symbol in OF_PARTS}
    values = deeper | _by_symbol(row["inputs"])
    if not values:
        return str(row["formula"])
    left, equals, right = row["formula"].partition(" = ")
    text = right if equals else left
    longest_first = "|".join(re.escape(symbol) for symbol in sorted(values, key=len, reverse=True))
    # not inside a word, not eta' for eta, not F(s) for F
    text = re.sub(rf"(?<![\w.])(?:{longest_first})(?![\w'(])", lambda found: values[found[0]], text)
    return f"{left} = {text}" if equals else text


def _by_symbol(inputs: Mapping[str, Any]) -> dict[str, str]:
    numbers = {
        name: given for name, given in inputs.items() if name in SYMBOLS and _is_number(given["value"])
    }
    claimed = Counter(SYMBOLS[name] for name in numbers)
    return {
        SYMBOLS[name]: _bracketed(given) for name, given in numbers.items() if claimed[SYMBOLS[name]] == 1
    }


def _is_number(value: Any) -> bool:
    return isinstance(value, Mapping) or (isinstance(value, int | float) and not isinstance(value, bool))


def _bracketed(given: Mapping[str, Any]) -> str:
    text = shown(given)
    return f"[{text}]" if " " in text else text


def shown(given: Mapping[str, Any]) -> str:
    """Write an input with its unit; a band with all three of its values."""
    value, unit = given["value"], given["unit"]
    if isinstance(value, Mapping):
        ends = [number(value[end]) for end in ("low", "nominal", "high")]
        return f"{' .. '.join(ends)} {unit}".rstrip()
    return measure(value, unit) if _is_number(value) else f"{value} {unit}".rstrip()


def _origin(given: Mapping[str, Any]) -> str:
    return ", ".join(part for part in (given["origin"], given["field"]) if part)


def flip_words(flip: Mapping[str, Any] | None) -> str:
    """Say what would flip a verdict: `nut.friction.low 0.0955 instead of 0.08 (+19.4 %): PASS`."""
    if flip is None:
        return "no single input that was tried"
    to, before, unit = number(flip["to"], 6), number(flip["from"], 6), flip["unit"]
    share = "" if unit == "degC" else f" ({flip['change'] * 100.0:+.3g} %)"  # 25 degC is no share of 20
    if to == before:  # it stands at its limit
        side = "more" if flip["to"] > flip["from"] else "less"
        return f"{flip['field']} anything {side} than {to} {unit}".rstrip() + f": {flip['verdict']}"
    return f"{flip['field']} {to} {unit}".rstrip() + (f" instead of {before}{share}: {flip['verdict']}")

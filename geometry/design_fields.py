"""What one field of the design file can be: text in, checked value out, with its help and an example line."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any, NamedTuple, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import PydanticCustomError, core_schema

from geometry import units
from geometry.bodies import Axis, Point
from geometry.errors import InputError
from geometry.units import KINDS

T = TypeVar("T")

LONGEST_SHOWN = 60

# What a backslash and a letter became in double quotes, back to the path that was meant.
_ESCAPED = str.maketrans({"\b": "/b", "\t": "/t", "\n": "/n", "\f": "/f", "\r": "/r", "\\": "/"})

AXES: dict[Axis, int] = {"x": 0, "y": 1, "z": 2}


class Section(BaseModel):
    """A table of the design file: frozen, and nothing in it that is not known."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Limits(NamedTuple):
    """The range a number must keep: what lies outside is impossible, not merely odd."""

    above: float = -math.inf
    least: float = -math.inf
    most: float = math.inf

    def check(self, typed: object, numbers: tuple[float, ...], example: object) -> None:
        """Refuse a number outside."""
        for number in numbers:
            if number <= self.above:
                raise refuse(f"{_shown(typed)} is not above {self.above:g}", f"write {_shown(example)}")
            if number < self.least:
                raise refuse(f"{_shown(typed)} is below {self.least:g}", f"write {_shown(example)}")
            if number > self.most:
                raise refuse(f"{_shown(typed)} is above {self.most:g}", f"write {_shown(example)}")


UNLIMITED = Limits()


@dataclass(frozen=True)
class Field:
    """The annotation of a field: one line of help, an example as TOML would hold it, and how to read it."""

    help: str
    example: object
    read: Callable[[Any, ValidationInfo, type], object]
    json: dict[str, object]
    unit: str = ""
    limits: Limits = UNLIMITED

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> Any:
        """Read the value by `read` and nothing else; turn its InputError into pydantic's."""

        def validate(value: object, info: ValidationInfo) -> object:
            try:
                return self.read(value, info, source)
            except InputError as error:
                raise refuse(error.problems[0].message, error.problems[0].repair) from error

        return core_schema.with_info_plain_validator_function(validate)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Describe the field for editors."""
        return {**self.json, "description": self.help, "examples": [self.example]}


class Example(NamedTuple):
    """The annotation of a list of tables that needs more than one row: an example as TOML holds it."""

    value: object


def refuse(message: str, repair: str, item: int = -1) -> PydanticCustomError:
    """Make the error of a field, of one item of it or of a section: what is wrong, and what to write."""
    return PydanticCustomError("field", "{text}", {"text": message, "repair": repair, "item": item})


def _shown(value: object) -> str:
    """Show a value as TOML writes it, shortened."""
    text = f'"{value}"' if isinstance(value, str) else str(value)
    text = text.lower() if isinstance(value, bool) else text
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 3]}..."


def _text_schema(kind: str, form: str) -> dict[str, object]:
    if not KINDS[kind].unit:
        return {"type": ["number", "string"], "title": form}
    return {"type": "string", "title": f"{form}, {KINDS[kind].noun}"}


def plain(kind: str, help: str, example: str, **limits: float) -> Field:
    """Make the field of one quantity, a float in the kind's unit."""
    bounds = Limits(**limits)

    def read(value: object, info: ValidationInfo, source: type) -> float:
        number = units.quantity(value, kind)
        bounds.check(value, (number,), example)
        return number

    return Field(help, example, read, _text_schema(kind, "quantity"), KINDS[kind].unit, bounds)


def span(kind: str, help: str, example: str, **limits: float) -> Field:
    """Make the field of a range, a `Span` in the kind's unit."""
    bounds = Limits(**limits)

    def read(value: object, info: ValidationInfo, source: type) -> units.Span:
        found = units.span(value, kind)
        bounds.check(value, found, example)
        return found

    return Field(help, example, read, _text_schema(kind, "range"), KINDS[kind].unit, bounds)


def band(kind: str, help: str, example: object, **limits: float) -> Field:
    """Make the field of an uncertain value, a `Band` in the kind's unit."""
    bounds = Limits(**limits)

    def read(value: object, info: ValidationInfo, source: type) -> units.Band:
        found = units.band(value, kind)
        bounds.check(value, found, example)
        return found

    return Field(help, example, read, _text_schema(kind, "band"), KINDS[kind].unit, bounds)


def toleranced(kind: str, help: str, example: str) -> Field:
    """Make the field of a value with its deviations, a `Toleranced` in the kind's unit."""
    return Field(
        help,
        example,
        lambda value, info, source: units.toleranced(value, kind),
        _text_schema(kind, "tolerance"),
    )


def measure(help: str, example: object) -> Field:
    """Make the field of a number of any dimension, a `Measure` in the unit typed."""
    return Field(
        help, example, lambda value, info, source: units.measure(value), {"type": ["number", "string"]}
    )


def number(help: str, example: float, **limits: float) -> Field:
    """Make the field of a plain number without dimension, a float."""
    bounds = Limits(**limits)

    def read(value: object, info: ValidationInfo, source: type) -> float:
        found = units.quantity(value, "number")
        bounds.check(value, (found,), example)
        return found

    return Field(help, example, read, {"type": "number"}, limits=bounds)


def count(help: str, example: int, least: int = 1, most: int = 10**12) -> Field:
    """Make the field of a whole number."""
    bounds = Limits(least=least, most=most)

    def read(value: object, info: ValidationInfo, source: type) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise refuse(f"{_shown(value)} is not a whole number", f"write {example}")
        bounds.check(value, (value,), example)
        return value

    return Field(help, example, read, {"type": "integer", "minimum": least, "maximum": most}, limits=bounds)


def words(help: str, example: str) -> Field:
    """Make the field of free text; a TOML date is taken as it was typed."""

    def read(value: object, info: ValidationInfo, source: type) -> str:
        if isinstance(value, date):
            return value.isoformat()
        if not isinstance(value, str):
            raise refuse(f"{_shown(value)} is not a text", f'write "{value}" in quotes')
        if not value.strip() or any(ord(letter) < 32 and letter not in "\n\t" for letter in value):
            raise refuse("the text is empty or has control characters", f'write "{example}"')
        return value

    return Field(help, example, read, {"type": "string"})


def choice(help: str, example: str) -> Field:
    """Make the field of one word out of the annotation's Literal."""

    def read(value: object, info: ValidationInfo, source: type) -> object:
        allowed = [word for word in _flat(source) if isinstance(word, str)]
        if value in allowed:
            return value
        near = get_close_matches(str(value), allowed, 1)
        hint = f', did you mean "{near[0]}"' if near else ""
        raise refuse(
            f"{_shown(value)} is not one of the words known here{hint}", f"write one of {_row(allowed)}"
        )

    return Field(help, example, read, {"type": "string"})


def _flat(source: Any) -> list[object]:
    """List the values of a Literal, also inside a union with None."""
    return [leaf for part in get_args(source) for leaf in (_flat(part) if get_args(part) else [part])]


def _row(allowed: list[str]) -> str:
    return ", ".join(f'"{word}"' for word in allowed)


def flag(help: str, example: bool) -> Field:
    """Make the field of a yes or no."""

    def read(value: object, info: ValidationInfo, source: type) -> bool:
        if not isinstance(value, bool):
            raise refuse(f"{_shown(value)} is neither true nor false", f"write {str(example).lower()}")
        return value

    return Field(help, example, read, {"type": "boolean"})


def path(help: str, example: str, endings: tuple[str, ...]) -> Field:
    """Make the field of a file beside the design file; it must be there, and is kept as typed."""

    def read(value: object, info: ValidationInfo, source: type) -> str:
        context = info.context or {}
        _check_path(value, endings, example, context.get("folder"))
        context.setdefault("files", set()).add(value)
        return str(value)

    return Field(help, example, read, {"type": "string"})


def _check_path(value: object, endings: tuple[str, ...], example: str, folder: Path | None) -> None:
    known = " or ".join(endings)
    if not isinstance(value, str) or not value.strip():
        raise refuse(f"{_shown(value)} is not a path", f'write "{example}"')
    if any(ord(letter) < 32 or ord(letter) == 127 for letter in value):
        raise refuse(
            f"the path {value!r} has a control character, as a backslash in double quotes makes it",
            f'use / ("{value.translate(_ESCAPED)}") or single quotes',
        )
    if not value.lower().endswith(endings):
        raise refuse(f'"{value}" does not end in {known}', f"export the part as {known} and name that file")
    if folder is None or _is_file(folder / value):
        return
    if "\\" in value and _is_file(folder / value.replace("\\", "/")):
        raise refuse(f'no file "{value}" beside the design file', f'use /: "{value.replace(chr(92), "/")}"')
    near = get_close_matches(Path(value).name, [item.name for item in _beside(folder / value)], 1)
    repair = (
        f'write "{Path(value).with_name(near[0]).as_posix()}"' if near else "put it there or name another"
    )
    raise refuse(f"the file {_shown(value)} is not there (paths are relative to the design file)", repair)


def _is_file(file: Path) -> bool:
    try:
        return file.is_file()
    except OSError:  # a name too long, a folder that may not be entered
        return False


def _beside(file: Path) -> list[Path]:
    try:
        return sorted(file.parent.iterdir())
    except OSError:
        return []


def point(help: str, example: list[str], size: int = 3) -> Field:
    """Make the field of a point, one length for each axis, as a tuple in mm."""

    def read(value: object, info: ValidationInfo, source: type) -> tuple[float, ...]:
        if not isinstance(value, list) or len(value) != size:
            raise refuse(f"{_shown(value)} is not a list of {size} lengths", f"write {_list(example)}")
        return _items(value, units.quantity, "length")

    return Field(help, example, read, _array({"type": "string"}, size))


def ranges(help: str, example: list[str]) -> Field:
    """Make the field of a box: three ranges of length, x, y, z, as a tuple of `Span` in mm."""

    def read(value: object, info: ValidationInfo, source: type) -> tuple[units.Span, ...]:
        if not isinstance(value, list) or len(value) != 3:
            raise refuse(f"{_shown(value)} is not a list of three ranges", f"write {_list(example)}")
        sides = _items(value, units.span, "length")
        for axis, side in zip(AXES, sides, strict=True):
            if side.low == side.high:
                raise refuse(
                    f'the box has no thickness along {axis}: "{value[AXES[axis]]}"',
                    f'write "{example[AXES[axis]]}"',
                    AXES[axis],
                )
        return sides

    return Field(help, example, read, _array({"type": "string"}, 3))


def direction(help: str, example: list[int]) -> Field:
    """Make the field of a direction, three plain numbers, as a unit vector."""

    def read(value: object, info: ValidationInfo, source: type) -> Point:
        if not isinstance(value, list) or len(value) != 3:
            raise refuse(f"{_shown(value)} is not a list of three numbers", f"write {example}")
        x, y, z = _items(value, units.quantity, "number")
        length = math.hypot(x, y, z)
        if not math.isfinite(length) or length == 0:
            raise refuse(f"{_shown(value)} points nowhere", f"write {example}")
        return (x / length, y / length, z / length)

    return Field(help, example, read, _array({"type": "number"}, 3))


def _items(values: list[object], read: Callable[[object, str], T], kind: str) -> tuple[T, ...]:
    """Read each item of a list, and say of the first that cannot be read which it is."""
    found: list[T] = []
    for index, value in enumerate(values):
        try:
            found.append(read(value, kind))
        except InputError as error:
            raise refuse(error.problems[0].message, error.problems[0].repair, index) from error
    return tuple(found)


def _list(items: list[str]) -> str:
    return "[" + ", ".join(f'"{item}"' for item in items) + "]"


def _array(items: dict[str, object], size: int) -> dict[str, object]:
    return {"type": "array", "items": items, "minItems": size, "maxItems": size}

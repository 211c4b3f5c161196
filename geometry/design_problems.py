"""pydantic's and tomllib's complaints in the words of the trade: where, what is wrong, what to write."""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches
from typing import Any, get_args

from pydantic import ValidationError

from geometry.design_fields import Field, Section
from geometry.errors import Problem
from geometry.toml_places import Path, dotted


def field_problems(error: ValidationError, root: type[Section], raw: dict[str, Any]) -> list[Problem]:
    """Turn every error of a validation into a Problem; a misspelt key hides the field missing for it.

    No source: our own wording.
    """
    details = error.errors(include_url=False, include_input=True)
    covered = set()
    for detail in details:
        if detail["type"] == "extra_forbidden":
            section = section_at(root, detail["loc"][:-1])
            near = _near(str(detail["loc"][-1]), section)
            covered.add((*detail["loc"][:-1], near))
    kept = (detail for detail in details if detail["type"] != "missing" or detail["loc"] not in covered)
    return [_problem(detail, root) for detail in kept]


def _problem(detail: Any, root: type[Section]) -> Problem:
    path: Path = detail["loc"]
    message, repair = _words(detail, path, root)
    key = path[-1] if path else ""
    if isinstance(key, str):
        repair = re.sub(r'^write (?=["\d.+-]|\["|\[-?\d|true$|false$)', f"write {key} = ", repair)
    return Problem(message, repair, field=dotted(path))


def _words(detail: Any, path: Path, root: type[Section]) -> tuple[str, str]:
    kind = detail["type"]
    if kind == "field":
        return detail["ctx"]["text"], detail["ctx"]["repair"]
    if kind == "missing":
        return _missing(path, root)
    if kind == "extra_forbidden":
        return _unknown(path, root)
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        inline = any(isinstance(part, int) for part in path) or len(path) > 1
        table = f"{path[-1]} = {{ ... }}" if inline else f"[{dotted(path)}]"
        return f"{_brief(detail['input'])} is not a table", f"write {table}"
    if kind in ("tuple_type", "list_type"):
        return "this is a list of tables", f"write [[{dotted(path)}]] above each"
    return detail["msg"], "see `strokebox start` for the form of this field"


def _brief(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


def _missing(path: Path, root: type[Section]) -> tuple[str, str]:
    section = section_at(root, path[:-1])
    name = str(path[-1])
    inner = _sections_in(section.model_fields[name].annotation) if section else None
    if inner is not None and len(path) == 1:
        lines = ", ".join(_lines(inner, required=True))
        return f"the section [{name}] is missing", f"write [{name}] with {lines}"
    return f"{name} is missing", f"write {example_line(section, name)}" if section else "add it"


def _unknown(path: Path, root: type[Section]) -> tuple[str, str]:
    name, section = str(path[-1]), section_at(root, path[:-1])
    where = f"[{dotted(path[:-1])}]" if path[:-1] else "a design file"
    near = _near(name, section)
    if near:
        return f'{where} has no "{name}", did you mean "{near}"', f"write {near}"
    homes = [home for home, known in _all_sections(root) if name in known.model_fields and home]
    if homes:
        return f'{where} has no "{name}"', f"it belongs to {' or '.join(f'[{home}]' for home in homes[:3])}"
    known = ", ".join(section.model_fields) if section else ""
    return f'{where} has no "{name}"', f"take it out; known here: {known}"


def _near(name: str, section: type[Section] | None) -> str:
    near = get_close_matches(
        name.lower().replace("-", "_"), list(section.model_fields) if section else [], 1, 0.6
    )
    return near[0] if near else ""


def section_at(root: type[Section], path: Path) -> type[Section] | None:
    """Find the section that a path leads to, None for a place of free keys. No source needed."""
    section: type[Section] | None = root
    for part in path:
        if isinstance(part, int) or section is None:
            continue
        field = section.model_fields.get(part)
        section = _sections_in(field.annotation) if field else None
    return section


def _sections_in(annotation: Any) -> type[Section] | None:
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return annotation
    return next((found for part in get_args(annotation) if (found := _sections_in(part))), None)


def _all_sections(root: type[Section], prefix: str = "") -> Iterator[tuple[str, type[Section]]]:
    yield prefix, root
    for name, field in root.model_fields.items():
        inner = _sections_in(field.annotation)
        if inner is not None:
            yield from _all_sections(inner, f"{prefix}.{name}".removeprefix("."))


def marker(section: type[Section], name: str) -> Field | None:
    """Give a field's help and example, None for a field that is a section. No source needed."""
    return next((item for item in section.model_fields[name].metadata if isinstance(item, Field)), None)


def toml_value(value: object) -> str:
    """Write a field's example as TOML. Source: TOML 1.0.0."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)


def example_line(section: type[Section], name: str) -> str:
    """Give the line that sets a field to its example: `speed = "25 mm/s"`. No source needed."""
    own = marker(section, name)
    if own is not None:
        return f"{name} = {toml_value(own.example)}"
    inner = _sections_in(section.model_fields[name].annotation)
    pairs = ", ".join(_lines(inner, required=True)) if inner else ""
    return f"{name} = {{ {pairs} }}"


def _lines(section: type[Section], *, required: bool) -> list[str]:
    return [
        example_line(section, name)
        for name, field in section.model_fields.items()
        if field.is_required() or not required
    ]


def essential_lines(root: type[Section]) -> list[str]:
    """Give the lines of the smallest design file that checks: the required fields of the required sections.

    No source: the schema itself.
    """
    lines = []
    for name, field in root.model_fields.items():
        inner = _sections_in(field.annotation)
        if field.is_required() and inner is not None:
            lines += [f"[{name}]", *_lines(inner, required=True)]
    return lines


_UNQUOTED = re.compile(r"^\s*([\w.-]+)\s*=\s*([^\"'\[{#\s][^\"'#]*?)\s*(?:#.*)?$")


def syntax_problem(error: Exception, text: str, name: str) -> Problem:
    """Say where a TOML text cannot be read and what to write. Source: TOML 1.0.0."""
    if isinstance(error, RecursionError):
        return Problem("lists or tables are nested too deeply", "flatten them", name, 1)
    message = re.sub(r"\s*\(at .*\)$", "", str(error))
    found = re.search(r"at line (\d+), column (\d+)", str(error))
    line = int(found[1]) if found else text.count("\n") + 1
    column = int(found[2]) if found else None
    lines = text.splitlines() or [""]
    typed = lines[min(line, len(lines)) - 1]
    said, repair = _syntax_words(message, typed)
    return Problem(said, repair, name, line, column)


def _syntax_words(message: str, typed: str) -> tuple[str, str]:
    if re.search(r'"[^"]*\\', typed):
        fixed = re.search(r'"([^"]*\\[^"]*)"', typed)
        example = f": '{fixed[1]}'" if fixed else ""
        return "a backslash in double quotes is an escape in TOML", f"use / or single quotes{example}"
    unquoted = _UNQUOTED.match(typed)
    if unquoted and re.search(r"[^\d.+-]", unquoted[2]) and unquoted[2] not in ("true", "false"):
        return f"{unquoted[2]} is not in quotes", f'write {unquoted[1]} = "{unquoted[2]}"'
    if message.startswith(("Cannot overwrite", "Cannot declare")):
        what = typed.split("=")[0].strip()
        return f"{what} is given twice", "keep one of them; for several of a kind write [[...]] above each"
    if message.startswith("Exceeds the limit"):
        return "a number has too many digits", "write it with an exponent"
    return f"not TOML: {message[:1].lower()}{message[1:]}", 'write field = "value", one to a line'

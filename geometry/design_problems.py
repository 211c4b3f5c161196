"""pydantic's and tomllib's complaints in the words of the trade: where, what is wrong, what to write."""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from geometry.design_fields import Section
from geometry.design_schema import (
    all_sections,
    is_list,
    required_lines,
    section_at,
    section_of,
    shortest_line,
)
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
    if (item := detail.get("ctx", {}).get("item", -1)) >= 0:
        path = (*path, item)
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
        return _unknown(path, root, detail["input"])
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        parent = section_at(root, path[:-1])
        inside = len(path) > 1 and parent is not None and path[-1] in parent.model_fields
        table = shortest_line(parent, str(path[-1])) if inside and parent else f"[{dotted(path)}]"
        return f"{_brief(detail['input'])} is not a table", f"write {table}"
    if kind in ("tuple_type", "list_type"):
        heading = ".".join(part for part in path if isinstance(part, str))
        return "this is a list of tables", f"write [[{heading}]] above each"
    return detail["msg"], "see `strokebox start` for the form of this field"


def _brief(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


def _missing(path: Path, root: type[Section]) -> tuple[str, str]:
    section = section_at(root, path[:-1])
    name = str(path[-1])
    inner = section_of(section.model_fields[name].annotation) if section else None
    if inner is not None and len(path) == 1:
        lines = ", ".join(required_lines(inner))
        return f"the section [{name}] is missing", f"write [{name}] with {lines}"
    return f"{name} is missing", f"write {shortest_line(section, name)}" if section else "add it"


def _unknown(path: Path, root: type[Section], typed: object) -> tuple[str, str]:
    name, section = str(path[-1]), section_at(root, path[:-1])
    where = f"[{dotted(path[:-1])}]" if path[:-1] else "a design file"
    near = _near(name, section)
    if near:
        return (
            f'{where} has no "{name}", did you mean "{near}"',
            f"write {near if path[:-1] else _heading(root, near)}",
        )
    if name in root.model_fields:
        return f'{where} has no "{name}"', f"it is a section of its own: write {_heading(root, name)}"
    if section and isinstance(typed, str) and typed in section.model_fields:  # shape = "cylinder"
        return f'{where} has no "{name}"', f"write {shortest_line(section, typed)}"
    homes = _homes(name, path[:-1], root)
    if homes:
        return f'{where} has no "{name}"', f"it belongs to {' or '.join(f'[{home}]' for home in homes[:3])}"
    known = ", ".join(section.model_fields) if section else ""
    return f'{where} has no "{name}"', f"take it out; known here: {known}"


def _homes(name: str, path: Path, root: type[Section]) -> list[str]:
    """List the sections that have a field of a name: where some lie inside the section asked, only those."""
    homes = [home for home, known in all_sections(root) if name in known.model_fields and home]
    here = ".".join(part for part in path if isinstance(part, str))
    return [home for home in homes if home.startswith(f"{here}.")] or homes


def _heading(root: type[Section], name: str) -> str:
    return f"[[{name}]]" if is_list(root.model_fields[name].annotation) else f"[{name}]"


def _near(name: str, section: type[Section] | None) -> str:
    near = get_close_matches(
        name.lower().replace("-", "_"), list(section.model_fields) if section else [], 1, 0.6
    )
    return near[0] if near else ""


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
    said, repair = _syntax_words(message, typed, found is None)
    return Problem(said, repair, name, line, column)


def _syntax_words(message: str, typed: str, at_end: bool) -> tuple[str, str]:
    if message.startswith("Exceeds the limit"):
        return "a number has too many digits", "write it with an exponent"
    if re.search(r'"[^"]*\\', typed):
        fixed = re.search(r'"([^"]*\\[^"]*)"', typed)
        example = f": '{fixed[1]}'" if fixed else ""
        return "a backslash in double quotes is an escape in TOML", f"use / or single quotes{example}"
    unquoted = _UNQUOTED.match(typed)
    looks_whole = unquoted and (unquoted[2] in ("true", "false") or re.fullmatch(r"[\d.+-]*", unquoted[2]))
    if unquoted and (not looks_whole or message.startswith("Expected newline")):
        return f"{unquoted[2]} is not in quotes", f'write {unquoted[1]} = "{unquoted[2]}"'
    if message.startswith(("Cannot overwrite", "Cannot declare")):
        what = typed.split("=")[0].strip()
        return f"{what} is given twice", "keep one of them; for several of a kind write [[...]] above each"
    if at_end:
        return "the text ends in the middle of a list, a table or a text", "close the bracket or the quote"
    if message.startswith(("Illegal character '\\n'", "Unterminated string")):
        return "a text is not closed", "add the closing quote"
    return f"not TOML: {message[:1].lower()}{message[1:]}", 'write field = "value", one to a line'

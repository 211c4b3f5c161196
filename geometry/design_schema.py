"""The schema walked: which section a path leads to, and the example line of every field."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args, get_origin

from geometry.design_fields import Example, Field, Section
from geometry.toml_places import Path


def section_of(annotation: Any) -> type[Section] | None:
    """Find the section inside an annotation, whatever list or option is around it. No source needed."""
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return annotation
    return next((found for part in get_args(annotation) if (found := section_of(part))), None)


def is_list(annotation: Any) -> bool:
    """Tell whether a field takes a list of tables. No source needed."""
    return get_origin(annotation) is tuple


def section_at(root: type[Section], path: Path) -> type[Section] | None:
    """Find the section that a path leads to, None for a place of free keys. No source needed."""
    section: type[Section] | None = root
    free_key = False
    for part in path:
        if isinstance(part, int) or section is None:
            continue
        if free_key:
            free_key = False
            continue
        field = section.model_fields.get(part)
        section = section_of(field.annotation) if field else None
        free_key = field is not None and get_origin(field.annotation) is dict
    return None if free_key else section


def all_sections(root: type[Section], prefix: str = "") -> Iterator[tuple[str, type[Section]]]:
    """Give every section below a root with its dotted name, the root itself under "". No source needed."""
    yield prefix, root
    for name, field in root.model_fields.items():
        inner = section_of(field.annotation)
        if inner is not None:
            yield from all_sections(inner, f"{prefix}.{name}".removeprefix("."))


def rows_example(section: type[Section], name: str) -> object:
    """Give the example of a list of tables that has one of its own, else None. No source needed."""
    metadata = section.model_fields[name].metadata
    return next((item.value for item in metadata if isinstance(item, Example)), None)


def marker(section: type[Section], name: str) -> Field | None:
    """Give a field's help and example, None for a field that is a section. No source needed."""
    return next((item for item in section.model_fields[name].metadata if isinstance(item, Field)), None)


def toml_value(value: object) -> str:
    """Write a field's example as TOML. Source: TOML 1.0.0."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml_value(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)


def inline_table(section: type[Section]) -> str:
    """Write a section's fields with their examples as one inline table. Source: TOML 1.0.0."""
    return f"{{ {', '.join(example_line(section, name) for name in section.model_fields)} }}"


def example_line(section: type[Section], name: str) -> str:
    """Give the line that sets a field to its example: `speed = "25 mm/s"`. No source needed."""
    own = marker(section, name)
    if own is not None:
        return f"{name} = {toml_value(own.example)}"
    if (rows := rows_example(section, name)) is not None:
        return f"{name} = {toml_value(rows)}"
    annotation = section.model_fields[name].annotation
    inner = section_of(annotation)
    assert inner is not None  # a field is either marked or a section
    table = inline_table(inner)
    return f"{name} = [{table}]" if is_list(annotation) else f"{name} = {table}"


def shortest_line(section: type[Section], name: str) -> str:
    """Give the line that sets a field, of a table only what it must have. No source needed."""
    inner = None if marker(section, name) else section_of(section.model_fields[name].annotation)
    if inner is None or is_list(section.model_fields[name].annotation) or not required_lines(inner):
        return example_line(section, name)
    return f"{name} = {{ {', '.join(required_lines(inner))} }}"


def required_lines(section: type[Section]) -> list[str]:
    """Give the example lines of a section's required fields. No source needed."""
    return [
        example_line(section, name) for name, field in section.model_fields.items() if field.is_required()
    ]


def essential_lines(root: type[Section]) -> list[str]:
    """Give the lines of the smallest design file that checks: the required fields of the required sections.

    No source needed.
    """
    lines = []
    for name, field in root.model_fields.items():
        inner = section_of(field.annotation)
        if field.is_required() and inner is not None:
            lines += [f"[{name}]", *required_lines(inner)]
    return lines

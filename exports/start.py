"""The text that `strokebox start` writes: ten lines that check, and every other field, commented."""

from __future__ import annotations

from geometry.design import Design
from geometry.design_bodies import NOT_WITH_BOX, Moving, Solid
from geometry.design_fields import Field, Section
from geometry.design_schema import (
    example_line,
    inline_table,
    is_list,
    marker,
    rows_example,
    section_of,
    toml_value,
)
from geometry.units import convert

HELP_COLUMN = 52
INSTEAD = {"screw.family": "screw.thread", "screw.outline": "screw.thread"}
LONGEST_LINE = 110
HEAD = """\
## A strokebox design file. The ten lines without # are enough: strokebox check FILE
## Every other field stands behind one #: take it away to use the line. Lines behind ## explain.
## Quantities with their unit: "25 mm/s"; range "-4..64 mm"; band "0.08..0.15..0.20" (low..nominal..high);
## tolerance "20 +-0.1 mm". Paths are relative to this file; write them with / or in single quotes.
## Frame: origin in the centre of the gear's front face, +z along the screw away from the motor;
## the travel s counts from the retracted nut, shapes are x, y, z at s = 0.
"""


def start_text() -> str:
    """Give the text of a first design file, generated from the schema (units as people type them).

    No source needed: every line is a field's own help, default and example.
    """
    fields = Design.model_fields
    names = sorted(fields, key=lambda name: not fields[name].is_required())
    shown: dict[type[Section], str] = {}
    return "\n".join([HEAD, *(_section(Design, name, "", shown) for name in names)])


def _section(parent: type[Section], name: str, prefix: str, shown: dict[type[Section], str]) -> str:
    """Write one section: its heading, its plain fields, then the sections within it.

    A section with the fields of one already shown (a second journal) writes only what it must have.
    """
    field = parent.model_fields[name]
    inner = section_of(field.annotation)
    assert inner is not None  # _is_table
    path, needed = f"{prefix}{name}", field.is_required()
    if path == "limits":
        return _limits(inner)
    heading = f"[[{path}]]" if is_list(field.annotation) else f"[{path}]"
    if first := shown.get(inner):
        return "\n".join([f"## Further fields as of {first}.", f"# {heading}", *_required(inner), ""])
    shown[inner] = heading
    lines = [f"## {_first_line(inner)}", heading if needed else f"# {heading}"]
    ordered = sorted(inner.model_fields, key=lambda key: not inner.model_fields[key].is_required())
    in_list = is_list(field.annotation)
    tables = [key for key in ordered if not in_list and _is_table(inner, key)]
    left_out = _other_shapes(inner) if inner is not Moving else ()
    lines += [_line(inner, key, needed=needed) for key in ordered if key not in (*tables, *left_out)]
    if left_out:
        lines.append("## or another shape, as shown at [[moving]]")
    own = "\n".join(lines) + "\n"
    if path in INSTEAD:
        return _instead(own, INSTEAD[path])
    return own + "".join("\n" + _section(inner, key, f"{path}.", shown) for key in tables)


def _required(section: type[Section]) -> list[str]:
    needed = [key for key, field in section.model_fields.items() if field.is_required()]
    return [_line(section, key, needed=False) for key in needed]


def _instead(text: str, other: str) -> str:
    """Turn a section into an explanation: its lines are for use in place of another field, not beside it."""
    lines = [f"## {line.lstrip('# ')}" for line in text.splitlines()]
    return "\n".join([lines[0], f"## in place of {other}:", *lines[1:], ""])


def _limits(limit: type[Section]) -> str:
    line = _with_help(f'# "drive.holding" = {inline_table(limit)}', "the check's id as the report shows it")
    return f"## {_first_line(limit)}\n# [limits]\n{line}\n"


def _is_table(section: type[Section], name: str) -> bool:
    """A section gets its own heading unless it is short and wholly required: that one goes into one line."""
    inner = section_of(section.model_fields[name].annotation)
    if inner is None or rows_example(section, name) is not None:
        return False
    several = is_list(section.model_fields[name].annotation)
    return several or not all(field.is_required() for field in inner.model_fields.values())


def _line(section: type[Section], name: str, *, needed: bool) -> str:
    """Write the line of one field, commented unless the design needs it."""
    field, own = section.model_fields[name], marker(section, name)
    inner = section_of(field.annotation)
    said = own.help if own else _first_line(inner) if inner else ""
    if own is not None and not field.is_required() and field.default is not None:
        said += f" (left out: {_default(field.default, own)})"
    mark = "" if needed and field.is_required() else "## or " if name in _other_shapes(section) else "# "
    return _with_help(f"{mark}{example_line(section, name)}", said)


def _default(value: object, own: Field) -> str:
    """Write a default as one would type it, a quantity in the unit of the field's example."""
    if isinstance(value, tuple):
        return toml_value([f"{item:g}" for item in value]).replace('"', "")
    if not isinstance(value, float):
        return toml_value(value).strip('"')
    unit = str(own.example).partition(" ")[2]
    return f"{convert(value, own.unit, unit):g} {unit}".strip()


def _other_shapes(section: type[Section]) -> tuple[str, ...]:
    return NOT_WITH_BOX if issubclass(section, Solid) else ()


def _with_help(line: str, said: str) -> str:
    """Put the help beside the line, or above it where both together are too long."""
    beside = f"{line:<{HELP_COLUMN - 2}}  # {said}"
    return beside if len(beside) <= LONGEST_LINE else f"## {said}\n{line}"


def _first_line(section: type[Section]) -> str:
    return (section.__doc__ or "").splitlines()[0]

"""The design file: text in, one frozen `Design` out, or every problem of the file at once with its place."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, NamedTuple

from pydantic import (
    BeforeValidator,
    PrivateAttr,
    ValidationError,
    ValidationInfo,
    field_validator,
)
from pydantic import Field as PydanticField

from geometry.design_bodies import ContactPair, Fixed, Housing, KeepOut, Moving
from geometry.design_drive import Brake, Coupling, Motor, Seal
from geometry.design_fields import Section
from geometry.design_gears import Gears
from geometry.design_parts import Ends, Guide, Nut, Screw
from geometry.design_rod import PushRod
from geometry.design_rules import Rule, clashes
from geometry.design_sections import (
    Accepted,
    Clearance,
    Document,
    Limit,
    LoadCase,
    Motion,
    Print,
    Service,
    Stops,
    Supply,
    Thermal,
    Tolerance,
    flatten_limits,
)
from geometry.errors import InputError, Problem
from geometry.toml_places import Place, dotted, toml_places


def _empty(section: type[Section]) -> Any:
    """Give a default that builds no validator of its own: a section left out costs no time."""
    return PydanticField(default_factory=section.model_construct)


class Origin(NamedTuple):
    """Where a design came from: its file and text, what was given and where, the hash over all its files."""

    path: str
    text: str
    sha256: str
    files: tuple[str, ...]
    given: frozenset[str]
    places: Mapping[str, Place]


class Design(Section):
    """A motor-driven screw actuator in its housing, as its file says; lengths in mm, the rest in SI."""

    document: Document = _empty(Document)
    motion: Motion
    load_case: tuple[LoadCase, ...] = ()
    screw: Screw
    ends: Ends = _empty(Ends)
    nut: Nut
    guide: Guide = _empty(Guide)
    push_rod: PushRod | None = None
    coupling: Coupling | None = None
    stops: Stops = _empty(Stops)
    brake: Brake | None = None
    gears: Gears | None = None
    motor: Motor | None = None
    seal: Seal | None = None
    supply: Supply = _empty(Supply)
    service: Service = _empty(Service)
    moving: tuple[Moving, ...] = ()
    fixed: tuple[Fixed, ...] = ()
    housing: Housing = _empty(Housing)
    keep_out: tuple[KeepOut, ...] = ()
    contact: tuple[ContactPair, ...] = ()
    clearance: Clearance = _empty(Clearance)
    tolerance: Tolerance | None = None
    thermal: Thermal | None = None
    print: Print = _empty(Print)
    limits: Annotated[dict[str, Limit], BeforeValidator(flatten_limits)] = PydanticField(default_factory=dict)
    accepted: tuple[Accepted, ...] = ()

    _origin: Origin = PrivateAttr(default=Origin("", "", "", (), frozenset(), {}))

    @field_validator("*", mode="after")
    @classmethod
    def _keep(cls, value: Any, info: ValidationInfo) -> Any:
        """Keep each section that could be read: the rules between sections run beside other problems."""
        if info.context is not None and info.field_name is not None:
            info.context["valid"][info.field_name] = value
        return value

    @property
    def path(self) -> str:
        """The design file as it was named."""
        return self._origin.path

    @property
    def text(self) -> str:
        """The text of the design file."""
        return self._origin.text

    @property
    def title(self) -> str:
        """The document's title, or the file's name without ending."""
        return self.document.title or Path(self.path).stem

    @property
    def sha256(self) -> str:
        """The hash over the design file and every file it names, by their names relative to it."""
        return self._origin.sha256

    @property
    def files(self) -> tuple[str, ...]:
        """Every file the design names, as typed, relative to the design file, in the order of their names."""
        return self._origin.files

    @property
    def folder(self) -> Path:
        """The folder that the design's paths are relative to."""
        return Path(self.path).parent

    @property
    def given(self) -> frozenset[str]:
        """The dotted fields that the user gave; every other value is a default."""
        return self._origin.given

    @property
    def given_sections(self) -> tuple[str, ...]:
        """The sections that the user gave, in the order of the file."""
        return tuple(dict.fromkeys(re.split(r"[.\[]", field)[0] for field in self._origin.places))

    def place(self, field: str) -> Place:
        """Give line and column of a dotted field, or of the nearest table around it, or (1, 1)."""
        return nearest(self._origin.places, field)


def read(path: str | Path, *rules: Rule) -> Design:
    """Read a design file (lengths in mm, the rest in SI, as `geometry.units.KINDS` says for each kind).

    rules: what else must hold between its sections, asked beside our own. Raises InputError with every
    problem of the file, sorted by line. Source: the contract of the design file.
    """
    name = str(path)
    text, folder = _text(name), Path(path).parent
    return read_text(text, name, folder, *rules)


def read_text(text: str, name: str = "design.toml", folder: Path | None = None, *rules: Rule) -> Design:
    """Read a design from text; without a folder the files it names are neither looked for nor hashed.

    Raises InputError with every problem of the text, sorted by line. Source: the contract of the design file.
    """
    raw, places = _toml(text, name)
    context: dict[str, Any] = {"folder": folder, "valid": {}, "files": set()}
    found: list[Problem] = []
    try:
        design = Design.model_validate(raw, context=context)
    except ValidationError as error:
        from geometry.design_problems import field_problems  # only a file with problems needs its words

        design = None
        found = field_problems(error, Design, raw)
    found += [
        Problem(message, repair, field=field)
        for rule in (clashes, *rules)
        for field, message, repair in rule(context["valid"], raw)
    ]
    if found or design is None:
        raise InputError(*(_placed(problem, name, places) for problem in found))
    files = tuple(sorted(context["files"]))
    digest = _digest(text, files, folder)
    design._origin = Origin(name, text, digest, files, frozenset(_leaves(raw, ())), places)
    return design


def design_schema() -> dict[str, Any]:
    """Give the JSON schema of the design file, for editors. Source: the schema's own fields."""
    return {**Design.model_json_schema(), "title": "strokebox design file"}


def nearest(places: Mapping[str, Place], field: str) -> Place:
    """Give the place of a dotted field, of the nearest table around it, or (1, 1). No source needed."""
    while field and field not in places:
        field = field[: max(field.rfind("."), field.rfind("["), 0)]
    return places.get(field, (1, 1))


def _placed(problem: Problem, name: str, places: Mapping[str, Place]) -> Problem:
    line, column = nearest(places, problem.field)
    message, repair = _printable(problem.message, ""), _printable(problem.repair, "\n")
    return Problem(message, repair, name, line, column, _printable(problem.field, ""))


def _printable(text: str, allowed: str) -> str:
    """Show control characters of the user's texts by their code, so that they cannot steer a terminal."""
    return "".join(
        letter if letter.isprintable() or letter in allowed else f"\\x{ord(letter):02x}" for letter in text
    )


def _text(name: str) -> str:
    """Read the file's text, or say why it is none."""
    try:
        data = Path(name).read_bytes()
    except FileNotFoundError as error:
        raise InputError(
            Problem("there is no such file", f"strokebox start {name} writes one", name)
        ) from error
    except IsADirectoryError as error:
        raise InputError(Problem("this is a folder", "name the design file in it", name)) from error
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        raise InputError(Problem(f"cannot be read: {error}", "make it readable", name)) from error
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(Problem("the file is not UTF-8 text", "save it as UTF-8", name, line)) from error
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise InputError(Problem("the file has NUL bytes", "save it as UTF-8 text", name, line))
    return text


def _toml(text: str, name: str) -> tuple[dict[str, Any], dict[str, Place]]:
    try:
        raw, places = tomllib.loads(text), toml_places(text)
    except (ValueError, RecursionError) as error:  # also a number of 5000 digits is a ValueError
        from geometry.design_problems import syntax_problem

        raise InputError(syntax_problem(error, text, name)) from error
    if not raw:
        from geometry.design_schema import essential_lines

        lines = "\n".join(essential_lines(Design))
        raise InputError(
            Problem("the design file is empty", f"start with these ten lines:\n{lines}", name, 1, 1)
        )
    return raw, places


def _digest(text: str, files: tuple[str, ...], folder: Path | None) -> str:
    digest = hashlib.sha256(text.encode())
    for file in files if folder is not None else ():
        try:
            content = hashlib.sha256((folder / file).read_bytes()).hexdigest() if folder else ""
        except OSError as error:
            raise InputError(
                Problem(f"cannot be read: {error.strerror}", "make it readable", file)
            ) from error
        digest.update(f"\0{file}\0{content}".encode())
    return digest.hexdigest()


def _leaves(value: Any, path: tuple[str | int, ...]) -> list[str]:
    """List the dotted path of everything given, tables and list items included."""
    own = [dotted(path)] if path else []
    inner: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        inner = list(value.items())
    elif isinstance(value, list):
        inner = list(enumerate(value))
    return own + [leaf for key, item in inner for leaf in _leaves(item, (*path, key))]

"""Every body of a design with its mesh at s = 0 (mm), the user's files read once and guarded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from geometry.bodies import Body, FileShape, Point
from geometry.errors import InputError, Problem, ShapeError
from geometry.housing import FileSolid, FileSolids, origin_problem, read_solids, unit_problem
from geometry.meshes import DEFAULT_TOLERANCE, Mesh, mesh_of
from geometry.names import unique_names
from geometry.stack import arrangement_of

if TYPE_CHECKING:
    from geometry.design import Design


@dataclass(frozen=True, eq=False)
class PlacedBody:
    """A body with its mesh at s = 0; `closed` tells whether inside and outside can be told apart.

    `from_file` is the user's solid where the body came from a file; a file of several solids makes several
    bodies of the one body that the design gives, which is `given_name`.
    """

    body: Body
    mesh: Mesh
    closed: bool = True
    from_file: FileSolid | None = None
    given_name: str = ""


@dataclass(frozen=True, eq=False)
class Placement:
    """All bodies of a design, what was noticed in its files, and what could not be placed and why."""

    bodies: tuple[PlacedBody, ...]
    notes: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()


def place(design: Design, tolerance: float = DEFAULT_TOLERANCE) -> Placement:
    """Mesh every body of a design within `tolerance` (mm), reading each file that it names once.

    Raises InputError with the problems of sizes and files; what cannot be trusted is refused.
    """
    placed: list[PlacedBody] = []
    files: dict[str, FileSolids] = {}
    problems: list[Problem] = []
    arrangement = arrangement_of(design)
    for body in arrangement.bodies:
        try:
            if isinstance(body.shape, FileShape):
                field = _field(design, body)
                found = files[field] = read_solids(
                    body.shape, design.folder, tolerance_mm=tolerance, field=field
                )
                placed += _file_bodies(body, found)
            else:
                placed.append(PlacedBody(body, mesh_of(body.shape, tolerance)))
        except ShapeError as error:
            problems += [replace(p, message=f"{body.name}: {p.message}") for p in error.problems]
        except InputError as error:
            problems += error.problems
    problems += _housing_problems(placed, files)
    if problems:
        raise InputError(*_with_places(design, problems))
    names, said = unique_names(p.body.name for p in placed)
    named = tuple(replace(p, body=p.body._replace(name=n)) for p, n in zip(placed, names, strict=True))
    notes = [note for found in files.values() for note in found.notes]
    missing = [f"{item.name}: {item.reason}" for item in arrangement.unplaced]
    undecided = [text for found in files.values() for text in found.not_checked]
    return Placement(named, (*notes, *said), (*missing, *undecided))


def _file_bodies(body: Body, found: FileSolids) -> Iterator[PlacedBody]:
    """A file of one solid is the body; each of several is a body of its own under the file's name for it."""
    alone = len(found.solids) == 1
    for solid in found.solids:
        own = body._replace(name=body.name if alone else solid.name, colour=solid.colour or body.colour)
        yield PlacedBody(own, solid.mesh, solid.closed, solid, body.name)


def _housing_problems(placed: Iterable[PlacedBody], files: dict[str, FileSolids]) -> list[Problem]:
    """Say a housing file's wrong unit or origin, told by the size and the place of the actuator."""
    own = [p.mesh.bounds for p in placed if p.body.part_of_actuator]
    if "housing.file" not in files or not own:
        return []
    low, high = np.min([box[0] for box in own], axis=0), np.max([box[1] for box in own], axis=0)
    found = files["housing.file"]
    wrong_unit = unit_problem(found, float((high - low).max()), "housing.unit")
    wrong_place = origin_problem(found, _point(low), _point(high), "housing.frame")
    return [problem for problem in (wrong_unit or wrong_place,) if problem is not None]


def _point(values: Iterable[float]) -> Point:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _field(design: Design, body: Body) -> str:
    """The dotted field that names a body's file."""
    lists = {"moving": design.moving, "fixed": design.fixed, "housing.body": design.housing.body}
    lists["keep_out"] = design.keep_out
    for section, bodies in lists.items():
        for index, given in enumerate(bodies):
            if given.name == body.name:
                return f"{section}[{index}].file"
    own = {"encoder": "motor.encoder", "gear": "gears", "cable": "service.cable"}
    return f"{own.get(body.name, body.name)}.{'shape' if body.part_of_actuator else 'file'}"


def _with_places(design: Design, problems: Iterable[Problem]) -> Iterator[Problem]:
    for problem in problems:
        line, column = design.place(problem.field)
        yield replace(problem, file=design.path, line=line, column=column)

"""The user's STEP and STL files as guarded bodies (mm): what cannot be trusted is refused, never mended."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

import numpy as np

from geometry import stl_reader
from geometry.bodies import FileShape, Point
from geometry.errors import InputError, KernelError, Problem, ShapeError
from geometry.meshes import DEFAULT_TOLERANCE, Mesh, moved
from geometry.solids import solid_of_brep

# Millimetres of an STL's unit; inch and foot are exact by definition (ISO 80000-3).
STL_UNITS = {"um": 0.001, "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4, "ft": 304.8}
_LONGEST_READ = 900.0  # s; a kernel that is still busy after this is taken to hang


@dataclass(frozen=True, eq=False)
class FileSolid:
    """One placed body of a file (mm, mm3); `brep` is its exact shape before the shift, empty for an STL."""

    name: str
    mesh: Mesh
    closed: bool
    volume: float | None
    low: Point
    high: Point
    colour: tuple[float, float, float, float] | None
    brep: bytes
    shift: Point


@dataclass(frozen=True, eq=False)
class FileSolids:
    """What a file holds: its bodies, its unit, its sha256, what was noticed and what cannot be checked."""

    path: str
    kind: str
    unit: str
    sha256: str
    solids: tuple[FileSolid, ...]
    notes: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()


def read_solids(
    shape: FileShape, folder: Path, *, tolerance_mm: float = DEFAULT_TOLERANCE, field: str = ""
) -> FileSolids:
    """Read a STEP or STL file (its path from `folder`) into meshes within `tolerance_mm` and solids (mm).

    Raises InputError for a file that cannot be used: missing, damaged, without solids, open, invalid, inside
    out. A surface that cannot tell inside from outside comes back with `closed` False and says so in
    `not_checked`.
    """
    path = folder / shape.path
    try:
        data = path.read_bytes()
    except OSError as failure:
        _refuse(
            shape.path,
            f"cannot be read ({failure.strerror})",
            "give a path relative to the design file",
            field,
        )
    kind = path.suffix.lower()
    if kind in (".step", ".stp"):
        found = _read_step(path, data, shape, tolerance_mm, field)
    elif kind == ".stl":
        found = _read_stl(data, shape, field)
    else:
        _refuse(
            shape.path,
            f"{kind or 'no suffix'} is neither STEP nor STL",
            "give a .step, .stp or .stl file",
            field,
        )
    return found


def placed_solid(solid: FileSolid) -> Any:
    """Give the exact shape (TopoDS_Shape, mm) at its place; None for a body of an STL, which has none."""
    if not solid.brep:
        return None
    from OCP.gp import gp_Trsf, gp_Vec
    from OCP.TopLoc import TopLoc_Location

    move = gp_Trsf()
    move.SetTranslation(gp_Vec(*solid.shift))
    shape = solid_of_brep(solid.brep)
    # On the left of the file's own placement, so that the shift is along the frame of the actuator.
    return shape.Moved(TopLoc_Location(move))


def unit_problem(found: FileSolids, actuator_extent: float, field: str = "") -> Problem | None:
    """Say which unit would let the housing contain the actuator (largest extent, mm) where its own does not.

    Only for an STL: a STEP file carries its unit. More than 20 times the actuator is as odd as less than its
    size (common practice, no source).
    """
    if found.kind != "stl":
        return None
    extents = [float(extent) for extent in np.subtract(*_bounds(found.solids)[::-1])]
    largest = max(extents)
    if actuator_extent <= largest <= 20 * actuator_extent:
        return None
    given = STL_UNITS[found.unit]
    sizes = " x ".join(f"{extent / given:.2f}" for extent in extents)
    head = f"{found.path}: largest extent {largest / given:.2f} with the declared unit {found.unit} ({sizes})"
    fitting = [
        (unit, largest / given * factor)
        for unit, factor in STL_UNITS.items()
        if actuator_extent <= largest / given * factor <= 20 * actuator_extent and unit != "in"
    ]
    compared = f"the actuator alone is {actuator_extent:.0f} mm"
    if not fitting:
        return Problem(
            f"{head}; {compared}. No unit makes it fit. Nothing was scaled", "export it again", field=field
        )
    unit, size = min(fitting, key=lambda pair: pair[1])
    change = f"x{STL_UNITS[unit] / given:g} -> {size:.0f} mm would contain it. Nothing was scaled"
    return Problem(
        f"{head}; {compared}. {change}", f'declare unit = "{unit}" or export it again', field=field
    )


def origin_problem(found: FileSolids, low: Point, high: Point, field: str = "") -> Problem | None:
    """Say how far the actuator's box (low and high corner, mm) lies outside the housing's, where all does."""
    housing_low, housing_high = _bounds(found.solids)
    gaps = np.maximum(np.subtract(low, housing_high), np.subtract(housing_low, high))
    axis = int(gaps.argmax())
    if gaps[axis] <= 0:
        return None
    shift = (np.add(low, high) - np.add(housing_low, housing_high)) / 2
    text = ", ".join(f"{value:.1f}" for value in shift)
    return Problem(
        f"all of the actuator is outside the bounding box of {found.path} by {gaps[axis]:.0f} mm "
        f"in {'xyz'[axis]}; the origin of that file is probably the machine's",
        f"give a shift (about [{text}] mm brings the centres together) or export it from the mounting face",
        field=field,
    )


def _bounds(solids: Sequence[FileSolid]) -> tuple[Any, Any]:
    return np.min([solid.low for solid in solids], axis=0), np.max([solid.high for solid in solids], axis=0)


def _refuse(path: str, message: str, repair: str, field: str) -> NoReturn:
    raise InputError(Problem(f"{path}: {message}", repair, field=field))


def _read_stl(data: bytes, shape: FileShape, field: str) -> FileSolids:
    """Read an STL with its declared unit."""
    if shape.unit not in STL_UNITS:
        said = f"the unit {shape.unit!r} is not known" if shape.unit else "an STL carries no unit"
        _refuse(
            shape.path,
            f"{said}{_extents(data)}",
            f'write unit = "mm" or one of {", ".join(STL_UNITS)}',
            field,
        )
    try:
        surface = stl_reader.read_stl(data, STL_UNITS[shape.unit], shape.surface_only)
    except ShapeError as refusal:
        _refuse(shape.path, refusal.problems[0].message, refusal.problems[0].repair, field)
    name = Path(shape.path).stem
    if shape.solid_name not in ("", name):
        _refuse(
            shape.path,
            f"an STL carries no names, so none is {shape.solid_name!r}",
            "leave the name out",
            field,
        )
    mesh = moved(surface.mesh, shape.shift)
    low, high = (_point(end) for end in mesh.bounds)
    closed = surface.volume is not None
    solid = FileSolid(name, mesh, closed, surface.volume, low, high, None, b"", shape.shift)
    said_not = tuple(f"{shape.path}: {line}" for line in surface.not_checked)
    notes = tuple(f"{shape.path}: {line}" for line in surface.notes)
    return FileSolids(shape.path, "stl", shape.unit, _sha256(data), (solid,), notes, said_not)


def _extents(data: bytes) -> str:
    """Say how large the file's numbers are, for the one who has to name their unit."""
    try:
        vertices = stl_reader.read_stl(data, 1.0, surface_only=True).mesh.vertices
    except ShapeError:
        return ""
    return "; the extents are " + " x ".join(f"{extent:.2f}" for extent in np.ptp(vertices, axis=0))


def _read_step(path: Path, data: bytes, shape: FileShape, tolerance_mm: float, field: str) -> FileSolids:
    """Read a STEP file in a process of its own, and place what came back."""
    question = {
        "tolerance": tolerance_mm,
        "surface_only": shape.surface_only,
        "solid_name": shape.solid_name,
    }
    with tempfile.TemporaryDirectory() as folder:
        answer = Path(folder, "answer.npz")
        said = _ask_kernel(path, answer, json.dumps(question), shape.path, field)
        arrays = dict(np.load(io.BytesIO(answer.read_bytes())))
    header = json.loads(arrays["header"].tobytes())
    if "message" in header:
        complaints = re.findall(r"ERR? StepFile : (.*?)\s*\*+", said)
        words = f" ({complaints[0]})" if complaints else ""
        _refuse(shape.path, header["message"] + words, header.get("repair", "export it again"), field)
    solids = tuple(_placed(part, arrays, index, shape) for index, part in enumerate(header["parts"]))
    unit = ", ".join(header["units"]) or "not stated"
    notes = list(header["notes"])
    if unit != "millimetre":
        notes.append(f"the unit of the file ({unit}) was converted to mm")
    not_checked = []
    if header["lost"]:
        lost = f"{header['lost']} solid{'s' * (header['lost'] > 1)} of the file could not be read"
        not_checked.append(f"{lost}: NOT CHECKED")
    dangling = re.search(r"Unresolved Reference : Fails Count : (\d+)", said)
    if dangling:
        not_checked.append(
            f"references in the file that lead nowhere: {dangling[1]}; what is missing is NOT CHECKED"
        )
    if shape.surface_only:
        not_checked.append("declared surface_only: containment NOT CHECKED")
    lines = (tuple(f"{shape.path}: {line}" for line in some) for some in (notes, not_checked))
    return FileSolids(shape.path, "step", unit, _sha256(data), solids, *lines)


def _ask_kernel(path: Path, answer: Path, question: str, name: str, field: str) -> str:
    """Run the reader; give what the kernel printed."""
    root = str(Path(__file__).resolve().parent.parent)
    search = os.pathsep.join(filter(None, (root, os.environ.get("PYTHONPATH", ""))))
    command = [sys.executable, "-m", "geometry.step_reader", str(path.resolve()), str(answer), question]
    environment = {**os.environ, "PYTHONPATH": search}
    try:
        done = subprocess.run(
            command, capture_output=True, timeout=_LONGEST_READ, env=environment, check=False
        )
    except subprocess.TimeoutExpired:
        _refuse(
            name,
            f"the CAD kernel was still busy after {_LONGEST_READ:.0f} s",
            "export a simpler model",
            field,
        )
    if done.returncode != 0:
        trace = done.stderr.decode(errors="replace").strip()
        if "Traceback" in trace:
            raise KernelError(f"{name}: reading it broke: {trace.splitlines()[-1]}")
        died = f"the CAD kernel died on it (status {done.returncode}): the file is damaged"
        _refuse(name, died, "export it again", field)
    return re.sub(r"\x1b\[[0-9;]*m", "", done.stdout.decode(errors="replace"))


def _placed(part: dict[str, Any], arrays: dict[str, Any], index: int, shape: FileShape) -> FileSolid:
    """Give one part of the reader's answer at its place."""
    mesh = Mesh(
        arrays[f"vertices{index}"],
        arrays[f"triangles{index}"],
        part["chord_error"],
        arrays.get(f"curved{index}"),
    )
    low, high = (_point(np.add(part[end], shape.shift)) for end in ("low", "high"))
    colour = tuple(part["colour"]) if part["colour"] else None
    brep = arrays[f"brep{index}"].tobytes()
    closed = part["volume"] is not None
    return FileSolid(
        part["name"], moved(mesh, shape.shift), closed, part["volume"], low, high, colour, brep, shape.shift
    )


def _point(values: Any) -> Point:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()

"""The mock-up set to print: body, screw, nut and go gauge as closed meshes, with notes on each (mm)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calcs.gauge import Gauge, Way, drops_in, gauge_of
from calcs.grown_primitives import united
from calcs.keepout import closed_solid
from exports.print_fit import PrintFit
from geometry.bodies import Body, ClearanceClasses, Contact, Cylinder, Shape
from geometry.errors import ShapeError
from geometry.meshes import Mesh, manifold_of, mesh_from_manifold, mesh_of

_FACETS = 0.005  # mm; far below what any printer resolves
_SLENDER = 8.0  # a taller rod wobbles on the bed and breaks between layers

Placed = tuple[Body, Mesh]


@dataclass(frozen=True)
class MockupPart:
    """One part to print, where it sits in the assembly at s = 0; the notes start with its label."""

    name: str
    mesh: Mesh
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Mockup:
    """The parts, and notes on the whole set: what was substituted, what could not be made and why."""

    parts: tuple[MockupPart, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class MockupThread:
    """The screw's thread: designation, pitch and major diameter (mm), and the mesh of its screw."""

    designation: str
    pitch: float
    major_diameter: float
    mesh: Mesh | None = None


def mockup_parts(
    bodies: Sequence[Placed],
    contacts: Sequence[Contact],
    classes: ClearanceClasses,
    travel: tuple[float, float],
    fit: PrintFit,
    thread: MockupThread,
    label: str = "",
    screw: str = "screw",
    nut: str = "nut",
) -> Mockup:
    """Make the parts of the mock-up from the placed bodies at s = 0 (mm).

    `travel` runs from hard stop to hard stop; `screw` and `nut` name those bodies, `label` starts the label
    of every part. A part that cannot be made is left out and the set's notes say why. Allowances: common
    practice, no source.
    """
    notes = [_thread_note(fit, thread)]
    parts: list[MockupPart] = []
    makers: dict[str, Callable[[], list[MockupPart]]] = {
        "body": lambda: _body(bodies, fit, (screw, nut)),
        "screw": lambda: _screw(_named(bodies, screw), fit, thread),
        "nut": lambda: _nut(_named(bodies, nut), _axis(bodies, screw), fit, thread),
        "gauge": lambda: _gauge(bodies, contacts, classes, travel, fit, _axis(bodies, screw)),
    }
    for kind, make in makers.items():
        try:
            parts += make()
        except ShapeError as error:
            notes.append(f"{kind} NOT MADE: {error}")
    labelled = (replace(p, notes=(f"label: {f'{label} {p.name}'.strip()}", *p.notes)) for p in parts)
    return Mockup(
        tuple(replace(p, notes=(*p.notes, *_bed_notes(p.mesh, fit))) for p in labelled), tuple(notes)
    )


def _named(bodies: Sequence[Placed], name: str) -> Placed:
    for placed in bodies:
        if placed[0].name == name:
            return placed
    raise ShapeError(f"there is no body {name!r}", "name the body of the assembly")


def _axis(bodies: Sequence[Placed], screw: str) -> tuple[float, float]:
    low, high = _named(bodies, screw)[1].bounds
    x, y, _ = (low + high) / 2.0
    return float(x), float(y)


def _prints_thread(fit: PrintFit, thread: MockupThread) -> bool:
    return thread.pitch >= fit.pitch - 1e-9


def _thread_note(fit: PrintFit, thread: MockupThread) -> str:
    diameter = f"plain dia {thread.major_diameter:.1f}"
    if not _prints_thread(fit, thread):
        return f"INFO substituted: pitch {thread.pitch:g} < {fit.pitch:.1f} -> {diameter}"
    if thread.mesh is None:
        return f"INFO substituted: no mesh of {thread.designation} given -> {diameter}"
    return f"INFO real thread: pitch {thread.pitch:g} >= {fit.pitch:.1f}"


def _body(bodies: Sequence[Placed], fit: PrintFit, others: tuple[str, str]) -> list[MockupPart]:
    chosen = [p for p in bodies if p[0].role == "actuator" and not p[0].moves and p[0].name not in others]
    if not chosen:
        raise ShapeError("no motor, gear or encoder among the bodies", "give the actuator's bodies")
    meshes = [_with_wider_holes(placed, fit) for placed in chosen]
    solid = united([closed_solid(body, mesh) for (body, _), mesh in zip(chosen, meshes, strict=True)])
    notes = [f"{', '.join(body.name for body, _ in chosen)} as one part", *_hole_notes(chosen, fit)]
    pieces = len(solid.decompose())
    if pieces > 1:
        notes.append(f"falls into {pieces} pieces that do not touch")
    return [MockupPart("body", mesh_from_manifold(solid, max(m.chord_error for m in meshes)), tuple(notes))]


def _with_wider_holes(placed: Placed, fit: PrintFit) -> Mesh:
    body, mesh = placed
    if not isinstance(body.shape, Shape):
        return mesh
    cuts = tuple(
        cut._replace(radius=cut.radius + fit.hole / 2.0) if isinstance(cut, Cylinder) else cut
        for cut in body.shape.cuts
    )
    return mesh_of(Shape(body.shape.adds, cuts), _FACETS)


def _hole_notes(chosen: Sequence[Placed], fit: PrintFit) -> list[str]:
    notes = []
    if any(isinstance(body.shape, Shape) and body.shape.cuts for body, _ in chosen):
        notes.append(f"holes +{fit.hole:g} on the diameter for {fit.process}")
    files = [body.name for body, _ in chosen if not isinstance(body.shape, Shape)]
    if files:
        notes.append(f"holes of {', '.join(files)} as in the file, without allowance")
    return notes


def _screw(screw: Placed, fit: PrintFit, thread: MockupThread) -> list[MockupPart]:
    body, mesh = screw
    real = _prints_thread(fit, thread) and thread.mesh is not None
    if real and thread.mesh is not None:
        solid, error, said = (
            manifold_of(thread.mesh),
            thread.mesh.chord_error,
            f"{thread.designation}, real thread",
        )
    else:
        mesh = mesh_of(body.shape, _FACETS) if isinstance(body.shape, Shape) else mesh
        solid, error = closed_solid(body, mesh), mesh.chord_error
        said = f"plain rod dia {thread.major_diameter:.1f} for {thread.designation}"
        if not isinstance(body.shape, Shape):
            said = f"the shape of its file for {thread.designation}"
    low, high = np.array(solid.bounding_box()).reshape(2, 3)
    length, width = float(high[2] - low[2]), float(max(high[:2] - low[:2]))
    if length <= fit.bed[2] and (fit.process != "FDM" or length <= _SLENDER * width):
        return [MockupPart("screw", mesh_from_manifold(solid, error), (said, "stands upright"))]
    pieces = _lying_pieces(solid, (low + high) / 2.0, length, max(fit.bed[:2]))
    flat = f"lies on its flat face at y = {(low[1] + high[1]) / 2.0:g}; glue the {len(pieces)} pieces"
    why = f"{length:g} long: " + (
        f"{length / width:.0f} diameters" if length <= fit.bed[2] else "higher than the bed"
    )
    return [
        MockupPart(f"screw_{n}_of_{len(pieces)}", mesh_from_manifold(piece, error), (said, why, flat))
        for n, piece in enumerate(pieces, 1)
    ]


def _lying_pieces(solid: Any, middle: np.ndarray, length: float, room: float) -> list[Any]:
    """Split a rod along its axis, and across into equal lengths where it is longer than the bed."""
    count = int(np.ceil(length / room - 1e-9))
    cuts = middle[2] - length / 2.0 + length / count * np.arange(1, count)
    pieces = []
    for half in solid.split_by_plane((0.0, 1.0, 0.0), float(middle[1])):
        rest = half
        for cut in cuts:
            rest, piece = rest.split_by_plane((0.0, 0.0, 1.0), float(cut))
            pieces.append(piece)
        pieces.append(rest)
    return pieces


def _nut(nut: Placed, axis: tuple[float, float], fit: PrintFit, thread: MockupThread) -> list[MockupPart]:
    body, _ = nut
    diameter = thread.major_diameter + fit.clearance + fit.hole
    mesh = _with_wider_holes(nut, fit)
    low, high = mesh.bounds
    if diameter >= float(min(high[:2] - low[:2])):
        raise ShapeError(f"a bore of {diameter:g} mm leaves nothing of the nut", "print with less clearance")
    bore = Cylinder("z", axis, diameter / 2.0, (float(low[2]) - 1.0, float(high[2]) + 1.0))
    solid = closed_solid(body, mesh) - manifold_of(mesh_of(Shape((bore,)), _FACETS))
    allowance = (
        f"{thread.major_diameter:g} + {fit.clearance:g} to slide + {fit.hole:g} for holes that print small"
    )
    notes = (
        f"bore dia {diameter:g} = {allowance}; slides, does not engage",
        *_hole_notes([(body, mesh)], fit),
    )
    return [MockupPart("nut", mesh_from_manifold(solid, mesh.chord_error), notes)]


def _gauge(
    bodies: Sequence[Placed],
    contacts: Sequence[Contact],
    classes: ClearanceClasses,
    travel: tuple[float, float],
    fit: PrintFit,
    axis: tuple[float, float],
) -> list[MockupPart]:
    gauge = gauge_of(bodies, contacts, travel, classes.moving_to_fixed, fit.clearance / 2.0, axis)
    fixed = [placed for placed in bodies if not placed[0].moves]
    notes = [
        f"go gauge: all that moves, s {travel[0]:g}..{travel[1]:g}, grown by {classes.moving_to_fixed:g}",
        f"reaches at most {gauge.whole.chord_error:.3f} further; printing +-{fit.accuracy:g}: measure it",
        _drop_note(drops_in(gauge.whole, fixed, contacts)),
        *_relief_notes(bodies, contacts, fit.clearance / 2.0),
        *_uncovered_notes(fixed, classes),
    ]
    parts = []
    for number, (mesh, way) in enumerate(zip(gauge.halves, gauge.ways, strict=True), 1):
        own = [_half_note(gauge, mesh, number), _way_note(way)]
        parts.append(MockupPart(f"gauge_{number}_of_2", mesh, (*notes, *own)))
    return parts


def _drop_note(overlaps: Sequence[tuple[str, float | None]]) -> str:
    hits = [f"{name} {volume:.3g} mm3" for name, volume in overlaps if volume is not None]
    unknown = [name for name, volume in overlaps if volume is None]
    text = (
        f"does not drop in: overlaps {', '.join(hits)}"
        if hits
        else "drops in: overlaps no fixed body at its place"
    )
    return f"{text}; NOT CHECKED, not closed: {', '.join(unknown)}" if unknown else text


def _relief_notes(bodies: Sequence[Placed], contacts: Sequence[Contact], clearance: float) -> list[str]:
    moves = {body.name: body.moves for body, _ in bodies}
    pairs = [f"{c.a}/{c.b}" for c in contacts if moves.get(c.a) != moves.get(c.b)]
    return (
        [f"relieved by {clearance:g} at declared contacts: {', '.join(dict.fromkeys(pairs))}"]
        if pairs
        else []
    )


def _uncovered_notes(fixed: Sequence[Placed], classes: ClearanceClasses) -> list[str]:
    larger = {"electronics": classes.moving_to_electronics, "cable": classes.moving_to_cable}
    return [
        f"not covered by the gauge: {body.name} ({body.role}) needs {larger[body.role]:g}"
        for body, _ in fixed
        if larger.get(body.role, 0.0) > classes.moving_to_fixed
    ]


def _half_note(gauge: Gauge, mesh: Mesh, number: int) -> str:
    pieces = len(manifold_of(mesh).decompose())
    side = "above" if number == 1 else "below"
    text = f"the half {side} {gauge.axis} = {gauge.position:g}, flat there"
    return text if pieces == 1 else f"{text}; in {pieces} loose pieces"


def _way_note(way: Way) -> str:
    covers = f" with {', '.join(way.covers)} off" if way.covers else ""
    tried = f"; not tried past {', '.join(way.not_tried)}" if way.not_tried else ""
    if way.blocked_by:
        return f"goes in along {way.direction}{covers} before mounting {', '.join(way.blocked_by)}{tried}"
    return f"goes in straight along {way.direction}{covers}{tried}"


def _bed_notes(mesh: Mesh, fit: PrintFit) -> tuple[str, ...]:
    low, high = mesh.bounds
    size = sorted(float(x) for x in high - low)
    if all(extent <= room for extent, room in zip(size, sorted(fit.bed), strict=True)):
        return ()
    return (f"{size[2]:.1f} x {size[1]:.1f} x {size[0]:.1f} does not fit the bed: split it in the slicer",)

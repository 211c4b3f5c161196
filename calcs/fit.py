"""Does the actuator fit: every pair judged over the travel, the clear strokes, the room left (mm)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from calcs.clearance import Pair, nearest
from calcs.clearance_pairs import (
    Kind,
    PairResult,
    Task,
    judge_contact,
    judge_static,
    judge_travel,
    not_measured,
)
from calcs.clearance_room import Neighbours, Room, room_of
from calcs.clearance_stretch import rigid, to_the_end, with_fronts
from calcs.clearance_sweep import Mover, Obstacle, Sweep, around, is_big, mover_of, sweep
from calcs.clearance_windows import Interval, clear_of, longest
from calcs.finding import Verdict
from calcs.fit_words import cautions_on, remedies_for
from calcs.result import ORDER
from geometry.bodies import Body, ClearanceClasses, Contact, FileShape, Shape
from geometry.errors import InputError, KernelError, Problem
from geometry.meshes import Mesh, manifold_of, mesh_faults

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, eq=False)
class PlacedMesh:
    """A body and its mesh at s = 0 (mm); without a mesh, the reason why there is none."""

    body: Body
    mesh: Mesh | None
    reason: str = ""


@dataclass(frozen=True)
class BodyRecord:
    """What was known of a body: closed tells whether inside and outside could be told, chord error in mm."""

    name: str
    role: str
    source: str
    closed: bool
    chord_error: float | None


@dataclass(frozen=True)
class FitReport:
    """The answer of `fit` (mm): pairs sorted worst first, and what follows from them."""

    travel: Interval
    pairs: tuple[PairResult, ...]
    longest_stroke: Interval | None
    clear_windows: tuple[Interval, ...]
    room: dict[str, Room]
    bodies: tuple[BodyRecord, ...]
    not_checked: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of all pairs; a caution makes it at least WARN, an unchecked body NOT CHECKED."""
        verdicts: list[Verdict] = [pair.verdict for pair in self.pairs]
        verdicts += ["WARN"] if self.cautions else []
        verdicts += ["NOT CHECKED"] if self.not_checked else []
        return max(verdicts, key=ORDER.index, default="NOT CHECKED")

    def to_json_dict(self) -> dict[str, Any]:
        """Give the part of `fit --json` that follows the head, plain and finite, in mm."""
        return {
            "travel": {"from": self.travel[0], "to": self.travel[1]},
            "pairs": [_pair_json(pair) for pair in self.pairs],
            "longest_stroke": None if self.longest_stroke is None else list(self.longest_stroke),
            "clear_windows": [list(window) for window in self.clear_windows],
            "room": {way: vars(room).copy() for way, room in self.room.items()},
            "bodies": [vars(body).copy() for body in self.bodies],
            "not_checked": list(self.not_checked),
            "cautions": list(self.cautions),
        }


@dataclass(frozen=True, eq=False)
class _Prepared:
    """A body with what its pairs share, made when the first asks; `fault` says why it has no inside."""

    placed: PlacedMesh
    mesh: Mesh
    travel: Interval
    fault: str

    @cached_property
    def mover(self) -> Mover:
        return mover_of(self.mesh)

    @cached_property
    def swept(self) -> Sweep:
        return sweep(self.mover, *self.travel)

    @cached_property
    def obstacle(self) -> Obstacle | None:
        """The whole body; None where it is big enough to be cropped for each pair."""
        return None if is_big(self.mesh) else Obstacle(self.mesh, self.mover.tree)

    @property
    def name(self) -> str:
        return self.placed.body.name


@dataclass(frozen=True)
class _Question:
    a: PlacedMesh
    b: PlacedMesh
    kind: Kind
    required: float
    contacts: tuple[Contact, ...]


def fit(
    bodies: Sequence[PlacedMesh],
    contacts: Sequence[Contact],
    classes: ClearanceClasses,
    travel: Interval,
    *,
    usable: Interval | None = None,
    shift_with: Sequence[str] = ("screw",),
    progress: Progress | None = None,
) -> FitReport:
    """Judge every pair that can meet, hard stop to hard stop (mm of travel along +z).

    Moving against fixed over the travel; fixed parts of the actuator and cables against everything else that
    stands still, and moving against moving, at the pose given. Two parts of the actuator that do not move
    against each other are ours and touch by design: no pair. `usable` is the stroke over which room is
    measured, `shift_with` the fixed bodies that shift with what moves. Raises InputError for two bodies of
    one name and for a contact with a body that is not there.
    """
    contacts = with_fronts(contacts, [one.body for one in bodies])
    bodies = list(_rigid(bodies, travel))
    _refuse_unknown(bodies, contacts)
    prepared = {one.body.name: made for one in bodies if (made := _prepared(one, travel)) is not None}
    questions = list(_questions(bodies, contacts, classes))
    results = []
    for done, question in enumerate(questions):
        results.append(_answer(question, prepared, travel))
        if progress is not None:
            progress("clearance", done + 1, len(questions))
    results = [replace(result, remedies=remedies_for(result, travel)) for result in results]
    results.sort(key=_worst_first)
    windows = [window for result in results for window in result.below_required]
    clear = clear_of(windows, *travel)
    return FitReport(
        travel=travel,
        pairs=tuple(results),
        longest_stroke=longest(clear),
        clear_windows=clear,
        room=_room(prepared, contacts, classes, usable or travel, shift_with),
        bodies=tuple(_record(one, prepared) for one in bodies),
        not_checked=tuple(_not_checked(bodies, prepared)),
        cautions=cautions_on([one.body for one in bodies], {n: p.mesh for n, p in prepared.items()}, results),
    )


def _rigid(bodies: Sequence[PlacedMesh], travel: Interval) -> Iterator[PlacedMesh]:
    for one in bodies:
        if one.mesh is None or not one.body.stretches:
            yield one
        else:
            yield from (PlacedMesh(*end) for end in rigid([(one.body, one.mesh)], travel))


def required_gap(a: Body, b: Body, classes: ClearanceClasses) -> float:
    """Give the required gap (mm) of a pair by its class: what moves, and the role of what stands still."""
    if a.moves and b.moves:
        return classes.moving_to_moving
    if not (a.moves or b.moves):
        return classes.fixed_to_fixed
    roles = {a.role, b.role}
    if "cable" in roles:
        return classes.moving_to_cable
    return classes.moving_to_electronics if "electronics" in roles else classes.moving_to_fixed


def _refuse_unknown(bodies: Sequence[PlacedMesh], contacts: Sequence[Contact]) -> None:
    names = [one.body.name for one in bodies]
    problems = [
        Problem(f"two bodies are named {name!r}", "give each its own name")
        for name in sorted({name for name in names if names.count(name) > 1})
    ]
    problems += [
        Problem(
            f"the contact {contact.a} / {contact.b} names {name!r}, which is no body",
            f"one of {', '.join(names)}",
        )
        for contact in contacts
        for name in (contact.a, contact.b)
        if name not in names
    ]
    if problems:
        raise InputError(*problems)


def _prepared(placed: PlacedMesh, travel: Interval) -> _Prepared | None:
    mesh = placed.mesh
    if mesh is None or len(mesh.triangles) == 0:
        return None
    return _Prepared(placed, mesh, travel if placed.body.moves else (0.0, 0.0), _fault(placed.body, mesh))


def _fault(body: Body, mesh: Mesh) -> str:
    """Why the inside of a body cannot be told; empty where it can."""
    faults = mesh_faults(mesh)
    if isinstance(body.shape, FileShape) and body.shape.surface_only:
        return "a surface has no inside"
    if faults:
        return f"{body.name}: {faults[0]}; inside and outside cannot be told"
    try:
        manifold_of(mesh)
    except KernelError as error:
        return f"{body.name}: {error}; inside and outside cannot be told"
    return ""


def _questions(
    bodies: Sequence[PlacedMesh], contacts: Sequence[Contact], classes: ClearanceClasses
) -> Iterator[_Question]:
    for first, a in enumerate(bodies):
        for b in bodies[first + 1 :]:
            kind = _kind(a.body, b.body)
            if kind is None:
                continue
            mover, other = (b, a) if _comes_first(b.body, a.body) else (a, b)
            names = {a.body.name, b.body.name}
            declared = tuple(contact for contact in contacts if {contact.a, contact.b} == names)
            yield _Question(mover, other, kind, required_gap(a.body, b.body, classes), declared)


def _kind(a: Body, b: Body) -> Kind | None:
    if a.stretches and b.stretches:  # both ends of one
        return None
    if a.moves != b.moves:
        return "travel"
    if a.part_of_actuator and b.part_of_actuator:
        return None
    if a.moves or _ours(a) != _ours(b):
        return "static"
    return None


def _ours(body: Body) -> bool:
    return body.part_of_actuator or body.role == "cable"


def _comes_first(one: Body, other: Body) -> bool:
    return (one.moves, _ours(one)) > (other.moves, _ours(other))


def _answer(question: _Question, prepared: dict[str, _Prepared], travel: Interval) -> PairResult:
    a, b = question.a.body.name, question.b.body.name
    kind: Kind = "contact" if question.contacts else question.kind
    missing = next((one for one in (question.a, question.b) if one.body.name not in prepared), None)
    if missing is not None:
        reason = f"{missing.body.name}: {missing.reason or 'no mesh'}"
        return not_measured(a, b, kind, question.required, reason)
    task = _task(prepared[a], prepared[b], question.required)
    if question.kind != "travel":
        if question.contacts:
            return judge_contact(task, question.contacts, question.required, None)
        return judge_static(task, question.required)
    if question.contacts:
        result = judge_contact(task, question.contacts, question.required, travel)
    else:
        result = judge_travel(task, prepared[a].swept, question.required)
    if not (question.a.body.stretches or question.b.body.stretches):
        return result
    below, clash = (to_the_end(windows, travel) for windows in (result.below_required, result.clash))
    return replace(result, below_required=below, clash=clash)


def _task(a: _Prepared, b: _Prepared, required: float) -> Task:
    margin = required + a.mesh.chord_error + b.mesh.chord_error + 1.0
    obstacle = b.obstacle or around(b.mesh, a.swept, margin)
    pair = Pair(a.mover, obstacle, mover_is_solid=not a.fault, obstacle_is_solid=not b.fault)
    surfaces = [_is_surface(a.placed.body), _is_surface(b.placed.body)]
    reasons = [one.fault for one, surface in zip((a, b), surfaces, strict=True) if one.fault and not surface]
    return Task(a.name, b.name, pair, "; ".join(reasons), _shapes(a, b))


def _shapes(a: _Prepared, b: _Prepared) -> tuple[Shape, Shape] | None:
    """What two sound meshes were made of; None where one is a file's."""
    first, second = a.placed.body.shape, b.placed.body.shape
    if a.fault or b.fault or isinstance(first, FileShape) or isinstance(second, FileShape):
        return None
    return first, second


def _is_surface(body: Body) -> bool:
    return isinstance(body.shape, FileShape) and body.shape.surface_only


def _room(
    prepared: dict[str, _Prepared],
    contacts: Sequence[Contact],
    classes: ClearanceClasses,
    usable: Interval,
    shift_with: Sequence[str],
) -> dict[str, Room]:
    """Room of the group over the usable stroke, declared contacts and bodies without an inside left out."""
    touching = {frozenset((contact.a, contact.b)) for contact in contacts}
    group = [one for one in prepared.values() if one.placed.body.moves or one.name in shift_with]
    others = [one for one in prepared.values() if one not in group]
    neighbours = []
    for one in group:
        swept = sweep(one.mover, *usable) if one.placed.body.moves else one.swept
        neighbours += [
            _neighbours(one, other, swept, classes)
            for other in others
            if _kind(one.placed.body, other.placed.body) is not None
            and frozenset((one.name, other.name)) not in touching
        ]
    return room_of(neighbours)


def _neighbours(one: _Prepared, other: _Prepared, swept: Sweep, classes: ClearanceClasses) -> Neighbours:
    required = required_gap(one.placed.body, other.placed.body, classes)
    near, pair = nearest(_task(one, other, required).pair, swept)
    error = pair.chord_error if required > 0.0 else 0.0
    gap = near.gap.distance if near.apart else 0.0
    return Neighbours(one.name, other.name, swept, pair.obstacle, required + error, gap)


def _worst_first(result: PairResult) -> tuple[float, bool, float, str, str]:
    spare = -np.inf if result.gap is None else result.gap.low - result.required
    return -ORDER.index(result.verdict), result.required == 0.0, spare, result.a, result.b


def _record(placed: PlacedMesh, prepared: dict[str, _Prepared]) -> BodyRecord:
    body, made = placed.body, prepared.get(placed.body.name)
    closed = made is not None and not made.fault
    return BodyRecord(
        body.name, body.role, body.source, closed, None if made is None else made.mesh.chord_error
    )


def _not_checked(bodies: Sequence[PlacedMesh], prepared: dict[str, _Prepared]) -> Iterator[str]:
    for placed in bodies:
        made = prepared.get(placed.body.name)
        if made is None:
            yield f"{placed.body.name}: {placed.reason or 'no mesh'}"
        elif made.fault and not _is_surface(placed.body):
            yield made.fault


def _pair_json(pair: PairResult) -> dict[str, Any]:
    low, nominal, high = pair.gap or (None, None, None)
    shared = pair.overlap
    return {
        "a": pair.a,
        "b": pair.b,
        "kind": pair.kind,
        "gap": {"low": low, "nominal": nominal, "high": high},
        "at_travel": pair.at_travel,
        "below_required": _hull(pair.below_required),
        "clash": _hull(pair.clash),
        "points": None if pair.points is None else [list(point) for point in pair.points],
        "required": pair.required if pair.required > 0.0 or pair.kind == "travel" else None,  # may touch
        "verdict": pair.verdict,
        "overlap": shared
        and {"volume": shared.volume, "box": [list(p) for p in shared.box], "at_travel": shared.at_travel},
        "reason": pair.reason,
        "remedies": list(pair.remedies),
    }


def _hull(windows: Sequence[Interval]) -> list[float] | None:
    return [windows[0][0], windows[-1][1]] if windows else None

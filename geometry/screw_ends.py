"""The turned ends of a screw: which are plain, and which are milled, drilled or threaded (mm)."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.bodies import Cylinder, Primitive, Shape
from geometry.errors import ShapeError
from geometry.prisms import flatted_disc, regular
from geometry.screw_thread import solid_thread
from geometry.thread_ends import Groove, ThreadedLength, threaded_rod
from geometry.thread_ends import Journal as Turned
from geometry.threads import thread

if TYPE_CHECKING:
    from geometry.design_parts import Journal, Screw

TABLE = Path(__file__).with_name("circlips.toml")
Side = Literal["near", "far"]


class Circlip(NamedTuple):
    """A circlip's groove for a shaft (mm): diameter, width, least distance to the shaft's end."""

    groove_diameter: float
    groove_width: float
    least_to_end: float


class Step(NamedTuple):
    """One turned end: its field, from its shoulder (z, mm, the thread from 0) which way, what it is."""

    field: str
    shoulder: float
    outward: int
    journal: Journal

    @property
    def free_end(self) -> float:
        """Where it ends (z, mm)."""
        return self.shoulder + self.outward * self.journal.length

    @property
    def is_turned(self) -> bool:
        """Whether it is turned about the axis and nothing else."""
        own = self.journal
        return not (own.flat or own.hexagon or own.square or own.cross_hole or own.thread)


class Piece(NamedTuple):
    """What is joined to a turned end in a plane at z (mm): a milled or drilled step, or one with a thread.

    A drilled step has its hole in `cuts`, right across it; `crossed` is that step's radius (mm).
    """

    z: float
    form: Shape | ThreadedLength
    crossed: float | None = None


@cache
def circlips() -> dict[float, Circlip]:
    """Give the groove for each standard shaft diameter (mm). Source: DIN 471 (from memory)."""
    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    return {float(shaft): Circlip(*(float(value) for value in row)) for shaft, *row in table["sizes"]}


def steps_of(screw: Screw, side: Side) -> tuple[Step, ...]:
    """Give the turned steps of one end from the thread outwards."""
    outward, here = (-1, 0.0) if side == "near" else (1, screw.length)
    found = []
    for name in (f"{side}_journal", f"{side}_tip"):
        journal: Journal | None = getattr(screw, name)
        if journal is not None:
            found.append(Step(f"screw.{name}", here, outward, journal))
            here = found[-1].free_end
    return tuple(found)


def groove_of(journal: Journal) -> Groove | None:
    """Give the groove of a journal's circlip; ShapeError where DIN 471 has none for its diameter."""
    if journal.circlip is None:
        return None
    found = circlips().get(journal.diameter)
    if found is None:
        near = min(circlips(), key=lambda shaft: abs(shaft - journal.diameter))
        raise ShapeError(
            f"DIN 471 has no circlip here for a shaft of {journal.diameter:g} mm",
            f"turn the journal to {near:g} mm",
        )
    return Groove(journal.circlip, found.groove_width, found.groove_diameter)


def with_ends(screw: Screw) -> tuple[ThreadedLength, tuple[Piece, ...]]:
    """Give the thread with what is turned beside it, and the pieces to join to it, innermost first.

    The thread runs from z = 0 (mm). Raises ShapeError for sizes that leave no thread or no end.
    """
    turned: dict[str, Turned | None] = {}
    pieces: list[Piece] = []
    clear_of: list[float | None] = []
    sides: tuple[Side, Side] = ("near", "far")
    for side in sides:
        steps = steps_of(screw, side)
        plain = next((index for index, step in enumerate(steps) if not step.is_turned), len(steps))
        for step in steps[:plain]:
            turned[step.field.removeprefix("screw.")] = _turned(step.journal)
        joined = [_piece(step) for step in steps[plain:]]
        pieces += joined
        clear_of.append(_inner_radius(joined[0], steps[0].outward) if joined and plain == 0 else None)
    # A tip that is turned while its journal is not becomes a piece, so a turned tip has a turned journal.
    rod = threaded_rod(
        solid_thread(screw, screw),
        screw.length,
        ends=screw.thread_ends,
        near_journal=turned.get("near_journal") or turned.get("near_tip"),
        far_journal=turned.get("far_journal") or turned.get("far_tip"),
        near_tip=turned.get("near_tip") if "near_journal" in turned else None,
        far_tip=turned.get("far_tip") if "far_journal" in turned else None,
        clear_of=(clear_of[0], clear_of[1]),
    )
    return rod, tuple(pieces)


def _turned(journal: Journal) -> Turned:
    return Turned(journal.diameter, journal.length, journal.chamfer or 0.0, groove_of(journal))


def _inner_radius(piece: Piece, outward: int) -> float:
    """Give the radius of the circle in which a piece meets what it is joined to."""
    if isinstance(piece.form, ThreadedLength):
        end = piece.form.near if outward > 0 else piece.form.far
        return end.mouth_radius_mm or 0.0
    first = piece.form.adds[0]
    assert isinstance(first, Cylinder)  # every step begins round
    return first.radius


def _piece(step: Step) -> Piece:
    own = step.journal
    if own.thread is not None:
        low = min(step.shoulder, step.free_end)
        made = threaded_rod(thread(own.thread), own.length, ends="chamfered")
        return Piece(step.shoulder, raised_thread(made, low))
    hole = step.free_end - step.outward * (own.cross_hole_at or 0.0)
    across = (
        (Cylinder("y", (0.0, hole), own.cross_hole / 2, (-own.diameter, own.diameter)),)
        if own.cross_hole is not None
        else ()
    )
    crossed = own.diameter / 2 if across else None
    return Piece(step.shoulder, Shape(_sections(step), across), crossed)


def _sections(step: Step) -> tuple[Primitive, ...]:
    """Give the sections of a milled step from its shoulder outwards: rounds, its groove, flat or drive."""
    own, groove = step.journal, groove_of(step.journal)
    marks = [(0.0, own.diameter / 2)]
    if groove is not None:
        end = groove.start_mm + groove.width_mm
        marks += [(groove.start_mm, groove.diameter_mm / 2), (end, own.diameter / 2)]
    milled = own.milled or 0.0
    last = own.length - milled
    ends = [start for start, _ in marks[1:]] + [last]
    rounds = [
        Cylinder("z", (0.0, 0.0), radius, _between(step, start, end))
        for (start, radius), end in zip(marks, ends, strict=True)
        if end > start
    ]
    return (*rounds, _milled(own, _between(step, last, own.length))) if milled else tuple(rounds)


def _between(step: Step, start: float, end: float) -> tuple[float, float]:
    low, high = (step.shoulder + step.outward * along for along in (start, end))
    return min(low, high), max(low, high)


def _milled(own: Journal, span: tuple[float, float]) -> Primitive:
    if own.flat is not None:
        return flatted_disc(own.diameter, [(0.0, own.flat - own.diameter / 2)], span)
    if own.hexagon is not None:
        return regular(6, own.hexagon, own.diameter, span)
    assert own.square is not None  # end_problems asks for one of them
    return regular(4, own.square, own.diameter, span)


def narrowest(step: Step) -> float:
    """Give the radius (mm) of the largest circle about the axis that lies within all of a step."""
    own = step.journal
    if own.thread is not None:
        return thread(own.thread).root_diameter_mm / 2
    groove = circlips().get(own.diameter) if own.circlip is not None else None
    flat = [] if own.flat is None else [own.flat - own.diameter / 2]
    drives = [across / 2 for across in (own.hexagon, own.square) if across is not None]
    radii = [own.diameter / 2, *flat, *drives, *([groove.groove_diameter / 2] if groove else [])]
    return min(radii) - (own.chamfer or 0.0)


def free_circle(step: Step) -> float:
    """Give the radius (mm) of the largest circle about the axis on a step's free end face."""
    own = step.journal
    if own.thread is not None:
        made = _piece(step).form
        assert isinstance(made, ThreadedLength)  # a threaded step
        return made.near.mouth_radius_mm or 0.0
    if own.flat is not None:
        return own.flat - own.diameter / 2
    across = own.hexagon or own.square
    return across / 2 if across is not None else own.diameter / 2 - (own.chamfer or 0.0)


def raised_thread(made: ThreadedLength, height: float) -> ThreadedLength:
    """Give a thread that starts at a height (mm), its ends with it; its helix keeps the frame's origin."""
    ends = (
        end._replace(
            height_mm=end.height_mm + height,
            cut=end.cut._replace(axial=end.cut.axial + height),
            turned=tuple((radius, z + height) for radius, z in end.turned),
        )
        for end in made.ends
    )
    near, far = ends
    return made._replace(near=near, far=far)

"""Where a thread begins and ends: the record of a threaded rod or bore, checked before anything is built.

A 45 degree end is a cone that starts from a plain circle beyond the thread's root (a rod) or major diameter
(a bore), so that nothing turned beside the thread ever crosses its spiral. A journal meets the thread's
relief cone in a plain ring.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from geometry.errors import ShapeError
from geometry.outlines import Outline
from geometry.threads import Thread

EndForm = Literal["plain", "chamfered"]
RadiusHeight = tuple[float, float]

MOST_TURNS = 1000
# Both from common practice, no source: how far a cone reaches past the outline, and the least full crest.
CONE_BEYOND_PITCHES = 0.1
LEAST_CREST_PITCHES = 0.1


class Groove(NamedTuple):
    """A groove turned into a journal (mm): from the journal's shoulder to it, its width, its diameter."""

    start_mm: float
    width_mm: float
    diameter_mm: float


class Journal(NamedTuple):
    """A plain turned end beside the thread (mm), its free edge chamfered at 45 degrees if wanted."""

    diameter_mm: float
    length_mm: float
    chamfer_mm: float = 0.0
    groove: Groove | None = None


class Cut(NamedTuple):
    """The surface z = axial + slope r that ends a thread (mm): slope 0 a plane, +1 or -1 a cone."""

    axial: float
    slope: float

    def height(self, radius: float) -> float:
        """Axial place (mm) at a radius (mm)."""
        return self.axial + self.slope * radius


class ThreadEnd(NamedTuple):
    """One end of a thread: its height, its cut, the circle its cone starts from, what is turned beside it.

    A plain end has no circle. `turned` lists the corners (radius, z) from the circle to the axis, with a
    plane, cylinder or cone between each two.
    """

    height_mm: float
    cut: Cut
    mouth_radius_mm: float | None = None
    turned: tuple[RadiusHeight, ...] = ()


class ThreadedLength(NamedTuple):
    """A stretch of thread between two ends: of a rod (outline external) or of a bore (internal), in mm.

    The thread's axial origin is z = 0 for both, so that a bore's thread mates with a rod's in one frame.
    """

    thread: Thread
    outline: Outline
    near: ThreadEnd
    far: ThreadEnd

    @property
    def ends(self) -> tuple[ThreadEnd, ThreadEnd]:
        """The near end and the far end."""
        return self.near, self.far

    @property
    def length_mm(self) -> float:
        """From the near to the far end of the thread, cones included."""
        return self.far.height_mm - self.near.height_mm


def cone_beyond(thread: Thread) -> float:
    """How far (mm) an end cone reaches past root or internal major radius: 0.1 of the pitch, or of a depth.

    The depth counts twice: it is less than half the pitch in ball screws of a long lead, whose ends would
    else be cut away. Source: common practice, no source.
    """
    return CONE_BEYOND_PITCHES * min(thread.pitch_mm, thread.major_diameter_mm - thread.root_diameter_mm)


def threaded_rod(
    thread: Thread,
    length_mm: float,
    *,
    ends: EndForm = "plain",
    near_journal: Journal | None = None,
    far_journal: Journal | None = None,
    near_tip: Journal | None = None,
    far_tip: Journal | None = None,
    clear_of: tuple[float | None, float | None] = (None, None),
) -> ThreadedLength:
    """A threaded rod from z = 0 to its length (mm), relief cones included; journals lie beyond.

    An end with a journal has a relief cone down to 0.1 pitch below the root and then the journal's plain
    ring, beyond it perhaps a tip; `ends` forms the others. `clear_of` gives the radii (mm) of what is joined
    to the near and the far end later: such an end has a cone that stays clear of that radius. Raises
    ShapeError for a length, journal or number of turns that makes no rod. Source of the relief: common
    practice, no source.
    """
    _must_have_length(thread, length_mm)
    steps = {
        "near_journal": near_journal,
        "near_tip": near_tip,
        "far_journal": far_journal,
        "far_tip": far_tip,
    }
    for field, journal in steps.items():
        if journal is not None:
            _must_be_a_journal(journal, field)
    near = _rod_end(thread, 0.0, -1, ends, _given(near_journal, near_tip), clear_of[0])
    far = _rod_end(thread, length_mm, +1, ends, _given(far_journal, far_tip), clear_of[1])
    made = ThreadedLength(thread, thread.external, near, far)
    _must_leave_a_crest(made, thread.external.largest_radius_mm)
    return made


def threaded_bore(thread: Thread, z0: float, z1: float, *, ends: EndForm = "plain") -> ThreadedLength:
    """A threaded bore from z0 to z1 (mm); chamfered ends are 45 degree countersinks.

    A countersink starts 0.1 pitch outside the internal major diameter (common practice, no source). Raises
    ShapeError for a length or number of turns that makes no bore.
    """
    _must_have_length(thread, z1 - z0)
    mouth = thread.internal.largest_radius_mm + cone_beyond(thread)
    if ends == "plain":
        near, far = (ThreadEnd(z, Cut(z, 0.0)) for z in (z0, z1))
    else:
        near = ThreadEnd(z0, Cut(z0 + mouth, -1.0), mouth)
        far = ThreadEnd(z1, Cut(z1 - mouth, 1.0), mouth)
    made = ThreadedLength(thread, thread.internal, near, far)
    _must_leave_a_crest(made, thread.internal.smallest_radius_mm)
    return made


def _given(*steps: Journal | None) -> tuple[Journal, ...]:
    return tuple(step for step in steps if step is not None)


def _rod_end(
    thread: Thread, z: float, outward: int, form: EndForm, steps: tuple[Journal, ...], clear_of: float | None
) -> ThreadEnd:
    if not steps and clear_of is None and form == "plain":
        return ThreadEnd(z, Cut(z, 0.0))
    mouth = _mouth_radius(thread, steps[0] if steps else None, clear_of)
    cut = Cut(z + outward * mouth, -float(outward))
    corners, here = [(mouth, z)], z
    for step in steps:
        corners += [(radius, here + outward * along) for radius, along in _step_corners(step)]
        here += outward * step.length_mm
    return ThreadEnd(z, cut, mouth, tuple(dict.fromkeys([*corners, (0.0, here)])))


def _step_corners(step: Journal) -> list[tuple[float, float]]:
    """Corners (radius, distance from the shoulder) of a turned step from its shoulder to its free end."""
    radius, length, chamfer = step.diameter_mm / 2, step.length_mm, step.chamfer_mm
    corners = [(radius, 0.0)]
    if step.groove is not None:
        start, end, low = (
            step.groove.start_mm,
            step.groove.start_mm + step.groove.width_mm,
            step.groove.diameter_mm / 2,
        )
        corners += [(radius, start), (low, start), (low, end), (radius, end)]
    return [*corners, (radius, length - chamfer), (radius - chamfer, length)]


def _mouth_radius(thread: Thread, journal: Journal | None, clear_of: float | None) -> float:
    """Radius where the cone ends: below the root, flush with a journal that is within 0.02 pitch of it."""
    root = thread.external.smallest_radius_mm
    mouth = root - cone_beyond(thread)
    if mouth <= 0:
        raise ShapeError(
            f"the end cone of {thread.designation} would reach radius {mouth:.3f} mm",
            "take plain ends, or a thread with a larger root diameter",
        )
    flush = 0.02 * thread.pitch_mm
    if clear_of is not None:
        return mouth - 2 * flush if abs(clear_of - mouth) < flush else mouth
    return journal.diameter_mm / 2 if journal and abs(journal.diameter_mm / 2 - mouth) < flush else mouth


def _must_have_length(thread: Thread, length_mm: float) -> None:
    if not (length_mm > 0 and math.isfinite(length_mm)):
        raise ShapeError(
            f"thread length is {length_mm:g} mm, it must be above 0",
            f"give a length of at least one pitch, {thread.pitch_mm:g} mm",
            "length",
        )
    turns = length_mm / thread.lead_mm
    if turns > MOST_TURNS + 1e-9:
        raise ShapeError(
            f"{length_mm:g} mm of {thread.designation} have {turns:.1f} turns, "
            f"at most {MOST_TURNS} can be built",
            f"shorten it to {MOST_TURNS * thread.lead_mm:g} mm or take a larger lead",
            "length",
        )


def _must_be_a_journal(journal: Journal, field: str) -> None:
    for name in ("diameter_mm", "length_mm"):
        value = getattr(journal, name)
        if not (value > 0 and math.isfinite(value)):
            raise ShapeError(
                f"journal {name.removesuffix('_mm')} is {value:g} mm, it must be above 0",
                "leave the journal out or give its size",
                field,
            )
    most = min(journal.diameter_mm / 2, journal.length_mm)
    if not 0 <= journal.chamfer_mm < most:
        raise ShapeError(
            f"journal chamfer is {journal.chamfer_mm:g} mm, it must be 0 or more and below {most:g}",
            f"take {0.1 * most:.2g} mm",
            field,
        )
    groove = journal.groove
    if groove is not None:
        end = groove.start_mm + groove.width_mm
        if not (0 <= groove.start_mm < end <= journal.length_mm - journal.chamfer_mm):
            raise ShapeError(
                f"a groove from {groove.start_mm:g} to {end:g} mm does not lie on a journal of "
                f"{journal.length_mm:g} mm",
                f"move it to {max(journal.length_mm - journal.chamfer_mm - groove.width_mm, 0):g} mm or less",
                field,
            )
        if not 0 < groove.diameter_mm < journal.diameter_mm:
            raise ShapeError(
                f"a groove of {groove.diameter_mm:g} mm cuts nothing out of {journal.diameter_mm:g} mm",
                "give it a smaller diameter",
                field,
            )


def _must_leave_a_crest(made: ThreadedLength, crest_radius: float) -> None:
    """Both cones must end before they meet at the crest."""
    crest = made.far.cut.height(crest_radius) - made.near.cut.height(crest_radius)
    least = LEAST_CREST_PITCHES * made.thread.pitch_mm
    if crest < least - 1e-9:
        cones = made.length_mm - crest
        raise ShapeError(
            f"the ends take {cones:.3f} of {made.length_mm:g} mm of {made.thread.designation} "
            f"and leave {crest:.3f} mm of full thread, at least {least:.3f} is needed",
            f"lengthen the thread to {math.ceil((cones + least) * 100) / 100:g} mm"
            + (" or take plain ends" if cones > 1e-9 else ""),
            "length",
        )

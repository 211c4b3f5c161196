"""The thread of a design's screw, however the file gives it, and its size in the solids."""

from __future__ import annotations

from typing import TYPE_CHECKING

from geometry.threads import Thread, family_thread, thread

if TYPE_CHECKING:
    from geometry.design_parts import Nut, Screw
    from geometry.design_thread import OwnOutline


def thread_of(screw: Screw) -> Thread:
    """Basic sizes (mm) of a screw's thread: by designation, by family with its fields, or its own outline.

    Raises InputError for a thread that cannot be. Source: the record's own.
    """
    if screw.outline is not None:
        return _own(screw.outline)
    given = screw.family
    if given is None:
        return thread(screw.thread)
    return family_thread(
        given.name,
        given.diameter,
        given.pitch,
        starts=given.starts,
        hand=given.hand,
        form=given.form,
        ball_mm=given.ball_diameter,
        conformity=given.conformity,
        contact_angle_deg=given.contact_angle,
    )


def _own(given: OwnOutline) -> Thread:
    from geometry.own_thread import outline_thread, symmetric_points

    points = given.points
    if points is None:
        assert given.depth is not None  # the section asks for these three
        assert given.crest is not None
        assert given.flank_angle is not None
        back = given.flank_angle if given.back_flank_angle is None else given.back_flank_angle
        points = symmetric_points(given.pitch, given.depth, given.crest, (given.flank_angle, back))
    return outline_thread(
        given.diameter,
        given.pitch,
        points,
        radii_mm=given.radii or (),
        clearance_mm=given.clearance,
        starts=given.starts,
        hand=given.hand,
    )


def solid_thread(screw: Screw, part: Screw | Nut) -> Thread:
    """The thread that the solid of a part, the screw or its nut, is made to: nominal or at a limit (mm).

    Raises InputError for a class that the thread's family does not have. Source: `thread_limits.sized`.
    """
    made = thread_of(screw)
    if part.solid_size == "nominal":
        return made
    from geometry.thread_limits import sized

    return sized(made, part.tolerance_class or "", part.solid_size)

"""The groove of a ball screw over one pitch: two arcs that meet in a point (gothic), or one circular arc.

All follows from the ball: its circle, its diameter, how closely the arcs fit it and at which angle it bears.
Terms as in ISO 3408-1 (from memory).
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from geometry.errors import InputError, Problem
from geometry.outlines import Corner, Outline, outline
from geometry.thread_families import Groove

Form = Literal["gothic", "arc"]

LEAST_LAND = 0.02  # of the pitch, between two grooves; common practice, no source


class GrooveShape(NamedTuple):
    """Both members' outlines and their radii (mm)."""

    external: Outline
    internal: Outline
    land_mm: float
    """Radius of the screw's lands; the nut's lie as far outside the ball circle as these inside."""
    root_mm: float
    """Radius at the bottom of the screw's groove."""
    contact_mm: float
    """Radius at which the balls bear on the screw."""


def groove_shape(
    groove: Groove, form: Form, ball_mm: float, circle_radius_mm: float, pitch_mm: float
) -> GrooveShape:
    """Outlines of screw and nut around balls of a diameter on a circle (mm), the screw's land at s = 0.

    An arc's centre stands opposite to the contact, a conformity's excess over half a ball from the ball's
    own centre; in the circular form it stands in the middle. Raises InputError where the ball does not fit.
    Source: geometry of the osculating arcs; terms of ISO 3408-1, from memory.
    """
    _must_hold_the_ball(groove, ball_mm)
    arc = groove.conformity * ball_mm
    excess, angle = arc - ball_mm / 2, math.radians(groove.contact_angle_deg)
    aside = excess * math.sin(angle) if form == "gothic" else 0.0
    above = excess * math.cos(angle)
    land = groove.land * ball_mm
    half = math.sqrt(arc**2 - (land + above) ** 2) - aside
    depth = math.sqrt(arc**2 - aside**2) - above
    if 2 * half > (1 - LEAST_LAND) * pitch_mm:
        most = ball_mm * (1 - LEAST_LAND) * pitch_mm / (2 * half)
        raise InputError(
            Problem(
                f"balls of {ball_mm:g} mm make a groove {2 * half:.3f} mm wide, which leaves no land at "
                f"a pitch of {pitch_mm:g} mm",
                f"take balls of at most {math.floor(most * 1000) / 1000:g} mm or a larger pitch",
            )
        )

    def member(inward: int) -> Outline:
        """The land across s = 0, then the groove; both as heights towards or away from the axis."""
        on, bottom = circle_radius_mm - inward * land, circle_radius_mm - inward * depth
        low, middle, high = pitch_mm / 2 - half, pitch_mm / 2, pitch_mm / 2 + half
        centre = circle_radius_mm + inward * above
        share = (half + aside) / 2 if form == "gothic" else half / 2

        def at(s: float) -> float:
            return centre - inward * math.sqrt(arc**2 - s**2)

        if form == "gothic":
            walls = [
                Corner((middle, bottom), (middle + aside - share, at(share))),
                Corner((high, on), (middle - aside + share, at(share))),
            ]
        else:
            walls = [Corner((high, on), (middle, bottom))]
        return outline((-low, on), [Corner((low, on)), *walls])

    contact = circle_radius_mm - ball_mm / 2 * math.cos(angle)
    return GrooveShape(member(1), member(-1), circle_radius_mm - land, circle_radius_mm - depth, contact)


def _must_hold_the_ball(groove: Groove, ball_mm: float) -> None:
    if groove.conformity <= 0.5:
        raise InputError(
            Problem(
                f"a conformity of {groove.conformity:g} makes a groove of radius "
                f"{groove.conformity * ball_mm:.4g} mm, no larger than the ball's {ball_mm / 2:.4g} mm",
                "take a conformity above 0.5; 0.52 to 0.58 are usual",
            )
        )
    deepest = 0.5 * math.cos(math.radians(groove.contact_angle_deg))
    if groove.land >= deepest:
        raise InputError(
            Problem(
                f"at a contact angle of {groove.contact_angle_deg:g} degrees the balls would bear on the "
                "edge of the groove",
                f"take a contact angle below {math.degrees(math.acos(2 * groove.land)):.0f} degrees",
            )
        )

"""The balls of a ball nut: where they lie in the groove, and what keeps them from being shown (mm)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from geometry.errors import Problem
from geometry.frames import stations_of
from geometry.screw_thread import thread_of

if TYPE_CHECKING:
    from geometry.bodies import Point
    from geometry.design import Design
    from geometry.threads import Thread

APART = 1.05  # ball diameters from ball to ball along the groove; common practice, no source


def ball_centres(design: Design) -> tuple[Point, ...]:
    """Give the centres of the loaded balls at s = 0 (mm), the middle of their turns in the nut's middle.

    Empty where no balls are to be shown or the nut has no place. The circuit back is an envelope, its balls
    are not shown.
    """
    at, balls, made = stations_of(design), design.nut.balls, thread_of(design.screw)
    if balls is None or not balls.shown or at.nut_near is None or at.nut_far is None:
        return ()
    diameter, turns = made.ball_diameter_mm, balls.turns
    if diameter is None or turns is None:
        return ()
    radius, per_mm = made.pitch_diameter_mm / 2, math.tau / made.lead_mm
    start = at.thread_start + _groove_middle(made)
    middle = per_mm * ((at.nut_near + at.nut_far) / 2 - start)
    step = APART * diameter / math.hypot(radius, 1.0 / per_mm)
    half = math.floor(math.pi * turns / step)
    hand = 1.0 if made.hand == "right" else -1.0
    angles = (middle + step * index for index in range(-half, half + 1))
    return tuple(
        (radius * math.cos(angle), hand * radius * math.sin(angle), start + angle / per_mm)
        for angle in angles
    )


def _groove_middle(made: Thread) -> float:
    """The place along one pitch where the screw's groove is deepest (mm)."""
    shares = np.linspace(0.0, 1.0, 65)
    points = np.concatenate([piece.at(shares) for piece in made.external.pieces])
    deepest = points[points[:, 1] <= points[:, 1].min() + 1e-9 * made.pitch_mm]
    return float(deepest[:, 0].mean())


def ball_solids(design: Design) -> tuple[Any, ...]:
    """Build the balls that are shown (TopoDS_Solid each, mm, s = 0)."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeSphere
    from OCP.gp import gp_Pnt

    diameter = thread_of(design.screw).ball_diameter_mm or 0.0
    return tuple(BRepPrimAPI_MakeSphere(gp_Pnt(*at), diameter / 2).Solid() for at in ball_centres(design))


def ball_problems(design: Design) -> Iterator[Problem]:
    """Give what keeps the balls from being shown, or their return from standing on the nut."""
    nut, balls, made = design.nut, design.nut.balls, thread_of(design.screw)
    if balls is None:
        return
    if balls.shown and made.ball_diameter_mm is None:
        yield Problem(
            f"balls are to be shown, but {made.designation} is no ball groove",
            "leave shown out, or take the thread of a ball screw",
            field="nut.balls.shown",
        )
    elif balls.shown and balls.turns is None:
        yield Problem("balls are to be shown, but not how many turns", "give turns", field="nut.balls.turns")
    elif balls.shown and balls.turns is not None and made.ball_diameter_mm is not None:
        needed = balls.turns * made.lead_mm + made.ball_diameter_mm
        if needed > nut.length:
            most = (nut.length - made.ball_diameter_mm) / made.lead_mm
            yield Problem(
                f"{balls.turns:g} turns of balls take {needed:.4g} mm, the nut has {nut.length:g} mm",
                f"write turns = {math.floor(most * 100) / 100:g} or fewer" if most > 0 else "a longer nut",
                field="nut.balls.turns",
            )
    yield from _return_problems(design)


def _return_problems(design: Design) -> Iterator[Problem]:
    nut, cap = design.nut, design.nut.balls.cap if design.nut.balls else None
    if cap is None:
        return
    body = nut.length - (nut.flange_thickness or 0.0)
    if nut.kind == "square" or nut.across_flats is not None or nut.key is not None:
        yield Problem(
            "the return stands on a round body, this one has flats or a key",
            "leave out the return's cap, or flats and key",
            field="nut.balls.cap",
        )
    elif nut.body_diameter is not None and cap.width >= nut.body_diameter:
        yield Problem(
            f"a return {cap.width:g} mm wide does not stand on a body of {nut.body_diameter:g} mm",
            f"write a width below {nut.body_diameter:g} mm",
            field="nut.balls.cap.width",
        )
    elif cap.length >= body:
        yield Problem(
            f"a return {cap.length:g} mm long is no shorter than the body of {body:g} mm",
            f"write a length below {body:g} mm",
            field="nut.balls.cap.length",
        )

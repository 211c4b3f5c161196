"""Two gears in mesh, decided on their outlines while they turn through a pitch: backlash and overlap (mm).

Every point of one outline is looked up in the other gear's polar form (half a tooth's angle over the radius),
and the other way round, so flanks, tips and fillets all count. No kernel boolean has a say.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.gear_teeth import Array, Complex, GearTeeth

POSITIONS = 32
OVERLAP_MM = 1e-6  # above the rounding of the outlines, far below what can be made


@dataclass(frozen=True)
class MeshPlay:
    """What two gears have between their flanks over one pitch: normal backlash, least gap in the middle (mm).

    The gap is that of gears standing in the middle of their backlash; below 0 they overlap by as much.
    """

    least_backlash: float
    most_backlash: float
    least_gap: float

    @property
    def overlap(self) -> float:
        """How deep the teeth cut into one another (mm), 0 if they do not."""
        return -self.least_gap if self.least_gap < -OVERLAP_MM else 0.0


def mesh_play(
    pinion: GearTeeth, wheel: GearTeeth, centre_distance: float, positions: int = POSITIONS
) -> MeshPlay:
    """Turn a pinion with a wheel, or with a ring, through one tooth pitch (mm); see `MeshPlay`.

    The pinion's points tell how far the wheel may turn, the wheel's how far the pinion; both count times the
    base radius, which is the travel along the line of contact.
    """
    steps = np.arange(positions) / positions
    forth, back = _freedom(pinion, wheel, centre_distance, steps, of="pinion")
    other_forth, other_back = _freedom(pinion, wheel, centre_distance, steps, of="wheel")
    if wheel.internal:  # seen from the planet the ring turns the other way
        other_forth, other_back = other_back, other_forth
    forth, back = np.minimum(forth, other_forth), np.minimum(back, other_back)
    both = forth + back
    gap = float(np.minimum(forth, back).min())
    return MeshPlay(float(both.min()), float(both.max()), gap)


def tooth_angle_of_wheel(pinion_offset: float, wheel: GearTeeth) -> float:
    """Give the angle (rad) of a tooth of the wheel in mesh with a pinion that stands at centre 0.

    The pinion's tooth stands `pinion_offset` pitches off the line to the wheel, counter-clockwise; the
    wheel's angle is told at its own centre, at angle 0 of the pinion, or behind it for a ring.
    """
    if wheel.internal:
        return (pinion_offset + 0.5) * wheel.pitch
    return math.pi - (pinion_offset + 0.5) * wheel.pitch


def _freedom(
    pinion: GearTeeth,
    wheel: GearTeeth,
    centre_distance: float,
    steps: Array,
    *,
    of: Literal["pinion", "wheel"],
) -> tuple[Array, Array]:
    """How far (mm on the base circle) the other gear may turn either way until it meets this one's points."""
    centre = -centre_distance if wheel.internal else centre_distance
    pinion_angles = steps * pinion.pitch
    wheel_angles = np.array([tooth_angle_of_wheel(step, wheel) for step in steps])
    if of == "pinion":
        points = _near_points(pinion, wheel, centre_distance)
        seen = points * np.exp(1j * pinion_angles)[:, None] - centre
        return _play_of(wheel, seen * np.exp(-1j * wheel_angles)[:, None])
    towards = 1.0 if wheel.internal else -1.0
    points = towards * _near_points(wheel, pinion, centre_distance)
    # The points face the pinion whatever the tooth's angle is; what is left of it is its share of a pitch.
    angles = wheel_angles - (0.0 if wheel.internal else math.pi)
    seen = points * np.exp(1j * angles)[:, None] + centre
    return _play_of(pinion, seen * np.exp(-1j * pinion_angles)[:, None])


def _near_points(gear: GearTeeth, other: GearTeeth, centre_distance: float) -> Complex:
    """Outline points of the teeth around angle 0 that can reach into the other gear's tip circle."""
    reach = _reach(gear, other, centre_distance)
    count = min(math.ceil(reach / gear.pitch) + 1, gear.teeth // 2)
    half = gear.half_outline()
    tooth = np.concatenate((np.conj(half[:0:-1]), half))
    offsets = np.arange(-count, count + 1) * gear.pitch
    points: Complex = (tooth[None, :] * np.exp(1j * offsets)[:, None]).ravel()
    return points


def _reach(gear: GearTeeth, other: GearTeeth, centre_distance: float) -> float:
    """Angle (rad) at this gear's centre where the two tip circles cross."""
    own, their = gear.tip_radius, other.tip_radius
    cosine = (centre_distance**2 + own**2 - their**2) / (2.0 * centre_distance * own)
    if other.internal:  # the ring's centre lies behind
        cosine = -cosine
    return math.acos(min(max(cosine, -1.0), 1.0))


def _play_of(gear: GearTeeth, points: Complex) -> tuple[Array, Array]:
    """How far a gear may turn forth and back (mm on its base circle) before it meets points (steps, n)."""
    half = gear.half_angle(np.abs(points))
    around = np.angle(points) % gear.pitch
    forth = np.where(np.isneginf(half), np.inf, around - half)
    back = np.where(np.isneginf(half), np.inf, gear.pitch - around - half)
    return forth.min(axis=1) * gear.base_radius, back.min(axis=1) * gear.base_radius

"""The teeth of one spur gear or ring: radii, thickness at every radius, outline with its root fillet (mm).

External gears have the fillet that a rack cutter (ISO 53) leaves, a trochoid; a ring, which no rack can cut,
has a circular arc between flank and root circle. Plane points are complex numbers x + iy with the gear's
centre at 0 and the middle of a tooth on the x axis; half a tooth runs from there to the middle of a space.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from numpy.polynomial import Chebyshev

from geometry.errors import ShapeError
from geometry.involute import roll_length, span_measurement, tooth_thickness

Array = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]

ADDENDUM = 1.0
DEDENDUM = 1.25  # ISO 53, profile A (from memory)
RACK_FILLET = 0.38  # the largest of ISO 53 profile A (from memory)
RING_FILLET = 0.2  # modules, our own choice: clear of the planet's tip and easy to cut or erode
LEAST_RACK_LAND = 0.02  # modules left flat at the cutter's tip, half of it; keeps the root an arc
LEAST_ANGLE, MOST_ANGLE = math.radians(14.0), math.radians(30.0)
TABLE_POINTS = 2000
FILLET_NODES = 24  # integrates a fillet to rounding


@dataclass(frozen=True)
class Rack:
    """The cutter's tooth for a pressure angle (rad), in modules: tip radius, its centre, straight depth."""

    fillet: float
    centre: float
    straight: float

    @property
    def depth_of_centre(self) -> float:
        """How deep below the reference line the tip radius has its centre."""
        return DEDENDUM - self.fillet


def rack(pressure_angle: float) -> Rack:
    """Give the basic rack of ISO 53, its tip radius kept to what the tip has room for at this angle (rad)."""
    sine, tangent, cosine = math.sin(pressure_angle), math.tan(pressure_angle), math.cos(pressure_angle)
    room = math.pi / 4 - DEDENDUM * tangent - LEAST_RACK_LAND
    fillet = min(RACK_FILLET, (DEDENDUM - ADDENDUM) / (1.0 - sine), room / (1.0 / cosine - tangent))
    centre = math.pi / 4 - (DEDENDUM - fillet) * tangent - fillet / cosine
    return Rack(fillet, centre, DEDENDUM - fillet * (1.0 - sine))


def least_shift(teeth: int, pressure_angle: float) -> float:
    """Give the least generating shift (modules) without undercut: straight depth less z sin^2(a) / 2."""
    return rack(pressure_angle).straight - teeth * math.sin(pressure_angle) ** 2 / 2.0


@dataclass(frozen=True)
class GearTeeth:
    """The teeth of a gear, or of a ring when internal (mm, rad).

    The shift is the nominal one (modules), which sets centre distance and tips without backlash. `thinning`
    is what a span measurement lacks for backlash; the cutter goes deeper by it (or the ring's spaces wider).
    A ring may have its root where its planets need it, since its cutter is no rack.
    """

    teeth: int
    module: float
    tip_radius: float
    shift: float = 0.0
    pressure_angle: float = math.radians(20.0)
    thinning: float = 0.0
    internal: bool = False
    ring_root_radius: float | None = None

    @property
    def pitch(self) -> float:
        """Angle from tooth to tooth (rad)."""
        return math.tau / self.teeth

    @property
    def base_radius(self) -> float:
        """Radius of the circle that the flanks unroll from (mm)."""
        return self.module * self.teeth / 2.0 * math.cos(self.pressure_angle)

    @property
    def generating_shift(self) -> float:
        """Profile shift as cut (modules), thinning included."""
        deeper = self.thinning / (2.0 * self.module * math.sin(self.pressure_angle))
        return self.shift + (deeper if self.internal else -deeper)

    @property
    def root_radius(self) -> float:
        """Radius of the root circle as cut (mm)."""
        if self.ring_root_radius is not None:
            return self.ring_root_radius
        depth = DEDENDUM if self.internal else -DEDENDUM
        return self.module * (self.teeth / 2.0 + self.generating_shift + depth)

    @cached_property
    def base_half_angle(self) -> float:
        """Half the angle of a tooth on the base circle (rad); of a space, for a ring."""
        at_base = tooth_thickness(
            self.teeth,
            self.module,
            shift=self.generating_shift,
            pressure_angle=self.pressure_angle,
            diameter=2.0 * self.base_radius,
        )
        return at_base / (2.0 * self.base_radius)

    @cached_property
    def ring_fillet(self) -> tuple[float, float]:
        """Give the radius of a ring's fillet (mm), and the angle of its centre from the space's middle (rad).

        The offset of an involute is an involute of a thinner tooth: half the base angle less radius / base.
        """
        radius = RING_FILLET * self.module
        while True:
            roll = roll_length(self.root_radius - radius, self.base_radius) / self.base_radius
            angle = self.base_half_angle - radius / self.base_radius - roll + math.atan(roll)
            if angle * self.root_radius >= LEAST_RACK_LAND * self.module or radius < 1e-3 * self.module:
                return radius, angle
            radius *= 0.8

    @property
    def form_roll(self) -> float:
        """Roll length (mm) where the involute ends in the fillet; below 0 the cutter undercuts it."""
        if self.internal:
            radius, _ = self.ring_fillet
            return roll_length(self.root_radius - radius, self.base_radius) + radius
        sine = math.sin(self.pressure_angle)
        depth = rack(self.pressure_angle).straight - self.generating_shift
        return self.module * (self.teeth / 2.0 * sine - depth / sine)

    @property
    def form_radius(self) -> float:
        """Radius where the involute ends in the fillet (mm)."""
        return math.hypot(self.base_radius, max(self.form_roll, 0.0))

    @property
    def tip_roll(self) -> float:
        """Roll length of the involute at the tip (mm)."""
        return roll_length(self.tip_radius, self.base_radius)

    @property
    def tip_land(self) -> float:
        """Arc of the tooth's tip (mm); below 0 the flanks cross under it."""
        return 2.0 * self.tip_radius * float(self.half_angle(np.array([self.tip_radius]))[0])

    def span(self, spanned: int) -> float:
        """Span measurement across so many teeth (spaces of a ring), as cut (mm)."""
        return span_measurement(
            self.teeth,
            spanned,
            self.module,
            shift=self.generating_shift,
            pressure_angle=self.pressure_angle,
        )

    def flank(self, roll: Array) -> Complex:
        """Points of the half tooth's flank at roll angles (n,) (rad), which are roll length / base radius."""
        unrolled = self.base_radius * (1.0 + 1j * roll) * np.exp(1j * (self.base_half_angle - roll))
        return self._of_space(unrolled) if self.internal else unrolled

    def _of_space(self, points: Complex) -> Complex:
        """Carry points from the frame of a space to that of the tooth before it."""
        carried: Complex = np.exp(1j * math.pi / self.teeth) * np.conj(points)
        return carried

    def fillet(self, share: Array) -> Complex:
        """Points of the half tooth's fillet at shares (n,) of its turn, 0 at the flank, 1 at the root."""
        return self._ring_fillet(share) if self.internal else self._trochoid(share)

    def _trochoid(self, share: Array) -> Complex:
        """Envelope of the rack's tip radius: their common normal always passes through the pitch point."""
        cutter, pitch_radius = rack(self.pressure_angle), self.module * self.teeth / 2.0
        theta = self.pressure_angle + share * (math.pi / 2.0 - self.pressure_angle)
        depth = self.module * (cutter.depth_of_centre - self.generating_shift)
        reach = depth / np.sin(theta)
        turned = (reach * np.cos(theta) - self.module * cutter.centre) / pitch_radius
        from_pitch_point = reach + self.module * cutter.fillet
        points = pitch_radius - from_pitch_point * np.sin(theta) + 1j * from_pitch_point * np.cos(theta)
        return self._of_space(points * np.exp(-1j * turned))

    def _ring_fillet(self, share: Array) -> Complex:
        radius, angle = self.ring_fillet
        centre_radius = self.root_radius - radius
        roll = roll_length(centre_radius, self.base_radius) / self.base_radius
        # The normal of the flank follows the string, which is square to the radius of its tangent point.
        start = self.base_half_angle - radius / self.base_radius - roll + math.pi / 2.0
        turn = start + share * (angle - start)
        return self._of_space(centre_radius * np.exp(1j * angle) + radius * np.exp(1j * turn))

    @cached_property
    def _fillet_table(self) -> tuple[Array, Array]:
        """Radii, rising, and half angles of the tooth along the fillet."""
        points = self.fillet(np.linspace(0.0, 1.0, TABLE_POINTS))
        radii, angles = np.abs(points), np.angle(points)
        return (radii, angles) if self.internal else (radii[::-1], angles[::-1])

    def half_angle(self, radius: Array) -> Array:
        """Half the angle of the tooth (rad) at radii (any shape): inf within the body, -inf off the tip."""
        roll = np.sqrt(np.maximum((radius / self.base_radius) ** 2 - 1.0, 0.0))
        flank = self.base_half_angle - roll + np.arctan(roll)
        sense = -1.0 if self.internal else 1.0
        if self.internal:
            flank = math.pi / self.teeth - flank
        radii, angles = self._fillet_table
        in_fillet = sense * radius < sense * self.form_radius
        made = np.where(in_fillet, np.interp(radius, radii, angles), flank)
        made = np.where(sense * radius < sense * self.root_radius, np.inf, made)
        slack = 1e-12 * self.tip_radius  # a tip corner computed from its own point is still on the tooth
        result: Array = np.where(sense * radius > sense * self.tip_radius + slack, -np.inf, made)
        return result

    @cached_property
    def area(self) -> float:
        """Area inside the outline (mm2): the gear's own; for a ring, what is left open between its teeth.

        Sectors under tip and root, rb^2 (t1^3 - t2^3) / 6 under the involute, the fillet's by integration.
        """
        tip_roll, form_roll = self.tip_roll, max(self.form_roll, 0.0)
        flank = abs(tip_roll**3 - form_roll**3) / (6.0 * self.base_radius)
        nodes, weights = np.polynomial.legendre.leggauss(FILLET_NODES)
        curve = Chebyshev.interpolate(lambda u: self.fillet((u + 1.0) / 2.0), FILLET_NODES)
        fillet = 0.5 * float(weights @ np.imag(np.conj(curve(nodes)) * curve.deriv()(nodes)))
        tip = 0.25 * self.tip_land * self.tip_radius
        end = math.pi / self.teeth - float(np.angle(self.fillet(np.array([1.0]))[0]))
        return 2.0 * self.teeth * (tip + flank + fillet + 0.5 * self.root_radius**2 * end)

    def half_outline(self, along: int = 160) -> Complex:
        """Points from the tip's middle along flank and fillet to the root's middle; `along` on the flank."""
        flank = self.flank(np.linspace(self.tip_roll, max(self.form_roll, 0.0), along) / self.base_radius)
        fillet = self.fillet(np.linspace(0.0, 1.0, along))
        tip = np.abs(flank[0]) * np.exp(1j * np.linspace(0.0, np.angle(flank[0]), along // 8))
        end = np.linspace(np.angle(fillet[-1]), math.pi / self.teeth, along // 8)
        return np.concatenate((tip, flank, fillet[1:], np.abs(fillet[-1]) * np.exp(1j * end[1:])))


def check_teeth(gear: GearTeeth, name: str) -> None:
    """Raise ShapeError for teeth that cannot be made: undercut, pointed, without flank, without root."""
    if not LEAST_ANGLE <= gear.pressure_angle <= MOST_ANGLE:
        raise ShapeError(
            f"{name}: a pressure angle of {math.degrees(gear.pressure_angle):g} deg leaves the rack no tooth",
            "write 14 to 30 deg",
            name,
        )
    if not gear.internal and gear.form_roll < -1e-9 * gear.module:
        needed = gear.shift - gear.generating_shift + least_shift(gear.teeth, gear.pressure_angle)
        raise ShapeError(
            f"{name}: {gear.teeth} teeth with profile shift {gear.shift:g} are undercut",
            f"write a shift of {math.ceil(needed * 1e3) / 1e3:g} or more",
            name,
        )
    if gear.internal and gear.ring_fillet[1] <= 0.0:
        raise ShapeError(
            f"{name}: the spaces run to a point before the root at {gear.root_radius:.4g} mm",
            "shift the profiles less",
            name,
        )
    outward = -1.0 if gear.internal else 1.0
    if outward * (gear.tip_radius - gear.form_radius) < 0.05 * gear.module:
        raise ShapeError(
            f"{name}: a tip at {gear.tip_radius:.4g} mm leaves no flank beyond {gear.form_radius:.4g} mm",
            "shift the profile less, or choose other teeth",
            name,
        )
    if gear.internal and gear.tip_radius < gear.base_radius:
        raise ShapeError(
            f"{name}: the ring's tip at {gear.tip_radius:.4g} mm lies inside its base circle of "
            f"{gear.base_radius:.4g} mm",
            "choose more teeth, or more shift",
            name,
        )
    if gear.tip_land <= 0.0:
        raise ShapeError(
            f"{name}: {gear.teeth} teeth with profile shift {gear.shift:g} are pointed",
            "shift the profile less, or shorten the tip",
            name,
        )

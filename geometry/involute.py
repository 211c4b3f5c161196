"""Involute gear formulas: involute function, thickness, span, working angle, contact ratio (mm, rad).

Gears are spur gears on the basic rack of ISO 53. A ring carries the numbers of the external gear that fills
it: teeth, profile shift and base circle are those, and its tooth is that gear's space.
"""

from __future__ import annotations

import math

from geometry.errors import InputError, Problem

STEEPEST = math.radians(80.0)  # beyond it no gear works, and the inverse would run away
STEPS = 60


def involute(angle: float) -> float:
    """Give inv a = tan a - a of a pressure angle (rad). Source: ISO 21771 (from memory)."""
    return math.tan(angle) - angle


def inverse_involute(value: float) -> float:
    """Give the pressure angle (rad) whose involute is the value (rad), to rounding; Newton's method.

    Raises InputError for a value below 0 or above the involute of 80 deg.
    """
    if not 0.0 <= value <= involute(STEEPEST):
        raise InputError(
            Problem(
                f"no pressure angle up to {math.degrees(STEEPEST):g} deg has the involute {value:.6g}",
                "choose a smaller sum of profile shifts, or one that is less negative",
            )
        )
    # tan a - a is about a^3 / 3: this start lies above the root, where Newton falls towards it.
    angle = min((3.0 * value) ** (1.0 / 3.0), STEEPEST) if value > 0.0 else 0.0
    for _ in range(STEPS):
        slope = math.tan(angle) ** 2
        if slope == 0.0:
            return angle
        step = (involute(angle) - value) / slope
        angle -= step
        if abs(step) <= 1e-16 * angle:
            break
    return angle


def tooth_thickness(
    teeth: int, module: float, *, shift: float = 0.0, pressure_angle: float, diameter: float | None = None
) -> float:
    """Give the arc of a tooth (mm) at a diameter (mm), the reference circle where it is left out.

    s = d (s0 / d0 + inv a0 - inv a), s0 = m (pi / 2 + 2 x tan a0). Source: ISO 21771 (from memory).
    Raises InputError for a diameter below the base circle.
    """
    reference = module * teeth
    at_reference = module * (math.pi / 2.0 + 2.0 * shift * math.tan(pressure_angle))
    if diameter is None:
        return at_reference
    base = reference * math.cos(pressure_angle)
    if diameter < base * (1.0 - 1e-12):
        raise InputError(
            Problem(
                f"{diameter:g} mm lies inside the base circle of {base:g} mm", f"ask for {base:g} or more"
            )
        )
    here = math.acos(min(base / diameter, 1.0))
    return diameter * (at_reference / reference + involute(pressure_angle) - involute(here))


def span_measurement(
    teeth: int, spanned: int, module: float = 1.0, *, shift: float = 0.0, pressure_angle: float
) -> float:
    """Give the base tangent length W over a number of teeth (mm), across spaces for a ring.

    W = m cos a (pi (k - 1/2) + z inv a) + 2 x m sin a. Source: DIN 3960, ISO 21771 (from memory).
    """
    turned = math.pi * (spanned - 0.5) + teeth * involute(pressure_angle)
    return module * (math.cos(pressure_angle) * turned + 2.0 * shift * math.sin(pressure_angle))


def spanned_teeth(teeth: int, *, shift: float = 0.0, pressure_angle: float) -> int:
    """Give the number of teeth to measure across so that the jaws touch near half height; 2 at least.

    The jaws touch at the diameter sqrt(d_b^2 + W^2); it should be near z + 2 x modules.
    Source: that geometry; DIN 3960 has the same rule (from memory).
    """
    base = teeth * math.cos(pressure_angle)
    wanted = math.sqrt(max((teeth + 2.0 * shift) ** 2 - base**2, 0.0))
    one = span_measurement(teeth, 1, shift=shift, pressure_angle=pressure_angle)
    return max(2, round(1.0 + (wanted - one) / (math.pi * math.cos(pressure_angle))))


def working_pressure_angle(shift_sum: float, teeth_sum: int, pressure_angle: float) -> float:
    """Give the working pressure angle (rad) of a pair without backlash.

    inv a_w = 2 tan a (x1 + x2) / (z1 + z2) + inv a; sums of an external pair, ring less planet of an internal
    one. Source: ISO 21771 (from memory). Raises InputError where the shifts leave no such angle.
    """
    value = 2.0 * math.tan(pressure_angle) * shift_sum / teeth_sum + involute(pressure_angle)
    return inverse_involute(value)


def working_centre_distance(shift_sum: float, teeth_sum: int, module: float, pressure_angle: float) -> float:
    """Give the centre distance without backlash (mm); see `working_pressure_angle` for the sums."""
    working = working_pressure_angle(shift_sum, teeth_sum, pressure_angle)
    return module * teeth_sum / 2.0 * math.cos(pressure_angle) / math.cos(working)


def roll_length(radius: float, base_radius: float) -> float:
    """Give the tangent from a point of the involute to the base circle (mm): its radius of curvature."""
    return math.sqrt(max(radius**2 - base_radius**2, 0.0))


def path_of_contact(
    tips: tuple[float, float],
    bases: tuple[float, float],
    centre_distance: float,
    *,
    internal: bool = False,
) -> float:
    """Give the length of the path of contact (mm) of a pinion (first) and a wheel or a ring (second).

    External: T1 + T2 - a sin a_w; internal: T1 - T2 + a sin a_w, T the tangents at the tips; a_w follows
    from the base radii and the centre distance (mm). Source: any text on gears (from memory).
    """
    first, second = (roll_length(tip, base) for tip, base in zip(tips, bases, strict=True))
    legs = bases[1] - bases[0] if internal else bases[0] + bases[1]
    across = math.sqrt(centre_distance**2 - legs**2)
    return first - second + across if internal else first + second - across


def contact_ratio(
    teeth: tuple[int, int],
    tips: tuple[float, float],
    module: float,
    centre_distance: float,
    *,
    pressure_angle: float,
    internal: bool = False,
) -> float:
    """Give the transverse contact ratio: path of contact over base pitch pi m cos a (lengths in mm)."""
    bases = tuple(module * z * math.cos(pressure_angle) / 2.0 for z in teeth)
    path = path_of_contact(tips, (bases[0], bases[1]), centre_distance, internal=internal)
    return path / (math.pi * module * math.cos(pressure_angle))


def mesh_loss_factor(
    teeth: tuple[int, int], approach: float, recess: float, *, internal: bool = False
) -> float:
    """Give the tooth loss factor H_v: the mesh loses friction times this share of its power.

    H_v = pi (1 / z1 +- 1 / z2) (1 - e + e1^2 + e2^2), e1 and e2 the shares of the contact ratio e before and
    after the pitch point. Source: Niemann/Winter, Maschinenelemente 2 (from memory).
    """
    curvature = 1.0 / teeth[0] + (-1.0 if internal else 1.0) / teeth[1]
    return math.pi * curvature * (1.0 - approach - recess + approach**2 + recess**2)

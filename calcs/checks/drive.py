"""Forces over the travel, torques at the screw, efficiency."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from calcs.case import LoadCase
from calcs.check import check, derived
from calcs.finding import Finding, info, over
from calcs.formulas import motion, screw
from geometry.units import Band

G_M_S2 = 9.80665  # standard acceleration of gravity, ISO 80000-3

SHIGLEY = "Shigley, Mechanical Engineering Design 9e, section 8-2"
EQUILIBRIUM = "equilibrium along the screw; guide friction 2 mu F arm / length: common practice, no source"
ZERO, ONE = Band(0.0, 0.0, 0.0), Band(1.0, 1.0, 1.0)


class AxialForces(NamedTuple):
    """Forces along the screw in one load case (N): weight against extending, friction of the guide."""

    name: str
    weight_n: float
    friction_n: Band

    def __str__(self) -> str:
        """Give the case in a line for the report."""
        return f"{self.name}: weight {self.weight_n:.4g} N, friction {self.friction_n.nominal:.4g} N"


@derived()
def axial_forces(
    load_cases: tuple[LoadCase, ...],
    carried_mass_kg: float,
    guide_friction: Band = ZERO,
    guide_length_m: float | None = None,
    guide_arm_m: float = 0.0,
    guide_drag_n: float = 0.0,
) -> tuple[AxialForces, ...]:
    """Weight and guide friction of each load case (N)."""

    def friction(weight_n: float, across_n: float, mu: float) -> float:
        carried = across_n * mu
        if guide_length_m is not None:
            carried += float(motion.moment_friction_n(abs(weight_n), guide_arm_m, guide_length_m, mu))
        return guide_drag_n + carried

    found = []
    for case in load_cases:
        weight, across = (carried_mass_kg * G_M_S2 * part for part in (case.up_axial, case.up_lateral))
        found.append(
            AxialForces(case.name, weight, Band(*(friction(weight, across, mu) for mu in guide_friction)))
        )
    return tuple(found)


@derived()
def steady_force_n(axial_forces: tuple[AxialForces, ...]) -> Band:
    """Force that moves the load against its weight at constant speed, the heaviest load case (N)."""
    return _highest([[abs(f.weight_n) + friction for friction in f.friction_n] for f in axial_forces])


@derived()
def accelerating_force_n(steady_force_n: Band, carried_mass_kg: float, acceleration_m_s2: float) -> Band:
    """The same while the load speeds up (N)."""
    return over(steady_force_n, lambda force: force + carried_mass_kg * acceleration_m_s2)


@derived()
def peak_force_n(
    axial_forces: tuple[AxialForces, ...],
    load_cases: tuple[LoadCase, ...],
    carried_mass_kg: float,
    acceleration_m_s2: float = 0.0,
) -> Band:
    """Highest force at any place, load case and direction, outside forces and acceleration together (N)."""
    return _peak(axial_forces, load_cases, carried_mass_kg * acceleration_m_s2)


def _peak(axial_forces: tuple[AxialForces, ...], load_cases: tuple[LoadCase, ...], inertia_n: float) -> Band:
    rows = []
    for forces, case in zip(axial_forces, load_cases, strict=True):
        against, along = highest_push(case, against=True), highest_push(case, against=False)
        resisting = max(forces.weight_n + against, -forces.weight_n + along)
        rows.append([resisting + friction + inertia_n for friction in forces.friction_n])
    return _highest(rows)


@derived()
def sustained_force_n(axial_forces: tuple[AxialForces, ...], load_cases: tuple[LoadCase, ...]) -> Band:
    """Highest force at any place, load case and direction at constant speed, outside forces too (N)."""
    return _peak(axial_forces, load_cases, 0.0)


@derived()
def lowering_force_n(axial_forces: tuple[AxialForces, ...]) -> Band:
    """What is left of the weight behind the guide's friction (N); negative where friction alone holds it."""
    worst = max(axial_forces, key=lambda f: abs(f.weight_n) - f.friction_n.nominal)
    return over(worst.friction_n, lambda friction: abs(worst.weight_n) - friction)


def highest_push(case: LoadCase, *, against: bool) -> float:
    """Largest outside force against extending, else against retracting (N); overlaps add up."""
    forces = (force for force, _ in stretches(case, -math.inf, math.inf, against=against))
    return max(forces, default=0.0)


def stretches(case: LoadCase, low_m: float, high_m: float, *, against: bool) -> list[tuple[float, float]]:
    """Give force (N) and length (m) of what resists extending, else retracting; overlaps add up."""
    pushes = [push for push in case.pushes if (push.force_n > 0.0) is against]
    ends = sorted({min(max(end, low_m), high_m) for push in pushes for end in (push.low_m, push.high_m)})
    found = []
    for start, end in pairwise(ends):
        force = sum(abs(push.force_n) for push in pushes if push.low_m <= start and end <= push.high_m)
        if force > 0.0:
            found.append((force, end - start))
    return found


def _highest(rows: list[list[float]]) -> Band:
    return Band(*(max(column) for column in zip(*rows, strict=True)))


@derived()
def raising_torque_nm(
    peak_force_n: Band,
    pitch_diameter_m: float,
    lead_m: float,
    friction: Band,
    flank_angle_rad: float,
    collar_friction: Band = ZERO,
    collar_diameter_m: float = 0.0,
    anti_rotation: Band = ONE,
    screw_drag_nm: Band = ZERO,
) -> Band:
    """Torque at the screw under the peak force (N*m), low end with everything low."""

    def torque(force: float, mu: float, collar: float, grown: float, drag: float) -> float:
        thread = (pitch_diameter_m, lead_m, mu, flank_angle_rad)
        loaded = screw.raise_torque_nm(force, *thread, collar, collar_diameter_m)
        return float(loaded) * grown + drag

    return Band(*map(torque, peak_force_n, friction, collar_friction, anti_rotation, screw_drag_nm))


def torque_for(
    force_n: float,
    pitch_diameter_m: float,
    lead_m: float,
    mu: float,
    flank_angle_rad: float,
    collar: float = 0.0,
    collar_diameter_m: float = 0.0,
) -> float:
    """Torque that turns the screw under a force, negative force: along with the motion (N*m)."""
    turn = screw.raise_torque_nm if force_n >= 0.0 else screw.lower_torque_nm
    thread = (pitch_diameter_m, lead_m, mu, flank_angle_rad)
    return float(turn(abs(force_n), *thread, collar, collar_diameter_m))


@derived()
def lowering_torque_nm(
    lowering_force_n: Band,
    pitch_diameter_m: float,
    lead_m: float,
    friction: Band,
    flank_angle_rad: float,
    collar_friction: Band = ZERO,
    collar_diameter_m: float = 0.0,
    screw_drag_nm: Band = ZERO,
) -> Band:
    """Torque that lowers the load (N*m) over force and friction, negative where the load turns the screw."""

    def torque(force: float, mu: float, collar: float, drag: float) -> float:
        thread = (pitch_diameter_m, lead_m, mu, flank_angle_rad)
        return torque_for(-force, *thread, collar, collar_diameter_m) + drag

    low, usual, high = zip(friction, collar_friction, screw_drag_nm, strict=True)
    ends = [
        torque(force, *rubbing)
        for force in (lowering_force_n.low, lowering_force_n.high)
        for rubbing in (low, high)
    ]
    middle = torque(lowering_force_n.nominal, *usual)
    return Band(min(middle, *ends), middle, max(middle, *ends))


@check(
    "drive.force_steady",
    unit="N",
    formula="F = m g |cos| + friction",
    source=EQUILIBRIUM,
    margin_kind="none",
)
def force_steady(steady_force_n: Band, axial_forces: tuple[AxialForces, ...], has_guide: bool) -> Finding:
    """Force to move the load against its weight at constant speed."""
    cases = "; ".join(map(str, axial_forces))
    caution = () if has_guide else ("No [guide] is given: its friction is counted as zero",)
    return info(steady_force_n, cases, cautions=caution)


@check(
    "drive.force_accelerating",
    unit="N",
    formula="F = m (g |cos| + a) + friction",
    source=EQUILIBRIUM,
    margin_kind="none",
)
def force_accelerating(
    accelerating_force_n: Band, carried_mass_kg: float, acceleration_m_s2: float
) -> Finding:
    """Force while the load speeds up."""
    return info(accelerating_force_n)


@check(
    "drive.force_peak",
    unit="N",
    formula="F = max over s of m (g cos + a) + friction + F(s)",
    source=EQUILIBRIUM,
    margin_kind="none",
)
def force_peak(
    peak_force_n: Band, load_cases: tuple[LoadCase, ...], acceleration_m_s2: float | None = None
) -> Finding:
    """Highest force over the travel, outside forces and acceleration together."""
    places = [
        f"{case.name}: {p.force_n:g} N over s {p.low_m * 1e3:g} to {p.high_m * 1e3:g} mm"
        for case in load_cases
        for p in case.pushes
    ]
    ways = (
        "positive forces resist extending, negative ones retracting; each counts on the way that it resists"
    )
    places += [ways] if places else []
    caution = ("No motion.acceleration is given: ramps are not counted",) if acceleration_m_s2 is None else ()
    return info(peak_force_n, "; ".join(places), cautions=caution)


@check(
    "drive.force_lowering",
    unit="N",
    formula="F = m g |cos| - friction",
    source=EQUILIBRIUM,
    margin_kind="none",
)
def force_lowering(lowering_force_n: Band) -> Finding:
    """Force that the load drives the nut with when it is lowered."""
    if lowering_force_n.low > 0.0:
        return info(lowering_force_n, "the weight alone keeps the nut seated")
    if lowering_force_n.high <= 0.0:
        return info(lowering_force_n, "friction of the guide exceeds the weight")
    return info(lowering_force_n, "at its high end friction of the guide exceeds the weight")


@check(
    "drive.lead_angle",
    unit="rad",
    shown="deg",
    formula="tan(lambda) = lead / (pi d2)",
    source=SHIGLEY,
    margin_kind="none",
)
def lead_angle(lead_m: float, pitch_diameter_m: float) -> Finding:
    """Lead angle on the pitch diameter."""
    return info(float(screw.lead_angle_rad(lead_m, pitch_diameter_m)))


@check(
    "drive.efficiency",
    formula="eta = tan(lambda) / tan(lambda + phi'), tan(phi') = mu / cos(alpha)",
    source=f"{SHIGLEY}, eq. 8-4",
    margin_kind="none",
)
def efficiency(lead_m: float, pitch_diameter_m: float, friction: Band, flank_angle_rad: float) -> Finding:
    """Efficiency of the thread over the friction band."""
    return info(over(friction, lambda mu: screw.efficiency(lead_m, pitch_diameter_m, mu, flank_angle_rad)))


@check(
    "drive.raise_torque",
    unit="N*m",
    shown="mN*m",
    formula="T = (F d2 / 2 tan(lambda + phi') + F mu_c d_c / 2) anti-rotation + drag",
    source=f"{SHIGLEY}, eq. 8-5 and 8-6",
    margin_kind="none",
)
def raise_torque(
    raising_torque_nm: Band, peak_force_n: Band, lead_m: float, pitch_diameter_m: float, friction: Band
) -> Finding:
    """Screw torque at the highest force, over the friction band."""
    note = (
        f"{raising_torque_nm.nominal * 1e3:.2f} mN*m at friction {friction.nominal:g}, "
        f"{raising_torque_nm.high * 1e3:.2f} mN*m at {friction.high:g}"
    )
    return info(raising_torque_nm, note)


@check(
    "drive.lower_torque",
    unit="N*m",
    shown="mN*m",
    formula="T = F d2 / 2 tan(phi' - lambda) + F mu_c d_c / 2 + drag",
    source=f"{SHIGLEY}, eq. 8-2 with sec(alpha), and 8-6",
    margin_kind="none",
)
def lower_torque(
    lowering_torque_nm: Band, lowering_force_n: Band, pitch_diameter_m: float, lead_m: float, friction: Band
) -> Finding:
    """Screw torque to lower the load, over the friction band."""
    return info(
        lowering_torque_nm, "negative: the load turns the screw" if lowering_torque_nm.low < 0.0 else ""
    )

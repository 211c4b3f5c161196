"""Running into a hard stop: energy, push, impact with its corners, gear torque, coming free again."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calcs.case import LoadCase
from calcs.cautions import PINCHING, STORED_ENERGY
from calcs.check import check, derived
from calcs.checks.motor import REFERENCE_C, MotorLine
from calcs.finding import Finding, at_most, info
from calcs.formulas import gearing, motor, screw, stops
from geometry.units import Band

YIELD_FACTOR = 2.0  # yield over highest impact; common practice, no source
BREAKAWAY = 4.0 / 3.0  # friction at rest over running friction: Juvinall & Marshek (from memory)
BALANCE = "energy balance of an undamped elastic stop; drive losses: common practice, no source"


@dataclass(frozen=True)
class Hit:
    """One corner of running into a stop: motor speed, force in the stop, torque of the gear."""

    name: str
    friction: float
    motor_rad_s: float
    force_n: float
    torque_nm: float


@dataclass(frozen=True)
class StopDrive:
    """The drive as it runs into a stop; every method takes one corner of friction and gear efficiency."""

    lead_m: float
    pitch_diameter_m: float
    flank_angle_rad: float
    ratio: float
    rotor_kg_m2: float
    turning_kg_m2: float
    carried_kg: float

    def __str__(self) -> str:
        """Give the drive in a line for the report."""
        return f"lead {self.lead_m * 1e3:g} mm, {self.ratio:g}:1, rotor {self.rotor_kg_m2 * 1e7:g} g*cm2"

    def raising_nm(self, force_n: float, mu: float) -> float:
        """Screw torque that pushes with a force (N*m)."""
        thread = (self.lead_m, self.pitch_diameter_m, mu, self.flank_angle_rad)
        return force_n * float(screw.torque_per_force_m(*thread))

    def push_n(self, torque_nm: float, mu: float, efficiency: float) -> float:
        """Force that a motor torque pushes with (N)."""
        at_screw = gearing.output_torque_nm(torque_nm, self.ratio, efficiency)
        return float(
            screw.push_force_n(at_screw, self.pitch_diameter_m, self.lead_m, mu, self.flank_angle_rad)
        )

    def energies_j(self, motor_rad_s: float) -> tuple[float, float, float]:
        """Energy of rotor, of what turns with the screw, and of the load (J)."""
        screw_rad_s = motor_rad_s / self.ratio
        return (
            float(stops.rotational_energy_j(self.rotor_kg_m2, motor_rad_s)),
            float(stops.rotational_energy_j(self.turning_kg_m2, screw_rad_s)),
            float(stops.translational_energy_j(self.carried_kg, screw_rad_s * self.lead_m / math.tau)),
        )

    def arriving_j(self, motor_rad_s: float, mu: float, efficiency: float) -> float:
        """Energy that reaches the stop (J)."""
        thread = screw.efficiency(self.lead_m, self.pitch_diameter_m, mu, self.flank_angle_rad)
        return float(stops.arriving_energy_j(*self.energies_j(motor_rad_s), efficiency, thread))

    def impact_n(
        self, torque_nm: float, motor_rad_s: float, mu: float, efficiency: float, stiffness_n_m: float
    ) -> float:
        """Highest force in the stop (N)."""
        push = self.push_n(torque_nm, mu, efficiency)
        return float(stops.impact_force_n(push, self.arriving_j(motor_rad_s, mu, efficiency), stiffness_n_m))

    def release_nm(self, force_n: float, mu: float, efficiency: float) -> float:
        """Motor torque that frees a screw jammed with a force (N*m); none where it springs back by itself."""
        thread = (self.pitch_diameter_m, self.lead_m, BREAKAWAY * mu, self.flank_angle_rad, 0.0, 0.0)
        at_screw = max(float(screw.lower_torque_nm(force_n, *thread)), 0.0)
        return float(gearing.input_torque_nm(at_screw, self.ratio, efficiency))


@derived()
def stop_drive(
    lead_m: float,
    pitch_diameter_m: float,
    flank_angle_rad: float,
    ratio: float,
    rotor_inertia_kg_m2: float,
    turning_inertia_kg_m2: float,
    carried_mass_kg: float,
) -> StopDrive:
    """The drive as it runs into a stop."""
    thread = (lead_m, pitch_diameter_m, flank_angle_rad, ratio)
    return StopDrive(*thread, rotor_inertia_kg_m2, turning_inertia_kg_m2, carried_mass_kg)


@derived()
def stop_line(motor_line: MotorLine, stop_current_limit_a: float = math.inf) -> MotorLine:
    """The motor as it pushes toward a stop: under the current limit that holds there."""
    return motor_line.limited(stop_current_limit_a)


@derived()
def coldest_ambient_c(load_cases: tuple[LoadCase, ...]) -> float:
    """Lowest ambient temperature of all load cases (degC), 25 degC where none is given."""
    return min((case.ambient_c.low for case in load_cases if case.ambient_c), default=REFERENCE_C)


@derived()
def stop_force_limit_n(stop_strength_n: float) -> float:
    """Force allowed in a stop (N): its yield over 2."""
    return stop_strength_n / YIELD_FACTOR


@derived()
def stall_push_n(
    stop_drive: StopDrive, stop_line: MotorLine, supply_v: Band, friction: Band, gear_efficiency: Band
) -> Band:
    """Push of the stalled motor at the nominal supply (N), from high friction to low with the best gear."""
    torque = stop_line.torque_nm(supply_v.nominal)
    return Band(
        stop_drive.push_n(torque, friction.high, gear_efficiency.nominal),
        stop_drive.push_n(torque, friction.nominal, gear_efficiency.nominal),
        stop_drive.push_n(torque, friction.low, gear_efficiency.high),
    )


@derived()
def impact_corners(
    stop_drive: StopDrive,
    stop_line: MotorLine,
    supply_v: Band,
    friction: Band,
    gear_efficiency: Band,
    motor_speed_rad_s: float,
    stop_stiffness_n_m: float,
    coldest_ambient_c: float,
) -> tuple[Hit, ...]:
    """Corners of a full-power impact at running speed, the nominal one first."""
    top, cold = supply_v.high, coldest_ambient_c
    best, usual = gear_efficiency.high, gear_efficiency.nominal
    corners = [("nominal", friction.nominal, usual, supply_v.nominal, REFERENCE_C)]
    for mu in (friction.low, friction.high):
        corners += [
            (f"friction {mu:g}", mu, usual, supply_v.nominal, REFERENCE_C),
            (f"friction {mu:g}, gear {best:g}", mu, best, supply_v.nominal, REFERENCE_C),
            (f"friction {mu:g}, gear {best:g}, {top:g} V", mu, best, top, REFERENCE_C),
            (f"friction {mu:g}, gear {best:g}, {top:g} V, winding {cold:g} degC", mu, best, top, cold),
        ]
    found = []
    for name, mu, efficiency, supply, winding in corners:
        torque = stop_line.torque_nm(supply, 0.0, min(winding, REFERENCE_C))
        force = stop_drive.impact_n(torque, motor_speed_rad_s, mu, efficiency, stop_stiffness_n_m)
        found.append(Hit(name, mu, motor_speed_rad_s, force, stop_drive.raising_nm(force, mu)))
    return tuple(found)


@derived()
def impact_n(impact_corners: tuple[Hit, ...]) -> Band:
    """Force in the stop (N): lowest corner, nominal, highest corner."""
    forces = [corner.force_n for corner in impact_corners]
    return Band(min(forces), forces[0], max(forces))


@derived()
def lost_control(
    stop_drive: StopDrive,
    motor_line: MotorLine,
    supply_v: Band,
    friction: Band,
    gear_efficiency: Band,
    steady_force_n: Band,
    stop_stiffness_n_m: float,
) -> tuple[Hit, ...]:
    """Corners of an impact with control lost: highest supply, best gear, from low friction on."""
    rows = []
    for mu in friction:
        screw_nm = stop_drive.raising_nm(steady_force_n.nominal, mu)
        shaft_nm = float(gearing.input_torque_nm(screw_nm, stop_drive.ratio, gear_efficiency.high))
        speed = max(motor_line.speed_rad_s(supply_v.high, shaft_nm), 0.0)
        torque = motor_line.torque_nm(supply_v.high)
        force = stop_drive.impact_n(torque, speed, mu, gear_efficiency.high, stop_stiffness_n_m)
        rows.append(Hit(f"friction {mu:g}", mu, speed, force, stop_drive.raising_nm(force, mu)))
    return tuple(rows)


@check(
    "stops.energy",
    unit="J",
    shown="mJ",
    formula="E = (J_rotor omega_m^2 + J_screw omega_s^2 + m v^2) / 2",
    source="mechanics",
    margin_kind="none",
)
def energy(stop_drive: StopDrive, motor_speed_rad_s: float) -> Finding:
    """Kinetic energy of the drive at running speed."""
    rotor, turning, load = stop_drive.energies_j(motor_speed_rad_s)
    total = rotor + turning + load
    return info(total, f"rotor {100 * rotor / total:.0f} %, screw {100 * turning / total:.0f} %")


@check(
    "stops.slow_stall",
    unit="N",
    formula="F0 = T_stall i eta / (d2 / 2 tan(lambda + phi'))",
    source="Shigley 9e, eq. 8-5 solved for the force; yield factor 2: common practice, no source",
    limit="stop_force_limit_n",
)
def slow_stall(stall_push_n: Band, peak_force_n: Band, limit: float | None = None) -> Finding:
    """Push of the stalled motor against a stop, over friction."""
    note = f"the work needs {peak_force_n.nominal:.3g} N"
    if limit is None:
        return info(stall_push_n, f"{note}; no stops.strength to hold it against", cautions=(PINCHING,))
    return at_most(stall_push_n, limit, note=note, cautions=(PINCHING,), remedy="a stops.current_limit")


@check(
    "stops.impact",
    unit="N",
    formula="F = F0 + sqrt(F0^2 + 2 E k), E = (E_rotor eta_gear + E_screw) eta + E_load",
    source=f"{BALANCE}; yield factor 2: common practice, no source",
    limit="stop_force_limit_n",
    asked_by=("stops.strength",),
)
def impact(impact_n: Band, impact_corners: tuple[Hit, ...], limit: float | None = None) -> Finding:
    """Force in the stop hit at running speed under full power, worst corner."""
    note = "; ".join(f"{corner.force_n:.0f} N {corner.name}" for corner in impact_corners[:5])
    remedy = "a stops.current_limit, a softer stop or a lower speed"
    return at_most(impact_n, limit, note=note, cautions=(PINCHING, STORED_ENERGY), remedy=remedy)


@check(
    "stops.control_lost",
    unit="N",
    formula="as stops.impact at the speed where the motor settles under the steady force",
    source=f"{BALANCE}; yield factor 2: common practice, no source",
    limit="stop_force_limit_n",
    asked_by=("stops.strength",),
)
def control_lost(lost_control: tuple[Hit, ...], limit: float | None = None) -> Finding:
    """Force in the stop with control lost: full speed at the highest supply."""
    worst = max(lost_control, key=lambda hit: hit.force_n)
    note = f"motor at {worst.motor_rad_s * 30 / math.pi:.0f} rpm, {worst.name}; a fault, so a WARN at worst"
    remedy = f"stops.strength of {math.ceil(worst.force_n * YIELD_FACTOR)} N, or a softer stop"
    return at_most(worst.force_n, limit, above="WARN", note=note, remedy=remedy, cautions=(PINCHING,))


@check(
    "stops.gear_torque",
    unit="N*m",
    shown="mN*m",
    formula="T = F d2 / 2 tan(lambda + phi')",
    source=f"Shigley 9e, eq. 8-5; {BALANCE}",
    limit="gear_torque_momentary_nm",
    asked_by=("gears.torque_momentary",),
)
def gear_torque(impact_corners: tuple[Hit, ...], limit: float | None = None) -> Finding:
    """Torque of the gear when the stop is hit at running speed."""
    torques = [corner.torque_nm for corner in impact_corners]
    worst = max(impact_corners, key=lambda corner: corner.torque_nm)
    note = f"{torques[0] * 1e3:.0f} mN*m nominal, {worst.torque_nm * 1e3:.0f} mN*m at {worst.name}"
    return at_most(
        Band(min(torques), torques[0], max(torques)),
        limit,
        note=note,
        remedy="a stops.current_limit or a softer stop",
    )


@check(
    "stops.gear_torque_control_lost",
    unit="N*m",
    shown="mN*m",
    formula="T = F d2 / 2 tan(lambda + phi')",
    source=f"Shigley 9e, eq. 8-5; {BALANCE}",
    limit="gear_torque_momentary_nm",
)
def gear_torque_lost(lost_control: tuple[Hit, ...], limit: float | None = None) -> Finding:
    """Torque of the gear at the stop with control lost."""
    torques = sorted(hit.torque_nm for hit in lost_control)
    note = "; ".join(f"{hit.torque_nm * 1e3:.0f} mN*m at {hit.name}" for hit in lost_control)
    words = f"{note}; winding at {REFERENCE_C:g} degC, a colder one pushes harder"
    return at_most(
        Band(torques[0], torques[1], torques[2]), limit, above="WARN", note=words, remedy="a softer stop"
    )


@check(
    "stops.thrust",
    unit="N",
    formula="highest corner of stops.impact",
    source=BALANCE,
    limit="thrust_limit_n",
    asked_by=("ends.thrust_momentary",),
)
def thrust(impact_n: Band, limit: float | None = None) -> Finding:
    """Force at the stop against the thrust bearing's momentary limit."""
    return at_most(impact_n, limit, remedy="a stops.current_limit, a softer stop or a stronger bearing")


@check(
    "stops.nut_force",
    unit="N",
    formula="highest corner of stops.impact",
    source=BALANCE,
    limit="nut_force_limit_n",
    asked_by=("nut.force_momentary",),
)
def nut_force(impact_n: Band, limit: float | None = None) -> Finding:
    """Force at the stop against the nut's momentary limit."""
    return at_most(impact_n, limit, remedy="a stops.current_limit, a softer stop or a stronger nut")


@check(
    "stops.jam_release",
    unit="N*m",
    shown="mN*m",
    formula="T = F d2 / 2 tan(phi'_breakaway - lambda) / (i eta), mu_breakaway = 4/3 mu",
    source=f"Shigley 9e, eq. 8-2; breakaway 4/3: Juvinall & Marshek (from memory); {BALANCE}",
    limit="stall_torque_nm",
)
def jam_release(
    stop_drive: StopDrive,
    stop_line: MotorLine,
    supply_v: Band,
    friction: Band,
    gear_efficiency: Band,
    motor_speed_rad_s: float,
    stop_stiffness_n_m: float,
    stall_torque_nm: float,
    worst_needed_torque_nm: float,
    limit: float | None = None,
) -> Finding:
    """Motor torque to come free after a full-power impact, against its stall torque."""
    eta, torque = gear_efficiency.nominal, stop_line.torque_nm(supply_v.nominal)
    needed, slow, cures = [], [], []
    for mu in friction:
        hit = stop_drive.impact_n(torque, motor_speed_rad_s, mu, eta, stop_stiffness_n_m)
        needed.append(stop_drive.release_nm(hit, mu, eta))
        slow.append(stop_drive.release_nm(stop_drive.push_n(torque, mu, eta), mu, eta))
        cures.append(
            _curing_torque_nm(stop_drive, motor_speed_rad_s, mu, eta, stop_stiffness_n_m, limit or 0.0)
        )
    value = Band(min(needed), needed[1], max(needed))
    note = "may jam: " if limit is not None and value.high > limit else ""
    note += "; ".join(
        f"{nm * 1e3:.1f} mN*m at friction {mu:g}" for mu, nm in zip(friction, needed, strict=True)
    )
    note += (
        f"; after a slow stall {slow[1] * 1e3:.1f} mN*m at friction {friction.nominal:g}; no damping counted"
    )
    return at_most(
        value, limit, above="WARN", note=note, remedy=_cure(min(cures), stop_line, worst_needed_torque_nm)
    )


def _curing_torque_nm(
    drive: StopDrive, motor_rad_s: float, mu: float, efficiency: float, stiffness_n_m: float, stall_nm: float
) -> float:
    """Torque toward the stop that the full stall torque can just undo (N*m); infinite where nothing jams."""
    per_newton = drive.release_nm(1.0, mu, efficiency)
    if per_newton == 0.0:
        return math.inf
    arriving = drive.arriving_j(motor_rad_s, mu, efficiency)
    push = float(stops.push_for_impact_n(stall_nm / per_newton, arriving, stiffness_n_m))
    return float(gearing.input_torque_nm(drive.raising_nm(push, mu), drive.ratio, efficiency))


def _cure(torque_nm: float, line: MotorLine, worst_needed_nm: float) -> str:
    if math.isinf(torque_nm):
        return "a motor with stall torque at this supply"
    if torque_nm <= 0.0:
        return "a softer stop, a lower speed toward the stop or a rotational dog: the energy alone jams it"
    constants = (line.torque_constant_nm_a, line.no_load_current_a)
    limit, work = (float(motor.current_a(nm, *constants)) for nm in (torque_nm, worst_needed_nm))
    limit = math.floor(limit * 100.0) / 100.0
    near = " close to the stops only" if limit < work else ""
    return (
        f"stops.current_limit of {limit:.2f} A or less cures it{near} "
        f"(the work itself takes up to {work:.2f} A), or a softer stop or a rotational dog"
    )

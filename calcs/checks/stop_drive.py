"""The drive as it runs into a hard stop: push, energy, impact and release in any corner."""

from __future__ import annotations

import math
from typing import NamedTuple

from calcs.case import LoadCase
from calcs.check import derived
from calcs.checks.drive import ZERO
from calcs.checks.motor import REFERENCE_C, MotorLine
from calcs.formulas import gearing, screw, stops
from geometry.units import Band

YIELD_FACTOR = 2.0  # yield over highest impact; common practice, no source
BREAKAWAY = 4.0 / 3.0  # friction at rest over running friction: Juvinall & Marshek (from memory)
BALANCE = "energy balance of an undamped elastic stop; drive losses: common practice, no source"


class Slip(NamedTuple):
    """One corner: friction in the thread and at the thrust collar, if any, and drag of nut and seal (N*m)."""

    thread: float
    collar: float = 0.0
    drag_nm: float = 0.0


class Hit(NamedTuple):
    """One corner of running into a stop: motor speed, force in the stop, torque of the gear."""

    name: str
    friction: float
    motor_rad_s: float
    force_n: float
    torque_nm: float


class StopDrive(NamedTuple):
    """The drive as it runs into a stop; every method takes one corner of friction and gear efficiency."""

    lead_m: float
    pitch_diameter_m: float
    flank_angle_rad: float
    ratio: float
    rotor_kg_m2: float
    turning_kg_m2: float
    carried_kg: float
    collar_diameter_m: float = 0.0

    def __str__(self) -> str:
        """Give the drive in a line for the report."""
        return f"lead {self.lead_m * 1e3:g} mm, {self.ratio:g}:1, rotor {self.rotor_kg_m2 * 1e7:g} g*cm2"

    def _rubbing(self, slip: Slip, times: float = 1.0) -> tuple[float, ...]:
        """Give the friction of thread and collar as the formulas of a screw take them, behind the lead."""
        return (times * slip.thread, self.flank_angle_rad, times * slip.collar, self.collar_diameter_m)

    def raising_nm(self, force_n: float, slip: Slip) -> float:
        """Screw torque that pushes with a force (N*m)."""
        return float(screw.raise_torque_nm(force_n, self.pitch_diameter_m, self.lead_m, *self._rubbing(slip)))

    def push_n(self, torque_nm: float, slip: Slip, efficiency: float) -> float:
        """Force that a motor torque pushes with (N), none where it does not even turn the motor."""
        at_screw = gearing.output_torque_nm(max(torque_nm, 0.0), self.ratio, efficiency)
        return float(screw.push_force_n(at_screw, self.pitch_diameter_m, self.lead_m, *self._rubbing(slip)))

    def energies_j(self, motor_rad_s: float) -> tuple[float, float, float]:
        """Energy of rotor, of what turns with the screw, and of the load (J)."""
        screw_rad_s = motor_rad_s / self.ratio
        return (
            float(stops.rotational_energy_j(self.rotor_kg_m2, motor_rad_s)),
            float(stops.rotational_energy_j(self.turning_kg_m2, screw_rad_s)),
            float(stops.translational_energy_j(self.carried_kg, screw_rad_s * self.lead_m / math.tau)),
        )

    def arriving_j(self, motor_rad_s: float, slip: Slip, efficiency: float) -> float:
        """Energy that reaches the stop (J)."""
        thread = screw.efficiency(self.lead_m, self.pitch_diameter_m, *self._rubbing(slip))
        return float(stops.arriving_energy_j(*self.energies_j(motor_rad_s), efficiency, thread))

    def impact_n(
        self, torque_nm: float, motor_rad_s: float, slip: Slip, efficiency: float, stiffness_n_m: float
    ) -> float:
        """Highest force in the stop (N)."""
        push, arriving = (
            self.push_n(torque_nm, slip, efficiency),
            self.arriving_j(motor_rad_s, slip, efficiency),
        )
        return float(stops.impact_force_n(push, arriving, stiffness_n_m))

    def torque_for_impact_nm(
        self, force_n: float, motor_rad_s: float, slip: Slip, efficiency: float, stiffness_n_m: float
    ) -> float:
        """Motor torque toward the stop that gives a force in it (N*m); negative if the energy gives more."""
        arriving = self.arriving_j(motor_rad_s, slip, efficiency)
        push = float(stops.push_for_impact_n(force_n, arriving, stiffness_n_m))
        return float(gearing.input_torque_nm(self.raising_nm(push, slip), self.ratio, efficiency))

    def release_nm(self, force_n: float, slip: Slip, efficiency: float) -> float:
        """Motor torque that frees a screw jammed with a force (N*m); none where it springs back by itself."""
        thread = (self.pitch_diameter_m, self.lead_m, *self._rubbing(slip, BREAKAWAY))
        at_screw = max(float(screw.lower_torque_nm(force_n, *thread)) + slip.drag_nm, 0.0)
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
    collar_diameter_m: float = 0.0,
) -> StopDrive:
    """The drive as it runs into a stop."""
    thread = (lead_m, pitch_diameter_m, flank_angle_rad, ratio)
    masses = (rotor_inertia_kg_m2, turning_inertia_kg_m2, carried_mass_kg)
    return StopDrive(*thread, *masses, collar_diameter_m)


@derived()
def stop_slips(
    friction: Band, collar_friction: Band = ZERO, screw_drag_nm: Band = ZERO
) -> tuple[Slip, Slip, Slip]:
    """Friction of thread and collar with the drag, all low, nominal, all high.

    Toward a stop the drag is left out, since it would only lessen the push; to come free it counts.
    """
    low, nominal, high = map(Slip, friction, collar_friction, screw_drag_nm)
    return low, nominal, high


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
    stop_drive: StopDrive,
    stop_line: MotorLine,
    supply_v: Band,
    stop_slips: tuple[Slip, Slip, Slip],
    gear_efficiency: Band,
) -> Band:
    """Push of the stalled motor at the nominal supply (N), from high friction to low with the best gear."""
    torque = stop_line.torque_nm(supply_v.nominal)
    low, nominal, high = stop_slips
    return Band(
        stop_drive.push_n(torque, high, gear_efficiency.nominal),
        stop_drive.push_n(torque, nominal, gear_efficiency.nominal),
        stop_drive.push_n(torque, low, gear_efficiency.high),
    )


@derived()
def impact_corners(
    stop_drive: StopDrive,
    stop_line: MotorLine,
    supply_v: Band,
    stop_slips: tuple[Slip, Slip, Slip],
    gear_efficiency: Band,
    motor_speed_rad_s: float,
    stop_stiffness_n_m: float,
    coldest_ambient_c: float,
) -> tuple[Hit, ...]:
    """Corners of a full-power impact at running speed, the nominal one first."""
    top, cold = supply_v.high, coldest_ambient_c
    best, usual = gear_efficiency.high, gear_efficiency.nominal
    low, nominal, high = stop_slips
    corners = [("nominal", nominal, usual, supply_v.nominal, REFERENCE_C)]
    for slip in (low, high):
        mu = f"friction {slip.thread:g}"
        corners += [
            (mu, slip, usual, supply_v.nominal, REFERENCE_C),
            (f"{mu}, gear {best:g}", slip, best, supply_v.nominal, REFERENCE_C),
            (f"{mu}, gear {best:g}, {top:g} V", slip, best, top, REFERENCE_C),
            (f"{mu}, gear {best:g}, {top:g} V, winding {cold:g} degC", slip, best, top, cold),
        ]
    found = []
    for name, slip, efficiency, supply, winding in corners:
        torque = stop_line.torque_nm(supply, 0.0, min(winding, REFERENCE_C))
        force = stop_drive.impact_n(torque, motor_speed_rad_s, slip, efficiency, stop_stiffness_n_m)
        found.append(Hit(name, slip.thread, motor_speed_rad_s, force, stop_drive.raising_nm(force, slip)))
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
    stop_slips: tuple[Slip, Slip, Slip],
    gear_efficiency: Band,
    steady_force_n: Band,
    stop_stiffness_n_m: float,
) -> tuple[Hit, ...]:
    """Corners of an impact with control lost: highest supply, best gear, from low friction on."""
    rows = []
    for slip in stop_slips:
        screw_nm = stop_drive.raising_nm(steady_force_n.nominal, slip)
        shaft_nm = float(gearing.input_torque_nm(screw_nm, stop_drive.ratio, gear_efficiency.high))
        speed = max(motor_line.speed_rad_s(supply_v.high, shaft_nm), 0.0)
        torque = motor_line.torque_nm(supply_v.high)
        force = stop_drive.impact_n(torque, speed, slip, gear_efficiency.high, stop_stiffness_n_m)
        mu = slip.thread
        rows.append(Hit(f"friction {mu:g}", mu, speed, force, stop_drive.raising_nm(force, slip)))
    return tuple(rows)

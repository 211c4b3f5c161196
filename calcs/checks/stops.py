"""Running into a hard stop: energy, push, impact with its corners, gear torque, coming free again."""

from __future__ import annotations

import math

from calcs.cautions import PINCHING, STORED_ENERGY
from calcs.check import check
from calcs.checks.motor import REFERENCE_C, MotorLine
from calcs.checks.stop_drive import BALANCE, YIELD_FACTOR, Hit, Slip, StopDrive
from calcs.finding import Finding, at_most, digits, info
from calcs.formulas import motor
from geometry.units import Band


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
    formula="F0 = T_stall i eta / (d2 / 2 tan(lambda + phi') + mu_c d_c / 2)",
    source="Shigley 9e, eq. 8-5 and 8-6 solved for the force; yield factor 2: common practice, no source",
    limit="stop_force_limit_n",
)
def slow_stall(stall_push_n: Band, peak_force_n: Band, limit: float | None = None) -> Finding:
    """Push of the stalled motor against a stop, over friction."""
    note = f"the work needs {digits(peak_force_n.nominal)} N"
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
def impact(
    impact_n: Band,
    impact_corners: tuple[Hit, ...],
    stop_drive: StopDrive,
    stop_line: MotorLine,
    stop_slips: tuple[Slip, Slip, Slip],
    gear_efficiency: Band,
    motor_speed_rad_s: float,
    stop_stiffness_n_m: float,
    limit: float | None = None,
) -> Finding:
    """Force in the stop hit at running speed under full power, worst corner."""
    note = "; ".join(f"{corner.force_n:.0f} N {corner.name}" for corner in impact_corners[:5])
    remedy = f"{_strength(impact_n.high)}, a softer stop or a lower speed"
    if limit is not None:
        best = gear_efficiency.high
        torque = min(
            stop_drive.torque_for_impact_nm(limit, motor_speed_rad_s, slip, best, stop_stiffness_n_m)
            for slip in (stop_slips[0], stop_slips[2])
        )
        if 0.0 < torque < math.inf:  # infinite where the thread locks: then nothing pushes
            remedy = f"stops.current_limit of {_current_a(torque, stop_line):.2f} A, {remedy}"
    return at_most(impact_n, limit, note=note, cautions=(PINCHING, STORED_ENERGY), remedy=remedy)


@check(
    "stops.control_lost",
    unless="no_runaway",
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
    remedy = f"{_strength(worst.force_n)}, or a softer stop"
    return at_most(worst.force_n, limit, above="WARN", note=note, remedy=remedy, cautions=(PINCHING,))


@check(
    "stops.gear_torque",
    unit="N*m",
    shown="mN*m",
    formula="T = F (d2 / 2 tan(lambda + phi') + mu_c d_c / 2)",
    source=f"Shigley 9e, eq. 8-5 and 8-6; {BALANCE}",
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
    unless="no_runaway",
    unit="N*m",
    shown="mN*m",
    formula="T = F (d2 / 2 tan(lambda + phi') + mu_c d_c / 2)",
    source=f"Shigley 9e, eq. 8-5 and 8-6; {BALANCE}",
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
    formula="T = (F (d2 / 2 tan(phi'_b - lambda) + mu_cb d_c / 2) + drag) / (i eta), mu_b = 4/3 mu",
    source=f"Shigley 9e, eq. 8-2 and 8-6; breakaway 4/3: Juvinall & Marshek (from memory); {BALANCE}",
    limit="stall_torque_nm",
)
def jam_release(
    stop_drive: StopDrive,
    stop_line: MotorLine,
    supply_v: Band,
    stop_slips: tuple[Slip, Slip, Slip],
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
    for slip in stop_slips:
        hit = stop_drive.impact_n(torque, motor_speed_rad_s, slip, eta, stop_stiffness_n_m)
        needed.append(stop_drive.release_nm(hit, slip, eta))
        slow.append(stop_drive.release_nm(stop_drive.push_n(torque, slip, eta), slip, eta))
        cures.append(
            _curing_torque_nm(stop_drive, motor_speed_rad_s, slip, eta, stop_stiffness_n_m, limit or 0.0)
        )
    value = Band(min(needed), needed[1], max(needed))
    note = "may jam: " if limit is not None and value.high > limit else ""
    note += "; ".join(
        f"{nm * 1e3:.1f} mN*m at friction {mu:g}" for (mu, *_), nm in zip(stop_slips, needed, strict=True)
    )
    usual = f"{slow[1] * 1e3:.1f} mN*m at friction {stop_slips[1].thread:g}"
    note += f"; after a slow stall {usual}; no damping counted"
    return at_most(
        value, limit, above="WARN", note=note, remedy=_cure(min(cures), stop_line, worst_needed_torque_nm)
    )


def _curing_torque_nm(
    drive: StopDrive, motor_rad_s: float, slip: Slip, efficiency: float, stiffness_n_m: float, stall_nm: float
) -> float:
    """Torque toward the stop that the full stall torque can just undo (N*m); infinite where nothing jams."""
    unloaded = drive.release_nm(0.0, slip, efficiency)
    per_newton = drive.release_nm(1.0, slip, efficiency) - unloaded
    if per_newton <= 0.0 or stall_nm <= unloaded:
        return math.inf
    return drive.torque_for_impact_nm(
        (stall_nm - unloaded) / per_newton, motor_rad_s, slip, efficiency, stiffness_n_m
    )


def _cure(torque_nm: float, line: MotorLine, worst_needed_nm: float) -> str:
    if not math.isfinite(torque_nm):
        return "a motor with stall torque at this supply"
    if torque_nm <= 0.0:
        return "a softer stop, a lower speed toward the stop or a rotational dog: the energy alone jams it"
    limit = _current_a(torque_nm, line)
    if math.isinf(worst_needed_nm):
        return f"stops.current_limit of {limit:.2f} A or less cures it; the work itself locks the drive"
    work = _current_a(worst_needed_nm, line)
    near = " close to the stops only" if limit < work else ""
    return (
        f"stops.current_limit of {limit:.2f} A or less cures it{near} "
        f"(the work itself takes up to {work:.2f} A), or a softer stop or a rotational dog"
    )


def _current_a(torque_nm: float, line: MotorLine) -> float:
    """Current of a torque, rounded down to 0.01 A so that a limit set to it still passes."""
    current = float(motor.current_a(torque_nm, line.torque_constant_nm_a, line.no_load_current_a))
    return math.floor(current * 100.0) / 100.0


def _strength(force_n: float) -> str:
    return f"stops.strength of {force_n * YIELD_FACTOR + 0.5:.0f} N"

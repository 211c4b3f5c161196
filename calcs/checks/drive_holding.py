"""Holding without power: by friction, by a brake, and how far the load sags until then."""

from __future__ import annotations

from calcs.case import LoadCase
from calcs.cautions import FALLING, STORED_ENERGY, VIBRATION
from calcs.check import check, derived
from calcs.checks.drive import SHIGLEY, AxialForces, highest_push, torque_for
from calcs.finding import Finding, at_least, at_most, digits, info, over
from calcs.formulas import gearing, screw
from geometry.units import Band

HOLDS = 1.5  # holding ratio asked at the low end of the friction band; common practice, no source
BRAKE_FACTOR = 1.5  # brake torque over load torque; common practice, no source


@check(
    "drive.holding",
    formula="k = (mu / cos(alpha)) / tan(lambda)",
    source=f"{SHIGLEY}, eq. 8-3; the limit of 1.5 is common practice, no source",
    limit=HOLDS,
    asked_by=("motion.without_power",),
)
def holding(
    lead_m: float,
    pitch_diameter_m: float,
    friction: Band,
    flank_angle_rad: float,
    load_cases: tuple[LoadCase, ...] = (),
    without_power: str | None = None,
    brake_torque_nm: float | None = None,
    ball_dynamic_n: float | None = None,
    limit: float = HOLDS,
) -> Finding:
    """Holding by thread friction without power, judged at the low end of the friction band."""
    ratio = over(friction, lambda mu: screw.holding_ratio(lead_m, pitch_diameter_m, mu, flank_angle_rad))
    threshold = float(screw.threshold_friction(lead_m, pitch_diameter_m, flank_angle_rad))
    note = (
        f"{ratio.low:.3f} at friction {friction.low:g}, {ratio.nominal:.3f} at {friction.nominal:g}; "
        f"the load starts to turn the screw below friction {threshold:.4f}; "
        "friction of the gears is not counted"
    )
    cautions = (FALLING, STORED_ENERGY) if any(abs(case.up_axial) > 1e-9 for case in load_cases) else ()
    if brake_torque_nm is not None:
        return info(ratio, f"{note}; the [brake] is what holds: see drive.brake", cautions=cautions)
    if ball_dynamic_n is not None:
        note += "; a ball screw does not hold by friction: it needs a [brake]"
    if without_power != "hold":
        return info(ratio, f"{note}; holding is not asked (motion.without_power)", cautions=cautions)
    holds = f"friction of {limit * threshold:.4f} or more at its low end"
    if ratio.low > 0.0:
        holds += f", a lead of {digits(lead_m * ratio.low / limit * 1e3)} mm or less"
    remedy = "a [brake]" if ball_dynamic_n is not None else f"{holds}, or a [brake]"
    found = at_least(ratio, limit, fail_below=1.0, cautions=cautions, remedy=remedy, note=note)
    shaken = [f"{case.name}: {case.vibration}" for case in load_cases if case.vibration]
    return _shaken(found, "; ".join(shaken), "" if ball_dynamic_n is not None else holds) if shaken else found


def _shaken(found: Finding, vibration: str, at_rest: str) -> Finding:
    """What holds at rest is not proven to hold under vibration, whatever friction and lead."""
    remedy = "add a [brake] or test"
    if found.verdict == "FAIL":
        remedy = f"a [brake]; without vibration {at_rest} would do" if at_rest else "a [brake]"
    return found._replace(
        verdict="FAIL" if found.verdict == "FAIL" else "NOT PROVEN",
        cautions=(*found.cautions, VIBRATION),
        remedy=remedy,
        note=f"{found.note}; vibration is stated ({vibration})",
    )


@derived()
def resting_force_n(axial_forces: tuple[AxialForces, ...], load_cases: tuple[LoadCase, ...]) -> float:
    """Highest force that pushes the resting nut either way, outside forces too, no guide friction (N)."""
    weights = [(f.weight_n, case) for f, case in zip(axial_forces, load_cases, strict=True)]
    pushed = [
        (w, w + highest_push(case, against=True), w - highest_push(case, against=False))
        for w, case in weights
    ]
    return max(abs(force) for forces in pushed for force in forces)


@derived()
def holding_torque_nm(
    resting_force_n: float,
    pitch_diameter_m: float,
    lead_m: float,
    friction: Band,
    flank_angle_rad: float,
) -> float:
    """Torque that must hold the screw at rest at the lowest friction, no guide friction (N*m)."""
    driving = -torque_for(-resting_force_n, pitch_diameter_m, lead_m, friction.low, flank_angle_rad)
    return max(driving, 0.0)


@check(
    "drive.brake",
    unit="N*m",
    shown="mN*m",
    formula="T_brake / 1.5 >= F d2 / 2 tan(lambda - phi') (/ i on the motor's shaft)",
    source="common practice, no source",
)
def brake(brake_torque_nm: float, brake_on: str, holding_torque_nm: float, ratio: float) -> Finding:
    """Torque of the brake against what the load turns it with at the lowest friction."""
    needed = holding_torque_nm
    if brake_on == "motor":
        needed = float(gearing.input_torque_nm(holding_torque_nm, ratio, 1.0))  # gear losses would only help
    return at_least(
        brake_torque_nm,
        BRAKE_FACTOR * needed,
        remedy=f"brake.torque of {digits(BRAKE_FACTOR * needed * 1e3)} mN*m",
        cautions=(FALLING,),
    )


@check(
    "drive.sag",
    unit="m",
    shown="mm",
    formula="lost motion of gear and coupling + travel of the brake",
    source="common practice, no source",
    limit="allowed_sag_m",
    asked_by=("motion.sag",),
)
def sag(
    lead_m: float,
    lost_angle_rad: float,
    ratio: float,
    holding_torque_nm: float,
    friction: Band,
    brake_torque_nm: float | None = None,
    brake_travel_rad: float = 0.0,
    brake_on: str = "motor",
    detent_torque_nm: float = 0.0,
    limit: float | None = None,
) -> Finding:
    """Sag from power loss until the load is held."""
    at_motor = float(gearing.input_torque_nm(holding_torque_nm, ratio, 1.0))
    if brake_torque_nm is None and at_motor > detent_torque_nm and limit is not None:
        note = f"at friction {friction.low:g} nothing holds the load: it runs down"
        return Finding(None, "FAIL", limit, note=note, remedy="a [brake], or what drive.holding asks for")
    if brake_torque_nm is not None and brake_on == "screw":  # behind gear and coupling
        angle = brake_travel_rad
    else:
        angle = lost_angle_rad + brake_travel_rad / ratio
    value = float(gearing.lost_motion_m(lead_m, angle))
    note = "true only while what holds the load does: see drive.holding, drive.brake, drive.detent"
    return at_most(value, limit, note=note, remedy="less backlash, or a brake that turns less until it holds")

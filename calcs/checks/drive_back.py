"""What comes beside the load: preload and spring drag, the nut's anti-rotation, driving back."""

from __future__ import annotations

from calcs.cautions import FALLING
from calcs.check import check, derived
from calcs.checks.drive import SHIGLEY
from calcs.checks.drive_holding import BRAKE_FACTOR
from calcs.finding import Finding, at_least, at_most, digits, info, over
from calcs.formulas import ball, gearing, screw
from geometry.units import Band


@derived("nut.drag")
def screw_drag_nm(
    lead_m: float,
    pitch_diameter_m: float,
    friction: Band,
    flank_angle_rad: float,
    given_drag_nm: float | None = None,
    lip_drag_nm: float | None = None,
    nut_spring_n: float = 0.0,
    ball_preload_n: float = 0.0,
    ball_circle_m: float | None = None,
) -> Band | None:
    """Drag of lip seal and preload (N*m): as given, of the balls, or of two halves under their spring."""

    def spring(mu: float) -> float:
        return float(screw.spring_drag_nm(nut_spring_n, lead_m, pitch_diameter_m, mu, flank_angle_rad))

    lip = lip_drag_nm or 0.0
    preload = given_drag_nm
    if preload is None and ball_preload_n > 0.0:
        circle = ball_circle_m or pitch_diameter_m
        preload = float(ball.preload_torque_nm(ball_preload_n, lead_m, circle))
    elif preload is None and nut_spring_n > 0.0:
        return over(friction, lambda mu: spring(mu) + lip)
    if preload is None and lip_drag_nm is None:
        return None
    drag = (preload or 0.0) + lip
    return Band(drag, drag, drag)


@derived()
def anti_rotation(
    reaction_arm_m: float,
    guide_friction: Band,
    lead_m: float,
    pitch_diameter_m: float,
    friction: Band,
    flank_angle_rad: float,
) -> Band:
    """How many times the torque grows by the friction of what keeps the nut from turning."""

    def factor(mu: float, guide: float) -> float:
        per_force = screw.torque_per_force_m(lead_m, pitch_diameter_m, mu, flank_angle_rad)
        return float(screw.anti_rotation_factor(per_force, guide, reaction_arm_m))

    return Band(*(factor(mu, guide) for mu, guide in zip(friction, guide_friction, strict=True)))


@check(
    "guide.anti_rotation",
    unit="N",
    formula="N = T / r, its friction 2 mu T / r",
    source="equilibrium; common practice, no source",
    limit="guide_side_limit_n",
)
def anti_rotation_reaction(
    raising_torque_nm: Band,
    reaction_arm_m: float,
    guide_friction: Band,
    anti_rotation: Band,
    limit: float | None = None,
) -> Finding:
    """Force on the guide that keeps nut or screw, whichever is not driven, from turning."""
    reaction = over(raising_torque_nm, lambda torque: torque / reaction_arm_m)
    drag = float(
        screw.anti_rotation_friction_n(raising_torque_nm.nominal, guide_friction.nominal, reaction_arm_m)
    )
    note = f"its friction {digits(drag)} N makes the torque {digits(anti_rotation.nominal, 4)} times as large"
    if limit is None:
        return info(reaction, note)
    return at_most(reaction, limit, note=note, remedy="a longer guide.reaction_arm or a stronger guide")


@check(
    "drive.preload_drag",
    unit="N*m",
    shown="mN*m",
    formula="0.05 F lead / (2 pi sqrt(tan(beta))), or F d2 / 2 (tan(phi' + lambda) + tan(phi' - lambda))",
    source="JIS B 1192 (from memory); Shigley 9e, eq. 8-1 and 8-2 for two halves under a spring",
    margin_kind="none",
)
def preload_drag(screw_drag_nm: Band, raising_torque_nm: Band) -> Finding:
    """Drag of the nut's preload and of a lip on the screw, part of every torque."""
    share = 100.0 * screw_drag_nm.nominal / raising_torque_nm.nominal
    return info(screw_drag_nm, f"{share:.0f} % of the screw torque")


@check(
    "drive.back_efficiency",
    formula="eta' = tan(lambda - phi') / tan(lambda)",
    source=f"{SHIGLEY}, eq. 8-2",
    margin_kind="none",
)
def back_efficiency(
    lead_m: float, pitch_diameter_m: float, friction: Band, flank_angle_rad: float
) -> Finding:
    """Efficiency from force to torque, negative where the thread holds."""
    found = over(friction, lambda mu: screw.back_efficiency(lead_m, pitch_diameter_m, mu, flank_angle_rad))
    if found.low > 0.0:
        return info(found, "the load drives the screw", cautions=(FALLING,))
    held = found.high <= 0.0
    return info(found, "the thread holds" if held else "holds at high friction only")


@check(
    "drive.back_torque",
    unit="N*m",
    shown="mN*m",
    formula="T = F lead eta' / (2 pi)",
    source="conservation of power",
    margin_kind="none",
)
def back_torque(
    resting_force_n: float,
    lead_m: float,
    pitch_diameter_m: float,
    friction: Band,
    flank_angle_rad: float,
    ratio: float,
) -> Finding:
    """Torque that weight and outside forces turn the screw with, nothing where it holds."""

    def torque(mu: float) -> float:
        efficiency = screw.back_efficiency(lead_m, pitch_diameter_m, mu, flank_angle_rad)
        return max(float(screw.driven_torque_nm(resting_force_n, lead_m, efficiency)), 0.0)

    found = over(friction, torque)
    motor = float(gearing.input_torque_nm(found.high, ratio, 1.0)) * 1e3
    return info(found, f"at the motor up to {digits(motor)} mN*m, friction of gears and guide not counted")


@check(
    "drive.detent",
    unit="N*m",
    shown="mN*m",
    formula="T_detent / 1.5 >= F d2 / 2 tan(lambda - phi') / i",
    source="common practice, no source",
    asked_by=("motor.detent_torque",),
)
def detent(
    detent_torque_nm: float, holding_torque_nm: float, ratio: float, limit: float | None = None
) -> Finding:
    """Torque of the motor without current against what the load turns it with."""
    needed = BRAKE_FACTOR * float(gearing.input_torque_nm(holding_torque_nm, ratio, 1.0))
    limit = needed if limit is None else limit
    return at_least(
        detent_torque_nm,
        limit,
        remedy=f"motor.detent_torque of {digits(limit * 1e3)} mN*m, or a [brake]",
        cautions=(FALLING,),
    )


@check(
    "drive.coupling",
    unit="N*m",
    shown="mN*m",
    formula="T = F d2 / 2 tan(lambda + phi') + F mu_c d_c / 2 + drag",
    source="the coupling's own limit; torque: Shigley 9e, eq. 8-5",
    limit="coupling_torque_nm",
    asked_by=("coupling.torque",),
)
def coupling(raising_torque_nm: Band, limit: float | None = None) -> Finding:
    """Highest screw torque against the coupling's."""
    return at_most(
        raising_torque_nm, limit, remedy=f"a coupling for {digits(raising_torque_nm.high * 1e3)} mN*m"
    )

"""The gear stack: ratio, tooth rules with their reasons, torque, lost motion."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from calcs.case import LoadCase
from calcs.check import check, derived
from calcs.checks.drive import AxialForces, highest_push
from calcs.checks.gearing_made import MadeStage, usual_efficiency
from calcs.finding import Finding, at_most, digits, info, not_checked
from calcs.formulas import ball, gearing
from geometry.gears import planetary
from geometry.tooth_rules import ToothRule, spur_rules, stage_rules
from geometry.units import Band

if TYPE_CHECKING:
    from geometry.design_gears import Spur, Stage
    from geometry.spur_stage import SpurStage

EXACT = 1e-5  # a ratio typed with six digits: 5.33333 for 16/3; our own choice
CONDITIONS = "textbook conditions of a planetary stage (geometry.tooth_rules)"
DIRECT = "direct drive, no gears"
BOUGHT = "bought by its ratio: the teeth are the maker's"
SPUR = "a spur stage has no ring and no planets"


@derived("gears.ratio")
def ratio(
    has_gears: bool,
    has_inline_gear: bool,
    stages: tuple[Stage, ...] = (),
    bought_ratio: float | None = None,
    spur: Spur | None = None,
) -> float | None:
    """Motor turns per screw turn: of the teeth, as bought, or 1 without gears."""
    if stages or (spur is not None and not has_inline_gear):
        return math.prod(stage.ratio for stage in stages) * (spur.ratio if spur else 1.0)
    return bought_ratio if has_gears else 1.0


@derived("gears.efficiency")
def gear_efficiency(
    has_gears: bool,
    given_gear_efficiency: Band | None = None,
    made_stages: tuple[MadeStage, ...] = (),
    made_spur: SpurStage | None = None,
) -> Band | None:
    """Efficiency of the whole gear stack, 1 without gears; of given teeth what to expect of them."""
    if not has_gears:
        return Band(1.0, 1.0, 1.0)
    return given_gear_efficiency or usual_efficiency(made_stages, made_spur)


@derived("gears.backlash")
def lost_angle_rad(
    has_gears: bool, gear_backlash_rad: float | None = None, coupling_backlash_rad: float = 0.0
) -> float | None:
    """Angle that gear and coupling may turn without moving the screw (rad)."""
    if has_gears and gear_backlash_rad is None:
        return None
    return (gear_backlash_rad or 0.0) + coupling_backlash_rad


@derived("gears.backlash")
def least_lost_angle_rad(
    lost_angle_rad: float | None = None,
    tooth_backlash_rad: float | None = None,
    coupling_backlash_rad: float = 0.0,
) -> float | None:
    """The same, at least that of the teeth where the gear's own is not given (rad)."""
    if lost_angle_rad is not None or tooth_backlash_rad is None:
        return lost_angle_rad
    return tooth_backlash_rad + coupling_backlash_rad


@derived("coupling.stiffness")
def wind_up_rad(coupling_stiffness_nm_rad: float, raising_torque_nm: Band, lowering_torque_nm: Band) -> float:
    """Angle that the coupling winds up and back between raising and lowering, at high friction (rad)."""
    swing = raising_torque_nm.high + lowering_torque_nm.high
    return float(gearing.wind_up_rad(max(swing, 0.0), coupling_stiffness_nm_rad))


@derived()
def seating_force_n(axial_forces: tuple[AxialForces, ...], load_cases: tuple[LoadCase, ...]) -> float:
    """Least force that keeps the nut on one flank, 0 where weight or outside forces change its side (N)."""
    least = []
    for forces, case in zip(axial_forces, load_cases, strict=True):
        for push in (0.0, highest_push(case, against=True), -highest_push(case, against=False)):
            net = forces.weight_n + push
            least.append(math.copysign(max(abs(net) - forces.friction_n.high, 0.0), net))
    one_side = min(least) > 0.0 or max(least) < 0.0
    return min(map(abs, least)) if one_side else 0.0


@derived("motion.repeatability")
def lost_motion_limit_m(
    repeatability_m: float | None = None, wanted_step_m: float | None = None
) -> float | None:
    """Lost motion that is allowed (m): the wanted repeatability, else the largest acceptable step."""
    return wanted_step_m if repeatability_m is None else repeatability_m


@check(
    "gearing.ratio",
    formula="i = product of 1 + z_ring / z_sun, z_wheel / z_pinion of a spur stage",
    source="kinematics of planetary stages, ring fixed, and of a spur stage",
    margin_kind="none",
)
def gear_ratio(
    ratio: float,
    has_inline_gear: bool,
    stages: tuple[Stage, ...] = (),
    bought_ratio: float | None = None,
    spur: Spur | None = None,
) -> Finding:
    """Ratio of the gear stack, motor to screw."""
    if spur is not None and has_inline_gear and not stages:
        return info(ratio, f"{spur} after a bought gear of {ratio / spur.ratio:.6g}")
    if not stages and spur is None:
        return info(ratio, BOUGHT if bought_ratio else DIRECT)
    words = [f"{s.sun}/{s.planet}/{s.ring} with {s.planets} planets" for s in stages]
    sets = " x ".join([*words, *([str(spur)] if spur else [])])
    if bought_ratio is None or abs(ratio / bought_ratio - 1.0) < EXACT:
        return Finding(ratio, "PASS", note=sets)
    error = 100.0 * (ratio / bought_ratio - 1.0)
    note = f"{sets} give {ratio:.6g}, gears.ratio asks {bought_ratio:g} ({error:+.2g} %)"
    remedy = f"gears.ratio = {ratio:.9g}"
    if len(stages) == 1 and spur is None:
        remedy += f", or {planetary(bought_ratio, stages[0].planets).explain().splitlines()[0]}"
    return Finding(ratio, "FAIL", limit=bought_ratio, note=note, remedy=remedy)


def _rules(stages: tuple[Stage, ...], name: str) -> list[ToothRule]:
    return [
        rule
        for stage in stages
        for rule in stage_rules(stage.sun, stage.planet, stage.ring, stage.planets)
        if rule.name.startswith(name)
    ]


def _judge(has_gears: bool, stages: tuple[Stage, ...], spur: Spur | None, rules: list[ToothRule]) -> Finding:
    """Report a tooth rule over all stages: every reason, value and limit of the stage that is worst off."""
    if not rules:
        words = SPUR if spur else BOUGHT if has_gears else DIRECT
        return info(None, "one planet has no neighbour" if stages else words)
    worst = min(rules, key=lambda rule: (rule.passed, rule.value - rule.limit))
    failed = [rule.text for rule in rules if not rule.passed]
    remedy = ""
    if failed:
        stage = stages[rules.index(worst)]
        remedy = planetary(stage.ratio, stage.planets).explain().splitlines()[0]
    note = "; ".join(failed or [rule.text for rule in rules])
    return Finding(
        worst.value,
        "FAIL" if failed else "PASS",
        worst.limit,
        worst.value,
        "at least",
        remedy=remedy,
        note=note,
    )


@check(
    "gearing.ring",
    formula="z_ring = z_sun + 2 z_planet",
    source=CONDITIONS,
    margin_kind="none",
)
def ring(has_gears: bool, stages: tuple[Stage, ...] = (), spur: Spur | None = None) -> Finding:
    """Ring teeth fit sun and planets."""
    return _judge(has_gears, stages, spur, _rules(stages, "ring"))


@check(
    "gearing.spacing",
    formula="(z_sun + z_ring) / N is an integer",
    source=CONDITIONS,
    margin_kind="none",
)
def spacing(has_gears: bool, stages: tuple[Stage, ...] = (), spur: Spur | None = None) -> Finding:
    """Planets can be spaced equally."""
    return _judge(has_gears, stages, spur, _rules(stages, "spacing"))


@check(
    "gearing.neighbours",
    formula="(z_sun + z_planet) sin(pi / N) > z_planet + 2, of shifted teeth 2 a sin(pi / N) > d_a + 0.5",
    source=CONDITIONS,
    margin_kind="difference",
)
def neighbours(
    has_gears: bool,
    stages: tuple[Stage, ...] = (),
    made_stages: tuple[MadeStage, ...] = (),
    spur: Spur | None = None,
) -> Finding:
    """Neighbouring planets clear each other (in modules)."""
    rules = [rule for stage in made_stages if (rule := stage.neighbours()) is not None]
    return _judge(has_gears, stages, spur, rules)


@check(
    "gearing.undercut",
    formula="x >= 1 - z sin^2(alpha) / 2",
    source="ISO 21771, or any text on gears (from memory)",
    margin_kind="none",
)
def undercut(has_gears: bool, stages: tuple[Stage, ...] = (), spur: Spur | None = None) -> Finding:
    """Profile shift that the smallest gear needs against undercut (in modules)."""
    rules = _rules(stages, "undercut")
    rules += spur_rules(spur.pinion, spur.wheel) if spur else ()
    if not rules:
        return info(None, BOUGHT if has_gears else DIRECT)
    shift = max(rule.limit for rule in rules)
    return info(max(shift, 0.0), "; ".join(dict.fromkeys(rule.text for rule in rules)))


@check(
    "gearing.torque",
    unit="N*m",
    shown="mN*m",
    formula="T = F d2 / 2 tan(lambda + phi') + F mu_c d_c / 2 + drag",
    source="the gear's own limit; torque: Shigley 9e, eq. 8-5",
    limit="gear_torque_continuous_nm",
    asked_by=("gears.torque_continuous",),
)
def torque(raising_torque_nm: Band, limit: float | None = None) -> Finding:
    """Highest screw torque against the gear's continuous torque."""
    return at_most(
        raising_torque_nm,
        limit,
        note="the highest force, at the high end of the friction band",
        remedy=f"a gear for {digits(raising_torque_nm.high * 1e3)} mN*m",
    )


@check(
    "gearing.lost_motion",
    unit="m",
    shown="um",
    formula="lead (backlash + T / k) / 2 pi + play where neither load, spring nor preload seats the nut",
    source="definition of lead; wind-up of the coupling by Hooke's law",
    limit="lost_motion_limit_m",
)
def lost_motion(
    lead_m: float,
    least_lost_angle_rad: float,
    nut_play_m: float | None = None,
    lost_angle_rad: float | None = None,
    seating_force_n: float = 0.0,
    peak_force_n: Band | None = None,
    nut_spring_n: float = 0.0,
    ball_preload_n: float = 0.0,
    wind_up_rad: float = 0.0,
    limit: float | None = None,
) -> Finding:
    """Travel lost in gear, coupling and nut when the direction changes."""
    highest = math.inf if peak_force_n is None else peak_force_n.high
    seats = {
        "the weight keeps the nut seated": seating_force_n > 0.0,
        "the preload keeps the nut seated": bool(ball_preload_n)
        and float(ball.lift_off_n(ball_preload_n)) > highest,
        "the spring keeps the nut seated": nut_spring_n > highest,
    }
    words = next((text for text, seated in seats.items() if seated), "the nut's own play counts")
    play = nut_play_m if words == "the nut's own play counts" else 0.0
    if play is None:
        return not_checked(f"{words}, and nut.play is not given", "give nut.play", asked=limit is not None)
    if nut_spring_n or ball_preload_n:
        words += "; spring and preload act in the nut: the backlash of gear and coupling stays"
    if wind_up_rad:
        wound = float(gearing.lost_motion_m(lead_m, wind_up_rad))
        words += f"; {digits(wound * 1e6)} um of it the coupling's wind-up from raising to lowering"
    value = float(gearing.lost_motion_m(lead_m, least_lost_angle_rad + wind_up_rad)) + play
    found = at_most(value, limit, note=words, remedy="less backlash, or approach from one side only")
    if lost_angle_rad is not None or found.verdict != "PASS":
        return found
    words += "; the teeth alone: play of pins and bearings comes on top (1 to 7 deg are usual)"
    return found._replace(verdict="NOT PROVEN", note=words, remedy="give gears.backlash, or measure it")


@check(
    "gearing.lost_motion_loose",
    unit="m",
    shown="um",
    formula="lead (backlash + T / k) / 2 pi + play",
    source="definition of lead; wind-up of the coupling by Hooke's law",
    margin_kind="none",
)
def lost_motion_loose(
    lead_m: float, lost_angle_rad: float, nut_play_m: float, wind_up_rad: float = 0.0
) -> Finding:
    """Travel lost when nothing seats the nut: load away, no spring, no preload."""
    return info(float(gearing.lost_motion_m(lead_m, lost_angle_rad + wind_up_rad)) + nut_play_m)


@check(
    "gearing.input_speed",
    unit="rad/s",
    shown="rpm",
    formula="n = i v / lead",
    source="the gear's own limit",
    limit="gear_speed_limit_rad_s",
    asked_by=("gears.speed_limit",),
)
def input_speed(motor_speed_rad_s: float, limit: float | None = None) -> Finding:
    """Motor speed against the gear's highest input speed."""
    return at_most(motor_speed_rad_s, limit, remedy="a longer lead or a lower speed")

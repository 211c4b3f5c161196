"""What the guide carries so that the nut does not, side load and moment, and what its play lets through."""

from __future__ import annotations

from calcs.case import LoadCase
from calcs.check import check, derived
from calcs.checks.drive import G_M_S2
from calcs.finding import Finding, at_most, digits, info
from calcs.formulas import motion
from geometry.units import Band

NO_LOAD_N = 1e-6  # what rounding leaves of a weight along the screw
STATICS = "equilibrium of the carried mass"


@derived()
def side_load_n(load_cases: tuple[LoadCase, ...], carried_mass_kg: float) -> float:
    """Weight across the screw, the worst load case (N)."""
    return max(carried_mass_kg * G_M_S2 * case.up_lateral for case in load_cases)


@check(
    "guide.side_load",
    unit="N",
    formula="F = m g sin + T / r",
    source=STATICS,
    limit="guide_side_limit_n",
    asked_by=("guide.side_limit",),
)
def side_load(
    side_load_n: float,
    raising_torque_nm: Band | None = None,
    reaction_arm_m: float | None = None,
    limit: float | None = None,
) -> Finding:
    """Load across the guide, with what keeps the nut from turning where its arm is given."""
    if raising_torque_nm is None or reaction_arm_m is None:
        return at_most(side_load_n, limit, remedy="a stronger guide")
    reaction = raising_torque_nm.high / reaction_arm_m
    note = f"{digits(side_load_n)} N of weight and {digits(reaction)} N against turning, taken to add up"
    return at_most(
        side_load_n + reaction, limit, note=note, remedy="a stronger guide or a longer guide.reaction_arm"
    )


@check(
    "guide.moment",
    unit="N*m",
    formula="M = m (g + a) arm",
    source=STATICS,
    limit="guide_moment_limit_nm",
    asked_by=("guide.moment_limit",),
)
def moment(
    carried_mass_kg: float, guide_arm_m: float, acceleration_m_s2: float = 0.0, limit: float | None = None
) -> Finding:
    """Moment on the guide from the load beside the screw."""
    value = carried_mass_kg * (G_M_S2 + acceleration_m_s2) * guide_arm_m
    note = (
        "the whole weight and the ramp on the arm, whatever the orientation; outside forces act on the screw"
    )
    return at_most(value, limit, note=note, remedy="a stronger or longer guide, or a shorter guide.arm")


@check(
    "guide.nut_load",
    unit="N",
    formula="F = m g sin, all of it on the guide where there is one",
    source="a nut carries along its screw only: common practice, no source",
    margin_kind="none",
)
def nut_load(side_load_n: float, has_guide: bool, guide_arm_m: float = 0.0) -> Finding:
    """Side load that falls to the nut: a nut must carry neither side load nor moment."""
    if has_guide:
        words = f"the guide carries {digits(side_load_n)} N across and the moment of its arm"
        return Finding(0.0, "PASS", 0.0, note=f"{words}; a nut fixed as rigidly would bind with it")
    note = "no [guide] is given: nothing keeps side load, moment and rotation off the nut"
    caution = ("Without a [guide] the nut carries what it must not",)
    if side_load_n <= NO_LOAD_N:
        return info(side_load_n, note, cautions=caution)
    return Finding(side_load_n, "WARN", 0.0, note=note, cautions=caution, remedy="give a [guide]")


@check(
    "guide.tilt",
    unit="m",
    shown="um",
    formula="play arm / length",
    source="geometry of a block that tilts by its play; common practice, no source",
    limit="repeatability_m",
)
def tilt(
    guide_play_m: float,
    guide_arm_m: float,
    guide_length_m: float,
    reaction_arm_m: float | None = None,
    limit: float | None = None,
) -> Finding:
    """Way of the load along the travel when the guide's play lets it tilt from one side to the other."""
    value = float(motion.tilt_error_m(guide_play_m, guide_arm_m, guide_length_m))
    note = f"{digits(guide_play_m * 1e6)} um of play across the guide"
    if reaction_arm_m is not None:
        across = float(motion.tilt_error_m(guide_play_m, guide_arm_m, reaction_arm_m))
        note += f", {digits(across * 1e6)} um across at the load as it turns about the screw"
    note += "; counts where the moment of the load changes its side"
    remedy = "less guide.play, a longer guide, a shorter guide.arm, or a load that stays on one side"
    return at_most(value, limit, above="WARN", note=note, remedy=remedy)

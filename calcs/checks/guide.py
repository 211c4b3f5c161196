"""The guide: whether it binds."""

from __future__ import annotations

from calcs.check import check
from calcs.finding import Finding, at_most, digits
from calcs.formulas import motion
from geometry.units import Band

PLAIN = 2.0  # arm per length that a plain guide should keep under; common practice, no source


@check(
    "guide.binding",
    asked_by=("guide.length",),
    formula="arm / length <= 1 / (2 mu)",
    source="equilibrium of a guide carried at its edges; 2:1 for plain guides: common practice, no source",
)
def binding(
    guide_arm_m: float,
    guide_length_m: float,
    guide_friction: Band,
    guide_kind: str | None = None,
    limit: float | None = None,
) -> Finding:
    """Load's arm per guide length against where friction locks the guide."""
    ratio = guide_arm_m / guide_length_m
    if limit is None:
        if guide_friction.high == 0.0:
            return Finding(ratio, "PASS", note="without friction no guide locks")
        limit = float(motion.binding_ratio(guide_friction.high))
    remedy = f"a guide of {digits(guide_arm_m / min(limit, PLAIN) * 1e3)} mm or more, or a shorter arm"
    note = f"{guide_kind or 'some kind of'} guide, friction up to {guide_friction.high:g}"
    found = at_most(ratio, limit, note=note, remedy=remedy)
    if found.verdict == "PASS" and guide_kind == "plain" and ratio > PLAIN:
        return Finding(
            ratio, "WARN", limit, ratio, "at most", note=f"{note}; plain guides: 2:1", remedy=remedy
        )
    return found

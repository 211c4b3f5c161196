"""How far the travel may be off: the lead's tolerance over the stroke."""

from __future__ import annotations

from bisect import bisect_left

from calcs.check import check, derived
from calcs.finding import Finding, at_most
from calcs.formulas import environment
from geometry.units import Band

GRADES = "ISO 3408-3 (from memory)"
REFERENCE_M = 0.300
# travel variation within any 300 mm, by grade (um): ISO 3408-3 (from memory)
V300_UM = {"0": 3.5, "1": 6.0, "3": 12.0, "5": 23.0, "7": 52.0, "10": 210.0}
# up to and including this travel (mm), grades 1, 3 and 5 of a positioning screw (um): the same
UP_TO_MM = (315.0, 400.0, 500.0, 630.0, 800.0, 1000.0, 1250.0, 1600.0)
MEAN_UM = {  # deviation of the mean travel, e_p
    "1": (6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 13.0, 15.0),
    "3": (12.0, 13.0, 15.0, 16.0, 18.0, 21.0, 24.0, 29.0),
    "5": (23.0, 25.0, 27.0, 32.0, 36.0, 40.0, 47.0, 55.0),
}
VARIATION_UM = {  # variation over the travel, v_up
    "1": (6.0, 6.0, 7.0, 7.0, 8.0, 9.0, 10.0, 11.0),
    "3": (12.0, 12.0, 13.0, 14.0, 16.0, 17.0, 19.0, 22.0),
    "5": (23.0, 25.0, 26.0, 29.0, 31.0, 35.0, 39.0, 44.0),
}


def graded_m(grade: str, travel_m: float) -> tuple[float, float] | None:
    """Deviation of the mean travel and variation around it (m) for a grade such as P5 or T7.

    None where the standard's table ends. Source: ISO 3408-3 (from memory).
    """
    kind, number = grade[0], grade[1:]
    if kind == "T":
        variation = V300_UM[number] / 1e6
        return float(environment.travel_deviation_m(travel_m, variation, REFERENCE_M)), variation
    row = bisect_left(UP_TO_MM, round(travel_m * 1e3, 6))
    if row == len(UP_TO_MM):
        return None
    return MEAN_UM[number][row] / 1e6, VARIATION_UM[number][row] / 1e6


@check(
    "travel.lead_accuracy",
    unit="m",
    shown="um",
    formula="e_p + v_up; of another screw its error in 300 mm, at least once, in proportion beyond",
    source=GRADES,
    limit="accuracy_m",
    asked_by=("motion.accuracy",),
)
def lead_accuracy(
    lead_deviation_m: Band,
    usable_low_m: float,
    usable_high_m: float,
    screw_grade: str = "",
    limit: float | None = None,
) -> Finding:
    """Error of the travel over the stroke by the lead's tolerance."""
    stroke = usable_high_m - usable_low_m
    source = f"grade {screw_grade}" if screw_grade else "screw.lead_error; the low end if it is spread evenly"
    note = f"{source}, over {stroke * 1e3:g} mm; before thermal growth, backlash and elastic deflection"
    return at_most(lead_deviation_m, limit, note=note, remedy="a closer grade, or a measured correction")


@derived("screw.grade", "screw.lead_error")
def lead_deviation_m(
    usable_low_m: float,
    usable_high_m: float,
    screw_grade: str = "",
    lead_error_m: float | None = None,
) -> Band | None:
    """Error of the travel over the stroke (m): by grade, or by the user's own number in 300 mm."""
    stroke = usable_high_m - usable_low_m
    if screw_grade:
        parts = graded_m(screw_grade, stroke)
        return None if parts is None else Band(max(parts), sum(parts), sum(parts))
    if lead_error_m is None:
        return None
    share = stroke / REFERENCE_M
    return Band(lead_error_m * share, lead_error_m * max(share, 1.0), lead_error_m * max(share, 1.0))

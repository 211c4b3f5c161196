"""A design through the fit: its bodies placed, judged, and a flipped nut named where it is the cause."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from calcs.fit import FitReport, PlacedMesh, Progress, fit
from geometry.frames import stations_of
from geometry.placed import Placement, place
from geometry.stack import classes_of, contacts_of, travel_of

if TYPE_CHECKING:
    from geometry.design import Design


def fit_design(design: Design, *, progress: Progress | None = None) -> FitReport:
    """Find the clearances of a design over its whole travel (mm). Raises InputError as `place` does."""
    return fit_placement(design, place(design), progress=progress)


def fit_placement(design: Design, placement: Placement, *, progress: Progress | None = None) -> FitReport:
    """Judge bodies that are placed already. Raises InputError for a contact with a body that is not there."""
    report = _judged(design, placement, progress)
    said = flipped_nut(design, report)
    return replace(
        report,
        not_checked=(*report.not_checked, *placement.not_checked),
        cautions=(*report.cautions, *said, *placement.notes),
    )


def flipped_nut(design: Design, report: FitReport) -> tuple[str, ...]:
    """Say so where the pairs fail only because the nut's flange faces the motor (lengths in mm)."""
    failed = [pair for pair in report.pairs if pair.verdict == "FAIL"]
    if design.nut.flange != "toward motor" or not failed:
        return ()
    turned = design.model_copy(update={"nut": design.nut.model_copy(update={"flange": "away from motor"})})
    other = _judged(turned, place(turned), None)
    if any(pair.verdict == "FAIL" for pair in other.pairs):
        return ()
    here, there = stations_of(design).nut_seat, stations_of(turned).nut_seat
    gaps = [p.gap.nominal for p in other.pairs if p.kind == "travel" and p.gap is not None]
    if here is None or there is None or not gaps:
        return ()
    names = ", ".join(f"{pair.a}/{pair.b}" for pair in failed[:3])
    return (
        f"the nut's flange faces the motor: what sits on it is {there - here:g} mm lower, and {names} clash; "
        f'with flange = "away from motor" nothing fails (least gap {min(gaps):.2f} mm)',
    )


def _judged(design: Design, placement: Placement, progress: Progress | None) -> FitReport:
    stroke = design.motion.stroke
    return fit(
        [PlacedMesh(placed.body, placed.mesh) for placed in placement.bodies],
        contacts_of(design),
        classes_of(design),
        travel_of(design),
        usable=(stroke.low, stroke.high),
        progress=progress,
    )

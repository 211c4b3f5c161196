"""The demo's designs through the fit: placed, judged, and a flipped nut named."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo_rows import DEMO

from calcs import fit_design
from calcs.fit import FitReport
from geometry.design import Design, read_text

FLIP = ('flange = "away from motor"', 'flange = "toward motor"')


def design(*changes: tuple[str, str]) -> Design:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return read_text(text)


@pytest.fixture(scope="module")
def fine() -> FitReport:
    return fit_design.fit_design(design())


@pytest.fixture(scope="module")
def failed(fine: FitReport) -> FitReport:
    """A report whose first three pairs fail, as in a flipped design, without the time to find how deep."""
    first, second, third, *others = fine.pairs
    worse = (replace(pair, verdict="FAIL") for pair in (first, second, third))
    return replace(fine, pairs=(*worse, *others))


def test_the_demo_fits(fine: FitReport) -> None:
    assert {pair.verdict for pair in fine.pairs} == {"PASS"}
    assert not any("faces the motor" in caution for caution in fine.cautions)


def test_a_flipped_nut_is_named_as_the_cause(failed: FitReport) -> None:
    (said,) = fit_design.flipped_nut(design(FLIP), failed)
    names = ", ".join(f"{pair.a}/{pair.b}" for pair in failed.pairs[:3])
    assert said == (
        f"the nut's flange faces the motor: what sits on it is 12 mm lower, and {names} clash; "
        'with flange = "away from motor" nothing fails (least gap 0.70 mm)'
    )


def test_the_flip_is_not_blamed_where_nothing_fails_or_the_right_way_fails_too(
    fine: FitReport, failed: FitReport
) -> None:
    assert fit_design.flipped_nut(design(FLIP), fine) == ()
    assert fit_design.flipped_nut(design(), failed) == ()
    rib = ("-20..-18.7 mm", "-20..-17.6 mm")
    assert fit_design.flipped_nut(design(FLIP, rib), failed) == ()


def test_without_travelling_pairs_there_is_no_gap_to_tell(
    failed: FitReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fit_design, "_judged", lambda design, placement, progress: replace(failed, pairs=()))
    assert fit_design.flipped_nut(design(FLIP), failed) == ()

"""What a fit advises: the smallest cut and the clear strokes; nothing where nothing is wrong."""

from __future__ import annotations

from calcs.clearance_pairs import PairResult
from calcs.fit_words import remedies_for
from geometry.units import Band

TRAVEL = (-4.0, 64.0)
RIB = PairResult(
    "flag", "rib", "travel", 0.5, "FAIL", Band(-0.4, -0.4, -0.4), 28.1, ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
    below_required=((26.5, 29.7),), clash=((27.0, 29.2),), shortfall_axis=0,
)  # fmt: skip


def changed(**changes: object) -> PairResult:
    from dataclasses import replace

    return replace(RIB, **changes)  # type: ignore[arg-type] # the fields by name


def test_the_cut_covers_clash_and_clearance() -> None:
    assert remedies_for(RIB, TRAVEL) == (
        "cut rib 0.9 mm along x where it faces flag (for 0.5 mm clear)",
        "or use s in [-4, 26.5] or [29.7, 64] mm",
    )


def test_the_cut_is_rounded_up_and_judged_on_the_low_end() -> None:
    near = changed(gap=Band(0.408, 0.41, 0.412), clash=())
    assert remedies_for(near, TRAVEL)[0].startswith("cut rib 0.1 mm")
    hair = changed(gap=Band(0.4986, 0.5006, 0.5026), verdict="NOT PROVEN", below_required=(TRAVEL,))
    assert remedies_for(hair, TRAVEL) == ("cut rib 0.002 mm along x where it faces flag (for 0.5 mm clear)",)


def test_what_may_touch_is_cut_until_it_only_touches() -> None:
    static = changed(required=0.0, kind="static", below_required=())
    assert remedies_for(static, TRAVEL) == (
        "cut rib 0.4 mm along x where it faces flag (so that the two only touch)",
    )


def test_nothing_is_advised_where_nothing_is_wrong() -> None:
    assert remedies_for(changed(verdict="PASS"), TRAVEL) == ()
    assert remedies_for(changed(verdict="NOT CHECKED", gap=None), TRAVEL) == ()

"""What play and wind-up do to the position: guide.play, coupling.stiffness."""

from __future__ import annotations

import math

import pytest
from demo_rows import changed, given, rows

STIFF = ("[stops]\n", '[coupling]\nstiffness = "2 N*m/rad"\n\n[stops]\n')


def test_a_guide_tilts_by_its_play() -> None:
    row = rows(given("guide", 'play = "0.02 mm"'))["guide.tilt"]
    assert row.value == pytest.approx(20.0 * 48.0 / 20.0)
    assert row.verdict == "NOT CHECKED"  # nothing is asked of it
    assert not row.counts
    assert "20 um of play across the guide; counts where" in row.note
    turned = rows(given("guide", 'play = "0.02 mm"', 'reaction_arm = "24 mm"'))["guide.tilt"]
    assert "40 um across at the load as it turns about the screw" in turned.note
    assert rows()["guide.tilt"].missing == ("guide.play",)


@pytest.mark.parametrize(("play", "verdict"), [("0.02 mm", "PASS"), ("0.03 mm", "WARN")])
def test_tilt_is_held_against_the_repeatability(play: str, verdict: str) -> None:
    asked = ('step = "0.1 mm" ', 'repeatability = "0.05 mm"\nstep = "0.1 mm" ')
    row = rows(given("guide", f'play = "{play}"'), asked)["guide.tilt"]
    assert row.verdict == verdict
    assert row.limit == pytest.approx(50.0)


def test_a_soft_coupling_winds_up_between_raising_and_lowering() -> None:
    found = rows(STIFF)
    raising, lowering = (found[f"drive.{name}_torque"].value.high for name in ("raise", "lower"))  # type: ignore[union-attr]  # both are bands
    angle = (raising + lowering) / 1e3 / 2.0
    assert found["gearing.lost_motion"].value == pytest.approx(6.25 + 1500.0 * angle / (2.0 * math.pi))
    assert found["gearing.lost_motion"].note.endswith(
        "um of it the coupling's wind-up from raising to lowering"
    )
    assert f"; {1500.0 * angle / (2.0 * math.pi):.3g} um of it" in found["gearing.lost_motion"].note
    loose = rows(STIFF, given("nut", 'play = "0.2 mm"'))["gearing.lost_motion_loose"]
    assert loose.value == pytest.approx(206.25 + 1500.0 * angle / (2.0 * math.pi))


def test_a_stiff_coupling_is_told_by_its_numbers_too() -> None:
    wound = changed(STIFF).find("wind_up_rad")
    assert wound is not None
    assert wound.value == pytest.approx((14.782 + 1.111) / 1e3 / 2.0, rel=1e-3)
    assert changed().find("wind_up_rad") is None


def test_a_load_that_turns_the_screw_unwinds_the_coupling_less() -> None:
    fast = (STIFF, ("Tr8x1.5", "Tr8x8(P2)"))
    case = changed(*fast)
    lowering, raising, wound = (
        case.find(name) for name in ("lowering_torque_nm", "raising_torque_nm", "wind_up_rad")
    )
    assert lowering is not None
    assert raising is not None
    assert wound is not None
    assert lowering.value.high < 0.0
    assert 0.0 < wound.value < raising.value.high / 2.0

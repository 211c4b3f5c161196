from __future__ import annotations

import math

import pytest

from geometry.errors import ShapeError
from geometry.gear_mesh import mesh_play
from geometry.spur_stage import design_spur


@pytest.mark.parametrize(("pinion", "wheel"), [(12, 36), (12, 60), (17, 17), (20, 45), (9, 40)])
def test_a_spur_stage_has_its_backlash_and_no_overlap(pinion: int, wheel: int) -> None:
    stage = design_spur(pinion, wheel, module=0.4)
    assert stage.ratio == pytest.approx(wheel / pinion)
    play = mesh_play(stage.pinion, stage.wheel, stage.centre_distance)
    assert play.least_backlash == pytest.approx(stage.backlash, abs=0.002)
    assert play.most_backlash == pytest.approx(stage.backlash, abs=0.002)
    assert play.overlap == 0.0


def test_unshifted_gears_stand_at_half_the_sum_of_their_teeth() -> None:
    stage = design_spur(20, 40, backlash=0.0)
    assert stage.centre_distance == pytest.approx(30.0, rel=1e-12)
    # Computed: Niemann's loss factor 0.1660645 for 20 and 40 teeth; the wheel's tips are a trifle short here.
    assert 1 - stage.efficiency(0.06) == pytest.approx(0.06 * 0.166, rel=0.05)


def test_the_wheels_play_is_its_share_of_the_normal_backlash() -> None:
    stage = design_spur(20, 40, backlash=0.02)
    assert stage.backlash_at_wheel == pytest.approx(0.02 / (20 * math.cos(math.radians(20))), rel=1e-12)


def test_a_shifted_pinion_says_so_with_the_number() -> None:
    assert (
        "pinion of 12 teeth shifted by 0.34 against undercut, which needs 0.298" in design_spur(12, 40).notes
    )


def test_a_pair_that_lets_go_is_refused_with_its_contact_ratio() -> None:
    with pytest.raises(ShapeError, match=r"pinion and wheel have a contact ratio of 0\.\d+, below 1\.1"):
        design_spur(6, 7)

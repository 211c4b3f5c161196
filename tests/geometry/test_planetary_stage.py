from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest

from geometry.errors import ShapeError
from geometry.gear_mesh import mesh_play
from geometry.gears import planetary
from geometry.planetary_stage import PlanetaryStage, design_stage
from geometry.tooth_rules import ToothSet


def plays(stage: PlanetaryStage) -> Iterator[tuple[float, float, float]]:
    for pair in ((stage.sun, stage.planet), (stage.planet, stage.ring)):
        play = mesh_play(*pair, stage.centre_distance)
        yield play.least_backlash, play.most_backlash, play.overlap


def test_the_measured_stage_comes_out_as_it_was_measured() -> None:
    stage = design_stage(12, 12, 36, backlash=0.0)
    assert (stage.sun.shift, stage.planet.shift, stage.ring.shift) == pytest.approx((0.3, 0.3, 0.9))
    assert stage.centre_distance == pytest.approx(12.524, abs=5e-4)
    assert 7.3 - stage.planet.tip_radius == pytest.approx(0.076, abs=5e-4)
    assert stage.ring.tip_radius - stage.centre_distance - stage.planet.root_radius >= 0.25
    for least, most, overlap in plays(stage):
        assert (least, most, overlap) == pytest.approx((0.0, 0.0, 0.0), abs=2e-5)


def test_both_meshes_have_the_backlash_asked_for() -> None:
    stage = design_stage(12, 18, 48, 4, module=0.3, backlash=0.02)
    for least, most, overlap in plays(stage):
        assert least == pytest.approx(0.02, abs=1e-5)
        assert most == pytest.approx(0.02, abs=1e-5)
        assert overlap == 0.0


def test_the_carriers_play_is_found_by_turning_it() -> None:
    # Turn the carrier until both meshes touch: planet and sun part by the angle times the base radii's way.
    stage = design_stage(12, 12, 36, backlash=0.02)
    at_sun = stage.backlash_at_carrier * stage.ratio
    assert at_sun * stage.sun.base_radius == pytest.approx(0.04, rel=1e-12)


def test_unshifted_teeth_against_undercut_keep_their_profile() -> None:
    stage = design_stage(24, 24, 72, backlash=0.0)
    assert (stage.sun.shift, stage.planet.shift, stage.ring.shift) == (0.0, 0.0, 0.0)
    assert stage.centre_distance == pytest.approx(24.0, rel=1e-12)
    assert stage.efficiency() == pytest.approx(0.987, abs=0.003)


def test_the_notes_tell_what_was_shifted_by_how_much_and_why() -> None:
    notes = design_stage(12, 12, 36, backlash=0.0).notes
    assert "sun of 12 teeth shifted by 0.3 against undercut, which needs 0.298" in notes
    assert "planet tips shortened by 0.076 modules" in notes
    assert "ring shifted by 0.9 to the common centre distance" in notes


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"sun": 12, "planet": 12, "ring": 37}, "ring = sun + 2 planet: 37 is not 12 + 2 x 12 = 36"),
        ({"sun": 14, "planet": 14, "ring": 42}, "(14 + 42) / 3 = 18.6667, not an integer"),
        ({"sun": 12, "planet": 30, "ring": 72, "planets": 4}, "neighbours touch: 2 a sin(180/4)"),
        (
            {"sun": 12, "planet": 12, "ring": 36, "sun_shift": 0.0},
            "12 teeth with profile shift 0 are undercut",
        ),
        ({"sun": 12, "planet": 12, "ring": 36, "sun_shift": 1.6}, "contact ratio of 0.701"),
        ({"sun": 9, "planet": 9, "ring": 27}, "have a contact ratio of 1.035, below 1.1"),
        ({"sun": 18, "planet": 18, "ring": 54, "planet_shift": -1.5}, "push the gears through"),
    ],
)
def test_stages_that_do_not_work_are_refused_with_the_number(arguments: dict[str, float], says: str) -> None:
    with pytest.raises(ShapeError) as refused:
        design_stage(**arguments)  # type: ignore[arg-type]  # the cases are plain dictionaries
    assert says in str(refused.value)
    assert refused.value.problems[0].repair


def test_planets_and_ring_stand_so_that_every_mesh_is_in_the_middle_of_its_play() -> None:
    stage = design_stage(12, 18, 48, 4, backlash=0.04)
    ring_turn = stage.ring_turn()
    for angle in stage.planet_angles():
        turn = stage.planet_turn(angle)
        # What each gear has on the line of centres, in pitches from the middle of a tooth.
        sun = (0.0 - angle) / stage.sun.pitch
        planet_in = (turn - angle - math.pi) / stage.planet.pitch
        planet_out = (turn - angle) / stage.planet.pitch
        ring = (ring_turn - angle) / stage.ring.pitch
        # External: tooth against space, turning against one another; internal: turning together.
        assert (sun + planet_in) % 1 == pytest.approx(0.5, abs=1e-9)
        assert (planet_out - ring) % 1 == pytest.approx(0.5, abs=1e-9)


def offered(planets: int) -> list[ToothSet]:
    """Every stage that the solver offers with rings up to 80 teeth, by the ratios it can be asked for."""
    ratios = {1 + ring / sun for sun in range(12, 40) for ring in range(30, 81) if ring > 1.5 * sun}
    sets = {s for ratio in sorted(ratios) for s in planetary(ratio, planets, tolerance=0.0).offered}
    return sorted(sets, key=lambda s: (s.sun, s.planet))


def meshes(teeth: ToothSet) -> bool:
    """Whether a stage holds its designed backlash without overlap; False too where the design refuses it."""
    try:
        stage = design_stage(teeth.sun, teeth.planet, teeth.ring, teeth.planets, module=0.3)
    except ShapeError:
        return False
    for least, most, overlap in plays(stage):
        assert abs(least - stage.backlash) < 0.002
        assert abs(most - stage.backlash) < 0.002
        assert overlap == 0.0
    return True


def test_a_sample_of_the_stages_offered_meshes_through_a_pitch() -> None:
    ratios = np.random.default_rng(3).uniform(2.8, 9.0, 16)
    sample = {teeth for ratio in ratios for teeth in planetary(ratio).offered[-1:]}
    assert len(sample) >= 10
    assert all(meshes(teeth) for teeth in sample)


@pytest.mark.long
@pytest.mark.parametrize("planets", [2, 3, 4, 5])
def test_every_stage_offered_meshes_through_a_pitch(planets: int) -> None:
    sets = offered(planets)
    # The few that lose their contact ratio or their neighbours' room by their shifts are refused.
    assert sum(not meshes(teeth) for teeth in sets) <= 0.03 * len(sets)

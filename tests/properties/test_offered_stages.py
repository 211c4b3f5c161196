"""Every stage that the solver offers has teeth, its designed backlash, and never overlaps."""

import pytest

from geometry.errors import ShapeError
from geometry.gear_mesh import mesh_play
from geometry.gears import planetary, tooth_sets
from geometry.planetary_stage import design_stage
from geometry.tooth_rules import ToothSet

PLANETS = (2, 3, 4, 5, 6)
RATIOS = [round(2.2 + 0.1 * index, 1) for index in range(130)]


def offered(planets, ratios):
    """Every tooth set that the solver offers for the ratios, in one stage or as one of two."""
    found = {}
    for ratio in ratios:
        answer = planetary(ratio, planets)
        found.update(dict.fromkeys((*answer.offered, *(s for pair in answer.two_stages for s in pair))))
    return tuple(found)


def assert_meshes(teeth, **given):
    stage = design_stage(teeth.sun, teeth.planet, teeth.ring, teeth.planets, **given)
    for pair in ((stage.sun, stage.planet), (stage.planet, stage.ring)):
        play = mesh_play(*pair, stage.centre_distance)
        assert play.overlap == 0.0, teeth
        assert play.least_backlash == pytest.approx(stage.backlash, abs=0.002), teeth
        assert play.most_backlash == pytest.approx(stage.backlash, abs=0.002), teeth


@pytest.mark.parametrize("planets", PLANETS)
def test_every_stage_offered_can_be_designed(planets):
    sets = offered(planets, RATIOS[::11])
    assert len(sets) > 25
    for teeth in sets:
        design_stage(teeth.sun, teeth.planet, teeth.ring, teeth.planets)


def test_stages_offered_mesh_without_overlap():
    for teeth in offered(3, RATIOS[::13])[::6]:
        assert_meshes(teeth)


@pytest.mark.long
@pytest.mark.parametrize("planets", PLANETS)
def test_all_stages_offered_mesh_without_overlap(planets):
    sets = offered(planets, RATIOS)
    assert len(sets) > 80
    for teeth in sets:
        assert_meshes(teeth)


def test_what_the_conditions_pass_and_the_teeth_do_not_is_refused_with_the_reason():
    refused = {}
    for planets in PLANETS:
        for teeth in tooth_sets(planets):
            try:
                design_stage(teeth.sun, teeth.planet, teeth.ring, teeth.planets)
            except ShapeError as error:
                refused[teeth] = error.problems[0].message
    assert ToothSet(15, 29, 73, 4) in refused
    for teeth, message in refused.items():
        answer = planetary(teeth.ratio, teeth.planets)
        assert teeth not in answer.offered
        (own,) = [found for found in answer.refused if found.teeth == teeth]
        assert [rule.text for rule in own.failed] == [message]
        assert message in answer.explain() or len(answer.refused) > 3


def test_the_smallest_set_for_three_and_a_half_has_teeth():
    # Its tips clear the roots as they are cut; clear of the nominal ones, shorter by the backlash, the
    # contact ratio would be 1.088.
    stage = design_stage(12, 9, 30, 3)
    assert min(stage.contact_ratios) == pytest.approx(1.13, abs=0.02)
    assert planetary(3.5).offered[0] == ToothSet(12, 9, 30, 3)
    assert_meshes(ToothSet(12, 9, 30, 3), module=0.3)

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from geometry.errors import InputError
from geometry.gear_blanks import RIM
from geometry.gear_mesh import mesh_play
from geometry.gear_stack import GearStack, Wanted, solve_stack
from geometry.gear_tables import lewis_factor, modules
from geometry.gear_train import housing_wall
from geometry.tooth_rules import stage_rules

QUESTIONS = [
    Wanted(16, 4, torque=60),
    Wanted(16, 14, torque=60),
    Wanted(22, 24, planets=4),
    Wanted(16, 100, tolerance=0.01, torque=300),
    Wanted(10, 5.2, tolerance=0.03, planets=2),
]


def holds(stack: GearStack, wanted: Wanted) -> None:
    assert stack.ratio == pytest.approx(wanted.ratio, rel=max(wanted.tolerance, 1e-9))
    assert stack.length > sum(placed.length for placed in stack.stages)
    for placed in stack.stages:
        stage, teeth = placed.stage, placed.teeth
        assert stage.module in modules()
        outer = 2 * (stage.ring.root_radius + RIM * stage.module + housing_wall(wanted.diameter))
        assert outer <= wanted.diameter + 1e-9
        assert 5 * stage.module - 1e-9 <= placed.width <= 15 * stage.module
        rules = stage_rules(
            teeth.sun,
            teeth.planet,
            teeth.ring,
            teeth.planets,
            centre_distance=stage.centre_distance / stage.module,
            planet_tip_diameter=2 * stage.planet.tip_radius / stage.module,
        )
        assert all(rule.passed or rule.note for rule in rules)


@pytest.mark.parametrize("wanted", QUESTIONS, ids=lambda w: f"{w.ratio}in{w.diameter}")
def test_every_stack_offered_keeps_what_was_asked(wanted: Wanted) -> None:
    answer = solve_stack(wanted)
    assert answer.offered
    for stack in answer.offered:
        holds(stack, wanted)
        if wanted.torque is not None:
            assert stack.stages[-1].torque == wanted.torque
            driven = stack.stages[0]
            assert driven.torque is not None
            into = driven.torque / driven.stage.ratio / driven.stage.efficiency()
            assert into * stack.ratio * stack.efficiency == pytest.approx(wanted.torque, rel=1e-9)


@pytest.mark.parametrize("wanted", QUESTIONS[:3], ids=lambda w: f"{w.ratio}in{w.diameter}")
def test_the_first_stacks_offered_mesh_without_overlap(wanted: Wanted) -> None:
    answer = solve_stack(wanted, most_stages=2)
    for stage in {placed.teeth: placed.stage for s in answer.offered[:2] for placed in s.stages}.values():
        for pair in ((stage.sun, stage.planet), (stage.planet, stage.ring)):
            play = mesh_play(*pair, stage.centre_distance)
            assert play.overlap == 0.0
            assert play.least_backlash == pytest.approx(stage.backlash, abs=0.002)


@pytest.mark.long
@pytest.mark.parametrize("wanted", QUESTIONS, ids=lambda w: f"{w.ratio}in{w.diameter}")
def test_all_stacks_and_spurs_offered_mesh_without_overlap(wanted: Wanted) -> None:
    answer = solve_stack(wanted)
    pairs = [(p.pinion, p.wheel, p.centre_distance, p.backlash) for p in answer.spur]
    for stage in {placed.teeth: placed.stage for s in answer.offered for placed in s.stages}.values():
        pairs.append((stage.sun, stage.planet, stage.centre_distance, stage.backlash))
        pairs.append((stage.planet, stage.ring, stage.centre_distance, stage.backlash))
    for first, second, distance, backlash in pairs:
        play = mesh_play(first, second, distance)
        assert play.overlap == 0.0
        assert abs(play.least_backlash - backlash) < 0.002
        assert abs(play.most_backlash - backlash) < 0.002


def test_four_to_one_offers_the_trades_stage_in_the_largest_module() -> None:
    answer = solve_stack(Wanted(16, 4, torque=60))
    lines = {str(stack.stages[0].teeth): stack for stack in answer.offered}
    assert lines["12/12/36"].stages[0].stage.module == 0.3
    assert lines["12/12/36"].backlash_deg == pytest.approx(0.254, abs=1e-3)
    assert [s.length for s in answer.offered] == sorted(s.length for s in answer.offered)
    assert "13/13/39 refused: (sun + ring) / planets = (13 + 39) / 3" in answer.explain()


def test_three_equal_stages_lose_what_the_formula_says() -> None:
    # Backlash of the motor's stages is divided by the ratios behind them: b (1 + 1/i + 1/i^2).
    one = solve_stack(Wanted(16, 4), most_stages=1).offered
    stage = next(s for s in one if str(s.stages[0].teeth) == "12/12/36").stages[0]
    three = GearStack((stage, stage, stage), 20.0)
    assert three.ratio == pytest.approx(64)
    assert three.efficiency == pytest.approx(stage.stage.efficiency() ** 3, rel=1e-12)
    own = math.degrees(stage.stage.backlash_at_carrier)
    assert three.backlash_deg == pytest.approx(own * (1 + 1 / 4 + 1 / 16), rel=1e-12)


def test_more_torque_takes_a_wider_face_by_lewis() -> None:
    def width(torque: float) -> float:
        stacks = solve_stack(Wanted(16, 4, torque=torque), most_stages=1).offered
        return next(s for s in stacks if str(s.stages[0].teeth) == "12/12/36").stages[0].width

    assert width(1.0) == pytest.approx(5 * 0.3)
    assert width(700.0) == pytest.approx(2 * width(350.0), rel=1e-9)
    # By hand: 700 N mm / 4 / 0.97764 / 3 planets on 1.8 mm, a fifth more for uneven load, Y = 0.7 x 0.245.
    force = 1.2 * 700 / 4 / 0.97764 / 3 / 1.8
    assert width(700.0) == pytest.approx(force / (0.3 * 0.7 * 0.245 * 200), rel=1e-4)


def test_too_much_torque_is_refused_with_the_width_it_needs() -> None:
    answer = solve_stack(Wanted(16, 4, torque=5000), most_stages=1)
    assert answer.offered == ()
    assert "12/12/36 refused: stage 1 needs a face width of" in answer.explain()
    assert "above 15 modules of 0.3 mm" in answer.explain()


def test_a_length_too_short_is_refused_with_the_length() -> None:
    answer = solve_stack(Wanted(16, 14, length=5), most_stages=2)
    assert answer.offered == ()
    assert "mm long, above 5 mm" in answer.explain()


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        (Wanted(16, 1.5), "with the ring fixed a stage is always above 2:1"),
        (Wanted(16, 14), "ring above 80 teeth (33/198/429)"),
        (Wanted(16, 15), "neighbours touch: 3 planets leave room only below 14.93:1"),
        (Wanted(16, 1000), "3 stages in 16 mm: 12.17:1 to 421.9:1"),
        (Wanted(1.5, 4), "1 stage: none of 3 planets fits in 1.5 mm"),
        (Wanted(6, 4), "18/18/54 refused: 6 mm would need a module of 0.0889 mm, below 0.1"),
    ],
    ids=lambda case: str(case)[:30],
)
def test_what_cannot_be_says_why(wanted: Wanted, says: str) -> None:
    assert says in solve_stack(wanted).explain()


def test_a_spur_stage_is_the_alternative_beside_the_axis() -> None:
    answer = solve_stack(Wanted(16, 1.5))
    assert answer.offered == ()
    for pair in answer.spur:
        assert pair.ratio == pytest.approx(1.5, rel=1e-9)
        assert 2 * pair.wheel.tip_radius < 16
    assert "spur, offset" in answer.explain()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"diameter": 0.0}, "diameter"),
        ({"torque": -1.0}, "torque"),
        ({"length": math.inf}, "length"),
        ({"ratio": math.nan}, "ratio"),
        ({"planets": 1}, "planets"),
        ({"tolerance": 2.0}, "tolerance"),
    ],
)
def test_numbers_that_are_no_question_are_refused(change: dict[str, float], field: str) -> None:
    with pytest.raises(InputError) as refused:
        solve_stack(replace(Wanted(16, 4), **change))  # type: ignore[arg-type]  # the cases are dictionaries
    assert [problem.field for problem in refused.value.problems] == [field]


def test_the_number_of_stages_is_bounded() -> None:
    with pytest.raises(InputError, match="write 1 to 4"):
        solve_stack(Wanted(16, 4), most_stages=9)


def test_tables_hold_what_the_standards_print() -> None:
    assert modules()[:5] == (0.05, 0.06, 0.08, 0.1, 0.12)
    assert {1.0, 1.25, 1.5, 2.0, 50.0} <= set(modules())
    assert 0.35 in modules(second_series=True)
    assert 0.35 not in modules()
    assert (lewis_factor(12), lewis_factor(20), lewis_factor(400)) == (0.245, 0.322, 0.480)
    assert lewis_factor(32) == pytest.approx(0.359 + 0.012 * (1 / 30 - 1 / 32) / (1 / 30 - 1 / 34))
    assert lewis_factor(8) == 0.245

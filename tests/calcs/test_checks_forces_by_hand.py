"""Forces, torques, guides and temperature called with plain numbers that can be done by hand."""

from __future__ import annotations

import math
from math import pi

import pytest
from hand import D2, DOWN, FLANK, LEAD, PUSHED, TILTED, UP, case, found, same

from calcs.case import Push
from calcs.checks import drive, drive_back, drive_holding, environment, gearing, guide, guide_loads
from calcs.checks.drive import AxialForces
from calcs.formulas.motion import moment_friction_n
from geometry.units import Band

G = 9.80665


def test_weight_and_friction_of_each_load_case() -> None:
    # 2 kg: 0.6 of the weight along, 0.8 across; the arm of 50 mm on a guide of 40 mm doubles 1.25 times 2 mu
    rows = drive.axial_forces.function((case(), TILTED), 2.0, Band(0.1, 0.2, 0.3), 0.04, 0.05, 1.5)
    assert [row.weight_n for row in rows] == pytest.approx([2.0 * G, -1.2 * G])
    for mu, upright, tilted in zip((0.1, 0.2, 0.3), rows[0].friction_n, rows[1].friction_n, strict=True):
        assert upright == pytest.approx(1.5 + 2.0 * G * 2.5 * mu)
        assert tilted == pytest.approx(1.5 + 1.6 * G * mu + 1.2 * G * 2.5 * mu)
    assert float(moment_friction_n(1.0, 0.05, 0.04, 1.0)) == pytest.approx(2.5)
    (bare,) = drive.axial_forces.function((TILTED,), 2.0)
    assert bare.friction_n == Band(0.0, 0.0, 0.0)  # a friction that is not given is none
    (alone,) = drive.axial_forces.function((TILTED,), 2.0, same(0.2))
    assert alone.friction_n == pytest.approx(same(1.6 * G * 0.2))


def test_forces_of_the_work() -> None:
    assert drive.steady_force_n.function((UP, DOWN)) == Band(33.0, 35.0, 36.0)
    assert drive.accelerating_force_n.function(Band(1.0, 2.0, 3.0), 4.0, 0.5) == Band(3.0, 4.0, 5.0)
    # 20 N of weight and 35 N against, or 40 N along less the weight: 55 N; with 4 kg at 0.5 m/s2 2 N more
    assert drive.peak_force_n.function((UP,), (PUSHED,), 4.0, 0.5) == Band(58.0, 59.0, 61.0)
    # turned over, the 40 N that pull outwards join 30 N of weight
    assert drive.peak_force_n.function((DOWN,), (PUSHED,), 4.0) == Band(73.0, 75.0, 76.0)
    # what is left of the weight: 25 N of the lower one, less friction
    assert drive.lowering_force_n.function((UP, DOWN)) == Band(24.0, 25.0, 27.0)
    slack = AxialForces("slack", 35.0, same(20.0))  # 15 N are left of it
    assert drive.lowering_force_n.function((UP, slack)) == Band(16.0, 18.0, 19.0)
    assert drive.lowering_force_n.function((UP,)) == Band(16.0, 18.0, 19.0)


def test_pushes_that_overlap_add_up_by_direction() -> None:
    assert drive.highest_push(PUSHED, against=True) == 35.0
    assert drive.highest_push(PUSHED, against=False) == 40.0
    assert drive.highest_push(case(), against=True) == 0.0
    assert drive.highest_push(case("", 1.0, 0.0, Push(0.0, 0.01, 0.5)), against=True) == 0.5
    apart = case(
        "", 1.0, 0.0, Push(0.0, 0.01, 30.0), Push(0.01, 0.02, 5.0)
    )  # one ends where the other begins
    assert drive.highest_push(apart, against=True) == 30.0


def test_torques_at_the_screw() -> None:
    # 1000 N: 1000 * 5 mm * 0.4 / 0.97; collar 0.12 on 30 mm: 1.8; grown by 1.5; drag 0.25
    plain = drive.raising_torque_nm.function(same(1000.0), D2, LEAD, same(0.15), FLANK)
    assert plain == pytest.approx(same(2.0 / 0.97))
    all_of_it = drive.raising_torque_nm.function(
        same(1000.0), D2, LEAD, same(0.15), FLANK, same(0.12), 0.03, same(1.5), same(0.25)
    )
    assert all_of_it == pytest.approx(same((2.0 / 0.97 + 1.8) * 1.5 + 0.25))
    assert drive.torque_for(1000.0, D2, LEAD, 0.15, FLANK) == pytest.approx(2.0 / 0.97)
    assert drive.torque_for(-1000.0, D2, LEAD, 0.15, FLANK) == pytest.approx(1.0 / 1.03)
    lowered = drive.lowering_torque_nm.function(same(1000.0), D2, LEAD, same(0.15), FLANK)
    assert lowered == pytest.approx(same(1.0 / 1.03))
    held_up = drive.lowering_torque_nm.function(same(-1000.0), D2, LEAD, same(0.15), FLANK)
    assert held_up == pytest.approx(same(2.0 / 0.97))
    # with the collar's 1.8 N*m; at the ends half and twice the force, 0.05 just holds: tan(0.1) - 0.1 is none
    both = drive.lowering_torque_nm.function(
        Band(500.0, 1000.0, 2000.0), D2, LEAD, Band(0.05, 0.15, 0.15), FLANK, Band(0.06, 0.12, 0.12), 0.03
    )
    assert both == pytest.approx(Band(0.45, 1.0 / 1.03 + 1.8, 2.0 / 1.03 + 3.6))
    dragged = drive.lowering_torque_nm.function(
        same(1000.0), D2, LEAD, Band(0.05, 0.15, 0.15), FLANK, screw_drag_nm=Band(0.1, 0.2, 0.3)
    )
    assert dragged == pytest.approx(Band(0.1, 1.0 / 1.03 + 0.2, 1.0 / 1.03 + 0.3))
    driven = drive.lowering_torque_nm.function(Band(500.0, 1000.0, 2000.0), D2, LEAD, same(0.0), FLANK)
    assert driven == pytest.approx(Band(-1.0, -0.5, -0.25))


def test_the_highest_force_that_lasts() -> None:
    # 20 N of weight and 1, 2, 4 N of friction, 35 N where both resist, 40 N less the weight the other way
    assert drive.sustained_force_n.function((UP,), (PUSHED,)) == pytest.approx(Band(56.0, 57.0, 59.0))
    assert drive.sustained_force_n.function((UP,), (case(),)) == pytest.approx(Band(21.0, 22.0, 24.0))


def test_words_of_forces_and_torques() -> None:
    seated, held = "the weight alone keeps the nut seated", "friction of the guide exceeds the weight"
    assert found(drive.force_lowering, Band(0.1, 2.0, 3.0)).note == seated
    assert found(drive.force_lowering, Band(-3.0, -1.0, 0.0)).note == held
    for low, high in ((-3.0, 0.5), (0.0, 0.5)):
        assert found(drive.force_lowering, Band(low, 0.1, high)).note == f"at its high end {held}"
    pushed = case("lift", 1.0, 0.0, Push(0.01, 0.03, 5.0))
    row = found(drive.force_peak, same(5.0), (pushed,))
    assert row.note == (
        "lift: 5 N over s 10 to 30 mm; positive forces resist extending, negative ones retracting; "
        "each counts on the way that it resists"
    )
    assert row.cautions == ("No motion.acceleration is given: ramps are not counted",)
    assert found(drive.force_peak, same(5.0), (case(),), 0.5).cautions == ()
    assert found(drive.force_steady, same(5.0), (UP,), True).cautions == ()
    assert found(drive.force_steady, same(5.0), (UP,), False).cautions[0].startswith("No [guide] is given")
    row = found(drive.raise_torque, Band(1e-3, 2e-3, 4e-3), same(1.0), LEAD, D2, Band(0.1, 0.2, 0.3))
    assert row.note == "2.00 mN*m at friction 0.2, 4.00 mN*m at 0.3"
    turns = found(drive.lower_torque, Band(-1e-3, 2e-3, 4e-3), same(1.0), LEAD, D2, same(0.1))
    assert turns.note == "negative: the load turns the screw"
    assert found(drive.lower_torque, Band(0.0, 2e-3, 4e-3), same(1.0), LEAD, D2, same(0.1)).note == ""
    assert found(drive.lead_angle, LEAD, D2).value == pytest.approx(math.atan(0.1))
    assert found(drive.efficiency, LEAD, D2, same(0.15), FLANK).value == pytest.approx(same(0.2425))


@pytest.mark.parametrize(
    ("low", "verdict"),
    [(0.0751, "PASS"), (0.0749, "WARN"), (0.0501, "WARN"), (0.0499, "FAIL")],  # 1.5 and 1 times 0.05
)
def test_holding_at_the_lowest_friction(low: float, verdict: str) -> None:
    friction = Band(low, 0.10, 0.15)
    row = found(drive_holding.holding, LEAD, D2, friction, FLANK, (case(),), "hold")
    assert (row.verdict, row.limit) == (verdict, 1.5)
    assert row.value == pytest.approx(Band(low / 0.05, 2.0, 3.0))
    assert row.note.startswith(f"{low / 0.05:.3f} at friction {low:g}, 2.000 at 0.1; the load starts to turn")
    assert "below friction 0.0500" in row.note
    if verdict != "PASS":  # 1.5 * 0.05; lead pi mm * k / 1.5
        lead = pi * low / 0.05 / 1.5
        words = f"friction of 0.0750 or more at its low end, a lead of {lead:.3g} mm or less, or a [brake]"
        assert row.remedy == words
    assert len(row.cautions) == 2
    assert found(drive_holding.holding, LEAD, D2, friction, FLANK, (case(up=0.0),), "hold").cautions == ()


def test_holding_under_vibration_with_a_brake_and_by_balls() -> None:
    band = same(0.10)
    shaken = found(drive_holding.holding, LEAD, D2, band, FLANK, (case("road", shaken="2 g"),), "hold")
    assert (shaken.verdict, shaken.judged, shaken.remedy) == (
        "NOT PROVEN",
        pytest.approx(2.0),
        "add a [brake] or test",
    )
    assert "vibration is stated (road: 2 g)" in shaken.note
    assert len(shaken.cautions) == 3
    weak = found(drive_holding.holding, LEAD, D2, same(0.04), FLANK, (case("road", shaken="2 g"),), "hold")
    assert weak.verdict == "FAIL"  # shaken or not
    assert weak.remedy == (
        "a [brake]; without vibration friction of 0.0750 or more at its low end, "
        "a lead of 1.68 mm or less would do"
    )
    assert weak.note.endswith("; vibration is stated (road: 2 g)")
    assert (weak.judged, weak.limit, len(weak.cautions)) == (pytest.approx(0.8), 1.5, 3)
    assert found(drive_holding.holding, LEAD, D2, band, FLANK, (case(),), "fall").verdict == "INFO"
    assert found(drive_holding.holding, LEAD, D2, band, FLANK, (case(),), "hold", 1.0).verdict == "INFO"
    balls = found(drive_holding.holding, LEAD, D2, same(0.004), FLANK, (case(),), "hold", None, 1000.0)
    assert (balls.verdict, balls.remedy) == ("FAIL", "a [brake]")
    smooth = found(drive_holding.holding, LEAD, D2, same(0.0), FLANK, (case(),), "hold")
    assert smooth.remedy == "friction of 0.0750 or more at its low end, or a [brake]"  # whatever the lead
    shaking = (case(shaken="2 g"),)
    balls = found(drive_holding.holding, LEAD, D2, same(0.004), FLANK, shaking, "hold", None, 1000.0)
    assert (balls.verdict, balls.remedy) == ("FAIL", "a [brake]")


def test_what_must_hold_the_screw_at_rest() -> None:
    # 20 N of weight: 55 N with what pushes in, 20 N the other way; of -30 N: 5 N and 70 N
    assert drive_holding.resting_force_n.function((UP,), (PUSHED,)) == 55.0
    assert drive_holding.resting_force_n.function((DOWN,), (PUSHED,)) == 70.0
    assert drive_holding.resting_force_n.function((DOWN,), (case(),)) == 30.0
    # without friction 1000 N turn the screw with 1000 * 5 mm * 0.1; where it holds nothing is needed
    free = drive_holding.holding_torque_nm.function(1000.0, D2, LEAD, Band(0.0, 0.1, 0.2), FLANK)
    assert free == pytest.approx(0.5)
    assert drive_holding.holding_torque_nm.function(1000.0, D2, LEAD, same(0.15), FLANK) == 0.0


@pytest.mark.parametrize(
    ("torque", "place", "limit", "verdict"),
    [(0.301, "screw", 0.3, "PASS"), (0.299, "screw", 0.3, "FAIL"), (0.07, "motor", 0.075, "FAIL")],
)
def test_brake_bears_one_and_a_half_times(torque: float, place: str, limit: float, verdict: str) -> None:
    row = found(drive_holding.brake, torque, place, 0.2, 4.0)
    assert (row.verdict, row.limit) == (verdict, pytest.approx(limit))
    assert row.remedy == ("" if verdict == "PASS" else f"brake.torque of {limit * 1e3:g} mN*m")


def test_sag_until_the_brake_holds() -> None:
    # 0.5 mm a radian: 0.02 at the screw, and 0.08 at the motor over 4, or all of it at the screw
    braked = (LEAD, 0.02, 4.0, 0.3, same(0.1), 1.0, 0.08)
    assert found(drive_holding.sag, *braked).value == pytest.approx(20e-6)
    assert found(drive_holding.sag, *braked, "screw").value == pytest.approx(
        40e-6
    )  # behind gear and coupling
    unbraked = (*braked[:5], None, 0.08, "screw")
    assert found(drive_holding.sag, *unbraked).value == pytest.approx(20e-6)
    assert found(drive_holding.sag, *braked, "motor", 0.0, 30e-6).verdict == "PASS"


def test_what_nothing_holds_sags_without_end() -> None:
    # 0.3 N*m turn the screw at the lowest friction, 0.075 the motor: a detent of less lets it run down
    for detent, verdict in ((0.0749, "FAIL"), (0.0751, "PASS")):
        row = found(
            drive_holding.sag, LEAD, 0.02, 4.0, 0.3, Band(0.1, 0.2, 0.2), detent_torque_nm=detent, limit=1.0
        )
        assert row.verdict == verdict
    runs = found(drive_holding.sag, LEAD, 0.02, 4.0, 0.3, Band(0.1, 0.2, 0.2), limit=1.0)
    assert (runs.value, runs.note) == (None, "at friction 0.1 nothing holds the load: it runs down")
    assert found(drive_holding.sag, LEAD, 0.02, 4.0, 0.3, same(0.1)).verdict == "NOT CHECKED"
    assert found(drive_holding.sag, LEAD, 0.02, 4.0, 0.0, same(0.1), limit=1.0).verdict == "PASS"


def test_drag_of_preload_and_lip() -> None:
    drag = drive_back.screw_drag_nm.function
    thread = (LEAD, D2, Band(0.05, 0.15, 0.15), FLANK)
    assert drag(*thread) is None
    assert drag(*thread, 0.003) == same(0.003)
    assert drag(*thread, 0.003, 0.002) == pytest.approx(same(0.005))
    assert drag(*thread, None, 0.002) == same(0.002)
    # 1000 N up and down at 0.15; at 0.05 the half that is lowered takes none: tan(phi') is tan(lambda)
    spring = 1000.0 * (0.002 / 0.97 + 0.001 / 1.03)
    light = 1000.0 * 0.005 * 0.2 / 0.99
    assert drag(*thread, None, None, 1000.0) == pytest.approx(Band(light, spring, spring))
    assert drag(*thread, None, 0.002, 1000.0) == pytest.approx(
        Band(light + 0.002, spring + 0.002, spring + 0.002)
    )
    assert drag(*thread, 0.003, None, 1000.0) == same(0.003)
    # balls: 0.05 * 200 * lead / (2 pi sqrt(tan beta)); 0.1 on d2, 0.04 on a circle of 25 mm
    balls = 0.05 * 200.0 * LEAD / (2.0 * pi)
    assert drag(*thread, None, None, 0.0, 200.0) == pytest.approx(same(balls / math.sqrt(0.1)))
    assert drag(*thread, None, 0.002, 0.0, 200.0, 0.025) == pytest.approx(same(balls / 0.2 + 0.002))
    assert drag(*thread, 0.003, None, 0.0, 200.0) == same(0.003)
    half = 0.05 * 0.5 * LEAD / (2.0 * pi) / math.sqrt(0.1)
    assert drag(*thread, None, None, 0.0, 0.5) == pytest.approx(same(half))
    assert drag(*thread, None, None, 0.5).nominal == pytest.approx(spring / 2000.0)
    share = found(drive_back.preload_drag, same(0.003), Band(0.010, 0.012, 0.020))
    assert (share.value, share.note) == (same(0.003), "25 % of the screw torque")


def test_what_keeps_the_nut_from_turning() -> None:
    # 2 * 0.2 * (5 mm * 0.4 / 0.97) / 50 mm
    fed_back = 0.4 * 0.002 / 0.97 / 0.05
    grown = drive_back.anti_rotation.function(0.05, same(0.2), LEAD, D2, same(0.15), FLANK)
    assert grown == pytest.approx(same(1.0 / (1.0 - fed_back)))
    row = found(drive_back.anti_rotation_reaction, Band(1.0, 2.0, 3.0), 0.05, same(0.2), same(1.25))
    assert (row.verdict, row.value) == ("INFO", pytest.approx(Band(20.0, 40.0, 60.0)))
    assert row.note == "its friction 16 N makes the torque 1.25 times as large"
    for limit, verdict in ((61.0, "PASS"), (59.0, "FAIL")):
        held = found(
            drive_back.anti_rotation_reaction, Band(1.0, 2.0, 3.0), 0.05, same(0.2), same(1.25), limit
        )
        assert held.verdict == verdict


def test_driving_back() -> None:
    row = found(drive_back.back_efficiency, LEAD, D2, Band(0.0, 0.05, 0.15), FLANK)
    assert row.value == pytest.approx(Band(-2.0 / 1.03, 0.0, 1.0), abs=1e-12)
    assert row.note == "holds at high friction only"
    assert found(drive_back.back_efficiency, LEAD, D2, same(0.0), FLANK).note == "the load drives the screw"
    assert found(drive_back.back_efficiency, LEAD, D2, same(0.15), FLANK).note == "the thread holds"
    turned = found(drive_back.back_torque, 1000.0, LEAD, D2, Band(0.0, 0.05, 0.15), FLANK, 4.0)
    assert turned.value == pytest.approx(Band(0.0, 0.0, 0.5), abs=1e-12)
    assert turned.note.startswith("at the motor up to 125 mN*m")
    for torque, verdict in ((0.0376, "PASS"), (0.0374, "FAIL")):  # 1.5 * 0.1 / 4
        held = found(drive_back.detent, torque, 0.1, 4.0)
        assert (held.verdict, held.limit) == (verdict, pytest.approx(0.0375))
    assert held.remedy == "motor.detent_torque of 37.5 mN*m, or a [brake]"
    for limit, verdict in ((0.3, "PASS"), (0.29, "FAIL")):
        row = found(drive_back.coupling, Band(0.1, 0.2, 0.3), limit)
        assert row.verdict == verdict
    assert row.remedy == "a coupling for 300 mN*m"


def test_a_guide_locks_where_its_arm_is_long() -> None:
    # mu 0.2: 2.5 guide lengths
    for arm, verdict in ((0.0999, "PASS"), (0.1001, "FAIL")):
        row = found(guide.binding, arm, 0.04, Band(0.1, 0.15, 0.2), "ball")
        assert (row.verdict, row.limit) == (verdict, 2.5)
    assert row.remedy == "a guide of 50 mm or more, or a shorter arm"  # kept to 2 : 1
    for arm, verdict in ((0.0799, "PASS"), (0.0801, "WARN"), (0.1001, "FAIL")):
        assert found(guide.binding, arm, 0.04, Band(0.1, 0.15, 0.2), "plain").verdict == verdict
    steep = found(guide.binding, 0.06, 0.04, same(0.5), "plain")  # locks at 1 already
    assert (steep.verdict, steep.remedy) == ("FAIL", "a guide of 60 mm or more, or a shorter arm")
    assert found(guide.binding, 0.9, 0.04, same(0.0)).note == "without friction no guide locks"
    assert found(guide.binding, 0.9, 0.04, same(0.2)).note.startswith(
        "some kind of guide, friction up to 0.2"
    )


def test_loads_of_the_guide() -> None:
    assert guide_loads.side_load_n.function((case(), TILTED), 2.0) == pytest.approx(1.6 * G)
    for limit, verdict in ((15.7, "PASS"), (15.6, "FAIL")):
        assert found(guide_loads.side_load, 1.6 * G, limit=limit).verdict == verdict
    # 2 N*m on 200 mm: 10 N more, at the high end
    for limit, verdict in ((15.7 + 10.0, "PASS"), (15.6 + 10.0, "FAIL")):
        row = found(guide_loads.side_load, 1.6 * G, Band(0.5, 1.0, 2.0), 0.2, limit)
        assert (row.verdict, row.value) == (verdict, pytest.approx(1.6 * G + 10.0))
    assert row.note == "15.7 N of weight and 10 N against turning, taken to add up"
    assert row.remedy == "a stronger guide or a longer guide.reaction_arm"
    for given in ((Band(0.5, 1.0, 2.0), None), (None, 0.2)):
        assert found(guide_loads.side_load, 16.0, *given, 16.0).value == 16.0
    # 2 kg (g + 0.19335) is 20 N on 50 mm
    row = found(guide_loads.moment, 2.0, 0.05, 0.19335, 0.99)
    assert (row.verdict, row.value) == ("FAIL", pytest.approx(1.0))
    assert found(guide_loads.moment, 2.0, 0.05, 0.19335, 1.01).verdict == "PASS"
    guided = found(guide_loads.nut_load, 16.0, True)
    assert (guided.verdict, guided.value) == ("PASS", 0.0)
    assert guided.note.startswith("the guide carries 16 N across")
    assert found(guide_loads.nut_load, 16.0, False).verdict == "WARN"
    assert found(guide_loads.nut_load, 1e-9, False).verdict == "INFO"


def test_tilt_along_and_across() -> None:
    # 20 um of play: 50 mm over 40 mm, 50 mm over 20 mm
    row = found(guide_loads.tilt, 20e-6, 0.05, 0.04, 0.02, 24e-6)
    assert (row.verdict, row.value) == ("WARN", pytest.approx(25e-6))
    assert row.note.startswith("20 um of play across the guide, 50 um across at the load")
    assert found(guide_loads.tilt, 20e-6, 0.05, 0.04, None, 26e-6).verdict == "PASS"


def test_expansion_of_both_materials_must_be_known() -> None:
    known = environment.expansions_per_k.function
    steel, brass = known("steel", "steel"), known("steel", "brass")
    assert steel is not None
    assert brass is not None
    assert (brass[0], steel[1]) == (steel[0], steel[0])
    assert brass[1] > 1.4 * steel[0]  # some 19 against 12e-6 / K
    assert known("steel", "unheard of") is None


def test_growth_and_fit() -> None:
    # 8e-6 / K over 0.5 m and 30 K: 120 um; on 10 mm of diameter 2.4 um
    alike = (12e-6, 20e-6)
    for limit, verdict in ((121e-6, "PASS"), (119e-6, "FAIL")):
        row = found(environment.growth, alike, 0.5, 30.0, "steel", "brass", limit)
        assert (row.verdict, row.value) == (verdict, pytest.approx(120e-6))
    assert row.note == "steel against brass, 30 K"
    loose = found(environment.fit, alike, 0.01, 3e-6, 30.0)
    assert (loose.verdict, loose.value) == ("PASS", pytest.approx(0.6e-6))
    assert loose.note.startswith("2.4 um go at the hot end")
    just = found(environment.fit, alike, 0.01, 2.4e-6, 30.0)  # 8e-6 * 0.01 * 30 is a hair more in floats
    assert (just.verdict, just.value) == ("PASS", 0.0)
    for diameter, words in ((0.010, "2.4 um"), (0.01001, "2.41 um"), (0.1, "24 um"), (0.10001, "24.1 um")):
        assert found(environment.fit, alike, diameter, 0.0, 30.0).remedy == f"thermal.play of {words}"
    same_material = found(environment.fit, (12e-6, 12e-6), 0.01, 0.0, 30.0)  # nothing goes: nothing is asked
    assert (same_material.verdict, same_material.value) == ("PASS", 0.0)
    tight = found(environment.fit, alike[::-1], 0.01, 2e-6, 30.0)
    assert (tight.verdict, tight.remedy) == ("FAIL", "thermal.play of 2.4 um")
    assert "at the cold end" in tight.note


def test_range_of_the_lubricant_and_drag_in_the_cold() -> None:
    row = found(environment.lubricant, Band(-20.0, 0.0, 80.0), 50.0, -10.0)
    assert (row.verdict, row.value, row.note) == ("PASS", 10.0, "-10 to 50 degC in -20 to 80")
    assert found(environment.lubricant, Band(-20.0, 0.0, 80.0), 81.0, -10.0).value == -1.0
    assert found(environment.lubricant, Band(-20.0, 0.0, 80.0), 50.0, -21.0).verdict == "FAIL"
    warm = found(environment.seal_drag, 2.0, same(8.0), 0.0)
    assert (warm.note, warm.cautions) == ("25 % of the steady force", ())
    cold = found(environment.seal_drag, 2.0, same(0.0), -0.1)
    assert cold.note == "0 % of the steady force"
    assert "drag 2 to 5 times as much" in cold.cautions[0]
    assert found(environment.vibration, (case(),)).verdict == "INFO"
    assert found(environment.vibration, (case("road", shaken="2 g"),)).note == "road: 2 g"


def test_what_a_gear_is_by_itself() -> None:
    assert gearing.ratio.function(False, False) == 1.0
    assert gearing.ratio.function(True, False, (), 5.0) == 5.0
    assert gearing.gear_efficiency.function(False) == same(1.0)
    assert gearing.lost_angle_rad.function(True) is None
    assert gearing.lost_angle_rad.function(True, 0.01, 0.002) == pytest.approx(0.012)
    assert gearing.lost_angle_rad.function(False, None, 0.002) == 0.002
    assert gearing.least_lost_angle_rad.function(None, 0.01, 0.002) == pytest.approx(0.012)
    assert gearing.least_lost_angle_rad.function(0.02, 0.01, 0.002) == 0.02
    # the coupling of 30 N*m/rad winds by 0.6 / 30
    assert gearing.wind_up_rad.function(30.0, Band(0.1, 0.2, 0.4), Band(0.0, 0.1, 0.2)) == pytest.approx(0.02)
    assert gearing.wind_up_rad.function(30.0, Band(0.1, 0.2, 0.4), Band(-0.9, -0.8, -0.5)) == 0.0
    assert gearing.lost_motion_limit_m.function(1e-5, 2e-5) == 1e-5
    assert gearing.lost_motion_limit_m.function(None, 2e-5) == 2e-5
    # one way: 20 N less 4 N of friction alone; both ways where 40 N pull it off its flank
    assert gearing.seating_force_n.function((UP,), (case(),)) == 16.0
    assert gearing.seating_force_n.function((DOWN,), (case(),)) == 24.0
    assert gearing.seating_force_n.function((UP,), (PUSHED,)) == 0.0
    pulled = case("", 1.0, 0.0, Push(0.0, 0.01, -10.0))  # 10 N are left, less 4 N
    assert gearing.seating_force_n.function((UP,), (pulled,)) == 6.0
    pressed = case("", -1.0, 0.0, Push(0.0, 0.01, 10.0))  # 20 N are left, less 6 N
    assert gearing.seating_force_n.function((DOWN,), (pressed,)) == 14.0
    slight = AxialForces("slight", 0.9, same(0.4))
    assert gearing.seating_force_n.function((slight,), (case(),)) == pytest.approx(0.5)
    stuck = AxialForces("stuck", 3.0, Band(1.0, 2.0, 4.0))
    assert gearing.seating_force_n.function((stuck,), (case(),)) == 0.0

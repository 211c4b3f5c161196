"""Lost motion, made stages, push rod, bellows and tolerance chain called with numbers done by hand."""

from __future__ import annotations

import math
from math import pi
from types import SimpleNamespace

import numpy as np
import pytest
from hand import edges, found, same

from calcs.case import ChainLink
from calcs.checks import (
    accuracy,
    gearing,
    gearing_made,
    gearing_teeth,
    push_rod,
    seal,
    strength,
    tolerance,
)
from geometry.bodies import Body, Cylinder, Shape
from geometry.units import Band


def test_motion_that_is_lost() -> None:
    # 0.5 mm a radian; 0.02 rad of gear and 0.01 of wind-up; 40 um of play
    lead = 0.001 * pi
    lost = gearing.lost_motion
    seated = found(lost, lead, 0.02, 40e-6, 0.02, 5.0)
    assert (seated.value, seated.note) == (pytest.approx(10e-6), "the weight keeps the nut seated")
    loose = found(lost, lead, 0.02, 40e-6, 0.02, 0.0)
    assert (loose.value, loose.note) == (pytest.approx(50e-6), "the nut's own play counts")
    peak = Band(1.0, 2.0, 282.0)
    sprung = found(lost, lead, 0.02, 40e-6, 0.02, 0.0, peak, 283.0)
    assert (sprung.value, sprung.note.startswith("the spring keeps")) == (pytest.approx(10e-6), True)
    assert "the backlash of gear and coupling stays" in sprung.note
    assert found(lost, lead, 0.02, 40e-6, 0.02, 0.0, peak, 281.0).value == pytest.approx(50e-6)
    # 100 N of preload lift off at 282.8 N
    tight = found(lost, lead, 0.02, 40e-6, 0.02, 0.0, peak, 0.0, 100.0)
    assert (tight.value, tight.note.startswith("the preload keeps")) == (pytest.approx(10e-6), True)
    assert "the backlash of gear and coupling stays" in tight.note
    assert found(lost, lead, 0.02, 40e-6, 0.02, 0.0, peak, 0.0, 99.0).value == pytest.approx(50e-6)
    assert found(lost, lead, 0.02, 40e-6, 0.02, 0.0, None, 1e9).value == pytest.approx(50e-6)
    wound = found(lost, lead, 0.02, 40e-6, 0.02, 5.0, wind_up_rad=0.01)
    assert wound.value == pytest.approx(15e-6)
    assert "; 5 um of it the coupling's wind-up" in wound.note
    for limit, verdict in ((10.1e-6, "PASS"), (9.9e-6, "FAIL")):
        assert found(lost, lead, 0.02, 40e-6, 0.02, 5.0, limit=limit).verdict == verdict
    teeth = found(lost, lead, 0.02, 40e-6, None, 5.0, limit=11e-6)  # the teeth alone are no promise
    assert (teeth.verdict, teeth.remedy) == ("NOT PROVEN", "give gears.backlash, or measure it")
    assert found(lost, lead, 0.02, 40e-6, None, 5.0, limit=9e-6).verdict == "FAIL"
    for limit in (None, 9e-6):
        unknown = found(lost, lead, 0.02, None, 0.02, 0.0, limit=limit)
        assert (unknown.verdict, unknown.asked) == ("NOT CHECKED", limit is not None)
    assert found(gearing.lost_motion_loose, lead, 0.02, 40e-6, 0.01).value == pytest.approx(55e-6)
    edges(gearing.torque, 0.3, Band(0.1, 0.2, 0.3))
    assert found(gearing.torque, Band(0.1, 0.2, 0.3), 0.2).remedy == "a gear for 300 mN*m"
    edges(gearing.input_speed, 80.0, 80.0)


def made(efficiency: float, backlash: float = 0.0, ratio: float = 4.0) -> gearing_made.MadeStage:
    gear = SimpleNamespace(efficiency=lambda: efficiency, backlash_at_carrier=backlash, ratio=ratio)
    return gearing_made.MadeStage(None, gear)  # type: ignore[arg-type] # only these numbers are asked for


def test_what_teeth_tell_of_a_stack() -> None:
    spur = SimpleNamespace(efficiency=lambda: 0.9, backlash_at_wheel=0.03, ratio=2.0)
    refused = gearing_made.MadeStage(None, None, "no room")  # type: ignore[arg-type] # as above
    assert gearing_made.tooth_efficiency(()) is None
    assert gearing_made.tooth_efficiency((made(0.95), refused)) is None
    assert gearing_made.tooth_efficiency((made(0.95), made(0.96))) == pytest.approx(0.912)
    assert gearing_made.tooth_efficiency((made(0.95),), spur) == pytest.approx(0.855)
    assert gearing_made.tooth_efficiency((), spur) == pytest.approx(0.9)
    usual = gearing_made.usual_efficiency
    assert usual((made(0.95), made(0.96))) == pytest.approx(Band(0.64, 0.7225, 0.912))  # 0.8 and 0.85 squared
    assert usual((made(0.95),), spur) == pytest.approx(Band(0.64, 0.7225, 0.855))
    assert usual((made(0.82),)) == pytest.approx(Band(0.80, 0.82, 0.82))
    assert usual((refused,)) is None
    backlash = gearing_made.tooth_backlash_rad.function
    assert backlash() is None
    assert backlash((refused,)) is None
    # the last stage counts whole, the first over the 5 of the last; behind a spur stage all over its 2 more
    assert backlash((made(1.0, 0.1, 4.0), made(1.0, 0.02, 5.0))) == pytest.approx(0.02 + 0.1 / 5.0)
    assert backlash((made(1.0, 0.1, 4.0), made(1.0, 0.02, 5.0)), spur) == pytest.approx(0.03 + 0.01 + 0.01)
    assert backlash((), spur) == 0.03
    row = found(gearing_made.efficiency, True, same(0.8), None, (made(0.95),))
    assert (row.note, len(row.cautions)) == ("tooth friction alone would leave 0.950", 1)
    assert found(gearing_made.efficiency, True, same(0.8), same(0.8)).cautions == ()
    assert found(gearing_made.efficiency, False, same(1.0)).value is None


def test_torque_from_stage_to_stage() -> None:
    first, last = SimpleNamespace(ratio=4.0), SimpleNamespace(ratio=5.0)
    eta = Band(0.64, 0.7, 0.8)  # at least 0.8 a stage: what is lost has to be driven too
    hit = SimpleNamespace(torque_nm=8.0)
    loads = gearing_teeth.stage_loads.function(Band(1.0, 2.0, 4.0), eta, (first, last), None, (hit,))
    assert [load.number for load in loads] == [1, 2]
    assert [load.working_nm for load in loads] == pytest.approx([1.0, 4.0])  # 4 / (5 * 0.8)
    assert [load.highest_nm for load in loads] == pytest.approx([2.0, 8.0])
    assert [load.highest_input_nm for load in loads] == pytest.approx([2.0 / 3.2, 2.0])
    assert str(loads[0]) == "stage 1: 1000, 2000 mN*m"
    assert gearing_teeth.stage_loads.function(same(1.0), eta) is None
    first.torque_continuous, last.torque_continuous = 0.8, None
    row = found(gearing_teeth.stage_torque, True, loads)
    assert (row.verdict, row.value) == ("FAIL", pytest.approx(1.25))
    assert (row.note, row.remedy) == ("stage 1 of 2: 1000 of 800 mN*m", "a stage 1 for 1000 mN*m")
    last.torque_continuous = 2.0  # twice too little: the worse one
    assert found(gearing_teeth.stage_torque, True, loads).value == pytest.approx(2.0)
    first.torque_momentary, last.torque_momentary = 2.1, 8.1
    assert found(gearing_teeth.stage_torque_peak, True, loads).verdict == "PASS"
    first.torque_momentary = last.torque_momentary = None
    left_open = found(gearing_teeth.stage_torque_peak, True, loads)
    assert (left_open.verdict, left_open.asked) == ("NOT CHECKED", False)
    assert left_open.remedy == "give gears.stage.torque_momentary"
    assert found(gearing_teeth.stage_torque_peak, False, ()).verdict == "INFO"


def test_a_push_rod() -> None:
    near = push_rod.rod_near_m.function
    assert near(0.1, 0.02, 0.016) == pytest.approx(0.036)
    assert near(0.1, 0.02, 0.016, "screw") == 0.1
    assert near(0.1) is None
    # bush from 80 to 90 mm: 85 - 36 - 20 mm; where the screw travels from the nut that stands
    span = push_rod.rod_span_m.function
    assert span(0.036, 0.080, 0.010, 0.020) == pytest.approx(0.029)
    assert span(0.036, 0.080, 0.010, 0.020, 0.02, 0.016, "screw") == pytest.approx(0.049)
    assert span(0.036, 0.080, 0.010, 0.020, None, 0.016, "screw") is None
    assert span(0.036, 0.080, 0.010, 0.020, 0.02, travelling_part="screw") == pytest.approx(0.065)
    assert near(0.1, 0.02) == pytest.approx(0.02)
    over = push_rod.rod_overhang_m.function
    assert over(0.036, 0.1, 0.020) == over(0.036, 0.1, 0.020, 0.080) == 0.1
    steel = strength.screw_modulus_pa.function("steel")
    assert push_rod.rod_modulus_pa.function("steel") == steel
    assert 1.9e11 < steel < 2.2e11
    assert push_rod.rod_modulus_pa.function("unheard of") is None
    assert strength.screw_modulus_pa.function("unheard of") is None
    assert 7700.0 < strength.screw_density_kg_m3.function("steel") < 8100.0
    assert strength.screw_density_kg_m3.function("unheard of") is None
    assert over(0.036, 0.1, 0.020, 0.080, 0.010) == pytest.approx(0.071)  # 36 + 100 + 20 - 85
    # 0.4 mm of room: 0.2 to each side at the bush, (30 + 60) / 30 of it at the tip
    row = found(push_rod.rod_play, 0.030, 0.060, 0.0100, 0.0104)
    assert row.value == pytest.approx(0.0006)
    assert row.note == "0.2 mm in the bush, 30 mm from the nut, 60 mm before the tip"
    assert found(push_rod.rod_play, 0.0, 0.060, 0.0100, 0.0104).verdict == "NOT CHECKED"


def test_a_push_rod_as_a_column() -> None:
    # 0.25 pi^3 E d^4 / 64 L^2 of 10 mm over 0.5 m: 31.25 pi^3 N; bored to 0.75 of it (d^4: 1 - 0.3164)
    load = 31.25 * pi**3
    for push, verdict in ((load / 3.001, "PASS"), (load / 2.999, "FAIL")):
        row = found(push_rod.rod_buckling, 0.5, 0.01, 2e11, push, 0.02, 2e11)
        assert (row.verdict, row.value) == (verdict, pytest.approx(load))
    assert row.note == "held by the nut alone, 500 mm free, slenderness 400"
    tube = found(push_rod.rod_buckling, 0.5, 0.01, 2e11, 1.0, 0.02, 2e11, None, 0.0075)
    assert tube.value == pytest.approx(load * (1.0 - 0.75**4))
    # tan(u) = 2 u of a span as long as the overhang
    held = found(push_rod.rod_buckling, 0.5, 0.01, 2e11, 1.0, 0.02, 2e11, 0.5)
    assert held.value == pytest.approx(load * 4.0 * (1.16556118520 / pi) ** 2)
    assert held.note.startswith("pinned at the nut and 500 mm on in the bush, 500 mm beyond it")
    # a thinner screw behind it: (8 / 10)^4
    numbers = (0.5, 0.01, 2e11, 1.0, 0.008, 2e11, None, 0.0)
    weaker = found(push_rod.rod_buckling, *numbers, "screw")
    assert weaker.value == pytest.approx(load * 0.8**4)
    assert weaker.note.endswith("slenderness 500")
    assert found(push_rod.rod_buckling, *numbers).value == pytest.approx(load)
    short = found(push_rod.rod_buckling, 0.1, 0.01, 2e11, 1.0, 0.02, 2e11)
    assert (short.verdict, short.remedy) == ("NOT CHECKED", 'push_rod.strength = "350 MPa"')
    stocky = found(push_rod.rod_buckling, 0.1, 0.01, 2e11, 1.0, 0.02, 2e11, None, 0.0, "nut", 4e8)
    assert stocky.value == pytest.approx(25e-6 * pi * (4e8 - (4e8 * 80.0 / (2.0 * pi)) ** 2 / 2e11))
    for lengths in ((0.0, None), (0.5, 0.0)):
        none = found(push_rod.rod_buckling, lengths[0], 0.01, 2e11, 1.0, 0.02, 2e11, lengths[1])
        assert none.note == "the rod does not reach from the nut through its bush"


def test_bellows_pushed_together_and_drawn_out() -> None:
    for low, verdict in ((-0.0099, "PASS"), (-0.0101, "FAIL")):  # 30 - 10 mm of them
        assert found(seal.bellows_retracted, "bellows", low, 0.030, limit=0.020).verdict == verdict
    tight = found(seal.bellows_retracted, "bellows", -0.012, 0.030, limit=0.020)
    assert tight.note == "at s = -12 mm they have 18 mm"
    assert tight.remedy == "bellows that push together to 18 mm, or what they follow 2 mm further out"
    for high, verdict in ((0.0599, "PASS"), (0.0601, "FAIL")):
        row = found(seal.bellows_extended, "bellows", high, 0.030, limit=0.090)
        assert row.verdict == verdict
    assert row.note == "at s = 60.1 mm they are drawn out to 90.1 mm"
    assert row.remedy == "bellows that draw out to 90.1 mm"
    for check in (seal.bellows_retracted, seal.bellows_extended):
        assert found(check, "lip", 0.0, 0.03, limit=0.02).note == "a lip seal keeps its length"
        assert found(check, "bellows", 0.0, 0.03, "nut", "nut", 0.02).note.startswith("the drive goes with")
        assert found(check, "bellows", 0.0, None, limit=0.02).note == "needs nut.position"
    assert found(seal.bellows_retracted, "bellows", 0.0, 0.03).note == "needs seal.length"


def test_bellows_reach_from_where_they_stand_to_what_they_follow() -> None:
    def body(stretches: bool, *span: float) -> Body:
        shape = Shape((Cylinder("z", (0.0, 0.0), 8.0, (span[0], span[1])),), ())
        return Body("seal", "actuator", False, shape, stretches=stretches)

    assert seal.bellows_m.function((body(False, 0.0, 90.0), body(True, 10.0, 34.0))) == pytest.approx(0.024)
    assert seal.bellows_m.function((body(False, 0.0, 90.0),)) is None


def test_errors_of_the_lead() -> None:
    deviation = accuracy.lead_deviation_m.function
    # P5 over 350 mm: 25 and 25 um; T7 over 150 mm: 2 * 150 / 300 * 52 and 52 um
    assert deviation(0.010, 0.360, "P5") == pytest.approx(Band(25e-6, 50e-6, 50e-6))
    assert deviation(0.010, 0.160, "T7") == pytest.approx(Band(52e-6, 104e-6, 104e-6))
    assert deviation(0.0, 1.7, "P5") is None
    # 60 um in 300 mm: over 100 mm 20 to 60, over 450 mm 90
    assert deviation(0.010, 0.110, "", 60e-6) == pytest.approx(Band(20e-6, 60e-6, 60e-6))
    assert deviation(0.010, 0.460, "", 60e-6) == pytest.approx(same(90e-6))
    assert deviation(0.0, 0.1) is None
    row = found(accuracy.lead_accuracy, Band(20e-6, 60e-6, 60e-6), 0.010, 0.110, "", 61e-6)
    assert (row.verdict, "over 100 mm" in row.note) == ("PASS", True)
    assert row.note.startswith("screw.lead_error; the low end")
    assert (
        found(accuracy.lead_accuracy, Band(20e-6, 60e-6, 60e-6), 0.010, 0.110, "P5", 59e-6).verdict == "FAIL"
    )


def test_the_widest_link_is_named_beside_exact_ones_and_the_draws_quantile_is_numpys() -> None:
    links = (ChainLink("gauge", 1, 0.050, 0.0, 0.0), ChainLink("nut", -1, 0.049, 0.0003, -0.0003))
    rows = tolerance.toleranced_chain.function(links, "m")
    worst = found(tolerance.worst_case, rows, "gap", 0.002)
    assert 'first of "nut" (+-0.3 mm)' in worst.remedy
    drawn = found(tolerance.monte_carlo, rows, "gap", 0.002)
    gaps = tolerance.drawn_gaps_m(rows)
    assert drawn.value == pytest.approx(float(np.quantile(gaps, 0.00135)), rel=1e-12)


CHAIN = (
    ChainLink("housing", 1, 0.050, 0.0002, -0.0001),
    ChainLink("plate", -1, 0.020, 0.0004, -0.0004),
    ChainLink("nut", -1, 0.029, None, None),  # m, over 6 up to 30 mm: 0.2 mm
)


def test_a_tolerance_chain() -> None:
    rows = tolerance.toleranced_chain.function(CHAIN, "m")
    assert [row.part_m for row in rows] == pytest.approx([0.05005, -0.020, -0.029])
    assert [row.half_m for row in rows] == pytest.approx([0.00015, 0.0004, 0.0002])
    # 1.05 mm less 0.75 mm; less sqrt(0.15^2 + 0.4^2 + 0.2^2) = 0.47170
    worst = found(tolerance.worst_case, rows, "gap", 0.0004)
    assert (worst.verdict, worst.value) == ("FAIL", pytest.approx(0.0003))
    assert worst.note == "gap: 1.05 mm nominal, +-0.75 mm"
    assert worst.remedy == '0.1 mm more gap, or closer tolerances, first of "plate" (+-0.4 mm)'
    assert found(tolerance.worst_case, rows, limit=0.00029).verdict == "PASS"
    square = found(tolerance.root_sum_square, rows, limit=0.0005)
    assert (square.verdict, square.value) == ("PASS", pytest.approx(0.00105 - math.sqrt(22.25e-8)))
    assert square.note.startswith("1.05 mm nominal")
    # three sigmas of the same sum; the tail of 10 000 draws scatters by some 3 % of it
    drawn = found(tolerance.monte_carlo, rows, limit=0.0005)
    assert drawn.value == pytest.approx(0.00105 - math.sqrt(22.25e-8), abs=2e-5)
    gaps = tolerance.drawn_gaps_m(rows)
    assert gaps.mean() == pytest.approx(0.00105, abs=5e-6)
    assert gaps.std() == pytest.approx(math.sqrt(22.25e-8) / 3.0, rel=0.03)
    # half of the draws lie below the middle
    half = found(tolerance.monte_carlo, rows, limit=0.00105)
    share = float(half.note.partition("; ")[2].partition(" %")[0])
    assert share == pytest.approx(50.0, abs=2.0)
    assert "draws" not in found(tolerance.monte_carlo, rows).note
    open_end = tolerance.toleranced_chain.function((ChainLink("tiny", 1, 0.0004, None, None),), "m")
    for check in (tolerance.worst_case, tolerance.root_sum_square, tolerance.monte_carlo):
        row = found(check, open_end, limit=0.0)
        assert (row.verdict, row.remedy) == ("NOT CHECKED", 'give "tiny" a tolerance of its own')

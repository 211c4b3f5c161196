"""Strength, mounting and materials called with numbers done by hand."""

from __future__ import annotations

import math
from math import pi

import pytest
from hand import edges, found

from calcs.checks import (
    nut_material,
    strength,
    strength_mounting,
    thread_strength,
)
from calcs.materials import Sliding
from geometry.units import Band


def test_buckling_by_the_ends() -> None:
    # nut's far face 40 + 20 + 50 - 10 mm from the near bearing: 100 mm on 8 mm, slenderness 50 / sqrt(C)
    numbers = (0.010, 0.040, 0.020, 0.050, 0.008, 2e11)
    euler = pi**3 * 2e11 * 0.008**4 / 64.0 / 0.01
    for ends, factor in (
        (("fixed", "free"), 0.25), (("supported", "supported"), 1.0), (("supported", "fixed"), 2.0457),
        (("fixed", "fixed"), 4.0),
    ):  # fmt: skip
        row = found(strength.buckling, *ends, *numbers, 100.0, 4e8)
        slender = 50.0 / math.sqrt(factor)
        assert row.note == f"{ends[0]}-{ends[1]} over 100 mm, slenderness {slender:.0f}, on the root diameter"
        if factor == 0.25:  # at 100 Euler's load holds: 99.3 is the transition
            assert row.value == pytest.approx(0.25 * euler)
        else:  # Johnson: A (Sy - (Sy s / 2 pi)^2 / E)
            johnson = 16e-6 * pi * (4e8 - (4e8 * slender / (2.0 * pi)) ** 2 / 2e11)
            assert row.value == pytest.approx(johnson)
        assert row.limit == 300.0
    long = (0.010, 0.040, 0.020, 0.051, 0.008, 2e11)
    assert (
        found(strength.buckling, "fixed", "free", *long, 100.0).verdict == "PASS"
    )  # slender enough without Sy
    short = found(strength.buckling, "fixed", "fixed", *numbers, 100.0)
    assert (short.verdict, short.remedy) == ("NOT CHECKED", 'screw.strength = "350 MPa"')
    assert (
        found(strength.buckling, "free", "free", *numbers, 100.0).note == "free and free ends hold no column"
    )
    third = 0.25 * euler / 3.0
    for push, verdict in ((third * 0.999, "PASS"), (third * 1.001, "FAIL")):
        assert found(strength.buckling, "fixed", "free", *numbers, push, 4e8).verdict == verdict
    assert strength.highest_push_n.function(Band(1.0, 2.0, 3.0)) == 3.0
    assert strength.highest_push_n.function(Band(1.0, 2.0, 3.0), Band(2.0, 4.0, 5.0)) == 5.0


def test_a_travelling_screw_beyond_its_nut() -> None:
    # the screw's end at 80 + 50 mm, the nut's far face at 30: 100 mm on 8 mm, slenderness 100
    numbers = (0.080, 0.010, 0.020, 0.050, 0.008, 2e11)
    euler = 0.25 * pi**3 * 2e11 * 0.008**4 / 64.0 / 0.01
    for push, verdict in ((euler / 3.001, "PASS"), (euler / 2.999, "FAIL")):
        row = found(strength.drawn_out, "fixed", *numbers, push, "nut", 4e8)
        assert (row.verdict, row.value, row.limit) == (
            verdict,
            pytest.approx(euler),
            pytest.approx(3.0 * push),
        )
    assert row.note == "fixed-free, 100 mm beyond the nut, slenderness 100, on the root diameter"
    assert found(strength.drawn_out, "fixed", *numbers, 1.0, "nut", 4e8, 2.0 * euler).verdict == "FAIL"
    stocky = (0.0799, *numbers[1:])
    assert found(strength.drawn_out, "fixed", *stocky, 1.0, "nut").remedy == 'screw.strength = "350 MPa"'
    assert found(strength.drawn_out, "free", *numbers, 1.0, "nut").remedy == 'ends.nut = "fixed"'
    inside = found(strength.drawn_out, "fixed", -0.0201, *numbers[1:], 1.0, "nut")  # 29.9 mm of 30
    assert (inside.verdict, inside.note) == ("INFO", "the screw never comes out of the nut's far face")
    assert found(strength.drawn_out, "fixed", *numbers, 1.0).note == strength.CARRIED
    whirling = found(
        strength.critical_speed, "fixed", "fixed", 0.0, 0.3, 0.008, 2e11, 8000.0, 1.0, 0.3, "screw"
    )
    assert (whirling.verdict, whirling.note) == ("NOT CHECKED", strength.CARRIED)
    straight = found(thread_strength.slenderness, 0.1, 0.5, 0.010, 0.5, "screw")
    assert (straight.verdict, straight.note) == ("INFO", "the screw travels: see strength.drawn_out")


def test_critical_speed_by_the_ends() -> None:
    # sqrt(2e11 / 8000) = 5000 m/s; 8 mm over 400 mm: 62.5 beta^2
    numbers = (0.010, 0.310, 0.008, 2e11, 8000.0)
    for ends, beta in (
        (("fixed", "free"), 1.8751), (("supported", "supported"), pi), (("supported", "fixed"), 3.9266),
        (("fixed", "fixed"), 4.7300),
    ):  # fmt: skip
        far = 9.9 if ends[1] == "free" else 0.310
        critical = beta**2 / 0.3**2 * 5000.0 * 0.002
        for share, verdict in ((0.799, "PASS"), (0.801, "FAIL")):
            row = found(strength.critical_speed, *ends, *numbers, critical * share, far)
            assert (row.verdict, row.limit) == (verdict, pytest.approx(0.8 * critical))
        assert row.note == f"{ends[0]}-{ends[1]}, 300 mm: critical at {critical * 30.0 / pi:.0f} rpm"
        assert f"an unsupported length of {300.0 * math.sqrt(0.8 / 0.801):.3g} mm" in row.remedy
        assert row.remedy.startswith("a bearing at the far end") == (ends[1] == "free")
    assert (
        found(strength.critical_speed, "fixed", "fixed", *numbers, 1.0).note == "the far bearing has no place"
    )
    free = found(strength.critical_speed, "fixed", "free", *numbers, 1.0)  # none is needed there
    assert free.verdict == "PASS"
    assert free.limit is not None
    fast = found(strength.critical_speed, "fixed", "free", *numbers, 4.0 * free.limit)
    assert "length of 150 mm" in fast.remedy  # four times as fast: half as long
    assert "is not held" in found(strength.critical_speed, "free", "free", *numbers, 1.0).note


def test_stress_of_the_body_and_the_thread() -> None:
    # 500 N on 10 mm: 2e7 / pi; 2 * 4 * 0.75 = 6 N*m: 96e6 / pi
    axial, torsion = 2e7 / pi, 96e6 / pi
    body = math.sqrt(axial**2 + 3.0 * torsion**2)
    row = found(strength.body_stress, 500.0, 2.0, 4.0, Band(0.5, 0.6, 0.75), 0.01, 3.0 * body * 1.001)
    assert (row.verdict, row.value, row.limit) == ("PASS", pytest.approx(body), pytest.approx(body * 1.001))
    edges(strength.body_stress, body, 500.0, 2.0, 4.0, Band(0.5, 0.6, 0.75), 0.01, 1.0)
    root = 12.5e6 / pi  # 6 * 500 / (pi 10 mm * 8 * 3 mm)
    assert found(strength.thread_root, 500.0, 0.01, 8.0, 0.003, 3.0 * root * 1.001).verdict == "PASS"
    assert found(strength.thread_root, 500.0, 0.01, 8.0, 0.003, 3.0 * root * 0.999).verdict == "FAIL"
    # one turn with a bending of 1e8 / pi beside them
    bending = 1e8 / pi
    whole = math.sqrt(bending**2 + bending * axial + axial**2 + 3.0 * torsion**2)
    numbers = (bending, 500.0, Band(1.0, 2.0, 500.0), 2.0, 4.0, Band(0.5, 0.6, 0.75), 0.01)
    for strong, verdict in ((3.001 * whole, "PASS"), (2.999 * whole, "FAIL")):
        row = found(thread_strength.thread_combined, *numbers, strong)
        assert (row.verdict, row.value) == (verdict, pytest.approx(whole))
    assert row.note == "bending 31.8, axial 6.37, torsion 30.6 MPa"
    assert row.remedy == "a thicker screw"  # the work itself pushes as much
    stalled = (bending, 500.0, Band(1.0, 2.0, 499.0), *numbers[3:], 2.999 * whole)
    assert found(thread_strength.thread_combined, *stalled).remedy.endswith(" or a supply.current_limit")


def test_the_turn_that_carries_most() -> None:
    assert thread_strength.turn_share.function(8.0, "bronze") == 0.38
    assert thread_strength.turn_share.function(8.0) == 0.38
    assert thread_strength.turn_share.function(8.0, "POM") == 0.125
    assert thread_strength.highest_force_n.function(5.0) == 5.0
    assert thread_strength.highest_force_n.function(0.5) == 0.5
    assert thread_strength.highest_force_n.function(5.0, Band(1.0, 2.0, 6.0)) == 6.0
    # 0.4 * 500 = 200 N on one turn of 10 mm and 3 mm: bending 6, shear 3 times 200 / (pi 30e-6)
    bending = thread_strength.turn_bending_pa.function(500.0, 0.4, 0.01, 0.003)
    assert bending == pytest.approx(4e7 / pi)
    for share, verdict in ((3.001, "PASS"), (2.999, "FAIL")):
        strong = share * 4e7 / pi
        assert found(thread_strength.first_turn_bending, bending, 0.4, strong).verdict == verdict
        shear_yield = share * 2e7 / pi / 0.577
        for check, also in ((thread_strength.thread_shear, ()), (thread_strength.nut_shear, (500.0,))):
            row = found(check, 500.0, *also, 0.4, 0.01, 0.003, shear_yield)
            assert (row.verdict, row.value) == (verdict, pytest.approx(2e7 / pi))
            assert row.note == "0.40 of the force on the turn that carries most"
    yielding = 2.4e7 / pi / 0.577  # a third of it bears 400 N
    for push, remedy in (
        (399.0, "a stronger nut, a larger thread, or a softer stop"),
        (401.0, "a stronger nut, a larger thread"),
    ):
        row = found(thread_strength.nut_shear, 500.0, push, 0.4, 0.01, 0.003, 2.0 * yielding)
        assert (row.verdict, row.remedy) == ("FAIL", remedy)
    # 0.4 * 500 on pi 10 mm * 1 mm * 0.5
    pressed = 200.0 / (pi * 0.01 * 0.001 * 0.5)
    edges(thread_strength.first_turn_pressure, pressed, Band(1.0, 2.0, 500.0), 0.4, 0.01, 0.001, 0.5, 0.0)
    sprung = found(thread_strength.first_turn_pressure, Band(1.0, 2.0, 400.0), 0.4, 0.01, 0.001, 0.5, 100.0)
    assert sprung.value == pytest.approx(pressed)  # the spring of a nut in two halves on top
    whole = found(thread_strength.first_turn_pressure, Band(1.0, 2.0, 500.0), 0.4, 0.01, 0.001)
    assert whole.value == pytest.approx(pressed / 2.0)


@pytest.mark.parametrize(
    ("length", "verdict"), [(0.3999, "PASS"), (0.4001, "WARN"), (0.4999, "WARN"), (0.5001, "FAIL")]
)
def test_length_over_diameter(length: float, verdict: str) -> None:
    assert found(thread_strength.slenderness, 0.1, 0.1 + length, 0.010).verdict == verdict
    supported = found(thread_strength.slenderness, 0.1, 9.9, 0.010, 0.1 + length)
    assert (supported.verdict, supported.value) == (verdict, pytest.approx(length / 0.010))


def test_screws_that_hold_the_gear() -> None:
    # A = pi / 4 (4 mm)^2 of d2 4.5 and d3 3.5 mm; 0.7 * 5e8 of it; 0.2 F d of 5 mm
    preload = 0.7 * 5e8 * 4e-6 * pi
    pull = 3.0 * preload / 1.5
    for share, verdict in ((0.999, "PASS"), (1.001, "FAIL")):
        row = found(strength_mounting.mounting_screws, (0.005, 0.0045, 0.0035), 3, 5e8, pull * share, "M5")
        assert (row.verdict, row.value) == (verdict, pytest.approx(1.5 / share))
    assert row.note.startswith(f"3 M5, {preload:.0f} N each at about {0.001 * preload:.2g} N*m; pull")
    assert row.remedy.startswith("4 screws")
    assert (
        found(strength_mounting.mounting_screws, (1.0, 1.0, 1.0), 3, 5e8, 0.0, "M5").verdict == "NOT CHECKED"
    )
    assert strength_mounting.bolt_sizes_m.function("M99x7") is None
    assert strength_mounting.bolt_sizes_m.function("M5") == pytest.approx(
        (0.005, 0.00448, 0.004019), rel=1e-3
    )


PLASTIC = Sliding((8e6, 12e6), 1e5, 1.0, 100.0, True, "a table")
METAL = Sliding((8e6, 12e6), 1e5, 1.0, 100.0, False, "a table")


def test_what_tables_allow_a_material() -> None:
    allowed = nut_material.allowed_pressure_pa.function
    assert allowed(PLASTIC) == allowed(PLASTIC, 20.0) == allowed(METAL, 90.0) == Band(8e6, 10e6, 12e6)
    assert allowed(PLASTIC, 60.0) == pytest.approx(Band(4e6, 5e6, 6e6))  # half of the way to 100 degC
    assert allowed(PLASTIC, 120.0) == Band(0.0, 0.0, 0.0)
    band = Band(8e6, 10e6, 12e6)
    for pressure, verdict in ((7.9e6, "PASS"), (8.1e6, "WARN"), (11.9e6, "WARN"), (12.1e6, "FAIL")):
        row = found(nut_material.material_pressure, pressure, band, METAL)
        assert (row.verdict, row.note) == (verdict, "a table; 8 to 12 MPa")
    assert found(nut_material.material_pressure, 9e6, band, METAL, 8.5e6).verdict == "FAIL"
    for speed, verdict in ((0.0124, "PASS"), (0.0126, "WARN")):  # 1e5 / 8e6
        assert found(nut_material.material_pv, 8e6, speed, METAL, 1e5).verdict == verdict
    for speed, verdict in ((0.99, "PASS"), (1.01, "WARN")):
        assert found(nut_material.material_speed, speed, METAL, 1.0).verdict == verdict
    for ambient, verdict in ((99.0, "PASS"), (101.0, "FAIL")):
        assert found(nut_material.material_temperature, ambient, METAL).verdict == verdict
    assert nut_material.table_pv_pa_m_s.function(METAL) == 1e5
    assert nut_material.table_speed_m_s.function(METAL) == 1.0

"""The push rod as a column and its play, against a beam in finite elements and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calcs.case import Case, case_of
from calcs.check import known_checks, run_check
from calcs.fit_design import fit_design
from calcs.formulas import strength
from calcs.result import Result
from geometry.design import read_text

DESIGN = """
[motion]
stroke = "0..60 mm"
hard_stops = "-4..64 mm"
speed = "25 mm/s"
mass = "0.45 kg"
{motion}
[screw]
thread = "Tr8x1.5"
length = "96 mm"
position = "8 mm"
[nut]
length = "16 mm"
friction = 0.15
position = "14 mm"
body_diameter = "15 mm"
material = "POM"
[push_rod]
diameter = "14 mm"
{rod}
"""
TUBE = 'bore = "9.2 mm"\nlength = "120 mm"\nstrength = "350 MPa"'
BUSH = (
    '\n[push_rod.guide]\nbore = "14.05 mm"\ndiameter = "20 mm"\nlength = "20 mm"\nposition = "112 mm"\n'
    'material = "brass"'
)


def case(rod: str, motion: str = "") -> Case:
    return case_of(read_text(DESIGN.format(rod=rod, motion=motion)))


def row(case: Case, id: str) -> Result:
    (check,) = [c for c in known_checks() if c.id == id]
    return run_check(check, case)


def buckled(span: float, overhang: float, elements: int = 24) -> float:
    """Least P over E I of a beam pinned at 0 and at `span`, free at the end, in cubic finite elements."""
    beyond = span + np.linspace(0, overhang, elements + 1)[1:]
    lengths = np.diff(np.concatenate([np.linspace(0, span, elements + 1), beyond]))
    count = 2 * len(lengths) + 2
    bending, pressing = np.zeros((count, count)), np.zeros((count, count))
    for index, long in enumerate(lengths):
        at = slice(2 * index, 2 * index + 4)
        bending[at, at] += element(12, 6 * long, 4 * long**2, 2 * long**2) / long**3
        pressing[at, at] += element(36, 3 * long, 4 * long**2, -(long**2)) / (30 * long)
    free = [i for i in range(count) if i not in (0, 2 * elements)]
    inverse = np.linalg.solve(bending[np.ix_(free, free)], pressing[np.ix_(free, free)])
    return float(1.0 / np.linalg.eigvals(inverse).real.max())


def element(a: float, b: float, c: float, d: float) -> np.ndarray:
    return np.array([[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]])


@pytest.mark.parametrize(("span", "overhang"), [(1.0, 1.0), (0.3, 1.0), (2.0, 0.5), (5.0, 0.2), (0.02, 1.0)])
def test_the_overhang_factor_is_that_of_a_beam_in_finite_elements(span: float, overhang: float) -> None:
    factor = float(strength.overhang_end_factor(span, overhang))
    assert factor * math.pi**2 / overhang**2 == pytest.approx(buckled(span, overhang), rel=1e-4)


def test_without_a_span_the_rod_is_clamped_and_without_an_overhang_it_is_pinned() -> None:
    assert float(strength.overhang_end_factor(1e-6, 1.0)) == pytest.approx(0.25, rel=1e-5)
    assert float(strength.overhang_end_factor(1.0, 1e-4)) * 1e8 == pytest.approx(1.0, rel=1e-3)


def test_a_tube_buckles_as_its_second_moment_says() -> None:
    outer, inner, length, modulus = 0.014, 0.0092, 0.4, 2.06e11
    round_m = strength.gyration_diameter_m(outer, inner)
    euler = strength.euler_load_n(modulus, round_m, length, 0.25) * strength.tube_share(outer, inner)
    second_moment = math.pi * (outer**4 - inner**4) / 64
    assert euler == pytest.approx(math.pi**2 / 4 * modulus * second_moment / length**2, rel=1e-12)


def test_the_rod_is_held_by_nut_and_bush_at_the_extended_end() -> None:
    found = row(case(TUBE + BUSH), "strength.rod_buckling")
    # nut's far face at 30 + 64 = 94, middle of the bush at 122, tip at 150 + 64 = 214
    assert "28 mm on in the bush, 92 mm beyond" in found.note
    factor = float(strength.overhang_end_factor(28.0, 92.0))
    round_m = strength.gyration_diameter_m(0.014, 0.0092)
    load = strength.buckling_load_n(2.06e11, 350e6, round_m, 0.092, factor)
    assert found.value == pytest.approx(float(load * strength.tube_share(0.014, 0.0092)))
    assert (found.verdict, found.cautions) == (
        "PASS",
        ("Not checked: a load across the rod, its bending, the wear of its bush",),
    )


def test_a_rod_without_a_bush_is_held_by_the_nut_alone() -> None:
    found = row(case(TUBE), "strength.rod_buckling")
    assert "held by the nut alone, 120 mm free" in found.note
    slender = case(TUBE.replace("120 mm", "2000 mm").replace('strength = "350 MPa"', ""))
    second_moment = math.pi * (0.014**4 - 0.0092**4) / 64
    assert row(slender, "strength.rod_buckling").value == pytest.approx(
        math.pi**2 / 4 * 2.06e11 * second_moment / 4.0, rel=1e-9
    )


def test_a_stocky_rod_without_a_strength_and_a_rod_that_misses_its_bush_are_not_checked() -> None:
    stocky = row(case(TUBE.replace('strength = "350 MPa"', "")), "strength.rod_buckling")
    assert (stocky.verdict, stocky.remedy) == ("NOT CHECKED", 'push_rod.strength = "350 MPa"')
    behind = BUSH.replace("112 mm", "60 mm")  # the nut would go through it
    assert row(case(TUBE + behind), "strength.rod_buckling").verdict == "NOT CHECKED"
    assert row(case(TUBE + behind), "guide.rod_play").verdict == "NOT CHECKED"


def test_a_rod_on_a_travelling_screw_is_one_column_with_it() -> None:
    rod = 'length = "94 mm"\nstrength = "350 MPa"' + BUSH.replace("112 mm", "168 mm")
    travelling = 'travels = "screw"\nturns = "nut"'
    found = row(case(rod, travelling), "strength.rod_buckling")
    # screw's end at 104, drawn out to 168, rod's at 262; nut's far face 30, middle of the bush 178
    factor = float(strength.overhang_end_factor(148.0, 84.0))
    assert found.value == pytest.approx(float(strength.euler_load_n(2.06e11, 0.0062, 0.084, factor)))
    assert "on the weaker section of both" in found.note


def test_the_tip_swings_by_the_play_in_the_bush_over_the_span() -> None:
    found = row(case(TUBE + BUSH), "guide.rod_play")
    assert found.value == pytest.approx(0.025 * (28 + 92) / 28)  # mm
    assert found.verdict == "INFO"


def test_rod_and_bush_weigh_by_their_materials() -> None:
    weighed = case(TUBE + BUSH).find("weighed_bodies")
    assert weighed is not None
    known = {w.name: w for w in weighed.value}
    assert known["push_rod"].properties.mass_kg == pytest.approx(
        7850 * math.pi * (7.0**2 - 4.6**2) * 120e-9, rel=1e-9
    )
    assert (known["push_rod"].moves, known["push_rod_bush"].moves) == (True, False)
    assert row(case(TUBE + BUSH), "mass.moving").verdict == "INFO"


def test_the_rods_clearance_to_screw_and_bush_is_judged_over_the_travel() -> None:
    report = fit_design(read_text(DESIGN.format(rod=TUBE + BUSH, motion="")))
    pairs = {(pair.a, pair.b): pair for pair in report.pairs}
    inside, guided = pairs["push_rod", "screw"], pairs["push_rod", "push_rod_bush"]
    assert (inside.kind, inside.verdict) == ("travel", "PASS")
    assert inside.gap is not None
    assert inside.gap == pytest.approx((0.6, 0.6, 0.6), abs=1e-9)  # (9.2 - 8) / 2, in closed form
    assert (guided.kind, guided.verdict) == ("contact", "PASS")

"""Numbers computed from a profile or a closed form, apart from the code: they prove arithmetic only."""

from __future__ import annotations

import math

import pytest

from geometry.involute import (
    involute,
    mesh_loss_factor,
    tooth_thickness,
    working_centre_distance,
    working_pressure_angle,
)
from geometry.outlines import section_area
from geometry.planetary_stage import efficiency_at_carrier
from geometry.threads import thread
from geometry.tooth_rules import stage_rules, undercut_shift

A20 = math.radians(20)


@pytest.mark.parametrize(
    ("designation", "area_mm2"),
    [
        ("Tr8x1.5", 40.62963),
        ("Tr8x2", 37.63),
        ("Tr10x2", 62.23609),
        ("Tr12x3", 85.6782),
        ("Tr16x4", 153.2941),
    ],
)
def test_mean_section_of_a_trapezoidal_screw(designation: str, area_mm2: float) -> None:
    assert section_area(thread(designation).external) == pytest.approx(area_mm2, rel=2e-4)


@pytest.mark.parametrize(
    ("designation", "area_mm2"), [("M3x0.5", 5.739301), ("M6x1", 22.9572), ("M8x1.25", 41.35966)]
)
def test_mean_section_of_the_basic_profile_with_a_flat_root_at_d1(designation: str, area_mm2: float) -> None:
    """Computed from the profile of ISO 68-1, which is that of our internal member."""
    assert section_area(thread(designation).internal) == pytest.approx(area_mm2, rel=1e-6)


@pytest.mark.parametrize(("designation", "area_mm2"), [("M3x0.5", 5.690), ("M4x0.5", 10.690)])
def test_mean_section_with_the_round_root(designation: str, area_mm2: float) -> None:
    assert section_area(thread(designation).external) == pytest.approx(area_mm2, abs=0.0006)


def test_the_thread_angle_is_60_degrees_and_the_root_arc_is_tangent() -> None:
    made = thread("M6")
    assert (made.flank_angle_deg, made.back_flank_angle_deg) == (30.0, 30.0)
    height = 3**0.5 / 2  # H of pitch 1
    arc = [piece for piece in made.external.pieces if piece.degree > 1]
    (s0, r0), (s1, r1) = arc[0].poles[:2]
    # The fifth-degree arc interpolates points of the circle, so its end tangent is off by under 0.01 degrees.
    assert (r0 - r1) / (s1 - s0) == pytest.approx(3**0.5, rel=1e-3)
    assert made.external.smallest_radius_mm == pytest.approx(3 - 17 / 24 * height, abs=1e-12)


def rules(sun: int, planet: int, ring: int, planets: int) -> dict[str, tuple[float, float, bool]]:
    return {r.name: (r.value, r.limit, r.passed) for r in stage_rules(sun, planet, ring, planets)}


@pytest.mark.parametrize(
    ("teeth", "planets", "spaced", "gap"),
    [
        # gap between neighbouring planets in modules, (zs + zp) sin(pi / N) - (zp + 2)
        ((12, 18, 48), 3, True, 5.980762),
        ((12, 18, 48), 4, True, 1.213203),
        ((40, 25, 90), 3, False, 29.29165),
        ((12, 30, 72), 4, True, -2.301515),
        ((12, 36, 84), 3, True, 3.569219),
        ((15, 15, 45), 5, True, 0.6335576),
        ((14, 21, 56), 5, True, (14 + 21) * math.sin(math.pi / 5) - 23),
        ((14, 21, 56), 3, False, (14 + 21) * math.sin(math.pi / 3) - 23),
    ],
)
def test_spacing_and_neighbours(teeth: tuple[int, int, int], planets: int, spaced: bool, gap: float) -> None:
    found = rules(*teeth, planets)
    assert found["ring"][2]
    assert found["spacing"][2] is spaced
    value, limit, passed = found["neighbours"]
    assert value - limit == pytest.approx(gap, abs=5e-6)  # seven printed digits
    assert passed is (gap > 0)


@pytest.mark.parametrize(
    ("ring_over_sun", "held", "efficiency"),
    [(2.25, 0.98, 0.9861538), (4, 0.97, 0.976), (5, 0.98, 0.9833333), (7, 0.96, 0.965)],
)
def test_efficiency_from_sun_to_carrier(ring_over_sun: float, held: float, efficiency: float) -> None:
    # the textbook formula of Mueller 1982 and Merritt (from memory), seven digits
    assert efficiency_at_carrier(ring_over_sun, held) == pytest.approx(efficiency, abs=5e-8)


def test_efficiency_of_three_stages_of_five_to_one() -> None:
    # R = 4, 0.97 with the carrier held, three stages, 125:1.
    assert efficiency_at_carrier(4, 0.97) ** 3 == pytest.approx(0.9297142, abs=5e-8)


@pytest.mark.parametrize(
    ("teeth", "shift"), [(8, 0.5320889), (10, 0.4151111), (12, 0.2981333), (14, 0.1811556)]
)
def test_least_profile_shift(teeth: int, shift: float) -> None:
    assert undercut_shift(teeth) == pytest.approx(shift, abs=5e-8)  # seven digits


def test_loss_factor_of_a_mesh() -> None:
    # 20 and 40 teeth, 20 deg, unshifted; friction 0.06 leaves 0.9900361 of the power.
    tips, bases = (11.0, 21.0), (10 * math.cos(A20), 20 * math.cos(A20))
    pitch = math.pi * math.cos(A20)
    after, before = (
        (math.sqrt(t**2 - b**2) - b * math.tan(A20)) / pitch for t, b in zip(tips, bases, strict=True)
    )
    factor = mesh_loss_factor((20, 40), before, after)
    assert factor == pytest.approx(0.1660645, abs=5e-8)
    assert 1 - 0.06 * factor == pytest.approx(0.9900361, abs=5e-8)


def test_working_centre_distance_of_shifted_teeth() -> None:
    # 12/12/36 with shifts 0.3/0.3/0.9 works at 12.524 modules in both meshes.
    assert working_centre_distance(0.6, 24, 1.0, A20) == pytest.approx(12.524, abs=5e-4)
    assert working_centre_distance(0.9 - 0.3, 36 - 12, 1.0, A20) == pytest.approx(12.524, abs=5e-4)


def test_thickness_at_the_reference_and_at_the_base_circle() -> None:
    # s = m (pi / 2 + 2 x tan a); s_b = d_b (s / d + inv a): both closed forms.
    assert tooth_thickness(20, 2.0, pressure_angle=A20) == pytest.approx(math.pi, rel=1e-15)
    base = 40.0 * math.cos(A20)
    at_base = tooth_thickness(20, 2.0, shift=0.25, pressure_angle=A20, diameter=base)
    reference = tooth_thickness(20, 2.0, shift=0.25, pressure_angle=A20)
    assert at_base == pytest.approx(base * (reference / 40.0 + involute(A20)), rel=1e-12)


def test_unshifted_pairs_work_at_their_own_pressure_angle() -> None:
    assert working_pressure_angle(0.0, 50, A20) == pytest.approx(A20, rel=1e-14)

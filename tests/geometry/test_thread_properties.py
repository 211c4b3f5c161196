"""Closed-form volume, centroid and inertia: against handbook solids and against slices added up."""

import math
from dataclasses import replace

import numpy as np
import pytest

from geometry.outlines import Corner, outline, section_area, section_polar_moment
from geometry.thread_ends import Journal, threaded_bore, threaded_rod
from geometry.thread_properties import threaded_solid
from geometry.threads import thread

PLAIN_PIN = replace(thread("Tr8x1.5"), external=outline((0.0, 4.0), [Corner((1.5, 4.0))]))


def test_a_pin_without_a_groove_is_a_cylinder():
    found = threaded_solid(threaded_rod(PLAIN_PIN, 20))
    volume = math.pi * 16 * 20
    assert found.volume_mm3 == pytest.approx(volume, rel=1e-13)
    assert found.centroid_z_mm == pytest.approx(10, rel=1e-13)
    assert found.axial_moment_mm5 == pytest.approx(volume * 16 / 2, rel=1e-13)
    assert found.transverse_moment_mm5 == pytest.approx(volume * (3 * 16 + 400) / 12, rel=1e-12)


def test_a_chamfered_pin_is_a_cylinder_and_two_frustums():
    found = threaded_solid(threaded_rod(PLAIN_PIN, 20, ends="chamfered"))
    mouth = 4 - 0.1 * 1.5
    frustum = math.pi * 0.15 / 3 * (16 + 4 * mouth + mouth**2)
    assert found.volume_mm3 == pytest.approx(math.pi * 16 * (20 - 0.3) + 2 * frustum, rel=1e-13)
    assert found.centroid_z_mm == pytest.approx(10, rel=1e-13)


def test_a_plain_rod_is_its_section_times_its_length():
    made = thread("M10")
    found = threaded_solid(threaded_rod(made, 37.7))
    assert found.volume_mm3 == pytest.approx(section_area(made.external) * 37.7, rel=1e-12)
    assert found.axial_moment_mm5 == pytest.approx(section_polar_moment(made.external) * 37.7, rel=1e-12)


def test_journals_add_their_cylinders():
    relieved = threaded_solid(threaded_rod(thread("Tr8x1.5"), 30, ends="chamfered"))
    found = threaded_solid(
        threaded_rod(thread("Tr8x1.5"), 30, near_journal=Journal(5, 9), far_journal=Journal(10, 3))
    )
    near, far = math.pi * 6.25 * 9, math.pi * 25 * 3
    assert found.volume_mm3 == pytest.approx(relieved.volume_mm3 + near + far, rel=1e-13)
    moment = relieved.volume_mm3 * 15 - near * 4.5 + far * 31.5
    assert found.centroid_z_mm == pytest.approx(moment / found.volume_mm3, rel=1e-13)


@pytest.mark.parametrize("designation", ["M6", "Tr8x8(P2)"])
def test_end_cones_agree_with_slices_added_up(designation):
    """The section's radius is the least of the thread's and the cones', on a grid of angle and z."""
    made, length, steps = thread(designation), 9.0, 1600
    rod = threaded_rod(made, length, ends="chamfered")
    u = np.linspace(0, 1, 21)
    s, r = np.concatenate([p.at(u if p.degree > 1 else u[[0, -1]])[:-1] for p in made.external.pieces]).T
    s, r = np.append(s, s[0] + made.pitch_mm), np.append(r, r[0])
    z = (np.arange(steps) + 0.5) / steps * length
    angle = (np.arange(720) + 0.5) / 720 * math.tau
    along = (z[:, None] - angle * made.lead_mm / math.tau - s[0]) % made.pitch_mm + s[0]
    mouth = rod.near.mouth_radius_mm
    radius = np.minimum(np.interp(along, s, r), (mouth + np.minimum(z, length - z))[:, None])
    volume = (radius**2 / 2).mean() * math.tau * length
    # Midpoint slices: the corners of the outline leave an error of the order of a slice's thickness squared.
    assert threaded_solid(rod).volume_mm3 == pytest.approx(volume, rel=2e-5)


def test_a_countersunk_bore_takes_away_more():
    made = thread("M8")
    plain, sunk = (threaded_solid(threaded_bore(made, 2, 12, ends=e)) for e in ("plain", "chamfered"))
    mouth = made.internal_major_diameter_mm / 2 + 0.125
    cone = math.pi / 3 * (mouth**3 - (made.internal_minor_diameter_mm / 2) ** 3)
    assert plain.volume_mm3 < sunk.volume_mm3 < plain.volume_mm3 + 2 * cone
    assert plain.centroid_z_mm == pytest.approx(7, rel=1e-12)
    assert sunk.centroid_z_mm == pytest.approx(7, rel=1e-12)

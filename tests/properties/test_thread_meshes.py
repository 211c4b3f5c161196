"""Thread meshes are closed and within their tolerance of the exact surface, chosen ones and random ones."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_threads import rods

from geometry.outlines import Corner, outline
from geometry.thread_ends import Journal, threaded_bore, threaded_rod
from geometry.thread_mesh import nut_mesh, rod_mesh
from geometry.thread_properties import threaded_solid
from geometry.threads import thread


def segments_of(part, turned):
    """The axial section's straight pieces (start, end) as (z, r): of the outline, and of the ends."""
    u = np.linspace(0, 1, 21)
    chain = np.concatenate(
        [piece.at(u if piece.degree > 1 else u[[0, -1]])[:-1] for piece in part.outline.pieces]
    )
    pitch = np.array([part.thread.pitch_mm, 0.0])
    chain = np.concatenate([chain + turn * pitch for turn in (-1, 0, 1)])
    thread_pieces = np.stack((chain[:-1], chain[1:]), axis=1)
    corners = []
    for end in (part.near, part.far):
        corners.append([(end.height_mm, 0.0), (end.height_mm, part.outline.largest_radius_mm)])
        if end.mouth_radius_mm is not None:
            reach = (end.mouth_radius_mm, part.outline.largest_radius_mm, part.outline.smallest_radius_mm)
            corners[-1:] = [[(end.cut.height(radius), radius) for radius in (min(reach), max(reach))]]
    for line in (part.near.turned, part.far.turned, turned):
        corners += [[(z0, r0), (z1, r1)] for (r0, z0), (r1, z1) in pairwise(line)]
    return thread_pieces, np.array(corners)


def distances(points, segments):
    """Distance of points (n, 2) to the nearest of segments (m, 2, 2)."""
    nearest = np.full(len(points), np.inf)
    for start, end in segments:
        along = end - start
        share = np.clip((points - start) @ along / max(along @ along, 1e-30), 0, 1)
        np.minimum(nearest, np.hypot(*(points - start - share[:, None] * along).T), out=nearest)
    return nearest


def largest_deviation(vertices, triangles, part, turned=()):
    """Largest distance (mm) from points of the triangles to the exact surface, in their axial half planes."""
    shares = np.array([[1, 1, 1], [1, 1, 0], [0, 1, 1], [1, 0, 1]], dtype=float)
    shares /= shares.sum(axis=1, keepdims=True)
    x, y, z = np.einsum("kc,tcx->xkt", shares, vertices[triangles]).reshape(3, -1)
    angle = np.arctan2(y if part.thread.hand == "right" else -y, x)
    s = (z - angle * part.thread.lead_mm / math.tau) % part.thread.pitch_mm
    radius = np.hypot(x, y)
    thread_pieces, ends = segments_of(part, turned)
    on_thread = distances(np.column_stack((s, radius)), thread_pieces)
    on_ends = distances(np.column_stack((z, radius)), ends)
    return float(np.minimum(on_thread, on_ends).max())


def assert_closed(vertices, triangles):
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.body_count == 1
    assert mesh.area_faces.min() > 0
    return mesh


BUTTRESS = outline(
    (0.0, 4.0), [Corner((0.3, 4.0)), Corner((0.4, 3.3)), Corner((0.7, 3.3)), Corner((1.5, 4.0))]
)
AT_45_DEGREES = outline((0.0, 4.0), [Corner((0.3, 4.0)), Corner((0.9, 3.4)), Corner((1.5, 4.0))])
BALL_GROOVE = outline(
    (0.0, 4.0), [Corner((0.3, 4.0)), Corner((0.9, 3.5), (0.55, 3.6)), Corner((1.5, 4.0), (1.25, 3.6))]
)
THREADS = {
    "M3": thread("M3"),
    "Tr8x1.5 LH": thread("Tr8x1.5 LH"),
    "Tr8x8(P2)": thread("Tr8x8(P2)"),
    "buttress": replace(thread("Tr8x1.5"), external=BUTTRESS),
    "45 degrees": replace(thread("Tr8x1.5"), external=AT_45_DEGREES),
    "ball groove": replace(thread("Tr8x1.5"), external=BALL_GROOVE),
    "Sq8x1.5": thread("Sq8x1.5"),
    "Sq8x6(P1.5) LH": thread("Sq8x6(P1.5) LH"),
    "S10x2": thread("S10x2"),
    "Ball8x2": thread("Ball8x2"),
    "Ball8x2 arc": thread("Ball8x2 arc"),
}
ENDS = {
    "plain": {},
    "chamfered": {"ends": "chamfered"},
    "journals": {"near_journal": Journal(2.0, 3), "far_journal": Journal(9.0, 2, 0.3)},
}


@pytest.mark.parametrize("name", THREADS)
@pytest.mark.parametrize("ends", ENDS)
@pytest.mark.parametrize("tolerance", [0.02, 0.004])
def test_a_rod_is_closed_and_within_tolerance_of_the_exact_surface(name, ends, tolerance):
    rod = threaded_rod(THREADS[name], 2.4 * THREADS[name].lead_mm, **ENDS[ends])
    vertices, triangles = rod_mesh(rod, tolerance)
    mesh = assert_closed(vertices, triangles)
    deviation = largest_deviation(vertices, triangles, rod)
    assert 0.3 * tolerance < deviation <= tolerance, "within the tolerance, and not wastefully fine"
    assert abs(mesh.volume - threaded_solid(rod).volume_mm3) < mesh.area * tolerance


@pytest.mark.parametrize(
    "designation", ["M3", "Tr8x1.5", "Tr8x8(P2) LH", "Sq8x1.5", "Sq8x6(P1.5) LH", "S10x2", "Ball8x2"]
)
@pytest.mark.parametrize("ends", ["plain", "chamfered"])
def test_a_flanged_nut_is_closed_and_within_tolerance(designation, ends):
    made, tolerance = thread(designation), 0.005
    bore = threaded_bore(made, 3.0, 13.0, ends=ends)
    radius = made.major_diameter_mm
    outside = [(radius, 3.0), (radius, 11.0), (1.5 * radius, 11.0), (1.5 * radius, 13.0)]
    around = [(0.0, 3.0), *outside, (0.0, 13.0)]
    vertices, triangles = nut_mesh(bore, outside, tolerance)
    mesh = assert_closed(vertices, triangles)
    assert largest_deviation(vertices, triangles, bore, around) <= tolerance
    expected = math.pi * radius**2 * (8 + 2 * 1.5**2) - threaded_solid(bore).volume_mm3
    assert mesh.volume == pytest.approx(expected, abs=mesh.area * tolerance)
    assert mesh.volume == pytest.approx(expected, rel=0.002)


UNHURRIED = {"deadline": None, "suppress_health_check": list(HealthCheck), "derandomize": True}


def check(rod, share):
    made, length, ends = rod
    part = threaded_rod(made, length, **ends)
    tolerance = share * made.pitch_mm
    vertices, triangles = rod_mesh(part, tolerance)
    mesh = assert_closed(vertices, triangles)
    assert largest_deviation(vertices, triangles, part) <= tolerance
    assert abs(mesh.volume - threaded_solid(part).volume_mm3) < mesh.area * tolerance


@settings(max_examples=20, **UNHURRIED)
@given(rods(most_turns=5.0), st.floats(0.005, 0.03))
def test_random_meshes_are_closed_and_within_tolerance(rod, share):
    check(rod, share)


@pytest.mark.long
@settings(max_examples=100, **UNHURRIED)
@given(rods(most_turns=8.0), st.floats(0.003, 0.1))
def test_many_random_meshes_are_closed_and_within_tolerance(rod, share):
    check(rod, share)

"""Thread meshes: closed, within the tolerance of the exact surface, and refused out of range."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import trimesh

from geometry.errors import ShapeError
from geometry.outlines import Corner, outline
from geometry.thread_ends import Journal, threaded_bore, threaded_rod
from geometry.thread_mesh import nut_mesh, rod_mesh, thread_mesh
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


@pytest.mark.parametrize("designation", ["M3", "Tr8x1.5", "Tr8x8(P2) LH"])
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


def test_rod_and_nut_mate_in_one_frame():
    """With clearance on root and crest only, the flanks touch: no rod vertex lies deep inside the nut."""
    made = thread("Tr8x1.5")
    vertices, _ = rod_mesh(threaded_rod(made, 20), 0.005)
    inside = vertices[(vertices[:, 2] > 4) & (vertices[:, 2] < 12)]
    angle = np.arctan2(inside[:, 1], inside[:, 0])
    s = (inside[:, 2] - angle * made.lead_mm / math.tau) % made.pitch_mm
    corners = np.array(
        [p for piece in made.internal.pieces for p in (piece.poles[0],)]
        + [made.internal.pieces[-1].poles[-1]]
    )
    s_bore = np.concatenate((corners[:, 0] - made.pitch_mm, corners[:, 0], corners[:, 0] + made.pitch_mm))
    bore_radius = np.interp(s, s_bore, np.tile(corners[:, 1], 3))
    assert (np.hypot(inside[:, 0], inside[:, 1]) <= bore_radius + 1e-9).all()


def test_the_public_function_gives_a_trimesh():
    mesh = thread_mesh("M3x0.5", 10, tolerance_mm=0.005)
    assert isinstance(mesh, trimesh.Trimesh)
    assert mesh.is_volume
    assert mesh.bounds == pytest.approx(np.array([[-1.5, -1.5, 0], [1.5, 1.5, 10]]), abs=0.005)
    exact = threaded_solid(threaded_rod(thread("M3"), 10)).volume_mm3
    assert -0.003 < mesh.volume / exact - 1 < 0


def test_same_input_same_mesh():
    one, other = (thread_mesh("M3", 5, tolerance_mm=0.01) for _ in range(2))
    assert one.vertices.tobytes() == other.vertices.tobytes()
    assert one.faces.tobytes() == other.faces.tobytes()


@pytest.mark.parametrize("tolerance", [0.0, -1.0, 9e-5, 0.11, math.nan, math.inf])
def test_a_tolerance_out_of_range_is_refused_with_the_range(tolerance):
    with pytest.raises(ShapeError, match=r"must lie between 0.0001 and 0.1") as refusal:
        thread_mesh("M3", 5, tolerance_mm=tolerance)
    assert "take" in refusal.value.problems[0].repair


def test_a_mesh_that_would_be_huge_is_refused():
    with pytest.raises(ShapeError, match="triangles, at most 8000000"):
        thread_mesh("M24x1", 1000, tolerance_mm=1e-4)


def test_a_nut_narrower_than_its_bore_is_refused():
    bore = threaded_bore(thread("Tr8x1.5"), 0, 8)
    with pytest.raises(ShapeError, match=r"outside comes to radius 4\.1 mm, its bore needs"):
        nut_mesh(bore, [(8.0, 0.0), (4.1, 8.0)], 0.01)

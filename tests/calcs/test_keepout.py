"""Swept keep-out solids: exact, grown never too little and by a stated bit too much."""

from __future__ import annotations

import hashlib
import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh

from calcs import keepout
from calcs.grown_primitives import ball
from calcs.keepout import TOLERANCE, TRIANGLE_LIMIT, keep_out, swept_mesh
from geometry.bodies import Body, Box, Cylinder, FileShape, Shape
from geometry.errors import ShapeError
from geometry.meshes import Mesh, manifold_of, mesh_faults, mesh_from_manifold, mesh_of, signed_volume

TRAVEL = (-4.0, 64.0)
NUT = Shape(
    (Cylinder("z", (0, 0), 7.5, (14, 26)), Cylinder("z", (0, 0), 12.0, (26, 30))),
    (Cylinder("z", (0, 0), 4.0, (14, 30)), Cylinder("z", (9.5, 0), 1.2, (26, 30))),
)
CARRIAGE = Shape((Box((-15, -12, 30), (15, 12, 40)),), (Cylinder("z", (0, 0), 5.0, (30, 40)),))
ARM = Shape((Box((-5, 12, 30), (5, 48, 38)),))


def pair(name: str, shape: Shape) -> tuple[Body, Mesh]:
    return Body(name, "load", True, shape), mesh_of(shape)


def file_pair(mesh: Mesh) -> tuple[Body, Mesh]:
    return Body("part", "load", True, FileShape("part.stl")), mesh


def winding(mesh: Mesh, points: np.ndarray) -> np.ndarray:
    """Solid angle of all triangles over 4 pi (Van Oosterom and Strackee's formula, from memory)."""
    total = np.zeros(len(points))
    for start in range(0, len(points), 50):
        a, b, c = np.moveaxis(mesh.corners[None] - points[start : start + 50, None, None, :], 2, 0)
        la, lb, lc = (np.linalg.norm(v, axis=-1) for v in (a, b, c))
        top = np.einsum("pti,pti->pt", a, np.cross(b, c))
        dots = [np.einsum("pti,pti->pt", u, v) for u, v in ((a, b), (b, c), (c, a))]
        total[start : start + 50] = np.arctan2(
            top, la * lb * lc + dots[0] * lc + dots[1] * la + dots[2] * lb
        ).sum(axis=1)
    return total / (2.0 * math.pi)


def box_distance(points: np.ndarray, box: Box) -> np.ndarray:
    out = np.maximum(np.array(box.low) - points, points - np.array(box.high))
    return np.linalg.norm(np.maximum(out, 0.0), axis=1)


def ring_distance(points: np.ndarray, inner: float, outer: float, low: float, high: float) -> np.ndarray:
    radius = np.hypot(points[:, 0], points[:, 1])
    across = np.maximum(np.maximum(radius - outer, inner - radius), 0.0)
    along = np.maximum(np.maximum(low - points[:, 2], points[:, 2] - high), 0.0)
    return np.hypot(across, along)


def samples_around(mesh: Mesh, count: int) -> np.ndarray:
    low, high = mesh.bounds
    return np.random.default_rng(1).uniform(low - 1.0, high + 1.0, (count, 3))


def test_a_swept_box_is_exactly_the_longer_box() -> None:
    mesh = keep_out([pair("arm", ARM)], TRAVEL)
    assert mesh.chord_error == 0.0
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(10 * 36 * (8 + 68), rel=1e-12)
    assert [list(end) for end in mesh.bounds] == [[-5, 12, 26], [5, 48, 102]]


def test_a_bore_along_the_travel_stays_and_other_cuts_vanish() -> None:
    bored = keep_out([pair("carriage", CARRIAGE)], TRAVEL)
    # The bore's polygon is inscribed: the solid may be too large by the chord error along the bore's wall.
    true = (30 * 24 - math.pi * 25) * 78
    assert true <= signed_volume(bored) <= true + 2 * math.pi * 5 * 78 * bored.chord_error
    cross = Shape(CARRIAGE.adds, (Cylinder("x", (0, 33), 2.0, (-15, 15)), Box((-3, -3, 36), (3, 3, 40))))
    swept = keep_out([pair("carriage", cross)], TRAVEL)
    # The cross bore is swept over; the pocket is left where it is at the end of the travel.
    assert signed_volume(swept) == pytest.approx(30 * 24 * 78 - 6 * 6 * 4, rel=1e-9)


@pytest.mark.parametrize("growth", [0.0, 0.5, 3.0])
def test_a_grown_flanged_and_bored_solid_contains_the_true_offset_and_little_more(growth: float) -> None:
    shape = Shape(NUT.adds, NUT.cuts[:1])
    mesh = keep_out([pair("nut", shape)], TRAVEL, growth)
    assert 0.0 < mesh.chord_error <= TOLERANCE
    assert mesh_faults(mesh) == ()

    def distance(points: np.ndarray) -> np.ndarray:
        return np.minimum(ring_distance(points, 4, 7.5, 10, 90), ring_distance(points, 4, 12, 22, 94))

    points = samples_around(mesh, 600)
    inside = winding(mesh, points) > 0.5
    assert inside[distance(points) <= growth].all()
    assert not inside[distance(points) > growth + mesh.chord_error].any()
    assert 50 < inside.sum() < 550
    assert distance(mesh.vertices).max() <= growth + mesh.chord_error
    assert distance(mesh.corners.mean(axis=1)).max() <= growth + mesh.chord_error


def test_the_excess_follows_the_tolerance() -> None:
    coarse, fine = (keep_out([pair("nut", NUT)], TRAVEL, 0.5, tolerance) for tolerance in (0.1, 0.002))
    assert coarse.chord_error <= 0.1
    assert fine.chord_error <= 0.002
    assert signed_volume(fine) < signed_volume(coarse)
    assert len(fine.triangles) > len(coarse.triangles)


def test_a_grown_box_is_flat_at_exactly_the_growth() -> None:
    mesh = keep_out([pair("arm", ARM)], TRAVEL, 0.5)
    np.testing.assert_allclose(mesh.bounds, [[-5.5, 11.5, 25.5], [5.5, 48.5, 102.5]], atol=1e-12)
    # Steiner: volume of a convex body and a ball = V + A c + (quarter cylinders on the edges) + ball.
    a, b, h, c = 10.0, 36.0, 76.0, 0.5
    true = a * b * h + 2 * (a * b + b * h + h * a) * c + math.pi * (a + b + h) * c**2 + 4 / 3 * math.pi * c**3
    area = 2 * (a * b + b * h + h * a)
    assert true <= signed_volume(mesh) <= true + area * mesh.chord_error


def test_a_square_hole_grows_shut_from_its_walls() -> None:
    shape = Shape((Box((-15, -12, 30), (15, 12, 40)),), (Box((-6, -5, 30), (6, 5, 40)),))
    open_mesh = keep_out([pair("frame", shape)], TRAVEL, 1.0)
    points = np.array([[0.0, 0.0, 60.0], [4.95, 0.0, 60.0], [5.01, 0.0, 60.0], [0.0, 4.01, 60.0]])
    assert (winding(open_mesh, points) > 0.5).tolist() == [False, False, True, True]
    shut = keep_out([pair("frame", shape)], TRAVEL, 5.5)
    assert winding(shut, points[:1])[0] > 0.5


@pytest.mark.parametrize("seed", range(6))
def test_facets_swept_by_patches_equal_facets_swept_one_by_one(seed: int) -> None:
    import manifold3d

    random = np.random.default_rng(seed)
    solid = manifold3d.Manifold.sphere(5.0, 16)
    for turn in range(4):
        block = manifold3d.Manifold.cube(random.uniform(1, 6, 3)).rotate(random.uniform(0, 360, 3))
        block = block.translate(random.uniform(-4, 4, 3))
        solid = solid + block if turn % 2 else solid - block
    vector = random.uniform(-3, 3, 3) if seed % 2 else np.array([0.0, 0.0, 3.0])
    swept = swept_mesh(solid, vector)
    mesh = mesh_from_manifold(solid, 0.0)
    prisms = [
        manifold3d.Manifold.hull_points(np.vstack([corners, corners + vector])) for corners in mesh.corners
    ]
    true = manifold3d.Manifold.batch_boolean([solid, *prisms], manifold3d.OpType.Add)
    assert (swept - true).volume() + (true - swept).volume() == pytest.approx(0.0, abs=1e-9)


def test_a_coil_whose_front_covers_itself_is_swept_right() -> None:
    import manifold3d

    wire = manifold3d.CrossSection.circle(1.0, 8).translate((4.0, 0.0))
    coil = manifold3d.Manifold.extrude(wire, 10.0, 40, 720.0)
    swept = mesh_from_manifold(swept_mesh(coil, (0.0, 0.0, 20.0)), 0.0)
    # Over more than two pitches the coil fills a tube: its outline times the travel, and its two ends.
    outline = coil.project().area()
    assert mesh_faults(swept) == ()
    assert outline * 20.0 < signed_volume(swept) < outline * 30.0
    points = np.array([[4.0, 0.0, z] for z in np.linspace(1.0, 29.0, 40)])
    assert (winding(swept, points) > 0.5).all()


def test_a_file_body_is_grown_by_its_chord_error_too() -> None:
    shape = Shape((Box((-6, -6, 0), (6, 6, 4)), Box((-2, -2, 4), (2, 2, 12))))
    exact = mesh_of(shape)
    rough = Mesh(exact.vertices, exact.triangles, 0.03)
    mesh = keep_out([file_pair(rough)], TRAVEL, 0.5)
    assert mesh_faults(mesh) == ()
    assert mesh.chord_error <= 2 * 0.03 + 0.05 * 0.53

    def distance(points: np.ndarray) -> np.ndarray:
        swept = [Box((-6, -6, -4), (6, 6, 68)), Box((-2, -2, 0), (2, 2, 76))]
        return np.minimum(*(box_distance(points, box) for box in swept))

    points = samples_around(mesh, 600)
    inside = winding(mesh, points) > 0.5
    assert inside[distance(points) <= 0.5 + 0.03].all()
    assert distance(mesh.vertices).max() <= 0.5 + mesh.chord_error
    assert keep_out([file_pair(rough)], TRAVEL).chord_error == 0.03


def test_a_mesh_too_fine_to_grow_is_refused_with_its_count() -> None:
    fine = mesh_of(Shape(NUT.adds, NUT.cuts[:1]), 1e-5)
    with pytest.raises(
        ShapeError, match=rf"part: .*triangles; up to {TRIANGLE_LIMIT} can be grown; export it"
    ):
        keep_out([file_pair(fine)], TRAVEL, 0.5)


def test_an_open_mesh_is_refused_with_its_body() -> None:
    mesh = mesh_of(ARM)
    with pytest.raises(ShapeError, match=r"part: its mesh is not closed: 3 free edges"):
        keep_out([file_pair(Mesh(mesh.vertices, mesh.triangles[1:], 0.0))], TRAVEL)


@pytest.mark.parametrize(
    ("bodies", "travel", "growth", "tolerance", "words"),
    [
        ([], TRAVEL, 0.0, 0.01, "no body to sweep"),
        (
            [pair("arm", ARM)],
            (5.0, -5.0),
            0.0,
            0.01,
            r"a travel from 5\.0 to -5\.0 mm; give it from low to high",
        ),
        ([pair("arm", ARM)], (0.0, math.nan), 0.0, 0.01, "from low to high"),
        ([pair("arm", ARM)], (-math.inf, 0.0), 0.0, 0.01, "from low to high"),
        ([pair("arm", ARM)], (0.0, math.inf), 0.0, 0.01, "from low to high"),
        ([pair("arm", ARM)], TRAVEL, math.inf, 0.01, "growth of inf"),
        ([pair("arm", ARM)], TRAVEL, 0.1, math.inf, "tolerance of inf"),
        ([pair("arm", ARM)], TRAVEL, -0.1, 0.01, "growth of -0.1"),
        ([pair("arm", ARM)], TRAVEL, 0.1, 0.0, "tolerance of 0.0"),
    ],
)
def test_numbers_that_make_no_sweep_are_refused(
    bodies: list[tuple[Body, Mesh]], travel: tuple[float, float], growth: float, tolerance: float, words: str
) -> None:
    with pytest.raises(ShapeError, match=words):
        keep_out(bodies, travel, growth, tolerance)


def digest(mesh: Mesh) -> str:
    return hashlib.sha256(mesh.vertices.tobytes() + mesh.triangles.tobytes()).hexdigest()


def test_the_same_bytes_in_this_process_and_in_another() -> None:
    here = digest(keep_out([pair("nut", NUT), pair("carriage", CARRIAGE)], TRAVEL, 0.5))
    assert here == digest(keep_out([pair("nut", NUT), pair("carriage", CARRIAGE)], TRAVEL, 0.5))
    script = (
        "import test_keepout as t; "
        "print(t.digest(t.keep_out([t.pair('nut', t.NUT), t.pair('carriage', t.CARRIAGE)], t.TRAVEL, 0.5)))"
    )
    paths = [str(Path(__file__).parent), str(Path(__file__).parents[2])]
    run = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path[:0] = {paths!r}; {script}"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.strip() == here


def test_single_precision_as_in_a_binary_stl_keeps_it_closed() -> None:
    mesh = keep_out([pair("nut", NUT), pair("carriage", CARRIAGE), pair("arm", ARM)], TRAVEL, 0.5)
    read = trimesh.Trimesh(
        mesh.vertices.astype(np.float32)[mesh.triangles].reshape(-1, 3),
        np.arange(3 * len(mesh.triangles)).reshape(-1, 3),
    )
    assert read.is_volume
    assert read.volume == pytest.approx(signed_volume(mesh), rel=1e-6)


CROSS = Shape((Box((1, 2, 30), (16, 14, 40)),), (Cylinder("x", (8, 35), 2.0, (1, 16)),))
ELL = Shape((Box((1, 2, 0), (9, 4, 3)), Box((1, 2, 3), (3, 4, 8))))


def test_a_cross_bored_block_sweeps_to_a_longer_block_in_its_place() -> None:
    swept = keep_out([pair("block", CROSS)], TRAVEL)
    assert np.array(swept.bounds).tolist() == [[1.0, 2.0, 26.0], [16.0, 14.0, 104.0]]
    assert signed_volume(swept) == pytest.approx(15 * 12 * 78, rel=1e-12)
    grown = keep_out([pair("block", CROSS)], TRAVEL, 0.5)
    np.testing.assert_allclose(grown.bounds, [[0.5, 1.5, 25.5], [16.5, 14.5, 104.5]], atol=1e-9)
    here = keep_out([pair("block", CROSS)], (5.0, 5.0))
    assert np.array(here.bounds).tolist() == [[1.0, 2.0, 35.0], [16.0, 14.0, 45.0]]
    # the bore's polygon has 4 x 12 corners on the true circle: 2 (1 - cos 180 / 32 deg) within 0.01
    assert here.chord_error == pytest.approx(2.0 * (1.0 - math.cos(math.pi / 32)))
    assert signed_volume(here) == pytest.approx(15 * 12 * 10 - 15 * 32 / 2 * 4 * math.sin(math.pi / 16))


def test_a_body_from_a_file_sweeps_in_its_place() -> None:
    mesh = mesh_of(ELL)
    swept = keep_out([file_pair(mesh)], (2.0, 2.1))
    np.testing.assert_allclose(swept.bounds, [[1.0, 2.0, 2.0], [9.0, 4.0, 10.1]], atol=1e-12)
    assert signed_volume(swept) == pytest.approx(8 * 2 * 3.1 + 2 * 2 * 5)
    grown = keep_out([file_pair(Mesh(mesh.vertices, mesh.triangles, 0.1))], (2.0, 4.0), 0.1)
    np.testing.assert_allclose(grown.bounds, [[0.8, 1.8, 1.8], [9.2, 4.2, 12.2]], atol=1e-9)
    assert grown.chord_error == pytest.approx(0.1 + 0.1 + ball(0.2, 0.01)[1])


def test_the_excess_is_that_of_the_worst_piece() -> None:
    """A rod of 5 mm within 0.01: 72 flats; beside it a block, which is exact."""
    both = Shape((Cylinder("z", (0, 0), 5.0, (0, 4)), Box((-9, -9, 4), (9, 9, 8))))
    assert keep_out([pair("both", both)], TRAVEL).chord_error == pytest.approx(
        5.0 / math.cos(math.pi / 72) - 5.0
    )
    rough = Mesh(mesh_of(ELL).vertices, mesh_of(ELL).triangles, 0.03)
    grown = keep_out([file_pair(rough), pair("both", both)], TRAVEL, 0.5)
    assert grown.chord_error == pytest.approx(2 * 0.03 + ball(0.53, 0.05 * 0.53)[1])
    convex = keep_out([file_pair(Mesh(mesh_of(ARM).vertices, mesh_of(ARM).triangles, 0.03))], TRAVEL, 0.5)
    assert convex.chord_error == pytest.approx(2 * 0.03 + ball(0.53, 0.01)[1])


@pytest.mark.parametrize("growth", [0.0, 0.05])
@pytest.mark.parametrize("tolerance", [0.005, 0.05])
def test_small_numbers_are_numbers_too(growth: float, tolerance: float) -> None:
    mesh = keep_out([pair("arm", ARM)], (3.0, 3.0), growth, tolerance)
    np.testing.assert_allclose(
        mesh.bounds, [[-5 - growth, 12 - growth, 33 - growth], [5 + growth, 48 + growth, 41 + growth]]
    )


def test_a_mesh_is_grown_up_to_the_limit_of_its_triangles(monkeypatch: pytest.MonkeyPatch) -> None:
    assert TRIANGLE_LIMIT == 1500
    count = swept_mesh(manifold_of(mesh_of(ELL)), (0.0, 0.0, 2.0)).num_tri()
    monkeypatch.setattr(keepout, "TRIANGLE_LIMIT", count)
    assert keep_out([file_pair(mesh_of(ELL))], (0.0, 2.0), 0.5).chord_error > 0.0
    monkeypatch.setattr(keepout, "TRIANGLE_LIMIT", count - 1)
    with pytest.raises(ShapeError, match=f"has {count} triangles; up to {count - 1}"):
        keep_out([file_pair(mesh_of(ELL))], (0.0, 2.0), 0.5)


@pytest.mark.parametrize("vector", [(0.0, 0.0, 0.1), (0.0, 0.1, 0.0), (3.0, 0.0, 0.0), (0.0, 0.0, 0.0)])
def test_an_ell_sweeps_along_each_axis(vector: tuple[float, float, float]) -> None:
    swept = swept_mesh(manifold_of(mesh_of(ELL)), vector)
    x, y, z = vector
    volume = 8 * 2 * 3 + 2 * 2 * 5 + 8 * 2 * z + (8 * 3 + 2 * 5) * y + (2 * 3 + 2 * 5) * x
    assert float(swept.volume()) == pytest.approx(volume)


def test_a_blind_cut_and_two_that_meet_go_the_way_of_facets() -> None:
    """A pocket 2 deep stays open below what sweeps over it; two bores that meet are one hole."""
    pocket = Shape((Box((0, 0, 0), (10, 10, 10)),), (Box((2, 2, 0), (8, 8, 2)),))
    swept = keep_out([pair("block", pocket)], (0.0, 1.0))
    assert signed_volume(swept) == pytest.approx(10 * 10 * 11 - 6 * 6 * 2)
    two = (Box((2, 2, 0), (6, 8, 10)), Box((5, 2, 0), (8, 8, 10)))
    joined = keep_out([pair("block", Shape((Box((0, 0, 0), (10, 10, 10)),), two))], (0.0, 1.0))
    assert signed_volume(joined) == pytest.approx((100 - 36) * 11)

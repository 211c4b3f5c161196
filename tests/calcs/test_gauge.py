"""The go gauge on the demo's bodies: closed, never too small, and it shows what is in the way."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from calcs import gauge as gauges
from calcs.gauge import Gauge, drops_in, gauge_of
from calcs.keepout import keep_out
from geometry.bodies import Body, Box, Contact, Cylinder, FileShape, Primitive, Role, Shape
from geometry.errors import ShapeError
from geometry.meshes import Mesh, manifold_of, mesh_faults, mesh_of, signed_volume

TRAVEL = (-4.0, 64.0)
REQUIRED = 0.5
CLEARANCE = 0.2
Placed = tuple[Body, Mesh]


def box(*ends: float) -> Box:
    return Box((ends[0], ends[2], ends[4]), (ends[1], ends[3], ends[5]))


def rod(radius: float, low: float, high: float) -> Cylinder:
    return Cylinder("z", (0.0, 0.0), radius, (low, high))


def placed(name: str, role: Role, moves: bool, *adds: Primitive, cuts: tuple[Primitive, ...] = ()) -> Placed:
    shape = Shape(adds, cuts)
    return Body(name, role, moves, shape), mesh_of(shape)


def demo(rib_face: float = -18.7) -> list[Placed]:
    return [
        placed("nut", "actuator", True, rod(7.5, 14, 26), rod(12, 26, 30), cuts=(rod(4, 14, 30),)),
        placed("carriage", "load", True, box(-15, 15, -12, 12, 30, 40), cuts=(rod(5, 30, 40),)),
        placed("arm", "load", True, box(-5, 5, 12, 48, 30, 38)),
        placed("guide_block", "load", True, box(-9, 9, -19, -12, 22, 42)),
        placed("flag", "load", True, box(-18, -15, -2, 2, 33, 34)),
        placed("gear", "actuator", False, rod(8, -16, 0)),
        placed("screw", "actuator", False, rod(2.5, 0, 8), rod(4, 8, 104), rod(2.5, 104, 113)),
        placed("rail", "guide", False, box(-3.5, 3.5, -24, -19, 8, 108)),
        placed("stop_low", "housing", False, box(10, 14, -12, -9, 5, 26)),
        placed("stop_high", "housing", False, box(10, 14, -12, -9, 104, 108)),
        placed("pcb", "electronics", False, box(8, 18, 17, 18, 30, 90)),
        placed("back_wall", "housing", False, box(-24, 24, -28, -24, -74, 118)),
        placed("left_wall", "housing", False, box(-24, -20, -24, 18, -74, 118)),
        placed("right_wall", "housing", False, box(20, 24, -24, 18, -74, 118)),
        placed("front_left", "housing", False, box(-24, -7, 18, 21, -74, 118)),
        placed("front_right", "housing", False, box(7, 24, 18, 21, -74, 118)),
        placed("sill_low", "housing", False, box(-7, 7, 18, 21, -74, 24)),
        placed("sill_top", "housing", False, box(-7, 7, 18, 21, 106, 118)),
        placed("mount_plate", "housing", False, box(-20, 20, -24, 18, 0, 5), cuts=(rod(5, 0, 5),)),
        placed("top_plate", "housing", False, box(-20, 20, -24, 18, 108, 113), cuts=(rod(2.5, 108, 113),)),
        placed("rib", "housing", False, box(-20, rib_face, -6, 6, 61.0, 62.2)),
        placed("floor", "cover", False, box(-24, 24, -28, 21, -78, -74)),
        placed("lid", "cover", False, box(-24, 24, -28, 21, 118, 122)),
    ]


CONTACTS = (
    Contact("gear", "mount_plate"),
    Contact("screw", "top_plate"),
    Contact("nut", "screw"),
    Contact("guide_block", "rail"),
    Contact("carriage", "stop_low", (-4.0, -3.5)),
    Contact("stop_high", "carriage", (63.5, 64.0)),
)


def make(bodies: list[Placed], contacts: tuple[Contact, ...] = CONTACTS) -> Gauge:
    return gauge_of(bodies, contacts, TRAVEL, REQUIRED, CLEARANCE)


def fixed_of(bodies: list[Placed]) -> list[Placed]:
    return [(body, mesh) for body, mesh in bodies if not body.moves]


@pytest.fixture(scope="module")
def gauge() -> Gauge:
    return make(demo())


def test_gauge_and_halves_are_closed_and_the_halves_are_the_gauge(gauge: Gauge) -> None:
    for mesh in (gauge.whole, *gauge.halves):
        assert mesh_faults(mesh) == ()
        assert trimesh.Trimesh(mesh.vertices, mesh.triangles).is_volume
    whole, (one, other) = manifold_of(gauge.whole), (manifold_of(half) for half in gauge.halves)
    united = one + other
    assert (united - whole).volume() + (whole - united).volume() == pytest.approx(0.0, abs=1e-6)
    assert (one ^ other).volume() == pytest.approx(0.0, abs=1e-9)
    along = "xy".index(gauge.axis)
    assert gauge.halves[0].bounds[0][along] == pytest.approx(gauge.position, abs=1e-12)
    assert gauge.halves[1].bounds[1][along] == pytest.approx(gauge.position, abs=1e-12)


def test_the_gauge_contains_the_grown_movers_away_from_contacts(gauge: Gauge) -> None:
    # A ball around points of the movers at random travel must lie in the gauge, but for the reliefs.
    solid = manifold_of(gauge.whole)
    partners = [pair for pair in demo() if pair[0].name in ("screw", "rail", "stop_low", "stop_high")]
    reliefs = manifold_of(keep_out(partners, (0.0, 0.0), CLEARANCE))
    random = np.random.default_rng(3)
    import manifold3d

    ball = manifold3d.Manifold.sphere(REQUIRED, 12)  # its corners lie on the sphere
    for body, mesh in demo():
        if body.moves:
            for corner in mesh.vertices[random.integers(0, len(mesh.vertices), 10)]:
                missing = ball.translate(corner + np.array([0, 0, random.uniform(*TRAVEL)])) - solid - reliefs
                # Cylinder facets are centred: their corners lie outside the true body by the chord error.
                assert missing.volume() <= 4 * math.pi * REQUIRED**2 * mesh.chord_error
    assert solid.volume() > 90_000  # two thirds of it are the carriage's 31 x 25 x 79


def test_the_gauge_of_the_sound_design_drops_in(gauge: Gauge) -> None:
    assert drops_in(gauge.whole, fixed_of(demo()), CONTACTS) == ()


def test_a_rib_in_the_way_stops_it_by_the_overlap_in_closed_form() -> None:
    bodies = demo(rib_face=-17.6)
    rib_gauge = make(bodies)
    # The flag reaches x = -18.5 with its edges rounded by 0.5; the rib is 1.2 high and longer than the flag.
    true = ((18.5 - 17.6) * 5.0 - 2 * (1 - math.pi / 4) * REQUIRED**2) * 1.2
    ((name, volume),) = drops_in(rib_gauge.whole, fixed_of(bodies), CONTACTS)
    assert name == "rib"
    assert volume == pytest.approx(true, abs=5.0 * 1.2 * rib_gauge.whole.chord_error)


def test_without_declared_contacts_their_partners_stop_it() -> None:
    bodies = demo()
    found = dict(drops_in(make(bodies, ()).whole, fixed_of(bodies)))
    assert set(found) == {"screw", "rail", "stop_low", "stop_high"}
    assert found["stop_low"] == pytest.approx(4 * 3 * 0.5, rel=1e-6)


def test_another_mover_that_hits_a_contact_partner_still_shows() -> None:
    bodies = [*demo(), placed("spur", "load", True, box(11, 13, -11, -10, 27, 30))]
    found = dict(drops_in(make(bodies).whole, fixed_of(bodies), CONTACTS))
    assert set(found) == {"stop_low"}


def test_outside_its_window_a_contact_pair_is_still_gauged() -> None:
    high_stop = placed("stop_low", "housing", False, box(10, 14, -12, -9, 5, 29))
    bodies = [high_stop if pair[0].name == "stop_low" else pair for pair in demo()]
    assert dict(drops_in(make(bodies).whole, fixed_of(bodies), CONTACTS)).keys() == {"stop_low"}


def as_file(pair: Placed) -> Placed:
    return pair[0]._replace(shape=FileShape("part.step")), pair[1]


def test_partners_and_movers_from_files_are_gauged_like_shapes(gauge: Gauge) -> None:
    names = ("rail", "stop_low", "guide_block")
    bodies = [as_file(pair) if pair[0].name in names else pair for pair in demo()]
    made = make(bodies)
    assert drops_in(made.whole, fixed_of(bodies), CONTACTS) == ()
    assert signed_volume(made.whole) == pytest.approx(signed_volume(gauge.whole), rel=1e-4)


def test_a_file_partner_far_from_the_mover_needs_no_relief(gauge: Gauge) -> None:
    bodies = [as_file(pair) if pair[0].name == "floor" else pair for pair in demo()]
    made = make(bodies, (*CONTACTS, Contact("flag", "floor")))
    assert signed_volume(made.whole) == pytest.approx(signed_volume(gauge.whole), rel=1e-12)


def test_an_allowed_overlap_is_allowed() -> None:
    bodies = demo(rib_face=-17.6)
    whole = make(bodies).whole
    assert drops_in(whole, fixed_of(bodies), (Contact("flag", "rib", None, 6.0),)) == ()
    assert drops_in(whole, fixed_of(bodies), (Contact("flag", "rib", None, 4.0),)) != ()


def test_a_body_that_is_not_closed_is_named_without_a_volume(gauge: Gauge) -> None:
    body, mesh = demo()[-1]
    holed = Mesh(mesh.vertices, mesh.triangles[1:], 0.0)
    assert drops_in(gauge.whole, [(body, holed)]) == (("lid", None),)


def test_ways_in_name_what_stands_in_them(gauge: Gauge) -> None:
    # Every way out of the demo's box is barred by something that is no cover.
    assert all(way.blocked_by for way in gauge.ways)
    assert all(way.direction in {"+x", "-x", "+y", "-y", "+z", "-z"} for way in gauge.ways)
    open_box = [pair for pair in demo() if pair[0].name in ("lid", "screw", "rail") or pair[0].moves]
    ways = make(open_box).ways
    assert all(way.blocked_by == () and way.covers == () for way in ways)


def test_a_cover_in_the_only_way_is_to_be_taken_off() -> None:
    walls = [
        placed("slide", "load", True, box(-2, 2, -2, 2, 0, 4)),
        placed("lid", "cover", False, box(-10, 10, -10, 10, 80, 82)),
        placed("base", "housing", False, box(-10, 10, -10, 10, -12, -10)),
        placed(
            "tube",
            "housing",
            False,
            box(-10, 10, -10, 10, -10, 80),
            cuts=(Cylinder("z", (0, 0), 5.0, (-10, 80)),),
        ),
    ]
    made = gauge_of(walls, (), TRAVEL, REQUIRED, CLEARANCE)
    assert [(way.direction, way.covers, way.blocked_by) for way in made.ways] == [("-z", ("lid",), ())] * 2


def test_nothing_that_moves_makes_no_gauge() -> None:
    with pytest.raises(ShapeError, match="nothing moves"):
        make(fixed_of(demo()))


def test_the_volume_of_the_halves_adds_up(gauge: Gauge) -> None:
    assert sum(signed_volume(half) for half in gauge.halves) == pytest.approx(
        signed_volume(gauge.whole), rel=1e-9
    )


SLIDE = placed("slide", "load", True, box(-2, 2, -2, 2, 0, 4))
SHORT = (0.0, 10.0)


def fills(gauge: Gauge, *probe: float) -> float:
    """Share of a probe box that the gauge fills."""
    cube = manifold_of(mesh_of(Shape((box(*probe),))))
    return float((manifold_of(gauge.whole) ^ cube).volume() / cube.volume())


def test_a_gauge_without_contacts_is_the_grown_sweep() -> None:
    made = gauge_of([SLIDE], (), SHORT, REQUIRED, CLEARANCE)
    np.testing.assert_allclose(made.whole.bounds, [[-2.5, -2.5, -0.5], [2.5, 2.5, 14.5]], atol=1e-9)
    assert 0.0 < made.whole.chord_error == made.halves[0].chord_error <= 0.01
    assert (made.axis, made.position) == ("x", 0.0)
    assert gauge_of([SLIDE], (), SHORT, REQUIRED, CLEARANCE, (0.5, 1.0)).position == 0.5
    first, second = gauge_of([SLIDE], (), SHORT, REQUIRED, CLEARANCE, (0.5, 1.0)).halves
    assert (first.bounds[0][0], second.bounds[1][0]) == pytest.approx((0.5, 0.5))


def test_the_halves_meet_where_less_is_in_the_way() -> None:
    """A shelf over one half of x bars both halves of a split at y, but only one of a split at x."""
    shelf = placed("shelf", "housing", False, box(0, 9, -9, 9, 20, 22))
    walls = [
        placed("left", "housing", False, box(-9, -4, -9, 9, -9, 20)),
        placed("right", "housing", False, box(4, 9, -9, 9, -9, 20)),
        placed("front", "housing", False, box(-4, 4, -9, -4, -9, 20)),
        placed("back", "housing", False, box(-4, 4, 4, 9, -9, 20)),
        placed("floor", "housing", False, box(-9, 9, -9, 9, -12, -9)),
    ]
    made = gauge_of([SLIDE, shelf, *walls], (), SHORT, REQUIRED, CLEARANCE, (0.0, 1.0))
    assert (made.axis, made.position) == ("x", 0.0)
    turned = placed("shelf", "housing", False, box(-9, 9, 1, 9, 20, 22))
    made = gauge_of([SLIDE, turned, *walls], (), SHORT, REQUIRED, CLEARANCE, (0.0, 1.0))
    assert (made.axis, made.position) == ("y", 1.0)
    assert [way.direction for way in made.ways][1] == "-z"
    made = gauge_of([SLIDE, turned, *walls], (), SHORT, REQUIRED, CLEARANCE)
    assert (made.axis, made.position) == ("y", 0.0)  # the screw's axis, where none is given


def test_a_partner_that_touches_is_relieved_by_the_clearance() -> None:
    rail = placed("rail", "guide", False, box(2, 4, -9, 9, -9, 30))
    made = gauge_of([SLIDE, rail], [Contact("slide", "rail")], SHORT, REQUIRED, CLEARANCE)
    np.testing.assert_allclose(made.whole.bounds, [[-2.5, -2.5, -0.5], [1.8, 2.5, 14.5]], atol=1e-9)


@pytest.mark.parametrize(
    ("required", "window", "full", "empty"),
    [
        # touches from 9.5 on: below 13.5 + 0.3 it is gauged, above it the stop's own clearance counts
        (0.5, (9.5, 10.0), (13.7, 13.79), (13.81, 14.4)),
        # and from 9.9 on: gauged up to 13.9 + 0.3
        (0.5, (9.9, 10.0), (14.1, 14.19), (14.21, 14.4)),
        # a gap below the print's clearance is not kept outside the window, the sweep itself is
        (0.1, (9.9, 10.0), (13.82, 13.89), (13.91, 14.05)),
    ],
)
def test_the_relief_of_a_stop_is_shallower_outside_its_window(
    required: float, window: tuple[float, float], full: tuple[float, float], empty: tuple[float, float]
) -> None:
    stop = placed("stop", "housing", False, box(-1, 1, -1, 1, 14, 18))
    made = gauge_of([SLIDE, stop], [Contact("stop", "slide", window)], SHORT, required, CLEARANCE)
    assert fills(made, -0.5, 0.5, -0.5, 0.5, *full) == pytest.approx(1.0)
    assert fills(made, -0.5, 0.5, -0.5, 0.5, *empty) == pytest.approx(0.0, abs=1e-6)
    assert fills(made, 1.5, 1.8, -0.5, 0.5, *empty) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("windows", "outside"),
    [
        ([None], []),
        ([(2.0, 5.0)], [(0.0, 2.0), (5.0, 10.0)]),
        ([(6.0, 8.0), (2.0, 5.0)], [(0.0, 2.0), (5.0, 6.0), (8.0, 10.0)]),
        ([(-5.0, 3.0), (2.0, 4.0)], [(4.0, 10.0)]),
        ([(0.0, 7.0), (2.0, 4.0)], [(7.0, 10.0)]),
        ([(8.0, 20.0)], [(0.0, 8.0)]),
        ([(12.0, 20.0)], [(0.0, 10.0)]),
        ([(-9.0, -5.0)], [(0.0, 10.0)]),
        ([(0.0, 10.0)], []),
    ],
)
def test_the_travel_outside_windows(
    windows: list[tuple[float, float] | None], outside: list[tuple[float, float]]
) -> None:
    assert gauges._outside(windows, SHORT) == outside


@pytest.mark.parametrize(("short", "named"), [(0.95e-6, False), (1.05e-6, True)])
def test_what_a_union_may_leave_is_no_overlap(short: float, named: bool) -> None:
    block = mesh_of(Shape((box(0, 2, 0, 1, 0, 1),)))
    body, mesh = placed("stop", "housing", False, box(1, 3, 0, 1, 0, 1))
    contacts = [Contact("slide", "stop", None, 1.0 - short), Contact("slide", "other", None, 9.0)]
    found = drops_in(block, [(body, mesh)], contacts)
    assert found == ((("stop", pytest.approx(1.0)),) if named else ())


def test_the_most_that_a_contact_of_a_body_allows_counts() -> None:
    block = mesh_of(Shape((box(0, 2, 0, 1, 0, 1),)))
    stop = placed("stop", "housing", False, box(1.5, 3, 0, 1, 0, 1))
    assert drops_in(block, [stop]) == (("stop", pytest.approx(0.5)),)
    loose, tight = Contact("stop", "slide", None, 0.6), Contact("stop", "arm", None, 0.4)
    assert drops_in(block, [stop], [loose, tight]) == ()
    assert drops_in(block, [stop], [tight]) != ()


def test_a_partner_is_relieved_where_it_stands_and_no_farther() -> None:
    rail = placed("rail", "guide", False, box(2, 4, -9, 9, -9, 5))
    made = gauge_of([SLIDE, rail], [Contact("slide", "rail")], SHORT, REQUIRED, CLEARANCE)
    assert fills(made, 1.9, 2.4, -0.5, 0.5, 2.0, 5.15) == pytest.approx(0.0, abs=1e-6)
    assert fills(made, 1.9, 2.4, -0.5, 0.5, 5.25, 6.0) == pytest.approx(1.0)


def test_the_room_that_a_body_bars_reaches_past_everything() -> None:
    block, whole = placed("block", "housing", False, box(0, 1, 2, 4, 5, 8)), box(-3, 2, -4, 6, -5, 7)
    far = placed("far", "housing", False, box(-9, -8, -6, -5, -8, -7))
    paths = gauges._paths([block, far], manifold_of(mesh_of(Shape((whole,)))))
    # all of it fills -9 to 2, -6 to 6 and -8 to 8
    for way, room in {
        "+x": (0, 12, 2, 4, 5, 8), "-x": (-11, 1, 2, 4, 5, 8),
        "+y": (0, 1, 2, 16, 5, 8), "-y": (0, 1, -10, 4, 5, 8),
        "+z": (0, 1, 2, 4, 5, 24), "-z": (0, 1, 2, 4, -11, 8),
    }.items():  # fmt: skip
        low, high = np.array(paths[way]["block"].bounding_box()).reshape(2, 3)
        assert [low.tolist(), high.tolist()] == [list(room[::2]), list(room[1::2])], way


def test_parts_overlap_from_more_than_noise_on() -> None:
    cube = manifold_of(mesh_of(Shape((box(0, 1, 0, 1, 0, 1),))))
    for shift, overlaps in ((0.5, True), (-0.5, True), (1.0, False), (-1.0, False), (1.0 - 5e-7, False)):
        for axis in range(3):
            other = cube.translate(tuple(shift * np.eye(3)[axis]))
            assert gauges._overlap(cube, other) is overlaps


def test_bodies_of_more_than_20_000_triangles_are_not_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gauges, "manifold_of", lambda mesh: "a solid")
    for count, tried in ((20_000, True), (20_001, False)):
        mesh = Mesh(np.zeros((3, 3)), np.zeros((count, 3), dtype=np.int32), 0.0)
        assert (gauges._solid_or_none(mesh) == "a solid") is tried

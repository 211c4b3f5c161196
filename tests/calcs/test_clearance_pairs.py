"""Verdicts on pairs: clear, too near, not proven, in clash, in contact, and what could not be told."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from vial_lift import TRAVEL, box, rod

from calcs.clearance import Pair
from calcs.clearance_pairs import (
    PairResult,
    Task,
    _low,
    judge_contact,
    judge_static,
    judge_travel,
    not_measured,
    verdict_on,
)
from calcs.clearance_sweep import around, mover_of, sweep, whole
from geometry.bodies import Contact, Primitive, Shape
from geometry.meshes import Mesh, mesh_of
from geometry.units import Band


def solid(*adds: Primitive, cuts: tuple[Primitive, ...] = ()) -> Mesh:
    return mesh_of(Shape(adds, cuts))


def task(mover: Mesh, obstacle: Mesh) -> Task:
    return Task("mover", "obstacle", Pair(mover_of(mover), whole(obstacle)))


def travel(
    mover: Mesh, obstacle: Mesh, required: float = 0.5, over: tuple[float, float] = TRAVEL
) -> PairResult:
    made = task(mover, obstacle)
    return judge_travel(made, sweep(made.pair.mover, *over), required)


FLAG = solid(box(-18.0, -15.0, -2.0, 2.0, 33.0, 34.0))
CARRIAGE = solid(box(-15.0, 15.0, -12.0, 12.0, 30.0, 40.0), cuts=(rod(5.0, 30.0, 40.0),))
STOP = solid(box(10.0, 14.0, -12.0, -9.0, 5.0, 26.0))


@pytest.mark.parametrize(
    ("gap", "required", "verdict"),
    [
        (Band(0.5, 0.5, 0.5), 0.5, "PASS"),
        (Band(0.5 - 0.99e-9, 0.5, 0.5), 0.5, "PASS"),
        (Band(0.5 - 1.05e-9, 0.5, 0.5), 0.5, "NOT PROVEN"),
        (Band(0.4, 0.45, 0.5 - 0.99e-9), 0.5, "NOT PROVEN"),
        (Band(0.4, 0.45, 0.5 - 1.05e-9), 0.5, "FAIL"),
        (Band(0.499, 0.501, 0.503), 0.5, "NOT PROVEN"),
        (Band(0.495, 0.497, 0.499), 0.5, "FAIL"),
    ],
)
def test_the_interval_is_judged_on_its_low_end(gap: Band, required: float, verdict: str) -> None:
    assert verdict_on(gap, required) == verdict


def test_rib_at_the_old_face_passes_with_0_7() -> None:
    result = travel(FLAG, solid(box(-20.0, -18.7, -6.0, 6.0, 61.0, 62.2)))
    assert result.verdict == "PASS"
    assert result.gap == pytest.approx((0.7, 0.7, 0.7), abs=1e-9)
    assert (result.below_required, result.clash, result.overlap) == ((), (), None)


def test_rib_moved_in_fails_with_its_windows_and_overlap() -> None:
    result = travel(FLAG, solid(box(-20.0, -17.6, -6.0, 6.0, 61.0, 62.2)))
    assert result.verdict == "FAIL"
    assert result.gap == pytest.approx((-0.4, -0.4, -0.4), abs=1e-3)
    assert result.clash == (pytest.approx((27.0, 29.2), abs=1e-3),)
    assert result.below_required == (pytest.approx((26.5, 29.7), abs=1e-3),)
    assert result.at_travel is not None
    assert 28.0 - 1e-3 <= result.at_travel <= 28.2 + 1e-3
    assert result.overlap is not None
    assert result.overlap.volume == pytest.approx(1.60, abs=1e-3)
    assert result.overlap.at_travel == result.at_travel
    assert result.shortfall_axis == 0


def test_a_gap_within_the_chord_errors_of_the_limit_is_not_proven() -> None:
    """A flange r 12 beside a flat wall: 0.5 exactly, of which the mesh can say 0.5 +- its error."""
    wall = solid(box(12.5, 20.0, -20.0, 20.0, 0.0, 100.0))
    result = travel(solid(rod(12.0, 26.0, 30.0)), wall)
    assert result.verdict == "NOT PROVEN"
    assert result.gap is not None
    assert result.gap.low < 0.5 <= result.gap.high
    assert result.below_required == (TRAVEL,)


def test_a_cube_buried_in_a_thick_wall_fails() -> None:
    cube, wall = (
        solid(box(-2.0, 2.0, -2.0, 2.0, -2.0, 2.0)),
        solid(box(-20.0, 20.0, -20.0, 20.0, -20.0, 20.0)),
    )
    moving = travel(cube, wall, 0.5, (-1.0, 1.0))
    standing = judge_static(task(cube, wall), 0.0)
    for result in (moving, standing):
        assert result.verdict == "FAIL"
        assert result.gap is not None
        assert result.gap.nominal == pytest.approx(-22.0, abs=1e-3)
        assert result.overlap is not None
        assert result.overlap.volume == pytest.approx(64.0)
    assert moving.clash == ((-1.0, 1.0),)
    assert (standing.clash, standing.at_travel) == ((), None)


def test_deepest_pose_is_found_at_the_end_of_the_travel() -> None:
    arm, sill = solid(box(-5.0, 5.0, 12.0, 48.0, 18.0, 26.0)), solid(box(-7.0, 7.0, 18.0, 21.0, -66.0, 24.0))
    result = travel(arm, sill)
    assert result.gap is not None
    assert result.gap.nominal == pytest.approx(-9.0, abs=1e-3)
    assert result.at_travel == pytest.approx(-4.0, abs=1e-3)
    at_rest = travel(arm, sill, 0.5, (0.0, 64.0))
    assert at_rest.gap is not None
    assert at_rest.gap.nominal == pytest.approx(-6.0, abs=1e-3)
    assert at_rest.at_travel == pytest.approx(0.0, abs=1e-3)


def test_a_graze_between_the_poses_looked_at_still_clashes() -> None:
    """A blade of 0.02 mm across a travel of 68: no even pose meets it, what is swept does."""
    blade = solid(box(-20.0, -17.0, -6.0, 6.0, 50.0, 50.02))
    thin = solid(box(-18.0, -15.0, -2.0, 2.0, 33.0, 33.02))
    result = travel(thin, blade)
    assert result.verdict == "FAIL"
    assert result.clash == (pytest.approx((16.98, 17.02), abs=1e-4),)
    assert result.overlap is not None


class TestRequiredNothing:
    def test_touching_is_allowed(self) -> None:
        result = judge_static(task(CARRIAGE, solid(rod(12.0, 26.0, 30.0))), 0.0)
        assert (result.verdict, result.overlap) == ("PASS", None)

    def test_overlapping_is_not(self) -> None:
        result = judge_static(task(CARRIAGE, solid(rod(12.0, 26.0, 30.1))), 0.0)
        assert result.verdict == "FAIL"
        assert result.gap is not None
        assert result.gap.nominal == pytest.approx(-0.1, abs=1e-3)

    def test_facets_through_each_other_are_touching(self) -> None:
        plate = solid(box(-20.0, 20.0, -20.0, 20.0, 0.0, 5.0), cuts=(rod(5.0, 0.0, 5.0),))
        assert judge_static(task(solid(rod(5.001, -10.0, 10.0)), plate), 0.0).verdict == "PASS"
        assert judge_static(task(solid(rod(5.05, -10.0, 10.0)), plate), 0.0).verdict == "FAIL"


class TestContacts:
    LOW = Contact("mover", "obstacle", (-4.0, -3.5))

    def test_within_its_range_it_may_touch_and_outside_it_keeps_its_class(self) -> None:
        result = judge_contact(task(CARRIAGE, STOP), [self.LOW], 0.5, TRAVEL)
        assert (result.verdict, result.kind, result.below_required) == ("PASS", "contact", ())

    def test_a_stop_1_mm_higher_is_reported_before_and_in_the_range(self) -> None:
        stop = solid(box(10.0, 14.0, -12.0, -9.0, 5.0, 27.0))
        result = judge_contact(task(CARRIAGE, stop), [self.LOW], 0.5, TRAVEL)
        assert result.verdict == "FAIL"
        assert result.gap is not None
        assert result.gap.nominal == pytest.approx(-1.0, abs=1e-3)
        assert result.clash == (pytest.approx((-4.0, -3.0), abs=1e-3),)
        assert result.below_required == (pytest.approx((-4.0, -2.5), abs=0.01),)

    def test_a_range_at_the_other_end_leaves_the_low_stop_to_its_class(self) -> None:
        result = judge_contact(
            task(CARRIAGE, STOP), [Contact("mover", "obstacle", (63.0, 64.0))], 0.5, TRAVEL
        )
        assert result.verdict == "FAIL"
        assert result.below_required == (pytest.approx((-4.0, -3.5), abs=0.01),)

    def test_two_contacts_with_one_body_are_both_declared(self) -> None:
        """A housing of one piece: the low and the high stop are ranges of the same pair."""
        stops = solid(
            box(10.0, 14.0, -12.0, -9.0, 5.0, 26.0),
            box(10.0, 14.0, -12.0, -9.0, 104.0, 108.0),
            box(14.0, 20.0, -12.0, -9.0, 5.0, 6.0),
        )
        high = Contact("mover", "obstacle", (63.5, 64.0))
        assert judge_contact(task(CARRIAGE, stops), [self.LOW, high], 0.5, TRAVEL).verdict == "PASS"
        assert judge_contact(task(CARRIAGE, stops), [self.LOW], 0.5, TRAVEL).verdict == "FAIL"

    def test_sliding_over_the_whole_travel(self) -> None:
        block, rail = box(-9.0, 9.0, -19.0, -12.0, 22.0, 42.0), box(-3.5, 3.5, -24.0, -19.0, 8.0, 108.0)
        contact = Contact("mover", "obstacle")
        assert judge_contact(task(solid(block), solid(rail)), [contact], 0.5, TRAVEL).verdict == "PASS"
        raised = box(-3.5, 3.5, -24.0, -18.9, 8.0, 108.0)
        result = judge_contact(task(solid(block), solid(raised)), [contact], 0.5, TRAVEL)
        assert result.verdict == "FAIL"
        assert "allows 0 mm3" in result.reason

    def test_an_allowed_overlap_is_judged_at_one_pose_not_over_the_sweep(self) -> None:
        """0.1 deep, 7 wide, 20 long: 14 mm3 at any pose, 61.6 mm3 swept."""
        block, rail = box(-9.0, 9.0, -19.0, -12.0, 22.0, 42.0), box(-3.5, 3.5, -24.0, -18.9, 8.0, 108.0)
        made = task(solid(block), solid(rail))
        failed = judge_contact(made, [Contact("mover", "obstacle", None, 13.9)], 0.5, TRAVEL)
        assert (failed.verdict, failed.required) == ("FAIL", 0.0)
        assert judge_contact(made, [Contact("mover", "obstacle", None, 15.0)], 0.5, TRAVEL).verdict == "PASS"

    def test_at_one_pose_there_is_no_travel_to_name(self) -> None:
        plate = solid(box(-20.0, 20.0, -24.0, 18.0, 0.0, 5.0), cuts=(rod(5.0, 0.0, 5.0),))
        result = judge_contact(task(solid(rod(8.0, -16.0, 0.0)), plate), [Contact("a", "b")], 0.0, None)
        assert (result.verdict, result.at_travel, result.kind) == ("PASS", None, "contact")


class TestUndecided:
    """An open mesh has a surface and no inside."""

    def opened(self, mover: Mesh, obstacle: Mesh) -> Task:
        holed = Mesh(obstacle.vertices, obstacle.triangles[:-1], 0.0)
        pair = Pair(mover_of(mover), whole(holed), obstacle_is_solid=False)
        return Task("mover", "obstacle", pair, "obstacle: 3 free edges")

    def test_clear_surfaces_are_not_checked_with_their_distance_shown(self) -> None:
        made = self.opened(FLAG, solid(box(-20.0, -18.7, -6.0, 6.0, 61.0, 62.2)))
        result = judge_travel(made, sweep(made.pair.mover, *TRAVEL), 0.5)
        assert (result.verdict, result.reason) == ("NOT CHECKED", "obstacle: 3 free edges")
        assert result.gap is not None
        assert result.gap.nominal == pytest.approx(0.7)

    def test_surfaces_that_come_too_near_fail_whatever_is_inside(self) -> None:
        made = self.opened(FLAG, solid(box(-20.0, -18.2, -6.0, 6.0, 61.0, 62.2)))
        assert judge_travel(made, sweep(made.pair.mover, *TRAVEL), 0.5).verdict == "FAIL"
        crossed = self.opened(FLAG, solid(box(-20.0, -17.6, -6.0, 6.0, 61.0, 62.2)))
        result = judge_travel(crossed, sweep(crossed.pair.mover, *TRAVEL), 0.5)
        assert (result.verdict, result.overlap) == ("FAIL", None)
        assert result.clash == (pytest.approx((27.0, 29.2), abs=1e-3),)

    def test_meeting_surfaces_and_contacts_wait_for_an_answer(self) -> None:
        made = self.opened(CARRIAGE, solid(box(-5.0, 5.0, 12.0, 48.0, 30.0, 38.0)))
        assert judge_static(made, 0.0).verdict == "NOT CHECKED"
        assert judge_contact(made, [Contact("mover", "obstacle")], 0.0, None).verdict == "NOT CHECKED"

    def test_a_missing_mesh_has_no_gap(self) -> None:
        result = not_measured("a", "b", "travel", 0.5, "b: no mesh")
        assert (result.verdict, result.gap, result.reason) == ("NOT CHECKED", None, "b: no mesh")
        assert _low(result) == -math.inf  # of alike verdicts the one that counts as worst


def test_coaxial_flange_reads_the_closed_form() -> None:
    result = travel(solid(rod(12.0, 26.0, 30.0)), STOP)
    assert result.gap is not None
    assert result.gap.nominal == pytest.approx(math.sqrt(181.0) - 12.0, abs=0.005)
    assert result.gap.low <= math.sqrt(181.0) - 12.0 <= result.gap.high


def rough(mesh: Mesh, error: float) -> Mesh:
    """The same mesh, said to be off by so much anywhere."""
    return replace(mesh, chord_error=error, curved=None)


CUBE = solid(box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))


class TestChordErrors:
    """A cube said to be off by 0.1, which flat faces would not be."""

    CUBE = rough(CUBE, 0.1)

    def test_the_gap_is_given_either_way(self) -> None:
        result = judge_static(task(self.CUBE, solid(box(3.0, 4.0, 0.0, 1.0, 0.0, 1.0))), 0.5)
        assert (result.verdict, result.gap) == ("PASS", pytest.approx((1.9, 2.0, 2.1)))
        assert result.points is not None
        assert [point[0] for point in result.points] == pytest.approx([1.0, 3.0])
        assert result.shortfall_axis == 0

    def test_windows_count_the_error_as_if_it_were_against_us(self) -> None:
        plate = solid(box(-9.0, 9.0, -9.0, 9.0, 21.3, 25.0))
        result = travel(self.CUBE, plate, 0.5, (0.0, 20.0))
        assert (result.verdict, result.gap) == ("FAIL", pytest.approx((0.2, 0.3, 0.4)))
        assert result.below_required == (pytest.approx((19.7, 20.0), abs=1e-4),)  # from 0.6 on
        assert result.shortfall_axis == 2

    def test_what_just_passes_with_the_error_is_in_no_window(self) -> None:
        """0.6 beside it all along is 0.5 at worst: only the bump at the end, at 0.3, is too near."""
        wall = solid(box(1.6, 3.0, -9.0, 9.0, 0.0, 40.0), box(1.3, 1.6, -9.0, 9.0, 30.0, 40.0))
        result = travel(self.CUBE, wall, 0.5, (0.0, 35.0))
        assert result.verdict == "FAIL"
        (window,) = result.below_required
        assert window[0] == pytest.approx(29.0 - math.sqrt(0.6**2 - 0.3**2), abs=1e-4)

    def test_surfaces_that_touch_may_be_apart_or_not(self) -> None:
        block = solid(box(1.0, 3.0, 0.0, 1.0, 0.0, 90.0))
        touching = {
            required: travel(self.CUBE, block, required, (0.0, 20.0)) for required in (0.0, 0.05, 0.3)
        }
        assert {need: found.verdict for need, found in touching.items()} == {
            0.0: "PASS",
            0.05: "NOT PROVEN",
            0.3: "FAIL",
        }
        for result in touching.values():
            assert result.gap == (-0.1, 0.0, 0.1)
            assert result.clash == ()
        assert touching[0.0].below_required == ()
        assert touching[0.3].below_required == ((0.0, 20.0),)

    def test_a_clash_is_as_deep_as_the_shift_either_way(self) -> None:
        block = solid(box(0.4, 3.0, -9.0, 9.0, 21.0, 90.0))
        result = travel(self.CUBE, block, 0.5, (0.0, 30.0))
        assert (result.verdict, result.shortfall_axis) == ("FAIL", 0)
        assert result.gap == pytest.approx((-0.7, -0.6, -0.5), abs=1e-3)
        assert result.clash == (pytest.approx((20.0, 30.0), abs=1e-3),)
        assert result.below_required == (pytest.approx((19.4, 30.0), abs=1e-3),)
        assert result.points is not None
        assert result.points[0] == result.points[1]
        assert result.points[0][:2] == pytest.approx((0.7, 0.5), abs=1e-6)

    def test_a_contact_that_is_apart_gives_its_gap_either_way(self) -> None:
        made = task(self.CUBE, solid(box(3.0, 4.0, 0.0, 1.0, 0.0, 90.0)))
        result = judge_contact(made, [Contact("mover", "obstacle")], 0.5, (0.0, 20.0))
        assert (result.verdict, result.gap) == ("PASS", pytest.approx((1.9, 2.0, 2.1)))
        assert result.required == 0.0


def test_a_sheet_that_meets_a_body_may_cross_it() -> None:
    sheet = Mesh(CUBE.vertices, CUBE.triangles[:2], 0.0)
    pair = Pair(mover_of(sheet), whole(CUBE), mover_is_solid=False)
    result = judge_static(Task("sheet", "cube", pair), 0.0)
    assert (result.verdict, result.reason) == (
        "NOT CHECKED",
        "surfaces meet: touching and crossing look alike",
    )
    contact = judge_contact(Task("sheet", "cube", pair), [Contact("sheet", "cube")], 0.0, None)
    assert (contact.verdict, contact.reason) == (
        "NOT CHECKED",
        "a surface: touching and crossing look alike",
    )


def test_a_pair_at_one_pose_is_judged_where_it_stands() -> None:
    for shift in (5.0, -5.0):
        other = solid(box(0.0, 1.0, 0.0, 1.0, shift, shift + 1.0))
        result = judge_static(task(CUBE, other), 0.5)
        assert result.gap == pytest.approx((4.0, 4.0, 4.0), abs=1e-12)
        contact = judge_contact(task(CUBE, other), [Contact("mover", "obstacle")], 0.5, None)
        assert contact.gap == pytest.approx((4.0, 4.0, 4.0), abs=1e-12)


def test_a_clash_that_needs_no_gap_is_below_it_where_it_clashes() -> None:
    result = travel(CUBE, solid(box(0.4, 3.0, -9.0, 9.0, 21.0, 90.0)), 0.0, (0.0, 30.0))
    assert result.below_required == result.clash == (pytest.approx((20.0, 30.0), abs=1e-3),)


class TestRanges:
    """A cube that comes to a plate at s = 20: it touches there and is stopped."""

    PLATE = solid(box(-9.0, 9.0, -9.0, 9.0, 21.0, 25.0))

    def judged(self, *ranges: tuple[float, float] | None, stop: float = 20.0) -> PairResult:
        contacts = [Contact("mover", "obstacle", given) for given in ranges]
        return judge_contact(task(CUBE, self.PLATE), contacts, 0.5, (0.0, stop))

    def test_a_range_that_begins_where_the_class_ends_passes(self) -> None:
        assert self.judged((19.5, 20.0)).verdict == "PASS"
        assert self.judged((19.4, 99.0)).verdict == "PASS"
        assert self.judged(None).verdict == "PASS"

    def test_a_range_that_begins_too_late_leaves_a_stretch_too_near(self) -> None:
        late = self.judged((19.7, 20.0))
        assert late.verdict == "FAIL"
        assert late.gap == pytest.approx((0.3, 0.3, 0.3), abs=1e-9)
        assert late.below_required == (pytest.approx((19.5, 19.7), abs=1e-4),)

    @pytest.mark.parametrize("beyond", [(-9.0, -1.0), (21.0, 30.0)])
    def test_a_range_that_the_travel_never_meets_allows_nothing(self, beyond: tuple[float, float]) -> None:
        assert self.judged(beyond).verdict == "FAIL"
        assert self.judged(beyond, stop=18.0).verdict == "PASS"

    def test_a_range_that_meets_the_travel_at_its_very_end_counts(self) -> None:
        assert self.judged((20.0, 30.0), (19.5, 19.99)).verdict == "FAIL"  # 0.01 between the two
        assert self.judged((20.0, 30.0), (19.5, 20.0)).verdict == "PASS"

    def test_the_worst_of_its_stretches_is_the_pairs(self) -> None:
        through = self.judged((19.0, 20.0), stop=22.0)
        assert through.verdict == "FAIL"
        assert through.gap is not None
        assert through.gap.nominal == pytest.approx(-2.0, abs=1e-3)
        assert through.clash == (pytest.approx((20.0, 22.0), abs=1e-3),)


@pytest.mark.parametrize(("allowed", "verdict"), [(1.99, "FAIL"), (2.2, "PASS")])
def test_an_overlap_is_allowed_up_to_its_volume(allowed: float, verdict: str) -> None:
    block = solid(box(-2.0, 0.5, -2.0, 3.0, -9.0, 90.0))
    tall = solid(box(0.0, 1.0, 0.0, 1.0, 0.0, 4.0))
    result = judge_contact(task(tall, block), [Contact("a", "b", None, allowed)], 0.5, (0.0, 20.0))
    assert result.verdict == verdict


def test_a_cropped_obstacle_is_judged_as_far_as_its_gap() -> None:
    plate = solid(box(-90.0, 90.0, -90.0, 90.0, 30.0, 35.0), box(-90.0, 90.0, -90.0, 90.0, 80.0, 85.0))
    mover = mover_of(CUBE)
    swept = sweep(mover, 0.0, 20.0)
    made = Task("mover", "plate", Pair(mover, around(plate, swept, 1.0)))
    result = judge_travel(made, swept, 0.5)
    assert (result.verdict, result.gap) == ("PASS", pytest.approx((9.0, 9.0, 9.0), abs=1e-9))

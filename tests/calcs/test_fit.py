"""The fit of the demo's vial lift, whose numbers were computed twice elsewhere, and what a fit refuses."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from vial_lift import (
    CONTACTS,
    TRAVEL,
    USABLE,
    actuator,
    box,
    fixed,
    movers,
    moving,
    placed,
    report,
    rod,
    surroundings,
)

from calcs import fit as fits
from calcs.clearance_pairs import PairResult
from calcs.fit import FitReport, PlacedMesh, fit, required_gap
from geometry.bodies import Body, ClearanceClasses, Contact, FileShape
from geometry.errors import InputError
from geometry.meshes import Mesh
from geometry.units import Band

GAP = 0.005  # mm; the promise for gaps
WINDOW = 0.01  # mm; the promise for windows of travel


@pytest.fixture(scope="module")
def fine() -> FitReport:
    return report(actuator() + movers() + surroundings())


@pytest.fixture(scope="module")
def rib() -> FitReport:
    return report(actuator() + movers() + surroundings(rib_face=-17.6))


@pytest.fixture(scope="module")
def flipped() -> FitReport:
    return report(actuator(flipped=True) + movers(drop=12.0) + surroundings())


def pair(found: FitReport, a: str, b: str) -> PairResult:
    return next(result for result in found.pairs if {result.a, result.b} == {a, b})


def gap(found: FitReport, a: str, b: str) -> float:
    result = pair(found, a, b)
    assert result.gap is not None
    assert result.gap.low <= result.gap.nominal <= result.gap.high
    return result.gap.nominal


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        ("flag", "rib", 0.700),
        ("guide_block", "stop_low", 1.000),
        ("nut", "stop_low", 1.454),
        ("arm", "front_left", 2.000),
        ("arm", "pcb", 3.000),
        ("carriage", "screw", 1.000),
        ("guide_block", "top_plate", 2.000),
        ("carriage", "pcb", 5.000),
        ("guide_block", "rail", 0.000),
    ],
)
def test_gaps_of_the_demo(fine: FitReport, a: str, b: str, expected: float) -> None:
    assert gap(fine, a, b) == pytest.approx(expected, abs=GAP)
    assert pair(fine, a, b).verdict == "PASS"


def test_the_demo_fits_over_its_whole_travel(fine: FitReport) -> None:
    assert fine.verdict == "PASS"
    assert (fine.longest_stroke, fine.clear_windows) == (TRAVEL, (TRAVEL,))
    assert (fine.not_checked, fine.cautions) == ((), ())
    assert (fine.pairs[0].a, fine.pairs[0].b) == ("flag", "rib")
    at = pair(fine, "flag", "rib").at_travel
    assert at is not None
    assert 27.0 - WINDOW <= at <= 29.2 + WINDOW


def test_every_pair_of_the_contract_is_there_once(fine: FitReport) -> None:
    names = [frozenset((result.a, result.b)) for result in fine.pairs]
    assert len(names) == len(set(names))
    moving_names = {"nut", "carriage", "arm", "guide_block", "flag"}
    own = {"motor", "gear", "encoder", "screw"}
    around = {body.name for body in surroundings()}
    expected = {frozenset((m, f)) for m in moving_names for f in own | around}
    expected |= {frozenset((a, f)) for a in own for f in around}
    expected |= {frozenset((m, n)) for m in moving_names for n in moving_names if m != n}
    assert set(names) == expected
    kinds = {result.kind for result in fine.pairs if result.a in own}
    assert kinds == {"static", "contact"}


def test_declared_contacts_pass_as_contacts(fine: FitReport) -> None:
    for contact in CONTACTS:
        result = pair(fine, contact.a, contact.b)
        assert (result.kind, result.verdict) == ("contact", "PASS")


def test_room_of_the_demo(fine: FitReport) -> None:
    expected = {
        "+x": (0.5, "guide_block", "stop_low"),
        "-x": (0.2, "flag", "rib"),
        "+y": (3.0, "carriage", "pcb"),
        "-y": (1.5, "nut", "stop_low"),
        # the screw's end below the lid, which it may touch; the arm above the sill, less 0.5
        "+z": (5.0, "screw", "lid"),
        "-z": (5.5, "arm", "sill_low"),
    }
    for way, (distance, a, b) in expected.items():
        room = fine.room[way]
        assert room.distance == pytest.approx(distance, abs=GAP), way
        assert (room.a, room.b) == (a, b)


def test_the_rib_moved_in_fails_with_culprit_window_and_remedy(rib: FitReport) -> None:
    result = rib.pairs[0]
    assert (rib.verdict, result.a, result.b, result.verdict) == ("FAIL", "flag", "rib", "FAIL")
    assert gap(rib, "flag", "rib") == pytest.approx(-0.400, abs=GAP)
    assert result.clash == (pytest.approx((27.0, 29.2), abs=WINDOW),)
    assert result.below_required == (pytest.approx((26.5, 29.7), abs=WINDOW),)
    assert result.overlap is not None
    assert result.overlap.volume == pytest.approx(1.60, abs=0.001)
    assert "cut rib 0.9 mm along x" in result.remedies[0]
    assert result.remedies[1] == "or use s in [-4, 26.5] or [29.7, 64] mm"
    assert rib.clear_windows == (
        pytest.approx((-4.0, 26.5), abs=WINDOW),
        pytest.approx((29.7, 64.0), abs=WINDOW),
    )
    assert rib.longest_stroke == rib.clear_windows[1]
    assert sum(other.verdict == "FAIL" for other in rib.pairs) == 1


def test_a_board_moved_into_the_arms_way_fails_its_own_class() -> None:
    found = report(movers() + surroundings(pcb_shift=-1.5), CONTACTS[4:])
    result = pair(found, "arm", "pcb")
    assert (result.required, result.verdict) == (2.0, "FAIL")
    assert gap(found, "arm", "pcb") == pytest.approx(1.5, abs=GAP)


def test_a_flipped_nut_clashes_where_its_carriage_sits_lower(flipped: FitReport) -> None:
    assert gap(flipped, "arm", "sill_low") == pytest.approx(-9.0, abs=GAP)
    assert pair(flipped, "arm", "sill_low").at_travel == pytest.approx(-4.0, abs=WINDOW)
    assert gap(flipped, "carriage", "stop_low") == pytest.approx(-3.0, abs=GAP)
    through = pair(flipped, "nut", "carriage")
    assert (through.kind, through.verdict) == ("static", "FAIL")
    assert flipped.verdict == "FAIL"


def test_a_fixed_part_of_the_actuator_through_a_wall_fails() -> None:
    bodies = [
        fixed("motor", "actuator", rod(8.0, -46.0, -16.0), own=True),
        fixed("floor", "cover", box(-24.0, 24.0, -28.0, 21.0, -44.0, -40.0)),
        fixed("lid", "cover", box(-24.0, 24.0, -28.0, 21.0, -60.0, -55.0)),
    ]
    found = report(bodies, ())
    result = pair(found, "motor", "floor")
    assert (result.kind, result.verdict) == ("static", "FAIL")
    assert gap(found, "motor", "floor") == pytest.approx(-6.0, abs=GAP)
    assert pair(found, "motor", "lid").verdict == "PASS"
    assert found.verdict == "FAIL"


def test_a_cube_of_4_mm_in_the_middle_of_a_thick_wall_fails() -> None:
    bodies = [
        moving("cube", "load", box(-2.0, 2.0, -2.0, 2.0, -2.0, 2.0)),
        fixed("wall", "housing", box(-50.0, 50.0, -20.0, 20.0, -90.0, 90.0)),
    ]
    found = report(bodies, ())
    assert found.verdict == "FAIL"
    assert pair(found, "cube", "wall").clash == (TRAVEL,)
    assert found.longest_stroke is None


def test_classes_go_by_motion_and_role() -> None:
    classes = ClearanceClasses(0.5, 2.0, 3.0, 0.1, 0.2)
    shape = box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0)
    mover, wall = moving("m", "load", shape), fixed("w", "housing", shape)
    board, wire = fixed("b", "electronics", shape), fixed("c", "cable", shape)
    keep_out = fixed("k", "keep_out", shape)
    pairs = [(mover, wall), (mover, board), (mover, wire), (mover, keep_out), (mover, mover), (wire, wall)]
    assert [required_gap(a, b, classes) for a, b in pairs] == [0.5, 2.0, 3.0, 0.5, 0.1, 0.2]


def test_a_cable_in_a_wall_fails_though_nothing_moves() -> None:
    bodies = [
        fixed("cable", "cable", rod(1.5, -60.0, -54.0)),
        fixed("floor", "cover", box(-24.0, 24.0, -28.0, 21.0, -62.0, -58.0)),
    ]
    assert pair(report(bodies, ()), "cable", "floor").verdict == "FAIL"


class TestNotChecked:
    RIB = fixed("rib", "housing", box(-20.0, -18.7, -6.0, 6.0, 61.0, 62.2))
    FLAG = moving("flag", "load", box(-18.0, -15.0, -2.0, 2.0, 33.0, 34.0))

    def fit(self, rib: PlacedMesh) -> FitReport:
        return fit([placed(self.FLAG), rib], (), ClearanceClasses(), TRAVEL, usable=USABLE)

    def rib(self, **changes: object) -> tuple[Body, Mesh]:
        mesh = placed(self.RIB).mesh
        assert mesh is not None
        return self.RIB, replace(mesh, **changes)

    def test_a_body_without_a_mesh(self) -> None:
        found = self.fit(PlacedMesh(self.RIB, None, "rib.step was not read"))
        assert found.verdict == "NOT CHECKED"
        assert found.not_checked == ("rib: rib.step was not read",)
        assert pair(found, "flag", "rib").reason == "rib: rib.step was not read"
        assert found.bodies[1].chord_error is None
        assert "flag is checked against 0 bodies" in found.cautions[0]

    @pytest.mark.parametrize(("how", "word"), [("open", "free edges"), ("inverted", "inside out")])
    def test_an_unusable_mesh_shows_its_distance(self, how: str, word: str) -> None:
        body, mesh = self.rib()
        triangles = mesh.triangles[1:] if how == "open" else mesh.triangles[:, ::-1].copy()
        found = self.fit(PlacedMesh(body, replace(mesh, triangles=triangles, curved=None)))
        assert found.verdict == pair(found, "flag", "rib").verdict == "NOT CHECKED"
        assert gap(found, "flag", "rib") == pytest.approx(0.7, abs=GAP)
        assert word in found.not_checked[0]

    def test_a_declared_surface_is_judged_as_one(self) -> None:
        body, mesh = self.rib()
        sheet = replace(body, shape=FileShape("rib.step", surface_only=True))
        found = self.fit(PlacedMesh(sheet, replace(mesh, triangles=mesh.triangles[1:], curved=None)))
        assert (found.verdict, found.not_checked) == ("PASS", ())
        assert gap(found, "flag", "rib") == pytest.approx(0.7, abs=GAP)


def test_names_are_unique_and_contacts_are_known() -> None:
    bodies = [*movers(), *movers()[:1]]
    with pytest.raises(InputError) as refusal:
        report(bodies, (Contact("carriage", "stop"),))
    assert "two bodies are named 'carriage'" in str(refusal.value)
    assert "carriage / stop names 'stop', which is no body" in str(refusal.value)


def test_an_actuator_beside_its_housing_is_named_with_the_distance() -> None:
    walls = [
        replace(body, shape=replace(body.shape, adds=(box(0.0, 9.0, 224.0, 240.0, 0.0, 9.0),)))
        for body in surroundings()[1:2]
    ]
    found = report([*actuator(), *walls], CONTACTS[3:4])
    assert "outside the housing's bounding box by 212 mm in y" in found.cautions[-1]
    assert found.verdict == "WARN"


def test_many_contacts_are_named() -> None:
    contact = Contact("guide_block", "rail")
    found = report([movers()[2], *surroundings()[:2]], (contact,))
    assert "1 of 2 pairs are declared contacts (50%)" in found.cautions[0]


def test_the_document_is_plain_json_of_the_contract(rib: FitReport) -> None:
    document = rib.to_json_dict()
    text = json.dumps(document, allow_nan=False)
    assert json.loads(text) == document
    keys = ["travel", "pairs", "longest_stroke", "clear_windows", "room", "bodies", "not_checked"]
    assert list(document)[:7] == keys
    row = document["pairs"][0]
    assert row["kind"] == "travel"
    assert row["clash"] == pytest.approx([27.0, 29.2], abs=WINDOW)
    assert set(row["gap"]) == {"low", "nominal", "high"}
    assert set(row["overlap"]) == {"volume", "box", "at_travel"}
    assert set(document["room"]) == {"+x", "-x", "+y", "-y", "+z", "-z"}
    assert set(document["bodies"][0]) == {"name", "role", "source", "closed", "chord_error"}
    assert len(row["points"]) == 2


def test_progress_counts_the_pairs() -> None:
    seen: list[tuple[str, int, int]] = []
    bodies = [placed(body) for body in (movers()[2], *surroundings()[:2])]
    fit(bodies, (), ClearanceClasses(), TRAVEL, progress=lambda *step: seen.append(step))
    assert seen == [("clearance", 1, 2), ("clearance", 2, 2)]


def test_the_same_bodies_give_the_same_report() -> None:
    bodies = [placed(body) for body in (TestNotChecked.FLAG, TestNotChecked.RIB)]
    first = fit(bodies, (), ClearanceClasses(), TRAVEL).to_json_dict()
    assert first == fit(bodies, (), ClearanceClasses(), TRAVEL).to_json_dict()


CUBE = moving("cube", "load", box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))
WALL = fixed("wall", "housing", box(5.0, 6.0, -9.0, 9.0, -9.0, 99.0))


def rough(body: Body, error: float) -> PlacedMesh:
    """The body, with a mesh that says it may be off by so much anywhere."""
    mesh = placed(body).mesh
    assert mesh is not None
    return PlacedMesh(body, replace(mesh, chord_error=error, curved=None))


@pytest.mark.parametrize(("required", "room"), [(0.5, 3.4), (0.05, 3.85), (0.0, 4.0)])
def test_room_counts_the_chord_errors_where_a_gap_is_asked_for(required: float, room: float) -> None:
    classes = ClearanceClasses(moving_to_fixed=required)
    found = fit([rough(CUBE, 0.1), placed(WALL)], (), classes, (0.0, 20.0))
    assert found.room["+x"].distance == pytest.approx(room, abs=2e-4)
    assert (found.room["+x"].a, found.room["+x"].b) == ("cube", "wall")


def test_a_buried_mover_has_no_room() -> None:
    block = fixed("block", "housing", box(-9.0, 9.0, -9.0, 9.0, -9.0, 99.0))
    found = fit([placed(CUBE), placed(block)], (), ClearanceClasses(), (0.0, 20.0))
    assert {room.distance for room in found.room.values()} == {0.0}


def test_room_is_measured_over_the_usable_stroke() -> None:
    lid = fixed("lid", "cover", box(-9.0, 9.0, -9.0, 9.0, 30.0, 31.0))
    bodies = [placed(CUBE), placed(lid)]
    whole_way = fit(bodies, (), ClearanceClasses(), (0.0, 25.0))
    usable = fit(bodies, (), ClearanceClasses(), (0.0, 25.0), usable=(2.0, 20.0))
    assert whole_way.room["+z"].distance == pytest.approx(30.0 - 26.0 - 0.5, abs=2e-4)
    assert usable.room["+z"].distance == pytest.approx(30.0 - 21.0 - 0.5, abs=2e-4)


def test_a_big_body_is_cropped_with_the_same_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    bodies = [
        placed(CUBE),
        placed(WALL),
        rough(fixed("rib", "housing", box(1.4, 5.0, 0.0, 1.0, 9.0, 10.0)), 0.01),
    ]
    whole = fit(bodies, (), ClearanceClasses(), (0.0, 20.0))
    monkeypatch.setattr(fits, "is_big", lambda mesh: True)
    cropped = fit(bodies, (), ClearanceClasses(), (0.0, 20.0))
    for one, other in zip(whole.pairs, cropped.pairs, strict=True):
        assert (one.a, one.b, one.verdict) == (other.a, other.b, other.verdict)
        assert other.gap == pytest.approx(one.gap, abs=1e-9)
    assert cropped.longest_stroke == pytest.approx(whole.longest_stroke, abs=1e-4)
    assert cropped.room["+x"].distance == whole.room["+x"].distance == 0.0


def test_a_body_of_no_triangles_has_no_mesh() -> None:
    nothing = PlacedMesh(WALL, Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32), 0.0))
    found = fit([placed(CUBE), nothing], (), ClearanceClasses(), (0.0, 20.0))
    assert found.not_checked == ("wall: no mesh",)
    assert [(body.name, body.closed) for body in found.bodies] == [("cube", True), ("wall", False)]
    assert found.verdict == "NOT CHECKED"
    sheet = PlacedMesh(WALL, Mesh(np.eye(3), np.array([[0, 1, 2]], dtype=np.int32), 0.0))
    assert "free edges" in fit([placed(CUBE), sheet], (), ClearanceClasses(), (0.0, 20.0)).not_checked[0]


PARTS = {
    "moving part": moving("a", "actuator", box(0, 1, 0, 1, 0, 1), own=True),
    "moving load": moving("b", "load", box(0, 1, 0, 1, 0, 1)),
    "motor": fixed("c", "actuator", box(0, 1, 0, 1, 0, 1), own=True),
    "cable": fixed("d", "cable", box(0, 1, 0, 1, 0, 1)),
    "wall": fixed("e", "housing", box(0, 1, 0, 1, 0, 1)),
    "board": fixed("f", "electronics", box(0, 1, 0, 1, 0, 1)),
}


@pytest.mark.parametrize(
    ("one", "other", "kind", "first"),
    [
        ("moving load", "wall", "travel", "one"),
        ("wall", "moving load", "travel", "other"),
        ("moving part", "motor", "travel", "one"),
        ("motor", "moving part", "travel", "other"),
        ("moving part", "moving load", "static", "one"),
        ("moving load", "moving part", "static", "other"),
        ("moving part", "moving part", None, ""),
        ("moving load", "moving load", "static", "one"),
        ("motor", "motor", None, ""),
        ("motor", "wall", "static", "one"),
        ("board", "motor", "static", "other"),
        ("cable", "wall", "static", "one"),
        ("wall", "cable", "static", "other"),
        ("cable", "motor", None, ""),
        ("wall", "board", None, ""),
    ],
)
def test_which_pairs_are_asked_and_who_comes_first(
    one: str, other: str, kind: str | None, first: str
) -> None:
    bodies = [replace(PARTS[one], name="one"), replace(PARTS[other], name="other")]
    asked = list(fits._questions([PlacedMesh(body, None) for body in bodies], (), ClearanceClasses()))
    assert [question.kind for question in asked] == ([] if kind is None else [kind])
    assert [question.a.body.name for question in asked] == ([] if kind is None else [first])


def row(name: str, verdict: str, low: float | None, required: float = 0.5) -> PairResult:
    gap = None if low is None else Band(low, low, low)
    return PairResult("a", name, "travel", required, verdict, gap)  # type: ignore[arg-type] # a verdict by its name


def test_the_worst_pairs_come_first_and_those_that_may_touch_last() -> None:
    in_order = [
        row("clash", "FAIL", -1.0),
        row("close", "FAIL", 0.4),
        row("unknown", "NOT CHECKED", None),
        row("half known", "NOT CHECKED", 0.3),
        row("close call", "NOT PROVEN", 0.49),
        row("near with more to keep", "PASS", 2.05, 2.0),
        row("also near", "PASS", 0.6),
        row("near", "PASS", 0.6),
        row("wide", "PASS", 3.0),
        row("touching", "PASS", 0.0, 0.0),
    ]
    assert sorted([*in_order[5:], *in_order[:5]], key=fits._worst_first) == in_order


def test_a_row_says_what_is_required_unless_it_may_touch() -> None:
    words = {
        (kind, need): fits._pair_json(PairResult("a", "b", kind, need, "PASS"))["required"]  # type: ignore[arg-type] # a kind by its name
        for kind in ("travel", "static")
        for need in (0.0, 0.05)
    }
    assert words == {
        ("travel", 0.0): 0.0, ("travel", 0.05): 0.05, ("static", 0.0): None, ("static", 0.05): 0.05,
    }  # fmt: skip
    windows = replace(row("b", "FAIL", -1.0), below_required=((1.0, 2.0), (5.0, 7.0)), clash=((5.5, 6.0),))
    assert fits._pair_json(windows)["below_required"] == [1.0, 7.0]
    assert fits._pair_json(windows)["clash"] == [5.5, 6.0]
    assert fits._pair_json(row("b", "PASS", 1.0))["clash"] is None


def test_travel_and_strokes_in_the_document() -> None:
    rib = fixed("rib", "housing", box(0.0, 1.0, 0.0, 1.0, 20.0, 30.0))
    part = fit([placed(CUBE), placed(rib)], (), ClearanceClasses(), (1.0, 25.0)).to_json_dict()
    assert part["travel"] == {"from": 1.0, "to": 25.0}
    assert part["longest_stroke"] == pytest.approx([1.0, 18.5], abs=1e-4)
    assert part["clear_windows"] == [part["longest_stroke"]]
    none = fit([placed(CUBE), placed(rib)], (), ClearanceClasses(), (19.0, 25.0)).to_json_dict()
    assert (none["longest_stroke"], none["clear_windows"]) == (None, [])


def test_what_shifts_along_is_measured_where_it_stands() -> None:
    screw = fixed("screw", "actuator", rod(2.0, 0.0, 10.0), own=True)
    lid = fixed("lid", "cover", box(-9.0, 9.0, -9.0, 9.0, 15.0, 16.0))
    floor = fixed("floor", "cover", box(-9.0, 9.0, -9.0, 9.0, -8.0, -7.0))
    found = fit([placed(body) for body in (screw, lid, floor)], (), ClearanceClasses(), (-4.0, 64.0))
    assert found.room["+z"].distance == pytest.approx(5.0, abs=2e-4)
    assert found.room["-z"].distance == pytest.approx(7.0, abs=2e-4)
    assert {pair.b: pair.gap for pair in found.pairs} == {"lid": (5.0, 5.0, 5.0), "floor": (7.0, 7.0, 7.0)}


def test_a_declared_contact_ends_no_room() -> None:
    rail = fixed("rail", "guide", box(1.0, 2.0, -9.0, 9.0, -9.0, 99.0))
    bodies = [placed(CUBE), placed(rail), placed(WALL)]
    bare = fit(bodies, (), ClearanceClasses(), (0.0, 20.0))
    guided = fit(bodies, (Contact("rail", "cube"),), ClearanceClasses(), (0.0, 20.0))
    assert (bare.room["+x"].distance, bare.room["+x"].b) == (0.0, "rail")
    assert (guided.room["+x"].distance, guided.room["+x"].b) == (pytest.approx(3.5, abs=2e-4), "wall")


def test_an_open_mesh_has_no_closed_form() -> None:
    holed = rough(WALL, 0.1)
    assert holed.mesh is not None
    holed = replace(holed, mesh=replace(holed.mesh, triangles=holed.mesh.triangles[1:]))
    for bodies in ([placed(CUBE), holed], [holed, placed(CUBE)]):
        (result,) = fit(bodies, (), ClearanceClasses(), (0.0, 20.0)).pairs
        assert (result.verdict, result.gap) == ("NOT CHECKED", pytest.approx((3.9, 4.0, 4.1)))
    (closed,) = fit([placed(CUBE), rough(WALL, 0.1)], (), ClearanceClasses(), (0.0, 20.0)).pairs
    assert (closed.verdict, closed.gap) == ("PASS", (4.0, 4.0, 4.0))

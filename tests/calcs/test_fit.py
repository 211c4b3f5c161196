"""The fit of the demo's vial lift, whose numbers were computed twice elsewhere, and what a fit refuses."""

from __future__ import annotations

import json
from dataclasses import replace

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

from calcs.clearance_pairs import PairResult
from calcs.fit import FitReport, PlacedMesh, fit, required_gap
from geometry.bodies import Body, ClearanceClasses, Contact, FileShape
from geometry.errors import InputError
from geometry.meshes import Mesh

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
        sheet = body._replace(shape=FileShape("rib.step", surface_only=True))
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
        body._replace(shape=body.shape._replace(adds=(box(0.0, 9.0, 224.0, 240.0, 0.0, 9.0),)))
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

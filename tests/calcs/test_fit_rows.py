"""Which pairs a fit asks, the order and words of its rows, and room with chord errors counted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from vial_lift import (
    box,
    fixed,
    moving,
    placed,
    rod,
)

from calcs import fit as fits
from calcs.clearance_pairs import PairResult
from calcs.fit import PlacedMesh, fit
from geometry.bodies import Body, ClearanceClasses, Contact
from geometry.meshes import Mesh
from geometry.units import Band

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
    bodies = [PARTS[one]._replace(name="one"), PARTS[other]._replace(name="other")]
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

"""Bellows over the travel: their room from retracted to extended, judged against all that is around."""

from __future__ import annotations

import pytest

from calcs.check_design import check_design
from calcs.clearance_pairs import PairResult
from calcs.clearance_stretch import rigid, rigid_ends, to_the_end
from calcs.fit import FitReport
from calcs.fit_design import fit_design
from calcs.keepout import keep_out
from calcs.result import Result
from geometry.bodies import Body, Cylinder, Shape
from geometry.design import Design, read_text
from geometry.meshes import mesh_of

DESIGN = """
[motion]
stroke = "0..60 mm"
hard_stops = "-4..64 mm"
speed = "25 mm/s"
mass = "0.45 kg"
[screw]
thread = "Tr8x1.5"
length = "104 mm"
position = "8 mm"
[motor]
diameter = "24 mm"
length = "30 mm"
mass = "50 g"
[nut]
length = "16 mm"
friction = 0.15
position = "24 mm"
body_diameter = "15 mm"
material = "POM"
[seal]
kind = "bellows"
diameter = "18 mm"
bore = "10 mm"
length = "{length}"
mass = "3 g"
{bodies}
"""
RIB = '[[fixed]]\nname = "rib"\nbox = ["9.2..12 mm", "-2..2 mm", "40..44 mm"]\n'
PEG = '[[fixed]]\nname = "peg"\nbox = ["8.5..12 mm", "-2..2 mm", "60..64 mm"]\n'
FAR = '[[fixed]]\nname = "far"\nbox = ["9.2..12 mm", "-2..2 mm", "90..94 mm"]\n'
FINGER = '[[moving]]\nname = "finger"\nbox = ["{}..12 mm", "-2..2 mm", "-30..24 mm"]\n'


def design(bodies: str = "", length: str = "18 mm") -> Design:
    return read_text(DESIGN.format(bodies=bodies, length=length))


def pairs(report: FitReport) -> dict[frozenset[str], PairResult]:
    return {frozenset((pair.a, pair.b)): pair for pair in report.pairs}


def test_the_two_ends_have_the_shortest_length_and_meet_the_whole_of_it() -> None:
    tube = Shape(
        (Cylinder("z", (0.0, 0.0), 9.0, (0.0, 24.0)),), (Cylinder("z", (0.0, 0.0), 5.0, (0.0, 24.0)),)
    )
    standing, moving = rigid_ends(Body("seal", "actuator", False, tube, stretches=True), (-4.0, 64.0))
    assert isinstance(standing.shape, Shape)
    assert isinstance(moving.shape, Shape)
    assert [piece.span for piece in (*standing.shape.adds, *standing.shape.cuts)] == [(0.0, 20.0)] * 2  # type: ignore[union-attr] # cylinders
    assert [piece.span for piece in (*moving.shape.adds, *moving.shape.cuts)] == [(4.0, 24.0)] * 2  # type: ignore[union-attr] # the same
    assert (standing.moves, moving.moves, moving.name) == (False, True, "seal_front")


def test_what_the_bellows_meet_they_go_on_meeting_to_the_end() -> None:
    assert to_the_end([(1.0, 2.0), (5.0, 6.0)], (-4.0, 64.0)) == ((1.0, 64.0),)
    assert to_the_end([], (-4.0, 64.0)) == ()
    report = fit_design(design(RIB + PEG + FAR))
    found = pairs(report)
    rib, peg = found[frozenset(("screw_seal_front", "rib"))], found[frozenset(("screw_seal_front", "peg"))]
    # The end stands at z = 24 + s, 0.2 mm beside the rib: nearer than 0.5 mm from hypot(0.2, dz) = 0.5 on.
    ((low, high),) = rib.below_required
    assert (rib.verdict, high) == ("FAIL", 64.0)
    assert low == pytest.approx(16.0 - (0.25 - 0.04) ** 0.5, abs=5e-3)  # less the chord error
    assert rib.gap is not None
    assert rib.gap.nominal == pytest.approx(0.2, abs=1e-6)
    assert (peg.verdict, peg.clash) == ("FAIL", ((pytest.approx(36.0, abs=1e-3), 64.0),))
    far = found[frozenset(("screw_seal_front", "far"))]  # 2 mm beyond the extended end at 88
    assert (far.verdict, far.gap.nominal if far.gap else 0.0) == ("PASS", pytest.approx(4.0**0.5, rel=0.01))
    assert report.clear_windows == ((-4.0, pytest.approx(low)),)


def test_a_mover_that_reaches_back_beside_the_bellows_meets_them_all_along() -> None:
    clear = pairs(fit_design(design(FINGER.format(9.6))))
    assert clear[frozenset(("finger", "screw_seal"))].verdict == "PASS"
    tight = pairs(fit_design(design(FINGER.format(9.3))))
    assert tight[frozenset(("finger", "screw_seal"))].below_required == ((-4.0, 64.0),)


def test_the_two_ends_are_no_pair_and_touch_motor_and_nut() -> None:
    found = pairs(fit_design(design()))
    assert frozenset(("screw_seal", "screw_seal_front")) not in found
    for names in (("screw_seal_front", "motor"), ("screw_seal", "nut")):
        assert (found[frozenset(names)].kind, found[frozenset(names)].verdict) == ("contact", "PASS")


def test_the_room_they_sweep_ends_where_they_are_drawn_out() -> None:
    tube = Shape(
        (Cylinder("z", (0.0, 0.0), 9.0, (0.0, 24.0)),), (Cylinder("z", (0.0, 0.0), 5.0, (0.0, 24.0)),)
    )
    body = Body("seal", "actuator", False, tube, stretches=True)
    _, moving = rigid_ends(body, (-4.0, 64.0))
    low, high = keep_out([(moving, mesh_of(tube))], (-4.0, 64.0)).bounds
    assert (low[2], high[2]) == pytest.approx((0.0, 88.0))


def rows(made: Design) -> dict[str, Result]:
    return {row.id: row for row in check_design(made).results}


def test_room_pushed_together_and_length_drawn_out_are_rows_with_numbers() -> None:
    good = rows(design(length='18 mm"\nextended = "90 mm'))
    short, long = good["travel.bellows_retracted"], good["travel.bellows_extended"]
    assert (short.verdict, short.value, short.limit) == ("PASS", pytest.approx(20.0), pytest.approx(18.0))
    assert (long.verdict, long.value, long.limit) == ("PASS", pytest.approx(88.0), pytest.approx(90.0))
    bad = rows(design(length='22 mm"\nextended = "80 mm'))
    assert (bad["travel.bellows_retracted"].verdict, bad["travel.bellows_extended"].verdict) == (
        "FAIL",
        "FAIL",
    )
    assert (
        "push together to 20 mm, or what they follow 2 mm further out"
        in bad["travel.bellows_retracted"].remedy
    )
    assert "draw out to 88 mm" in bad["travel.bellows_extended"].remedy


def test_what_is_missing_is_named_and_a_seal_that_keeps_its_length_says_so() -> None:
    unknown = rows(design())["travel.bellows_extended"]
    assert (unknown.verdict, unknown.missing) == ("NOT CHECKED", ("seal.extended",))
    placeless = rows(read_text(DESIGN.replace('position = "24 mm"\n', "").format(bodies="", length="18 mm")))
    assert placeless["travel.bellows_retracted"].remedy == "give nut.position"
    assert placeless["travel.bellows_extended"].verdict == "NOT CHECKED"
    lip = rows(read_text(DESIGN.replace("bellows", "lip").format(bodies="", length="4 mm")))
    for row in (lip["travel.bellows_retracted"], lip["travel.bellows_extended"]):
        assert (row.verdict, row.note) == ("INFO", "a lip seal keeps its length")


def test_half_of_the_bellows_weight_goes_along() -> None:
    heavy = design(length='18 mm"\nextended = "90 mm').text.replace('mass = "3 g"', 'mass = "300 g"')
    light = heavy.replace('mass = "300 g"', 'mass = "0.3 mg"')
    shift = {}
    for name, text in (("heavy", heavy), ("light", light)):
        found = rows(read_text(text))
        band, total = found["mass.centre_z"].value, found["mass.total"].value
        shift[name] = (band.high - band.low) * total  # type: ignore[union-attr, operator] # a band and a number
    # s runs over 68 mm: the bellows' middle over half of that
    assert shift["heavy"] - shift["light"] == pytest.approx(300.0 * 34.0, rel=1e-3)


def test_only_what_stretches_is_taken_as_two_ends() -> None:
    bellows = Body("seal", "seal", False, Shape((Cylinder("z", (0, 0), 9.0, (0.0, 20.0)),)), stretches=True)
    plate = Body("plate", "housing", False, Shape((Cylinder("z", (0, 0), 9.0, (0.0, 1.0)),)))
    placed = [(body, mesh_of(body.shape)) for body in (plate, bellows)]
    found = list(rigid(placed, (-4.0, 64.0)))
    assert [(body.name, body.moves) for body, _ in found] == [
        ("plate", False), ("seal", False), ("seal_front", True),
    ]  # fmt: skip
    assert found[0][1] is placed[0][1]
    # 20 mm at s = 0 is 16 mm at s = -4, standing from 0 and moving up to 20
    spans = [(float(mesh.bounds[0][2]), float(mesh.bounds[1][2])) for _, mesh in found[1:]]
    assert spans == [(0.0, 16.0), (4.0, 20.0)]

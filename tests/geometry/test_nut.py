from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from geometry.bodies import Cylinder, Shape
from geometry.design import Design, read, read_text
from geometry.errors import ShapeError
from geometry.frames import Missing
from geometry.nut import nut_envelope, nut_solid
from geometry.nut_problems import nut_problems
from geometry.screw import screw_solid
from geometry.solids import bounding_box, volume_of_solid
from geometry.thread_ends import threaded_bore
from geometry.thread_properties import threaded_solid
from geometry.threads import thread

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
FLANGED = """
[motion]
stroke = "0..5 mm"
speed = "10 mm/s"
mass = "0.1 kg"
[screw]
thread = "{thread}"
length = "30 mm"
near_journal = {{ diameter = "3.3 mm", length = "3.7 mm" }}
[nut]
kind = "flanged"
friction = 0.15
position = "9.13 mm"
length = "8 mm"
body_diameter = "12 mm"
flange_diameter = "22 mm"
flange_thickness = "3 mm"
flange = "{flange}"
"""
BOLTS = ("17 mm", 4, "2.4 mm")


def flanged(
    bolts: tuple[str, int, str] | None = BOLTS, thread: str = "Tr8x1.5", flange: str = "away from motor"
) -> Design:
    text = FLANGED.format(thread=thread, flange=flange)
    if bolts:
        text += f'bolt_circle = "{bolts[0]}"\nbolt_holes = {bolts[1]}\nbolt_hole = "{bolts[2]}"\n'
    return read_text(text)


def cylindrical(thread: str = "M6") -> Design:
    text = FLANGED.format(thread=thread, flange="away from motor").replace('"flanged"', '"cylindrical"')
    return read_text("\n".join(line for line in text.splitlines() if not line.startswith("flange")))


def outer_volume(bolts: tuple[str, int, str] | None, kind: str) -> float:
    if kind == "cylindrical":
        return math.pi * 36 * 8
    holes = math.pi * 1.2**2 * 3 * (bolts[1] if bolts else 0)
    return math.pi * (36 * 5 + 121 * 3) - holes


CASES = [
    (flanged(), "flanged", BOLTS),
    (flanged(flange="toward motor"), "flanged", BOLTS),
    (flanged(None, thread="Tr8x8(P2)"), "flanged", None),
    (flanged(("17 mm", 3, "2.4 mm"), thread="M8 LH"), "flanged", ("17 mm", 3, "2.4 mm")),
    (cylindrical(), "cylindrical", None),
]


@pytest.mark.parametrize(("design", "kind", "bolts"), CASES)
def test_light_and_detailed_nuts_are_valid_solids_of_one_bounding_box(
    design: Design, kind: str, bolts: tuple[str, int, str] | None
) -> None:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TopAbs import TopAbs_ShapeEnum

    light, detailed = nut_solid(design, detailed=False), nut_solid(design, detailed=True)
    for solid in (light, detailed):
        assert solid.ShapeType() == TopAbs_ShapeEnum.TopAbs_SOLID
        assert BRepCheck_Analyzer(solid).IsValid()
    made, outer = thread(design.screw.thread), outer_volume(bolts, kind)
    plain_bore = math.pi / 4 * made.internal_major_diameter_mm**2 * 8
    assert volume_of_solid(light) == pytest.approx(outer - plain_bore, rel=1e-9)
    void = threaded_solid(threaded_bore(made, 5.43, 13.43, ends="chamfered")).volume_mm3
    assert volume_of_solid(detailed) == pytest.approx(outer - void, rel=1e-6)
    for corner, other in zip(bounding_box(light), bounding_box(detailed), strict=True):
        assert corner == pytest.approx(other, abs=1e-6)


@pytest.mark.parametrize("designation", ["Tr8x1.5", "Tr8x4(P2) LH"])
def test_the_threads_of_nut_and_screw_mate(designation: str) -> None:
    text = FLANGED.format(thread=designation, flange="away from motor")
    design = read_text(text.replace('"30 mm"', '"12 mm"').replace('"8 mm"', '"5 mm"'))
    pitch, radius = thread(designation).pitch_mm, thread(designation).pitch_diameter_mm / 2
    points = [(0.6 * radius, 0.8 * radius, 10.5 + pitch * (step + 0.25) / 24) for step in range(24)]
    in_screw = inside(screw_solid(design, detailed=True), points)
    in_nut = inside(nut_solid(design, detailed=True), points)
    # On the pitch cylinder half of the points belong to each; only where two flanks touch to both or to none.
    assert sum(one is other for one, other in zip(in_screw, in_nut, strict=True)) <= 2
    assert abs(sum(in_screw) - 12) <= 1
    assert abs(sum(in_nut) - 12) <= 1


def inside(solid: Any, points: list[tuple[float, float, float]]) -> list[bool]:
    from OCP.BRepClass3d import BRepClass3d_SolidClassifier
    from OCP.gp import gp_Pnt
    from OCP.TopAbs import TopAbs_State

    classifier = BRepClass3d_SolidClassifier(solid)
    states = []
    for point in points:
        classifier.Perform(gp_Pnt(*point), 1e-6)
        states.append(classifier.State() == TopAbs_State.TopAbs_IN)
    return states


def test_the_flange_faces_either_way_and_the_near_face_stays() -> None:
    away, toward = nut_envelope(flanged(None)), nut_envelope(flanged(None, flange="toward motor"))
    assert isinstance(away, Shape)
    assert isinstance(toward, Shape)
    for envelope, pieces in (
        (away, ((6.0, 9.13, 14.13), (11.0, 14.13, 17.13))),
        (toward, ((6.0, 12.13, 17.13), (11.0, 9.13, 12.13))),
    ):
        for piece, wanted in zip(envelope.adds, pieces, strict=True):
            assert isinstance(piece, Cylinder)
            assert (piece.radius, *piece.span) == pytest.approx(wanted, abs=1e-12)


def test_a_flange_as_thick_as_the_nut_is_long_is_a_disc() -> None:
    text = FLANGED.format(thread="Tr8x1.5", flange="away from motor").replace('"3 mm"', '"8 mm"')
    envelope = nut_envelope(read_text(text))
    assert isinstance(envelope, Shape)
    assert len(envelope.adds) == 1
    assert volume_of_solid(nut_solid(read_text(text), detailed=False)) == pytest.approx(
        math.pi * (121 - 4.15**2) * 8, rel=1e-9
    )


def test_what_a_nut_lacks_is_named() -> None:
    text = FLANGED.format(thread="Tr8x1.5", flange="away from motor").replace('flange_diameter = "22 mm"', "")
    design = read_text(text)
    assert nut_envelope(design) == Missing(("nut.flange_diameter",))
    with pytest.raises(ShapeError, match=r"give nut\.flange_diameter"):
        nut_solid(design, detailed=True)


@pytest.mark.parametrize(
    ("bolts", "field", "says"),
    [
        (("20 mm", 4, "2.4 mm"), "nut.bolt_circle", "reach 22.4 mm, outside the flange of 22 mm"),
        (("14 mm", 4, "2.4 mm"), "nut.bolt_circle", "begin at 11.6 mm, inside the nut's body of 12 mm"),
        (
            ("17 mm", 24, "2.4 mm"),
            "nut.bolt_holes",
            "24 holes of 2.4 mm on 17 mm run together: 2.22 mm apart",
        ),
    ],
)
def test_misplaced_bolt_holes_are_refused(bolts: tuple[str, int, str], field: str, says: str) -> None:
    (problem,) = nut_problems(flanged(bolts))
    assert problem.field == field
    assert says in problem.message


def test_the_repair_of_holes_that_run_together_is_enough() -> None:
    (problem,) = nut_problems(flanged(("17 mm", 24, "2.4 mm")))
    assert problem.repair == "write 22 holes or fewer"
    assert nut_problems(flanged(("17 mm", 22, "2.4 mm"))) == ()


def test_bolt_holes_given_by_half_are_refused() -> None:
    design = read_text(FLANGED.format(thread="Tr8x1.5", flange="away from motor") + 'bolt_circle = "17 mm"\n')
    (problem,) = nut_problems(design)
    assert problem.message == "the bolt holes lack bolt_holes and bolt_hole"


def test_a_flange_on_a_cylindrical_nut_is_refused() -> None:
    text = FLANGED.format(thread="Tr8x1.5", flange="away from motor").replace('"flanged"', '"cylindrical"')
    (problem,) = nut_problems(read_text(text))
    assert problem.field == "nut.flange_diameter"
    assert 'write kind = "flanged"' in problem.repair


def test_a_nut_without_wall_is_refused() -> None:
    (problem,) = nut_problems(flanged(None, thread="Tr12x3"))
    assert problem.field == "nut.body_diameter"
    assert problem.message == "a body of 12 mm leaves no wall around the mouth of Tr12x3, 13.1 mm wide"


def test_the_demo_has_no_problem() -> None:
    assert nut_problems(read(DEMO)) == ()

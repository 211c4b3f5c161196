"""The mock-up set: closed parts with allowances, substitutions said, the gauge's verdict in its notes."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from calcs.gauge import Way
from exports.mockup import Mockup, MockupPart, MockupThread, _way_note, mockup_parts
from exports.print_fit import PrintFit, print_fit
from geometry.bodies import Body, Box, ClearanceClasses, Contact, Cylinder, FileShape, Primitive, Role, Shape
from geometry.design import read_text
from geometry.errors import ShapeError
from geometry.meshes import Mesh, mesh_of, signed_volume
from geometry.stack import arrangement_of, classes_of, contacts_of, travel_of

FDM = print_fit("FDM", 0.4)
TR8 = MockupThread("Tr8x1.5", 1.5, 8.0)
TRAVEL = (-4.0, 64.0)
CONTACTS = (Contact("nut", "screw"), Contact("gear", "plate"))
FACET_ERROR = 0.005  # mm, of the mock-up's cylinders
Placed = tuple[Body, Mesh]


def rod(radius: float, low: float, high: float, x: float = 0.0, y: float = 0.0) -> Cylinder:
    return Cylinder("z", (x, y), radius, (low, high))


def placed(name: str, role: Role, moves: bool, *adds: Primitive, cuts: tuple[Primitive, ...] = ()) -> Placed:
    shape = Shape(adds, cuts)
    return Body(name, role, moves, shape), mesh_of(shape)


def bodies(far_journal: float = 113.0, wall_x: float = 20.0) -> list[Placed]:
    holes = tuple(rod(1.2, 26, 30, 9.5 * math.cos(a), 9.5 * math.sin(a)) for a in np.arange(4) * math.pi / 2)
    ears = (rod(1.1, -4, 0, -11), rod(1.1, -4, 0, 11))
    return [
        placed("motor", "actuator", False, rod(8, -46, -16)),
        placed("gear", "actuator", False, rod(8, -16, 0), Box((-13, -4, -4), (13, 4, 0)), cuts=ears),
        placed("encoder", "actuator", False, rod(7.75, -54, -46)),
        placed("cable", "cable", False, rod(1.5, -72, -54)),
        placed("screw", "actuator", False, rod(2.5, 0, 8), rod(4, 8, 104), rod(2.5, 104, far_journal)),
        placed("nut", "actuator", True, rod(7.5, 14, 26), rod(12, 26, 30), cuts=(rod(4, 14, 30), *holes)),
        placed("plate", "housing", False, Box((-20, -20, 0), (20, 20, 5)), cuts=(rod(5, 0, 5),)),
        placed("wall", "housing", False, Box((wall_x, -20, 5), (wall_x + 4, 20, 118))),
        placed("pcb", "electronics", False, Box((-18, -5, 30), (-17, 5, 90))),
    ]


def make(
    given: list[Placed] | None = None,
    fit: PrintFit = FDM,
    thread: MockupThread = TR8,
    classes: ClearanceClasses | None = None,
) -> Mockup:
    return mockup_parts(
        given or bodies(), CONTACTS, classes or ClearanceClasses(), TRAVEL, fit, thread, "VL-100 B"
    )


def part(made: Mockup, name: str) -> MockupPart:
    return next(each for each in made.parts if each.name == name)


@pytest.fixture(scope="module")
def made() -> Mockup:
    return make()


def test_every_part_is_closed_and_labelled(made: Mockup) -> None:
    names = [each.name for each in made.parts]
    assert names == ["body", "screw_1_of_2", "screw_2_of_2", "nut", "gauge_1_of_2", "gauge_2_of_2"]
    for each in made.parts:
        assert each.notes[0] == f"label: VL-100 B {each.name}"
        read = trimesh.Trimesh(each.mesh.vertices.astype(np.float32), each.mesh.triangles)
        assert read.is_volume
        assert read.volume > 0.0


def test_the_substitution_is_said(made: Mockup) -> None:
    assert made.notes == ("INFO substituted: pitch 1.5 < 2.0 -> plain dia 8.0",)


def test_the_body_is_one_part_with_wider_holes(made: Mockup) -> None:
    mesh = part(made, "body").mesh
    assert trimesh.Trimesh(mesh.vertices, mesh.triangles).body_count == 1
    low, high = mesh.bounds
    np.testing.assert_allclose([low[0], high[0], low[2], high[2]], [-13, 13, -54, 0], atol=1e-9)
    hole = np.hypot(mesh.vertices[:, 0] - 11.0, mesh.vertices[:, 1])
    on_hole = hole[hole < 1.8]
    assert on_hole == pytest.approx(np.full(len(on_hole), 1.1 + FDM.hole / 2), abs=FACET_ERROR)
    assert len(on_hole) > 20
    assert part(made, "body").notes[1:] == (
        "motor, gear, encoder as one part",
        "holes +0.3 on the diameter for FDM",
    )


def test_the_rod_lies_in_two_flat_halves_of_the_right_diameter(made: Mockup) -> None:
    halves = [part(made, f"screw_{n}_of_2").mesh for n in (1, 2)]
    assert halves[0].bounds[0][1] == 0.0 == halves[1].bounds[1][1]
    true = math.pi * (6.25 * 8 + 16 * 96 + 6.25 * 9)
    assert sum(signed_volume(half) for half in halves) == pytest.approx(true, rel=2 * FACET_ERROR / 2.5)
    assert max(half.bounds[1][0] for half in halves) == pytest.approx(4.0, abs=FACET_ERROR)
    assert "113 long: 14 diameters" in part(made, "screw_1_of_2").notes


def test_the_nut_slides_on_the_rod(made: Mockup) -> None:
    mesh = part(made, "nut").mesh
    bore = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1]).min() * 2.0
    assert bore == pytest.approx(8.0 + FDM.clearance + FDM.hole, abs=2 * FACET_ERROR)
    assert 0.2 <= FDM.hole <= 0.4
    assert "bore dia 8.7" in part(made, "nut").notes[1]
    assert mesh.bounds[1][2] - mesh.bounds[0][2] == 16.0


def test_the_gauge_says_what_it_proves_and_what_not(made: Mockup) -> None:
    notes = " | ".join(part(made, "gauge_1_of_2").notes)
    assert "s -4..64, grown by 0.5" in notes
    assert "drops in: overlaps no fixed body at its place" in notes
    assert "relieved by 0.2 at declared contacts: nut/screw" in notes
    assert "gear/plate" not in notes
    assert "not covered by the gauge: pcb (electronics) needs 2" in notes
    assert "cable (cable) needs 3" in notes
    assert "flat there" in notes
    assert "goes in" in notes


def test_the_gauge_names_what_it_overlaps() -> None:
    # Flange radius 12 grown by 0.5 against a wall at 12.2.
    notes = " | ".join(part(make(bodies(wall_x=12.2)), "gauge_1_of_2").notes)
    assert "does not drop in: overlaps wall" in notes


@pytest.mark.parametrize(
    ("rib_face", "words"),
    [
        ("-18.7", "drops in: overlaps no fixed body at its place"),
        ("-17.6", "does not drop in: overlaps rib 5."),
    ],
)
def test_the_demo_drops_in_and_its_rib_variant_does_not(rib_face: str, words: str) -> None:
    demo = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
    text = demo.read_text(encoding="utf-8")
    assert "-20..-18.7 mm" in text
    design = read_text(text.replace("-20..-18.7 mm", f"-20..{rib_face} mm"))
    given = [
        (body, mesh_of(body.shape)) for body in arrangement_of(design).bodies if isinstance(body.shape, Shape)
    ]
    made = mockup_parts(given, contacts_of(design), classes_of(design), travel_of(design), FDM, TR8)
    assert any(note.startswith(words) for note in part(made, "gauge_1_of_2").notes)


def test_a_printable_pitch_keeps_its_thread() -> None:
    real = mesh_of(Shape((rod(4.5, 8, 60),)))  # stands for the thread's own mesh
    made = make(thread=MockupThread("Tr10x2", 2.0, 10.0, real))
    assert made.notes == ("INFO real thread: pitch 2 >= 2.0",)
    screw = part(made, "screw")
    assert signed_volume(screw.mesh) == pytest.approx(signed_volume(real), rel=1e-12)
    assert screw.notes[1:] == ("Tr10x2, real thread", "stands upright")
    without = make(thread=MockupThread("Tr10x2", 2.0, 10.0))
    assert without.notes == ("INFO substituted: no mesh of Tr10x2 given -> plain dia 10.0",)


@pytest.mark.parametrize(
    ("process", "nozzle", "pitch"),
    [("FDM", 0.4, 2.0), ("FDM", 0.25, 1.25), ("SLA", 0.4, 0.5), ("SLS", 0.4, 1.0)],
)
def test_the_printer_decides_the_finest_pitch(process: str, nozzle: float, pitch: float) -> None:
    assert print_fit(process, nozzle).pitch == pytest.approx(pitch)  # type: ignore[arg-type]  # parametrised text


def test_clearance_and_bed_of_the_file_replace_the_usual_ones() -> None:
    fit = print_fit("FDM", 0.4, 0.6, (120.0, 120.0, 100.0))
    assert (fit.clearance, fit.bed) == (0.6, (120.0, 120.0, 100.0))
    assert "bore dia 8.9" in part(make(fit=fit), "nut").notes[1]
    with pytest.raises(ShapeError, match="write FDM, SLA or SLS"):
        print_fit("laser")  # type: ignore[arg-type]  # what a user may write


def test_a_rod_longer_than_the_bed_is_cut_across_too() -> None:
    made = make(bodies(far_journal=260.0), replace(FDM, bed=(150.0, 100.0, 120.0)))
    rods = [each for each in made.parts if each.name.startswith("screw")]
    assert [each.name for each in rods] == [f"screw_{n}_of_4" for n in (1, 2, 3, 4)]
    lengths = [each.mesh.bounds[1][2] - each.mesh.bounds[0][2] for each in rods]
    assert lengths == pytest.approx([130.0] * 4)
    assert "260 long: higher than the bed" in rods[0].notes


def test_resin_rods_stand_in_one_piece() -> None:
    made = make(fit=print_fit("SLA"))
    assert "stands upright" in part(made, "screw").notes
    assert made.notes == ("INFO substituted: no mesh of Tr8x1.5 given -> plain dia 8.0",)


def test_what_is_too_large_for_the_bed_says_so() -> None:
    made = make(fit=replace(FDM, bed=(60.0, 60.0, 60.0)))
    assert (
        part(made, "gauge_1_of_2").notes[-1]
        == "85.0 x 25.0 x 12.5 does not fit the bed: split it in the slicer"
    )
    assert "bed" not in part(made, "body").notes[-1]


def test_file_bodies_are_taken_as_they_are_and_it_is_said() -> None:
    given = [
        (body._replace(shape=FileShape("gear.step")), mesh) if body.name == "gear" else (body, mesh)
        for body, mesh in bodies()
    ]
    assert "holes of gear as in the file, without allowance" in part(make(given), "body").notes


def test_a_part_that_cannot_be_made_is_said_and_the_rest_is_made() -> None:
    made = make([pair for pair in bodies() if pair[0].name != "nut"])
    assert [each.name for each in made.parts] == ["body", "screw_1_of_2", "screw_2_of_2"]
    assert made.notes[1].startswith("nut NOT MADE: there is no body 'nut'")
    assert made.notes[2].startswith("gauge NOT MADE: nothing moves")
    thick = make(thread=MockupThread("Tr24x1.5", 1.5, 24.0))
    assert any("nut NOT MADE: a bore of 24.7 mm leaves nothing" in note for note in thick.notes)


def test_an_open_mesh_is_said_with_its_body() -> None:
    given = [
        (body._replace(shape=FileShape("nut.stl")), Mesh(mesh.vertices, mesh.triangles[1:], 0.0))
        if body.name == "nut"
        else (body, mesh)
        for body, mesh in bodies()
    ]
    notes = make(given).notes
    assert notes[1].startswith("nut NOT MADE: nut: its mesh is not closed: 3 free edges")
    assert notes[2].startswith("gauge NOT MADE: nut: its mesh is not closed")


def test_the_same_set_twice_has_the_same_bytes(made: Mockup) -> None:
    again = make()
    assert again.notes == made.notes
    for one, other in zip(made.parts, again.parts, strict=True):
        assert one.notes == other.notes
        assert one.mesh.vertices.tobytes() == other.mesh.vertices.tobytes()
        assert one.mesh.triangles.tobytes() == other.mesh.triangles.tobytes()


def test_a_way_in_that_one_body_bars_is_said_of_one_body() -> None:
    assert _way_note(Way("-x", (), ("frame",), ())) == "goes in along -x before mounting frame"
    assert _way_note(Way("-x", ("lid",), ("a", "b"), ("c",))) == (
        "goes in along -x with lid off before mounting a, b; not tried past c"
    )
    assert _way_note(Way("+y", (), (), ())) == "goes in straight along +y"

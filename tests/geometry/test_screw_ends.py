from __future__ import annotations

import math

import pytest
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum

from calcs.check_design import check_design
from exports.part_meshes import screw_mesh
from geometry.design import Design, read_text
from geometry.meshes import mesh_faults, signed_volume
from geometry.screw import screw_envelope, screw_solid
from geometry.screw_ends import circlips, steps_of, with_ends
from geometry.screw_problems import screw_problems
from geometry.solids import bounding_box, volume_of_solid

BASE = """
[motion]
stroke = "0..5 mm"
speed = "10 mm/s"
mass = "0.1 kg"
[nut]
length = "6 mm"
friction = "0.1..0.15..0.2"
[screw]
thread = "{thread}"
length = "15 mm"
"""


def design(*lines: str, thread: str = "Tr8x1.5") -> Design:
    return read_text("\n".join((BASE.format(thread=thread), *lines)))


def end(side: str, diameter: float, length: float, more: str = "") -> str:
    return f'{side} = {{ diameter = "{diameter:g} mm", length = "{length:g} mm"{more} }}'


PLAIN = end("far_journal", 5, 8)
ENDS = {
    "two steps": (end("far_journal", 6, 8), end("far_tip", 4, 5, ', chamfer = "0.3 mm"')),
    "circlip": (end("far_journal", 5, 8, ', circlip = "5 mm", chamfer = "0.3 mm"'),),
    "flat": (end("near_journal", 5, 9, ', flat = "4.5 mm", milled = "6 mm"'), PLAIN),
    "flat as thick as the root": (end("near_journal", 5.9, 9, ', flat = "5 mm", milled = "6 mm"'),),
    "hexagon": (end("far_journal", 8, 9, ', hexagon = "6 mm", milled = "5 mm"'),),
    "square with groove": (
        end("far_journal", 5, 12, ', square = "4 mm", milled = "5 mm", circlip = "4 mm"'),
    ),
    "cross hole": (end("far_journal", 6, 9, ', cross_hole = "2 mm", cross_hole_at = "4 mm"'),),
    "thread": (end("far_journal", 5, 9), end("far_tip", 4, 7, ', thread = "M4"')),
    "thread beside thread": (end("near_journal", 5, 9, ', thread = "M5"'),),
    "flat and a tip": (
        end("far_journal", 6, 9, ', flat = "5.5 mm", milled = "4 mm"'),
        end("far_tip", 4, 5, ', square = "3 mm", milled = "3 mm"'),
    ),
    "bored through": (end("far_journal", 6, 8), end("near_journal", 5, 4), 'bore = "2 mm"'),
    "bored from the far end": (
        end("far_journal", 6, 8, ', hexagon = "5 mm", milled = "3 mm"'),
        'bore = "2.5 mm"',
        'bore_depth = "12 mm"',
    ),
    "bored without ends": ('bore = "2 mm"',),
}


@pytest.mark.parametrize("thread", ["Tr8x1.5", "Tr8x4(P2) LH"])
@pytest.mark.parametrize("name", ENDS)
def test_every_end_is_one_valid_solid_of_its_closed_form(name: str, thread: str) -> None:
    made = design(*ENDS[name], thread=thread)
    assert screw_problems(made) == ()
    light, detailed = screw_solid(made, detailed=False), screw_solid(made, detailed=True)
    for solid in (light, detailed):
        assert solid.ShapeType() == TopAbs_ShapeEnum.TopAbs_SOLID
        assert BRepCheck_Analyzer(solid).IsValid()
    own = check_design(made).case.find("screw_solid")
    assert own is not None
    weight = own.value
    density = 7850.0
    assert volume_of_solid(detailed) == pytest.approx(weight.mass_kg / density * 1e9, rel=1e-6)
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(detailed, properties)
    assert weight.centre_m[2] * 1e3 == pytest.approx(properties.CentreOfMass().Z(), abs=1e-3)
    about_axis = properties.MatrixOfInertia().Value(3, 3) * density * 1e-15
    assert weight.tensor_kg_m2[2, 2] == pytest.approx(about_axis, rel=1e-4)
    for corner, other in zip(bounding_box(light), bounding_box(detailed), strict=True):
        assert corner == pytest.approx(other, abs=0.02)  # a two-start crest ends short of the cone
    mesh = screw_mesh(made, 0.005)
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(volume_of_solid(detailed), rel=0.005)


def test_the_envelope_holds_every_end_and_the_bore() -> None:
    made = design(*ENDS["bored from the far end"])
    envelope = screw_envelope(made)
    spans = [(piece.radius, *piece.span) for piece in envelope.adds]  # type: ignore[union-attr]  # rounds
    assert spans == [(4.0, 0.0, 15.0), (3.0, 15.0, 23.0)]
    cuts = [(piece.radius, *piece.span) for piece in envelope.cuts]  # type: ignore[union-attr]  # rounds
    assert cuts == [(1.25, 11.0, 15.0), (1.25, 15.0, 23.0)]


def test_steps_go_outwards_from_the_thread() -> None:
    screw = design(end("near_journal", 5, 4), end("near_tip", 3, 2)).screw
    assert [(step.field, step.shoulder, step.free_end) for step in steps_of(screw, "near")] == [
        ("screw.near_journal", 0.0, -4.0),
        ("screw.near_tip", -4.0, -6.0),
    ]


def test_grooves_of_din_471_leave_less_than_the_shaft() -> None:
    for shaft, groove in circlips().items():
        assert 0.9 * shaft < groove.groove_diameter < shaft
        assert 0.3 <= groove.least_to_end < groove.groove_width * 2.2
    five = circlips()[5.0]
    assert (five.groove_diameter, five.groove_width) == (4.8, 0.7)


def test_a_cross_hole_takes_what_two_crossing_cylinders_share() -> None:
    from calcs.mass import crossed_properties

    # A hole much thinner than the shaft takes nearly a cylinder of the shaft's diameter.
    thin = crossed_properties(1e-6, 1e-3, 0.0, 1.0)
    assert thin.mass_kg == pytest.approx(math.pi * 1e-12 * 2e-3, rel=1e-6)
    # Equal cylinders share 16 r^3 / 3 (Steinmetz).
    assert crossed_properties(1e-3, 1e-3 * (1 + 1e-9), 0.0, 1.0).mass_kg == pytest.approx(
        16 / 3 * 1e-9, rel=1e-4
    )


@pytest.mark.parametrize(("shaft", "hole"), [(7.205, 1.155), (3.0, 1.0), (2.0, 1.5)])
def test_a_cross_hole_agrees_with_the_kernel_where_that_refines_its_integral(
    shaft: float, hole: float
) -> None:
    from calcs.mass import crossed_properties
    from geometry.bodies import Cylinder, Shape
    from geometry.solids import solid_of

    across = Cylinder("y", (0.0, 4.0), hole, (-2 * shaft, 2 * shaft))
    solid = solid_of(Shape((Cylinder("z", (0.0, 0.0), shaft, (0.0, 9.0)),), (across,)))
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties, 1e-9)
    taken = crossed_properties(hole, shaft, 4.0, 1.0)
    assert properties.Mass() == pytest.approx(math.pi * shaft**2 * 9 - taken.mass_kg, rel=1e-9)
    whole = math.pi * shaft**4 / 2 * 9
    assert properties.MatrixOfInertia().Value(3, 3) == pytest.approx(
        whole - taken.tensor_kg_m2[2, 2], rel=1e-6
    )


@pytest.mark.parametrize(
    ("lines", "field", "says"),
    [
        (
            (end("far_journal", 4.5, 8, ', circlip = "5 mm"'),),
            "far_journal.circlip",
            "turn the journal to 4 mm",
        ),
        (
            (end("far_journal", 5, 8, ', circlip = "7.5 mm"'),),
            "far_journal.circlip",
            "a circlip of 7 mm or less",
        ),
        ((end("far_journal", 5, 8, ', flat = "4.5 mm"'),), "far_journal", 'milled = "6 mm"'),
        (
            (end("far_journal", 5, 8, ', flat = "4.5 mm", milled = "8 mm"'),),
            "far_journal.milled",
            "below 8 mm",
        ),
        (
            (end("far_journal", 5, 8, ', flat = "2.4 mm", milled = "6 mm"'),),
            "far_journal.flat",
            "above 2.5 mm and below 5 mm",
        ),
        (
            (end("far_journal", 5, 8, ', flat = "4 mm", hexagon = "4 mm", milled = "6 mm"'),),
            "far_journal.flat",
            "keep one",
        ),
        (
            (end("far_journal", 5, 8, ', cross_hole = "5 mm", cross_hole_at = "4 mm"'),),
            "far_journal.cross_hole",
            "below 5 mm",
        ),
        (
            (end("far_journal", 5, 8, ', cross_hole = "2 mm", cross_hole_at = "7.5 mm"'),),
            "far_journal.cross_hole_at",
            "above 1 and below 7 mm",
        ),
        ((end("far_journal", 5, 8, ', cross_hole = "2 mm"'),), "far_journal", "give both"),
        ((end("far_journal", 5, 8, ', thread = "M4"'),), "far_journal.diameter", 'diameter = "4 mm"'),
        (
            (end("far_journal", 5, 8, ', thread = "M5", flat = "4 mm", milled = "2 mm"'),),
            "far_journal.flat",
            "",
        ),
        ((end("far_journal", 5, 8, ', thread = "Q5"'),), "far_journal.thread", ""),
        (
            (end("far_journal", 5, 8, ', chamfer = "1 mm", flat = "4.5 mm", milled = "3 mm"'),),
            "far_journal.chamfer",
            "leave chamfer out",
        ),
        ((end("far_journal", 5, 8, ', chamfer = "2.5 mm"'),), "far_journal.chamfer", "below 2.5 mm"),
        (
            (end("far_journal", 5, 8, ', flat = "4 mm", milled = "3 mm"'), end("far_tip", 3.5, 4)),
            "far_tip.diameter",
            "below 2.9 mm",
        ),
        (('bore = "5.6 mm"',), "bore", "write a bore below 5.5 mm"),
        (('bore_depth = "5 mm"',), "bore_depth", "write bore"),
        (('bore = "2 mm"', 'bore_depth = "15 mm"'), "bore_depth", "leave bore_depth out"),
        (
            (end("far_journal", 5, 8, ', cross_hole = "2 mm", cross_hole_at = "4 mm"'), 'bore = "2 mm"'),
            "bore",
            "leave the cross hole",
        ),
    ],
)
def test_what_cannot_be_built_is_refused_with_its_repair(
    lines: tuple[str, ...], field: str, says: str
) -> None:
    (problem,) = screw_problems(design(*lines))
    assert problem.field == f"screw.{field}"
    assert says in problem.repair


def test_a_thick_tip_keeps_the_nut_off() -> None:
    made = design(end("far_journal", 5, 8), end("far_tip", 10, 4), end("near_journal", 7, 4))
    (problem,) = screw_problems(made)
    assert problem.field == "screw.near_journal.diameter"
    assert "passes over neither end" in problem.message


def test_only_what_is_not_turned_becomes_a_piece() -> None:
    assert with_ends(design(*ENDS["circlip"]).screw)[1] == ()
    assert len(with_ends(design(*ENDS["flat and a tip"]).screw)[1]) == 2

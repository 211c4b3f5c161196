from __future__ import annotations

import math

import pytest

from exports.part_meshes import part_mesh
from geometry.bodies import Body, Cylinder, Shape
from geometry.design import Design, read_text
from geometry.meshes import mesh_faults, signed_volume, turned_mesh
from geometry.placed import place
from geometry.seal import bellows_outline, seal_envelope
from geometry.solids import bounding_box, turned_solid, volume_of_solid
from geometry.stack import arrangement_of, contacts_of, problems_of
from geometry.stack_solids import solids_of

BASE = """
[motion]
stroke = "0..20 mm"
hard_stops = "-2..22 mm"
speed = "10 mm/s"
mass = "0.1 kg"
{motion}
[screw]
thread = "Tr8x1.5"
length = "60 mm"
[nut]
friction = 0.15
length = "8 mm"
{nut}
[motor]
diameter = "16 mm"
length = "30 mm"
[seal]
kind = "{kind}"
diameter = "14 mm"
bore = "{bore}"
length = "10 mm"
{seal}
"""
NUT = 'position = "15 mm"\nbody_diameter = "14 mm"'


def design(
    kind: str = "bellows", bore: str = "9 mm", seal: str = "", motion: str = "", nut: str = NUT
) -> Design:
    return read_text(BASE.format(kind=kind, bore=bore, seal=seal, motion=motion, nut=nut))


def seal(made: Design) -> Body:
    (found,) = [body for body in arrangement_of(made).bodies if body.name == "screw_seal"]
    return found


def span(made: Design) -> tuple[float, float]:
    shape = seal(made).shape
    assert isinstance(shape, Shape)
    (outer,), (inner,) = shape.adds, shape.cuts
    assert isinstance(outer, Cylinder)
    assert isinstance(inner, Cylinder)
    assert (outer.radius, inner.radius, inner.span) == (7.0, 4.5, outer.span)
    return outer.span


def test_bellows_reach_from_the_front_face_to_what_travels() -> None:
    assert span(design()) == (0.0, 15.0)
    body = seal(design())
    assert (body.stretches, body.moves) == (True, False)
    travelling = design(motion='travels = "screw"\nturns = "nut"')
    assert span(travelling) == (0.0, 60.0)  # the end of the screw


def test_a_lip_seal_and_bellows_that_go_with_their_drive_keep_their_length() -> None:
    assert span(design("lip")) == (0.0, 10.0)
    assert not seal(design("lip")).stretches
    together = design(motion='turns = "nut"')
    assert span(together) == (0.0, 10.0)
    assert (seal(together).stretches, seal(together).moves) == (False, True)


def test_bellows_touch_what_they_are_fastened_to() -> None:
    assert {("motor", "screw_seal"), ("nut", "screw_seal")} <= {(c.a, c.b) for c in contacts_of(design())}
    assert not [c for c in contacts_of(design("lip")) if "screw_seal" in (c.a, c.b)]


def test_without_the_nuts_place_bellows_have_none() -> None:
    lacking = {
        part.name: part.fields for part in arrangement_of(design(nut='body_diameter = "14 mm"')).unplaced
    }
    assert lacking["screw_seal"] == ("nut.position",)


@pytest.mark.parametrize(
    ("made", "field", "said", "repair"),
    [
        (design(bore="14 mm"), "seal.bore", "leaves nothing", "below 14 mm"),
        (design(bore="7 mm"), "seal.bore", "the screw, 8 mm there", "8 mm or more"),
        (
            design(nut=NUT.replace("15 mm", "2 mm")),
            "seal.length",
            "at s = -2 mm the bellows have no room at all: they begin at z = 0 mm, what travels is at 0 mm",
            "10 mm further out",
        ),
    ],
)
def test_what_cannot_be_built_is_said_with_number_and_repair(
    made: Design, field: str, said: str, repair: str
) -> None:
    (problem,) = problems_of(made)
    assert problem.field == field
    assert said in problem.message
    assert repair in problem.repair


def test_in_detail_bellows_are_folded_within_their_envelope() -> None:
    made = design(seal='extended = "40 mm"')
    envelope = seal_envelope(made)
    assert isinstance(envelope, Shape)
    outline = bellows_outline(made, envelope)
    crests = [z for r, z in outline if r == 7.0]
    assert len(crests) == math.ceil(40 / (1.2 * 2.5))
    placement = place(made)
    (light,), (detailed,) = (
        [s for body, s in solids_of(made, placement, detailed=detail) if body.name == "screw_seal"]
        for detail in (False, True)
    )
    for one, other in zip(bounding_box(light), bounding_box(detailed), strict=True):
        assert one == pytest.approx(other, abs=1e-6)
    assert 0.1 < volume_of_solid(detailed) / volume_of_solid(light) < 0.9
    (placed,) = [placed for placed in placement.bodies if placed.body.name == "screw_seal"]
    mesh = part_mesh(made, placed, 0.01)
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(volume_of_solid(detailed), rel=0.01)


def test_a_turned_outline_is_one_solid_and_one_closed_mesh_of_the_volume_of_pappus() -> None:
    outline = ((2.0, 0.0), (5.0, 0.0), (4.0, 3.0), (2.0, 3.0))
    volume = math.pi * (3 / 3 * (25 + 20 + 16) - 4 * 3)  # a frustum less a bore
    solid, mesh = turned_solid(outline), turned_mesh(outline, 0.001)
    assert volume_of_solid(solid) == pytest.approx(volume, rel=1e-9)
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(volume, rel=1e-3)
    assert mesh.chord_error <= 0.001

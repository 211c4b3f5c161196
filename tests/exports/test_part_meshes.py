from __future__ import annotations

import math

import pytest

from exports.part_meshes import part_meshes
from geometry.design import Design, read_text
from geometry.gear_parts import gear_members
from geometry.gear_train import gear_train
from geometry.meshes import mesh_faults, signed_volume
from geometry.placed import PlacedBody, place
from geometry.solids import volume_of_solid
from geometry.stack import arrangement_of
from geometry.stack_solids import solids_of

HEAD = """
[motion]
stroke = "0..5 mm"
speed = "10 mm/s"
mass = "0.1 kg"
[screw]
thread = "M3"
length = "30 mm"
[nut]
length = "8 mm"
friction = 0.15
"""
OUTPUT = (
    'output = { diameter = "3 mm", flange_diameter = "6 mm", flange_thickness = "1 mm", '
    'bearing_diameter = "7 mm", bearing_width = "2 mm", bearings = 2 }\n'
)
STAGE = '[[gears.stage]]\nsun = 12\nplanet = 12\nring = {ring}\nmodule = "0.3 mm"\n'


def design(ring: int = 36) -> Design:
    return read_text(
        f'{HEAD}[gears]\ndiameter = "16 mm"\nlength = "30 mm"\n{OUTPUT}' + 2 * STAGE.format(ring=ring)
    )


def gear_of(given: Design) -> PlacedBody:
    return next(placed for placed in place(given).bodies if placed.body.name == "gear")


@pytest.mark.parametrize("tolerance", [0.005, 0.02])
def test_a_gear_is_meshed_with_the_teeth_and_the_names_of_its_detailed_solids(tolerance: float) -> None:
    given = design()
    gear = gear_of(given)
    meshes = dict(part_meshes(given, gear, tolerance))
    solids = solids_of(given, place(given), detailed=True, bodies=[gear.body])
    assert list(meshes) == [body.name for body, _ in solids]
    train = gear_train(given)
    assert train is not None
    assert len(meshes) == 1 + len(gear_members(train)) == 1 + 2 * 6 + 3
    for body, solid in solids:
        mesh = meshes[body.name]
        assert mesh_faults(mesh) == ()
        assert 0.0 < mesh.chord_error <= tolerance
        # Chords of a hundredth of a module and of a fifteenth.
        assert signed_volume(mesh) == pytest.approx(volume_of_solid(solid), rel=2 * tolerance)
        assert math.isfinite(float(mesh.vertices.sum()))


def test_a_gear_whose_teeth_are_refused_is_meshed_as_its_envelope() -> None:
    given = design(ring=37)
    ((name, mesh),) = part_meshes(given, gear_of(given), 0.01)
    assert name == "gear"
    assert signed_volume(mesh) == pytest.approx(math.pi * 64 * 30, rel=0.002)
    assert [body.name for body in arrangement_of(given).bodies] == ["gear", "screw"]

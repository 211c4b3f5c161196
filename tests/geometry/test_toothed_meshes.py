from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from geometry.errors import ShapeError
from geometry.gear_blanks import Toothed
from geometry.gear_mesh import mesh_play
from geometry.meshes import mesh_faults, signed_volume
from geometry.planetary_stage import PlanetaryStage, design_stage
from geometry.toothed_meshes import outline, toothed_mesh

STAGES = [design_stage(12, 12, 36, module=0.3), design_stage(15, 30, 75, module=1.0)]
NAMES = ["m0.3", "m1"]


def members(stage: PlanetaryStage, width: float = 2.0) -> list[Toothed]:
    """Sun without and planet with a bore, and the ring, each turned."""
    outer = 2 * (stage.ring.root_radius + 2 * stage.module)
    return [
        Toothed(stage.sun, (1.0, 1.0 + width), turn=0.1),
        Toothed(stage.planet, (1.0, 1.0 + width), stage.planet.root_radius, 0.2, 3.0, -4.0),
        Toothed(stage.ring, (1.0, 1.0 + width), outer, 0.3),
    ]


def section(blank: Toothed) -> float:
    circle = math.pi / 4 * blank.round_diameter**2
    return circle - blank.teeth.area if blank.teeth.internal else blank.teeth.area - circle


@pytest.mark.parametrize("stage", STAGES, ids=NAMES)
@pytest.mark.parametrize("tolerance", [0.01, 0.001])
def test_a_mesh_is_closed_within_its_tolerance_and_near_the_closed_form(
    stage: PlanetaryStage, tolerance: float
) -> None:
    for blank in members(stage):
        mesh = toothed_mesh(blank, tolerance)
        assert mesh_faults(mesh) == ()
        assert 0.3 * tolerance < mesh.chord_error <= tolerance
        # What chords leave out or add is at most their error along the outline.
        edges = np.diff(outline(blank.teeth, tolerance)[0], append=outline(blank.teeth, tolerance)[0][:1])
        around = float(np.abs(edges).sum()) + math.pi * blank.round_diameter
        volume = section(blank) * blank.width
        assert abs(signed_volume(mesh) - volume) < mesh.chord_error * around * blank.width
        assert mesh.vertices[:, 2].min() == 1.0
        assert mesh.vertices[:, 2].max() == 3.0


@pytest.mark.parametrize("stage", STAGES, ids=NAMES)
def test_points_between_the_corners_are_no_further_off_than_the_error_stated(stage: PlanetaryStage) -> None:
    for gear in (stage.sun, stage.planet, stage.ring):
        points, error = outline(gear, 0.004)
        middles = (points + np.roll(points, -1)) / 2.0
        fine = gear.half_outline(4000)
        half = np.concatenate((fine, np.conj(fine)))
        # Carry each middle into the one tooth whose outline is known finely.
        angle = np.angle(middles) % gear.pitch
        folded = np.abs(middles) * np.exp(1j * np.where(angle > gear.pitch / 2, angle - gear.pitch, angle))
        off = max(float(np.abs(half - middle).min()) for middle in folded[:: max(1, len(folded) // 400)])
        assert off <= error + 1e-4  # the fine points stand up to 0.002 mm apart
        assert error <= 0.004


def test_the_teeth_stand_where_they_are_turned_and_moved() -> None:
    stage = STAGES[1]
    mesh = toothed_mesh(members(stage)[1], 0.002)
    flat = mesh.vertices[:, :2] - (3.0, -4.0)
    tip = flat[np.argmax(np.hypot(*flat.T))]
    assert np.hypot(*tip) == pytest.approx(stage.planet.tip_radius, abs=1e-9)
    turned = (math.atan2(tip[1], tip[0]) - 0.2 + stage.planet.pitch / 2) % stage.planet.pitch
    land = stage.planet.tip_land / stage.planet.tip_radius
    assert abs(turned - stage.planet.pitch / 2) <= land / 2 + 1e-9


def test_meshed_gears_of_a_stage_stay_out_of_one_another() -> None:
    import manifold3d

    from geometry.meshes import manifold_of

    stage, tolerance = STAGES[1], 0.0005
    assert mesh_play(stage.sun, stage.planet, stage.centre_distance).overlap == 0.0
    sun = toothed_mesh(Toothed(stage.sun, (0.0, 1.0)), tolerance)
    ring = toothed_mesh(
        Toothed(stage.ring, (0.0, 1.0), 2 * stage.ring.root_radius + 4, stage.ring_turn()), tolerance
    )
    planets = [
        toothed_mesh(
            Toothed(
                stage.planet,
                (0.0, 1.0),
                0.0,
                stage.planet_turn(angle),
                stage.centre_distance * math.cos(angle),
                stage.centre_distance * math.sin(angle),
            ),
            tolerance,
        )
        for angle in stage.planet_angles()
    ]
    solids = [manifold_of(mesh) for mesh in (sun, ring, *planets)]
    joined = manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)
    assert joined.volume() == pytest.approx(sum(solid.volume() for solid in solids), rel=1e-9)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"round_diameter": 100.0}, "leaves no rim under the roots"),
        ({"span": (1.0, 1.0)}, "a face width of 0 mm"),
    ],
)
def test_what_cannot_be_cut_is_refused_with_the_number(change: dict[str, float], says: str) -> None:
    with pytest.raises(ShapeError, match=says):
        toothed_mesh(replace(members(STAGES[0])[1], **change))  # type: ignore[arg-type] # cases as dicts


def test_a_ring_needs_its_rim() -> None:
    with pytest.raises(ShapeError, match="leaves no rim behind the roots"):
        toothed_mesh(Toothed(STAGES[0].ring, (0.0, 1.0), 2 * STAGES[0].ring.root_radius))


def test_no_kernel_is_loaded_for_it() -> None:
    script = (
        "import sys\nfrom geometry.gear_blanks import Toothed\n"
        "from geometry.toothed_meshes import toothed_mesh\n"
        "from geometry.planetary_stage import design_stage\n"
        "toothed_mesh(Toothed(design_stage(12, 12, 36).sun, (0.0, 1.0)))\n"
        "sys.exit(any(name.split('.')[0] in ('OCP', 'cadquery') for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0

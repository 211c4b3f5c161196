"""What gear teeth cost, as ratios in one run: a three-stage stack in detail against its light form."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

from exports.step import Node, write_step
from geometry.design import Design, read_text
from geometry.gear_train import gear_train
from geometry.placed import place
from geometry.stack import arrangement_of
from geometry.stack_solids import solids_of

STAGE = '[[gears.stage]]\nsun = 12\nplanet = 12\nring = 36\nmodule = "0.3 mm"\n'
THREE_STAGES = (
    '[motion]\nstroke = "0..5 mm"\nspeed = "10 mm/s"\nmass = "0.1 kg"\n[screw]\nthread = "M3"\n'
    'length = "30 mm"\n[nut]\nlength = "8 mm"\nfriction = 0.15\n'
    '[gears]\ndiameter = "16 mm"\nlength = "24 mm"\n' + 3 * STAGE
)
ROUNDS = 5


@pytest.fixture(scope="module")
def design() -> Design:
    return read_text(THREE_STAGES)


def gear(design: Design, *, detailed: bool) -> tuple[tuple[object, object], ...]:
    bodies = [body for body in arrangement_of(design).bodies if body.name == "gear"]
    return solids_of(design, place(design), detailed=detailed, bodies=bodies)


def cut_teeth(design: Design) -> int:
    """Teeth that are cut: planets of a stage share theirs."""
    train = gear_train(design)
    assert train is not None
    gears = [g for placed in train.stages for g in (placed.stage.sun, placed.stage.planet, placed.stage.ring)]
    return sum(g.teeth for g in gears)


def seconds_of_cadquery() -> float:
    """The shortest of three imports in processes of their own."""
    script = "import time; t = time.perf_counter(); import cadquery; print(time.perf_counter() - t)"
    runs = (subprocess.run([sys.executable, "-c", script], capture_output=True, text=True) for _ in range(3))
    return min(float(run.stdout) for run in runs)


def test_a_tooth_costs_a_five_hundredth_of_importing_cadquery(benchmark, design):
    gear(design, detailed=True)  # the kernel's own start is not the teeth's
    light = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        gear(design, detailed=False)
        light.append(time.perf_counter() - start)
    benchmark.pedantic(gear, (design,), {"detailed": True}, rounds=ROUNDS)
    detailed = benchmark.stats.stats.min
    allowed = seconds_of_cadquery() / 500 * cut_teeth(design)
    benchmark.extra_info["ratio"] = (detailed - min(light)) / allowed
    assert detailed <= min(light) + allowed


@pytest.mark.parametrize(("detailed", "most_mb"), [(False, 1.0), (True, 40.0)])
def test_step_of_three_stages_stays_small(benchmark, design, tmp_path: Path, detailed, most_mb):
    parts = tuple(
        Node(body.name, solid, colour=body.colour) for body, solid in gear(design, detailed=detailed)
    )
    file = tmp_path / "gear.step"
    benchmark.pedantic(write_step, (file, Node("gear", children=parts)), rounds=1)
    megabytes = file.stat().st_size / 1e6
    benchmark.extra_info["megabytes"] = megabytes
    assert megabytes < most_mb

"""The front door: what it exports, what it leaves unloaded, and that the wheel works outside the tree."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import strokebox

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "exports" / "demo" / "vial-lift.toml"
KERNEL_AND_FRIENDS = {
    "OCP",
    "cadquery",
    "vtk",
    "vtkmodules",
    "trimesh",
    "scipy",
    "matplotlib",
    "fcl",
    "manifold3d",
}


def python(*words: str, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *words],
        cwd=cwd, capture_output=True, text=True, check=False, timeout=300, env={**os.environ, **environment},
    )  # fmt: skip


def test_exported_names() -> None:
    assert strokebox.__all__ == [
        "Q", "build", "check", "fit", "gear_stack", "make", "planetary", "read",
        "thread", "thread_mesh", "thread_solid",
    ]  # fmt: skip
    assert all(getattr(strokebox, name).__doc__ for name in strokebox.__all__)


def test_a_gear_stack_is_a_question_at_the_prompt() -> None:
    answer = strokebox.gear_stack(4, 16, torque_nmm=60, most_stages=1)
    assert "12/12/36 m 0.3" in answer.explain()


def test_check_loads_no_cad_kernel(tmp_path: Path) -> None:
    script = (
        "import sys; from exports.command import _status; "
        f"status = _status(['check', {str(DEMO)!r}, '--json']); "
        "print(sorted({name.split('.')[0] for name in sys.modules}), file=sys.stderr); sys.exit(status)"
    )
    done = python("-c", script, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    loaded = set(json.loads(done.stderr.splitlines()[-1].replace("'", '"')))
    assert "numpy" in loaded
    assert not loaded & (KERNEL_AND_FRIENDS | {"rich"})


def test_import_alone_loads_next_to_nothing(tmp_path: Path) -> None:
    script = "import sys, strokebox; print(sorted({name.split('.')[0] for name in sys.modules}))"
    loaded = set(json.loads(python("-c", script, cwd=tmp_path).stdout.replace("'", '"')))
    assert not loaded & (KERNEL_AND_FRIENDS | {"numpy", "pydantic", "pint", "click", "rich"})


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel and install it alone into a folder outside the tree."""
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    subprocess.run(["git", "clone", "-q", str(ROOT), str(source)], check=True)
    built = python(
        "-m",
        "pip",
        "wheel",
        "-q",
        "--no-deps",
        "--no-build-isolation",
        "-w",
        str(folder),
        str(source),
        cwd=folder,
    )
    assert built.returncode == 0, built.stderr
    wheel = next(folder.glob("strokebox-*.whl"))
    put = python(
        "-m", "pip", "install", "-q", "--no-deps", "--target", str(folder / "site"), str(wheel), cwd=folder
    )
    assert put.returncode == 0, put.stderr
    return folder / "site"


def test_wheel_runs_outside_the_tree(installed: Path, tmp_path: Path) -> None:
    where = python(
        "-c", "import strokebox; print(strokebox.__file__)", cwd=tmp_path, PYTHONPATH=str(installed)
    )
    assert Path(where.stdout.strip()).parent == installed
    started = python("-m", "strokebox", "start", "own.toml", cwd=tmp_path, PYTHONPATH=str(installed))
    assert started.returncode == 0, started.stderr
    checked = python(
        "-m", "strokebox", "check", "own.toml", "--json", cwd=tmp_path, PYTHONPATH=str(installed)
    )
    assert json.loads(checked.stdout)["checks"], checked.stderr
    known = python("-m", "strokebox", "known", "threads", cwd=tmp_path, PYTHONPATH=str(installed))
    assert "Tr8x1.5" in known.stdout

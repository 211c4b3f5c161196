"""The layers of the house: who may import whom, and which libraries stay out of a quick start."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
RANK = {"geometry": 0, "calcs": 1, "exports": 2, "strokebox": 3}
MODULES = sorted(
    [
        ROOT / "strokebox.py",
        *(p for name in ("geometry", "calcs", "exports") for p in (ROOT / name).rglob("*.py")),
    ]
)
HEAVY = {
    "OCP",
    "cadquery",
    "vtk",
    "vtkmodules",
    "trimesh",
    "scipy",
    "matplotlib",
    "fcl",
    "manifold3d",
    "rich",
}
KERNEL = {"OCP", "cadquery"}
# These are nothing but kernel geometry, and are imported by functions only.
KERNEL_MODULES = {
    "geometry/gear_solid.py",
    "geometry/screw_join.py",
    "geometry/thread_brep.py",
    "geometry/thread_caps.py",
    "geometry/thread_cone.py",
    "geometry/thread_skin.py",
}
KERNEL_HOUSES = ("geometry/", "calcs/mass", "calcs/clearance", "exports/")


def imports(tree: ast.AST) -> Iterator[tuple[str, bool]]:
    """Name every module imported, and whether that happens when the module itself is imported."""
    inside: set[ast.AST] = set()
    for node in ast.walk(tree):
        deferred = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        typing_only = isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING")
        if deferred or typing_only:
            inside.update(ast.walk(node))
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute, so that a layer can be read off them"
            names = [node.module or ""]
        for name in names:
            yield name.split(".")[0], node not in inside


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_go_one_way(path: Path) -> None:
    place = path.relative_to(ROOT).as_posix()
    rank = RANK[place.split("/")[0].removesuffix(".py")]
    for package, at_start in imports(ast.parse(path.read_text(encoding="utf-8"))):
        assert RANK.get(package, rank) <= rank, f"{place} reaches up to {package}"
        if place not in KERNEL_MODULES:
            assert not (at_start and package in HEAVY), f"{place} loads {package} when it is imported"
        if package == "pint":
            assert place == "geometry/units.py"
        if package in KERNEL and path.name != "strokebox.py":
            assert place.startswith(KERNEL_HOUSES), f"{place} may not use the CAD kernel"


def test_modules_stay_short() -> None:
    long = {p.name: n for p in MODULES if (n := len(p.read_text(encoding="utf-8").splitlines())) > 400}
    assert not long

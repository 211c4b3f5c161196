"""One proof for every random build, and how many builds of each kind there are.

A build is one solid. `prove` holds that it is one valid closed solid of its closed form's volume, that it
comes back from STEP the same, and that its mesh is watertight.
"""

import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType, STEPControl_Writer
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

from geometry.meshes import mesh_faults, signed_volume

UNHURRIED = {"deadline": None, "suppress_health_check": list(HealthCheck), "derandomize": True}
# Kind of build: random designs of the default run and of the long run, and solids that each proves,
# at least and on average.
SHARES = {
    "thread": (80, 700, 1),
    "thread at length": (2, 15, 1),
    "screw": (12, 150, 2),
    "nut": (12, 200, 2),
    "motor": (45, 300, 1),
    "planetary stage": (3, 50, 3),
    "spur stage": (3, 45, 2),
    "gear": (2, 15, 5),
}


def builds(kind: str, *, long: bool) -> int:
    """Give how many builds of a kind a run proves at least."""
    short, many, each = SHARES[kind]
    return (many if long else short) * each


def prove_random(kind: str, designs, proof: Callable[..., int], *, long: bool) -> None:
    """Prove a kind's share of random designs; the proof gives how many solids it proved of one design."""
    proved = 0

    def counted(design) -> None:
        nonlocal proved
        proved += proof(design)

    settings(max_examples=SHARES[kind][1 if long else 0], **UNHURRIED)(given(designs)(counted))()
    print(f"{kind}: {proved} builds")
    assert proved >= builds(kind, long=long)


def solids_in(shape) -> int:
    found, explorer = 0, TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    while explorer.More():
        found += 1
        explorer.Next()
    return found


def kernel_volume(shape, *, refined: bool = False) -> float:
    """Integrate a solid's volume (mm3), to 1e-8 where refined.

    The plain rule takes a fixed number of points a face: where a hole crosses a shaft that is 5e-5 off.
    """
    found = GProp_GProps()
    if refined:
        BRepGProp.VolumeProperties_s(shape, found, 1e-8)
    else:
        BRepGProp.VolumeProperties_s(shape, found)
    return float(found.Mass())


def assert_sound(shape, volume_mm3: float, *, refined: bool = False) -> None:
    """Hold that a shape is one valid closed solid of a volume (mm3)."""
    assert solids_in(shape) == 1
    assert BRepCheck_Analyzer(shape).IsValid()
    sides = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_ShapeEnum.TopAbs_EDGE, TopAbs_ShapeEnum.TopAbs_FACE, sides)
    for number in range(1, sides.Extent() + 1):
        # A face on either side, a seam the same one twice; the pole of a ball is an edge of no length.
        pole = BRep_Tool.Degenerated_s(TopoDS.Edge_s(sides.FindKey(number)))
        assert sides.FindFromIndex(number).Extent() == (1 if pole else 2)
    assert kernel_volume(shape, refined=refined) == pytest.approx(volume_mm3, rel=1e-6)


def out_of_step(solid):
    """Write a solid as STEP and read it back."""
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "part.step")
        writer = STEPControl_Writer()
        writer.Transfer(solid, STEPControl_StepModelType.STEPControl_AsIs)
        assert writer.Write(path) == IFSelect_ReturnStatus.IFSelect_RetDone
        reader = STEPControl_Reader()
        assert reader.ReadFile(path) == IFSelect_ReturnStatus.IFSelect_RetDone
        reader.TransferRoots()
        return reader.OneShape()


def prove(solid, volume_mm3: float | None, mesh, *, refined: bool = False, coarse: float = 0.02) -> int:
    """Hold one build to all of this and give 1; without a closed form its volume is the kernel's own."""
    expected = kernel_volume(solid, refined=refined) if volume_mm3 is None else volume_mm3
    assert expected > 0
    assert_sound(solid, expected, refined=refined)
    assert_sound(out_of_step(solid), expected, refined=refined)
    assert mesh_faults(mesh) == ()
    assert signed_volume(mesh) == pytest.approx(expected, rel=coarse)  # chords leave a little off
    return 1

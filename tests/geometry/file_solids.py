"""Files read as solids in a folder of the test, and what is said of those that are refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from geometry.bodies import Box, FileShape, Shape
from geometry.errors import InputError
from geometry.housing import FileSolids, read_solids
from geometry.meshes import mesh_of

CUBE = mesh_of(Shape((Box((0, 0, 0), (10, 10, 10)),)))


def read(folder: Path, name: str, data: bytes, **about: Any) -> FileSolids:
    (folder / name).write_bytes(data)
    return read_solids(FileShape(name, **about), folder, tolerance_mm=0.01, field="housing.file")


def refusal(folder: Path, name: str, data: bytes, **about: Any) -> str:
    with pytest.raises(InputError) as caught:
        read(folder, name, data, **about)
    (problem,) = caught.value.problems
    assert problem.field == "housing.file"
    assert problem.message.startswith(f"{name}: ")
    assert problem.repair
    assert "Traceback" not in str(problem)
    return str(problem)

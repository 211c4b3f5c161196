"""Binary STL of a mesh (mm): no date in it, closed again once a reader merges equal corners."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from exports.files import write_bytes
from geometry.errors import KernelError
from geometry.meshes import Mesh, merged, mesh_faults

_HEADER = b"binary STL, millimetres, written by strokebox".ljust(80)  # must not begin with "solid"
_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def write_stl(path: Path, mesh: Mesh) -> tuple[str, ...]:
    """Write a mesh (mm) as binary STL; give a sentence where it does not bound a solid.

    Raises KernelError for coordinates that are not finite, InputError if the file cannot be written.
    """
    data, said = stl_bytes(mesh)
    write_bytes(path, data)
    return tuple(f"{path.name}: {sentence}" for sentence in said)


def stl_bytes(mesh: Mesh) -> tuple[bytes, tuple[str, ...]]:
    """Give the bytes of `write_stl`, and what has to be said about them.

    Corners are rounded to the single precision that STL has. A triangle that loses its area by this is left
    out: its neighbours then meet, so a closed mesh stays closed.
    """
    if not np.isfinite(mesh.vertices).all():
        raise KernelError("a mesh with coordinates that are not finite")
    rounded = merged(mesh.vertices.astype("<f4").astype(np.float64), mesh.triangles, mesh.chord_error)
    records = np.zeros(len(rounded.triangles), _RECORD)
    corners = rounded.corners
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    records["normal"] = normals / np.where(lengths > 0, lengths, 1.0)
    records["corners"] = corners
    data = _HEADER + len(records).to_bytes(4, "little") + records.tobytes()
    return data, tuple(f"not a closed solid: {fault}" for fault in mesh_faults(rounded))

"""STL bytes -> a guarded surface in mm. Nothing is scaled, mended or dropped without a word."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.errors import KernelError, ShapeError
from geometry.meshes import Mesh, component_of_vertices, manifold_of, merged, signed_volume

FARTHEST = 1e6  # mm; beyond it single precision steps by more than 0.06 mm and closed surfaces fall open
_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_SURFACE_ONLY = "inside and outside cannot be decided: distance to the surface only, containment NOT CHECKED"
_TOUCHING = 1e-6  # of the smaller body's volume: less than this in common is touching, not overlapping


@dataclass(frozen=True)
class Surface:
    """What an STL holds: the mesh (mm), its volume (mm3; None if undecided), and what is to be said of it."""

    mesh: Mesh
    volume: float | None
    notes: tuple[str, ...]
    not_checked: tuple[str, ...]


def read_stl(data: bytes, millimetres: float, surface_only: bool) -> Surface:
    """Read a binary or ASCII STL whose unit is so many millimetres; ShapeError says what cannot be used.

    The facets are taken as the true surface (chord error 0): an STL does not say what it was made from.
    """
    corners = _corners(data).astype(np.float64) * millimetres
    if not len(corners):
        raise ShapeError("0 triangles", "export the body again and look at the file's size")
    _refuse_not_finite(corners)
    _refuse_far(corners)
    triangles = np.arange(3 * len(corners)).reshape(-1, 3)
    mesh = merged(corners.reshape(-1, 3), triangles, 0.0)
    notes = ["the facets are taken as the true surface: an STL does not tell how far they lie from it"]
    collapsed = len(corners) - len(mesh.triangles)
    if collapsed:
        notes.append(f"{collapsed} triangles without area left out: two of their corners are one point")
    if surface_only:
        return Surface(mesh, None, tuple(notes), ("declared surface_only: containment NOT CHECKED",))
    fault = _edge_fault(mesh)
    if fault:
        return Surface(mesh, None, tuple(notes), (f"{fault}; {_SURFACE_ONLY}",))
    return Surface(mesh, signed_volume(mesh), tuple(notes), _refuse_tangled(mesh))


def _corners(data: bytes) -> NDArray[Any]:
    """Give the triangles' corners as written, (n, 3, 3), in the file's own unit."""
    count = int.from_bytes(data[80:84], "little") if len(data) >= 84 else 0
    if len(data) >= 84 and len(data) == 84 + 50 * count:
        return np.asarray(np.frombuffer(data, _RECORD, count, 84)["corners"])
    if data.lstrip()[:5].lower() == b"solid" and (b"facet" in data[:4096] or b"endsolid" in data[:4096]):
        return _ascii_corners(data)
    if len(data) < 84:
        raise ShapeError(f"{len(data)} bytes are no STL", "export the body again as STL")
    raise ShapeError(
        f"truncated or damaged: the {count} triangles announced need {84 + 50 * count} bytes, "
        f"the file has {len(data)}",
        "copy or export the file again",
    )


def _ascii_corners(data: bytes) -> NDArray[np.float64]:
    """Read the vertex lines of an ASCII STL."""
    rows, facets, last = [], 0, ""
    for number, line in enumerate(data.decode("ascii", "replace").splitlines(), 1):
        words = line.split()
        last = words[0].lower() if words else last
        facets += last == "facet" and bool(words)
        if not words or last != "vertex":
            continue
        try:
            x, y, z = (float(word) for word in words[1:])
        except ValueError:
            raise ShapeError(
                f"line {number}: {line.strip()!r} is no vertex", "export the body again"
            ) from None
        rows.append((x, y, z))
    if last != "endsolid" or len(rows) != 3 * facets:
        raise ShapeError(
            f"truncated or damaged: {facets} facets need {3 * facets} vertices, the file has {len(rows)}, "
            f"and its last line says {last!r}",
            "copy or export the file again",
        )
    return np.array(rows, np.float64).reshape(-1, 3, 3)


def _refuse_not_finite(corners: NDArray[np.float64]) -> None:
    bad = np.flatnonzero(~np.isfinite(corners).all(axis=(1, 2)))
    if len(bad):
        raise ShapeError(
            f"{len(bad)} of {len(corners)} triangles have coordinates that are not numbers, "
            f"the first is triangle {bad[0] + 1}",
            "repair the body in the program that made it and export it again",
        )


def _refuse_far(corners: NDArray[np.float64]) -> None:
    far = float(np.abs(corners).max())
    if far > FARTHEST:
        step = float(np.spacing(np.float32(far)))
        raise ShapeError(
            f"lies {far:.4g} mm from its origin, where the file's single precision steps by {step:.2g} mm",
            "export it with the origin close to the body (within 1e6 mm)",
        )


def _edge_fault(mesh: Mesh) -> str:
    """Say how the surface fails to be closed and turned one way; empty if it is both."""
    directed = np.concatenate([mesh.triangles[:, pair] for pair in ([0, 1], [1, 2], [2, 0])])
    edges, inverse = np.unique(np.sort(directed, axis=1), axis=0, return_inverse=True)
    inverse = inverse.ravel()
    uses = np.bincount(inverse)
    forward = np.bincount(inverse, weights=directed[:, 0] < directed[:, 1])
    if (2 * forward == uses).all():
        return ""
    lengths = np.linalg.norm(mesh.vertices[edges[:, 1]] - mesh.vertices[edges[:, 0]], axis=1)
    faults = []
    for words, wrong in (
        ("free edges: the surface is not closed", uses == 1),
        ("edges whose two triangles face opposite ways", (uses == 2) & (forward != 1)),
        ("edges with more than two triangles", (uses > 2) & (2 * forward != uses)),
    ):
        if wrong.any():
            worst = int(np.where(wrong, lengths, -1.0).argmax())
            x, y, z = mesh.vertices[edges[worst]].mean(axis=0)
            faults.append(
                f"{wrong.sum()} {words} (longest {lengths[worst]:.3f} mm at {x:.3f}, {y:.3f}, {z:.3f})"
            )
    return "; ".join(faults)


def _refuse_tangled(mesh: Mesh) -> tuple[str, ...]:
    """Refuse bodies that overlap, that are inside out, or that are cavities turned the wrong way.

    Each connected piece of surface counts the bodies around it: 0 around a body's outside, 1 around a cavity.
    Pieces that cross are told by the volume they share (manifold3d). Returns what could not be decided.
    """
    pieces = _pieces(mesh)
    volumes = [signed_volume(piece) for piece in pieces]
    around = np.zeros(len(pieces))
    if len(pieces) > 1:
        try:
            for inner, outer in _nested(pieces, volumes):
                around[inner] += np.sign(volumes[outer])
        except KernelError as failure:
            return (f"whether its {len(pieces)} bodies overlap: NOT CHECKED ({failure})",)
    for piece, volume, outside in zip(pieces, volumes, around, strict=True):
        x, y, z = piece.vertices.mean(axis=0)
        place = f"around {x:.3f}, {y:.3f}, {z:.3f} mm"
        if volume <= 0 and outside == 0:
            raise ShapeError(
                f"inside out: the body {place} has the volume {volume:.6g} mm3",
                "flip its normals and export it again",
            )
        if volume > 0 and outside == 1:
            raise ShapeError(
                f"the body {place} ({volume:.6g} mm3) lies inside another body, so their volume counts twice",
                "unite the bodies, or flip the inner shell if it is a cavity",
            )
        if outside not in (0, 1):
            raise ShapeError(
                f"the body {place} lies inside {outside:.0f} others", "unite the bodies and export them again"
            )
    return ()


def _pieces(mesh: Mesh) -> list[Mesh]:
    """Split a mesh into its connected surfaces."""
    label = component_of_vertices(mesh)[mesh.triangles[:, 0]]
    found = []
    for number in np.unique(label):
        used, triangles = np.unique(mesh.triangles[label == number], return_inverse=True)
        found.append(Mesh(mesh.vertices[used], triangles.reshape(-1, 3).astype(np.int32), mesh.chord_error))
    return found


def _nested(pieces: list[Mesh], volumes: list[float]) -> list[tuple[int, int]]:
    """Give the pairs (inner, outer) of surfaces of which one lies in the other; refuse those that cross."""
    lows, highs = (np.array(ends) for ends in zip(*(piece.bounds for piece in pieces), strict=True))
    meet = ((lows[:, None] < highs[None]) & (lows[None] < highs[:, None])).all(axis=2)
    solids: dict[int, Any] = {}
    found = []
    for first, second in zip(*np.nonzero(np.triu(meet, 1)), strict=True):
        for index in (first, second):
            if index not in solids:
                piece = pieces[index]
                turned = piece.triangles if volumes[index] > 0 else piece.triangles[:, ::-1]
                solids[index] = manifold_of(Mesh(piece.vertices, turned, 0.0))
        common = solids[first] ^ solids[second]
        inner, outer = sorted((int(first), int(second)), key=lambda index: abs(volumes[index]))
        share = common.volume() / abs(volumes[inner])
        if share > 1 - _TOUCHING:
            found.append((inner, outer))
        elif share > _TOUCHING:
            low, high = np.array(common.bounding_box()).reshape(2, 3)
            x, y, z = (low + high) / 2
            raise ShapeError(
                f"two bodies overlap by {common.volume():.6g} mm3 around {x:.3f}, {y:.3f}, {z:.3f} mm, "
                "so their common volume counts twice",
                "unite the bodies and export them again",
            )
    return found

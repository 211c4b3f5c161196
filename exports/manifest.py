"""manifest.json: every file of a run with its kind, size and sha256, and what it was made from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from exports.files import MANIFEST, write_text
from geometry.errors import KernelError


@dataclass(frozen=True)
class Made:
    """One file of the run: its path in the folder, its kind (step, stl, ...) and what it was made from.

    `chord_error` (mm) bounds the distance of a mesh from the true surface; None for what is no mesh.
    """

    file: str
    kind: str
    made_from: tuple[str, ...]
    chord_error: float | None = None
    notes: tuple[str, ...] = ()


def write_manifest(folder: Path, head: Mapping[str, Any], made: Iterable[Made]) -> None:
    """Write the manifest of a folder's files under the documents' head (tool, version, design with sha256).

    Raises KernelError where the folder's files and the given records differ, or two records name one file.
    """
    records = sorted(made, key=lambda record: record.file)
    listed = [record.file for record in records]
    paths = (path for path in folder.rglob("*") if path.is_file())
    there = sorted({path.relative_to(folder).as_posix() for path in paths} - {MANIFEST})
    if listed != there:
        odd = sorted(set(listed) ^ set(there)) or [name for name in there if listed.count(name) > 1]
        raise KernelError(f"the manifest and the folder differ: {', '.join(odd)}")
    document = {**head, "files": [_entry(folder, record) for record in records]}
    write_text(folder / MANIFEST, json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def listed_files(folder: Path) -> tuple[str, ...]:
    """Give the files that a folder's manifest lists and that are there; nothing where it cannot be read."""
    try:
        document = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        names = [str(entry["file"]) for entry in document["files"]]
    except (OSError, ValueError, KeyError, TypeError):
        return ()
    return tuple(sorted(name for name in names if (folder / name).is_file()))


def _entry(folder: Path, record: Made) -> dict[str, Any]:
    data = (folder / record.file).read_bytes()
    return {
        "file": record.file,
        "kind": record.kind,
        "size": len(data),
        "sha256": hashlib.sha256(data).hexdigest(),
        "made_from": list(record.made_from),
        "chord_error": record.chord_error,
        "notes": list(record.notes),
    }

"""The demo project: three designs of one invented vial lift, their housing as STEP, and a README."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from geometry.bodies import Shape
from geometry.errors import InputError, Problem

FIRST = "vial-lift.toml"
HOUSING = "housing.step"
LOW_FLOOR, HIGH_FLOOR = "-74", "-66"


def demo_texts() -> dict[str, str]:
    """Give the demo's files by name; the two designs that fail differ from the first as shown here."""
    folder = files(__package__)
    first = (folder / FIRST).read_text(encoding="utf-8")
    return {
        FIRST: first,
        "vial-lift-short.toml": _changed(
            first,
            ("(case A')", "(case A: the floor is 8 mm too high for the cable)"),
            ("Vial lift, floor at -74", "Vial lift, floor at -66"),
            ("VL-100", "VL-101"),
            ("-74..118 mm", "-66..118 mm"),
            ("-74..24 mm", "-66..24 mm"),
            ("-78..-74 mm", "-70..-66 mm"),
        ),
        "vial-lift-rib.toml": _changed(
            first,
            ("(case A')", "(case A-rib: a rib of the housing reaches into the flag's way)"),
            ("Vial lift, floor at -74", "Vial lift, long rib"),
            ("VL-100", "VL-102"),
            ("-20..-18.7 mm", "-20..-17.6 mm"),
        ),
        "README.md": (folder / "README.md").read_text(encoding="utf-8"),
    }


def _changed(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        if old not in text:
            raise AssertionError(f"the demo's first design no longer says {old!r}")
        text = text.replace(old, new)
    return text


def housing_step() -> bytes:
    """Make the housing of the first design as STEP (mm), each wall a named solid."""
    from exports.step import Node, step_bytes
    from geometry.design import read_text
    from geometry.design_bodies import shape_of
    from geometry.solids import solid_of
    from geometry.stack import ROLE_COLOURS

    design = read_text(demo_texts()[FIRST], FIRST)
    walls = tuple(
        Node(body.name, solid_of(shape, body.name), colour=ROLE_COLOURS[body.role])
        for body in design.housing.body
        if isinstance(shape := shape_of(body), Shape)  # the demo's walls are boxes
    )
    data, _ = step_bytes(
        Node("housing", children=walls), title="Vial lift housing", date=design.document.date or ""
    )
    return data


def write_demo(folder: Path) -> Path:
    """Write the demo project into a folder and return its first design.

    Raises InputError when a file of that name has other contents: an edited file is never overwritten.
    """
    from exports.files import write_bytes

    contents = {name: text.encode() for name, text in demo_texts().items()} | {HOUSING: housing_step()}
    edited = [
        folder / name
        for name, content in contents.items()
        if (folder / name).exists() and (folder / name).read_bytes() != content
    ]
    if edited:
        raise InputError(
            *(
                Problem("is there and differs from the demo's", "give another folder", file=str(path))
                for path in edited
            )
        )
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in contents.items():
        write_bytes(folder / name, content)
    return folder / FIRST

"""README's table of thread families, made from their files: `python -m exports.family_table README.md`."""

from __future__ import annotations

import re
import sys
from pathlib import Path

from geometry.threads import Family, families

BEGIN, END = "<!-- thread families -->", "<!-- end of thread families -->"


def family_table() -> str:
    """Give the families of geometry/standards as a table in Markdown, a row each. No source needed."""
    rows = [
        "| thread family | written like | sizes | half flank angles | limits in | source |",
        "|---|---|---|---|---|---|",
        *(_row(known) for known in families()),
    ]
    return "\n".join(rows)


def _row(known: Family) -> str:
    several = known.multi_start and f", `{_several(known)}`"
    first, second = known.flank_angles_deg
    angles = f"{first:g}°" if first == second else f"{first:g}° and {second:g}°"
    if known.groove is not None:
        angles = f"contact at {known.groove.contact_angle_deg:g}°"
    sizes = "any" if known.free_sizes else str(len(known.sizes))
    classes = ", ".join(known.classes) or "-"
    return f"| {known.name} | `{known.example}`{several} | {sizes} | {angles} | {classes} | {known.source} |"


def _several(known: Family) -> str:
    """The example's size with two starts."""
    size = next((size for size in known.sizes if size.designation == known.example), known.sizes[0])
    pitch = size.pitch_mm / known.scale_mm
    return known.multi_start.format(size=size.name, pitch=f"{pitch:.4g}", lead=f"{2 * pitch:.4g}")


def with_table(readme: str) -> str:
    """Give a README's text with the table between its two markers as it is now. No source needed.

    Raises ValueError where the markers are missing.
    """
    if BEGIN not in readme or END not in readme:
        raise ValueError(f"the text has no {BEGIN} and {END}")
    pattern = re.compile(f"{re.escape(BEGIN)}.*{re.escape(END)}", re.DOTALL)
    return pattern.sub(lambda _: f"{BEGIN}\n{family_table()}\n{END}", readme)


if __name__ == "__main__":
    path = Path(sys.argv[1])
    path.write_text(with_table(path.read_text(encoding="utf-8")), encoding="utf-8")

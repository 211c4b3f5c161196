"""The parts as CSV: what each is in trade words and made of, its true mass and centre; the whole first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from exports.tables import csv_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calcs.checks.mass import Weighed
    from geometry.design import Design
    from geometry.placed import Placement

COLUMNS = (
    "part",
    "group",
    "material",
    "mass_g",
    "centre_x_mm",
    "centre_y_mm",
    "centre_z_mm",
    "from",
    "lacks",
    "description",
)


def parts_csv(design: Design, placement: Placement, weighed: Sequence[Weighed]) -> str:
    """Write the actuator in one row, then one a part of it and of what it moves, at s = 0.

    Real threads count in the mass.
    """
    from exports.assembly import group_of, prefix
    from geometry.stack_words import stack_parts, stack_sentence

    bodies = {placed.body.name: placed.body for placed in placement.bodies}
    words = stack_parts(design)
    rows: list[list[object]] = [[prefix(design), *[None] * 6, "design file", None, stack_sentence(design)]]
    for part in weighed:
        body, known = bodies.get(part.name), part.properties
        mass = None if known is None else round(known.mass_kg * 1e3, 6)
        centre = [None] * 3 if known is None else [round(float(c) * 1e3, 6) for c in known.centre_m]
        own = [None, None] if body is None else [group_of(body), body.material]
        source = None if body is None else body.source
        said = words.get(part.name) if body is None or body.part_of_actuator else None
        rows.append([part.name, *own, mass, *centre, source, part.lacks, said])
    return csv_text(COLUMNS, rows)

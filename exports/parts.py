"""The parts as CSV: what each is made of, its true mass and centre."""

from __future__ import annotations

from typing import TYPE_CHECKING

from exports.tables import csv_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calcs.checks.mass import Weighed
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
)


def parts_csv(placement: Placement, weighed: Sequence[Weighed]) -> str:
    """Write one row a part of the actuator and of what it moves, at s = 0; real threads count in the mass."""
    from exports.assembly import group_of

    bodies = {placed.body.name: placed.body for placed in placement.bodies}
    rows = []
    for part in weighed:
        body, known = bodies[part.name], part.properties
        mass = None if known is None else round(known.mass_kg * 1e3, 6)
        centre = [None] * 3 if known is None else [round(float(c) * 1e3, 6) for c in known.centre_m]
        rows.append([part.name, group_of(body), body.material, mass, *centre, body.source, part.lacks])
    return csv_text(COLUMNS, rows)

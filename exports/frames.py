"""The named frames as CSV: where other designs may mate, origin in mm and axes, at s = 0."""

from __future__ import annotations

from typing import TYPE_CHECKING

from exports.tables import csv_text
from geometry.frames import frames_of

if TYPE_CHECKING:
    from geometry.design import Design

COLUMNS = (
    "frame", "moves", "origin_x_mm", "origin_y_mm", "origin_z_mm", "x_axis_x", "x_axis_y", "x_axis_z",
    "y_axis_x", "y_axis_y", "y_axis_z", "z_axis_x", "z_axis_y", "z_axis_z",
)  # fmt: skip


def frames_csv(design: Design) -> str:
    """Write one row a frame whose place the design tells; what moves stands as at s = 0."""
    rows = (
        (
            frame.name,
            "yes" if frame.moves else "no",
            *(round(value, 6) for value in frame.origin),
            *(value for axis in frame.axes for value in axis),
        )
        for frame in frames_of(design)
    )
    return csv_text(COLUMNS, rows)

"""What a printer can do: finest thread, allowances, bed (mm). Common practice, no source; guides differ."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from geometry.bodies import Point
from geometry.errors import ShapeError

Process = Literal["FDM", "SLA", "SLS"]

_PITCH_IN_NOZZLES = 5.0  # a pitch of 2.0 is reliable with the usual nozzle of 0.4
_PITCH = {"SLA": 0.5, "SLS": 1.0}
_HOLE = {
    "FDM": 0.3,
    "SLA": 0.1,
    "SLS": 0.2,
}  # printed holes come out 0.1 to 0.2 small in FDM, less in the others
_CLEARANCE = {"FDM": 0.4, "SLA": 0.25, "SLS": 0.4}
_ACCURACY = {"FDM": 0.2, "SLA": 0.1, "SLS": 0.2}
_BED: Point = (200.0, 200.0, 200.0)


@dataclass(frozen=True)
class PrintFit:
    """Finest thread pitch, what is added to hole diameters, clearance on diameters, accuracy, bed (mm)."""

    process: Process
    pitch: float
    hole: float
    clearance: float
    accuracy: float
    bed: Point


def print_fit(
    process: Process, nozzle: float = 0.4, clearance: float | None = None, bed: Point | None = None
) -> PrintFit:
    """Give the allowances of a process; `clearance` (on the diameter) and `bed` replace the usual ones (mm).

    The finest pitch is 5 nozzle widths for FDM, 0.5 for SLA, 1.0 for SLS. Raises ShapeError for a process
    that is not known. Source: common practice, no source.
    """
    if process not in _HOLE:
        raise ShapeError(f"print process {process!r}", "write FDM, SLA or SLS", "print.process")
    return PrintFit(
        process,
        _PITCH.get(process, _PITCH_IN_NOZZLES * nozzle),
        _HOLE[process],
        _CLEARANCE[process] if clearance is None else clearance,
        _ACCURACY[process],
        bed or _BED,
    )

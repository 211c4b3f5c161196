"""A gear or ring where it stands: its teeth, its span along z, its bore or outside (mm)."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.errors import ShapeError
from geometry.gear_teeth import GearTeeth, check_teeth

RIM = 1.0  # modules of ring behind the tooth roots, and of gear around a bore, at least


@dataclass(frozen=True, eq=False)
class Toothed:
    """A gear, or a ring when its teeth are internal, along z over its span with its centre at x, y (mm).

    `round_diameter` is the gear's bore (0 for none) or the ring's outside; a tooth stands at the angle `turn`
    (rad).
    """

    teeth: GearTeeth
    span: tuple[float, float]
    round_diameter: float = 0.0
    turn: float = 0.0
    x: float = 0.0
    y: float = 0.0

    @property
    def width(self) -> float:
        """Face width (mm)."""
        return self.span[1] - self.span[0]


def check_blank(gear: GearTeeth, width: float, round_diameter: float) -> None:
    """Raise ShapeError for teeth that cannot be made, no width, or no rim beside the roots (mm)."""
    check_teeth(gear, "ring" if gear.internal else "gear")
    if not width > 0.0:
        raise ShapeError(f"a face width of {width:g} mm", "write a width above 0", "width")
    if gear.internal:
        _refuse_thin_ring(gear, round_diameter)
        return
    widest = 2.0 * gear.root_radius - RIM * gear.module
    if round_diameter > widest:
        raise ShapeError(
            f"a bore of {round_diameter:g} mm leaves no rim under the roots at {2 * gear.root_radius:.4g} mm",
            f"write a bore of {widest:.4g} mm or less",
            "bore",
        )


def _refuse_thin_ring(ring: GearTeeth, outer_diameter: float) -> None:
    least = 2.0 * (ring.root_radius + RIM * ring.module)
    if outer_diameter < least * (1.0 - 1e-9):
        raise ShapeError(
            f"an outer diameter of {outer_diameter:g} mm leaves no rim behind the roots at "
            f"{2 * ring.root_radius:.4g} mm",
            f"write {least:.4g} mm or more",
            "outer_diameter",
        )

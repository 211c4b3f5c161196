"""strokebox: from one design file to the solids, numbers and fit verdict of a small screw actuator.

The front door. Everything public is here; what is heavy is imported when it is used.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    import cadquery
    import trimesh

    from calcs.check_design import CheckReport
    from calcs.fit import FitReport
    from exports.console import Progress
    from exports.make import MakeReport
    from geometry.design import Design
    from geometry.gear_stack import StackAnswer
    from geometry.gears import PlanetaryAnswer
    from geometry.threads import Thread

__all__ = [
    "Q",
    "build",
    "check",
    "fit",
    "gear_stack",
    "make",
    "planetary",
    "read",
    "thread",
    "thread_mesh",
    "thread_solid",
]


def read(path: str | Path) -> Design:
    """Read a design file (lengths in mm). Raises InputError with every problem of the file."""
    from calcs.check_ids import read_design

    return read_design(Path(path))


def check(design: Design | str | Path, *, flips: bool = False) -> CheckReport:
    """Run every check on a design: results with value, limit, margin, verdict and source. No CAD kernel.

    flips: look for what would flip each verdict, also of rows that pass. Raises InputError when the file
    cannot be used.
    """
    from calcs.check_design import check_design

    return check_design(_design(design), flips=flips)


def fit(design: Design | str | Path, *, progress: Progress | None = None) -> FitReport:
    """Find the clearances over the whole travel, hard stop to hard stop (mm).

    Raises InputError when the file, or a file that it names, cannot be used.
    """
    from calcs.fit_design import fit_design

    return fit_design(_design(design), progress=progress)


def make(
    design: Design | str | Path,
    folder: str | Path,
    *,
    only: tuple[str, ...] = (),
    with_housing: bool = False,
    progress: Progress | None = None,
) -> MakeReport:
    """Write solids, meshes, mock-up and results into a folder, whole files or none.

    `only` keeps some of the kinds of exports.make.KINDS. Raises InputError as `fit` does.
    """
    from exports.make import make_files

    return make_files(_design(design), Path(folder), only=only, with_housing=with_housing, progress=progress)


def build(
    design: Design | str | Path, *, detailed: bool = False, with_housing: bool = False
) -> cadquery.Assembly:
    """Build the placed assembly as a cadquery Assembly (mm), the nut at s = 0."""
    from exports.assembly import cadquery_assembly

    return cadquery_assembly(_design(design), detailed=detailed, with_housing=with_housing)


def thread(designation: str) -> Thread:
    """Look a thread up by its designation, such as "M3", "Tr8x1.5" or "Tr8x8(P2) LH" (mm).

    Raises InputError with the nearest sizes when no standard here has it.
    """
    from geometry.threads import thread as look_up

    return look_up(designation)


def thread_solid(
    designation: str,
    length_mm: float,
    *,
    ends: Literal["plain", "chamfered"] = "plain",
    tolerance_class: str = "",
    size: Literal["nominal", "maximum-material", "minimum-material"] = "nominal",
) -> cadquery.Solid:
    """Build an external thread as one exact solid from z = 0 to length_mm, nominal or at a limit of a class.

    Raises InputError for an unknown designation or class, ShapeError for a length that makes no rod.
    """
    from geometry.thread_solid import thread_solid as build_solid

    return build_solid(designation, length_mm, ends=ends, tolerance_class=tolerance_class, size=size)


def thread_mesh(designation: str, length_mm: float, *, tolerance_mm: float) -> trimesh.Trimesh:
    """Mesh an external thread, watertight and within tolerance_mm of the true surface. Raises ShapeError."""
    from geometry.thread_mesh import thread_mesh as build_mesh

    return build_mesh(designation, length_mm, tolerance_mm=tolerance_mm)


def planetary(ratio: float, planets: int = 3, **limits: Any) -> PlanetaryAnswer:
    """Solve a planetary stage, ring fixed: tooth numbers that give the ratio, and why others were refused."""
    from geometry.gears import planetary as solve

    return solve(ratio, planets, **limits)


def gear_stack(
    ratio: float, diameter_mm: float, *, torque_nmm: float | None = None, most_stages: int = 3, **wanted: Any
) -> StackAnswer:
    """List planetary stacks that give a ratio in a diameter (mm) at an output torque (N mm), or say why none.

    Further limits are the fields of geometry.gear_stack.Wanted. Raises InputError.
    """
    from geometry.gear_stack import Wanted, solve_stack

    return solve_stack(Wanted(diameter_mm, ratio, torque=torque_nmm, **wanted), most_stages=most_stages)


def Q(text: str) -> Any:  # noqa: N802 - the customary short name for a quantity at a prompt
    """Read a quantity such as "25 mm/s" at a prompt; gives a pint quantity. Raises InputError."""
    from geometry.units import Q as read_quantity  # noqa: N811 - as above

    return read_quantity(text)


def command() -> None:
    """Run the command line (the console script)."""
    import gc
    import os

    gc.disable()  # collecting what the imports left takes a twelfth of a check; long commands turn it on
    # pydantic would search every installed package for plugins: a twentieth of the time of a check.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from exports.command import run

    run()


def _design(design: Design | str | Path) -> Design:
    return read(design) if isinstance(design, str | Path) else design


if __name__ == "__main__":
    command()

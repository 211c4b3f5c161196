"""Gear stages one by one: torque limits, bending and contact pressure of the teeth."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from calcs.check import check, derived
from calcs.checks.gearing import BOUGHT, DIRECT
from calcs.checks.stop_drive import Hit
from calcs.finding import Finding, at_most, digits, info, not_checked
from calcs.formulas import gearing, teeth
from calcs.materials import material
from geometry.design_gears import Spur
from geometry.units import Band

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from geometry.design_gears import Stage

POISSON = 0.3  # of steel; any text on strength of materials
SHARED = "planets that share equally: common practice, no source"
STAGES = "conservation of power through the stages, the loss spread evenly"


class StageLoad(NamedTuple):
    """One stage, counted from the motor: torque of its output, carrier or wheel, and of its input (N*m)."""

    number: int
    stage: Stage | Spur
    working_nm: float
    highest_nm: float
    highest_input_nm: float

    def __str__(self) -> str:
        """Give the stage in a line for the report."""
        return f"stage {self.number}: {digits(self.working_nm * 1e3)}, {digits(self.highest_nm * 1e3)} mN*m"


@derived()
def stage_loads(
    raising_torque_nm: Band,
    gear_efficiency: Band,
    stages: tuple[Stage, ...] = (),
    spur: Spur | None = None,
    impact_corners: tuple[Hit, ...] = (),
) -> tuple[StageLoad, ...] | None:
    """Torque at every stage: of the work at the worst friction, and the highest with the impact at a stop."""
    both: tuple[Stage | Spur, ...] = (*stages, spur) if spur else stages
    if not both:
        return None
    working = raising_torque_nm.high
    highest = max([working, *(corner.torque_nm for corner in impact_corners)])
    each = gear_efficiency.low ** (1.0 / len(both))  # what is lost has to be driven too
    found = []
    for number in range(len(both), 0, -1):
        stage = both[number - 1]
        driving = float(gearing.input_torque_nm(highest, stage.ratio, each))
        found.append(StageLoad(number, stage, working, highest, driving))
        working, highest = float(gearing.input_torque_nm(working, stage.ratio, each)), driving
    return tuple(reversed(found))


def _worst(
    loads: tuple[StageLoad, ...],
    torque: Callable[[StageLoad], float],
    allowed: Callable[[Stage | Spur], float | None],
) -> Finding | None:
    """Hold every stage with a limit of its own against it; the worst decides."""
    shares = [
        (torque(load) / most, load.number, torque(load), most)
        for load in loads
        if (most := allowed(load.stage)) is not None
    ]
    if not shares:
        return None
    share, number, value, most = max(shares)
    note = f"stage {number} of {len(loads)}: {digits(value * 1e3)} of {digits(most * 1e3)} mN*m"
    return at_most(share, 1.0, note=note, remedy=f"a stage {number} for {digits(value * 1e3)} mN*m")


def _section(loads: Iterable[StageLoad]) -> str:
    """Where the design gives these stages."""
    return "gears.spur" if all(isinstance(load.stage, Spur) for load in loads) else "gears.stage"


def _open(has_gears: bool, loads: tuple[StageLoad, ...], field: str) -> Finding:
    if not has_gears:
        return info(None, DIRECT)
    lacking = f"{_section(loads) if loads else 'gears.stage'}.{field}"
    return not_checked(f"needs {lacking}", f"give {lacking}", asked=False)


@check(
    "gearing.stage_torque",
    formula="T_k = T / (product of i eta of the stages behind) / T_limit",
    source=f"{STAGES}; the stages' own limits",
)
def stage_torque(has_gears: bool, stage_loads: tuple[StageLoad, ...] = ()) -> Finding:
    """Torque of the work at every stage, over what the stage bears always."""
    found = _worst(stage_loads, lambda load: load.working_nm, lambda stage: stage.torque_continuous)
    return found or _open(has_gears, stage_loads, "torque_continuous")


@check(
    "gearing.stage_torque_peak",
    formula="T_k = T / (product of i eta of the stages behind) / T_limit",
    source=f"{STAGES}; the stages' own limits",
)
def stage_torque_peak(has_gears: bool, stage_loads: tuple[StageLoad, ...] = ()) -> Finding:
    """Highest torque at every stage, over what the stage bears for a moment."""
    found = _worst(stage_loads, lambda load: load.highest_nm, lambda stage: stage.torque_momentary)
    return found or _open(has_gears, stage_loads, "torque_momentary")


def _sized(loads: tuple[StageLoad, ...]) -> list[tuple[StageLoad, float, float]]:
    """Give the stages with module and width (m)."""
    return [
        (load, load.stage.module / 1e3, load.stage.width / 1e3)
        for load in loads
        if load.stage.module is not None and load.stage.width is not None
    ]


def _force_n(load: StageLoad, module_m: float) -> float:
    """Force on a tooth of what drives the stage under its highest torque (N)."""
    driving, _, sharing = load.stage.mesh
    return float(teeth.tooth_force_n(load.highest_input_nm, module_m * driving, sharing))


def _tooth_row(
    has_gears: bool,
    loads: tuple[StageLoad, ...],
    limit: float | None,
    stress: Callable[[StageLoad, float, float], float],
    words: str,
) -> Finding:
    if not loads:
        return info(None, BOUGHT if has_gears else DIRECT)
    sized = _sized(loads)
    if len(sized) < len(loads):
        known = [load for load, *_ in sized]
        spur = _section(load for load in loads if load not in known) == "gears.spur"
        lacking = "gears.spur.width" if spur else "gears.stage.module and gears.stage.width"
        return not_checked(f"needs {lacking}", f"give {lacking}", asked=limit is not None)
    worst, value = max(((load, stress(load, m, b)) for load, m, b in sized), key=lambda found: found[1])
    note = f"stage {worst.number} under {digits(worst.highest_nm * 1e3)} mN*m; {words}"
    if limit is None:
        return info(value, f"{note}; no limit is given")
    remedy = "a larger module or face width" + (
        ", or a softer stop" if worst.highest_nm > worst.working_nm else ""
    )
    return at_most(value, limit, note=note, remedy=remedy)


@check(
    "gearing.tooth_bending",
    unit="Pa",
    shown="MPa",
    formula="sigma = F / (b m Y), F = 2 T / (N d) of what drives, sun or pinion",
    source=f"Lewis: Shigley 9e, eq. 14-2 and table 14-2 (from memory); {SHARED}",
    limit="tooth_strength_pa",
    asked_by=("gears.tooth_strength",),
)
def tooth_bending(
    has_gears: bool, stage_loads: tuple[StageLoad, ...] = (), limit: float | None = None
) -> Finding:
    """Bending of the teeth, of sun and planets or pinion and wheel, under the highest torque."""

    def stress(load: StageLoad, module_m: float, width_m: float) -> float:
        driving, driven, _ = load.stage.mesh
        weakest = teeth.lewis_factor(float(min(driving, driven)))
        return float(teeth.lewis_bending_pa(_force_n(load, module_m), width_m, module_m, weakest))

    words = "unshifted teeth (12 at the least); planets bend both ways: allow 0.7 of a one-way strength"
    return _tooth_row(has_gears, stage_loads, limit, stress, words)


@check(
    "gearing.tooth_pressure",
    unit="Pa",
    shown="MPa",
    formula="p = Z_H sqrt(E / (2 pi (1 - nu^2)) F (u + 1) / (b d1 u))",
    source=f"Hertz; ISO 6336-2 without K factors (from memory); {SHARED}",
    limit="tooth_pressure_pa",
    asked_by=("gears.tooth_pressure",),
)
def tooth_pressure(
    has_gears: bool, stage_loads: tuple[StageLoad, ...] = (), limit: float | None = None
) -> Finding:
    """Contact pressure between sun and planets, or pinion and wheel, under the highest torque."""
    steel = material("steel")
    assert steel is not None  # materials.toml has it
    modulus = steel.elastic_modulus_pa

    def stress(load: StageLoad, module_m: float, width_m: float) -> float:
        driving, driven, _ = load.stage.mesh
        small, large = sorted((driving, driven))
        angle = math.radians(load.stage.pressure_angle)
        mesh = (width_m, module_m * small, large / small, angle, modulus, POISSON)
        return float(teeth.contact_pressure_pa(_force_n(load, module_m), *mesh))

    return _tooth_row(has_gears, stage_loads, limit, stress, "steel on steel, at the pitch point")

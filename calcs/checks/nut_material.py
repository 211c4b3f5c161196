"""What published tables allow the nut's material: pressure, pv, speed, temperature."""

from __future__ import annotations

from calcs.check import check, derived
from calcs.finding import Finding, at_most, digits
from calcs.formulas import nut
from calcs.materials import Sliding, material
from geometry.units import Band

TABLES = "the material's table (strokebox known materials); tables differ by 2 to 4 times"
ROOM_C = 20.0


@derived("nut.material")
def sliding_limits(nut_material: str) -> Sliding | None:
    """What published tables allow the nut's material as a bearing."""
    known = material(nut_material)
    return None if known is None else known.sliding


@derived()
def allowed_pressure_pa(sliding_limits: Sliding, hottest_ambient_c: float = ROOM_C) -> Band:
    """Published pressure of the material (Pa), of a plastic falling straight to none at its hottest."""
    low, high = sliding_limits.pressure_pa
    share = 1.0
    if sliding_limits.softens and hottest_ambient_c > ROOM_C:
        room = sliding_limits.hottest_c - ROOM_C
        share = max(1.0 - (hottest_ambient_c - ROOM_C) / room, 0.0)
    return Band(low * share, (low + high) / 2.0 * share, high * share)


@check(
    "life.material_pressure",
    unless="no_sliding",
    unit="Pa",
    shown="MPa",
    formula="p = F / (pi d2 H1 z f) <= p_table (T_max - T) / (T_max - 20) of plastics",
    source=f"{TABLES}; falling straight with temperature: common practice, no source",
)
def material_pressure(
    nut_pressure_pa: float, allowed_pressure_pa: Band, sliding_limits: Sliding, limit: float | None = None
) -> Finding:
    """Pressure on the nut against its material's table, low and high."""
    low, high = (allowed_pressure_pa.low, allowed_pressure_pa.high) if limit is None else (limit, limit)
    reach = f"{digits(low / 1e6)} to {digits(high / 1e6)}" if low < high else digits(low / 1e6)
    note = f"{sliding_limits.source}; {reach} MPa"
    return at_most(
        nut_pressure_pa, low, fail_above=high, note=note, remedy="a longer nut or another material"
    )


@check(
    "life.material_pv",
    unless="no_sliding",
    unit="Pa*m/s",
    shown="MPa*m/s",
    formula="pv = p v",
    source=TABLES,
    limit="table_pv_pa_m_s",
)
def material_pv(
    nut_pressure_pa: float, sliding_m_s: float, sliding_limits: Sliding, limit: float | None = None
) -> Finding:
    """Pressure times sliding speed against its material's table."""
    value = float(nut.pressure_velocity_pa_m_s(nut_pressure_pa, sliding_m_s))
    remedy = "a longer nut, a lower speed or another material"
    return at_most(value, limit, above="WARN", note=sliding_limits.source, remedy=remedy)


@derived("a published pv of nut.material")
def table_pv_pa_m_s(sliding_limits: Sliding) -> float | None:
    """Published pressure times speed of the nut's material (Pa*m/s)."""
    return sliding_limits.pv_pa_m_s


@check(
    "life.material_speed",
    unless="no_sliding",
    unit="m/s",
    shown="mm/s",
    formula="v = pi d2 n / cos(lambda)",
    source=TABLES,
    limit="table_speed_m_s",
)
def material_speed(sliding_m_s: float, sliding_limits: Sliding, limit: float | None = None) -> Finding:
    """Sliding speed against its material's table."""
    remedy = "a lower speed, a longer lead or another material"
    return at_most(sliding_m_s, limit, above="WARN", note=sliding_limits.source, remedy=remedy)


@derived("a published speed of nut.material")
def table_speed_m_s(sliding_limits: Sliding) -> float | None:
    """Published sliding speed of the nut's material (m/s)."""
    return sliding_limits.speed_m_s


@check(
    "life.material_temperature",
    unless="no_sliding",
    unit="degC",
    formula="T_ambient <= T_max",
    source=TABLES,
    margin_kind="difference",
)
def material_temperature(
    hottest_ambient_c: float, sliding_limits: Sliding, limit: float | None = None
) -> Finding:
    """Hottest ambient against its material's table; the heat of friction comes on top."""
    limit = sliding_limits.hottest_c if limit is None else limit
    note = f"{sliding_limits.source}; the heat of friction comes on top"
    return at_most(hottest_ambient_c, limit, note=note, remedy="another nut material")

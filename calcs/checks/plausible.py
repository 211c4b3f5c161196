"""Numbers that have the right dimension but look odd: computed all the same, and said."""

from __future__ import annotations

import math

from calcs.case import ASSUMED, LoadCase
from calcs.check import check, derived
from calcs.finding import Finding, at_most, digits, info
from calcs.formulas import mass, screw
from calcs.materials import material, nearest_material
from geometry.bodies import Body
from geometry.design_thread import Lengths
from geometry.units import Band

SIZES_MM = (3.0, 130.0)  # motor diameters of the trade that this tool is for; our own choice
TYPICAL_NM_M3 = 2400.0  # stall torque per volume of small brushed motors; our own choice
ODD_TIMES = 10.0  # how far from typical is odd; our own choice
IDLE_SHARE = 0.3  # no-load current over stall current; our own choice
INCH = 25.4


@derived()
def screw_speed_rad_s(speed_m_s: float, lead_m: float) -> float:
    """Screw speed at the running speed of the nut (rad/s)."""
    return float(screw.rotation_rad_s(speed_m_s, lead_m))


@check(
    "plausible.speed",
    unless="no_line",
    unit="rad/s",
    shown="rpm",
    formula="n = i v / lead",
    source="definition of lead; plausibility: our own choice",
    limit="no_load_speed_rad_s",
)
def speed(
    speed_m_s: float,
    lead_m: float,
    screw_speed_rad_s: float,
    motor_speed_rad_s: float,
    ratio: float,
    limit: float | None = None,
) -> Finding:
    """Motor speed against its no-load speed."""
    turns, motor_rpm = (x * 30.0 / math.pi for x in (screw_speed_rad_s, motor_speed_rad_s))
    note = f"speed {speed_m_s * 1e3:g} mm/s with lead {lead_m * 1e3:g} mm = {turns:.0f} screw rpm, "
    note += f"{motor_rpm:.0f} motor rpm"
    remedy = ""
    if limit is not None:
        note += f", {_times(motor_speed_rad_s / limit)} the no-load speed of {limit * 30 / math.pi:.0f} rpm"
        typed = speed_m_s * 1e3 / INCH
        if motor_speed_rad_s / INCH < limit and math.isclose(typed, float(f"{typed:.3g}"), rel_tol=1e-9):
            remedy = f"did you mean {typed:g} mm/s? Else "
        remedy += f"at most {digits(limit / ratio * lead_m / math.tau * 1e3)} mm/s"
    return at_most(motor_speed_rad_s, limit, above="WARN", note=note, remedy=remedy)


def _times(ratio: float) -> str:
    return f"{ratio:.0f} times" if ratio >= 10.0 else f"{ratio:.3g} times"


@check(
    "plausible.no_load_current",
    unless="no_line",
    formula="I0 R / U",
    source="plausibility: our own choice, the smallest motors reach 0.3; at 1 the motor no longer turns",
    limit=IDLE_SHARE,
)
def no_load_current(
    no_load_current_a: float, resistance_ohm: float, supply_v: Band, limit: float = IDLE_SHARE
) -> Finding:
    """No-load current of the motor over its stall current at the nominal supply."""
    stall_a = supply_v.nominal / resistance_ohm
    note = f"{digits(no_load_current_a)} A of {digits(stall_a)} A"
    remedy = "check units of no-load current, resistance and supply (mA typed as A?)"
    return at_most(no_load_current_a / stall_a, limit, above="WARN", fail_above=1.0, note=note, remedy=remedy)


@check(
    "plausible.motor_size",
    unless="no_round_motor",
    unit="m",
    shown="mm",
    formula="3 mm <= D <= 130 mm",
    source="our own choice",
    margin_kind="none",
)
def motor_size(motor_diameter_m: float) -> Finding:
    """Motor diameter within the sizes of the trade."""
    low, high = (mm / 1e3 for mm in SIZES_MM)
    odd = not low <= motor_diameter_m <= high
    typed = f"{motor_diameter_m * 1e3:g} mm"
    return Finding(
        motor_diameter_m,
        "WARN" if odd else "PASS",
        high if motor_diameter_m > high else low if odd else None,
        remedy=f"did you mean {motor_diameter_m * 1e2:g} mm?"
        if motor_diameter_m > high
        else "check its unit"
        if odd
        else "",
        note=f"{typed} is outside 3 to 130 mm" if odd else "",
    )


@check(
    "plausible.motor_torque",
    unless="no_round_motor",
    unit="N*m/m**3",
    formula="T_stall / (pi D^2 / 4 L)",
    source="our own choice: about 2400 N*m/m3 for small brushed motors",
    margin_kind="none",
)
def motor_torque(stall_torque_nm: float, motor_diameter_m: float, motor_length_m: float) -> Finding:
    """Stall torque per volume of the motor, against what is typical."""
    volume = float(mass.cylinder_volume_m3(motor_diameter_m / 2.0, motor_length_m))
    value = stall_torque_nm / volume
    times = value / TYPICAL_NM_M3
    note = f"{digits(stall_torque_nm)} N*m from {motor_diameter_m * 1e3:g} mm diameter: "
    note += f"{_times(times)} typical for that volume"
    if 1.0 / ODD_TIMES <= times <= ODD_TIMES:
        return Finding(value, "PASS", note=note)
    remedy = "check units of torque constant, resistance, stall data and size (mN*m typed as N*m?)"
    return Finding(value, "WARN", TYPICAL_NM_M3, note=note, remedy=remedy)


@check(
    "plausible.load_case",
    margin_kind="none",
    formula="a [[load_case]] is given",
    source="common practice, no source: the load case is the input most often forgotten",
)
def load_case(load_cases: tuple[LoadCase, ...]) -> Finding:
    """Load cases that the design gives: orientation, outside forces, temperature, vibration."""
    if load_cases == (ASSUMED,):
        note = "no [[load_case]] is given: lifting straight up without outside forces is assumed"
        return Finding(
            None, "WARN", note=note, remedy="give a [[load_case]] with up, forces, ambient, vibration"
        )
    return Finding(float(len(load_cases)), "PASS", note=", ".join(case.name for case in load_cases))


@check(
    "plausible.materials",
    margin_kind="none",
    formula="each material is one of `strokebox known materials`",
    source="names in the tables of density, modulus, expansion and sliding; theirs stand with each material",
)
def known_materials(
    bodies: tuple[Body, ...],
    screw_material: str | None = None,
    nut_material: str | None = None,
    rod_material: str | None = None,
    housing_material: str | None = None,
    held_material: str | None = None,
) -> Finding:
    """Materials by name, against those whose numbers are known."""
    named = {
        "screw.material": screw_material,
        "nut.material": nut_material,
        "push_rod.material": rod_material,
        "thermal.material": housing_material,
        "thermal.against": held_material,
    } | {_place(body): body.material for body in bodies if body.mass_kg is None}
    unknown = {field: name for field, name in named.items() if name and material(name) is None}
    if not unknown:
        known = sorted({name for name in named.values() if name})
        return (
            Finding(float(len(known)), "PASS", note=", ".join(known))
            if known
            else info(None, "none is named")
        )
    words = ", ".join(f'{field} "{name}"' for field, name in unknown.items())
    near = dict.fromkeys(nearest_material(name) for name in unknown.values())
    meant = " or ".join(f'"{name}"' for name in near if name)
    remedy = (
        f"write {meant}, or one of `strokebox known materials`"
        if meant
        else "see `strokebox known materials`"
    )
    return Finding(float(len(unknown)), "WARN", note=f"not known: {words}", remedy=remedy)


def _place(body: Body) -> str:
    return f"{body.name}.material" if body.part_of_actuator else f"material of {body.name}"


@check(
    "plausible.stock_length",
    unit="m",
    shown="mm",
    margin_kind="none",
    formula="L is one of screw.allowed_lengths",
    source="the design file's own list",
)
def stock_length(thread_length_m: float, allowed_lengths: Lengths | None = None) -> Finding:
    """Thread length that the screw can be had in."""
    if allowed_lengths is None:
        return info(thread_length_m, "any length: the design gives no screw.allowed_lengths")
    length = thread_length_m * 1e3
    near = [other for other in allowed_lengths.around(length) if other is not None]
    if any(abs(other - length) < 1e-6 for other in near):
        return Finding(thread_length_m, "PASS", note=f"{length:g} mm is an allowed length")
    verb, words = "is" if len(near) == 1 else "are", [f"{other:g} mm" for other in near]
    return Finding(
        thread_length_m,
        "WARN",
        note=f"{length:g} mm is not an allowed length; the nearest {verb} {' and '.join(words)}",
        remedy=f"take {' or '.join(words)} for screw.length",
    )

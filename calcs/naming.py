"""Unit suffixes of names in calcs, and the units in which people read the numbers."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple


class Shown(NamedTuple):
    """A unit for people: its coherent SI unit, and how many of that one of it is."""

    unit: str
    si: str
    factor: float


# suffix of a name -> coherent SI unit, and the unit in which an input of that kind is shown
SUFFIXES: dict[str, tuple[str, str]] = {
    "_m": ("m", "mm"),
    "_m2": ("m**2", "mm**2"),
    "_m3": ("m**3", "mm**3"),
    "_m4": ("m**4", "mm**4"),
    "_n": ("N", "N"),
    "_nm": ("N*m", "mN*m"),
    "_kg": ("kg", "g"),
    "_s": ("s", "s"),
    "_m_s": ("m/s", "mm/s"),
    "_m_s2": ("m/s**2", "mm/s**2"),
    "_rad": ("rad", "deg"),
    "_rad_s": ("rad/s", "rpm"),
    "_rad_s2": ("rad/s**2", "rad/s**2"),
    "_pa": ("Pa", "MPa"),
    "_j": ("J", "mJ"),
    "_w": ("W", "W"),
    "_a": ("A", "A"),
    "_a2_s": ("A**2*s", "A**2*s"),
    "_v": ("V", "V"),
    "_ohm": ("ohm", "ohm"),
    "_h": ("H", "mH"),
    "_nm_a": ("N*m/A", "mN*m/A"),
    "_kg_m": ("kg/m", "g/mm"),
    "_kg_m2": ("kg*m**2", "g*cm**2"),
    "_kg_m3": ("kg/m**3", "kg/m**3"),
    "_k_w": ("K/W", "K/W"),
    "_c": ("degC", "degC"),
    "_k": ("K", "K"),
    "_per_k": ("1/K", "1/K"),
    "_n_m": ("N/m", "N/mm"),
    "_nm_rad": ("N*m/rad", "N*m/rad"),
    "_nm_m3": ("N*m/m**3", "N*m/m**3"),
    "_m2_n": ("m**2/N", "m**2/N"),
    "_pa_m_s": ("Pa*m/s", "MPa*m/s"),
}

SHOWN: dict[str, Shown] = {
    shown.unit: shown
    for shown in (
        Shown("mm", "m", 1e-3),
        Shown("um", "m", 1e-6),
        Shown("mm**2", "m**2", 1e-6),
        Shown("mm**3", "m**3", 1e-9),
        Shown("mm**4", "m**4", 1e-12),
        Shown("mN*m", "N*m", 1e-3),
        Shown("g", "kg", 1e-3),
        Shown("mm/s", "m/s", 1e-3),
        Shown("mm/s**2", "m/s**2", 1e-3),
        Shown("deg", "rad", 0.017453292519943295),
        Shown("rpm", "rad/s", 0.10471975511965977),
        Shown("MPa", "Pa", 1e6),
        Shown("mJ", "J", 1e-3),
        Shown("mH", "H", 1e-3),
        Shown("h", "s", 3600.0),
        Shown("mm*rpm", "m/s", 1e-3 * 0.10471975511965977),
        Shown("g/mm", "kg/m", 1.0),
        Shown("mN*m/A", "N*m/A", 1e-3),
        Shown("g*cm**2", "kg*m**2", 1e-7),
        Shown("kg*mm**2", "kg*m**2", 1e-6),
        Shown("N/mm", "N/m", 1e3),
        Shown("MPa*m/s", "Pa*m/s", 1e6),
    )
}

IN_HOURS = ("motor_life_s", "gear_life_s")  # as the design file says them

_LONGEST_FIRST = sorted(SUFFIXES, key=len, reverse=True)


@cache
def suffix(name: str) -> str:
    """Give the unit suffix of a name, "" for a dimensionless one. Source: this project's own convention."""
    return next((s for s in _LONGEST_FIRST if name.endswith(s)), "")


def unit_of(name: str) -> str:
    """Give the coherent SI unit that a name carries, "" for a dimensionless one."""
    found = suffix(name)
    return SUFFIXES[found][0] if found else ""


def shown_unit_of(name: str) -> str:
    """Give the unit in which people read a quantity of that name."""
    if name in IN_HOURS:
        return "h"
    found = suffix(name)
    return SUFFIXES[found][1] if found else ""


def bare(name: str) -> str:
    """Give a name without its unit suffix."""
    found = suffix(name)
    return name[: -len(found)] if found else name


def factor(shown: str, si: str) -> float:
    """Give how many of the SI unit make one of the shown unit.

    Raises ValueError for a pair that does not fit.
    """
    if shown == si:
        return 1.0
    if shown in SHOWN and SHOWN[shown].si == si:
        return SHOWN[shown].factor
    raise ValueError(f"{shown} is no way to show {si}")

"""Standard modules and tooth form factors, read from gear_standards.toml (mm)."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

TABLES = Path(__file__).with_name("gear_standards.toml")


@cache
def _tables() -> dict[str, Any]:
    return tomllib.loads(TABLES.read_text(encoding="utf-8"))


def modules(*, second_series: bool = False) -> tuple[float, ...]:
    """Give the standard modules (mm), rising. Source: ISO 54, DIN 780 (the table's own source line)."""
    table = _tables()["modules"]
    return tuple(sorted([*table["sizes"], *(table["second"] if second_series else [])]))


def lewis_factor(teeth: int) -> float:
    """Give the Lewis form factor of a tooth, between its neighbours in the table; its ends beyond them.

    It is that of unshifted teeth: a shift against undercut makes a tooth stronger. Source: the table's own.
    """
    table = _tables()["lewis"]
    return float(np.interp(teeth, table["teeth"], table["factor"]))

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


def lewis_factor(teeth: Any) -> Any:
    """Give the Lewis form factor Y (a number or an array) of a 20 degree tooth, between rows along 1 / z.

    Its ends beyond them. It is that of unshifted teeth: a shift against undercut makes a tooth stronger.
    Source: Shigley 9e, table 14-2 (from memory).
    """
    table = _tables()["lewis"]
    return np.interp(-1.0 / teeth, [-1.0 / z for z in table["teeth"]], table["factor"])

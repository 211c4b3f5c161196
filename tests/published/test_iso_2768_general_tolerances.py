"""ISO 2768-1, table 1: permissible deviations of linear dimensions, classes f, m, c, v (from memory)."""

from __future__ import annotations

import pytest
from published_cases import Case

from calcs.checks.tolerance import general_m

# a size inside each range, up to and including its upper end, and the deviations of f, m, c and v in mm
TABLE = [
    ((0.5, 3.0), (0.05, 0.1, 0.2, None)),
    ((3.1, 6.0), (0.05, 0.1, 0.3, 0.5)),
    ((6.1, 30.0), (0.1, 0.2, 0.5, 1.0)),
    ((31.0, 120.0), (0.15, 0.3, 0.8, 1.5)),
    ((121.0, 400.0), (0.2, 0.5, 1.2, 2.5)),
    ((401.0, 1000.0), (0.3, 0.8, 2.0, 4.0)),
]
CASES = [
    (size, tolerance_class, deviation)
    for sizes, deviations in TABLE
    for size in sizes
    for tolerance_class, deviation in zip("fmcv", deviations, strict=True)
]

PUBLISHED = (Case("ISO 2768-1", "table 1", 23, "memory"),)


@pytest.mark.parametrize(("size_mm", "tolerance_class", "deviation_mm"), CASES)
def test_deviation(size_mm: float, tolerance_class: str, deviation_mm: float | None) -> None:
    found = general_m(size_mm / 1000.0, tolerance_class)
    assert found == (None if deviation_mm is None else pytest.approx(deviation_mm / 1000.0))


@pytest.mark.parametrize("size_mm", [0.4, 1001.0])
def test_outside_the_table_there_is_no_class(size_mm: float) -> None:
    assert general_m(size_mm / 1000.0, "m") is None

"""Numbers that only notes and tables hold: a reviewer reads them as they read the row's own value."""

from __future__ import annotations

import pytest
from demo_rows import rows

from calcs.checks.strength import EIGENVALUES, END_FACTORS, highest_push_n
from geometry.units import Band


def test_the_order_of_the_ends_is_drawn_in_mm() -> None:
    note = rows()["travel.order"].note
    assert note.startswith(
        "thread end, hard stop, sensor, usable end: -6 < -4 < -1.5 < 0 .. 60 < 61.5 < 64 < 74 mm"
    )


def test_a_motor_out_of_size_is_named_as_typed() -> None:
    row = rows(('diameter = "16 mm"\nlength = "30 mm"', 'diameter = "160 mm"\nlength = "30 mm"'))[
        "plausible.motor_size"
    ]
    assert (row.verdict, row.limit) == ("WARN", 130.0)
    assert row.note == "160 mm is outside 3 to 130 mm"
    assert row.remedy.startswith("did you mean 16 mm?")


def test_the_highest_push_is_the_works_without_a_motor() -> None:
    work, stall = Band(1.0, 2.0, 3.0), Band(4.0, 5.0, 6.0)
    assert highest_push_n.function(work) == 3.0
    assert highest_push_n.function(work, stall) == 6.0
    assert highest_push_n.function(Band(7.0, 8.0, 9.0), stall) == 9.0


@pytest.mark.parametrize(
    ("ends", "factor", "eigenvalue"),
    [
        (("fixed", "free"), 1.0 / 4.0, 1.875104),
        (("supported", "supported"), 1.0, 3.141593),
        (("fixed", "supported"), (4.493409 / 3.141593) ** 2, 3.926602),
        (("fixed", "fixed"), 4.0, 4.730041),
    ],
)
def test_the_ends_of_columns_and_beams(ends: tuple[str, str], factor: float, eigenvalue: float) -> None:
    """Roots of tan x = x (column) and of cos x cosh x = -1, tan x = tanh x, cos x cosh x = 1 (beam)."""
    assert END_FACTORS[ends] == pytest.approx(factor, rel=1e-4)
    assert EIGENVALUES[ends] == pytest.approx(eigenvalue, rel=1e-4)

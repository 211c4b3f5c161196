"""One cycle in parts: each outside force on the way that it resists, over its own stretch."""

from __future__ import annotations

import pytest
from hand import same

from calcs.case import LoadCase, Push
from calcs.checks.cycle import Part, cycle_parts
from calcs.checks.drive import AxialForces, stretches


def case(*pushes: tuple[float, float, float]) -> LoadCase:
    return LoadCase("", 1.0, 0.0, tuple(Push(*push) for push in pushes), None, "")


def test_stretches_of_overlapping_forces_add_up_by_direction() -> None:
    pushed = case((0.0, 0.03, 5.0), (0.02, 0.09, 7.0), (0.0, 0.04, -4.0), (0.045, 0.047, -1.0))
    assert stretches(pushed, 0.01, 0.05, against=True) == [
        (5.0, pytest.approx(0.01)),
        (12.0, pytest.approx(0.01)),
        (7.0, pytest.approx(0.02)),
    ]
    assert stretches(pushed, 0.01, 0.05, against=False) == [
        (4.0, pytest.approx(0.03)),
        (1.0, pytest.approx(0.002)),  # nothing acts on the 5 mm between
    ]
    assert stretches(case(), 0.01, 0.05, against=True) == []
    assert stretches(case((0.0, 0.01, 5.0), (0.05, 0.09, 5.0)), 0.01, 0.05, against=True) == []


def parts_of(forces: AxialForces, pushed: LoadCase) -> tuple[Part, ...]:
    """60 mm at 0.2 m/s with 0.8 m/s2: ramps of 0.25 s and 25 mm, 0.55 s a move; 61 N at the highest."""
    (parts,) = cycle_parts.function((forces,), (pushed,), same(61.0), 0.0, 0.06, 0.2, 0.55, 0.8)
    made: tuple[Part, ...] = parts
    return made


def flat(parts: tuple[Part, ...]) -> list[tuple[str, float, float, float, bool]]:
    return [(p.name, p.force_n, pytest.approx(p.way_m), pytest.approx(p.time_s), p.ramping) for p in parts]


def test_a_cycle_in_parts_from_light_to_heavy() -> None:
    # 20 N of weight and 2 N of friction
    forces = AxialForces("", 20.0, same(2.0))
    pushed = case((0.0, 0.01, 30.0), (0.02, 0.03, 5.0), (0.0, 0.02, -40.0))
    parts = parts_of(forces, pushed)
    assert flat(parts) == [
        ("extending", 22.0, 0.015, 0.2, False),
        ("extending against 5 N", 27.0, 0.01, 0.05, True),
        ("extending against 30 N", 52.0, 0.01, 0.05, True),
        ("ramp", 61.0, 0.025, 0.25, True),
        ("retracting", -18.0, 0.04, 0.45, False),
        ("retracting against 40 N", 22.0, 0.02, 0.1, True),
    ]
    hanging = parts_of(AxialForces("", -20.0, same(2.0)), case())
    assert [part.force_n for part in hanging] == [-18.0, 61.0, 22.0]


def test_the_ramp_takes_its_way_from_forces_that_act_all_along() -> None:
    forces = AxialForces("", 20.0, same(2.0))
    whole = case((0.0, 0.04, 30.0), (0.04, 0.06, 10.0), (-1.0, 1.0, -1.0))
    parts = parts_of(forces, whole)
    # 35 mm are left of 60: 7/12 of each stretch, and the ramp down's 0.125 s
    assert flat(parts) == [
        ("extending", 22.0, 0.0, 0.125, False),
        ("extending against 10 N", 32.0, 0.02 * 7.0 / 12.0, 0.1 * 7.0 / 12.0, True),
        ("extending against 30 N", 52.0, 0.04 * 7.0 / 12.0, 0.2 * 7.0 / 12.0, True),
        ("ramp", 61.0, 0.025, 0.25, True),
        ("retracting", -18.0, 0.0, 0.25, False),
        ("retracting against 1 N", -17.0, 0.06, 0.3, True),
    ]

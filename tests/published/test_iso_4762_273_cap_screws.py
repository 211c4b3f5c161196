"""ISO 4762 heads, ISO 273 clearance holes, ISO 2306 tapping drills: from memory, not seen in print."""

from __future__ import annotations

import pytest
from published_cases import Case

from geometry.cap_screws import Fit, cap_screw, cap_screws, clearance_hole, tap_drill
from geometry.errors import InputError
from geometry.threads import thread

# Memory: head diameter, head height, fine, medium, coarse, drill.
SIZES = {
    "M2": (3.8, 2.0, 2.2, 2.4, 2.6, 1.6),
    "M3": (5.5, 3.0, 3.2, 3.4, 3.6, 2.5),
    "M4": (7.0, 4.0, 4.3, 4.5, 4.8, 3.3),
    "M5": (8.5, 5.0, 5.3, 5.5, 5.8, 4.2),
    "M6": (10.0, 6.0, 6.4, 6.6, 7.0, 5.0),
    "M8": (13.0, 8.0, 8.4, 9.0, 10.0, 6.8),
}
PUBLISHED = (Case("ISO 4762, ISO 273, ISO 2306", "cap screws M2 to M8", 6 * len(SIZES), "memory"),)
SERIES: tuple[Fit, ...] = ("fine", "medium", "coarse")


@pytest.mark.parametrize("size", SIZES)
def test_heads_holes_and_drills(size: str) -> None:
    head, height, *holes, drill = SIZES[size]
    known = cap_screw(size)
    assert (known.head_diameter, known.head_height) == (head, height)
    assert [clearance_hole(size, fit) for fit in SERIES] == holes
    assert tap_drill(size) == drill


@pytest.mark.parametrize("size", list(cap_screws()))
def test_a_screw_passes_its_holes_and_its_head_does_not(size: str) -> None:
    known, made = cap_screw(size), thread(size)
    major = made.major_diameter_mm
    assert major < known.fine < known.medium < known.coarse < known.head_diameter
    # The head is one and a half times the screw, more for small ones, and as high as it is thick.
    assert 1.45 * major < known.head_diameter <= 1.95 * major
    assert known.head_height == pytest.approx(major)
    # The drill is the diameter less the pitch, rounded to a drill that is sold.
    assert known.tap_drill == pytest.approx(major - made.pitch_mm, abs=0.051)


def test_a_coarse_thread_is_known_however_it_is_written() -> None:
    assert clearance_hole("M3x0.5", "medium") == clearance_hole("m3", "medium") == 3.4


def test_other_threads_are_drilled_by_the_formula_and_have_no_clearance_hole() -> None:
    assert tap_drill("M4x0.5") == 3.5
    with pytest.raises(InputError) as refused:
        clearance_hole("M4x0.5", "medium")
    (problem,) = refused.value.problems
    assert problem.message == "ISO 4762 and ISO 273 as known here have no screw M4x0.5"
    assert problem.repair.startswith("take one of M1.6, M2, M2.5, M3")
    with pytest.raises(InputError):
        clearance_hole("Tr8x1.5", "fine")

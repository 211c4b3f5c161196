from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from geometry.bodies import Cylinder
from geometry.design import Design, read, read_text
from geometry.errors import ShapeError
from geometry.screw import (
    screw_envelope,
    screw_profile,
    screw_solid,
    threaded_screw,
    turned_volume,
)
from geometry.screw_problems import screw_problems
from geometry.solids import bounding_box, volume_of_solid
from geometry.thread_properties import threaded_solid

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
SHORT = """
[motion]
stroke = "0..5 mm"
speed = "10 mm/s"
mass = "0.1 kg"
[nut]
length = "6 mm"
friction = "0.1..0.15..0.2"
[screw]
length = "12 mm"
"""


def short(*lines: str) -> Design:
    return read_text("\n".join((SHORT, *lines)))


def is_one_valid_solid(solid: Any) -> bool:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TopAbs import TopAbs_ShapeEnum

    return bool(solid.ShapeType() == TopAbs_ShapeEnum.TopAbs_SOLID and BRepCheck_Analyzer(solid).IsValid())


def test_the_envelope_takes_the_major_diameter() -> None:
    assert screw_envelope(read(DEMO)).adds == (
        Cylinder("z", (0, 0), 2.5, (0, 8)),
        Cylinder("z", (0, 0), 4.0, (8, 104)),
        Cylinder("z", (0, 0), 2.5, (104, 113)),
    )


def test_without_journals_the_thread_starts_at_the_origin() -> None:
    assert screw_envelope(short('thread = "Tr8x1.5"')).adds == (Cylinder("z", (0, 0), 4.0, (0, 12)),)


def test_the_light_profile_of_the_demo() -> None:
    # Root radius 3.1 less 0.1 pitch: the cone ends at 2.95, the journal's shoulder is a plain ring below it.
    near = [(0, 0), (2.5, 0), (2.5, 8), (2.95, 8), (4, 9.05)]
    far = [(4, 102.95), (2.95, 104), (2.5, 104), (2.5, 113), (0, 113)]
    for corner, wanted in zip(screw_profile(read(DEMO)), near + far, strict=True):
        assert corner == pytest.approx(wanted, abs=1e-12)


def test_turned_volume_of_a_known_body() -> None:
    cone_on_rod = ((0.0, 0.0), (2.0, 0.0), (2.0, 3.0), (0.0, 9.0))
    assert turned_volume(cone_on_rod) == pytest.approx(math.pi * 4 * 3 + math.pi * 4 * 6 / 3, rel=1e-14)


CASES = [
    ('thread = "Tr8x1.5"',),
    ('thread = "M4x0.5"', 'thread_ends = "plain"'),
    ('thread = "Tr8x8(P2) LH"', 'near_journal = { diameter = "5 mm", length = "4 mm" }'),
    ('thread = "M3"', 'far_journal = { diameter = "2 mm", length = "3 mm" }'),
    ('thread = "Tr10x2"', 'near_journal = { diameter = "14 mm", length = "3 mm" }'),
    ('thread = "Tr10x2"', 'near_journal = { diameter = "9 mm", length = "3 mm" }'),
]


@pytest.mark.parametrize("lines", CASES, ids=[" ".join(lines)[10:40] for lines in CASES])
def test_light_and_detailed_screws_are_valid_solids_of_one_bounding_box(lines: tuple[str, ...]) -> None:
    design = short(*lines)
    light, detailed = screw_solid(design, detailed=False), screw_solid(design, detailed=True)
    assert is_one_valid_solid(light)
    assert is_one_valid_solid(detailed)
    assert volume_of_solid(light) == pytest.approx(turned_volume(screw_profile(design)), rel=1e-9)
    assert volume_of_solid(detailed) == pytest.approx(
        threaded_solid(threaded_screw(design)).volume_mm3, rel=1e-6
    )
    for corner, other in zip(bounding_box(light), bounding_box(detailed), strict=True):
        # A thread that starts with plain ends need not reach its crest in every direction near them.
        assert corner == pytest.approx(other, abs=1e-5)
    assert detailed.Location().IsIdentity()


def test_a_screw_that_its_nut_cannot_be_put_on_is_refused_with_the_thinner_journal() -> None:
    text = DEMO.read_text(encoding="utf-8")
    thick = text.replace('near_journal = { diameter = "5 mm"', 'near_journal = { diameter = "10 mm"')
    assert screw_problems(read_text(thick)) == ()
    both = thick.replace('far_journal = { diameter = "5 mm"', 'far_journal = { diameter = "7 mm"')
    (problem,) = screw_problems(read_text(both))
    assert problem.field == "screw.far_journal.diameter"
    assert "10 and 7 mm: the nut, 6.5 mm inside its thread, passes over neither end" in problem.message
    assert problem.repair == "turn the journal of 7 mm down to 6.5 mm or less"


def test_ends_that_leave_no_thread_are_refused() -> None:
    with pytest.raises(ShapeError, match="full thread"):
        screw_solid(
            read_text(SHORT.replace("12 mm", "1.5 mm").replace("6 mm", "1 mm") + 'thread = "Tr8x1.5"'),
            detailed=False,
        )

from __future__ import annotations

from calcs.check_design import check_design, unused_sections
from exports.demo import FIRST, demo_texts
from geometry.design import read_text

DEMO = demo_texts()[FIRST]


def test_every_section_of_the_demo_is_read_by_something() -> None:
    assert unused_sections(read_text(DEMO)) == ()


def test_a_section_that_nothing_reads_is_named() -> None:
    text = (
        DEMO
        + '\n[[service.driver]]\nname = "ear screw"\nposition = ["11 mm", "0 mm", "-4 mm"]\ndirection = [0, 0, -1]\ndiameter = "4 mm"\nlength = "60 mm"\n'
    )
    design = read_text(text)
    assert unused_sections(design) == ("service.driver",)
    assert check_design(design).unused_sections == ("service.driver",)

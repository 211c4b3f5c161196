from __future__ import annotations

from calcs.check_design import check_design, unused_sections
from exports.demo import FIRST, demo_texts
from geometry.design import read_text

DEMO = demo_texts()[FIRST]
DRIVER = """
[[service.driver]]
name = "ear screw"
position = ["11 mm", "0 mm", "-4 mm"]
direction = [0, 0, -1]
diameter = "4 mm"
length = "60 mm"
"""


def test_every_section_of_the_demo_is_read_by_something() -> None:
    assert unused_sections(read_text(DEMO)) == ()


def test_a_section_that_nothing_reads_is_named() -> None:
    design = read_text(DEMO + DRIVER)
    assert unused_sections(design) == ("service.driver",)
    assert check_design(design).unused_sections == ("service.driver",)

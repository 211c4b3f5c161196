from __future__ import annotations

import pytest

from calcs.case_fields import FIELDS
from calcs.check_design import check_design, unused_sections
from exports.demo import FIRST, demo_texts
from geometry.design import read_text

DEMO = demo_texts()[FIRST]


def test_every_section_of_the_demo_is_read_by_something() -> None:
    assert unused_sections(read_text(DEMO)) == ()


def test_a_section_that_nothing_reads_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    design = read_text(DEMO)
    assert unused_sections(design) == ()
    less = {name: field for name, field in FIELDS.items() if not field.startswith("service.driver")}
    monkeypatch.setattr("calcs.check_design.FIELDS", less)
    assert unused_sections(design) == ("service.driver",)
    assert check_design(design).unused_sections == ("service.driver",)

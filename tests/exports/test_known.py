from __future__ import annotations

import json

import pytest

from calcs.check import known_checks
from calcs.materials import materials
from exports.known import print_known
from geometry.cap_screws import cap_screw_sources, cap_screws
from geometry.threads import families


def printed(subject: str, capsys: pytest.CaptureFixture[str]) -> str:
    print_known(subject)
    text = capsys.readouterr().out
    assert subject == "schema" or max(map(len, text.splitlines())) <= 100
    return text


def test_every_thread_with_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(printed("threads", capsys).split())
    for family in families():
        assert family.name in text
        assert family.source in text
        assert bool(family.classes) != bool(family.no_classes)
        assert family.no_classes in text
        assert all(family.class_note(name) in text for name in family.classes)


def test_every_material_and_check(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(printed("materials", capsys).split())
    assert all(known.name in text for known in materials())
    text = printed("checks", capsys)
    assert all(known.id in text for known in known_checks())


def test_every_cap_screw_with_the_sources_of_its_columns(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(printed("screws", capsys).split())
    assert "M3 5.5 3 3.2 3.4 3.6 2.5" in text
    assert all(size in text for size in cap_screws())
    assert all(source in text for source in cap_screw_sources())


def test_units_and_the_schema_for_editors(capsys: pytest.CaptureFixture[str]) -> None:
    assert "mm" in printed("units", capsys)
    schema = json.loads(printed("schema", capsys))
    assert "motion" in schema["properties"]

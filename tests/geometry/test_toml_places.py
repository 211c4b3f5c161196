import tomllib
from typing import Any

import pytest

from geometry.toml_places import dotted, toml_places

TEXT = '''# a comment with [brackets] and = signs
title = "x = [1] # no comment"
dotted.key.here = 1

[motion]   # what it must do
speed = "25 mm/s"
"quoted key" = 'single # quoted'
  indented = true
when = 2026-03-02

[[moving]]
name = "carriage"
box = [
    "-15..15 mm",   # x
    "-12..12 mm", "0..10 mm",
]
bore = { diameter = "10 mm", "cen.tre" = ["0 mm", { deep = 1 }] }

[[moving]]
name = """
several lines
[not.a.table]
key = "none"
"""
raw = \'\'\'a \'\' b
x = 1\'\'\'
[moving.inner]
value = -1.5e3
[[moving.item]]
a = []
[[moving.item]]
a = [[1, 2], [3]]
empty = {}

[limits]
"drive.holding" = { limit = 1.3, reason = "a \\"quoted\\" word" }
'''


def paths(value: Any, at: tuple[str | int, ...] = ()) -> list[str]:
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    own = [dotted(at)] if at else []
    return own + [path for key, item in pairs for path in paths(item, (*at, key))]


def test_every_path_that_tomllib_reads_has_a_place_and_no_other() -> None:
    assert set(toml_places(TEXT)) == set(paths(tomllib.loads(TEXT)))


@pytest.mark.parametrize(
    ("path", "starts_with"),
    [
        ("title", "title ="),
        ("dotted.key.here", "dotted.key.here"),
        ("motion", "[motion]"),
        ("motion.speed", "speed ="),
        ("motion.quoted key", '"quoted key"'),
        ("motion.indented", "indented ="),
        ("moving", "[[moving]]"),
        ("moving[0]", "[[moving]]"),
        ("moving[0].box[2]", '"0..10 mm",'),
        ("moving[0].bore", "bore ="),
        ("moving[0].bore.diameter", "diameter ="),
        ("moving[0].bore.cen.tre[1].deep", "deep ="),
        ("moving[1].name", "name ="),
        ("moving[1].inner", "[moving.inner]"),
        ("moving[1].inner.value", "value ="),
        ("moving[1].item[1].a", "a = [["),
        ("moving[1].item[1].a[1][0]", "3]]"),
        ("limits.drive.holding.reason", "reason ="),
    ],
)
def test_a_place_points_at_its_own_text(path: str, starts_with: str) -> None:
    line, column = toml_places(TEXT)[path]
    assert TEXT.splitlines()[line - 1][column - 1 :].startswith(starts_with)


def test_the_second_table_of_an_array_stands_below_the_first() -> None:
    places = toml_places(TEXT)
    assert places["moving[1]"][0] > places["moving[0]"][0]
    assert places["moving[1].name"] == (20, 1)


def test_windows_line_ends_count_as_one() -> None:
    assert toml_places("a = 1\r\n\r\n[b]\r\nc = 2\r\n")["b.c"] == (4, 1)


def test_an_empty_text_has_no_places() -> None:
    assert toml_places("") == {}
    assert toml_places("# nothing\n") == {}


def test_the_demos_places_are_tomllibs_paths() -> None:
    from pathlib import Path

    text = (Path(__file__).parents[2] / "exports/demo/vial-lift.toml").read_text(encoding="utf-8")
    assert set(toml_places(text)) == set(paths(tomllib.loads(text)))

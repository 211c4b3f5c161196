"""Whatever stands in a design file, it is read or refused with a place and a repair."""

import copy
import datetime
import json
import math
import tomllib
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.design import Design, read_text
from geometry.errors import InputError

DEMO = (Path(__file__).parents[2] / "exports/demo/vial-lift.toml").read_text(encoding="utf-8")
RAW = tomllib.loads(DEMO)


def leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return ([path] if path else []) + [leaf for key, item in pairs for leaf in leaves(item, (*path, key))]


def toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)} = {toml(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml(item) for item in value) + "]"
    if isinstance(value, datetime.date):
        return value.isoformat()
    return json.dumps(value) if isinstance(value, str) else str(value)


HOSTILE = st.sampled_from(
    [math.nan, math.inf, -1, 0, 10**400, True, "", "x", "1,5 mm", "-5 mm", "nan mm", [], {}, [1], {"a": 1},
     [[]], [{}], "\0", "a\nb", "°", "C:\\x\ty", datetime.date(2026, 1, 1), "9**9**8 mm", "1e400 mm",
     "1e-999 N", "٣ mm"]
)  # fmt: skip


def outcome(text: str) -> Design | InputError:
    try:
        return read_text(text)
    except InputError as error:
        return error


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(leaves(RAW)), HOSTILE)
def test_any_value_in_any_place_is_read_or_refused_at_a_line(path: tuple[Any, ...], value: Any) -> None:
    raw = copy.deepcopy(RAW)
    target: Any = raw
    for key in path[:-1]:
        target = target[key]
    target[path[-1]] = value
    found = outcome("\n".join(f"{key} = {toml(item)}" for key, item in raw.items()))
    if isinstance(found, InputError):
        assert all(problem.line and problem.message and problem.repair for problem in found.problems)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, len(DEMO)), st.integers(0, 40), st.text("\"'[]{}=.,#\\\n x1", max_size=4))
def test_a_damaged_text_is_read_or_refused(start: int, length: int, replacement: str) -> None:
    found = outcome(DEMO[:start] + replacement + DEMO[start + length :])
    if isinstance(found, InputError):
        assert all(problem.line and problem.message and problem.repair for problem in found.problems)

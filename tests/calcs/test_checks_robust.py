"""Odd but possible designs: every check answers, every number is finite, nothing breaks."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from calcs.case import case_of
from calcs.check import overall, run_checks
from geometry.design import read_text
from geometry.errors import InputError

DEMO = (Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml").read_text(encoding="utf-8")
LINES = [line.split("#")[0].rstrip() for line in DEMO.splitlines()]
NUMBERS = [i for i, line in enumerate(LINES) if re.search(r'= "?-?[\d.]', line)]
FACTORS = [0.0, 1e-6, 1e-3, 0.1, 0.5, 2.0, 10.0, 1e3, 1e6]


def scaled(line: str, factor: float) -> str:
    """Scale every number of a line that stands before a unit or alone."""
    key, _, value = line.partition("=")
    number = r"(?<![\w.])\d+(?:\.\d+)?(?:e-?\d+)?(?![\w])"
    return f"{key}={re.sub(number, lambda m: f'{float(m[0]) * factor:g}', value)}"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('friction = "0.08..0.15..0.20"', "friction = 14"),  # 0.14 meant; the thread locks at 85 degrees
        ('friction = "0.08..0.15..0.20"', 'friction = "0.08..0.15..30"'),
        ('friction = "0.08..0.15..0.20"', "friction = 0"),
        ('no_load_current = "15 mA"', 'no_load_current = "15 A"'),  # more than it takes at rest
        ('voltage = "10.8..12..13.2 V"', 'voltage = "0.1 V"'),
    ],
)
def test_a_slip_of_the_keyboard_is_answered_too(old: str, new: str) -> None:
    text = "\n".join(LINES)
    assert old in text
    results = run_checks(case_of(read_text(text.replace(old, new))))
    json.dumps([row.to_json() for row in results], allow_nan=False)
    assert overall(results) == "FAIL"
    rows = {row.id: row for row in results}
    idle = rows["plausible.no_load_current"].verdict
    assert idle == ("FAIL" if "15 A" in new or "0.1 V" in new else "PASS")
    pushes = json.dumps(rows["stops.slow_stall"].to_json()["value"])
    assert "-" not in pushes  # no motor pushes less than nothing


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(
    changes=st.dictionaries(st.sampled_from(NUMBERS), st.sampled_from([*FACTORS, None]), max_size=3),
    up=st.sampled_from(["[0, 0, 1]", "[0, 0, -1]", "[1, 0, 0]", "[1, 1, 1]"]),
    thread=st.sampled_from(["Tr8x1.5", "Tr8x8(P2)", "M8"]),
)
def test_a_changed_demo_is_answered_in_finite_numbers(
    changes: dict[int, float | None], up: str, thread: str
) -> None:
    lines = [
        line if i not in changes else "" if changes[i] is None else scaled(line, changes[i] or 0.0)
        for i, line in enumerate(LINES)
    ]
    text = "\n".join(lines).replace("[0, 0, 1]", up).replace("Tr8x1.5", thread)
    try:
        results = run_checks(case_of(read_text(text)))
    except InputError:
        assume(False)
        return
    json.dumps([row.to_json() for row in results], allow_nan=False)
    assert overall(results) in ("PASS", "WARN", "NOT PROVEN", "NOT CHECKED", "FAIL")
    assert all(row.note for row in results if row.verdict == "NOT CHECKED")
    assert all(row.remedy for row in results if row.verdict in ("FAIL", "WARN"))

from __future__ import annotations

import math

import pytest

from exports.documents import as_text, error_document, exit_status, worst
from geometry.errors import Problem


@pytest.mark.parametrize(
    ("verdicts", "expected"),
    [
        (["PASS", "INFO", "WARN"], "WARN"),
        (["WARN", "NOT PROVEN", "PASS"], "NOT PROVEN"),
        (["NOT PROVEN", "NOT CHECKED"], "NOT CHECKED"),
        (["NOT CHECKED", "FAIL"], "FAIL"),
        (["INFO"], "PASS"),
        ([], "PASS"),
    ],
)
def test_the_overall_verdict_is_the_worst(verdicts: list[str], expected: str) -> None:
    assert worst(verdicts) == expected


@pytest.mark.parametrize(
    ("verdict", "plain", "strict"),
    [("PASS", 0, 0), ("WARN", 0, 1), ("NOT PROVEN", 0, 1), ("NOT CHECKED", 4, 4), ("FAIL", 1, 1)],
)
def test_exit_status_follows_the_verdict(verdict: str, plain: int, strict: int) -> None:
    assert (exit_status(verdict), exit_status(verdict, strict=True)) == (plain, strict)


def test_json_never_carries_nan() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        as_text({"value": math.nan})


def test_errors_carry_their_place() -> None:
    document = error_document([Problem("wrong", "write it right", "a.toml", 3, 7, "motion.speed")])
    (error,) = document["errors"]
    assert (error["file"], error["line"], error["column"], error["field"]) == ("a.toml", 3, 7, "motion.speed")
    assert (error["message"], error["repair"]) == ("wrong", "write it right")

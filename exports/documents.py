"""The JSON documents: one head, then checks, pairs or errors; finite numbers or null, never NaN."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from geometry import VERSION
from geometry.errors import Problem

if TYPE_CHECKING:
    from calcs.check import Result
    from calcs.choice import Choice
    from calcs.fit import FitReport
    from geometry.design import Design

ORDER = ("PASS", "WARN", "NOT PROVEN", "NOT CHECKED", "FAIL")  # the overall verdict is the worst


def worst(verdicts: Sequence[str]) -> str:
    """Find the worst verdict; INFO does not count, and nothing at all passes."""
    return max((word for word in verdicts if word in ORDER), key=ORDER.index, default="PASS")


def exit_status(verdict: str, *, strict: bool = False) -> int:
    """Turn an overall verdict into the exit status of the contract."""
    if verdict == "FAIL" or (strict and verdict in ("WARN", "NOT PROVEN")):
        return 1
    return 4 if verdict == "NOT CHECKED" else 0


def head(design: Design) -> dict[str, Any]:
    """Start a document: the tool, its version, and which design it speaks of."""
    return {
        "tool": "strokebox",
        "version": VERSION,
        "design": {"file": Path(design.path).name, "title": design.title, "sha256": design.sha256},
    }


def check_document(
    design: Design,
    results: Sequence[Result],
    verdict: str,
    unused: Sequence[str],
    screws: Sequence[Choice] = (),
) -> dict[str, Any]:
    """Make the document of `check --json`; `screws` adds the comparison of screw kinds."""
    rows = [result.to_json() for result in results]
    document = {**head(design), "verdict": verdict, "checks": rows, "sections_without_check": list(unused)}
    if screws:
        from exports.screw_choice import choice_rows

        document["screw_kinds"] = choice_rows(screws)
    return document


def fit_document(design: Design, report: FitReport) -> dict[str, Any]:
    """Make the document of `fit --json`, in mm."""
    return {**head(design), "verdict": report.verdict, **report.to_json_dict()}


def error_document(problems: Sequence[Problem]) -> dict[str, Any]:
    """Make the document that `--json` gives when the input cannot be used."""
    rows = [
        {name: getattr(problem, name) for name in ("file", "line", "column", "field", "message", "repair")}
        for problem in problems
    ]
    return {"tool": "strokebox", "version": VERSION, "errors": rows}


def as_text(document: Mapping[str, Any]) -> str:
    """Write a document as JSON text that ends with a line break; NaN and infinity are refused."""
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"

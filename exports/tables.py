"""The results as CSV, one row a check or pair: what a spreadsheet or a script reads."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

CHECK_COLUMNS = (
    "id", "title", "verdict", "value", "low", "high", "limit", "margin", "unit", "margin_kind", "source",
    "remedy",
)  # fmt: skip
PAIR_COLUMNS = (
    "a", "b", "kind", "verdict", "gap_low_mm", "gap_mm", "gap_high_mm", "required_mm", "at_travel_mm",
    "below_required_from_mm", "below_required_to_mm", "clash_from_mm", "clash_to_mm", "overlap_mm3",
    "remedies",
)  # fmt: skip


def checks_csv(rows: Iterable[Mapping[str, Any]]) -> str:
    """Write the rows of `check --json` as CSV; a band stands as value (nominal), low and high."""
    return csv_text(CHECK_COLUMNS, (_check_row(row) for row in rows))


def pairs_csv(pairs: Iterable[Mapping[str, Any]]) -> str:
    """Write the pairs of `fit --json` as CSV, in mm and mm3."""
    return csv_text(PAIR_COLUMNS, (_pair_row(pair) for pair in pairs))


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """Write columns and rows as CSV (RFC 4180); None is an empty cell, and no zero has a sign."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def _cell(cell: Any) -> Any:
    if isinstance(cell, float):
        return cell + 0.0  # -0.0 + 0.0 is 0.0
    return "" if cell is None else cell


def _check_row(row: Mapping[str, Any]) -> list[Any]:
    value = row["value"]
    band = value if isinstance(value, Mapping) else {"low": None, "nominal": value, "high": None}
    cells = {**row, "value": band["nominal"], "low": band["low"], "high": band["high"]}
    return [cells[column] for column in CHECK_COLUMNS]


def _pair_row(pair: Mapping[str, Any]) -> list[Any]:
    gap, below, clash = pair["gap"], pair["below_required"] or (None, None), pair["clash"] or (None, None)
    overlap = pair["overlap"]["volume"] if pair["overlap"] else None
    return [
        pair["a"], pair["b"], pair["kind"], pair["verdict"], gap["low"], gap["nominal"], gap["high"],
        pair["required"], pair["at_travel"], *below, *clash, overlap, "; ".join(pair["remedies"]),
    ]  # fmt: skip

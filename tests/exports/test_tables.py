from __future__ import annotations

import csv
import io

from exports.tables import CHECK_COLUMNS, PAIR_COLUMNS, checks_csv, csv_text, pairs_csv


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_a_band_keeps_its_ends() -> None:
    row = dict.fromkeys(CHECK_COLUMNS) | {
        "id": "nut.wear", "value": {"low": 0.023, "nominal": 0.1, "high": 0.229}, "limit": 0.1, "unit": "mm",
    }  # fmt: skip
    (back,) = read(checks_csv([row]))
    assert (back["low"], back["value"], back["high"]) == ("0.023", "0.1", "0.229")
    assert back["margin"] == ""


def test_a_zero_has_no_sign() -> None:
    (back,) = read(csv_text(["x", "y", "z"], [[-0.0, 0, None]]))
    assert back == {"x": "0.0", "y": "0", "z": ""}


def test_a_pair_keeps_its_windows_and_remedies() -> None:
    pair = {
        "a": "flag", "b": "rib", "kind": "travel", "verdict": "FAIL", "required": 0.5, "at_travel": 28.0,
        "gap": {"low": -0.4, "nominal": -0.4, "high": -0.4}, "below_required": [26.5, 29.7],
        "clash": [27.0, 29.2], "remedies": ["cut it", "or so"],
        "overlap": {"volume": 1.6, "box": [[0, 0, 0], [1, 1, 1]], "at_travel": 28.0},
    }  # fmt: skip
    (back,) = read(pairs_csv([pair]))
    assert list(back) == list(PAIR_COLUMNS)
    assert (back["clash_from_mm"], back["clash_to_mm"], back["overlap_mm3"]) == ("27.0", "29.2", "1.6")
    assert back["remedies"] == "cut it; or so"

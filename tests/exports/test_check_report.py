"""The numbers for people: what comes first, what is left to -v, and the width."""

from __future__ import annotations

import io
from typing import Any

from exports.check_report import print_check


def row(id: str, verdict: str, **other: Any) -> dict[str, Any]:
    plain = {
        "id": id, "title": f"Title of {id}", "verdict": verdict, "value": 2.0, "unit": "mm", "limit": None,
        "margin": None, "margin_kind": "ratio", "note": "", "remedy": "", "cautions": [], "missing": [],
        "counts": True, "inputs": {}, "formula": "a / b", "source": "from a book", "flip": None,
    }  # fmt: skip
    return plain | other


def printed(*rows: dict[str, Any], verbosity: int = 0) -> str:
    out = io.StringIO()
    design = {"title": "Lid lift", "file": "lid.toml", "sha256": "0123456789abcdef"}
    print_check({"design": design, "verdict": "FAIL", "checks": rows}, stream=out, verbosity=verbosity)
    return out.getvalue()


ROWS = (
    row("drive.a", "PASS"),
    row("stops.b", "FAIL", limit=1.0, margin=0.5, remedy="nut.length of 20 mm or more", cautions=["mind it"]),
    row("life.c", "NOT PROVEN", note="test it"),
    row("motor.d", "NOT CHECKED", value=None, missing=["motor.kind"], note="needs motor.kind", counts=False),
    row("gearing.e", "INFO", value=None, note="no stage has teeth"),
)


def test_what_is_not_proven_comes_before_what_fails_and_both_before_the_table() -> None:
    text = printed(*ROWS)
    assert text.splitlines()[:2] == [
        "Lid lift   (lid.toml, sha256 0123456789ab)",
        "FAIL  numbers: 1 FAIL, 1 NOT PROVEN, 1 PASS, 1 INFO; 1 not asked for",
    ]
    order = ["Not proven by calculation", "Fails", "motor.kind (1 row)", " check ", "Cautions"]
    assert sorted(order, key=text.index) == order
    assert "Not asked for, so not checked: 1 row. What to give" in text
    assert "stops.b: Title of stops.b, 2 mm, against 1 mm. To pass: nut.length of 20 mm or more." in text
    assert "mind it (stops.b)" in text


def test_what_is_accepted_is_said_with_its_evidence() -> None:
    text = printed(row("life.c", "NOT PROVEN", note="test it", accepted="100 km on the bench, TR-9"))
    assert "life.c: Title of life.c, 2 mm. test it. Accepted: 100 km on the bench, TR-9." in text


def test_a_row_with_nothing_to_say_is_named_under_the_table_and_stands_in_it_with_more_words() -> None:
    text = printed(*ROWS)
    assert "Nothing here for\n  no stage has teeth: gearing.e\n" in text
    assert "Title of gearing.e" not in text
    more = printed(*ROWS, verbosity=1)
    assert "Nothing here for" not in more
    assert "no stage has teeth" in more


def test_nothing_is_named_under_the_table_where_every_row_speaks() -> None:
    assert "Nothing here for" not in printed(ROWS[0])


def test_rows_that_say_the_same_of_one_quantity_are_said_once() -> None:
    alike = [row(f"motor.margin.{end}", "FAIL", note="not enough") for end in ("supply", "warm")]
    other = [
        row("motor.margin.cold", "FAIL", note="nor here"),
        row("stops.margin.warm", "FAIL", note="not enough"),
    ]
    lines = printed(*alike, *other).splitlines()
    said = lines[lines.index("Fails") + 1 : lines.index("Fails") + 4]
    assert [line.partition(":")[0] for line in said] == [
        "  motor.margin.supply, .warm", "  motor.margin.cold", "  stops.margin.warm",
    ]  # fmt: skip


def test_quiet_is_the_heading_and_the_verdict() -> None:
    assert len(printed(*ROWS, verbosity=-1).splitlines()) == 2


def test_inputs_wanted_by_one_row_each_are_counted_when_they_are_many() -> None:
    waiting = [
        row(f"motor.x{i}", "NOT CHECKED", value=None, missing=[f"motor.y{i}"], counts=False)
        for i in range(13)
    ]
    assert "and 13 inputs that one row each waits for (-v lists them)" in printed(*waiting)
    assert "motor.y12 (1 row each)" in printed(*waiting, verbosity=1)
    assert "motor.y11 (1 row each)" in printed(*waiting[:12])


def test_nothing_is_wider_than_a_hundred_columns() -> None:
    long = row("guide." + "z" * 30, "WARN", title="words " * 40, note="more " * 60, cautions=["care " * 50])
    assert max(map(len, printed(*ROWS, long, verbosity=1).splitlines())) <= 100


def test_sections_that_no_check_reads_are_said() -> None:
    out = io.StringIO()
    design = {"title": None, "file": "lid.toml", "sha256": "0" * 64}
    document = {"design": design, "verdict": "PASS", "checks": [], "sections_without_check": ["print"]}
    print_check(document, stream=out)
    assert "untitled design" in out.getvalue()
    assert "Read, but no check uses it yet: [print]" in out.getvalue()

"""The fit for people: pairs, culprits, windows, room."""

from __future__ import annotations

import io
from typing import Any

from exports.fit_report import SHOWN_PAIRS, print_fit


def pair(a: str, b: str, verdict: str = "PASS", gap: float | None = 0.7, **other: Any) -> dict[str, Any]:
    interval = {"nominal": gap, "low": gap, "high": gap}
    plain = {
        "a": a, "b": b, "kind": "travel", "verdict": verdict, "gap": interval, "required": 0.5,
        "at_travel": 28.1, "below_required": None, "clash": None, "overlap": None, "remedies": [],
    }  # fmt: skip
    return plain | other


def printed(*pairs: dict[str, Any], verbosity: int = 0, **other: Any) -> str:
    document = {
        "design": {"title": "Lid lift", "file": "lid.toml", "sha256": "0123456789abcdef"},
        "verdict": "FAIL", "travel": {"from": -4.0, "to": 64.0}, "pairs": pairs, "not_checked": [],
        "cautions": [], "clear_windows": [[-4.0, 26.5], [29.7, 64.0]], "longest_stroke": [29.7, 64.0],
        "room": {"+x": {"distance": 0.5, "a": "arm", "b": "wall"}, "-x": None},
        "bodies": [{"name": "arm", "role": "load", "closed": True, "chord_error": 0.004, "source": "box"}],
    }  # fmt: skip
    out = io.StringIO()
    print_fit(document | other, stream=out, verbosity=verbosity)
    return out.getvalue()


RIB = pair(
    "flag", "rib", "FAIL", -0.4, below_required=[26.5, 29.7], clash=[27.0, 29.2],
    overlap={"volume": 1.6, "at_travel": 28.1}, remedies=["cut rib 0.9 mm along x"],
)  # fmt: skip


def test_a_culprit_shows_gap_windows_overlap_and_remedy() -> None:
    lines = printed(RIB, pair("arm", "wall")).splitlines()
    assert lines[1] == "FAIL  clearance over s -4 .. 64 mm, 2 pairs: 1 FAIL, 1 PASS"
    cells = next(line for line in lines if line.startswith("FAIL     flag / rib")).split()
    assert cells[4:6] == ["travel", "-0.400"]
    assert " ".join(cells[9:]) == "0.5 28.10 26.5 .. 29.7 27 .. 29.2"
    assert "  overlap 1.6 mm3 at s = 28.1 mm" in lines
    assert "  cut rib 0.9 mm along x" in lines
    assert "Clear windows of travel (every pair at what it needs): s -4 .. 26.5, 29.7 .. 64 mm" in lines
    assert "Longest clear stroke: 34.3 mm (s 29.7 .. 64)" in lines
    assert "  +x 0.5 (arm / wall)" in lines


def test_an_overlap_of_bodies_that_stand_names_no_travel() -> None:
    still = pair("motor", "floor", "FAIL", -6.0, at_travel=None, overlap={"volume": 3.0, "at_travel": None})
    assert "  overlap 3 mm3" in printed(still).splitlines()


def test_without_a_clear_stroke_it_says_none() -> None:
    text = printed(RIB, clear_windows=[], longest_stroke=None)
    assert "(every pair at what it needs): s none mm" in text
    assert "Longest" not in text


def test_an_overlap_leaves_no_room_in_any_direction() -> None:
    none = {"distance": 0.0, "a": "flag", "b": "rib"}
    text = printed(RIB, room={"+x": none, "-x": none, "+y": none})
    assert "No room in any direction: flag and rib overlap within the usable stroke." in text
    assert "Room of the screw" not in text


def test_what_was_not_checked_comes_before_the_pairs() -> None:
    text = printed(RIB, not_checked=["cover: open surface"], cautions=["a reason"])
    order = ["Not checked", "cover: open surface", "verdict  pair", "Cautions"]
    assert sorted(order, key=text.index) == order


def test_more_pairs_than_a_screen_are_counted_and_shown_with_more_words() -> None:
    many = [pair(f"arm {i}", "wall") for i in range(SHOWN_PAIRS + 3)]
    assert "and 3 pairs more, none worse (-v prints all)" in printed(*many)
    more = printed(*many, verbosity=1)
    assert f"arm {SHOWN_PAIRS + 2} / wall" in more
    assert "chord error, mm" in more


def test_nothing_is_wider_than_a_hundred_columns() -> None:
    assert max(map(len, printed(pair("a" * 15 + " carriage", "b" * 15 + " wall")).splitlines())) <= 100


def test_quiet_is_the_heading_and_the_verdict() -> None:
    assert len(printed(RIB, verbosity=-1).splitlines()) == 2

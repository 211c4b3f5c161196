"""The fit for people: verdict, what was not checked, culprits with their windows, room left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import IO, Any

from exports.console import Console, Styled, console, paragraph, print_table
from exports.wording import COLOURS, heading, millimetres, number, tally, window

SHOWN_PAIRS = 14  # a screenful; -v prints all


def print_fit(document: Mapping[str, Any], *, stream: IO[str] | None = None, verbosity: int = 0) -> None:
    """Print the document of `fit --json` for people, at most 100 columns wide.

    verbosity -1 prints the verdict alone; 1 prints every pair and body.
    """
    out = console(stream)
    pairs: Sequence[Mapping[str, Any]] = document["pairs"]
    travel = document["travel"]
    out.print(heading(document["design"]), style="bold")
    out.print(f"{document['verdict']}  ", style=COLOURS[document["verdict"]], end="")
    out.print(
        f"clearance over s {number(travel['from'])} .. {number(travel['to'])} mm, "
        f"{len(pairs)} pairs: {tally(pair['verdict'] for pair in pairs)}"
    )
    if verbosity < 0:
        return
    print_pairs(out, document, len(pairs) if verbosity > 0 else SHOWN_PAIRS)
    _print_room(out, document)
    if verbosity > 0:
        _print_bodies(out, document["bodies"])


def print_pairs(out: Console, document: Mapping[str, Any], most: int) -> None:
    """Print what was not checked, the worst pairs (so many at most), the culprits and the cautions."""
    _print_list(out, "Not checked", document["not_checked"], "NOT CHECKED")
    _print_table(out, document["pairs"], most)
    _print_culprits(out, document["pairs"])
    _print_list(out, "Cautions", document["cautions"], "WARN")


def _print_list(out: Console, title: str, items: Sequence[str], verdict: str) -> None:
    if items:
        out.print()
        out.print(title, style=COLOURS[verdict])
        for item in items:
            out.print(paragraph(item))


def _print_table(out: Console, pairs: Sequence[Mapping[str, Any]], most: int) -> None:
    rows = [
        (
            Styled(pair["verdict"], COLOURS[pair["verdict"]]),
            f"{pair['a']} / {pair['b']}",
            pair["kind"],
            millimetres(pair["gap"]["nominal"]),
            _interval(pair["gap"]),
            "-" if pair["required"] is None else number(pair["required"]),
            "-" if pair["at_travel"] is None else f"{pair['at_travel']:.2f}",
            window(pair["below_required"]),
            window(pair["clash"]),
        )
        for pair in pairs[:most]
    ]
    columns = ("verdict", "pair", "kind", "gap", "low .. high", "need", "at s", "under need", "clash")
    out.print()
    print_table(out, columns, rows, flexible="pair", numeric=columns[3:])
    if len(pairs) > most:
        out.print(f"  and {len(pairs) - most} pairs more, none worse (-v prints all)")


def _interval(gap: Mapping[str, float | None]) -> str:
    return "-" if gap["low"] is None else f"{millimetres(gap['low'])} .. {millimetres(gap['high'])}"


def _print_culprits(out: Console, pairs: Sequence[Mapping[str, Any]]) -> None:
    for pair in pairs:
        if pair["verdict"] not in ("FAIL", "NOT PROVEN") or not (pair["remedies"] or pair["overlap"]):
            continue
        out.print()
        out.print(f"{pair['a']} / {pair['b']}", style=COLOURS[pair["verdict"]])
        if overlap := pair["overlap"]:
            at = overlap["at_travel"]
            place = "" if at is None else f" at s = {number(at)} mm"  # a static pair has no travel
            out.print(f"  overlap {number(overlap['volume'])} mm3{place}")
        for remedy in pair["remedies"]:
            out.print(paragraph(remedy))


def _print_room(out: Console, document: Mapping[str, Any]) -> None:
    out.print()
    longest = document["longest_stroke"]
    clear = ", ".join(window(span) for span in document["clear_windows"]) or "none"
    out.print(f"Clear windows of travel (every pair at what it needs): s {clear} mm")
    if longest is not None:
        out.print(f"Longest clear stroke: {_length(longest)}")
    rooms = [
        f"{direction} {number(room['distance'], 3)} ({room['a']} / {room['b']})"
        for direction, room in document["room"].items()
        if room is not None and room["distance"] is not None
    ]
    culprits = {(room["a"], room["b"]) for room in document["room"].values() if room is not None}
    stuck = all(room is not None and room["distance"] == 0.0 for room in document["room"].values())
    if stuck and len(culprits) == 1:
        out.print(f"No room in any direction: {' and '.join(*culprits)} overlap within the usable stroke.")
    elif rooms:
        out.print("Room of the screw and all that moves, over the usable stroke, mm:")
        for start in range(0, len(rooms), 2):
            out.print("  " + "   ".join(rooms[start : start + 2]))


def _length(longest: Any) -> str:
    if isinstance(longest, Sequence):
        return f"{number(longest[1] - longest[0])} mm (s {window(longest)})"
    return f"{number(longest)} mm"


def _print_bodies(out: Console, bodies: Sequence[Mapping[str, Any]]) -> None:
    rows = [
        (
            body["name"],
            body["role"],
            "yes" if body["closed"] else "no",
            number(body["chord_error"], 2),
            body["source"],
        )
        for body in bodies
    ]
    out.print()
    columns = ("body", "role", "closed", "chord error, mm", "from")
    print_table(out, columns, rows, flexible="from", numeric=("chord error, mm",))

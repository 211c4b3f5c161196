"""The numbers for people: what was not checked and not proven first, then every check."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import IO, Any

from exports.console import Console, Styled, console, paragraph, print_table
from exports.wording import COLOURS, heading, margin, measure, number, tally_checks

Row = Mapping[str, Any]

FEW = 12  # inputs that are listed in any case

FIRST_WORDS = {
    "FAIL": "Fails",
    "NOT CHECKED": "Not checked",
    "NOT PROVEN": "Not proven by calculation",
    "WARN": "Look at these",
}


def print_check(document: Mapping[str, Any], *, stream: IO[str] | None = None, verbosity: int = 0) -> None:
    """Print the document of `check --json` for people, at most 100 columns wide.

    verbosity -1 prints the verdict alone; 1 adds each check in full.
    """
    out = console(stream)
    rows: Sequence[Row] = document["checks"]
    out.print(heading(document["design"]), style="bold")
    out.print(f"{document['verdict']}  ", style=COLOURS[document["verdict"]], end="")
    out.print(f"numbers: {tally_checks(rows)}")
    if verbosity < 0:
        return
    print_matters(out, rows)
    _print_left_out(out, rows, verbosity)
    idle = [row for row in rows if row["verdict"] == "INFO" and row["value"] is None and verbosity < 1]
    _print_table(out, [row for row in rows if row["counts"] and row not in idle])
    _print_idle(out, idle)
    if verbosity > 0 and document.get("screw_kinds"):
        from exports.screw_choice import print_choices

        print_choices(out, document["screw_kinds"])
    _print_cautions(out, rows)
    _print_asides(out, document)
    if verbosity > 0:
        from exports.explain import print_in_full

        for row in rows:
            print_in_full(out, row)


def _print_idle(out: Console, rows: Sequence[Row]) -> None:
    """Name rows with nothing to say under what keeps them from it."""
    reasons: dict[str, list[str]] = {}
    for row in rows:
        reasons.setdefault(row["note"], []).append(row["id"])
    if reasons:
        out.print()
        out.print("Nothing here for")
    for reason, ids in reasons.items():
        out.print(paragraph(f"{reason}: {', '.join(ids)}"))


def print_matters(out: Console, rows: Sequence[Row]) -> None:
    """List what a reviewer must know before the table, most serious first."""
    for verdict in ("NOT CHECKED", "NOT PROVEN", "FAIL", "WARN"):
        chosen = [row for row in rows if row["verdict"] == verdict and row["counts"]]
        if not chosen:
            continue
        out.print()
        out.print(FIRST_WORDS[verdict], style=COLOURS[verdict])
        for same in _alike(chosen):
            out.print(paragraph(f"{_ids(same)}: {_sentence(same[0])}"))


def _alike(rows: Sequence[Row]) -> list[list[Row]]:
    """Put rows that say the same of one quantity together: one motor at four corners often does."""
    found: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        said = (
            row["id"].rpartition(".")[0],
            row["note"],
            row["remedy"],
            repr(row["value"]),
            repr(row["limit"]),
        )
        found.setdefault(said if row["note"] else (row["id"],), []).append(row)
    return list(found.values())


def _ids(rows: Sequence[Row]) -> str:
    """Name rows by the first's id and what the others add to its head: `motor.margin.supply, .warm`."""
    first, *others = (row["id"] for row in rows)
    return ", ".join([first, *(f".{other.rpartition('.')[2]}" for other in others)])


def _print_left_out(out: Console, rows: Sequence[Row], verbosity: int) -> None:
    """List the inputs that were left out, those that the most checks wait for first."""
    waiting = [row for row in rows if row["verdict"] == "NOT CHECKED" and not row["counts"]]
    if not waiting:
        return
    wanted = Counter(field for row in waiting for field in row["missing"])
    alone = [field for field, count in wanted.items() if count == 1]
    short = verbosity < 1 and len(alone) > FEW
    out.print()
    rows_waiting = "1 row" if len(waiting) == 1 else f"{len(waiting)} rows"
    out.print(f"Not asked for, so not checked: {rows_waiting}. What to give, most useful first:")
    for count, group in groupby(wanted.most_common(), key=lambda item: item[1]):
        fields = [field for field, _ in group]
        if count == 1 and short:
            out.print(f"  and {len(alone)} inputs that one row each waits for (-v lists them)")
        else:
            each = f"{count} {'row' if count == 1 else 'rows'}{' each' * (len(fields) > 1)}"
            out.print(paragraph(f"{', '.join(fields)} ({each})"))


def _sentence(row: Row) -> str:
    parts = [row["title"]]
    if row["value"] is not None:
        parts.append(measure(row["value"], row["unit"]))
        if row["limit"] is not None:
            parts.append(f"against {number(row['limit'])} {row['unit']}".rstrip())
    text = ", ".join(parts)
    remedy = f"To pass: {row['remedy']}" if row["remedy"] else ""
    accepted = f"Accepted: {row['accepted']}" if row.get("accepted") else ""
    return ". ".join(part.rstrip(".") for part in (text, row["note"], remedy, accepted) if part) + "."


def _print_table(out: Console, rows: Sequence[Row]) -> None:
    """Print checks under their families, the rest of each id behind the title."""
    cells: list[Sequence[str | Styled]] = []
    before = ""
    for row in rows:
        family, _, rest = row["id"].partition(".")
        if family != before:
            cells.append(("", Styled(family, "bold"), "", "", ""))
        before = family
        cells.append(
            (
                Styled(row["verdict"], COLOURS[row["verdict"]]),
                f"{row['title']} [{rest}]",
                measure(row["value"], row["unit"]),
                number(row["limit"]),
                margin(row),
            )
        )
    out.print()
    columns = ("verdict", "check", "value", "limit", "margin")
    print_table(out, columns, cells, flexible="check", numeric=columns[2:])


def _print_cautions(out: Console, rows: Sequence[Row]) -> None:
    said: dict[str, list[str]] = {}
    for row in rows:
        for caution in row["cautions"]:
            said.setdefault(caution, []).append(row["id"])
    if said:
        out.print()
        out.print("Cautions", style="bold")
        for caution, ids in said.items():
            out.print(paragraph(f"{caution} ({', '.join(ids)})"))


def _print_asides(out: Console, document: Mapping[str, Any]) -> None:
    unused = document.get("sections_without_check") or []
    if unused:
        out.print()
        out.print(f"Read, but no check uses it yet: {', '.join(f'[{name}]' for name in unused)}")

"""The terminal: one console of at most 100 columns, plain when it is not a terminal or NO_COLOR is set."""

from __future__ import annotations

import os
import sys
import textwrap
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import IO, NamedTuple

import click

WIDTH = 100
GAP = 2
LEAST_COLUMN = 16

Progress = Callable[[str, int, int], None]


class Styled(NamedTuple):
    """A cell with its style."""

    text: str
    style: str = ""


@dataclass(frozen=True)
class Console:
    """Where people read: a stream, and whether it takes colours."""

    stream: IO[str]
    colours: bool

    def print(self, text: str = "", style: str = "", end: str = "\n") -> None:
        """Write a text in a style such as "bold red" (bold, dim, and a colour)."""
        click.echo(self.styled(text, style) + end, file=self.stream, nl=False, color=self.colours)

    def styled(self, text: str, style: str) -> str:
        """Give the text with the codes of its style where the stream takes colours."""
        if not (self.colours and style):
            return text
        words = style.split()
        colour = next((word for word in words if word not in ("bold", "dim")), None)
        return click.style(text, fg=colour, bold="bold" in words or None, dim="dim" in words or None)


def console(stream: IO[str] | None = None) -> Console:
    """Open a console on standard output, or on a stream that gets plain text."""
    if stream is not None:
        return Console(stream, False)
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return Console(sys.stdout, sys.stdout.isatty() and not plain)


def print_table(
    out: Console,
    columns: Sequence[str],
    rows: Iterable[Sequence[str | Styled]],
    *,
    flexible: str,
    numeric: Collection[str] = (),
) -> None:
    """Print a table without lines: numeric columns stand right, the flexible one wraps to what is left."""
    cells = [[Styled(name, "bold") for name in columns]]
    cells += [[cell if isinstance(cell, Styled) else Styled(cell) for cell in row] for row in rows]
    widths = [max(len(row[i].text) for row in cells) for i in range(len(columns))]
    wrapping = columns.index(flexible)
    others = sum(widths) - widths[wrapping] + GAP * (len(columns) - 1)
    widths[wrapping] = max(min(widths[wrapping], WIDTH - others), LEAST_COLUMN)
    lines = []
    for row in cells:
        for number, part in enumerate(textwrap.wrap(row[wrapping].text, widths[wrapping]) or [""]):
            line = []
            for index, cell in enumerate(row):
                text = part if index == wrapping else cell.text if number == 0 else ""
                text = text.rjust(widths[index]) if columns[index] in numeric else text.ljust(widths[index])
                line.append(out.styled(text, cell.style))
            lines.append((" " * GAP).join(line).rstrip())
    out.print("\n".join(lines))


def paragraph(text: str, indent: int = 2) -> str:
    """Wrap a text to the width with a hanging indent, long words whole."""
    first, rest = " " * indent, " " * (indent + 2)
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )


@contextmanager
def progress_bar(wanted: bool) -> Iterator[Progress | None]:
    """Give a callback (stage, done, total) that draws a bar on standard error; None off a terminal."""
    if not wanted or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console as BarConsole
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    with Progress(
        TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(),
        console=BarConsole(stderr=True), transient=True,
    ) as bars:  # fmt: skip
        task = bars.add_task("", total=None)

        def report(stage: str, done: int, total: int) -> None:
            bars.update(task, description=stage, completed=done, total=total)

        yield report

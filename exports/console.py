"""The terminal: one console of at most 100 columns, plain when it is not a terminal or NO_COLOR is set."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import IO, TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from rich.console import Console

WIDTH = 100
GAP = 2
LEAST_COLUMN = 16

Progress = Callable[[str, int, int], None]


class Styled(NamedTuple):
    """A cell with its style."""

    text: str
    style: str = ""


def console(stream: IO[str] | None = None) -> Console:
    """Open a console on standard output, or on a stream that gets plain text; rich is loaded here."""
    from rich.console import Console

    out = Console(file=stream, highlight=False, emoji=False, markup=False, soft_wrap=False)
    out.width = min(out.width, WIDTH) if out.is_terminal else WIDTH
    return out


def print_table(
    out: Console,
    columns: Sequence[str],
    rows: Iterable[Sequence[str | Styled]],
    *,
    flexible: str,
    numeric: Collection[str] = (),
) -> None:
    """Print a table without lines: numeric columns stand right, the flexible one wraps to what is left.

    Laid out here and printed as one text, since a hundred rows of rich's own tables cost a tenth of a second.
    """
    import textwrap

    from rich.text import Text

    cells = [[Styled(name, "bold") for name in columns]]
    cells += [[cell if isinstance(cell, Styled) else Styled(cell) for cell in row] for row in rows]
    widths = [max(len(row[i].text) for row in cells) for i in range(len(columns))]
    wrapping = columns.index(flexible)
    others = sum(widths) - widths[wrapping] + GAP * (len(columns) - 1)
    widths[wrapping] = max(min(widths[wrapping], WIDTH - others), LEAST_COLUMN)
    made = Text(no_wrap=True, end="")
    for row in cells:
        wrapped = textwrap.wrap(row[wrapping].text, widths[wrapping]) or [""]
        for number, part in enumerate(wrapped):
            line = Text()
            for index, cell in enumerate(row):
                text = part if index == wrapping else cell.text if number == 0 else ""
                right = columns[index] in numeric
                line.append(text.rjust(widths[index]) if right else text.ljust(widths[index]), cell.style)
                line.append(" " * GAP)
            line.rstrip()
            made.append_text(line).append("\n")
    out.print(made, soft_wrap=True, end="")


def paragraph(text: str, indent: int = 2) -> str:
    """Wrap a text to the width with a hanging indent, long words whole."""
    import textwrap

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
    import sys

    if not wanted or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    with Progress(
        TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(),
        console=Console(stderr=True), transient=True,
    ) as bars:  # fmt: skip
        task = bars.add_task("", total=None)

        def report(stage: str, done: int, total: int) -> None:
            bars.update(task, description=stage, completed=done, total=total)

        yield report

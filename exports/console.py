"""The terminal: one console of at most 100 columns, plain when it is not a terminal or NO_COLOR is set."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

WIDTH = 100

Progress = Callable[[str, int, int], None]


def console(stream: IO[str] | None = None) -> Console:
    """Open a console on standard output, or on a stream that gets plain text; rich is loaded here."""
    from rich.console import Console

    out = Console(file=stream, highlight=False, emoji=False, markup=False, soft_wrap=False)
    out.width = min(out.width, WIDTH) if out.is_terminal else WIDTH
    return out


def table(*columns: str, numeric: tuple[str, ...] = (), flexible: str = "") -> Table:
    """Make a table without lines; numeric columns stand right, the flexible one wraps first."""
    from rich.table import Table

    made = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_edge=False, header_style="bold")
    for name in columns:
        made.add_column(
            name,
            justify="right" if name in numeric else "left",
            no_wrap=name != flexible,
            ratio=1 if name == flexible else None,
        )
    return made


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

"""What `make` wrote and found, for people."""

from __future__ import annotations

from collections import defaultdict
from typing import IO, TYPE_CHECKING

from exports.check_report import print_matters
from exports.console import console, paragraph
from exports.fit_report import print_pairs
from exports.wording import COLOURS, heading, tally, tally_checks

if TYPE_CHECKING:
    from exports.make import MakeReport

WORST_PAIRS = 5


def print_made(made: MakeReport, *, stream: IO[str] | None = None, verbosity: int = 0) -> None:
    """Print the verdict, what matters of check and fit, and the files; at verbosity -1 the verdict alone."""
    out = console(stream)
    checks, pairs = made.check["checks"], made.fit["pairs"]
    out.print(heading(made.check["design"]), style="bold")
    out.print(made.verdict, style=COLOURS[made.verdict], end="")
    out.print(f"   numbers: {tally_checks(checks)}")
    out.print(" " * len(made.verdict) + f"   fit:     {tally(pair['verdict'] for pair in pairs)}")
    if verbosity < 0:
        return
    print_matters(out, checks)
    print_pairs(out, made.fit, len(pairs) if verbosity > 0 else WORST_PAIRS)
    out.print()
    out.print(f"Wrote {len(made.files)} files and manifest.json into {made.folder}:")
    by_kind: dict[str, list[str]] = defaultdict(list)
    for file in made.files:
        by_kind[file.kind].append(file.file)
    for kind, names in by_kind.items():
        out.print(paragraph(f"{kind}: {', '.join(names)}"))
    if made.left_over:
        out.print(f"Left there by an earlier run, not of this one: {', '.join(made.left_over)}")
    out.print("Read every check with: strokebox check FILE; every pair with: strokebox fit FILE -v")

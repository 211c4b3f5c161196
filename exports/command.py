"""The command line: reads words, prints documents, sets the exit status."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from exports.documents import as_text, check_document, error_document, exit_status, fit_document
from geometry import VERSION
from geometry.errors import InputError, Problem

if TYPE_CHECKING:
    from geometry.design import Design

UNUSABLE, OURS, INTERRUPTED, READER_LEFT = 2, 3, 130, 141  # exit statuses beside those of a verdict

Command = TypeVar("Command", bound=Callable[..., Any])
FILE = click.argument("file", type=click.Path(path_type=Path))
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
STRICT = click.option("--strict", is_flag=True, help="Let WARN and NOT PROVEN end with status 1 too.")


def verbosity(function: Command) -> Command:
    """Give a command the options -q and -v."""
    quiet = click.option("-q", "--quiet", is_flag=True, help="Print the verdict alone.")
    loud = click.option("-v", "--verbose", is_flag=True, help="Print every formula, source, input and pair.")
    return quiet(loud(function))


def level(quiet: bool, verbose: bool) -> int:
    """Turn -q and -v into -1, 0 or 1."""
    return int(verbose) - int(quiet)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(VERSION, prog_name="strokebox")
def main() -> None:
    """Choose and prove a small motor-driven screw actuator in the housing it must fit.

    \b
    Start here:   strokebox demo
    Your own:     strokebox start lift.toml
                  strokebox check lift.toml
                  strokebox fit lift.toml
                  strokebox make lift.toml -o lift-out

    Exit status: 0 nothing failed, 1 the design does not work, 2 the input cannot be used,
    3 something broke that is ours to mend, 4 something asked for could not be checked.
    """


@main.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), default=Path("strokebox-demo"))
@verbosity
def demo(folder: Path, quiet: bool, verbose: bool) -> int:
    """Write the demo project into FOLDER and make everything from its first design.

    \b
    Example:  strokebox demo
              strokebox demo ~/try-it
    """
    from exports.demo import write_demo

    first = write_demo(folder)
    click.echo(f"Wrote the demo project into {folder}; README.md there says what each design shows.\n")
    return _make(first, first.with_name(f"{first.stem}-out"), (), False, False, level(quiet, verbose))


@main.command()
@FILE
def start(file: Path) -> int:
    """Write a commented design file to edit; an existing file is never overwritten.

    \b
    Example:  strokebox start lift.toml
    """
    from exports.files import write_new
    from exports.start import start_text

    write_new(file, start_text())
    click.echo(f"Wrote {file}. Edit it, then: strokebox check {file}")
    return 0


@main.command()
@FILE
@AS_JSON
@click.option("--explain", default="", metavar="ID", help="Show one check in full, such as drive.holding.")
@STRICT
@verbosity
def check(file: Path, as_json: bool, explain: str, strict: bool, quiet: bool, verbose: bool) -> int:
    """Run the numbers of FILE: every check with value, limit, margin, verdict and source.

    With -v, text and JSON also give the solved remedy and what would flip it for rows that do not fail, and
    the same duty on metric, trapezoidal, Acme and ball screws beside the design's own.

    \b
    Example:  strokebox check lift.toml
              strokebox check lift.toml --json > numbers.json
              strokebox check lift.toml --explain drive.holding
    """
    from calcs.check_design import check_design
    from calcs.check_ids import read_design

    design = read_design(file)
    if explain:
        return _explain(design, explain, as_json=as_json, strict=strict)
    report = check_design(design, flips=verbose)
    document = check_document(design, report.results, report.verdict, report.unused_sections, report.screws)
    if as_json:
        click.echo(as_text(document), nl=False)
    else:
        from exports.check_report import print_check

        print_check(document, verbosity=level(quiet, verbose))
    return exit_status(report.verdict, strict=strict)


def _explain(design: Design, id: str, *, as_json: bool, strict: bool) -> int:
    """Show one check in full; the exit status is that of its verdict, where it counts."""
    from calcs.check_design import explain_check
    from calcs.result import overall

    row, behind = explain_check(design, id)
    document = check_document(design, (row,), overall((row,)), ())
    if as_json:
        click.echo(as_text(document), nl=False)
    else:
        from exports.explain import print_explained

        print_explained(document, behind)
    return exit_status(document["verdict"], strict=strict)


@main.command()
@FILE
@AS_JSON
@STRICT
@verbosity
def fit(file: Path, as_json: bool, strict: bool, quiet: bool, verbose: bool) -> int:
    """Find the clearance of FILE over the whole travel: gaps, culprits, clashes, windows, room left.

    \b
    Example:  strokebox fit lift.toml
              strokebox fit lift.toml --json > gaps.json
    """
    from calcs.check_ids import read_design
    from calcs.fit_design import fit_design
    from exports.console import progress_bar

    design = read_design(file)
    gc.enable()
    with progress_bar(not as_json and not quiet) as progress:
        report = fit_design(design, progress=progress)
    document = fit_document(design, report)
    if as_json:
        click.echo(as_text(document), nl=False)
    else:
        from exports.fit_report import print_fit

        print_fit(document, verbosity=level(quiet, verbose))
    return exit_status(report.verdict, strict=strict)


@main.command()
@FILE
@click.option(
    "-o", "--out", type=click.Path(path_type=Path, file_okay=False), help="Folder; default NAME-out."
)
@click.option("--only", default="", metavar="KIND,...", help="Write only: step, stl, mockup, results.")
@click.option("--with-housing", is_flag=True, help="Put the housing into the STEP assemblies too.")
@STRICT
@verbosity
def make(
    file: Path, out: Path | None, only: str, with_housing: bool, strict: bool, quiet: bool, verbose: bool
) -> int:
    """Write everything of FILE: STEP, STL, mock-up, results. Also when a check fails.

    \b
    Example:  strokebox make lift.toml -o lift-out
              strokebox make lift.toml --only step,results
    """
    kinds = tuple(word for word in only.replace(" ", "").split(",") if word)
    folder = out or file.with_name(f"{file.stem}-out")
    return _make(file, folder, kinds, with_housing, strict, level(quiet, verbose))


def _make(
    file: Path, folder: Path, kinds: tuple[str, ...], with_housing: bool, strict: bool, words: int
) -> int:
    from calcs.check_ids import read_design
    from exports.console import progress_bar
    from exports.make import make_files
    from exports.make_report import print_made

    design = read_design(file)
    gc.enable()
    with progress_bar(words >= 0) as progress:
        made = make_files(design, folder, only=kinds, with_housing=with_housing, progress=progress)
    print_made(made, verbosity=words)
    return exit_status(made.verdict, strict=strict)


@main.command()
@click.argument("subject", type=click.Choice(["threads", "screws", "materials", "checks", "units", "schema"]))
def known(subject: str) -> int:
    """Print what the tool knows, with its sources; or the JSON schema of the design file.

    \b
    Example:  strokebox known threads
              strokebox known schema > design-schema.json
    """
    from exports.known import print_known

    print_known(subject)
    return 0


def run() -> None:
    """Run the command and leave with its exit status; no traceback ever reaches the user."""
    sys.exit(_status(sys.argv[1:]))


def _status(words: list[str]) -> int:
    try:
        status = main.main(words, prog_name="strokebox", standalone_mode=False)
        sys.stdout.flush()
        return int(status or 0)
    except InputError as error:
        return _say_problems(error.problems, as_json="--json" in words)
    except click.UsageError as error:
        if "--json" in words:
            return _say_problems((Problem(error.format_message()),), as_json=True)
        error.show()
        return UNUSABLE
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped; nothing half-written was left.", err=True)
        return INTERRUPTED
    except (BrokenPipeError, SystemExit):  # click turns the first into the second, with status 1
        # The reader left, as `| head` does: no error of ours, and no verdict on the design either.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return READER_LEFT
    except Exception as error:  # noqa: BLE001 - the last net: whatever is left is ours to mend, and is logged whole
        return _say_broken(error)


def _say_problems(problems: tuple[Problem, ...], *, as_json: bool) -> int:
    if as_json:
        click.echo(as_text(error_document(problems)), nl=False)
    for problem in problems:
        click.echo(str(problem), err=True)
    return UNUSABLE


def _say_broken(error: Exception) -> int:
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile(
        "w", prefix="strokebox-", suffix=".log", delete=False, encoding="utf-8"
    ) as log:
        log.write(f"strokebox {VERSION}, arguments {sys.argv[1:]}\n\n")
        traceback.print_exception(error, file=log)
    what = str(error).splitlines()[0] if str(error) else type(error).__name__
    click.echo(f"strokebox broke ({what}); this is ours to mend. The details are in {log.name}", err=True)
    return OURS

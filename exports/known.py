"""What the tool knows, printed with its sources."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from exports.console import console, paragraph, print_table
from exports.documents import as_text
from exports.wording import measure, number

if TYPE_CHECKING:
    from calcs.check import Check


def print_known(subject: str) -> None:
    """Print one subject: threads, screws, materials, checks, units or schema."""
    {
        "threads": _print_threads,
        "screws": _print_screws,
        "materials": _print_materials,
        "checks": _print_checks,
        "units": _print_units,
        "schema": _print_schema,
    }[subject]()


def _print_threads() -> None:
    from geometry.threads import families

    out = console()
    for family in families():
        out.print(family.name, style="bold")
        out.print(paragraph(f"{family.source}; written like {family.example}"))
        if family.free_sizes:
            out.print(paragraph("any diameter goes with any pitch; for example:"))
        for source, designations in _grouped((size.source, size.designation) for size in family.sizes):
            out.print(paragraph(", ".join(designations)))
            out.print(paragraph(f"sizes from {source}", 4), style="dim")
        for note, designations in _grouped(
            (size.note, size.designation) for size in family.sizes if size.note
        ):
            out.print(paragraph(f"{', '.join(designations)}: {note}"))
        for name in family.classes:
            note = family.class_note(name)
            out.print(
                paragraph(f"limits in {name} from {family.class_source(name)}" + (note and f"; {note}"))
            )
        if not family.classes and family.no_classes:
            out.print(paragraph(f"no tolerance classes: {family.no_classes}"))
        out.print()


def _print_screws() -> None:
    from geometry.cap_screws import cap_screw_sources, cap_screws

    rows = [(size, *(number(value) for value in screw)) for size, screw in cap_screws().items()]
    columns = ("screw", "head d", "head h", "fine", "medium", "coarse", "drill")
    out = console()
    print_table(out, columns, rows, flexible="screw", numeric=columns[1:])
    for source in cap_screw_sources():
        out.print(paragraph(source), style="dim")


def _grouped(pairs: Iterable[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    found: dict[str, list[str]] = {}
    for key, value in pairs:
        found.setdefault(key, []).append(value)
    return list(found.items())


def _print_materials() -> None:
    from calcs.materials import materials

    rows = [
        (
            ", ".join((known.name, *known.also)),
            number(known.density_kg_m3),
            number(None if known.elastic_modulus_pa is None else known.elastic_modulus_pa / 1e9),
            number(None if known.expansion_per_k is None else known.expansion_per_k * 1e6),
            known.source,
        )
        for known in materials()
    ]
    columns = ("material", "kg/m3", "GPa", "1e-6/K", "source")
    print_table(console(), columns, rows, flexible="source", numeric=columns[1:4])


def _print_checks() -> None:
    from calcs.check import known_checks

    rows = [
        (known.id, _limit(known), f"{known.title}: {known.formula} [{known.source}]")
        for known in known_checks()
    ]
    columns = ("check", "limit", "what, formula and source")
    print_table(console(), columns, rows, flexible=columns[2], numeric=("limit",))


def _limit(known: Check) -> str:
    if known.limit is None:
        return "-"
    if isinstance(known.limit, str):
        return "given"
    from calcs.naming import factor

    return measure(known.limit / factor(known.shown, known.unit), known.shown)


def _print_units() -> None:
    from geometry.units import known_units

    rows = [(name, ", ".join(spellings), noun) for name, spellings, noun in known_units()]
    print_table(console(), ("unit", "written", "measures"), rows, flexible="written")


def _print_schema() -> None:
    from geometry.design import design_schema

    click.echo(as_text(design_schema()), nl=False)

"""What the tool knows, printed with its sources."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from exports.console import console, paragraph, table
from exports.documents import as_text
from exports.wording import measure, number

if TYPE_CHECKING:
    from calcs.check import Check


def print_known(subject: str) -> None:
    """Print one subject: threads, materials, checks, units or schema."""
    {
        "threads": _print_threads,
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
        for source, designations in _grouped((size.source, size.designation) for size in family.sizes):
            out.print(paragraph(", ".join(designations)))
            out.print(paragraph(f"sizes from {source}", 4), style="dim")
        for note, designations in _grouped(
            (size.note, size.designation) for size in family.sizes if size.note
        ):
            out.print(paragraph(f"{', '.join(designations)}: {note}"))
        out.print()


def _grouped(pairs: Iterable[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    found: dict[str, list[str]] = {}
    for key, value in pairs:
        found.setdefault(key, []).append(value)
    return list(found.items())


def _print_materials() -> None:
    from calcs.materials import materials

    made = table(
        "material", "kg/m3", "GPa", "1e-6/K", "source", numeric=("kg/m3", "GPa", "1e-6/K"), flexible="source"
    )
    for known in materials():
        modulus, expansion = known.elastic_modulus_pa, known.expansion_per_k
        made.add_row(
            ", ".join((known.name, *known.also)),
            number(known.density_kg_m3),
            number(None if modulus is None else modulus / 1e9),
            number(None if expansion is None else expansion * 1e6),
            known.source,
        )
    console().print(made)


def _print_checks() -> None:
    from calcs.check import known_checks

    made = table(
        "check", "limit", "what, formula and source", numeric=("limit",), flexible="what, formula and source"
    )
    for known in known_checks():
        made.add_row(known.id, _limit(known), f"{known.title}: {known.formula} [{known.source}]")
    console().print(made)


def _limit(known: Check) -> str:
    if known.limit is None:
        return "-"
    if isinstance(known.limit, str):
        return "given"
    from calcs.naming import factor

    return measure(known.limit / factor(known.shown, known.unit), known.shown)


def _print_units() -> None:
    from geometry.units import known_units

    made = table("unit", "written", "measures", flexible="written")
    for name, spellings, noun in known_units():
        made.add_row(name, ", ".join(spellings), noun)
    console().print(made)


def _print_schema() -> None:
    from geometry.design import design_schema

    click.echo(as_text(design_schema()), nl=False)

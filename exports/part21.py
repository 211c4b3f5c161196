"""The text of STEP files (ISO 10303-21): strings in ASCII, entities in one canonical order and numbering."""

from __future__ import annotations

import re
from collections.abc import Collection

_ENTITY = re.compile(r"(#\d+)\s*=\s*((?:'(?:[^']|'')*'|[^';]+)*);")
_REFERENCE = re.compile(r"#\d+")
# A quoted string (a quote inside is doubled), or a separator with the blanks that folding left around it.
_SEPARATOR = re.compile(r"('(?:[^']|'')*')|( *, *|\( +| +\))")
_STRING_OR_REFERENCE = re.compile(r"('(?:[^']|'')*')|(#\d+)")
_STYLES = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
_OCCURRENCE = "NEXT_ASSEMBLY_USAGE_OCCURRENCE("


def encoded(text: str) -> str:
    """Write a text as the inside of an ISO 10303-21 string: ASCII, others as \\X2\\ or \\X4\\ directives."""
    text = text.replace("\\", "\\\\").replace("'", "''")
    return _ascii(re.sub(r"[\x00-\x1f\x7f]", " ", text))


def _ascii(text: str) -> str:
    def directive(run: re.Match[str]) -> str:
        wide = max(run[0]) > "\uffff"
        code = run[0].encode("utf-32-be" if wide else "utf-16-be").hex().upper()
        return f"\\X{4 if wide else 2}\\{code}\\X0\\"

    return re.sub(r"[^\x00-\x7f]+", directive, text)


def canonical(written: bytes, header: str) -> bytes:
    """Rewrite a STEP file of the kernel, under the given header section, to depend on its content alone.

    The kernel numbers occurrences on within a process and writes the styles in the order of addresses. Here
    the entities keep their order, the styles follow in that of what they colour, and all are numbered anew.
    """
    # The kernel breaks lines at 72 columns, inside strings too, and writes names in UTF-8.
    text = written.replace(b"\n", b"").decode()
    data = text[text.index("DATA;") + 5 : text.rindex("ENDSEC;")]
    entities = {number: _unfolded(body) for number, body in _ENTITY.findall(data)}
    references = {number: _references(body) for number, body in entities.items()}
    order = _order(entities, references)
    new = {number: f"#{place}" for place, number in enumerate(order, 1)}
    lines = []
    occurrence = 0
    for number in order:
        body = _renumbered(entities[number], new)
        if body.startswith(_OCCURRENCE):
            occurrence += 1
            body = re.sub(r"\('[^']*'", f"('{occurrence}'", body, count=1)
        lines.append(f"{new[number]}={body};\n")
    return ("ISO-10303-21;\n" + header + "DATA;\n" + "".join(lines) + "ENDSEC;\nEND-ISO-10303-21;\n").encode(
        "ascii"
    )


def _unfolded(body: str) -> str:
    """Take out the blanks that folding put around separators, and bring strings to ASCII."""
    body = body.strip()
    if " " in body:
        body = _SEPARATOR.sub(lambda token: token[1] or token[2].strip(), body)
    return body if body.isascii() else _ascii(body)


def _has_strings(body: str) -> bool:
    # Nearly all entities have empty strings only; that these need no care makes the rewriting faster.
    return "'" in body.replace("''", "")


def _references(body: str) -> list[str]:
    if _has_strings(body):
        return [token[2] for token in _STRING_OR_REFERENCE.finditer(body) if token[2]]
    return _REFERENCE.findall(body)


def _renumbered(body: str, new: dict[str, str]) -> str:
    if _has_strings(body):
        return _STRING_OR_REFERENCE.sub(lambda token: token[1] or new[token[2]], body)
    return _REFERENCE.sub(lambda token: new[token[0]], body)


def _order(entities: dict[str, str], references: dict[str, list[str]]) -> list[str]:
    """Order the entities: those without styles as they stand, then each style with what only it uses."""
    styles = [number for number, body in entities.items() if body.startswith(_STYLES)]
    used = {child for children in references.values() for child in children}
    roots = [number for number in entities if number not in used and number not in styles]
    shapes, _ = _below(roots, references, set())
    order = [number for number in entities if number in shapes]
    place = {number: index for index, number in enumerate(order)}
    blocks = []
    for style in styles:
        own, coloured = _below([style], references, shapes)
        blocks.append((min((place[number] for number in coloured), default=len(order)), list(own)))
    ordered = (number for _, own in sorted(blocks) for number in own)
    return [*order, *dict.fromkeys(ordered)]


def _below(
    starts: list[str], references: dict[str, list[str]], others: Collection[str]
) -> tuple[dict[str, None], list[str]]:
    """Give what the starts lead to, depth first in the order of writing, and where that meets the others."""
    found: dict[str, None] = {}
    met = []
    ahead = starts[::-1]
    while ahead:
        number = ahead.pop()
        if number in others:
            met.append(number)
        elif number not in found:
            found[number] = None
            ahead.extend(reversed(references[number]))
    return found, met

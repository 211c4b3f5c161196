"""Where each key of a TOML text stands: dotted path -> line and column; tomllib tells it for errors only."""

from __future__ import annotations

import re
import tomllib

Place = tuple[int, int]
Path = tuple[str | int, ...]

_SPACE = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}|' r"'''.*?'{3,5}|" r'"(?:\\.|[^"\\\n])*"|' r"'[^'\n]*'", re.DOTALL
)
_KEY_PART = re.compile(r"""[ \t]*("(?:\\.|[^"\\\n])*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*""")
_SCALAR = re.compile(r"[^,\]}#\n]+")


def dotted(path: Path) -> str:
    """Write a path as people read it: `gears.stage[0].sun`, counted from 0. No source needed."""
    text = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in path)
    return text.removeprefix(".")


def toml_places(text: str) -> dict[str, Place]:
    """Map every table, key and list item of a valid TOML text to its (line, column), both from 1.

    Raises nothing for a text that tomllib reads. Source: TOML 1.0.0.
    """
    places: dict[str, Place] = {}
    starts = [0, *(match.end() for match in re.finditer("\n", text))]
    tables: dict[Path, int] = {}

    def note(path: Path, at: int) -> None:
        from bisect import bisect_right

        line = bisect_right(starts, at)
        places.setdefault(dotted(path), (line, at - starts[line - 1] + 1))

    def skip(at: int) -> int:
        found = _SPACE.match(text, at)
        return found.end() if found else at

    def key(at: int) -> tuple[Path, int]:
        parts: list[str | int] = []
        while (found := _KEY_PART.match(text, at)) is not None:
            raw = found[1]
            parts.append(next(iter(tomllib.loads(f"{raw} = 0"))) if raw[0] in "\"'" else raw)
            at = found.end()
            if text[at : at + 1] != ".":
                break
            at += 1
        return tuple(parts), at

    def pair(prefix: Path, at: int) -> int:
        start = at
        parts, at = key(at)
        for depth in range(1, len(parts) + 1):
            note(prefix + parts[:depth], start)
        return value(prefix + parts, skip(at + 1))

    def value(path: Path, at: int) -> int:
        opening = text[at : at + 1]
        if opening and opening in "[{":
            return items(path, at + 1, "]" if opening == "[" else "}")
        found = _STRING.match(text, at) or _SCALAR.match(text, at)
        return found.end() if found else at + 1

    def items(path: Path, at: int, closing: str) -> int:
        count = 0
        while (at := skip(at)) < len(text) and text[at] != closing:
            if text[at] == ",":
                at += 1
            elif closing == "}":
                at = pair(path, at)
            else:
                note((*path, count), at)
                at = value((*path, count), at)
                count += 1
        return at + 1

    def header(at: int) -> tuple[Path, int]:
        several = text.startswith("[[", at)
        parts, end = key(at + 1 + several)
        path: Path = ()
        for depth, part in enumerate(parts, 1):
            path = (*path, part)
            if several and depth == len(parts):
                tables[path] = tables.get(path, -1) + 1
            note(path, at)
            if path in tables:
                path = (*path, tables[path])
                note(path, at)
        return path, end + 1 + several

    at, prefix = skip(0), ()  # type: int, Path
    while at < len(text):
        if text[at] == "[":
            prefix, at = header(at)
        else:
            at = pair(prefix, at)
        at = skip(at)
    return places

"""Where each key of a TOML text stands: dotted path -> line and column; tomllib tells it for errors only."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right

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
    scanner = _Scanner(text)
    at, table = scanner.skip(0), ()  # type: int, Path
    while at < len(text):
        if text[at] == "[":
            table, at = scanner.header(at)
        else:
            at = scanner.pair(table, at)
        at = scanner.skip(at)
    return scanner.places


class _Scanner:
    """Walks through a text that tomllib has accepted; each method takes an index and gives the next."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.places: dict[str, Place] = {}
        self.line_starts = [0, *(match.end() for match in re.finditer("\n", text))]
        self.last_item: dict[Path, int] = {}  # of each array of tables

    def note(self, path: Path, at: int) -> None:
        line = bisect_right(self.line_starts, at)
        self.places.setdefault(dotted(path), (line, at - self.line_starts[line - 1] + 1))

    def skip(self, at: int) -> int:
        """Step over white space and comments."""
        found = _SPACE.match(self.text, at)
        return found.end() if found else at

    def header(self, at: int) -> tuple[Path, int]:
        """Read `[a.b]` or `[[a.b]]`; below an array of tables a path means its last item."""
        several = self.text.startswith("[[", at)
        parts, end = self.key(at + 1 + several)
        path: Path = ()
        for depth, part in enumerate(parts, 1):
            path = (*path, part)
            if several and depth == len(parts):
                self.last_item[path] = self.last_item.get(path, -1) + 1
            self.note(path, at)
            if path in self.last_item:
                path = (*path, self.last_item[path])
                self.note(path, at)
        return path, end + 1 + several

    def key(self, at: int) -> tuple[Path, int]:
        """Read a key, bare or quoted, with its dots."""
        parts: list[str | int] = []
        while (found := _KEY_PART.match(self.text, at)) is not None:
            raw = found[1]
            parts.append(next(iter(tomllib.loads(f"{raw} = 0"))) if raw[0] in "\"'" else raw)
            at = found.end()
            if self.text[at : at + 1] != ".":
                break
            at += 1
        return tuple(parts), at

    def pair(self, table: Path, at: int) -> int:
        """Read `key = value`; a dotted key makes the tables on its way."""
        parts, end = self.key(at)
        for depth in range(1, len(parts) + 1):
            self.note(table + parts[:depth], at)
        return self.value(table + parts, self.skip(end + 1))

    def value(self, path: Path, at: int) -> int:
        opening = self.text[at : at + 1]
        if opening and opening in "[{":
            return self.items(path, at + 1, "]" if opening == "[" else "}")
        found = _STRING.match(self.text, at) or _SCALAR.match(self.text, at)
        return found.end() if found else at + 1

    def items(self, path: Path, at: int, closing: str) -> int:
        """Read what stands between brackets or braces."""
        count = 0
        while (at := self.skip(at)) < len(self.text) and self.text[at] != closing:
            if self.text[at] == ",":
                at += 1
            elif closing == "}":
                at = self.pair(path, at)
            else:
                self.note((*path, count), at)
                at = self.value((*path, count), at)
                count += 1
        return at + 1

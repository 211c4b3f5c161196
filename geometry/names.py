"""Names that are unique in a file or an assembly."""

from __future__ import annotations

from collections.abc import Iterable


def unique_names(names: Iterable[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Give the names in order with repeated ones numbered (nut, nut-2), and a sentence on each change.

    Common practice, no source: two parts of one name replace each other in some readers.
    """
    wanted = list(names)
    taken = set(wanted)
    seen: set[str] = set()
    given: list[str] = []
    said: list[str] = []
    for name in wanted:
        new, number = name, 1
        while new in seen or (new != name and new in taken):
            number += 1
            new = f"{name}-{number}"
        if new != name:
            said.append(f"name made unique: {name} -> {new}")
        seen.add(new)
        given.append(new)
    return tuple(given), tuple(said)

"""The one small error tree: what the user can mend, what a shape cannot be, what is ours to mend."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing wrong with an input: where, what, and the smallest repair."""

    message: str
    repair: str = ""
    file: str = ""
    line: int | None = None
    column: int | None = None
    field: str = ""

    def __str__(self) -> str:
        """Give `file:line:column: field: message; repair` with the parts that are known."""
        place = ":".join(str(part) for part in (self.file, self.line, self.column) if part not in ("", None))
        head = ": ".join(part for part in (place, self.field) if part)
        text = f"{self.message}; {self.repair}" if self.repair else self.message
        return f"{head}: {text}" if head else text


class StrokeboxError(Exception):
    """Whatever strokebox raises on purpose."""


class InputError(StrokeboxError):
    """The input cannot be used: every problem of it, sorted by line."""

    def __init__(self, *problems: Problem) -> None:
        """Keep the problems in the order of their lines."""
        self.problems = tuple(sorted(problems, key=lambda p: (p.file, p.line or 0, p.column or 0)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


class ShapeError(InputError):
    """Numbers that are each possible do not make a shape together."""

    def __init__(self, message: str, repair: str = "", field: str = "") -> None:
        """Say what cannot be built and the smallest change that can."""
        super().__init__(Problem(message, repair, field=field))


class KernelError(StrokeboxError):
    """A library below us returned something wrong: ours to mend, with a log for the report."""

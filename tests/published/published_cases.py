"""What a test of published values declares: one case an example or a table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Case:
    """An example or table of a source, how many of its values are tested, and where they were seen.

    page: the page itself, or a page that quotes it; notebook: a worked notebook of the example, whose output
    is a third party's recomputation; memory: recalled, the printed value not seen.
    """

    source: str
    what: str
    values: int
    seen: Literal["page", "notebook", "memory"]

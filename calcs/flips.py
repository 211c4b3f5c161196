"""What would change a verdict: the number closest to doing so, found on the check's own function."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from calcs.case import Case
from calcs.check import Check, finding_of
from calcs.finding import Verdict
from calcs.variation import SHAPING, Dial, dials_of, obeys_rules, turned, varied
from geometry.errors import InputError

ANSWERS: frozenset[Verdict] = frozenset({"PASS", "WARN", "FAIL", "NOT PROVEN"})
RINGS = (0.2, 0.9, 9.0)  # relative changes that are tried first, nearest first
CLOSE = 1e-3  # how exactly a change is found, relative to itself
FINEST = 1e-9  # and relative to the number
STEPS_BACK = 5  # halvings of a change that the check has no answer to
NEAR = 0.05  # how much further, relative to the change, a number with fewer digits may lie
DIGITS = range(3, 13)


@dataclass(frozen=True)
class Flip:
    """A change of one number of the design, and the verdict that it gives.

    Numbers in `unit`; `change` is relative (0.19 is 19 % more).
    """

    field: str
    words: str
    before: float
    after: float
    unit: str
    change: float
    verdict: Verdict

    def to_json(self) -> dict[str, float | str]:
        """Give the change as the report's JSON object."""
        return {
            "field": self.field,
            "from": self.before,
            "to": self.after,
            "unit": self.unit,
            "change": self.change,
            "verdict": self.verdict,
        }


@dataclass(frozen=True)
class Answer:
    """What a check says with one number turned: its verdict, and how far it is over its limit."""

    verdict: Verdict
    distance: float


Wanted = Callable[[Verdict], bool]


@dataclass(frozen=True)
class Crossing:
    """A dial between a factor that leaves the verdict and one that gives a wanted one."""

    dial: Dial
    inside: float
    outside: float


class Search:
    """The numbers of one case turned one at a time; what was worked out for one check serves the next."""

    def __init__(self, case: Case) -> None:
        """Take the case, with every number that can be varied."""
        self._case = case
        self._dials = dials_of(case)
        self._shared: dict[tuple[str, float, bool], Case] = {}
        self._reaches: dict[str, frozenset[str]] = {}
        self._answers: dict[tuple[str, str, float], Answer] = {}

    def tried(self, checked: Check, *, designers: bool = False) -> tuple[Dial, ...]:
        """List the numbers that a check follows from, all or those that are the designer's to change."""
        reach = self._reach(checked)
        return tuple(d for d in self._dials if d.name in reach and (d.designers or not designers))

    def nearest(self, checked: Check, dials: Iterable[Dial], wanted: Wanted) -> Flip | None:
        """Find the smallest relative change of one number that gives a wanted verdict, None where none does.

        Looks outward from 20 % to a tenth and ten times of each number, then closes in by halving. A verdict
        that changes and changes back between two of the tried factors is not seen.
        """
        left = list(dials)
        with np.errstate(all="ignore"):  # a number that is turned too far answers NaN, which is no verdict
            while left:
                best = self._closest(checked, left, wanted)
                if best is None:
                    return None
                flip = self._flip(checked, best, wanted)
                if flip is not None:
                    return flip
                left.remove(best.dial)
        return None

    def _closest(self, checked: Check, dials: list[Dial], wanted: Wanted) -> Crossing | None:
        before = {(dial.field, side): 1.0 for dial in dials for side in (-1, 1)}
        for ring in RINGS:
            crossings = []
            for dial in dials:
                for side in (-1, 1):
                    inside = before[dial.field, side]
                    outside = min(max(1.0 + side * ring, dial.factors[0]), dial.factors[1])
                    if outside == inside:
                        continue
                    before[dial.field, side] = outside
                    found = self._crossing(checked, dial, inside, outside, wanted)
                    crossings += [found] if found else []
            if crossings:
                return self._refined(checked, crossings, wanted)
        return None

    def _crossing(
        self, checked: Check, dial: Dial, inside: float, outside: float, wanted: Wanted
    ) -> Crossing | None:
        """Look at the outside and, where the check has no answer there, some way back toward the inside."""
        for _ in range(STEPS_BACK):
            verdict = self._answer(checked, dial, outside, share=True).verdict
            if wanted(verdict):
                return Crossing(dial, inside, outside)
            if verdict in ANSWERS:
                return None
            outside = (inside + outside) / 2.0
        return None

    def _refined(self, checked: Check, crossings: list[Crossing], wanted: Wanted) -> Crossing:
        """Close in on every crossing that may be the nearest, and give that one."""
        best = self._narrowed(checked, crossings[0], wanted)
        for found in crossings[1:]:
            least = abs(best.outside - 1.0)
            nearer = self._within(checked, found, least, wanted)
            if nearer is not None:
                nearer = self._narrowed(checked, nearer, wanted)
                best = nearer if abs(nearer.outside - 1.0) < least else best
        return best

    def _within(self, checked: Check, found: Crossing, least: float, wanted: Wanted) -> Crossing | None:
        """Give the part of a crossing that lies within a relative change; None where it flips beyond."""
        if abs(found.outside - 1.0) <= least:
            return found
        bound = 1.0 + math.copysign(least, found.outside - 1.0)  # in the same ring, so beyond the inside
        flips = wanted(self._answer(checked, found.dial, bound).verdict)
        return Crossing(found.dial, found.inside, bound) if flips else None

    def _narrowed(self, checked: Check, found: Crossing, wanted: Wanted) -> Crossing:
        """Close in on one crossing, by the secant where the check's distance to its limit changes sign."""
        ends = {
            False: (found.inside, self._answer(checked, found.dial, found.inside).distance),
            True: (found.outside, self._answer(checked, found.dial, found.outside).distance),
        }
        step = 0
        while abs(ends[True][0] - ends[False][0]) > (finest := _finest(ends[True][0])):
            step += 1
            at = (
                _between(ends[False], ends[True], finest)
                if step % 3
                else (ends[True][0] + ends[False][0]) / 2.0
            )
            answer = self._answer(checked, found.dial, at)
            ends[wanted(answer.verdict)] = (at, answer.distance)
        return Crossing(found.dial, ends[False][0], ends[True][0])

    def _flip(self, checked: Check, crossing: Crossing, wanted: Wanted) -> Flip | None:
        """Write a crossing in few digits that still flip; None where the file would be refused."""
        dial, edge = crossing.dial, crossing.outside
        before, exact = dial.value / dial.scale, dial.value * edge / dial.scale
        for after in _shorter(before, exact, whole=dial.whole):
            times = after / before
            if not dial.factors[0] <= times <= dial.factors[1]:
                continue
            verdict = self._answer(checked, dial, times).verdict
            if wanted(verdict):
                design = turned(self._case, dial, dial.value * times)
                if design is not None and not obeys_rules(design):
                    return None
                return Flip(
                    dial.field, dial.words, _plain(before), _plain(after), dial.shown,
                    _plain(times - 1.0, 4), verdict,
                )  # fmt: skip
        return None

    def _answer(self, checked: Check, dial: Dial, times: float, *, share: bool = False) -> Answer:
        """Ask a check with a number at so many times itself; `share` keeps the case for other checks."""
        asked = (checked.id, dial.field, times)
        if asked not in self._answers:
            self._answers[asked] = _ask(checked, self._varied(checked, dial, times, share=share))
        return self._answers[asked]

    def _varied(self, checked: Check, dial: Dial, times: float, *, share: bool) -> Case:
        reach = self._reach(checked)
        key = (dial.field, times, bool(SHAPING.get(dial.name, frozenset()) & reach))
        if key in self._shared:
            return self._shared[key]
        case = varied(self._case, dial, dial.value * times, reach)
        if share:
            self._shared[key] = case
        return case

    def _reach(self, checked: Check) -> frozenset[str]:
        if checked.id not in self._reaches:
            names = (self._case.reach(name) for name in checked.names)
            self._reaches[checked.id] = frozenset[str]().union(*names)
        return self._reaches[checked.id]


def _ask(checked: Check, case: Case) -> Answer:
    try:
        found = finding_of(checked, case)
    except (ArithmeticError, ValueError, InputError):  # turned so far that there is no answer, or no part
        found = None
    if found is None:
        return Answer("NOT CHECKED", math.nan)
    if found.judged is None or found.limit is None:
        return Answer(found.verdict, math.nan)
    return Answer(found.verdict, found.judged - found.limit)


def _finest(factor: float) -> float:
    """How exactly a factor is to be found."""
    return max(CLOSE * abs(factor - 1.0), FINEST)


def _between(one: tuple[float, float], other: tuple[float, float], finest: float) -> float:
    """Give the place between two factors where the distance to the limit is nil if it is straight there.

    A little further on, so that the next one closes in from the other side; the middle where the sign of the
    distance does not change.
    """
    (a, from_a), (b, from_b) = one, other
    if not -math.inf < from_a * from_b < 0.0:
        return (a + b) / 2.0
    share = from_a / (from_a - from_b)
    inset = min(0.5, finest / 2.0 / abs(b - a))
    return a + (b - a) * min(max(share + inset, inset), 1.0 - inset)


def _shorter(before: float, exact: float, *, whole: bool) -> list[float]:
    """Give numbers with few digits just beyond an exact one, seen from where it started."""
    away = math.ceil if exact > before else math.floor
    if whole:
        return [float(away(exact))]
    found = []
    for digits in DIGITS:
        step = 10.0 ** (math.floor(math.log10(abs(exact))) - digits + 1)
        after = float(f"{away(exact / step) * step:.{digits + 1}g}")
        if abs(after - exact) <= NEAR * abs(exact - before):
            found.append(after)
    return [*found[:2], exact]


def _plain(number: float, digits: int = 12) -> float:
    return float(f"{number:.{digits}g}")

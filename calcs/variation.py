"""What of a design can be varied: every number it gives, one at a time, within the range of its field."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial
from typing import TYPE_CHECKING, Any

from calcs.case import TO_SI, Case, ChainLink, LoadCase, Value, case_of
from calcs.case_fields import FIELDS, MEASURED, STATION_FIELDS
from calcs.naming import factor, shown_unit_of, suffix, unit_of
from geometry.design_fields import Limits
from geometry.design_rules import clashes
from geometry.stack import problems_of
from geometry.units import Band, Span

if TYPE_CHECKING:
    from geometry.design import Design

LEAST, MOST = 0.1, 10.0  # how far a value is varied, as a factor; beyond it is another design

# Nothing of these is the designer's to change, so no remedy asks for it; a flip may still lie there.
NOT_THE_DESIGNERS: Mapping[str, str] = {
    "load_cases": "forces and temperatures are what the world does to the design",
    "wanted_step_m": "a looser requirement is another task",
    "repeatability_m": "a looser requirement is another task",
    "accuracy_m": "a looser requirement is another task",
    "allowed_sag_m": "a looser requirement is another task",
    "required_gap_m": "a looser requirement is another task",
    "wear_limit_m": "a looser requirement is another task",
    "given_gear_efficiency": "a gear that loses more is no way to do better",
    "wear_coefficient_m2_n": "a measured property of the pair, known to a decade",
}

# A thread's sizes come together by its designation, and tooth counts by the rules of a stage: neither can be
# varied alone, so neither is here. These numbers shape bodies, and act through more names than their own:
SHAPING: Mapping[str, frozenset[str]] = {
    "thread_length_m": frozenset({"thread_end_m", "screw_end_m", "screw_solid", "arrangement"}),
    "nut_position_m": frozenset({"arrangement"}),
    "nut_length_m": frozenset({"arrangement"}),
    "seal_length_m": frozenset({"arrangement"}),
    "rod_diameter_m": frozenset({"arrangement"}),
    "rod_bore_m": frozenset({"arrangement"}),
    "rod_length_m": frozenset({"arrangement"}),
    "bush_bore_m": frozenset({"arrangement"}),
    "bush_length_m": frozenset({"arrangement"}),
    "bush_position_m": frozenset({"arrangement"}),
    "motor_diameter_m": frozenset({"arrangement"}),
    "motor_length_m": frozenset({"arrangement"}),
    "cable_diameter_m": frozenset({"arrangement"}),
    "cable_straight_m": frozenset({"arrangement"}),
    "cable_bend_factor": frozenset({"arrangement"}),
}
ACTS_THROUGH_DESIGN = frozenset({"design", *STATION_FIELDS})


@dataclass(frozen=True)
class Dial:
    """One number of a design that can be turned: where it stands, its value (SI), and how to put another in.

    `field` is dotted as in the design file, with the end of a range or band as its last part, which `words`
    gives for people. `factors` bound the value as a multiple of itself.
    """

    name: str
    field: str
    words: str
    value: float
    unit: str
    shown: str
    given: bool
    factors: tuple[float, float]
    put: Callable[[float], Any]
    whole: bool = False

    @property
    def scale(self) -> float:
        """SI units in one of the shown unit."""
        return factor(self.shown, self.unit)

    @property
    def designers(self) -> bool:
        """Whether a remedy may ask to turn it."""
        return self.given and self.name not in NOT_THE_DESIGNERS


def dials_of(case: Case) -> tuple[Dial, ...]:
    """List every number of a case that can be varied alone; zero has no relative change and is left out."""
    found: list[Dial] = []
    for name, field in FIELDS.items():
        value = case.find(name)
        if value is not None and value.origin != "derived":
            found += _field_dials(name, field, value)
    for name, dials in (("load_cases", _load_dials), ("chain", _chain_dials)):
        value = case.find(name) if case.knows(name) else None
        if value is not None and value.origin == "given":
            found += dials(value.value)
    return tuple(dial for dial in found if dial.factors[0] < dial.factors[1])


def _field_dials(name: str, field: str, value: Value) -> Iterator[Dial]:
    raw, given = value.value, value.origin == "given"
    limits = _limits(field)
    units = (unit_of(name), shown_unit_of(name), given)
    if isinstance(raw, Band) and raw.low < raw.high:
        for part, (low, high) in _ends(raw).items():
            now = getattr(raw, part)
            if now != 0.0:
                bounds = _factors(now, limits, suffix(name), low, high)
                words = f"{field} {'usual value' if part == 'nominal' else f'{part} end'}"
                yield Dial(name, f"{field}.{part}", words, now, *units, bounds, _put_end(raw, part))
        if raw.low * raw.high > 0.0:
            lowest, highest = (_factors(end, limits, suffix(name)) for end in (raw.low, raw.high))
            bounds = (max(lowest[0], highest[0]), min(lowest[1], highest[1]))
            words = f"{field}, all of the band in proportion, usual value"
            yield Dial(name, field, words, raw.nominal, *units, bounds, _put_all(raw))
    elif isinstance(raw, Band | float | int) and not isinstance(raw, bool):
        now = raw.nominal if isinstance(raw, Band) else float(raw)
        if now != 0.0:
            put = _put_point if isinstance(raw, Band) else float
            bounds, words = _factors(now, limits, suffix(name)), _end_words(field)
            yield Dial(name, field, words, now, *units, bounds, put, whole=isinstance(raw, int))


def _put_point(x: float) -> Band:
    return Band(x, x, x)


def _end_words(field: str) -> str:
    head, _, end = field.rpartition(".")
    return f"{head} {end} end" if end in ("low", "high") else field


def _ends(band: Band) -> dict[str, tuple[float, float]]:
    """The ends of a band, each with the range that keeps them in order."""
    low, nominal, high = band
    return {"low": (-math.inf, nominal), "nominal": (low, high), "high": (nominal, math.inf)}


def _put_end(band: Band, part: str) -> Callable[[float], Band]:
    return lambda x: band._replace(**{part: x})


def _put_all(band: Band) -> Callable[[float], Band]:
    return lambda x: Band(*(end * x / band.nominal for end in band))


def _factors(
    value: float, limits: Limits, kind: str, low: float = -math.inf, high: float = math.inf
) -> tuple[float, float]:
    """Factors on a value (SI) within its field's limits (in the field's unit) and the order of a band."""
    to_si = TO_SI.get(kind, float)
    least, most = max(low, to_si(limits.least)), min(high, to_si(limits.most))
    ends = sorted((least / value, most / value))
    return max(LEAST, ends[0]), min(MOST, ends[1])


@cache
def _limits(field: str) -> Limits:
    """Read the range of a dotted field off the schema."""
    from geometry.design import Design
    from geometry.design_schema import marker, section_of

    section: Any = Design
    *sections, last = field.removesuffix(".low").removesuffix(".high").split(".")
    for part in sections:
        section = section_of(section.model_fields[part].annotation)
    found = marker(section, last)
    return Limits() if found is None else found.limits


def _load_dials(cases: tuple[LoadCase, ...]) -> Iterator[Dial]:
    """Every outside force and every end of an ambient range."""

    def put(i: int, **changes: Any) -> tuple[LoadCase, ...]:
        return (*cases[:i], cases[i]._replace(**changes), *cases[i + 1 :])

    for i, case in enumerate(cases):
        for j, push in enumerate(case.pushes):
            field = f"load_case[{i}].forces[{j}].force"
            yield _other(
                "load_cases", field, field, push.force_n, ("N", "N"), partial(_pushed, put, i, case, j)
            )
        for part in ("low", "high") if case.ambient_c else ():
            field, now = f"load_case[{i}].ambient", getattr(case.ambient_c, part)
            turn = partial(_warmed, put, i, case, part)
            yield _other("load_cases", f"{field}.{part}", f"{field} {part} end", now, ("degC", "degC"), turn)


def _pushed(put: Callable[..., Any], i: int, case: LoadCase, j: int, force_n: float) -> Any:
    pushes = (*case.pushes[:j], case.pushes[j]._replace(force_n=force_n), *case.pushes[j + 1 :])
    return put(i, pushes=pushes)


def _warmed(put: Callable[..., Any], i: int, case: LoadCase, part: str, degrees: float) -> Any:
    assert case.ambient_c is not None  # it has the end that is turned
    return put(i, ambient_c=case.ambient_c._replace(**{part: degrees}))


def _chain_dials(chain: tuple[ChainLink, ...]) -> Iterator[Dial]:
    """Every nominal length of a tolerance chain."""
    for i, link in enumerate(chain):
        field = f"tolerance.links[{i}].length"
        words, turn = f"{field} ({link.name})", partial(_lengthened, chain, i)
        yield _other("chain", field, words, link.nominal_m, ("m", "mm"), turn)


def _lengthened(chain: tuple[ChainLink, ...], i: int, nominal_m: float) -> tuple[ChainLink, ...]:
    return (*chain[:i], chain[i]._replace(nominal_m=nominal_m), *chain[i + 1 :])


def _other(
    name: str, field: str, words: str, now: float, units: tuple[str, str], put: Callable[[float], Any]
) -> Dial:
    """Make the dial of a number inside a record; zero cannot be turned."""
    bounds = (LEAST, MOST) if now != 0.0 else (1.0, 1.0)
    return Dial(name, field, words, now, *units, True, bounds, put)


def varied(case: Case, dial: Dial, number: float, reach: frozenset[str]) -> Case:
    """Give the case with another number (SI) under a dial, for a check that reaches those names.

    A number that shapes bodies goes through the design itself, where the check sees it there.
    """
    changed = case.changed(dial.name, dial.put(number))
    if not SHAPING.get(dial.name, frozenset()) & reach:
        return changed
    redone = turned(case, dial, number)
    if redone is None:
        return changed
    touched = ACTS_THROUGH_DESIGN | {dial.name}
    measured = {name: value.value for name in MEASURED if (value := case.find(name)) is not None}
    return case_of(redone, measured).keeping(case, lambda names: not names & touched)


def turned(case: Case, dial: Dial, number: float) -> Design | None:
    """Give the design with another number (SI) in a dial's field, None where the dial is no field."""
    origin = case.find("design")
    if origin is None or dial.name not in FIELDS:
        return None
    design: Design = origin.value
    path = FIELDS[dial.name].split(".")
    return design.model_copy(update=_update(design, path, number / dial.value, dial.field.rpartition(".")[2]))


def _update(section: Any, path: list[str], times: float, end: str) -> dict[str, Any]:
    """Scale what lies at the end of a path: the new value of the section's field on the way there."""
    name, *deeper = path
    value = getattr(section, name)
    if isinstance(value, Span | Band):
        part = deeper[0] if deeper else end
        one = part in value._fields
        ends = (
            {part: getattr(value, part) * times}
            if one
            else {n: v * times for n, v in value._asdict().items()}
        )
        return {name: value._replace(**ends)}
    if deeper:
        return {name: value.model_copy(update=_update(value, deeper, times, end))}
    return {name: value * times}


def obeys_rules(design: Design) -> bool:
    """Tell whether a design still keeps the rules between its sections and makes parts: its file would do."""
    sections = {name: getattr(design, name) for name in ("motion", "load_case", "screw", "nut", "ends")}
    return next(clashes(sections, {}), None) is None and not problems_of(design)

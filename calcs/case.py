"""A design as named SI numbers, each with its origin and its field: the only place where mm become SI."""

from __future__ import annotations

import copy
import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from calcs.case_fields import FIELDS, MEASURED, STATION_FIELDS, THREAD_FIELDS
from calcs.check import Derivation, known_derivations
from calcs.naming import bare, suffix
from geometry.bodies import Box, Cylinder, Point, Posed, Primitive, Prism, Shape
from geometry.frames import stations_of
from geometry.outlines import section_area
from geometry.screw_thread import thread_of
from geometry.units import Band, Measure, Span

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_sections import TravelForce
    from geometry.thread_properties import RoundSolid
    from geometry.threads import Thread

Origin = Literal["given", "default", "derived"]

TO_SI: Mapping[str, Callable[[float], float]] = {
    "_m": lambda mm: mm / 1000.0,
    "_m_s": lambda mm_s: mm_s / 1000.0,
    "_m_s2": lambda mm_s2: mm_s2 / 1000.0,
    "_rad": math.radians,
}  # everything else of a design is coherent SI already


class Value(NamedTuple):
    """A value of the case in SI, where it came from, and the design field it stands in."""

    value: Any
    origin: Origin
    field: str


class Push(NamedTuple):
    """An outside force (N, against extending) over a stretch of travel (m)."""

    low_m: float
    high_m: float
    force_n: float


class LoadCase(NamedTuple):
    """One orientation with its forces: `up_axial` is the share of "up" along +z, `up_lateral` across it."""

    name: str
    up_axial: float
    up_lateral: float
    pushes: tuple[Push, ...]
    ambient_c: Span | None
    vibration: str

    def __str__(self) -> str:
        """Give the case in a line for the report."""
        forces = ", ".join(f"{p.force_n:g} N" for p in self.pushes)
        return f"{self.name}: up along z {self.up_axial:g}" + (f", {forces}" if forces else "")


# Where the design gives no case: the heaviest way to hold a load, and `plausible.load_case` says so.
ASSUMED = LoadCase("assumed: lifted straight up", 1.0, 0.0, (), None, "")


class ChainLink(NamedTuple):
    """One length of a tolerance chain (m): its sign in the gap, and its deviations where given."""

    name: str
    sense: int
    nominal_m: float
    upper_m: float | None
    lower_m: float | None


class Case:
    """Named values of one design; those that follow from others are worked out when first asked for."""

    def __init__(
        self,
        given: Mapping[str, Value],
        *,
        fields: Mapping[str, str] | None = None,
        stated: Iterable[str] = (),
        limits: Mapping[str, tuple[Measure, str]] | None = None,
        accepted: Mapping[str, str] | None = None,
    ) -> None:
        """Keep what is given; `fields` names the design field of what is not."""
        self._values: dict[str, Value | None] = {"design": None, "thread_record": None} | dict(given)
        self._fields = dict(FIELDS) if fields is None else dict(fields)
        self._stated = sorted(stated)
        self._derivations: Mapping[str, Derivation] = known_derivations()
        self._reaches: dict[str, frozenset[str]] = {}
        self._followers: dict[str, tuple[str, ...]] = {}
        self.shown: dict[str, tuple[str, Mapping[str, Any]]] = {}  # inputs as rows write them, once for all
        self.limits = dict(limits or {})
        self.accepted = dict(accepted or {})

    def knows(self, name: str) -> bool:
        """Tell whether the case can be asked for a name at all."""
        return name in self._values or name in self._derivations or name in self._fields

    def changed(self, name: str, value: Any) -> Case:
        """Give the same case with another value under a name; what follows from it is worked out anew."""
        other = copy.copy(self)
        other._values, other.shown = dict(self._values), {}
        for stale in self._following(name):
            other._values.pop(stale, None)
        before = self._values[name]
        assert before is not None  # only what is there can be changed
        other._values[name] = before._replace(value=value)
        return other

    def keeping(self, before: Case, keeps: Callable[[frozenset[str]], bool]) -> Case:
        """Take over what another case has derived already, where `keeps` says so of all it reaches."""
        derived = (n for n in before._values if n in before._derivations and n not in self._values)
        self._values |= {n: before._values[n] for n in derived if keeps(before.reach(n))}
        return self

    def reach(self, name: str) -> frozenset[str]:
        """Give a name with every name that it follows from, near and far."""
        if name not in self._reaches:
            derivation = self._derivations.get(name)
            nearer = () if derivation is None else derivation.signature.names
            self._reaches[name] = frozenset({name}).union(*(self.reach(n) for n in nearer))
        return self._reaches[name]

    def _following(self, name: str) -> tuple[str, ...]:
        """Give every derived name that follows from a name, near or far."""
        if name not in self._followers:
            self._followers[name] = tuple(n for n in self._derivations if name in self.reach(n) and n != name)
        return self._followers[name]

    def find(self, name: str) -> Value | None:
        """Give a value by its name, worked out where it follows from others, or None.

        Raises KeyError for no name.
        """
        if name not in self._values:
            self._values[name] = self._derive(name)
        return self._values[name]

    def _derive(self, name: str) -> Value | None:
        derivation = self._derivations.get(name)
        if derivation is None:
            if name in self._fields:
                return None
            raise KeyError(f"no value of a case is called {name}")
        inputs = {n: v for n in derivation.signature.names if (v := self.find(n)) is not None}
        if not all(map(inputs.__contains__, derivation.signature.needed)):
            return None
        made = derivation.function(**{n: v.value for n, v in inputs.items()})
        if isinstance(made, float | Band) and (same := [v for v in inputs.values() if v.value is made]):
            return same[0]  # handed through as it was given: it keeps its origin
        return None if made is None else Value(_native(made), "derived", "")

    def missing(self, names: Iterable[str]) -> tuple[str, ...]:
        """Name the design fields (dotted, as the user writes them) that values wait for, most basic first."""
        found: dict[str, None] = {}
        for name in names:
            found |= dict.fromkeys(self._missing(name))
        return tuple(found)

    def _missing(self, name: str) -> tuple[str, ...]:
        if self.find(name) is not None:
            return ()
        derivation = self._derivations.get(name)
        if derivation is None:
            return (written(self._fields[name]),)
        kind = self.find("motor_kind")
        fields = derivation.stepper_fields if kind and kind.value == "stepper" else derivation.fields
        deeper = self.missing(derivation.signature.needed)
        return deeper or tuple(map(self._wanted, fields)) or (f"what gives {bare(name)}",)

    def _wanted(self, field: str) -> str:
        """Name a field to give; a material that is given already has a name that no table knows."""
        return f"a known {field}" if field.endswith("material") and self.states(field) else field

    def states(self, field: str) -> bool:
        """Tell whether the design gives a dotted field or something inside it."""
        return any(self._first_from(head).startswith(head) for head in (f"{field}.", f"{field}[")) or (
            self._first_from(field) == field
        )

    def _first_from(self, field: str) -> str:
        """Give the first stated field, in order, that is not before this one."""
        at = bisect_left(self._stated, field)
        return self._stated[at] if at < len(self._stated) else ""


def written(field: str) -> str:
    """Give a dotted field as the user writes it: a range's end is not a field of its own."""
    return field.removesuffix(".low").removesuffix(".high")


def _native(value: Any) -> Any:
    """Turn numpy's numbers back into Python's, so that rows hold plain floats."""
    if isinstance(value, Band):
        return Band(*(float(end) for end in value))
    return float(value) if hasattr(value, "dtype") and value.ndim == 0 else value


def case_of(design: Design, measured: Mapping[str, Any] | None = None) -> Case:
    """Flatten a design (mm) into a case (SI); `measured` are values of MEASURED taken off the user's files.

    Raises InputError for a thread that no standard knows.
    """
    values: dict[str, Value] = {"design": Value(design, "given", "")}
    values |= {name: Value(value, "derived", "") for name, value in (measured or {}).items()}
    stated = design.given
    for name, field in FIELDS.items():
        raw, origin = _read(design, field, stated)
        if raw is not None and raw != ():
            values[name] = Value(_si(raw, suffix(name)), origin, written(field))
    record = thread_of(design.screw)
    for name, attribute in THREAD_FIELDS.items():
        values[name] = Value(_si(getattr(record, attribute), suffix(name)), "given", "screw.thread")
    values["thread_record"] = Value(record, "given", "screw.thread")
    stations = stations_of(design)
    for name, attribute in STATION_FIELDS.items():
        values[name] = Value(_si(getattr(stations, attribute), suffix(name)), "derived", "")
    given = _load_cases(design)
    values["load_cases"] = Value(given or (ASSUMED,), "given" if given else "default", "load_case")
    if design.tolerance is not None and design.tolerance.links:
        values["chain"] = Value(_chain(design), "given", "tolerance.links")
    values |= {f"has_{name}": Value(name in stated, "given", name) for name in ("gears", "guide")}
    inline = design.gears is not None and design.gears.inline
    values["has_inline_gear"] = Value(inline, "given", "gears")
    return Case(
        values,
        fields={**FIELDS, **MEASURED, "chain": "tolerance.links"},
        stated=stated,
        limits={name: (entry.limit, entry.reason) for name, entry in design.limits.items()},
        accepted={
            a.check: ", ".join(part for part in (a.evidence, a.document) if part) for a in design.accepted
        },
    )


def _read(design: Design, field: str, stated: frozenset[str]) -> tuple[Any, Origin]:
    """Walk to a field; a section that is left out leaves it out."""
    section: Any = design
    for part in field.split("."):
        section = None if section is None else getattr(section, part)
    return section, "given" if written(field) in stated else "default"


def _si(raw: Any, kind: str) -> Any:
    convert = TO_SI.get(kind)
    if isinstance(raw, Span) and kind:
        raw = Band(raw.low, (raw.low + raw.high) / 2.0, raw.high)
    if convert is None or isinstance(raw, str):
        return raw
    return Band(*map(convert, raw)) if isinstance(raw, Band) else convert(raw)


def _load_cases(design: Design) -> tuple[LoadCase, ...]:
    stroke = design.motion.hard_stops or design.motion.stroke
    return tuple(
        LoadCase(
            name=case.name,
            up_axial=case.up[2],
            up_lateral=math.hypot(case.up[0], case.up[1]),
            pushes=tuple(_push(force, stroke) for force in case.forces),
            ambient_c=case.ambient,
            vibration=case.vibration or "",
        )
        for case in design.load_case
    )


def _push(force: TravelForce, stroke: Span) -> Push:
    low, high = force.travel or stroke
    return Push(low / 1000.0, high / 1000.0, force.force)


def _chain(design: Design) -> tuple[ChainLink, ...]:
    def metres(mm: float | None) -> float | None:
        return None if mm is None else mm / 1000.0

    assert design.tolerance is not None  # asked before
    return tuple(
        ChainLink(
            name=link.name,
            sense=1 if link.sense == "+" else -1,
            nominal_m=link.length.nominal / 1000.0,
            upper_m=metres(link.length.upper),
            lower_m=metres(link.length.lower),
        )
        for link in design.tolerance.links
    )


def shape_in_metres(shape: Shape) -> Shape:
    """Give a shape of primitives (mm) with every length in m."""
    return Shape(tuple(map(_in_metres, shape.adds)), tuple(map(_in_metres, shape.cuts)))


def point_in_metres(point: Point) -> Point:
    """Give a point (mm) in m."""
    x, y, z = (mm / 1000.0 for mm in point)
    return (x, y, z)


def _in_metres(piece: Primitive) -> Primitive:
    if isinstance(piece, Box):
        return Box(point_in_metres(piece.low), point_in_metres(piece.high))
    if isinstance(piece, Posed):
        inner = _in_metres(piece.piece)
        assert isinstance(inner, Box | Cylinder)  # as the piece is
        return piece._replace(piece=inner, origin=point_in_metres(piece.origin))
    if isinstance(piece, Prism):
        corners = tuple((x / 1000.0, y / 1000.0) for x, y in piece.corners)
        arcs = tuple(
            None if centre is None else (centre[0] / 1000.0, centre[1] / 1000.0) for centre in piece.arcs
        )
        return Prism(corners, arcs, (piece.span[0] / 1000.0, piece.span[1] / 1000.0))
    (a, b), (low, high) = piece.centre, piece.span
    return Cylinder(
        piece.axis, (a / 1000.0, b / 1000.0), piece.radius / 1000.0, (low / 1000.0, high / 1000.0)
    )


def round_in_metres(solid: RoundSolid) -> tuple[float, float, float, float]:
    """Give volume, centroid, axial and transverse moment of a round solid (mm) in m^3, m and m^5."""
    moments = (solid.axial_moment_mm5 / 1e15, solid.transverse_moment_mm5 / 1e15)
    return (solid.volume_mm3 / 1e9, solid.centroid_z_mm / 1e3, *moments)


def section_area_m2(record: Thread) -> float:
    """Give the area of a thread's section (m^2), the same all along it."""
    return section_area(record.external) / 1e6


@cache
def known_names() -> frozenset[str]:
    """Every name that a check may ask for."""
    extra = {
        *STATION_FIELDS,
        *MEASURED,
        "design",
        "thread_record",
        "load_cases",
        "chain",
        "has_gears",
        "has_inline_gear",
        "has_guide",
    }
    return frozenset(FIELDS) | frozenset(THREAD_FIELDS) | frozenset(known_derivations()) | extra

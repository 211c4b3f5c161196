"""The sections of the design file for a thread without designation, and the lengths a screw may have."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import ValidationInfo, model_validator

from geometry import design_fields as field
from geometry import units
from geometry.design_fields import Field, Section, refuse
from geometry.errors import InputError
from geometry.outlines import Point

Hand = Literal["right", "left"]
Starts = Annotated[int, field.count("number of starts", 1, most=8)]
Handed = Annotated[Hand, field.choice("hand of the thread", "right")]
POINTS = [["0 mm", "0 mm"], ["0.5 mm", "0 mm"], ["0.75 mm", "0.7 mm"], ["1.25 mm", "0.7 mm"]]


def _points() -> Field:
    def read(value: object, info: ValidationInfo, source: type) -> tuple[Point, ...]:
        if not isinstance(value, list) or not all(isinstance(p, list) and len(p) == 2 for p in value):
            raise refuse(
                "this is no list of points [axial, depth]", f"write {str(POINTS).replace(chr(39), chr(34))}"
            )
        return tuple((_length(s, i), _length(depth, i)) for i, (s, depth) in enumerate(value))

    json: dict[str, object] = {"type": "array", "items": {"type": "array", "items": {"type": "string"}}}
    return Field("corners [axial, depth below the diameter] over one pitch", POINTS, read, json)


def _lengths(help: str, example: list[str], least: float) -> Field:
    def read(value: object, info: ValidationInfo, source: type) -> tuple[float, ...]:
        if not isinstance(value, list) or not value:
            raise refuse("this is no list of lengths", f"write {str(example).replace(chr(39), chr(34))}")
        found = tuple(_length(item, i) for i, item in enumerate(value))
        for i, number in enumerate(found):
            if number < least:
                raise refuse(f'"{value[i]}" is below {least:g}', f'write "{example[0]}"', i)
        return found

    return Field(help, example, read, {"type": "array", "items": {"type": "string"}})


def _length(value: object, item: int) -> float:
    try:
        return units.quantity(value, "length")
    except InputError as error:
        raise refuse(error.problems[0].message, error.problems[0].repair, item) from error


class ThreadFamily(Section):
    """A thread by its family with its fields, where no designation says it."""

    name: Annotated[str, field.words("family, as `known threads` names it", "ball groove")]
    diameter: Annotated[float, field.plain("length", "nominal diameter", "16 mm", above=0)]
    pitch: Annotated[float, field.plain("length", "pitch: the lead of a single start", "5 mm", above=0)]
    starts: Starts = 1
    hand: Handed = "right"
    form: Annotated[Literal["gothic", "arc"], field.choice("arcs of a ball groove", "gothic")] = "gothic"
    ball_diameter: Annotated[
        float | None, field.plain("length", "diameter of the balls", "3.175 mm", above=0)
    ] = None
    conformity: Annotated[
        float | None, field.number("radius of the groove over the ball's diameter", 0.54, above=0.5)
    ] = None
    contact_angle: Annotated[
        float | None,
        field.plain("angle", "where the balls bear, from the radius", "45 deg", above=0, most=80),
    ] = None


class OwnOutline(Section):
    """A thread of an outline of one's own: `points` with `radii`, or crest, depth and flank angles."""

    diameter: Annotated[float, field.plain("length", "major diameter, depth 0", "8 mm", above=0)]
    pitch: Annotated[float, field.plain("length", "pitch of one start", "1.5 mm", above=0)]
    starts: Starts = 1
    hand: Handed = "right"
    points: Annotated[tuple[Point, ...] | None, _points()] = None
    depth: Annotated[float | None, field.plain("length", "depth of the thread", "0.9 mm", above=0)] = None
    crest: Annotated[float | None, field.plain("length", "width of its crest", "0.5 mm", least=0)] = None
    flank_angle: Annotated[
        float | None,
        field.plain("angle", "half angle of the flank that faces +z", "15 deg", least=0, most=80),
    ] = None
    back_flank_angle: Annotated[
        float | None, field.plain("angle", "of the other; left out, the same", "15 deg", least=0, most=80)
    ] = None
    radii: Annotated[
        tuple[float, ...] | None,
        _lengths("radius of each corner, 0 for a sharp one", ["0 mm", "0 mm", "0.1 mm", "0.1 mm"], 0.0),
    ] = None
    clearance: Annotated[
        float,
        field.plain("length", "how far the nut's outline stands outside the screw's", "0.1 mm", least=0),
    ] = 0.0

    @model_validator(mode="after")
    def _one_way(self) -> OwnOutline:
        """Give points, or what they follow from, and not both."""
        drawn = [name for name in ("depth", "crest", "flank_angle") if getattr(self, name) is not None]
        if self.points is not None and drawn:
            raise refuse(f"the outline has points and {', '.join(drawn)}", "keep one of the two")
        if self.points is None and len(drawn) < 3:
            raise refuse("the outline has neither points nor all of depth, crest and flank_angle",
                         'write depth = "0.9 mm", crest = "0.5 mm", flank_angle = "15 deg"')  # fmt: skip
        return self


class Lengths(NamedTuple):
    """The lengths (mm) a part can be had in: some, or a range with a step."""

    some: tuple[float, ...]
    low: float = 0.0
    high: float = 0.0
    step: float = 0.0

    def around(self, length_mm: float) -> tuple[float | None, float | None]:
        """Give the nearest allowed lengths at or below and at or above a length (mm)."""
        slack = 1e-6
        if self.some:
            below = [length for length in self.some if length <= length_mm + slack]
            above = [length for length in self.some if length >= length_mm - slack]
            return max(below, default=None), min(above, default=None)
        steps = math.floor((self.high - self.low) / self.step + slack)
        place = (length_mm - self.low) / self.step
        low, high = math.floor(place + slack), math.ceil(place - slack)
        return (
            self.low + min(low, steps) * self.step if low >= 0 else None,
            self.low + max(high, 0) * self.step if high <= steps else None,
        )


def length_choice() -> Field:
    """Make the field of allowed lengths: a list, or a range with a step."""
    example = {"range": "50..300 mm", "step": "10 mm"}
    shown = 'write ["80 mm", "100 mm"] or { range = "50..300 mm", step = "10 mm" }'
    some = _lengths("", ["80 mm", "100 mm"], 1e-9)

    def read(value: Any, info: ValidationInfo, source: type) -> Lengths:
        if isinstance(value, list):
            return Lengths(tuple(sorted(some.read(value, info, source))))  # type: ignore[call-overload]  # lengths
        if not isinstance(value, dict) or set(value) != {"range", "step"}:
            raise refuse("these are neither some lengths nor a range with a step", shown)
        span, step = units.span(value["range"], "length"), units.quantity(value["step"], "length")
        if not (span.low > 0 and 0 < step <= span.high - span.low):
            raise refuse(f'the step "{value["step"]}" does not fit the range "{value["range"]}"', shown)
        return Lengths((), span.low, span.high, step)

    return Field("lengths it can be had in", example, read, {"type": ["array", "object"]})

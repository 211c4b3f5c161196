"""The bodies of the design file: what moves with the nut, what stands still, and who may touch whom."""

from typing import Annotated, Literal, Self

from pydantic import model_validator

from geometry import design_fields as field
from geometry.bodies import Axis, Box, Cylinder, FileShape, Point, Primitive, Shape
from geometry.design_fields import AXES, Section, refuse
from geometry.units import Span

BodyRole = Literal["load", "guide", "housing", "cover", "electronics", "cable", "keep_out"]
SHAPES = ("box", "cylinder", "tube", "file")
NOT_WITH_BOX = ("cylinder", "tube", "file", "unit", "solid", "surface_only", "frame")
PART_FILES = (".step", ".stp")
BODY_FILES = (*PART_FILES, ".stl")


class Frame(Section):
    """Where a file's own origin lies."""

    origin: Annotated[Point, field.point("the file's origin in our frame", ["0 mm", "0 mm", "-74 mm"])]


class Bore(Section):
    """A round hole through a box."""

    diameter: Annotated[float, field.plain("length", "diameter of the hole", "10 mm", above=0)]
    centre: Annotated[
        tuple[float, float] | None,
        field.point("its centre on the two other axes; left out, the middle of the box", ["0 mm", "0 mm"], 2),
    ] = None
    along: Annotated[Axis, field.choice("the axis it runs along", "z")] = "z"


class RoundShape(Section):
    """A cylinder along an axis."""

    along: Annotated[Axis, field.choice("the axis it runs along", "z")] = "z"
    centre: Annotated[
        tuple[float, float],
        field.point("its centre on the two other axes, x before y before z", ["0 mm", "0 mm"], 2),
    ] = (0.0, 0.0)
    diameter: Annotated[float, field.plain("length", "outer diameter", "12 mm", above=0)]
    span: Annotated[Span, field.span("length", "from where to where along its axis", "0..30 mm")]

    @model_validator(mode="after")
    def _has_length(self) -> Self:
        if self.span.low == self.span.high:
            raise refuse(
                f"the cylinder has no length: {self.span.low:g} mm at both ends", 'write span = "0..30 mm"'
            )
        return self


class TubeShape(RoundShape):
    """A cylinder with a bore."""

    bore: Annotated[float, field.plain("length", "diameter of the bore", "8 mm", above=0)]

    @model_validator(mode="after")
    def _has_a_wall(self) -> Self:
        if self.bore >= self.diameter:
            raise refuse(
                f"a bore of {self.bore:g} mm leaves no wall in a tube of {self.diameter:g} mm",
                f"write a bore below {self.diameter:g} mm",
            )
        return self


class Solid(Section):
    """The shape of a body: exactly one of box, cylinder, tube and file."""

    name: Annotated[str, field.words("the body's own name", "block")]
    box: Annotated[
        tuple[Span, Span, Span] | None,
        field.ranges("a box: its range along x, y and z", ["-15..15 mm", "-12..12 mm", "0..10 mm"]),
    ] = None
    bore: Bore | None = None
    cylinder: RoundShape | None = None
    tube: TubeShape | None = None
    file: Annotated[str | None, field.path("a STEP or STL file of the body", "body.step", BODY_FILES)] = None
    unit: Annotated[
        Literal["mm", "cm", "m", "inch"] | None,
        field.choice("the unit of an STL file, which cannot say it itself", "mm"),
    ] = None
    solid: Annotated[
        str | None, field.words("which named solid of the STEP file; left out, all of them", "cover")
    ] = None
    surface_only: Annotated[
        bool, field.flag("the file is an open surface; inside and outside stay undecided", True)
    ] = False
    frame: Frame | None = None
    material: Annotated[str | None, field.words("material, for the mass", "aluminium")] = None
    mass: Annotated[float | None, field.plain("mass", "mass of the body", "24 g", above=0)] = None
    centre: Annotated[Point | None, field.point("its centre of mass", ["0 mm", "0 mm", "5 mm"])] = None

    @model_validator(mode="after")
    def _has_one_shape(self) -> Self:
        given = [name for name in SHAPES if getattr(self, name) is not None]
        if not given:
            raise refuse(
                f'body "{self.name}" has no shape', 'write box = ["-15..15 mm", "-12..12 mm", "0..10 mm"]'
            )
        if len(given) > 1:
            raise refuse(
                f'body "{self.name}" has {len(given)} shapes: {", ".join(given)}', "keep one of them"
            )
        if self.bore is not None and self.box is not None:
            _check_bore(self.bore, self.box)
        elif self.bore is not None:
            raise refuse("bore belongs to a box", "for a round body write tube = { diameter, bore, span }")
        _check_file(self.file, self.unit, self.name)
        return self


class Moving(Solid):
    """What moves with the nut."""

    name: Annotated[str, field.words("the body's own name", "carriage")]
    on: Annotated[
        Literal["frame", "nut", "nut flange", "screw end"],
        field.choice("what its shape is measured from at s = 0; nut flange: its outer face", "nut flange"),
    ] = "frame"
    role: Annotated[BodyRole, field.choice("what it is, for the clearance class", "load")] = "load"


class Fixed(Solid):
    """What stands still."""

    name: Annotated[str, field.words("the body's own name", "rail")]
    role: Annotated[BodyRole, field.choice("what it is, for the clearance class", "guide")] = "housing"


class HousingBody(Solid):
    """One body of the housing."""

    name: Annotated[str, field.words("the body's own name", "mount_plate")]
    role: Annotated[BodyRole, field.choice("a cover can be taken off, housing cannot", "cover")] = "housing"


class KeepOut(Solid):
    """Room that must stay free: light path, hoses, hands."""

    name: Annotated[str, field.words("the body's own name", "light_path")]


class Housing(Section):
    """The housing: a file, or bodies, or both."""

    file: Annotated[
        str | None,
        field.path("a STEP file (its solids keep their names) or STL file", "housing.step", BODY_FILES),
    ] = None
    unit: Annotated[
        Literal["mm", "cm", "m", "inch"] | None,
        field.choice("the unit of an STL file, which cannot say it itself", "mm"),
    ] = None
    role: Annotated[BodyRole, field.choice("what the file's solids are", "housing")] = "housing"
    surface_only: Annotated[
        bool, field.flag("the file is an open surface; inside and outside stay undecided", True)
    ] = False
    frame: Frame | None = None
    body: tuple[HousingBody, ...] = ()

    @model_validator(mode="after")
    def _has_a_unit(self) -> Self:
        _check_file(self.file, self.unit, "housing")
        return self


class ContactPair(Section):
    """A pair that is meant to touch; within `travel` it is judged by overlap, outside like any other."""

    a: Annotated[str, field.words("one body", "gear")]
    b: Annotated[str, field.words("the other body", "mount_plate")]
    travel: Annotated[
        Span | None,
        field.span("length", "the travel over which they may touch; left out, all of it", "-4..-3.5 mm"),
    ] = None
    overlap: Annotated[float, field.plain("volume", "how much overlap is allowed", "0.5 mm3", least=0)] = 0.0


def shape_of(body: Solid) -> Shape | FileShape:
    """Give the exact shape of a body as the design file measures it (mm, unplaced). No source needed."""
    if body.file is not None:
        return file_shape(body)
    if body.box is not None:
        low, high = tuple(side.low for side in body.box), tuple(side.high for side in body.box)
        cuts = (_bore_cut(body.bore, body.box),) if body.bore else ()
        return Shape((Box((low[0], low[1], low[2]), (high[0], high[1], high[2])),), cuts)
    if body.tube is not None:
        return Shape((_round(body.tube, body.tube.diameter),), (_round(body.tube, body.tube.bore),))
    assert body.cylinder is not None  # _has_one_shape
    return Shape((_round(body.cylinder, body.cylinder.diameter),))


def file_shape(body: Solid | Housing) -> FileShape:
    """Give the file of a body with its unit and the place of its origin (mm). No source needed."""
    return FileShape(
        path=body.file or "",
        unit=body.unit or "mm",
        solid_name=(body.solid if isinstance(body, Solid) else None) or "",
        shift=body.frame.origin if body.frame else (0.0, 0.0, 0.0),
        surface_only=body.surface_only,
    )


def _round(shape: RoundShape, diameter: float) -> Primitive:
    return Cylinder(shape.along, shape.centre, diameter / 2, (shape.span.low, shape.span.high))


def _bore_cut(bore: Bore, box: tuple[Span, Span, Span]) -> Primitive:
    along = box[AXES[bore.along]]
    return Cylinder(bore.along, _bore_centre(bore, box), bore.diameter / 2, (along.low, along.high))


def _bore_centre(bore: Bore, box: tuple[Span, Span, Span]) -> tuple[float, float]:
    if bore.centre is not None:
        return bore.centre
    first, second = (side for axis, side in zip(AXES, box, strict=True) if axis != bore.along)
    return ((first.low + first.high) / 2, (second.low + second.high) / 2)


def _check_bore(bore: Bore, box: tuple[Span, Span, Span]) -> None:
    across = [(axis, side) for axis, side in zip(AXES, box, strict=True) if axis != bore.along]
    for (axis, side), middle in zip(across, _bore_centre(bore, box), strict=True):
        room = min(middle - side.low, side.high - middle)
        if bore.diameter / 2 >= room:
            raise refuse(
                f"the bore of {bore.diameter:g} mm breaks through the box along {axis}: "
                f"its axis lies {room:g} mm inside",
                f"write a diameter below {2 * room:g} mm" if room > 0 else "move its centre into the box",
            )


def _check_file(file: str | None, unit: str | None, name: str) -> None:
    if file and file.lower().endswith(".stl") and unit is None:
        raise refuse(f'the STL file of "{name}" has no unit of its own', 'write unit = "mm" or unit = "inch"')

"""Shapes that need no CAD kernel, and the bodies of a placed actuator in its surroundings (mm)."""

from __future__ import annotations

from typing import Literal, NamedTuple

Axis = Literal["x", "y", "z"]
Role = Literal["actuator", "load", "guide", "housing", "cover", "electronics", "cable", "keep_out"]
Point = tuple[float, float, float]


class Box(NamedTuple):
    """A box along the axes, from its low corner to its high corner (mm)."""

    low: Point
    high: Point


class Cylinder(NamedTuple):
    """A cylinder along an axis (mm): its centre on the two other axes (x before y before z), its span."""

    axis: Axis
    centre: tuple[float, float]
    radius: float
    span: tuple[float, float]


class Prism(NamedTuple):
    """An outline pulled along z (mm): its corners counter-clockwise, its span.

    `arcs` gives the centre of each edge, from its corner to the next, that is an arc, counter-clockwise about
    it; None for a straight one.
    """

    corners: tuple[tuple[float, float], ...]
    arcs: tuple[tuple[float, float] | None, ...]
    span: tuple[float, float]


class Posed(NamedTuple):
    """A piece in a frame of its own: that frame's origin (mm), the directions of its z and of its x."""

    piece: Box | Cylinder
    origin: Point
    z_axis: Point
    x_axis: Point

    @property
    def axes(self) -> tuple[Point, Point, Point]:
        """Directions of the frame's x, y and z."""
        (a, b, c), (u, v, w) = self.z_axis, self.x_axis
        return self.x_axis, (b * w - c * v, c * u - a * w, a * v - b * u), self.z_axis


Primitive = Box | Cylinder | Prism | Posed


class Shape(NamedTuple):
    """What is added less what is cut; added pieces meet at most on faces, each cut lies inside one."""

    adds: tuple[Primitive, ...]
    cuts: tuple[Primitive, ...] = ()


class FileShape(NamedTuple):
    """A STEP or STL file of the user (mm once read with its unit), placed by a shift of its origin."""

    path: str
    unit: str = "mm"
    solid_name: str = ""
    shift: Point = (0.0, 0.0, 0.0)
    surface_only: bool = False


class Body(NamedTuple):
    """One body of the placed assembly at travel s = 0 (mm, kg); what `moves` shifts along +z by s.

    What `stretches` is a round along z whose low end stands and whose high end goes with s.
    """

    name: str
    role: Role
    moves: bool
    shape: Shape | FileShape
    part_of_actuator: bool = False
    material: str = ""
    mass_kg: float | None = None
    centre: Point | None = None
    colour: tuple[float, float, float, float] = (0.6, 0.6, 0.65, 1.0)
    source: str = ""
    stretches: bool = False


class Contact(NamedTuple):
    """A pair that is meant to touch: over which travel (None: all of it), with which overlap (mm3)."""

    a: str
    b: str
    travel: tuple[float, float] | None = None
    overlap_mm3: float = 0.0


class ClearanceClasses(NamedTuple):
    """Required gaps by the class of the pair (mm)."""

    moving_to_fixed: float = 0.5
    moving_to_electronics: float = 2.0
    moving_to_cable: float = 3.0
    moving_to_moving: float = 0.0
    fixed_to_fixed: float = 0.0

"""Mass, centre and inertia in closed form: primitives, shapes, turned parts, several bodies together (SI)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calcs.formulas import mass
from geometry.bodies import Box, Cylinder, Posed, Primitive, Prism, Shape
from geometry.prisms import section_moments

Array = NDArray[np.float64]
CROSSING_STEPS = 256  # far more than rounding needs while the hole is thinner than the shaft by 2 %


@dataclass(frozen=True, eq=False)
class MassProperties:
    """Mass (kg), centre (3, m) and inertia tensor about the centre (3x3, kg*m^2, axes along the frame's)."""

    mass_kg: float
    centre_m: Array
    tensor_kg_m2: Array

    def __str__(self) -> str:
        """Give mass and height of the centre for the report."""
        return f"{self.mass_kg * 1e3:.4g} g, centre at z = {self.centre_m[2] * 1e3:.4g} mm"

    def moved(self, along_z_m: float) -> MassProperties:
        """Give the same body shifted along z."""
        return MassProperties(
            self.mass_kg, self.centre_m + np.array([0.0, 0.0, along_z_m]), self.tensor_kg_m2
        )


def primitive_properties(piece: Primitive, density_kg_m3: float) -> MassProperties:
    """Mass properties of a box, cylinder or prism (lengths in m). Source: closed forms of mechanics."""
    if isinstance(piece, Prism):
        return _prism(piece, density_kg_m3)
    if isinstance(piece, Posed):
        made, turn = primitive_properties(piece.piece, density_kg_m3), np.array(piece.axes).T
        centre = turn @ made.centre_m + np.array(piece.origin)
        return MassProperties(made.mass_kg, centre, turn @ made.tensor_kg_m2 @ turn.T)
    return _box(piece, density_kg_m3) if isinstance(piece, Box) else _cylinder(piece, density_kg_m3)


def _box(piece: Box, density_kg_m3: float) -> MassProperties:
    low, high = np.array(piece.low), np.array(piece.high)
    a, b, c = high - low
    kilograms = density_kg_m3 * mass.box_volume_m3(a, b, c)
    moments = [mass.box_inertia_kg_m2(kilograms, *sides) for sides in ((b, c), (a, c), (a, b))]
    return MassProperties(float(kilograms), (low + high) / 2.0, np.diag(moments))


def _prism(piece: Prism, density_kg_m3: float) -> MassProperties:
    section, (low, high) = section_moments(piece), piece.span
    per_area = density_kg_m3 * (high - low)
    kilograms, x, y = per_area * section.area, section.x / section.area, section.y / section.area
    about_x = per_area * section.yy - kilograms * y * y
    about_y = per_area * section.xx - kilograms * x * x
    product = per_area * section.xy - kilograms * x * y
    along = kilograms * (high - low) ** 2 / 12.0
    tensor = np.array(
        [[about_x + along, -product, 0.0], [-product, about_y + along, 0.0], [0.0, 0.0, about_x + about_y]]
    )
    return MassProperties(kilograms, np.array([x, y, (low + high) / 2.0]), tensor)


def _cylinder(piece: Cylinder, density_kg_m3: float) -> MassProperties:
    along = "xyz".index(piece.axis)
    length = piece.span[1] - piece.span[0]
    kilograms = density_kg_m3 * mass.cylinder_volume_m3(piece.radius, length)
    moments = np.full(3, mass.transverse_inertia_kg_m2(kilograms, piece.radius, length))
    moments[along] = mass.axial_inertia_kg_m2(kilograms, piece.radius)
    centre = [*piece.centre]
    centre.insert(along, (piece.span[0] + piece.span[1]) / 2.0)
    return MassProperties(float(kilograms), np.array(centre), np.diag(moments))


def crossed_properties(
    hole_radius_m: float, shaft_radius_m: float, height_m: float, density_kg_m3: float
) -> MassProperties:
    """Mass properties of what a hole along y through the axis takes from a shaft about z, at a height (m).

    The common volume of two crossing cylinders is an elliptic integral; the integrand is periodic in the
    angle round the hole, so that equal steps converge faster than any power, wherever they begin. Source:
    definition of the moments (from memory).
    """
    angle = np.arange(CROSSING_STEPS) * (np.pi / CROSSING_STEPS)
    x, half_height = hole_radius_m * np.sin(angle), hole_radius_m * np.cos(angle)
    half_width = np.sqrt(shaft_radius_m**2 - x**2)
    weights = 4.0 * half_height * half_width * half_height * (np.pi / CROSSING_STEPS)
    volume = float(weights.sum())
    xx, yy, zz = (
        float((weights * square).sum()) for square in (x**2, half_width**2 / 3.0, half_height**2 / 3.0)
    )
    tensor = density_kg_m3 * np.diag([yy + zz, xx + zz, xx + yy])
    return MassProperties(density_kg_m3 * volume, np.array([0.0, 0.0, height_m]), tensor)


def shape_properties(shape: Shape, density_kg_m3: float) -> MassProperties:
    """Mass properties of what is added less what is cut (lengths in m). Source: superposition."""
    added = [primitive_properties(piece, density_kg_m3) for piece in shape.adds]
    return combined([*added, *(primitive_properties(piece, -density_kg_m3) for piece in shape.cuts)])


def combined(parts: Iterable[MassProperties]) -> MassProperties:
    """Mass properties of several bodies together. Source: superposition, parallel-axis theorem."""
    bodies = tuple(parts)
    masses = np.array([body.mass_kg for body in bodies])
    centres = np.array([body.centre_m for body in bodies])
    total = float(masses.sum())
    centre = masses @ centres / total
    offsets = centres - centre
    products = (masses * offsets.T) @ offsets
    tensor = sum(body.tensor_kg_m2 for body in bodies) + products.trace() * np.eye(3) - products
    return MassProperties(total, centre, tensor)


def weighed(body: MassProperties, mass_kg: float) -> MassProperties:
    """Give a body another mass, spread evenly over the same shape."""
    return MassProperties(mass_kg, body.centre_m, body.tensor_kg_m2 * (mass_kg / body.mass_kg))


def turned_properties(
    volume_m3: float,
    centroid_z_m: float,
    axial_moment_m5: float,
    transverse_moment_m5: float,
    density_kg_m3: float,
) -> MassProperties:
    """Mass properties of a solid about z from its geometric moments (m).

    Source: definition of the moments.
    """
    moments = np.array([transverse_moment_m5, transverse_moment_m5, axial_moment_m5])
    centre = np.array([0.0, 0.0, centroid_z_m])
    return MassProperties(density_kg_m3 * volume_m3, centre, np.diag(density_kg_m3 * moments))

"""The section of the design file that describes the gears: stages, what they are mounted by, a spur stage."""

from typing import Annotated

from geometry import design_fields as field
from geometry.bodies import Point
from geometry.design_bodies import PART_FILES
from geometry.design_fields import Section
from geometry.design_parts import MOST_HOLES
from geometry.units import Band

# Far beyond anything built: they keep a slip of the key from filling the memory.
MOST_TEETH, MOST_PLANETS = 1000, 50


class Stage(Section):
    """One planetary stage, sun driving, ring held, carrier out."""

    sun: Annotated[int, field.count("teeth of the sun", 12, most=MOST_TEETH)]
    planet: Annotated[int, field.count("teeth of a planet", 12, most=MOST_TEETH)]
    ring: Annotated[int, field.count("teeth of the ring", 36, most=MOST_TEETH)]
    planets: Annotated[int, field.count("number of planets", 3, most=MOST_PLANETS)] = 3
    module: Annotated[float | None, field.plain("length", "module", "0.3 mm", above=0)] = None
    width: Annotated[float | None, field.plain("length", "face width", "4 mm", above=0)] = None
    pressure_angle: Annotated[float, field.plain("angle", "pressure angle", "20 deg", above=0, most=45)] = (
        20.0
    )
    sun_shift: Annotated[
        float | None, field.number("profile shift of the sun; left out, the least without undercut", 0.34)
    ] = None
    planet_shift: Annotated[
        float | None, field.number("profile shift of a planet; the ring's follows from both", 0.34)
    ] = None
    tooth_backlash: Annotated[
        float | None,
        field.plain("length", "between flanks of each mesh; left out, 0.05 modules", "15 um", least=0),
    ] = None
    carrier: Annotated[
        float | None, field.plain("length", "thickness of the carrier's disc", "0.8 mm", above=0)
    ] = None
    torque_continuous: Annotated[
        float | None, field.plain("torque", "carrier torque it bears always", "60 mN*m", above=0)
    ] = None
    torque_momentary: Annotated[
        float | None, field.plain("torque", "carrier torque it bears for a moment", "150 mN*m", above=0)
    ] = None

    def __str__(self) -> str:
        """Give the stage in a line for the report: sun, planet and ring teeth."""
        return f"{self.sun}/{self.planet}/{self.ring}, {self.planets} planets"

    @property
    def ratio(self) -> float:
        """Turns of the sun per turn of the carrier, the ring held."""
        return 1.0 + self.ring / self.sun

    @property
    def mesh(self) -> tuple[int, int, int]:
        """Teeth that drive, teeth that they drive, and how many such meshes share the torque."""
        return self.sun, self.planet, self.planets


class Mount(Section):
    """What the gear is mounted by: a pilot on its front face, tapped holes around it."""

    pilot_diameter: Annotated[
        float | None, field.plain("length", "diameter of the pilot", "10 mm", above=0)
    ] = None
    pilot_height: Annotated[float | None, field.plain("length", "height of the pilot", "1 mm", above=0)] = (
        None
    )
    pilot_bore: Annotated[
        float | None, field.plain("length", "bore of the pilot, where the screw passes", "9 mm", above=0)
    ] = None
    bolt: Annotated[str | None, field.words("thread of the mounting holes", "M1.6")] = None
    bolt_circle: Annotated[
        float | None, field.plain("length", "diameter of the hole circle", "13 mm", above=0)
    ] = None
    bolt_holes: Annotated[int | None, field.count("number of mounting holes", 3, most=MOST_HOLES)] = None
    bolt_depth: Annotated[float | None, field.plain("length", "depth of the thread", "2 mm", above=0)] = None
    bolt_strength: Annotated[
        float, field.plain("pressure", "yield strength of the screws", "450 MPa", above=0)
    ] = 450e6


class Output(Section):
    """The gear's output, flush with its front face: shaft, flange, bearings."""

    diameter: Annotated[float, field.plain("length", "diameter of the output shaft", "4 mm", above=0)]
    flange_diameter: Annotated[
        float | None, field.plain("length", "diameter of the output flange", "8 mm", above=0)
    ] = None
    flange_thickness: Annotated[
        float | None, field.plain("length", "thickness of the output flange", "1 mm", above=0)
    ] = None
    bearing_diameter: Annotated[
        float | None, field.plain("length", "outer diameter of its bearings", "7 mm", above=0)
    ] = None
    bearing_width: Annotated[float | None, field.plain("length", "width of one bearing", "2 mm", above=0)] = (
        None
    )
    bearings: Annotated[int, field.count("number of bearings", 2, most=4)] = 1


class Ears(Section):
    """Two mounting ears at the gear's front face, opposite one another along x."""

    width: Annotated[float, field.plain("length", "over both ears, along x", "26 mm", above=0)]
    depth: Annotated[float, field.plain("length", "along y", "8 mm", above=0)]
    thickness: Annotated[float, field.plain("length", "along z", "4 mm", above=0)]
    hole: Annotated[float, field.plain("length", "diameter of the screw holes", "2.2 mm", above=0)]
    spacing: Annotated[float, field.plain("length", "between the holes' centres", "22 mm", above=0)]


class Spur(Section):
    """A spur stage before the screw: its wheel on the screw, its pinion and the motor beside it."""

    pinion: Annotated[int, field.count("teeth of the pinion", 14, most=MOST_TEETH)]
    wheel: Annotated[int, field.count("teeth of the wheel", 42, most=MOST_TEETH)]
    module: Annotated[float, field.plain("length", "module", "0.5 mm", above=0)]
    direction: Annotated[
        Point, field.direction("which way the motor lies from the screw, across its axis", [1, 0, 0])
    ]
    width: Annotated[float | None, field.plain("length", "face width", "5 mm", above=0)] = None
    length: Annotated[
        float | None, field.plain("length", "length of its housing; left out, as it needs", "8 mm", above=0)
    ] = None
    pressure_angle: Annotated[float, field.plain("angle", "pressure angle", "20 deg", above=0, most=45)] = (
        20.0
    )
    tooth_backlash: Annotated[
        float | None,
        field.plain("length", "between its flanks; left out, 0.05 modules", "25 um", least=0),
    ] = None
    torque_continuous: Annotated[
        float | None, field.plain("torque", "wheel torque it bears always", "60 mN*m", above=0)
    ] = None
    torque_momentary: Annotated[
        float | None, field.plain("torque", "wheel torque it bears for a moment", "150 mN*m", above=0)
    ] = None
    mass: Annotated[float | None, field.plain("mass", "mass", "20 g", above=0)] = None

    def __str__(self) -> str:
        """Give the stage in a line for the report: pinion and wheel teeth."""
        return f"{self.pinion}/{self.wheel} spur"

    @property
    def ratio(self) -> float:
        """Turns of the pinion per turn of the wheel."""
        return self.wheel / self.pinion

    @property
    def mesh(self) -> tuple[int, int, int]:
        """Teeth that drive, teeth that they drive, and how many such meshes share the torque."""
        return self.pinion, self.wheel, 1


class Gears(Section):
    """The gear stack: teeth, or as bought with its ratio."""

    ratio: Annotated[
        float | None, field.number("ratio motor : screw, as bought or as wanted", 4, above=0)
    ] = None
    efficiency: Annotated[
        Band | None,
        field.band("number", "efficiency, low..nominal..high", "0.80..0.85..0.90", above=0, most=1),
    ] = None
    backlash: Annotated[float | None, field.plain("angle", "backlash at the output", "1.5 deg", least=0)] = (
        None
    )
    torque_continuous: Annotated[
        float | None, field.plain("torque", "output torque it bears always", "60 mN*m", above=0)
    ] = None
    torque_momentary: Annotated[
        float | None, field.plain("torque", "output torque it bears for a moment", "150 mN*m", above=0)
    ] = None
    speed_limit: Annotated[
        float | None, field.plain("rotation", "highest speed of the motor's side", "10000 rpm", above=0)
    ] = None
    tooth_strength: Annotated[
        float | None, field.plain("pressure", "allowed bending stress of the teeth", "200 MPa", above=0)
    ] = None
    tooth_pressure: Annotated[
        float | None, field.plain("pressure", "allowed contact pressure of the teeth", "600 MPa", above=0)
    ] = None
    life: Annotated[float | None, field.plain("time", "rated running time", "1000 h", above=0)] = None
    diameter: Annotated[float | None, field.plain("length", "outer diameter", "16 mm", above=0)] = None
    length: Annotated[float | None, field.plain("length", "length", "16 mm", above=0)] = None
    mass: Annotated[float | None, field.plain("mass", "mass", "22 g", above=0)] = None
    inertia: Annotated[
        float | None, field.plain("inertia", "as felt at the motor's shaft", "0.05 g*cm2", above=0)
    ] = None
    bore: Annotated[float | None, field.plain("length", "bore where the screw passes", "10 mm", above=0)] = (
        None
    )
    ears: Ears | None = None
    mount: Mount | None = None
    output: Output | None = None
    stage: tuple[Stage, ...] = ()
    spur: Spur | None = None
    shape: Annotated[str | None, field.path("STEP file in place of our shape", "gear.step", PART_FILES)] = (
        None
    )

    @property
    def inline(self) -> bool:
        """Whether a gear stands on the motor's own axis: always, but with a spur stage alone."""
        own = (self.stage, self.length, self.diameter, self.shape)
        return self.spur is None or any(value for value in own)

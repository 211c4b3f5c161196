"""The sections of the design file that describe the drive: coupling, brake, motor, seal."""

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import model_validator

from geometry import design_fields as field
from geometry.design_bodies import PART_FILES
from geometry.design_fields import Section, refuse
from geometry.design_parts import MOST_HOLES


class Coupling(Section):
    """The coupling between gear and screw."""

    diameter: Annotated[float | None, field.plain("length", "outer diameter", "14 mm", above=0)] = None
    length: Annotated[float | None, field.plain("length", "length", "18 mm", above=0)] = None
    stiffness: Annotated[
        float | None, field.plain("torsional_stiffness", "torsional stiffness", "30 N*m/rad", above=0)
    ] = None
    torque: Annotated[float | None, field.plain("torque", "torque it bears", "0.5 N*m", above=0)] = None
    backlash: Annotated[float, field.plain("angle", "backlash", "0.2 deg", least=0)] = 0.0
    mass: Annotated[float | None, field.plain("mass", "mass", "8 g", above=0)] = None
    inertia: Annotated[float | None, field.plain("inertia", "about its axis", "2 g*cm2", above=0)] = None


class Brake(Section):
    """A brake or detent that counts with its torque."""

    torque: Annotated[float, field.plain("torque", "holding torque at its own shaft", "10 mN*m", above=0)]
    on: Annotated[Literal["motor", "screw"], field.choice("whose shaft it holds", "motor")] = "motor"
    travel: Annotated[
        float, field.plain("angle", "how far the shaft turns until it holds", "5 deg", least=0)
    ] = 0.0
    diameter: Annotated[float | None, field.plain("length", "diameter", "16 mm", above=0)] = None
    length: Annotated[float | None, field.plain("length", "length", "12 mm", above=0)] = None
    mass: Annotated[float | None, field.plain("mass", "mass", "15 g", above=0)] = None
    inertia: Annotated[float | None, field.plain("inertia", "about its axis", "0.1 g*cm2", above=0)] = None


class Front(Section):
    """What the motor has on its front face, by its own numbers in place of a NEMA frame's."""

    pilot_diameter: Annotated[
        float | None, field.plain("length", "diameter of the pilot", "22 mm", above=0)
    ] = None
    pilot_height: Annotated[float | None, field.plain("length", "height of the pilot", "2 mm", above=0)] = (
        None
    )
    shaft_diameter: Annotated[
        float | None, field.plain("length", "diameter of the shaft", "5 mm", above=0)
    ] = None
    shaft_length: Annotated[
        float | None, field.plain("length", "length of the shaft beyond the front face", "20 mm", above=0)
    ] = None
    hole: Annotated[
        float | None, field.plain("length", "diameter of a mounting hole or its core", "2.5 mm", above=0)
    ] = None
    bolt: Annotated[str | None, field.words("thread tapped in them, in place of hole", "M3")] = None
    hole_circle: Annotated[
        float | None, field.plain("length", "diameter of the hole circle", "43.8 mm", above=0)
    ] = None
    holes: Annotated[int | None, field.count("number of mounting holes", 4, most=MOST_HOLES)] = None
    hole_depth: Annotated[float, field.plain("length", "depth of the mounting holes", "4 mm", above=0)] = 4.0


class Connector(Section):
    """A connector on the side of the motor's body."""

    width: Annotated[float, field.plain("length", "across the motor", "12 mm", above=0)]
    height: Annotated[float, field.plain("length", "above the motor's side", "6 mm", above=0)]
    length: Annotated[float, field.plain("length", "along the motor", "9 mm", above=0)]
    from_rear: Annotated[float, field.plain("length", "from the motor's rear face to it", "1 mm", least=0)]
    side: Annotated[Literal["+x", "-x", "+y", "-y"], field.choice("on which side it is", "+y")] = "+y"


class Terminals(Section):
    """Two blades on the motor's rear face, side by side along x."""

    spacing: Annotated[float, field.plain("length", "between their middles", "8 mm", above=0)]
    width: Annotated[float, field.plain("length", "width of a blade, along y", "2.8 mm", above=0)]
    thickness: Annotated[float, field.plain("length", "thickness of a blade", "0.5 mm", above=0)]
    length: Annotated[float, field.plain("length", "how far they stand out", "5 mm", above=0)]


class Cover(Section):
    """A cap over the rear of the motor and its encoder."""

    diameter: Annotated[float, field.plain("length", "outer diameter", "20 mm", above=0)]
    length: Annotated[float, field.plain("length", "length from its rear face", "30 mm", above=0)]
    wall: Annotated[float, field.plain("length", "thickness of its wall and rear", "1 mm", above=0)]
    mass: Annotated[float | None, field.plain("mass", "mass", "6 g", above=0)] = None


class Seal(Section):
    """What seals the screw at the front face: a lip seal, or bellows up to the nut."""

    kind: Annotated[Literal["lip", "bellows"], field.choice("which of both", "lip")]
    diameter: Annotated[float, field.plain("length", "outer diameter", "16 mm", above=0)]
    bore: Annotated[float, field.plain("length", "inner diameter, around the screw", "9 mm", above=0)]
    length: Annotated[float, field.plain("length", "length; of bellows pushed together", "4 mm", above=0)]
    extended: Annotated[
        float | None, field.plain("length", "length of bellows drawn out", "70 mm", above=0)
    ] = None
    drag: Annotated[float | None, field.plain("torque", "drag of a lip on the screw", "2 mN*m", least=0)] = (
        None
    )
    mass: Annotated[float | None, field.plain("mass", "mass", "3 g", above=0)] = None


class Encoder(Section):
    """The encoder on the motor's rear."""

    diameter: Annotated[float, field.plain("length", "diameter", "15.5 mm", above=0)]
    length: Annotated[float, field.plain("length", "length", "8 mm", above=0)]
    bore: Annotated[float | None, field.plain("length", "bore where the screw passes", "10 mm", above=0)] = (
        None
    )
    mass: Annotated[float | None, field.plain("mass", "mass", "4 g", above=0)] = None
    counts: Annotated[int | None, field.count("counts per motor turn", 64)] = None
    shape: Annotated[
        str | None, field.path("STEP file in place of our shape", "encoder.step", PART_FILES)
    ] = None


class TorquePoint(Section):
    """One row of a motor's table of torque over speed."""

    speed: Annotated[float, field.plain("rotation", "speed of the motor", "3000 rpm", least=0)]
    torque: Annotated[float, field.plain("torque", "torque available there", "9 mN*m", least=0)]


class Motor(Section):
    """The motor: R, kt and I0; or no-load and stall data at a voltage; or a table of torque over speed."""

    kind: Annotated[Literal["brushed", "brushless", "stepper"] | None, field.choice("kind", "brushed")] = None
    diameter: Annotated[float | None, field.plain("length", "diameter", "16 mm", above=0)] = None
    length: Annotated[float | None, field.plain("length", "length", "30 mm", above=0)] = None
    frame: Annotated[
        Literal["NEMA 8", "NEMA 11", "NEMA 14", "NEMA 17", "NEMA 23", "NEMA 24"] | None,
        field.choice("square frame by NEMA ICS 16, in place of its numbers", "NEMA 17"),
    ] = None
    square: Annotated[
        float | None, field.plain("length", "width of a square body, in place of diameter", "42 mm", above=0)
    ] = None
    bore: Annotated[float | None, field.plain("length", "bore where the screw passes", "10 mm", above=0)] = (
        None
    )
    front: Front | None = None
    connector: Connector | None = None
    terminals: Terminals | None = None
    cover: Cover | None = None
    mass: Annotated[float | None, field.plain("mass", "mass", "28 g", above=0)] = None
    inertia: Annotated[float | None, field.plain("inertia", "of the rotor", "1.0 g*cm2", above=0)] = None
    resistance: Annotated[
        float | None, field.plain("resistance", "terminal resistance at 25 degC", "9.5 ohm", above=0)
    ] = None
    torque_constant: Annotated[
        float | None, field.plain("torque_constant", "torque per current", "11.4 mN*m/A", above=0)
    ] = None
    no_load_current: Annotated[float | None, field.plain("current", "no-load current", "15 mA", least=0)] = (
        None
    )
    voltage: Annotated[
        float | None, field.plain("voltage", "voltage of the no-load and stall data", "12 V", above=0)
    ] = None
    no_load_speed: Annotated[float | None, field.plain("rotation", "no-load speed", "9930 rpm", above=0)] = (
        None
    )
    stall_torque: Annotated[float | None, field.plain("torque", "stall torque", "14.2 mN*m", above=0)] = None
    stall_current: Annotated[float | None, field.plain("current", "stall current", "1.26 A", above=0)] = None
    torque_table: Annotated[
        tuple[TorquePoint, ...],
        field.Example([{"speed": "0 rpm", "torque": "14 mN*m"}, {"speed": "9900 rpm", "torque": "0 mN*m"}]),
    ] = ()
    thermal_resistance_winding: Annotated[
        float | None, field.plain("thermal_resistance", "winding to housing", "8 K/W", above=0)
    ] = None
    thermal_resistance_housing: Annotated[
        float | None, field.plain("thermal_resistance", "housing to ambient", "28 K/W", above=0)
    ] = None
    thermal_time_constant: Annotated[float | None, field.plain("time", "of the winding", "6 s", above=0)] = (
        None
    )
    thermal_time_constant_housing: Annotated[
        float | None, field.plain("time", "of the housing", "300 s", above=0)
    ] = None
    winding_limit: Annotated[
        float | None, field.plain("temperature", "highest winding temperature", "100 degC", above=-273.15)
    ] = None
    current_continuous: Annotated[
        float | None, field.plain("current", "current it bears always", "0.5 A", above=0)
    ] = None
    speed_limit: Annotated[float | None, field.plain("rotation", "highest speed", "12000 rpm", above=0)] = (
        None
    )
    life: Annotated[float | None, field.plain("time", "rated running time", "1000 h", above=0)] = None
    life_turns: Annotated[int | None, field.count("rated turns of the rotor", 200000000)] = None
    steps: Annotated[int | None, field.count("full steps per turn of a stepper", 200)] = None
    inductance: Annotated[
        float | None, field.plain("inductance", "inductance of a stepper's phase", "0.8 mH", above=0)
    ] = None
    detent_torque: Annotated[
        float | None, field.plain("torque", "torque without current", "2 mN*m", least=0)
    ] = None
    encoder: Encoder | None = None
    shape: Annotated[str | None, field.path("STEP file in place of our shape", "motor.step", PART_FILES)] = (
        None
    )

    @model_validator(mode="after")
    def _table_rises(self) -> Self:
        speeds = [row.speed for row in self.torque_table]
        if len(speeds) == 1 or any(after <= before for before, after in pairwise(speeds)):
            raise refuse(
                "torque_table needs two rows or more, the speed rising from row to row", "sort it by speed"
            )
        return self

"""The sections of the design file that describe the actuator's own parts."""

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import model_validator

from geometry import design_fields as field
from geometry.design_bodies import PART_FILES
from geometry.design_fields import Section, refuse
from geometry.units import Band, Span

Support = Literal["fixed", "supported", "free"]
# Far beyond anything built: they keep a slip of the key from filling the memory.
MOST_TEETH, MOST_PLANETS, MOST_HOLES = 1000, 50, 100


class Journal(Section):
    """A plain cylindrical end of the screw."""

    diameter: Annotated[float, field.plain("length", "diameter", "5 mm", above=0)]
    length: Annotated[float, field.plain("length", "length", "8 mm", above=0)]


class Screw(Section):
    """The screw: its thread and its two ends."""

    thread: Annotated[str, field.words("designation: M3, M4x0.5, Tr8x1.5, Tr8x8(P2) LH", "Tr8x1.5")]
    length: Annotated[float, field.plain("length", "length of the thread", "96 mm", above=0)]
    pitch: Annotated[
        float | None, field.plain("length", "pitch, to cross-check the designation", "1.5 mm", above=0)
    ] = None
    lead: Annotated[
        float | None, field.plain("length", "lead, to cross-check the designation", "1.5 mm", above=0)
    ] = None
    near_journal: Journal | None = None
    far_journal: Journal | None = None
    thread_ends: Annotated[
        Literal["chamfered", "plain"], field.choice("how the thread ends", "chamfered")
    ] = "chamfered"
    material: Annotated[str, field.words("material", "steel")] = "steel"
    strength: Annotated[
        float | None, field.plain("pressure", "yield strength of the material", "350 MPa", above=0)
    ] = None
    mass: Annotated[
        float | None, field.plain("mass", "mass; left out, the solid's own value", "36 g", above=0)
    ] = None
    inertia: Annotated[
        float | None,
        field.plain("inertia", "about its axis; left out, the solid's own", "2.536 g*cm2", above=0),
    ] = None
    shape: Annotated[str | None, field.path("STEP file in place of our shape", "screw.step", PART_FILES)] = (
        None
    )


class Ends(Section):
    """How the screw is held."""

    near: Annotated[Support | None, field.choice("bearing at the motor's end", "fixed")] = None
    far: Annotated[Support | None, field.choice("bearing at the far end", "supported")] = None
    near_bearing: Annotated[float | None, field.plain("length", "z of the near bearing's middle", "0 mm")] = (
        None
    )
    far_bearing: Annotated[
        float | None, field.plain("length", "z of the far bearing's middle", "110.5 mm")
    ] = None
    nut: Annotated[Support | None, field.choice("how the nut's end holds the screw in buckling", "free")] = (
        None
    )
    thrust_continuous: Annotated[
        float | None, field.plain("force", "what the thrust bearing bears always", "200 N", above=0)
    ] = None
    thrust_momentary: Annotated[
        float | None, field.plain("force", "what the thrust bearing bears for a moment", "600 N", above=0)
    ] = None
    collar_diameter: Annotated[
        float | None, field.plain("length", "mean diameter of a sliding thrust face", "7 mm", above=0)
    ] = None
    collar_friction: Annotated[
        Band | None,
        field.band("number", "friction of that face, low..nominal..high", "0.08..0.12..0.16", least=0),
    ] = None


class Nut(Section):
    """The nut."""

    length: Annotated[float, field.plain("length", "length of its thread", "16 mm", above=0)]
    friction: Annotated[
        Band, field.band("number", "friction in the thread, low..nominal..high", "0.08..0.15..0.20", least=0)
    ]
    kind: Annotated[Literal["flanged", "cylindrical"], field.choice("its shape", "flanged")] = "cylindrical"
    position: Annotated[float | None, field.plain("length", "z of its near face at s = 0", "14 mm")] = None
    body_diameter: Annotated[float | None, field.plain("length", "outer diameter", "15 mm", above=0)] = None
    flange_diameter: Annotated[
        float | None, field.plain("length", "diameter of the flange", "24 mm", above=0)
    ] = None
    flange_thickness: Annotated[
        float | None, field.plain("length", "thickness of the flange", "4 mm", above=0)
    ] = None
    flange: Annotated[
        Literal["away from motor", "toward motor"],
        field.choice("which way the flange faces", "away from motor"),
    ] = "away from motor"
    bolt_circle: Annotated[
        float | None, field.plain("length", "diameter of the bolt circle", "19 mm", above=0)
    ] = None
    bolt_holes: Annotated[int | None, field.count("number of bolt holes", 4, most=MOST_HOLES)] = None
    bolt_hole: Annotated[
        float | None, field.plain("length", "diameter of a bolt hole", "2.4 mm", above=0)
    ] = None
    material: Annotated[str | None, field.words("material", "POM")] = None
    mass: Annotated[
        float | None, field.plain("mass", "mass; left out, the solid's own value", "6 g", above=0)
    ] = None
    area_factor: Annotated[
        float | None, field.number("share of a plastic nut's flank that carries", 0.5, above=0, most=1)
    ] = None
    play: Annotated[float | None, field.plain("length", "axial play in the thread", "0.05 mm", least=0)] = (
        None
    )
    force_momentary: Annotated[
        float | None, field.plain("force", "what the nut bears for a moment", "400 N", above=0)
    ] = None
    pressure_limit: Annotated[
        float | None, field.plain("pressure", "allowed flank pressure", "5 MPa", above=0)
    ] = None
    pv_limit: Annotated[
        float | None, field.plain("pv", "allowed pressure times sliding speed", "0.1 MPa*m/s", above=0)
    ] = None
    wear_coefficient: Annotated[
        Span | None, field.span("wear", "wear coefficient, low..high", "1e-15..1e-14 m2/N", above=0)
    ] = None
    wear_limit: Annotated[float | None, field.plain("length", "allowed axial wear", "0.10 mm", above=0)] = (
        None
    )
    shape: Annotated[str | None, field.path("STEP file in place of our shape", "nut.step", PART_FILES)] = None


class Guide(Section):
    """What keeps the nut from turning and carries side loads."""

    kind: Annotated[Literal["ball", "plain", "roller"] | None, field.choice("kind of guide", "ball")] = None
    friction: Annotated[
        Band | None, field.band("number", "friction, one value or low..nominal..high", 0.01, least=0)
    ] = None
    length: Annotated[float | None, field.plain("length", "guided length", "20 mm", above=0)] = None
    arm: Annotated[
        float | None, field.plain("length", "the load's offset from the screw", "48 mm", least=0)
    ] = None
    drag: Annotated[float | None, field.plain("force", "drag of seals and wipers", "2.0 N", least=0)] = None
    play: Annotated[float | None, field.plain("length", "play across the guide", "0.02 mm", least=0)] = None
    reaction_arm: Annotated[
        float | None,
        field.plain("length", "distance from screw to guide that takes the torque", "21 mm", above=0),
    ] = None


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
    diameter: Annotated[float | None, field.plain("length", "outer diameter", "16 mm", above=0)] = None
    length: Annotated[float | None, field.plain("length", "length", "16 mm", above=0)] = None
    mass: Annotated[float | None, field.plain("mass", "mass", "22 g", above=0)] = None
    inertia: Annotated[
        float | None, field.plain("inertia", "as felt at the motor's shaft", "0.05 g*cm2", above=0)
    ] = None
    ears: Ears | None = None
    mount: Mount | None = None
    output: Output | None = None
    stage: tuple[Stage, ...] = ()
    shape: Annotated[str | None, field.path("STEP file in place of our shape", "gear.step", PART_FILES)] = (
        None
    )


class Encoder(Section):
    """The encoder on the motor's rear."""

    diameter: Annotated[float, field.plain("length", "diameter", "15.5 mm", above=0)]
    length: Annotated[float, field.plain("length", "length", "8 mm", above=0)]
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
    steps: Annotated[int | None, field.count("full steps per turn of a stepper", 200)] = None
    inductance: Annotated[
        float | None, field.plain("inductance", "terminal inductance", "0.8 mH", above=0)
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

"""The sections of the design file that describe the screw: its ends, its nut, its guide."""

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, model_validator

from geometry import design_fields as field
from geometry.design_bodies import PART_FILES
from geometry.design_fields import Section, refuse
from geometry.design_thread import Lengths, OwnOutline, ThreadFamily, length_choice
from geometry.units import Band, Span

Support = Literal["fixed", "supported", "free"]
SolidSize = Literal["nominal", "maximum-material", "minimum-material"]
MOST_HOLES = 100  # far beyond anything built: it keeps a slip of the key from filling the memory


class Journal(Section):
    """A turned end of the screw, plain or with what is turned and milled on it."""

    diameter: Annotated[float, field.plain("length", "diameter", "5 mm", above=0)]
    length: Annotated[float, field.plain("length", "length", "8 mm", above=0)]
    chamfer: Annotated[
        float | None, field.plain("length", "45 degree chamfer of its free edge", "0.3 mm", above=0)
    ] = None
    circlip: Annotated[
        float | None,
        field.plain("length", "from its shoulder to a DIN 471 circlip groove", "5 mm", above=0),
    ] = None
    flat: Annotated[
        float | None, field.plain("length", "height left over a flat, along x", "4.5 mm", above=0)
    ] = None
    hexagon: Annotated[
        float | None, field.plain("length", "over the flats of a hexagon drive", "4 mm", above=0)
    ] = None
    square: Annotated[
        float | None, field.plain("length", "over the flats of a square drive", "4 mm", above=0)
    ] = None
    milled: Annotated[
        float | None,
        field.plain("length", "how far flat or drive reach in from the free end", "6 mm", above=0),
    ] = None
    cross_hole: Annotated[
        float | None, field.plain("length", "diameter of a hole across it, along y", "1.5 mm", above=0)
    ] = None
    cross_hole_at: Annotated[
        float | None, field.plain("length", "from its free end to that hole's centre", "3 mm", above=0)
    ] = None
    thread: Annotated[str | None, field.words("thread along all of it; its size is the diameter", "M5")] = (
        None
    )


def _one_thread_of(schema: dict[str, Any]) -> None:
    """Tell editors that family or outline may stand in place of the designation."""
    schema["required"].remove("thread")
    schema["oneOf"] = [{"required": [name]} for name in ("thread", "family", "outline")]


class Screw(Section):
    """The screw: its thread and its two ends."""

    model_config = ConfigDict(json_schema_extra=_one_thread_of)

    thread: Annotated[str, field.words("designation: M3, M4x0.5, Tr8x1.5, Tr8x8(P2) LH", "Tr8x1.5")]
    length: Annotated[float, field.plain("length", "length of the thread", "96 mm", above=0)]
    family: ThreadFamily | None = None
    outline: OwnOutline | None = None
    allowed_lengths: Annotated[Lengths | None, length_choice()] = None
    tolerance_class: Annotated[str | None, field.words("tolerance class of its thread", "7e")] = None
    solid_size: Annotated[
        SolidSize, field.choice("size of the thread in the solids, within the class", "nominal")
    ] = "nominal"
    pitch: Annotated[
        float | None, field.plain("length", "pitch, to cross-check the designation", "1.5 mm", above=0)
    ] = None
    lead: Annotated[
        float | None, field.plain("length", "lead, to cross-check the designation", "1.5 mm", above=0)
    ] = None
    position: Annotated[
        float, field.plain("length", "z of its near end at s = 0; below 0 it reaches into the drive", "0 mm")
    ] = 0.0
    near_journal: Journal | None = None
    far_journal: Journal | None = None
    near_tip: Journal | None = None
    far_tip: Journal | None = None
    bore: Annotated[float | None, field.plain("length", "diameter of a centre bore", "2 mm", above=0)] = None
    bore_depth: Annotated[
        float | None,
        field.plain("length", "its depth from the far end; left out, it goes through", "20 mm", above=0),
    ] = None
    thread_ends: Annotated[
        Literal["chamfered", "plain"], field.choice("how the thread ends", "chamfered")
    ] = "chamfered"
    material: Annotated[str, field.words("material", "steel")] = "steel"
    strength: Annotated[
        float | None, field.plain("pressure", "yield strength of the material", "350 MPa", above=0)
    ] = None
    grade: Annotated[
        Literal["P1", "P3", "P5", "T1", "T3", "T5", "T7", "T10"] | None,
        field.choice("ISO 3408-3 type and tolerance grade of a ball screw", "T7"),
    ] = None
    lead_error: Annotated[
        float | None, field.plain("length", "lead error of another screw in any 300 mm", "0.1 mm", least=0)
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

    @model_validator(mode="before")
    @classmethod
    def _one_thread(cls, data: Any) -> Any:
        """Take the thread from its designation, its family or its outline, and from one of them only."""
        if not isinstance(data, dict):
            return data
        given = [name for name in ("thread", "family", "outline") if data.get(name) is not None]
        if len(given) > 1:
            raise refuse(f"the screw's thread is given by {' and '.join(given)}", f"keep {given[-1]} alone")
        return {**data, "thread": given[0]} if given and given != ["thread"] else data


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
    bearing_dynamic: Annotated[
        float | None, field.plain("force", "axial dynamic load rating of the bearing", "1.2 kN", above=0)
    ] = None
    collar_diameter: Annotated[
        float | None, field.plain("length", "mean diameter of a sliding thrust face", "7 mm", above=0)
    ] = None
    collar_friction: Annotated[
        Band | None,
        field.band("number", "friction of that face, low..nominal..high", "0.08..0.12..0.16", least=0),
    ] = None


class ReturnCap(Section):
    """The room of the balls' way back: a cap on the side of +y of a round body, in its middle."""

    width: Annotated[float, field.plain("length", "across the nut", "8 mm", above=0)]
    height: Annotated[float, field.plain("length", "above the round", "3 mm", above=0)]
    length: Annotated[float, field.plain("length", "along the nut", "12 mm", above=0)]


class Balls(Section):
    """What a ball nut has beyond its friction (0.003..0.005..0.01 in nut.friction)."""

    dynamic_load: Annotated[float, field.plain("force", "dynamic load rating Ca", "3.2 kN", above=0)]
    static_load: Annotated[
        float | None, field.plain("force", "static load rating C0a", "5.1 kN", above=0)
    ] = None
    circle: Annotated[
        float | None, field.plain("length", "ball circle; left out, the pitch diameter", "8.3 mm", above=0)
    ] = None
    preload: Annotated[
        float, field.plain("force", "preload between the two halves of the nut", "60 N", least=0)
    ] = 0.0
    load_factor: Annotated[
        float, field.number("1.0..1.2 smooth, 1.2..1.5 normal, 1.5..3 shock", 1.2, least=1)
    ] = 1.2
    speed_value: Annotated[
        float, field.number("allowed ball circle (mm) times speed (rpm)", 70000, above=0)
    ] = 70000.0
    turns: Annotated[float | None, field.number("turns of loaded balls", 2.5, above=0, most=100)] = None
    shown: Annotated[bool, field.flag("the detailed solids show the loaded balls", True)] = False
    cap: ReturnCap | None = None


class Key(Section):
    """A key along a round nut's body, on the side of +y."""

    width: Annotated[float, field.plain("length", "width", "4 mm", above=0)]
    height: Annotated[float, field.plain("length", "how far it stands above the round", "1.5 mm", above=0)]


class SecondHalf(Section):
    """The second half of an anti-backlash nut and the spring between both, behind the flange."""

    length: Annotated[float, field.plain("length", "length of its thread", "6 mm", above=0)]
    spring_length: Annotated[float, field.plain("length", "length of the spring as fitted", "5 mm", above=0)]
    spring_diameter: Annotated[float, field.plain("length", "outer diameter of the spring", "12 mm", above=0)]
    spring_bore: Annotated[float, field.plain("length", "inner diameter of the spring", "9 mm", above=0)]
    mass: Annotated[
        float | None, field.plain("mass", "mass of the half; left out, the solid's own", "3 g", above=0)
    ] = None
    spring_mass: Annotated[float | None, field.plain("mass", "mass of the spring", "1 g", above=0)] = None


class Nut(Section):
    """The nut."""

    length: Annotated[float, field.plain("length", "length of its thread", "16 mm", above=0)]
    friction: Annotated[
        Band, field.band("number", "friction in the thread, low..nominal..high", "0.08..0.15..0.20", least=0)
    ]
    kind: Annotated[
        Literal["flanged", "cylindrical", "square", "none"],
        field.choice("its shape; none: it has no body of its own, as inside a motor", "flanged"),
    ] = "cylindrical"
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
        float | None, field.plain("length", "diameter of a through hole for the bolts", "2.4 mm", above=0)
    ] = None
    bolt: Annotated[str | None, field.words("its bolts, in place of bolt_hole", "M3")] = None
    bolt_fit: Annotated[
        Literal["tapped", "fine", "medium", "coarse"],
        field.choice("holes tapped for bolt, or through it by ISO 273: fine, medium, coarse", "medium"),
    ] = "tapped"
    flange_flats: Annotated[
        float | None, field.plain("length", "over two flats on the flange, along x", "18 mm", above=0)
    ] = None
    across_flats: Annotated[
        float | None,
        field.plain("length", "over its flats: two on a round nut, four on a square one", "13 mm", above=0),
    ] = None
    key: Key | None = None
    second: SecondHalf | None = None
    tolerance_class: Annotated[str | None, field.words("tolerance class of its thread", "7H")] = None
    solid_size: Annotated[
        SolidSize, field.choice("size of the thread in the solids, within the class", "nominal")
    ] = "nominal"
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
    spring: Annotated[
        float | None, field.plain("force", "spring that holds its play to one side", "20 N", least=0)
    ] = None
    drag: Annotated[
        float | None, field.plain("torque", "drag of its preload and wipers", "5 mN*m", least=0)
    ] = None
    strength: Annotated[
        float | None, field.plain("pressure", "yield strength of its material", "65 MPa", above=0)
    ] = None
    lubricant: Annotated[
        Span | None,
        field.span("temperature", "where its lubricant works", "-30..120 degC", least=-273.15),
    ] = None
    balls: Balls | None = None
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
    side_limit: Annotated[
        float | None, field.plain("force", "load across that the guide bears", "150 N", above=0)
    ] = None
    moment_limit: Annotated[
        float | None, field.plain("torque", "moment that the guide bears", "2 N*m", above=0)
    ] = None

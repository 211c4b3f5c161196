"""The sections of the design file that say what is asked of the actuator and how it is judged."""

from typing import Annotated, Any, Literal

from geometry import design_fields as field
from geometry.bodies import Point
from geometry.design_fields import Section
from geometry.units import Band, Measure, Span, Toleranced


class Document(Section):
    """What the design is called; every field as typed."""

    title: Annotated[str | None, field.words("what it is", "Vial lift")] = None
    number: Annotated[str | None, field.words("drawing or part number", "VL-100")] = None
    revision: Annotated[str | None, field.words("revision", "A")] = None
    author: Annotated[str | None, field.words("who answers for it", "Sampler team")] = None
    date: Annotated[str | None, field.words("date", "2026-03-02")] = None


class Motion(Section):
    """What the actuator must do along its travel."""

    stroke: Annotated[Span, field.span("length", "usable travel, from retracted to extended", "0..60 mm")]
    speed: Annotated[float, field.plain("speed", "running speed of the nut", "25 mm/s", above=0)]
    mass: Annotated[float, field.plain("mass", "what the nut carries, all of it", "0.450 kg", least=0)]
    turns: Annotated[
        Literal["screw", "nut"], field.choice("what the drive turns, the other is kept from turning", "screw")
    ] = "screw"
    travels: Annotated[
        Literal["nut", "screw"],
        field.choice("what goes along the travel; a drive that turns it goes with it", "nut"),
    ] = "nut"
    hard_stops: Annotated[
        Span | None, field.span("length", "where it is stopped by force, at both ends", "-4..64 mm")
    ] = None
    sensors: Annotated[Span | None, field.span("length", "where the end sensors switch", "-1.5..61.5 mm")] = (
        None
    )
    acceleration: Annotated[
        float | None, field.plain("acceleration", "ramp up to the speed and down", "250 mm/s2", above=0)
    ] = None
    cycle_time: Annotated[
        float | None, field.plain("time", "one up and one down, with the rests", "12 s", above=0)
    ] = None
    cycles: Annotated[int | None, field.count("how many cycles it must live", 500000)] = None
    step: Annotated[float | None, field.plain("length", "largest acceptable step", "0.1 mm", above=0)] = None
    repeatability: Annotated[
        float | None, field.plain("length", "how exactly a position must come back", "0.1 mm", above=0)
    ] = None
    accuracy: Annotated[
        float | None,
        field.plain("length", "how far the travel may be off over the stroke", "0.1 mm", above=0),
    ] = None
    without_power: Annotated[
        Literal["hold", "fall", "either"] | None,
        field.choice("what the load must do when the power goes", "hold"),
    ] = None
    sag: Annotated[
        float | None, field.plain("length", "how far it may sag before it holds", "1 mm", least=0)
    ] = None


class TravelForce(Section):
    """An outside force over a part of the travel."""

    travel: Annotated[
        Span | None, field.span("length", "over which travel; left out, all of it", "0..4 mm")
    ] = None
    force: Annotated[float, field.plain("force", "against extending; negative: against retracting", "8 N")]


class LoadCase(Section):
    """One way it is used or carried: orientation, forces, temperature, vibration."""

    name: Annotated[str, field.words("name of the case", "lift")]
    up: Annotated[Point, field.direction("which way is up in our frame", [0, 0, 1])] = (0.0, 0.0, 1.0)
    ambient: Annotated[
        Span | None, field.span("temperature", "ambient temperature", "5..35 degC", least=-273.15)
    ] = None
    forces: tuple[TravelForce, ...] = ()
    vibration: Annotated[str | None, field.words("vibration it must bear, in words", "transport by car")] = (
        None
    )


class Stops(Section):
    """The hard stops."""

    stiffness: Annotated[
        float | None, field.plain("stiffness", "stiffness of a stop", "200 N/mm", above=0)
    ] = None
    strength: Annotated[
        float | None, field.plain("force", "yield of the stop and of what holds it", "500 N", above=0)
    ] = None
    latency: Annotated[
        float | None, field.plain("time", "from the sensor's switching to the ramp down", "10 ms", least=0)
    ] = None
    hysteresis: Annotated[float, field.plain("length", "hysteresis of the sensors", "0.1 mm", least=0)] = 0.0
    current_limit: Annotated[
        float | None, field.plain("current", "current limit close to the stops", "0.45 A", above=0)
    ] = None


class Supply(Section):
    """The electrical supply."""

    voltage: Annotated[
        Band | None, field.band("voltage", "voltage, low..nominal..high", "10.8..12..13.2 V", above=0)
    ] = None
    current_limit: Annotated[
        float | None, field.plain("current", "current limit over the whole travel", "1.5 A", above=0)
    ] = None


class Cable(Section):
    """The cable that leaves the rear of the motor or encoder."""

    diameter: Annotated[float, field.plain("length", "outer diameter", "3 mm", above=0)]
    direction: Annotated[Point, field.direction("which way it leaves", [0, 0, -1])] = (0.0, 0.0, -1.0)
    bend: Annotated[
        Point | None, field.direction("to which side it bends; left out, that room is not counted", [1, 0, 0])
    ] = None
    straight: Annotated[float, field.plain("length", "strain relief before the bend", "3 mm", least=0)] = 3.0
    bend_factor: Annotated[float, field.number("bend radius in cable diameters", 4, above=0)] = 6.0


class Access(Section):
    """Room for a connector to be pulled or a tool to be used: a cylinder from a point along a direction."""

    name: Annotated[str, field.words("name of the connector or tool", "ear screw driver")]
    position: Annotated[Point, field.point("where it starts", ["11 mm", "0 mm", "-4 mm"])]
    direction: Annotated[Point, field.direction("which way it goes", [0, 0, -1])]
    diameter: Annotated[float, field.plain("length", "its diameter", "4 mm", above=0)]
    length: Annotated[float, field.plain("length", "how far it reaches", "60 mm", above=0)]


class Service(Section):
    """Room for cables, connectors and tools."""

    cable: Cable | None = None
    connector: tuple[Access, ...] = ()
    driver: tuple[Access, ...] = ()


class Clearance(Section):
    """Required gaps by the class of the pair; the defaults are common practice, no source."""

    moving_to_fixed: Annotated[float, field.plain("length", "moving against fixed", "0.5 mm", least=0)] = 0.5
    moving_to_electronics: Annotated[
        float, field.plain("length", "moving against electronics", "2 mm", least=0)
    ] = 2.0
    moving_to_cable: Annotated[float, field.plain("length", "moving against a cable", "3 mm", least=0)] = 3.0
    moving_to_moving: Annotated[float, field.plain("length", "moving against moving", "0 mm", least=0)] = 0.0
    fixed_to_fixed: Annotated[float, field.plain("length", "fixed against fixed", "0 mm", least=0)] = 0.0


class Link(Section):
    """One length of a tolerance chain."""

    name: Annotated[str, field.words("what the length is", "mount face to top plate")]
    sense: Annotated[Literal["+", "-"], field.choice("whether it opens (+) or closes (-) the gap", "+")]
    length: Annotated[Toleranced, field.toleranced("length", "the length and its tolerance", "108 +-0.2 mm")]


class Tolerance(Section):
    """The tolerance chain of one gap."""

    general: Annotated[
        Literal["f", "m", "c", "v"], field.choice("ISO 2768-1 class where no tolerance is given", "m")
    ] = "m"
    gap: Annotated[
        str | None, field.words("which gap the chain closes on", "guide_block to top_plate at s = 64 mm")
    ] = None
    required: Annotated[float | None, field.plain("length", "the gap that must remain", "0.5 mm")] = None
    links: tuple[Link, ...] = ()


class Thermal(Section):
    """Two materials side by side that grow apart: the housing around and what it holds."""

    material: Annotated[str, field.words("material of the housing", "aluminium")]
    against: Annotated[str, field.words("material of what it holds", "stainless steel")]
    change: Annotated[
        float,
        field.plain("temperature_difference", "from where both fit, up and down", "25 K", above=0),
    ]
    length: Annotated[
        float | None, field.plain("length", "length over which they are joined", "90 mm", above=0)
    ] = None
    allowed: Annotated[
        float | None, field.plain("length", "growth that may come between them", "0.1 mm", above=0)
    ] = None
    diameter: Annotated[
        float | None, field.plain("length", "diameter of a fit between them", "12 mm", above=0)
    ] = None
    play: Annotated[
        float | None, field.plain("length", "least play of that fit where both fit", "10 um", least=0)
    ] = None


class Print(Section):
    """The printer of the mock-up."""

    process: Annotated[Literal["FDM", "SLA", "SLS"], field.choice("process", "FDM")] = "FDM"
    nozzle: Annotated[float, field.plain("length", "nozzle diameter", "0.4 mm", above=0)] = 0.4
    layer: Annotated[float | None, field.plain("length", "layer height", "0.2 mm", above=0)] = None
    clearance: Annotated[
        float | None, field.plain("length", "fit between printed parts", "0.4 mm", least=0)
    ] = None
    bed: Annotated[Point | None, field.point("size of the bed", ["220 mm", "220 mm", "250 mm"])] = None


class Limit(Section):
    """Another limit for a check, with the reason."""

    limit: Annotated[
        Measure, field.measure("the limit, a number or a quantity in the check's dimension", 1.3)
    ]
    reason: Annotated[str, field.words("why another limit holds here", "bench test 12 of 2026-02")]


class Accepted(Section):
    """A check whose verdict is accepted: it stays, and the report adds the evidence."""

    check: Annotated[str, field.words("id of the check", "drive.holding")]
    evidence: Annotated[str, field.words("why it is accepted", "held 0.6 kg for 48 h on the shaker")]
    document: Annotated[str | None, field.words("where that is written", "TR-017")] = None


def flatten_limits(value: Any) -> Any:
    """Take `drive.holding = {...}` for `"drive.holding" = {...}`: an unquoted id makes nested tables."""
    if not isinstance(value, dict):
        return value
    flat: dict[str, Any] = {}
    for key, entry in value.items():
        if isinstance(entry, dict) and entry and not {"limit", "reason"} & set(entry):
            flat |= {f"{key}.{inner}": leaf for inner, leaf in flatten_limits(entry).items()}
        else:
            flat[key] = entry
    return flat

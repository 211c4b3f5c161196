"""Mass, centre and inertia of the actuator with what it moves, along the travel and as the motor feels it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from calcs import mass
from calcs.case import point_in_metres, round_in_metres, section_area_m2, shape_in_metres
from calcs.check import Check, check, derived
from calcs.finding import Finding, at_most, clean, digits, info, not_checked
from calcs.formulas import motion
from calcs.mass import MassProperties
from calcs.materials import material
from geometry.bodies import Body, Cylinder, FileShape, Prism
from geometry.frames import moving_parts
from geometry.screw import bore_span
from geometry.screw_ends import Piece, with_ends
from geometry.stack import Arrangement, arrangement_of
from geometry.thread_ends import ThreadedLength, threaded_bore
from geometry.thread_properties import threaded_solid
from geometry.units import Band

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.threads import Thread

CLOSED = "closed forms, parallel-axis theorem; threads: area of the outline turned about the axis (Pappus)"
AGREES = 0.02  # how far bodies and motion.mass may differ; our own choice
NUTS = ("nut", "nut_half", "nut_spring")
PARTS = (
    "motor",
    "gear",
    "spur_gear",
    "encoder",
    "screw",
    "motor_cover",
    "screw_seal",
    "push_rod",
    "push_rod_bush",
    *NUTS,
)
THREADED = ("nut", "nut_half")
UNCOUNTED = ("cable",)  # room for the cable, not the cable


@derived()
def arrangement(design: Design) -> Arrangement:
    """The placed bodies at s = 0 (mm), and those that the design does not describe enough."""
    return arrangement_of(design)


@derived()
def bodies(arrangement: Arrangement) -> tuple[Body, ...]:
    """The placed bodies at s = 0 (mm)."""
    return arrangement.bodies


@derived("a screw of our own shape, not screw.shape")
def screw_solid(design: Design, screw_density_kg_m3: float, thread_start_m: float) -> MassProperties | None:
    """Mass properties of the screw as it is cut, journals and end cones included."""
    if design.screw.shape is not None:
        return None
    rod, pieces = with_ends(design.screw)
    parts = [mass.turned_properties(*round_in_metres(threaded_solid(rod)), screw_density_kg_m3)]
    parts += [part for piece in pieces for part in _end_properties(piece, screw_density_kg_m3)]
    made = mass.combined(parts).moved(thread_start_m)
    if design.screw.bore is None:
        return made
    low, high = (z / 1000.0 for z in bore_span(design))
    bore = Cylinder("z", (0.0, 0.0), design.screw.bore / 2000.0, (low, high))
    return mass.combined([made, mass.primitive_properties(bore, -screw_density_kg_m3)])


def _end_properties(piece: Piece, density_kg_m3: float) -> Iterator[MassProperties]:
    """Mass properties of a milled, drilled or threaded end, the hole across it with a negative mass."""
    if isinstance(piece.form, ThreadedLength):
        yield mass.turned_properties(*round_in_metres(threaded_solid(piece.form)), density_kg_m3)
        return
    form = shape_in_metres(piece.form)
    for part in form.adds:
        yield mass.primitive_properties(part, density_kg_m3)
    for cut in form.cuts:
        assert isinstance(cut, Cylinder)  # a hole across a round
        assert piece.crossed is not None
        yield mass.crossed_properties(cut.radius, piece.crossed / 1000.0, cut.centre[1], -density_kg_m3)


@derived()
def thread_kg_m(screw_density_kg_m3: float, thread_record: Thread) -> float:
    """Mass of the thread per length (kg/m)."""
    return screw_density_kg_m3 * section_area_m2(thread_record)


@derived("screw.inertia", "screw.material")
def screw_inertia_kg_m2(
    given_screw_inertia_kg_m2: float | None = None,
    screw_solid: MassProperties | None = None,
    turning_nut: MassProperties | None = None,
    turning_part: str = "screw",
) -> float | None:
    """Inertia of what turns, screw or nut, about its axis (kg*m^2), given or of the solid itself."""
    if turning_part == "nut":
        return None if turning_nut is None else float(turning_nut.tensor_kg_m2[2, 2])
    if given_screw_inertia_kg_m2 is not None or screw_solid is None:
        return given_screw_inertia_kg_m2
    return float(screw_solid.tensor_kg_m2[2, 2])


class Weighed(NamedTuple):
    """Mass properties of one body, or what it lacks for them."""

    name: str
    moves: bool
    properties: MassProperties | None
    lacks: str = ""
    stretches: bool = False


@derived()
def weighed_bodies(
    design: Design,
    arrangement: Arrangement,
    thread_record: Thread,
    screw_solid: MassProperties | None = None,
    file_moments: Mapping[str, MassProperties] | None = None,
) -> tuple[Weighed, ...]:
    """Mass properties of the actuator's own bodies and of what it moves, each or what it lacks."""
    counted = [b for b in arrangement.bodies if (b.part_of_actuator or b.moves) and b.name not in UNCOUNTED]
    own, moving = (part for part in arrangement.unplaced if part.name in PARTS), moving_parts(design)
    return (
        *(_weighed(body, thread_record, screw_solid, file_moments or {}) for body in counted),
        *(Weighed(part.name, part.name in moving, None, ", ".join(part.fields)) for part in own),
    )


@derived("nut.body_diameter, nut.material")
def turning_nut(weighed_bodies: tuple[Weighed, ...]) -> MassProperties | None:
    """Mass properties of the nut."""
    return next((w.properties for w in weighed_bodies if w.name == "nut"), None)


@derived()
def parts_without_body(arrangement: Arrangement) -> tuple[str, ...]:
    """Parts that the design gives without any shape, so that their mass is not counted."""
    return tuple(part.name for part in arrangement.unplaced if not part.fields)


def _weighed(
    body: Body, thread: Thread, screw_solid: MassProperties | None, file_moments: Mapping[str, MassProperties]
) -> Weighed:
    known = material(body.material) if body.material else None
    if isinstance(body.shape, FileShape) and body.name in file_moments:
        return _from_file(body, file_moments[body.name], None if known is None else known.density_kg_m3)
    if isinstance(body.shape, FileShape) and body.mass_kg is not None and body.centre is not None:
        unknown = np.full((3, 3), np.nan)
        return Weighed(
            body.name,
            body.moves,
            MassProperties(body.mass_kg, np.array(point_in_metres(body.centre)), unknown),
        )
    if isinstance(body.shape, FileShape):
        return Weighed(body.name, body.moves, None, f"mass and centre of {body.name}, which is a file")
    if body.mass_kg is None and known is None:
        what = f"mass or a known material of {body.name}"
        return Weighed(body.name, body.moves, None, what)
    density = 1.0 if known is None else known.density_kg_m3
    if body.name == "screw" and screw_solid is not None:
        made = screw_solid
    else:
        made = mass.shape_properties(shape_in_metres(body.shape), density)
        if body.part_of_actuator and body.name in THREADED:
            made = _with_thread(body, made, thread, density)
    if body.mass_kg is not None:
        made = mass.weighed(made, body.mass_kg)
    if body.centre is not None:
        made = replace(made, centre_m=np.array(point_in_metres(body.centre)))
    return Weighed(body.name, body.moves, made, stretches=body.stretches)


def _from_file(body: Body, unit_density: MassProperties, density: float | None) -> Weighed:
    """Weigh a file's solid by the mass given, else by its material; the centre as given or its own."""
    if body.mass_kg is None and density is None:
        return Weighed(body.name, body.moves, None, f"mass or a known material of {body.name}")
    kilograms = unit_density.mass_kg * density if body.mass_kg is None and density else body.mass_kg
    made = mass.weighed(unit_density, kilograms or 0.0)
    if body.centre is not None:
        made = replace(made, centre_m=np.array(point_in_metres(body.centre)))
    return Weighed(body.name, body.moves, made)


def _with_thread(body: Body, plain: MassProperties, thread: Thread, density: float) -> MassProperties:
    """Put back between bore and thread what the nut's envelope leaves out."""
    assert not isinstance(body.shape, FileShape)  # asked before
    spans = [piece.span for piece in body.shape.adds if isinstance(piece, Cylinder | Prism)]
    low, high = min(span[0] for span in spans), max(span[1] for span in spans)
    bore = [c for c in body.shape.cuts if getattr(c, "centre", None) == (0.0, 0.0)]
    void = mass.turned_properties(
        *round_in_metres(threaded_solid(threaded_bore(thread, low, high))), -density
    )
    plug = [
        mass.primitive_properties(p, density)
        for p in shape_in_metres(body.shape._replace(adds=tuple(bore), cuts=())).adds
    ]
    return mass.combined([plain, *plug, void])


@dataclass(frozen=True, eq=False)
class Pose:
    """The whole at one position of the nut."""

    travel_m: float
    properties: MassProperties

    def __str__(self) -> str:
        """Give the position."""
        return f"s = {self.travel_m * 1e3:g} mm"


@derived()
def assembly_poses(
    weighed_bodies: tuple[Weighed, ...], travel_low_m: float, travel_high_m: float
) -> tuple[Pose, ...]:
    """The whole at both ends, in the middle and where its halves are closest; none if a body lacks mass."""
    if any(w.properties is None for w in weighed_bodies):
        return ()
    known = [half for w in weighed_bodies for half in _halves(w)]
    if {moves for moves, _ in known} != {True, False}:
        return ()
    standing, moving = (mass.combined(p for moves, p in known if moves is side) for side in (False, True))
    closest = float(standing.centre_m[2] - moving.centre_m[2])  # the moments are parabolas about this travel
    middle = (travel_low_m + travel_high_m) / 2.0
    at = [travel_low_m, middle, travel_high_m, min(max(closest, travel_low_m), travel_high_m)]
    return tuple(Pose(s, mass.combined([standing, moving.moved(s)])) for s in at)


def _halves(weighed: Weighed) -> Iterator[tuple[bool, MassProperties]]:
    """A body and whether it moves; of one that stretches half moves: its middle goes half as far."""
    made = weighed.properties
    assert made is not None  # asked before
    if not weighed.stretches:
        yield weighed.moves, made
        return
    half = mass.weighed(made, made.mass_kg / 2.0)
    yield from ((False, half), (True, half))


def _lacking(weighed: Iterable[Weighed]) -> list[str]:
    """List what bodies lack for their mass, each field once."""
    return list(dict.fromkeys(field for w in weighed if w.lacks for field in w.lacks.split(", ")))


def _along(
    poses: tuple[Pose, ...], weighed: tuple[Weighed, ...], number: Callable[[MassProperties], float]
) -> Finding:
    """Report a number over the travel: its range, at the middle, and at both ends."""
    if not poses:
        lacking = _lacking(weighed)
        return not_checked(
            f"needs {', '.join(lacking)}", f"give {lacking[0]}" if lacking else "", asked=False
        )
    values = [clean(number(pose.properties)) for pose in poses]
    if not np.isfinite(values).all():
        files = ", ".join(
            w.name for w in weighed if w.properties and np.isnan(w.properties.tensor_kg_m2).any()
        )
        return not_checked(f"the inertia of {files} is not known: a file", asked=False)
    low, high = poses[0].travel_m * 1e3, poses[2].travel_m * 1e3
    note = f"over s = {low:g} to {high:g} mm; the middle value at s = {poses[1].travel_m * 1e3:g} mm"
    if max(values) - min(values) <= 1e-12 * max(map(abs, values)):
        return info(values[0], "the same all along the travel")
    return info(Band(min(values), values[1], max(values)), note)


@check(
    "mass.total",
    unit="kg",
    shown="g",
    formula="sum m",
    source=CLOSED,
    margin_kind="none",
)
def total(
    assembly_poses: tuple[Pose, ...], weighed_bodies: tuple[Weighed, ...], parts_without_body: tuple[str, ...]
) -> Finding:
    """Mass of the actuator with what it moves."""
    found = _along(assembly_poses, weighed_bodies, lambda whole: whole.mass_kg)
    parts = ", ".join(
        f"{w.name} {digits(w.properties.mass_kg * 1e3)} g" for w in weighed_bodies if w.properties
    )
    if found.verdict == "NOT CHECKED":
        return found
    left_out = ", ".join(parts_without_body)
    return found._replace(note=parts, cautions=(f"Not counted: {left_out}",) if left_out else ())


@check(
    "mass.screw",
    unit="kg",
    shown="g",
    formula="rho V",
    source=CLOSED,
    margin_kind="none",
)
def screw_mass(screw_solid: MassProperties, thread_kg_m: float, thread_length_m: float) -> Finding:
    """Mass of the screw, its thread by its true section."""
    inertia = screw_solid.tensor_kg_m2[2, 2] * 1e7
    thread = f"{thread_kg_m * thread_length_m * 1e3:.4g} g of it a thread of full length"
    return info(screw_solid.mass_kg, f"{thread}; inertia about its axis {inertia:.4g} g*cm2")


def _centre_row(axis: int) -> Check:
    letter = "xyz"[axis]

    @check(
        f"mass.centre_{letter}",
        title=f"Centre of mass along {letter}, over the travel (frame: mount_face)",
        unit="m",
        shown="mm",
        formula="sum m r / sum m",
        source=CLOSED,
        margin_kind="none",
    )
    def row(assembly_poses: tuple[Pose, ...], weighed_bodies: tuple[Weighed, ...]) -> Finding:
        return _along(assembly_poses, weighed_bodies, lambda whole: float(whole.centre_m[axis]))

    return row


def _tensor_row(first: int, second: int) -> Check:
    letters = "xyz"[first] + "xyz"[second]

    @check(
        f"mass.inertia_{letters}",
        title=f"Inertia {letters} about the centre of mass, over the travel (axes of frame mount_face)",
        unit="kg*m**2",
        shown="kg*mm**2",
        formula="sum of I + m (d^2 1 - d d^T); off the diagonal minus the product of inertia",
        source=CLOSED,
        margin_kind="none",
    )
    def row(assembly_poses: tuple[Pose, ...], weighed_bodies: tuple[Weighed, ...]) -> Finding:
        return _along(assembly_poses, weighed_bodies, lambda whole: float(whole.tensor_kg_m2[first, second]))

    return row


centre_x, centre_y, centre_z = (_centre_row(axis) for axis in range(3))
inertia_xx, inertia_yy, inertia_zz = (_tensor_row(axis, axis) for axis in range(3))
inertia_xy, inertia_xz, inertia_yz = (_tensor_row(*pair) for pair in ((0, 1), (0, 2), (1, 2)))


@check(
    "mass.moving",
    unit="kg",
    shown="g",
    formula="sum of the masses of the bodies",
    source="plausibility: our own choice of 2 %",
    margin_kind="none",
)
def moving(weighed_bodies: tuple[Weighed, ...], carried_mass_kg: float) -> Finding:
    """Mass of the bodies that move with the nut, against motion.mass."""
    carried = [w for w in weighed_bodies if w.moves and w.name not in NUTS]
    if all(w.name == "push_rod" for w in carried):
        return info(None, "no [[moving]] body to compare with")
    if lacking := _lacking(carried):
        return not_checked(f"needs {', '.join(lacking)}", f"give {lacking[0]}", asked=False)
    weight = sum(w.properties.mass_kg for w in carried if w.properties is not None)
    if abs(weight - carried_mass_kg) <= AGREES * carried_mass_kg:
        return Finding(weight, "PASS", carried_mass_kg, note=", ".join(w.name for w in carried))
    names = ", ".join(w.name for w in carried)
    weighs = "weighs" if len(carried) == 1 else "weigh"
    note = f"{names} {weighs} {weight * 1e3:.4g} g, motion.mass is {carried_mass_kg * 1e3:.4g} g"
    remedy = f'motion.mass = "{weight:.4g} kg", or the mass of a body that is missing or wrong'
    return Finding(weight, "WARN", carried_mass_kg, note=note, remedy=remedy)


@check(
    "mass.reflected_inertia",
    formula="(J_screw + m (lead / 2 pi)^2) / i^2 / J_rotor",
    source="equal kinetic energy; 5 good, 10 the limit: common practice, no source",
    limit=5.0,
)
def reflected(
    turning_inertia_kg_m2: float,
    carried_mass_kg: float,
    lead_m: float,
    ratio: float,
    rotor_inertia_kg_m2: float,
    gear_efficiency: Band | None = None,
    limit: float = 5.0,
) -> Finding:
    """Inertia of load and screw as the motor feels it, over the rotor's."""
    behind = turning_inertia_kg_m2 + float(motion.carried_inertia_kg_m2(carried_mass_kg, lead_m))
    value = float(motion.reflected_inertia_kg_m2(behind, ratio)) / rotor_inertia_kg_m2
    note = f"{digits(value / gear_efficiency.nominal)} with the gear's loss" if gear_efficiency else ""
    return at_most(value, limit, fail_above=2.0 * limit, note=note, remedy="more ratio or a shorter lead")

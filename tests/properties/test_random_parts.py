"""Random screw ends, nuts and drives: refused with a repair, or each part one valid closed solid."""

import math

import pytest
from hypothesis import reject
from random_designs import THREADS, motors, nuts, screws
from sound_builds import prove, prove_random

from calcs.case import shape_in_metres
from calcs.checks.mass import screw_solid
from calcs.mass import shape_properties
from exports.part_meshes import part_mesh
from geometry.bodies import Box, Shape
from geometry.design import read_text
from geometry.errors import InputError, ShapeError
from geometry.frames import stations_of
from geometry.motor import is_square, motor_width
from geometry.nut import half_blank, length_of, nut_blank
from geometry.placed import place
from geometry.screw import rod_profile, turned_volume
from geometry.screw_ends import with_ends
from geometry.screw_thread import solid_thread
from geometry.solid_meshes import mesh_of_solid
from geometry.stack import problems_of
from geometry.stack_solids import solids_of
from geometry.thread_ends import ThreadedLength, threaded_bore
from geometry.thread_properties import threaded_solid
from geometry.threads import families, thread

PER_MM3 = 1e9  # kg/m3: a mm3 weighs 1 kg
TOLERANCE = 0.01


def buildable(text):
    """The design, or a rejected example where the input is refused, which always says how to mend it."""
    try:
        design = read_text(text)
        problems = problems_of(design)
    except InputError as error:
        problems, design = error.problems, None
    if problems:
        assert all(problem.repair and problem.field for problem in problems)
        reject()
    return design


def prove_part(design, placement, name, light, detailed, *, refined=False):
    """Prove a part light and detailed against its closed forms (mm3), None where it has none."""
    (placed,) = (found for found in placement.bodies if found.body.name == name)
    proved = 0
    for in_detail, volume in ((False, light), (True, detailed)):
        (_, solid), *_ = solids_of(design, placement, detailed=in_detail, bodies=[placed.body])
        mesh = part_mesh(design, placed, TOLERANCE) if in_detail else mesh_of_solid(solid, TOLERANCE)
        proved += prove(solid, volume, mesh, refined=refined)
    return proved


def prove_screw(text):
    design = buildable(text)
    try:
        detailed = screw_solid.function(design, PER_MM3, stations_of(design).thread_start / 1000.0).mass_kg
    except ShapeError:
        reject()  # ends that leave no thread, said by the thread itself
    rod, pieces = with_ends(design.screw)
    threads = [rod, *(piece.form for piece in pieces if isinstance(piece.form, ThreadedLength))]
    # The light screw is the detailed one with each thread as a cylinder.
    light = detailed + sum(turned_volume(rod_profile(t)) - threaded_solid(t).volume_mm3 for t in threads)
    return prove_part(design, place(design), "screw", light, detailed, refined="cross_hole" in text)


def prove_nut(text):
    """Prove the nut, the second half of a pair, their spring, and a ball where balls are shown."""
    design = buildable(text)
    placement, balls = place(design), design.nut.balls
    proved = prove_part(design, placement, "nut", *threaded_volumes(design, nut_blank(design)))
    if design.nut.second is not None:
        proved += prove_part(design, placement, "nut_half", *threaded_volumes(design, half_blank(design)))
        proved += prove_plain(design, placement, "nut_spring")
    if balls is not None and balls.shown:
        (nut,) = (placed.body for placed in placement.bodies if placed.body.name == "nut")
        _, (_, ball), *_ = solids_of(design, placement, detailed=True, bodies=[nut])
        diameter = thread(design.screw.thread).ball_diameter_mm
        proved += prove(ball, math.pi / 6 * diameter**3, mesh_of_solid(ball, 0.002 * diameter))
    return proved


def threaded_volumes(design, blank):
    """A nut's blank less its plain bore, and less its threaded one (mm3)."""
    assert isinstance(blank, Shape)
    start = stations_of(design).thread_start
    low, high = (z - start for z in length_of(blank))
    bore = threaded_bore(solid_thread(design.screw, design.nut), low, high, ends="chamfered")
    outer = shape_properties(shape_in_metres(blank), PER_MM3).mass_kg
    plain = math.pi / 4 * thread(design.screw.thread).internal_major_diameter_mm ** 2 * (high - low)
    return outer - plain, outer - threaded_solid(bore).volume_mm3


def prove_plain(design, placement, name, shared=0.0):
    """Prove a part of boxes and cylinders, of which some share a volume (mm3, None for unknown)."""
    (placed,) = (found for found in placement.bodies if found.body.name == name)
    ((_, solid),) = solids_of(design, placement, detailed=True, bodies=[placed.body])
    volume = None
    if shared is not None:
        volume = shape_properties(shape_in_metres(placed.body.shape), PER_MM3).mass_kg - shared
    return prove(solid, volume, part_mesh(design, placed, TOLERANCE))


def prove_drive(text):
    """Prove the motor, and encoder, cover, gear as bought, seal and cable where they are."""
    design = buildable(text)
    placement, proved = place(design), 0
    names = [placed.body.name for placed in placement.bodies if placed.body.name != "screw"]
    assert names
    for name in names:
        shared = 0.0
        if name == "motor" and design.motor.connector is not None:
            shared = foot_of_connector(design)
        elif name == "gear" and design.gears.ears is not None:
            shared = None  # a box through a cylinder
        proved += prove_plain(design, placement, name, shared)
    return proved


def foot_of_connector(design):
    """The volume that a connector's foot shares with the motor's body (mm3)."""
    motor, (_, *others) = design.motor, place(design).bodies[0].body.shape.adds
    box = next(piece for piece in others if isinstance(piece, Box))
    radius, half, length = motor_width(motor) / 2, motor.connector.width / 2, box.high[2] - box.low[2]
    foot = min(
        abs(edge) for edge in ((box.low, box.high)[i]["xy".index(motor.connector.side[1])] for i in (0, 1))
    )
    if is_square(motor):
        return 2 * half * (radius - foot) * length
    return (
        half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius) - 2 * half * foot
    ) * length


PROOFS = [("screw", prove_screw, screws()), ("nut", prove_nut, nuts()), ("motor", prove_drive, motors())]


@pytest.mark.parametrize(("kind", "proof", "texts"), PROOFS, ids=["screw", "nut", "motor"])
def test_random_parts_are_refused_or_sound(kind, proof, texts):
    prove_random(kind, texts, proof, long=False)


@pytest.mark.long
@pytest.mark.parametrize(("kind", "proof", "texts"), PROOFS, ids=["screw", "nut", "motor"])
def test_many_random_parts_are_refused_or_sound(kind, proof, texts):
    prove_random(kind, texts, proof, long=True)


def test_random_screws_and_nuts_are_of_every_family():
    assert {thread(designation).family for designation in THREADS} == {family.name for family in families()}

"""Random gears of whole designs: refused with a number, or each member one valid solid in the gear's box."""

import math

import pytest
from hypothesis import reject
from hypothesis import strategies as st
from sound_builds import prove, prove_random

from calcs.case import shape_in_metres
from calcs.mass import shape_properties
from exports.part_meshes import part_meshes
from geometry.bodies import Shape
from geometry.design import read_text
from geometry.gear_parts import gear_members
from geometry.gear_train import gear_train, why_no_teeth
from geometry.gears import tooth_sets
from geometry.placed import place
from geometry.solids import bounding_box, volume_of_solid
from geometry.stack import arrangement_of, problems_of
from geometry.stack_solids import solids_of

HEAD = (
    '[motion]\nstroke = "0..5 mm"\nspeed = "10 mm/s"\nmass = "0.1 kg"\n[screw]\nthread = "M3"\n'
    'length = "30 mm"\n[nut]\nlength = "8 mm"\nfriction = 0.15\n'
)
SETS = {planets: tooth_sets(planets, max_ring=60) for planets in (2, 3, 4)}


def table(heading, **fields):
    rows = (f"{name} = {value}" for name, value in fields.items() if value is not None)
    return "\n".join([heading, *rows, ""])


def mm(value):
    return f'"{value:.3f} mm"'


@st.composite
def gears(draw):
    """One to four stages in a diameter that holds them or nearly, with or without output, mount and ears."""
    stages, largest = [], 0.0
    for _ in range(draw(st.integers(1, 4))):
        teeth = draw(st.sampled_from(SETS[draw(st.sampled_from([2, 3, 4]))]))
        module = draw(st.sampled_from([0.2, 0.25, 0.3, 0.4]))
        largest = max(largest, (teeth.ring + 7) * module)
        stages.append(
            table(
                "[[gears.stage]]",
                sun=teeth.sun,
                planet=teeth.planet,
                ring=teeth.ring,
                planets=teeth.planets,
                module=mm(module),
                width=draw(st.none() | st.floats(1.0, 5.0).map(mm)),
                carrier=draw(st.none() | st.floats(0.5, 2.0).map(mm)),
            )
        )
    diameter = round(largest * draw(st.floats(1.0, 1.6)) + 1.0, 2)
    shaft = round(diameter * draw(st.floats(0.1, 0.3)), 2)
    parts = [table("[gears]", diameter=mm(diameter), length=mm(draw(st.floats(12.0, 60.0))))]
    if draw(st.booleans()):
        flange = draw(st.booleans())
        bearing = draw(st.booleans())
        parts.append(
            table(
                "[gears.output]",
                diameter=mm(shaft),
                flange_diameter=mm(shaft * 1.8) if flange else None,
                flange_thickness=mm(draw(st.floats(0.5, 2.0))) if flange else None,
                bearing_diameter=mm(shaft * draw(st.floats(1.3, 2.2))) if bearing else None,
                bearing_width=mm(draw(st.floats(1.0, 3.0))) if bearing else None,
                bearings=draw(st.integers(1, 3)) if bearing else None,
            )
        )
    if draw(st.booleans()):
        parts.append(
            table(
                "[gears.mount]",
                pilot_diameter=mm(diameter * 0.5),
                pilot_height=mm(1.0),
                pilot_bore=mm(diameter * 0.45),
                bolt='"M1.6"',
                bolt_circle=mm(diameter * 0.78),
                bolt_holes=draw(st.integers(2, 6)),
                bolt_depth=mm(draw(st.floats(1.0, 4.0))),
            )
        )
    design = read_text(HEAD + "".join(parts) + "".join(stages))
    if problems_of(design) or why_no_teeth(design):
        return reject()
    return design


def volume_of(form):
    """The closed-form volume (mm3) of a gear's member."""
    if isinstance(form, Shape):
        return shape_properties(shape_in_metres(form), 1e9).mass_kg
    circle = math.pi / 4 * form.round_diameter**2
    return form.width * (circle - form.teeth.area) * (1 if form.teeth.internal else -1)


def prove_gear(design):
    """Prove the housing and each member once: planets of a stage share one geometry."""
    placement = place(design)
    bodies = [body for body in arrangement_of(design).bodies if body.name == "gear"]
    ((_, light),) = solids_of(design, placement, detailed=False, bodies=bodies)
    (_, housing), *members = solids_of(design, placement, detailed=True, bodies=bodies)
    assert len(members) >= 5 * len(design.gears.stage)
    box, proved = bounding_box(light), 0
    for ours, theirs in zip(box, bounding_box(housing), strict=True):
        assert ours == pytest.approx(theirs, abs=1e-5)
    for body, solid in members:
        low, high = bounding_box(solid)
        assert all(low[i] >= box[0][i] - 1e-5 and high[i] <= box[1][i] + 1e-5 for i in range(3)), body.name
    train = gear_train(design)
    (placed,) = (found for found in placement.bodies if found.body.name == "gear")
    meshes = dict(part_meshes(design, placed, 0.005))
    assert list(meshes) == ["gear", *(body.name for body, _ in members)]
    volumes = {f"gear_{member.name}": volume_of(member.form) for member in gear_members(train)}
    for name, solid in (("gear", housing), *((body.name, solid) for body, solid in members)):
        if "_planet_" not in name or name.endswith("_planet_2"):
            proved += prove(solid, volumes.get(name), meshes[name])
    # What lies side by side fills no more than what holds it.
    filled = volume_of_solid(housing) + sum(volume_of_solid(solid) for _, solid in members)
    assert 0 < filled < volume_of_solid(light)
    return proved


def test_random_gears_are_sound_within_their_envelope():
    prove_random("gear", gears(), prove_gear, long=False)


@pytest.mark.long
def test_many_random_gears_are_sound_within_their_envelope():
    prove_random("gear", gears(), prove_gear, long=True)

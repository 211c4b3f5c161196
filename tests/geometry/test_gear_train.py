from __future__ import annotations

import math

import pytest

from geometry.design import Design, read_text
from geometry.gear_envelope import gear_envelope
from geometry.gear_parts import gear_members, housing_shape, member_solids
from geometry.gear_train import gear_train, teeth_notes, train_problems, why_no_teeth
from geometry.placed import place
from geometry.solids import bounding_box, solid_of, volume_of_solid
from geometry.stack import arrangement_of, problems_of
from geometry.stack_solids import solids_of

HEAD = (
    '[motion]\nstroke = "0..5 mm"\nspeed = "10 mm/s"\nmass = "0.1 kg"\n[screw]\nthread = "M3"\n'
    'length = "30 mm"\n[nut]\nlength = "8 mm"\nfriction = 0.15\n'
)
STAGE = "[[gears.stage]]\nsun = 12\nplanet = 12\nring = 36\n"
OUTPUT = (
    '[gears.output]\ndiameter = "4 mm"\nflange_diameter = "8 mm"\nflange_thickness = "1 mm"\n'
    'bearing_diameter = "7 mm"\nbearing_width = "2 mm"\nbearings = 2\n'
)


def design(*stages: str, diameter: float = 16, length: float = 30, more: str = "") -> Design:
    gears = f'[gears]\ndiameter = "{diameter} mm"\nlength = "{length} mm"\n{more}'
    return read_text(HEAD + gears + "".join(STAGE + stage + "\n" for stage in stages))


M03 = 'module = "0.3 mm"'


def test_three_stages_stand_one_behind_the_other_within_the_walls() -> None:
    train = gear_train(design(M03, M03, M03))
    assert train is not None
    places = [z for placed in train.stages for z in (*placed.teeth, *placed.disc)]
    assert places == sorted(places)
    assert train.hollow[0] < places[0]
    assert places[-1] < train.hollow[1] < 0
    assert all(high - low == pytest.approx(3.0) for low, high in (p.teeth for p in train.stages))
    assert train.hollow_radius < 8.0


def test_given_widths_and_carriers_are_kept() -> None:
    train = gear_train(design(M03 + '\nwidth = "4 mm"\ncarrier = "1.2 mm"'))
    assert train is not None
    (placed,) = train.stages
    assert placed.teeth[1] - placed.teeth[0] == pytest.approx(4.0)
    assert placed.disc[1] - placed.disc[0] == pytest.approx(1.2)


def test_given_shifts_and_backlash_are_kept() -> None:
    stage = M03 + '\nsun_shift = 0.4\nplanet_shift = 0.35\ntooth_backlash = "10 um"'
    train = gear_train(design(stage))
    assert train is not None
    made = train.stages[0].stage
    assert (made.sun.shift, made.planet.shift, made.ring.shift) == pytest.approx((0.4, 0.35, 1.1))
    assert made.backlash == pytest.approx(0.010)


def test_in_detail_the_gear_is_hollow_and_its_members_follow() -> None:
    given = design(M03, M03, more=OUTPUT)
    placement = place(given)
    bodies = [body for body in arrangement_of(given).bodies if body.name == "gear"]
    (_, light), *rest = solids_of(given, placement, detailed=False, bodies=bodies)
    assert not rest
    (body, housing), *members = solids_of(given, placement, detailed=True, bodies=bodies)
    assert body == bodies[0]
    low, high = bounding_box(light), bounding_box(housing)
    assert all(a == pytest.approx(b, abs=1e-6) for a, b in zip(low, high, strict=True))
    stages = [f"stage_{n}_{part}" for n in (1, 2) for part in ("sun", "planet_1", "planet_2", "planet_3")]
    stages += [f"stage_{n}_{part}" for n in (1, 2) for part in ("ring", "carrier")]
    output = ["output_flange", "output_bearing_1", "output_bearing_2"]
    assert sorted(body.name for body, _ in members) == sorted(f"gear_{name}" for name in (*stages, *output))
    # All members and the housing lie within what the envelope takes.
    total = volume_of_solid(housing) + sum(volume_of_solid(solid) for _, solid in members)
    assert total < volume_of_solid(light)
    for _, solid in members:
        inner_low, inner_high = bounding_box(solid)
        assert all(inner_low[i] >= low[0][i] - 1e-6 for i in range(3))
        assert all(inner_high[i] <= low[1][i] + 1e-6 for i in range(3))


def test_members_do_not_cut_into_each_other() -> None:
    # Flanks are decided on outlines; here pins, shafts, discs and walls are, by the volume that pairs share.
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common

    given = design(M03, M03, more=OUTPUT)
    train = gear_train(given)
    envelope = gear_envelope(given)
    assert train is not None
    housing = solid_of(housing_shape(envelope, train, -30.0), "gear")  # type: ignore[arg-type] # has its sizes
    members = {member.name: solid for member, solid in member_solids(gear_members(train))}
    carrier = members["stage_1_carrier"]
    others = ("stage_1_planet_1", "stage_2_sun", "stage_1_ring", "stage_2_planet_1")
    pairs = [(carrier, members[name]) for name in others]
    pairs += [(members["stage_2_carrier"], members[f"output_{n}"]) for n in ("flange", "bearing_1")]
    pairs += [(housing, solid) for solid in members.values()]
    for first, second in pairs:
        assert abs(volume_of_solid(BRepAlgoAPI_Common(first, second).Shape())) < 1e-6


def test_without_modules_or_when_bought_the_gear_stays_an_envelope() -> None:
    assert gear_train(design("")) is None
    assert why_no_teeth(design(M03, "")) == "gear without teeth: it lacks gears.stage[1].module"
    bought = design(more="ratio = 4\n")
    assert gear_train(bought) is None
    assert why_no_teeth(bought) == ""


def test_teeth_that_the_checks_refuse_leave_the_envelope_and_say_why() -> None:
    teeth = '[[gears.stage]]\nsun = 12\nplanet = 12\nring = 37\nmodule = "0.3 mm"\n'
    given = read_text(HEAD + '[gears]\ndiameter = "16 mm"\nlength = "30 mm"\n' + teeth)
    assert list(train_problems(given)) == []
    assert why_no_teeth(given) == (
        "gear without teeth: stage 1: ring = sun + 2 planet: 37 is not 12 + 2 x 12 = 36"
    )
    bodies = [body for body in arrangement_of(given).bodies if body.name == "gear"]
    assert len(solids_of(given, place(given), detailed=True, bodies=bodies)) == 1


@pytest.mark.parametrize(
    ("given", "field", "says", "repair"),
    [
        (
            design(M03, diameter=13),
            "gears.stage[0].module",
            "need a diameter of 13.71 mm",
            "module up to 0.28",
        ),
        (design(M03, M03, M03, length=8), "gears.length", "3 stages with carriers", "a length of 8."),
        (design(M03 + '\nwidth = "9 mm"', length=12), "gears.length", "1 stage with carriers", "12.13 mm"),
        (design(M03 + "\nsun_shift = 0.1"), "gears.stage[0].sun_shift", "are undercut", "a shift of 0.335"),
        (design(M03 + "\nplanet_shift = 0.9"), "gears.stage[0].planet_shift", "contact ratio", "less shift"),
        (
            design(M03, more='[gears.output]\ndiameter = "12 mm"\n'),
            "gears.output.diameter",
            "thicker than the carrier, 9.668 mm",
            "a diameter below 9.668 mm",
        ),
        (
            design(
                M03,
                more='[gears.output]\ndiameter = "4 mm"\nbearing_diameter = "3 mm"\nbearing_width = "2 mm"\n',
            ),
            "gears.output.bearing_diameter",
            "does not lie between the output shaft's 4 mm",
            "write a bearing_diameter between",
        ),
    ],
)
def test_teeth_that_have_no_room_are_a_problem_of_the_input(
    given: Design, field: str, says: str, repair: str
) -> None:
    (problem,) = problems_of(given)
    assert problem.field == field
    assert says in problem.message
    assert repair in problem.repair


MOUNT = (
    '[gears.mount]\npilot_diameter = "8.2 mm"\npilot_height = "1 mm"\npilot_bore = "7 mm"\nbolt = "M1.6"\n'
    'bolt_circle = "12.5 mm"\nbolt_holes = 4\nbolt_depth = "2.5 mm"\n'
)


def test_an_output_that_cuts_the_pilot_off_is_refused() -> None:
    (problem,) = problems_of(design(M03, more=OUTPUT + MOUNT))
    assert problem.field == "gears.output.flange_diameter"
    assert "opening of 8.2 mm in the front face reaches the pilot at 8.2 mm" in problem.message
    assert problem.repair == "write a flange_diameter below 7.8 mm"
    assert "reaches the mounting holes" in str(
        next(train_problems(design(M03, more=OUTPUT + MOUNT.replace("8.2", "9").replace("12.5", "9.7"))))
    )


def test_the_notes_tell_what_each_stage_is_cut_to() -> None:
    first, second = teeth_notes(design(M03, M03 + '\ntooth_backlash = "10 um"'))
    assert first.startswith(
        "stage 1: 12/12/36, module 0.3 mm, centre distance 3.7759 mm, backlash 15 um a mesh; "
        "sun of 12 teeth shifted by 0.34 against undercut, which needs 0.298"
    )
    assert "backlash 10 um a mesh" in second
    assert teeth_notes(design("")) == ("gear without teeth: it lacks gears.stage[0].module",)
    assert teeth_notes(design(more="ratio = 4\n")) == ()


def test_planets_stand_on_their_pins() -> None:
    train = gear_train(design(M03))
    assert train is not None
    placed = train.stages[0]
    members = {member.name: solid for member, solid in member_solids(gear_members(train))}
    low, high = bounding_box(members["stage_1_planet_2"])
    middle = complex(low[0] + high[0], low[1] + high[1]) / 2
    assert abs(middle) == pytest.approx(placed.stage.centre_distance, abs=0.02)
    assert math.degrees(math.atan2(middle.imag, middle.real)) == pytest.approx(120, abs=0.5)

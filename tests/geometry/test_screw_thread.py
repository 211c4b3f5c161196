"""The screw's thread in the design file: designation, family, outline; classes; the lengths it may have."""

import pytest

from calcs.check_design import check_design
from geometry.design import design_schema, read_text
from geometry.design_thread import Lengths
from geometry.errors import InputError
from geometry.screw import screw_solid
from geometry.screw_thread import solid_thread, thread_of
from geometry.threads import thread

REST = """
[motion]
stroke = "0..40 mm"
speed = "10 mm/s"
mass = "1 kg"
[nut]
length = "16 mm"
friction = "0.08..0.15..0.20"
position = "10 mm"
body_diameter = "30 mm"
"""
OUTLINE = """
[screw.outline]
diameter = "8 mm"
pitch = "1.5 mm"
points = [["0 mm", "0 mm"], ["0.55 mm", "0 mm"], ["0.8 mm", "0.9 mm"], ["1.25 mm", "0.9 mm"]]
radii = ["0 mm", "0 mm", "0.1 mm", "0.1 mm"]
clearance = "0.05 mm"
"""


def design(screw, nut=""):
    return read_text(f'[screw]\nlength = "96 mm"\n{screw}{REST}{nut}')


def problems(screw, nut=""):
    with pytest.raises(InputError) as refusal:
        design(screw, nut)
    return [(problem.field, f"{problem.message}; {problem.repair}") for problem in refusal.value.problems]


def test_a_thread_is_a_designation_a_family_with_its_fields_or_an_outline():
    assert thread_of(design('thread = "Tr8x1.5"').screw) == thread("Tr8x1.5")
    ball = design('[screw.family]\nname = "ball groove"\ndiameter = "16 mm"\npitch = "5 mm"\nform = "arc"')
    assert thread_of(ball.screw) == thread("Ball16x5 arc")
    own = thread_of(design(OUTLINE).screw)
    assert (own.family, own.pitch_mm, own.major_diameter_mm) == ("own outline", 1.5, 8.0)
    flanks = OUTLINE.split("points")[0] + 'depth = "0.9 mm"\ncrest = "0.5 mm"\nflank_angle = "15 deg"\n'
    assert thread_of(design(flanks).screw).flank_angle_deg == pytest.approx(15.0)


@pytest.mark.parametrize(
    "screw", [OUTLINE, '[screw.family]\nname = "square"\ndiameter = "8 mm"\npitch = "2 mm"']
)
def test_check_and_solids_take_such_a_thread(screw):
    made = design(screw)
    rows = {row.id: row for row in check_design(made).results}
    assert rows["drive.raise_torque"].value is not None
    assert screw_solid(made, detailed=True) is not None


@pytest.mark.parametrize(
    ("screw", "field", "words"),
    [
        ('thread = "M8"\n' + OUTLINE, "screw", "given by thread and outline; keep outline alone"),
        (OUTLINE.replace("0.8 mm", "0.4 mm"), "screw.outline", "point 2 stands at 0.55 mm, point 3 at 0.4"),
        (OUTLINE + 'depth = "1 mm"', "screw.outline", "has points and depth; keep one of the two"),
        (OUTLINE.split("points")[0], "screw.outline", "neither points nor all of depth, crest"),
        (OUTLINE.replace('["0.55 mm", "0 mm"]', '["0.55", "0 mm"]'), "screw.outline.points[1]", "0.55"),
        (OUTLINE.replace('"0.1 mm"]', '"-1 mm"]'), "screw.outline.radii[3]", "below 0"),
        (
            '[screw.family]\nname = "cube"\ndiameter = "8 mm"\npitch = "2 mm"',
            "screw.family",
            "no thread family is called 'cube'",
        ),
        (
            'thread = "M8"\ntolerance_class = "7e"',
            "screw.tolerance_class",
            'no tolerance class "7e" here; write 6g',
        ),
        ('thread = "M8"\nsolid_size = "maximum-material"', "screw.solid_size", "no tolerance_class is given"),
        ("", "screw.thread", 'write thread = "Tr8x1.5"'),
        (
            'thread = "M8"\nallowed_lengths = "80 mm"',
            "screw.allowed_lengths",
            "neither some lengths nor a range",
        ),
        (
            'thread = "M8"\nallowed_lengths = { range = "50..60 mm", step = "20 mm" }',
            "screw.allowed_lengths",
            'the step "20 mm" does not fit',
        ),
    ],
)
def test_what_makes_no_thread_is_refused_at_its_field(screw, field, words):
    ((found, said),) = problems(screw)
    assert found == field
    assert words in said


def test_the_solids_stand_at_the_limits_that_are_asked_for():
    made = design(
        'thread = "Tr8x1.5"\ntolerance_class = "7e"\nsolid_size = "minimum-material"',
        'tolerance_class = "7H"\nsolid_size = "maximum-material"',
    )
    screw, nut = solid_thread(made.screw, made.screw), solid_thread(made.screw, made.nut)
    assert 2 * screw.external.largest_radius_mm == pytest.approx(7.850)
    assert 2 * nut.internal.smallest_radius_mm == pytest.approx(6.500)
    assert thread_of(made.screw).major_diameter_mm == 8.0, "the numbers keep the basic size"


@pytest.mark.parametrize(
    ("allowed", "verdict", "words"),
    [
        ('["120 mm", "80 mm", "96 mm"]', "PASS", "96 mm is an allowed length"),
        ('["120 mm", "80 mm"]', "WARN", "the nearest are 80 mm and 120 mm"),
        ('["80 mm"]', "WARN", "the nearest is 80 mm"),
        ('{ range = "50..300 mm", step = "10 mm" }', "WARN", "the nearest are 90 mm and 100 mm"),
        ('{ range = "50..300 mm", step = "2 mm" }', "PASS", "96 mm is an allowed length"),
        ('{ range = "100..300 mm", step = "10 mm" }', "WARN", "the nearest is 100 mm"),
    ],
)
def test_a_length_that_is_not_to_be_had_is_said_with_the_nearest(allowed, verdict, words):
    report = check_design(design(f'thread = "Tr8x1.5"\nallowed_lengths = {allowed}'))
    row = next(row for row in report.results if row.id == "plausible.stock_length")
    assert row.verdict == verdict
    assert words in row.note


def test_editors_are_told_that_one_of_three_gives_the_thread():
    screw = design_schema()["$defs"]["Screw"]
    assert "thread" not in screw["required"]
    assert screw["oneOf"] == [{"required": [name]} for name in ("thread", "family", "outline")]


def test_the_end_of_a_range_is_its_last_whole_step():
    lengths = Lengths((), 50.0, 95.0, 10.0)
    assert lengths.around(93.0) == (90.0, None)
    assert lengths.around(90.0) == (90.0, 90.0)
    assert lengths.around(20.0) == (None, 50.0)
    assert lengths.around(500.0) == (90.0, None)

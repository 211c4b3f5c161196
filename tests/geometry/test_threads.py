"""Designations: what is read, what is refused and how, and that a family is one file."""

import math
import subprocess
import sys

import pytest

from geometry.errors import InputError
from geometry.threads import families, family_thread, thread

ALL_SIZES = [size.designation for family in families() for size in family.sizes]


@pytest.mark.parametrize(
    ("written", "canonical", "starts", "hand"),
    [
        ("M3", "M3x0.5", 1, "right"),
        ("m4×0.5", "M4x0.5", 1, "right"),
        (" M 8 X 1.25 ", "M8x1.25", 1, "right"),
        ("M8xPh2.5P1.25", "M8xPh2.5P1.25", 2, "right"),
        ("Tr 8×1.5", "Tr8x1.5", 1, "right"),
        ("tr8x1.5lh", "Tr8x1.5 LH", 1, "left"),
        ("Tr8x1.5-LH", "Tr8x1.5 LH", 1, "left"),
        ("Tr8x8(P2)", "Tr8x8(P2)", 4, "right"),
        ("Tr 8 x 8 (P2) LH", "Tr8x8(P2) LH", 4, "left"),
        ("Tr8x2(P2)", "Tr8x2", 1, "right"),
        ("1/2-10 ACME", "1/2-10 ACME", 1, "right"),
        ("1/4-16acme LH", "1/4-16 ACME LH", 1, "left"),
        ("1/2-0.1P-0.2L ACME", "1/2-0.1P-0.2L ACME", 2, "right"),
        ("3/4-.1667P-.3333L-ACME LH", "3/4-0.1667P-0.3333L ACME LH", 2, "left"),
        ("sq 20x4", "Sq20x4", 1, "right"),
        ("Sq20x32(P4) LH", "Sq20x32(P4) LH", 8, "left"),
        ("Sq17.3x2.1", "Sq17.3x2.1", 1, "right"),
        ("S20x8(P4)", "S20x8(P4)", 2, "right"),
        ("ball 8x2", "Ball8x2", 1, "right"),
        ("Ball16x10(P5) arc LH", "Ball16x10(P5) arc LH", 2, "left"),
    ],
)
def test_designations_are_read_whatever_their_case_and_spaces(written, canonical, starts, hand):
    made = thread(written)
    assert (made.designation, made.starts, made.hand) == (canonical, starts, hand)
    assert made.lead_mm == pytest.approx(starts * made.pitch_mm, rel=1e-15)


@pytest.mark.parametrize(
    ("written", "message", "repair"),
    [
        ("M4x0.6", "known are M4x0.7, M4x0.5", "write M4x0.7"),
        ("M3.2", "nearest are M3x0.5, M3x0.35, M3.5x0.6", "write M3x0.5"),
        ("Tr8", "has no pitch", "write Tr8x1.5"),
        ("Tr8x8", "known are Tr8x1.5, Tr8x2", "or Tr8x8(P2) for 4 starts"),
        ("Tr8x3(P2)", "lead 3 and pitch 2 mm: 1.5 starts", "write Tr8x2"),
        ("Tr8x32(P2)", "16 starts", "write Tr8x16(P2)"),
        ("M3x0", "pitch must lie above 0", "write it like M3x0.5"),
        ("M" + "9" * 400, "diameter must lie above 0 and below 1e+06", "write it like M3x0.5"),
        ("1/0-10 ACME", "diameter must lie above 0", "write it like 1/2-10 ACME"),
        ("1 1/4-5 ACME", "31.75 mm", "write 1-5 ACME"),
        ("M3,5", "follows no known designation", "write it like"),
        ("", "follows no known designation", "write it like"),
        ("Sq4x4", "leaves no core: its root diameter would be -0.5 mm", "above 4.5 mm or a finer pitch"),
        ("Ball8x3", "known are Ball8x1, Ball8x2, Ball8x2.5", "write Ball8x2.5"),
        ("Sq20x36(P4)", "9 starts", "write Sq20x32(P4)"),
    ],
)
def test_an_unknown_thread_is_refused_with_the_smallest_repair(written, message, repair):
    with pytest.raises(InputError) as refusal:
        thread(written)
    (problem,) = refusal.value.problems
    assert message in problem.message
    assert repair in problem.repair


@pytest.mark.parametrize("designation", ALL_SIZES)
def test_each_outline_has_the_diameters_and_flanks_of_its_record(designation):
    made = thread(designation)
    assert made.designation == designation
    assert made.source
    assert 2 * made.external.largest_radius_mm == pytest.approx(made.major_diameter_mm, abs=1e-9)
    assert 2 * made.external.smallest_radius_mm == pytest.approx(made.root_diameter_mm, abs=1e-9)
    assert 2 * made.internal.largest_radius_mm == pytest.approx(made.internal_major_diameter_mm, abs=1e-9)
    assert 2 * made.internal.smallest_radius_mm == pytest.approx(made.internal_minor_diameter_mm, abs=1e-9)
    assert made.root_clearance_mm >= 0
    for member in (made.external, made.internal):
        assert member.pitch_mm == pytest.approx(made.pitch_mm, rel=1e-12)
        flanks = [p for p in member.pieces if p.degree == 1 and not p.is_land]
        if made.ball_diameter_mm is not None:
            assert not flanks  # all arcs: tests/geometry/test_ball_groove.py
            continue
        assert len(flanks) == 2
        for flank, angle in zip(flanks, (made.flank_angle_deg, made.back_flank_angle_deg), strict=True):
            (s0, r0), (s1, r1) = flank.poles
            assert math.degrees(math.atan2(s1 - s0, abs(r1 - r0))) == pytest.approx(angle, abs=1e-6)
            # At the pitch diameter ridge and groove are equally wide: half a pitch each.
            at_pitch = s0 + (made.pitch_diameter_mm / 2 - r0) * (s1 - s0) / (r1 - r0)
            assert abs(at_pitch / made.pitch_mm % 0.5 - 0.25) < 1e-6


def test_threads_that_are_not_first_choice_or_not_in_the_standard_say_so():
    assert "not the first choice" in thread("Tr8x2").notes[0]
    assert thread("Tr6x1").notes == ("not in the standard; common practice",)
    assert thread("Tr8x1.5").notes == ()


def test_a_family_with_its_fields_needs_no_size_of_the_table():
    odd = family_thread("iso METRIC", 7.3, 0.9, starts=2, hand="left")
    assert odd.designation == "M7.3xPh1.8P0.9 LH"
    assert odd.notes == ("ISO metric has no such size",)
    assert odd.pitch_diameter_mm == pytest.approx(7.3 - 0.9 * 0.649519052838329)
    assert family_thread("ISO metric", 3.0, 0.5) == thread("M3")
    assert family_thread("Acme general purpose", 12.7, 2.54) == thread("1/2-10 ACME")


@pytest.mark.parametrize(
    ("fields", "message", "repair"),
    [
        (("squar", 20, 4), "no thread family is called 'squar'", 'write "square"'),
        (("square", 4, 4), "leaves no core", "above 4.5 mm"),
        (("ball groove", 16, 5.5), "its balls are not known", "ball_diameter"),
    ],
)
def test_a_family_whose_fields_make_no_thread_is_refused(fields, message, repair):
    with pytest.raises(InputError) as refusal:
        family_thread(*fields)
    (problem,) = refusal.value.problems
    assert message in problem.message
    assert repair in problem.repair


def test_starts_and_fields_of_another_family_are_refused():
    with pytest.raises(InputError, match="9 starts"):
        family_thread("square", 20, 4, starts=9)
    with pytest.raises(InputError, match="square has no ball_diameter"):
        family_thread("square", 20, 4, ball_mm=3.0)
    with pytest.raises(InputError, match="form 'round'"):
        family_thread("ball groove", 16, 5, form="round")


def test_reading_threads_loads_no_kernel():
    code = (
        "import sys; from geometry.threads import thread; thread('M3');"
        "print([m for m in ('OCP', 'cadquery', 'trimesh', 'scipy', 'pydantic', 'pint') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


@pytest.mark.parametrize("text", ["Tr8x1.5-7e", "Tr8x1.5 7e"])
def test_a_tolerance_class_behind_the_designation_is_sent_to_its_own_field(text: str) -> None:
    with pytest.raises(InputError, match=r'write Tr8x1\.5, and tolerance_class = "7e" beside it'):
        thread(text)


def test_a_class_behind_no_thread_is_no_known_designation() -> None:
    with pytest.raises(InputError, match="follows no known designation"):
        thread("plank-7e")

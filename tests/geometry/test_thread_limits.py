"""Limits and solids at either end of them: what they hold, and what is refused."""

import pytest

from geometry.errors import InputError
from geometry.outlines import section_area
from geometry.thread_limits import class_limits, sized
from geometry.threads import families, family_thread, thread

IN_CLASSES = [
    (size.designation, name)
    for family in families()
    for name in family.classes
    for size in family.sizes
    if not size.note.startswith("not in the standard")
]


@pytest.mark.parametrize(("designation", "name"), IN_CLASSES)
def test_every_size_has_limits_that_are_in_order_and_outlines_that_keep_them(designation, name):
    made = thread(designation)
    limits = made.limits(name)
    assert all(high > low > 0 for high, low in limits.values())
    most, least = (sized(made, name, f"{which}-material") for which in ("maximum", "minimum"))
    if "d2" in limits:
        assert (2 * most.external.largest_radius_mm, 2 * least.external.largest_radius_mm) == pytest.approx(
            limits["d"], abs=1e-9
        )
        assert (most.pitch_diameter_mm, least.pitch_diameter_mm) == limits["d2"]
        assert section_area(most.external) > section_area(least.external)
        assert 2 * least.external.smallest_radius_mm == pytest.approx(least.root_diameter_mm, abs=1e-9)
    if "D2" in limits:
        crests = (2 * least.internal.smallest_radius_mm, 2 * most.internal.smallest_radius_mm)
        assert crests == pytest.approx(limits["D1"], abs=1e-9)
        # More material means a smaller hole.
        assert section_area(most.internal) < section_area(least.internal)
    if name[-1] in "gHe":
        other = most.internal if name[-1] != "H" else most.external
        assert other in (made.internal, made.external), "the other member keeps its basic size"


@pytest.mark.parametrize("material", ["maximum-material", "minimum-material"])
def test_flanks_stand_half_a_pitch_apart_at_the_limit_of_the_pitch_diameter(material):
    made = sized(thread("Tr12x3"), "7e", material)
    flanks = [piece.poles for piece in made.external.pieces if not piece.is_land]
    at = [s0 + (made.pitch_diameter_mm / 2 - r0) * (s1 - s0) / (r1 - r0) for (s0, r0), (s1, r1) in flanks]
    assert at[1] - at[0] == pytest.approx(made.pitch_mm / 2, abs=1e-6)


def test_nominal_is_the_basic_size_and_needs_no_class():
    made = thread("S20x4")
    assert sized(made, "", "nominal") is made


def test_what_the_table_lacks_is_told_or_refused():
    assert class_limits(thread("M3"), "6H").notes == ()
    assert class_limits(thread("M2x0.25"), "6H").notes == (
        "by the standard's formula, not its table: TD1_6, TD2_6",
    )
    assert class_limits(family_thread("ISO metric", 30.0, 3.5), "6g").notes
    with pytest.raises(InputError, match=r"pitch 1 with diameter 4 mm is not in the standard's table"):
        thread("Tr4x1").limits("7e")


@pytest.mark.parametrize(
    ("designation", "name", "message"),
    [
        ("M3", "7e", 'ISO metric has no tolerance class "7e" here'),
        ("Sq20x4", "7e", "no standard tolerances square threads; leave the class out"),
        ("S20x4", "7e", 'limits in "7e": DIN 513-3 sets them, but its tables are not held here'),
        ("Ball8x2", "7e", "ISO 3408 grades a ball screw's lead"),
    ],
)
def test_an_unknown_class_is_refused_by_its_family(designation, name, message):
    with pytest.raises(InputError, match=message):
        thread(designation).limits(name)

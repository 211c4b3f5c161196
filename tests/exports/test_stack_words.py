from __future__ import annotations

from pathlib import Path

from geometry.design import Design, read, read_text
from geometry.stack_words import ROW, stack_parts, stack_row, stack_sentence

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
OTHER = """
[motion]
stroke = "0..20 mm"
speed = "10 mm/s"
mass = "0.1 kg"
[screw]
thread = "Tr8x4(P2) LH"
length = "60 mm"
bore = "2 mm"
far_journal = { diameter = "6 mm", length = "9 mm", circlip = "5 mm", flat = "5.5 mm", milled = "2 mm" }
far_tip = { diameter = "4 mm", length = "7 mm", thread = "M4" }
[nut]
friction = 0.15
length = "8 mm"
"""


def other(*lines: str) -> Design:
    return read_text("\n".join((OTHER, *lines)))


def test_the_demo_in_one_sentence() -> None:
    assert stack_sentence(read(DEMO)) == (
        "Brushed motor 16 mm x 30 mm, encoder of 64 counts a turn 15.5 x 8 mm, "
        "1-stage planetary gear 4:1 16 x 16 mm, "
        "steel screw Tr8x1.5 right hand, lead 1.5 mm, 96 mm of thread (near journal 5 x 8 mm; "
        "far journal 5 x 9 mm), POM flanged nut 15 x 16 mm, flange 24 mm away from motor, "
        "4 holes 2.4 mm through on 19 mm, 60 mm of stroke, 167 mm long without the cable"
    )


def test_the_demo_in_one_row() -> None:
    row = dict(zip(ROW, stack_row(read(DEMO)), strict=True))
    assert (row["stroke_mm"], row["length_mm"]) == (60.0, 167.0)
    assert row["gear"] == "1-stage planetary gear 4:1 16 x 16 mm"
    assert all("\n" not in str(value) for value in row.values())


def test_ends_hand_starts_and_bore_are_said() -> None:
    assert stack_parts(other('body_diameter = "14 mm"', 'across_flats = "12 mm"'))["screw"] == (
        "steel screw Tr8x4(P2) LH left hand, 2 starts, lead 4 mm, 60 mm of thread "
        "(far journal 6 x 9 mm with circlip groove and flat to 5.5 mm; far tip M4 x 7 mm), bored 2 mm"
    )


def test_nuts_motors_and_what_is_missing_are_said() -> None:
    assert stack_parts(other('kind = "square"', 'across_flats = "13 mm"'))["nut"] == "square nut 13 x 8 mm"
    keyed = other('body_diameter = "14 mm"', 'key = { width = "4 mm", height = "1 mm" }')
    assert stack_parts(keyed)["nut"] == "round nut 14 x 8 mm with a key 4 x 1 mm"
    flats = other('body_diameter = "14 mm"', 'across_flats = "12 mm"')
    assert stack_parts(flats)["nut"] == "round nut 14 x 8 mm with two flats 12 mm"
    flange = 'kind = "flanged"\nbody_diameter = "12 mm"\nflange_diameter = "24 mm"\nflange_thickness = "3 mm"'
    bolts = 'bolt_circle = "17 mm"\nbolt_holes = 4\nbolt = "M3"'
    assert "4 holes tapped M3 on 17 mm" in stack_parts(other(flange, bolts))["nut"]
    through = other(flange, bolts, 'bolt_fit = "medium"')
    assert "4 holes 3.4 mm through for M3 on 17 mm" in stack_parts(through)["nut"]
    bare = other(
        'kind = "none"', '[motor]\nkind = "stepper"\nframe = "NEMA 17"\nlength = "40 mm"\nbore = "9 mm"'
    )
    assert stack_parts(bare)["motor"] == "stepper motor NEMA 17 x 40 mm with a 9 mm bore"
    assert "nut" not in stack_parts(bare)
    assert stack_row(bare)[ROW.index("nut")] is None
    unknown = other("[motor]")
    assert stack_parts(unknown)["motor"] == "motor"
    assert stack_row(unknown)[-1] is None
    assert stack_sentence(unknown).startswith("Motor, steel screw")


def test_pairs_seals_and_covers_have_words_of_their_own() -> None:
    made = other(
        'body_diameter = "14 mm"',
        "[nut.second]",
        'length = "5 mm"\nspring_length = "4 mm"\nspring_diameter = "11 mm"\nspring_bore = "9 mm"',
        "[seal]",
        'kind = "lip"\ndiameter = "14 mm"\nbore = "9 mm"\nlength = "3 mm"',
        '[motor]\ncover = { diameter = "20 mm", length = "30 mm", wall = "1 mm" }',
    )
    parts = stack_parts(made)
    assert parts["nut"].startswith("anti-backlash pair, ")
    assert parts["nut_spring"] == "spring 11/9 x 4 mm"
    assert parts["screw_seal"] == "lip seal 14/9 x 3 mm"
    assert parts["motor_cover"] == "cover 20 x 30 mm"


def test_the_parts_list_opens_with_the_whole_and_says_each_part() -> None:
    import csv
    import io

    from calcs.check_design import check_design
    from exports.parts import parts_csv
    from geometry.placed import place

    design = read(DEMO)
    weighed = check_design(design).case.find("weighed_bodies")
    assert weighed is not None
    whole, *parts = csv.DictReader(io.StringIO(parts_csv(design, place(design), weighed.value)))
    assert whole["part"] == "VL-100"
    assert whole["description"] == stack_sentence(design)
    said = {row["part"]: row["description"] for row in parts}
    assert said["gear"] == "1-stage planetary gear 4:1 16 x 16 mm"
    assert said["carriage"] == ""

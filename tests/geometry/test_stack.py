from __future__ import annotations

from pathlib import Path

import pytest

from geometry.bodies import Body, Box, ClearanceClasses, Contact, Cylinder, FileShape, Shape
from geometry.design import Design, read, read_text
from geometry.errors import InputError
from geometry.frames import frames_of, shifted_shape
from geometry.placed import place
from geometry.solids import bounding_box
from geometry.stack import arrangement_of, classes_of, contacts_of, travel_of
from geometry.stack_solids import solids_of

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"


def edited(*changes: tuple[str, str]) -> Design:
    text = DEMO.read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return read_text(text)


def placed(design: Design) -> dict[str, Body]:
    return {body.name: body for body in arrangement_of(design).bodies}


def round_piece(radius: float, low: float, high: float) -> Cylinder:
    return Cylinder("z", (0.0, 0.0), radius, (low, high))


def box(*sides: tuple[float, float]) -> Box:
    (x0, x1), (y0, y1), (z0, z1) = sides
    return Box((x0, y0, z0), (x1, y1, z1))


@pytest.fixture(scope="module")
def demo() -> dict[str, Body]:
    return placed(read(DEMO))


OWN_PIECES = {
    "motor": (round_piece(8, -46, -16),),
    "gear": (round_piece(8, -16, 0), box((-13, 13), (-4, 4), (-4, 0))),
    "encoder": (round_piece(7.75, -54, -46),),
    "cable": (round_piece(1.5, -72, -54),),
    "screw": (round_piece(2.5, 0, 8), round_piece(4, 8, 104), round_piece(2.5, 104, 113)),
    "nut": (round_piece(7.5, 14, 26), round_piece(12, 26, 30)),
}
BOXES = {
    "carriage": ((-15, 15), (-12, 12), (30, 40)),
    "arm": ((-5, 5), (12, 48), (30, 38)),
    "guide_block": ((-9, 9), (-19, -12), (22, 42)),
    "flag": ((-18, -15), (-2, 2), (33, 34)),
    "rail": ((-3.5, 3.5), (-24, -19), (8, 108)),
    "stop_low": ((10, 14), (-12, -9), (5, 26)),
    "stop_high": ((10, 14), (-12, -9), (104, 108)),
    "pcb": ((8, 18), (17, 18), (30, 90)),
    "back_wall": ((-24, 24), (-28, -24), (-74, 118)),
    "left_wall": ((-24, -20), (-24, 18), (-74, 118)),
    "right_wall": ((20, 24), (-24, 18), (-74, 118)),
    "front_left": ((-24, -7), (18, 21), (-74, 118)),
    "front_right": ((7, 24), (18, 21), (-74, 118)),
    "sill_low": ((-7, 7), (18, 21), (-74, 24)),
    "sill_top": ((-7, 7), (18, 21), (106, 118)),
    "mount_plate": ((-20, 20), (-24, 18), (0, 5)),
    "top_plate": ((-20, 20), (-24, 18), (108, 113)),
    "rib": ((-20, -18.7), (-6, 6), (61.0, 62.2)),
    "floor": ((-24, 24), (-28, 21), (-78, -74)),
    "lid": ((-24, 24), (-28, 21), (118, 122)),
}
BORES = {
    "carriage": round_piece(5, 30, 40),
    "mount_plate": round_piece(5, 0, 5),
    "top_plate": round_piece(2.5, 108, 113),
}


def test_the_demo_has_its_bodies_in_order_and_no_other(demo: dict[str, Body]) -> None:
    assert list(demo) == [*OWN_PIECES, *BOXES]
    assert arrangement_of(read(DEMO)).unplaced == ()


@pytest.mark.parametrize("name", OWN_PIECES)
def test_the_actuator_of_the_demo_stands_where_it_was_drawn(demo: dict[str, Body], name: str) -> None:
    body = demo[name]
    assert isinstance(body.shape, Shape)
    assert body.shape.adds == OWN_PIECES[name]
    assert body.part_of_actuator
    assert body.role == ("cable" if name == "cable" else "actuator")
    assert body.moves is (name == "nut")


@pytest.mark.parametrize("name", BOXES)
def test_the_surroundings_of_the_demo_stand_where_they_were_drawn(demo: dict[str, Body], name: str) -> None:
    shape = demo[name].shape
    assert isinstance(shape, Shape)
    (piece,) = shape.adds
    assert isinstance(piece, Box)
    for axis, (low, high) in enumerate(BOXES[name]):
        assert piece.low[axis] == pytest.approx(low, abs=1e-12)
        assert piece.high[axis] == pytest.approx(high, abs=1e-12)
    assert shape.cuts == ((BORES[name],) if name in BORES else ())
    assert demo[name].moves is (name in {"carriage", "arm", "guide_block", "flag"})
    assert not demo[name].part_of_actuator


def test_the_holes_of_the_demo(demo: dict[str, Body]) -> None:
    gear, nut = demo["gear"].shape, demo["nut"].shape
    assert isinstance(gear, Shape)
    assert isinstance(nut, Shape)
    assert [(cut.centre, cut.radius, cut.span) for cut in gear.cuts if isinstance(cut, Cylinder)] == [
        ((-11, 0), 1.1, (-4, 0)),
        ((11, 0), 1.1, (-4, 0)),
    ]
    bores = [cut for cut in nut.cuts if isinstance(cut, Cylinder) and cut.centre == (0, 0)]
    assert [(cut.radius, cut.span) for cut in bores] == [(4.15, (14, 26)), (4.15, (26, 30))]
    bolts = [cut for cut in nut.cuts if isinstance(cut, Cylinder) and cut.centre != (0, 0)]
    assert len(bolts) == 4
    for bolt in bolts:
        assert bolt.radius == 1.2
        assert bolt.span == (26, 30)
        assert bolt.centre[0] ** 2 + bolt.centre[1] ** 2 == pytest.approx(9.5**2, rel=1e-12)
        assert abs(bolt.centre[0]) == pytest.approx(abs(bolt.centre[1]), rel=1e-12)


def test_roles_masses_and_materials_of_the_demo(demo: dict[str, Body]) -> None:
    assert {name: demo[name].role for name in ("rail", "pcb", "floor", "lid", "rib", "arm")} == {
        "rail": "guide",
        "pcb": "electronics",
        "floor": "cover",
        "lid": "cover",
        "rib": "housing",
        "arm": "load",
    }
    assert demo["motor"].mass_kg == pytest.approx(0.028, abs=1e-15)
    assert demo["encoder"].mass_kg == pytest.approx(0.004, abs=1e-15)
    assert demo["arm"].mass_kg == pytest.approx(0.390, abs=1e-15)
    assert demo["screw"].mass_kg is None
    assert demo["screw"].material == "steel"
    assert demo["nut"].material == "POM"


def test_a_flipped_flange_lowers_what_it_carries_by_twelve_millimetres(demo: dict[str, Body]) -> None:
    flipped = placed(edited(('flange = "away from motor"', 'flange = "toward motor"')))
    nut = flipped["nut"].shape
    assert isinstance(nut, Shape)
    assert nut.adds == (round_piece(7.5, 18, 30), round_piece(12, 14, 18))
    for name in ("carriage", "arm", "guide_block", "flag"):
        before, after = demo[name].shape, flipped[name].shape
        assert isinstance(before, Shape)
        assert after == shifted_shape(before, (0.0, 0.0, -12.0))
    assert flipped["rail"] == demo["rail"]


def test_direct_drive_puts_the_motor_at_the_origin() -> None:
    text = DEMO.read_text(encoding="utf-8")
    start, end = text.index("[gears]"), text.index("[motor]")
    contact = '[[contact]]\na = "gear"\nb = "mount_plate"\n'
    assert contact in text
    found = placed(read_text((text[:start] + text[end:]).replace(contact, "")))
    assert "gear" not in found
    for name, pieces in {"motor": (-30, 0), "encoder": (-38, -30), "cable": (-56, -38)}.items():
        shape = found[name].shape
        assert isinstance(shape, Shape)
        assert shape.adds[0].span == pieces  # type: ignore[union-attr]  # all three are cylinders


def test_nut_and_screw_always_touch_by_their_thread() -> None:
    text = DEMO.read_text(encoding="utf-8")
    declared = '[[contact]]\na = "nut"\nb = "screw"\n'
    assert declared in text
    assert contacts_of(read_text(text.replace(declared, "")))[-1] == Contact("nut", "screw")
    assert contacts_of(read(DEMO)) == (
        Contact("gear", "mount_plate"),
        Contact("screw", "mount_plate"),
        Contact("screw", "top_plate"),
        Contact("nut", "screw"),
        Contact("guide_block", "rail"),
        Contact("carriage", "stop_low", (-4.0, -3.5)),
        Contact("carriage", "stop_high", (63.5, 64.0)),
    )


def test_travel_and_classes() -> None:
    assert travel_of(read(DEMO)) == (-4.0, 64.0)
    without_stops = edited(
        ('hard_stops = "-4..64 mm"', ""),
        ('travel = "-4..-3.5 mm"', 'travel = "0..0.5 mm"'),
        ('travel = "63.5..64 mm"', 'travel = "59.5..60 mm"'),
    )
    assert travel_of(without_stops) == (0.0, 60.0)
    assert classes_of(read(DEMO)) == ClearanceClasses(0.5, 2.0, 3.0, 0.0, 0.0)


def test_frames_keep_their_names_and_places_when_the_stroke_changes() -> None:
    longer = edited(
        ('stroke = "0..60 mm"', 'stroke = "0..62 mm"'),
        ('sensors = "-1.5..61.5 mm"', 'sensors = "-1.5..63 mm"'),
    )
    assert frames_of(longer) == frames_of(read(DEMO))


def test_frames_of_the_demo() -> None:
    found = {
        frame.name: (frame.origin[2], frame.z_direction[2], frame.moves) for frame in frames_of(read(DEMO))
    }
    assert found == {
        "mount_face": (0, 1, False),
        "screw_axis": (0, 1, False),
        "motor_rear": (-46, -1, False),
        "thread_start": (8, -1, False),
        "thread_end": (104, 1, False),
        "screw_end": (113, 1, False),
        "nut_near_face": (14, -1, True),
        "nut_far_face": (30, 1, True),
        "nut_flange_seat": (30, 1, True),
        "nut_near_face_at_low_stop": (10, -1, False),
        "nut_far_face_at_high_stop": (94, 1, False),
    }


def test_what_the_design_does_not_describe_is_listed_with_the_fields_it_lacks() -> None:
    design = edited(
        ('diameter = "16 mm"\nlength = "16 mm"\n', 'diameter = "16 mm"\n'),
        ('position = "14 mm"             # of its near face at s = 0\n', ""),
    )
    lacks = {item.name: item.fields for item in arrangement_of(design).unplaced}
    assert lacks == {
        "motor": ("gears.length",),
        "gear": ("gears.length",),
        "encoder": ("gears.length",),
        "cable": ("gears.length",),
        "nut": ("nut.position",),
        **dict.fromkeys(("carriage", "arm", "guide_block", "flag"), ("nut.position",)),
    }
    assert {body.name for body in arrangement_of(design).bodies} == set(OWN_PIECES) - set(lacks) | set(
        BOXES
    ) - set(lacks)


def test_a_coupling_is_not_passed_over_in_silence() -> None:
    design = edited(("[stops]", '[coupling]\ndiameter = "14 mm"\nlength = "18 mm"\n\n[stops]'))
    assert [item.name for item in arrangement_of(design).unplaced] == ["coupling"]


def test_every_impossible_combination_is_reported_at_once_in_the_order_of_the_file() -> None:
    design = edited(
        ('far_journal = { diameter = "5 mm"', 'far_journal = { diameter = "7 mm"'),
        ('near_journal = { diameter = "5 mm"', 'near_journal = { diameter = "10 mm"'),
        ('bolt_circle = "19 mm"', 'bolt_circle = "22 mm"'),
        ('spacing = "22 mm"', 'spacing = "24 mm"'),
        ("direction = [0, 0, -1]  ", "direction = [0, 0, 1]  "),
    )
    with pytest.raises(InputError) as refused:
        arrangement_of(design)
    assert [problem.field for problem in refused.value.problems] == [
        "screw.far_journal.diameter",
        "nut.bolt_circle",
        "gears.ears.width",
        "service.cable.direction",
    ]
    assert all(problem.line and problem.repair for problem in refused.value.problems)


@pytest.mark.parametrize(
    ("old", "new", "field", "repair"),
    [
        # the nut, 14 to 30 mm at s = 0, goes from 10 to 94 mm
        ('far_bearing = "110.5 mm"', 'far_bearing = "93.9 mm"', "far_bearing", "far_bearing above 94 mm"),
        ('near_bearing = "0 mm"', 'near_bearing = "10.1 mm"', "near_bearing", "near_bearing below 10 mm"),
    ],
)
def test_a_bearing_in_the_nuts_way_is_refused(old: str, new: str, field: str, repair: str) -> None:
    text = DEMO.read_text(encoding="utf-8")
    with pytest.raises(InputError) as refused:
        arrangement_of(read_text(text.replace(old, new)))
    (problem,) = refused.value.problems
    assert (problem.field, problem.repair) == (f"ends.{field}", f"write {repair}")
    beside = new.replace("93.9", "94").replace("10.1", "10")
    arrangement_of(read_text(text.replace(old, beside)))


def test_a_free_end_and_a_travelling_screw_have_no_bearing_in_the_nuts_way() -> None:
    text = DEMO.read_text(encoding="utf-8").replace('far_bearing = "110.5 mm"', 'far_bearing = "90 mm"')
    arrangement_of(read_text(text.replace('far = "supported"', 'far = "free"')))
    arrangement_of(
        read_text(text.replace('position = "14 mm"', "#", 1))
    )  # a nut without a place is in no way
    travelling = text.replace('speed = "25 mm/s"', 'speed = "25 mm/s"\ntravels = "screw"\nturns = "nut"')
    with pytest.raises(InputError) as refused:  # of what rides on the nut, not of the bearing
        arrangement_of(read_text(travelling))
    assert {problem.field[:6] for problem in refused.value.problems} == {"moving"}


def test_a_load_on_the_flange_of_a_nut_without_one_is_refused() -> None:
    text = DEMO.read_text(encoding="utf-8").replace('kind = "flanged"', 'kind = "cylindrical"')
    lines = [line for line in text.splitlines() if not line.startswith(("flange", "bolt"))]
    with pytest.raises(InputError) as refused:
        arrangement_of(read_text("\n".join(lines)))
    assert [problem.field for problem in refused.value.problems] == [
        f"moving[{index}].on" for index in range(4)
    ]


def test_files_stand_in_for_envelopes_and_keep_their_place() -> None:
    design = edited(
        ('kind = "brushed"', 'kind = "brushed"\nshape = "motor.step"'),
        ('kind = "flanged"', 'kind = "flanged"\nshape = "nut.step"'),
    )
    found = placed(design)
    assert found["motor"].shape == FileShape("motor.step", shift=(0.0, 0.0, -16.0))
    assert found["nut"].shape == FileShape("nut.step", shift=(0.0, 0.0, 14.0))
    assert found["motor"].source == "motor.step"
    assert found["carriage"] == placed(read(DEMO))["carriage"]


def test_a_housing_file_and_a_keep_out_become_bodies() -> None:
    design = edited(
        (
            "# Pairs that are meant to touch.",
            '[housing]\nfile = "box.step"\n\n# Pairs that are meant to touch.',
        ),
    )
    assert placed(design)["housing"].shape == FileShape("box.step")
    kept = edited(
        (
            "# Pairs that are meant to touch.",
            '[[keep_out]]\nname = "light"\n'
            'cylinder = { along = "y", diameter = "4 mm", centre = ["1 mm", "2 mm"], span = "20..30 mm" }\n'
            "# Pairs that are meant to touch.",
        )
    )
    light = placed(kept)["light"]
    assert light.role == "keep_out"
    assert light.shape == Shape((Cylinder("y", (1.0, 2.0), 2.0, (20.0, 30.0)),))


def test_what_rides_on_the_nut_rises_with_it() -> None:
    on_nut = placed(edited(('name = "flag"\non = "nut flange"', 'name = "flag"\non = "nut"')))["flag"].shape
    assert on_nut == Shape((box((-18, -15), (-2, 2), (17, 18)),))


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (Cylinder("x", (1.0, 2.0), 3.0, (4.0, 5.0)), Cylinder("x", (1.0, 9.0), 3.0, (4.0, 5.0))),
        (Cylinder("y", (1.0, 2.0), 3.0, (4.0, 5.0)), Cylinder("y", (1.0, 9.0), 3.0, (4.0, 5.0))),
        (Cylinder("z", (1.0, 2.0), 3.0, (4.0, 5.0)), Cylinder("z", (1.0, 2.0), 3.0, (11.0, 12.0))),
    ],
)
def test_raising_a_shape(before: Cylinder, after: Cylinder) -> None:
    assert shifted_shape(Shape((before,), (before,)), (0.0, 0.0, 7.0)) == Shape((after,), (after,))


def test_every_body_of_the_demo_is_one_valid_solid_light_and_detailed() -> None:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TopAbs import TopAbs_ShapeEnum

    design = read(DEMO)
    placement = place(design)
    light, detailed = (solids_of(design, placement, detailed=detailed) for detailed in (False, True))
    assert [body.name for body, _ in light] == [body.name for body in arrangement_of(design).bodies]
    for body, solid in (*light, *detailed):
        assert solid.ShapeType() == TopAbs_ShapeEnum.TopAbs_SOLID, body.name
        assert BRepCheck_Analyzer(solid).IsValid(), body.name
    members = [body.name for body, _ in detailed if body.source == "teeth"]
    assert members == [
        f"gear_stage_1_{name}" for name in ("sun", "planet_1", "planet_2", "planet_3", "ring", "carrier")
    ]
    own = [pair for pair in detailed if pair[0].source != "teeth"]
    assert [body for body, _ in light] == [body for body, _ in own]
    for (body, plain), (_, real) in zip(light, own, strict=True):
        for corner, other in zip(bounding_box(plain), bounding_box(real), strict=True):
            assert corner == pytest.approx(other, abs=1e-5), body.name


def test_solids_are_built_for_the_bodies_that_are_asked_for() -> None:
    design = read(DEMO)
    wanted = [body for body in arrangement_of(design).bodies if body.name in {"motor", "rail"}]
    assert [body.name for body, _ in solids_of(design, place(design), detailed=False, bodies=wanted)] == [
        "motor",
        "rail",
    ]


def test_a_file_of_two_solids_gives_two_named_bodies_at_their_place(tmp_path: Path) -> None:
    import cadquery

    parts = cadquery.Assembly()
    parts.add(cadquery.Workplane().box(2, 2, 2, centered=False), name="left")
    parts.add(cadquery.Workplane().box(2, 2, 2, centered=False).translate((5, 0, 0)), name="right")
    parts.export(str(tmp_path / "motor.step"))
    text = DEMO.read_text(encoding="utf-8").replace(
        'kind = "brushed"', 'kind = "brushed"\nshape = "motor.step"'
    )
    (tmp_path / "design.toml").write_text(text, encoding="utf-8")
    design = read(tmp_path / "design.toml")
    found = solids_of(design, place(design), detailed=False)
    pairs = {body.name: solid for body, solid in found if body.source == "motor.step"}
    assert list(pairs) == ["left", "right"]
    low, high = bounding_box(pairs["right"])
    assert (*low, *high) == pytest.approx((5, 0, -16, 7, 2, -14), abs=1e-6)

"""A design flattened: units, origins, fields, what is missing."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from pydantic import BaseModel

from calcs.case import (
    ASSUMED,
    Case,
    ChainLink,
    Push,
    Value,
    _native,
    _si,
    case_of,
    point_in_metres,
    round_in_metres,
    section_area_m2,
    shape_in_metres,
)
from calcs.case_fields import FIELDS
from calcs.check import run_checks
from calcs.naming import suffix
from geometry.bodies import Box, Cylinder, Shape
from geometry.design import Design, read, read_text
from geometry.outlines import section_area
from geometry.thread_properties import RoundSolid
from geometry.threads import thread
from geometry.units import Band, Span

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
TEN_LINES = """
[motion]
stroke = "0..60 mm"
speed = "25 mm/s"
mass = "0.450 kg"
[screw]
thread = "Tr8x1.5"
length = "96 mm"
[nut]
length = "16 mm"
friction = "0.08..0.15..0.20"
"""


@pytest.fixture(scope="module")
def demo() -> Case:
    return case_of(read(DEMO))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("speed_m_s", 0.025),
        ("acceleration_m_s2", 0.25),
        ("stop_low_m", -0.004),
        ("usable_high_m", 0.060),
        ("gear_backlash_rad", math.radians(1.5)),
        ("stop_stiffness_n_m", 200e3),
        ("given_screw_inertia_kg_m2", 2.536e-7),
        ("gear_torque_continuous_nm", 0.060),
        ("winding_limit_c", 100.0),
        ("lead_m", 0.0015),
        ("pitch_diameter_m", 0.00725),
        ("root_diameter_m", 0.0062),
        ("flank_angle_rad", math.radians(15.0)),
        ("flank_height_m", 0.00075),
        ("thread_end_m", 0.104),
        ("travel_low_m", -0.004),
        ("ratio", 4.0),
    ],
)
def test_values_are_si(demo: Case, name: str, value: float) -> None:
    found = demo.find(name)
    assert found is not None
    assert found.value == pytest.approx(value, rel=1e-12)


def test_bands_spans_and_words(demo: Case) -> None:
    def value(name: str) -> object:
        found = demo.find(name)
        return None if found is None else found.value

    assert value("friction") == Band(0.08, 0.15, 0.20)
    assert value("supply_v") == Band(10.8, 12.0, 13.2)
    wear = value("wear_coefficient_m2_n")
    assert isinstance(wear, Band)
    assert (wear.low, wear.high) == (1e-15, 1e-14)
    assert value("without_power") == "hold"
    assert value("current_limit_a") is None


def test_origin_and_field_are_kept(demo: Case) -> None:
    given, default, derived = (demo.find(name) for name in ("stop_low_m", "hysteresis_m", "ratio"))
    assert given is not None
    assert default is not None
    assert derived is not None
    assert (given.origin, given.field) == ("given", "motion.hard_stops")
    assert (default.origin, default.field) == ("default", "stops.hysteresis")
    assert (derived.origin, derived.field) == ("derived", "")


def test_a_value_handed_through_keeps_its_origin(demo: Case) -> None:
    for name, field in (("gear_efficiency", "gears.efficiency"), ("resistance_ohm", "motor.resistance")):
        found = demo.find(name)
        assert found is not None
        assert (found.origin, found.field) == ("given", field)


def test_load_cases_and_chain_are_in_metres(demo: Case) -> None:
    cases, chain = demo.find("load_cases"), demo.find("chain")
    assert cases is not None
    assert chain is not None
    (lift,) = cases.value
    assert lift.pushes == (Push(0.0, 0.004, 8.0),)
    assert (lift.up_axial, lift.up_lateral, lift.vibration) == (1.0, 0.0, "")
    assert str(lift) == "lift: up along z 1, 8 N"
    first = chain.value[0]
    assert isinstance(first, ChainLink)
    assert (first.sense, first.nominal_m, first.upper_m, first.lower_m) == (1, 0.108, 0.0002, -0.0002)


def test_a_force_without_travel_acts_all_along_it() -> None:
    text = TEN_LINES + '[[load_case]]\nname = "a"\nforces = [{ force = "3 N" }]\n'
    found = case_of(read_text(text)).find("load_cases")
    assert found is not None
    assert found.value[0].pushes == (Push(0.0, 0.060, 3.0),)


def test_without_a_load_case_lifting_straight_up_is_assumed_and_said() -> None:
    case = case_of(read_text(TEN_LINES))
    found = case.find("load_cases")
    assert found is not None
    assert (found.origin, found.value) == ("default", (ASSUMED,))
    (row,) = [row for row in run_checks(case) if row.id == "plausible.load_case"]
    assert row.verdict == "WARN"
    assert "assumed" in row.note


def test_what_is_missing_is_named_as_the_user_writes_it() -> None:
    case = case_of(read_text(TEN_LINES))
    assert case.missing(["stop_low_m", "sensor_high_m"]) == ("motion.hard_stops", "motion.sensors")
    assert case.missing(["impact_n"])[0].startswith("motor.")
    assert case.missing(["chain"]) == ("tolerance.links",)
    assert case.missing(["resistance_ohm"]) == ("motor.resistance",)
    assert case.missing(["lead_m"]) == ()


def test_a_section_counts_as_stated_with_what_is_inside_it(demo: Case) -> None:
    assert demo.states("tolerance")
    assert demo.states("tolerance.required")
    assert demo.states("load_case")
    assert not demo.states("brake")
    assert not demo.states("toler")


def test_without_gears_the_drive_is_direct() -> None:
    case = case_of(read_text(TEN_LINES))
    ratio, efficiency = case.find("ratio"), case.find("gear_efficiency")
    assert ratio is not None
    assert efficiency is not None
    assert ratio.value == 1.0
    assert efficiency.value == Band(1.0, 1.0, 1.0)


@pytest.mark.parametrize("name", sorted(FIELDS))
def test_every_field_is_one_of_the_schema(name: str) -> None:
    section: object = Design
    *path, last = FIELDS[name].split(".")
    if last in ("low", "high"):
        *path, last = path
    for part in path:
        assert isinstance(section, type)
        assert issubclass(section, BaseModel)
        field = section.model_fields[part]
        section = next(
            t for t in (field.annotation, *getattr(field.annotation, "__args__", ())) if isinstance(t, type)
        )
    assert isinstance(section, type)
    assert issubclass(section, BaseModel)
    assert last in section.model_fields


def test_names_with_a_length_come_from_fields_with_a_length(demo: Case) -> None:
    # a slip of a suffix would be a factor of 1000: every length of the demo lies between 1 um and 1 m
    for name in FIELDS:
        found = demo.find(name)
        if suffix(name) == "_m" and found is not None and found.value:
            assert 1e-6 < abs(found.value) < 1.0, name


def test_a_force_acts_over_its_stretch_of_travel() -> None:
    text = TEN_LINES + '[[load_case]]\nname = "a"\nforces = [{ force = "3 N", travel = "2..6 mm" }]\n'
    found = case_of(read_text(text)).find("load_cases")
    assert found is not None
    assert found.value[0].pushes == (Push(0.002, 0.006, 3.0),)


def test_the_assumed_load_is_lifted_straight_up() -> None:
    assert (ASSUMED.up_axial, ASSUMED.up_lateral, ASSUMED.pushes) == (1.0, 0.0, ())


def test_millimetres_become_metres() -> None:
    assert point_in_metres((1.0, -2.0, 3.5)) == (0.001, -0.002, 0.0035)
    shape = Shape((Cylinder("x", (1.0, -2.0), 3.0, (4.0, 6.0)),), (Box((1.0, 2.0, 3.0), (4.0, 5.0, 6.0)),))
    assert shape_in_metres(shape) == Shape(
        (Cylinder("x", (0.001, -0.002), 0.003, (0.004, 0.006)),),
        (Box((0.001, 0.002, 0.003), (0.004, 0.005, 0.006)),),
    )
    solid = RoundSolid(volume_mm3=2e9, centroid_z_mm=3e3, axial_moment_mm5=4e15, transverse_moment_mm5=5e15)
    assert round_in_metres(solid) == (2.0, 3.0, 4.0, 5.0)
    record = thread("Tr8x1.5")
    assert section_area_m2(record) == pytest.approx(section_area(record.external) * 1e-6)
    assert math.pi / 4.0 * 0.0062**2 < section_area_m2(record) < math.pi / 4.0 * 0.008**2
    assert _si(Span(2.0, 6.0), "_m") == Band(0.002, 0.004, 0.006)
    assert _si(Span(-30.0, 90.0), "_c") == Band(-30.0, 30.0, 90.0)
    assert _si(Span(2.0, 6.0), "") == Span(2.0, 6.0)
    assert _si("supported", "_m") == "supported"


def test_numbers_of_arrays_become_plain_ones() -> None:
    for number in (np.float64(2.0), np.array(2.0)):
        assert type(_native(number)) is float
    many = np.array([1.0, 2.0])
    assert _native(many) is many
    assert [type(end) for end in _native(Band(np.float64(1.0), np.float64(2.0), np.float64(3.0)))] == [
        float
    ] * 3


def test_a_case_knows_what_is_given_derived_or_a_field() -> None:
    made = Case({"of_my_own": Value(1.0, "given", "x")})
    assert [made.knows(n) for n in ("of_my_own", "ratio", "speed_m_s", "nothing")] == [
        True,
        True,
        True,
        False,
    ]
    assert made.find("speed_m_s") is None
    with pytest.raises(KeyError, match="no value of a case is called nothing"):
        made.find("nothing")


def test_a_changed_value_takes_along_only_what_follows_from_it(demo: Case) -> None:
    before = {name: demo.find(name) for name in ("ratio", "peak_force_n", "screw_speed_rad_s")}
    faster = demo.changed("speed_m_s", 0.05)
    assert {"ratio", "peak_force_n"} <= faster._values.keys()  # kept, not worked out again
    assert "screw_speed_rad_s" not in faster._values
    found, slower = faster.find("screw_speed_rad_s"), before["screw_speed_rad_s"]
    assert found is not None
    assert slower is not None
    assert found.value == pytest.approx(2.0 * slower.value)
    assert demo.find("screw_speed_rad_s") is slower


def test_a_case_keeps_of_another_what_it_lacks_and_may(demo: Case) -> None:
    demo.find("ratio")
    demo.find("screw_speed_rad_s")
    own = Value(9.0, "given", "x")
    made = Case({"ratio": own}).keeping(demo, lambda reached: "speed_m_s" in reached)
    assert made.find("ratio") is own
    assert made.find("screw_speed_rad_s") is demo.find("screw_speed_rad_s")
    assert "speed_m_s" not in made._values  # given there, not derived
    assert "screw_speed_rad_s" not in Case({}).keeping(demo, lambda reached: False)._values


def test_the_rows_of_a_changed_case_show_its_inputs(demo: Case) -> None:
    (slow,) = (r for r in run_checks(demo) if r.id == "plausible.speed")
    (fast,) = (r for r in run_checks(demo.changed("speed_m_s", 0.05)) if r.id == "plausible.speed")
    assert (slow.inputs["speed"]["value"], fast.inputs["speed"]["value"]) == (25.0, 50.0)
    assert run_checks(demo) == run_checks(demo)


def test_a_design_states_the_sections_of_its_fields_and_no_likely_name(demo: Case) -> None:
    case = Case({}, stated=("moving_rail", "motor.cover.wall", "moving[0].name", "nut"))
    assert all(map(case.states, ("motor", "motor.cover", "motor.cover.wall", "moving", "moving[0]", "nut")))
    assert not any(map(case.states, ("mot", "motor.cov", "nut.kind", "moving[1]", "moving[0].na", "zzz", "")))

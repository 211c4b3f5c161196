"""A design flattened: units, origins, fields, what is missing."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from pydantic import BaseModel

from calcs.case import ASSUMED, Case, ChainLink, Push, case_of
from calcs.case_fields import FIELDS
from calcs.check import run_checks
from calcs.naming import suffix
from geometry.design import Design, read, read_text
from geometry.units import Band

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

"""The machinery of checks: decorator, missing inputs, limits, acceptance, overall verdict, discovery."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path

import pytest

import calcs.checks
from calcs.case import Case, Value, case_of
from calcs.case_fields import FIELDS
from calcs.check import (
    Result,
    check,
    derived,
    known_checks,
    known_derivations,
    overall,
    run_check,
    run_checks,
)
from calcs.finding import Finding, at_least, at_most, info, not_checked
from calcs.naming import bare
from geometry.design import read
from geometry.errors import InputError
from geometry.units import Band, Measure

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"


def case(
    *, stated: tuple[str, ...] = (), limits: dict[str, tuple[Measure, str]] | None = None, **given: object
) -> Case:
    values = {name: Value(value, "given", FIELDS.get(name, "")) for name, value in given.items()}
    return Case(values, stated=stated, limits=limits, accepted={"test.force": "held on the bench, TR-1"})


@check(
    "test.force",
    title="A force",
    unit="N",
    formula="F",
    source="this test",
    limit=10.0,
    asked_by=("stops.strength",),
)
def force_check(stop_strength_n: float, carried_mass_kg: float = 2.0, limit: float = 0.0) -> Finding:
    return at_most(stop_strength_n * carried_mass_kg, limit, remedy="less of it", note="as computed")


@check(
    "test.length",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="L",
    source="x",
    limit="wear_limit_m",
)
def length_check(thread_length_m: float, limit: float | None = None) -> Finding:
    """A length.

    More words.
    """
    return at_least(thread_length_m, limit)


def test_row_has_value_limit_margin_and_inputs() -> None:
    row = run_check(force_check, case(stop_strength_n=4.0))
    assert (row.verdict, row.value, row.limit, row.margin) == ("PASS", 8.0, 10.0, 1.25)
    assert row.remedy == ""
    assert row.inputs == {
        "stop_strength": {"value": 4.0, "unit": "N", "origin": "given", "field": "stops.strength"}
    }
    assert row.accepted == "held on the bench, TR-1"
    contract = "id title verdict value limit margin unit margin_kind inputs formula source cautions remedy"
    assert list(row.to_json()) == [*contract.split(), "flip", "note", "missing", "counts", "accepted"]


def test_failing_row_offers_its_remedy() -> None:
    row = run_check(force_check, case(stop_strength_n=4.0, carried_mass_kg=3.0))
    assert (row.verdict, row.value, row.remedy) == ("FAIL", 12.0, "less of it")
    assert row.margin == pytest.approx(10.0 / 12.0)


def test_missing_input_is_named_by_its_design_field_and_counts_only_where_it_was_asked() -> None:
    row = run_check(force_check, case())
    assert (row.verdict, row.value, row.counts) == ("NOT CHECKED", None, False)
    assert row.note == "needs stops.strength"
    assert row.remedy == "give stops.strength"
    assert run_check(force_check, case(stated=("stops.strength",))).counts
    assert run_check(force_check, case(stated=("stops.strength[0].x",))).counts


def test_title_is_the_first_line_of_the_docstring_and_units_are_shown_as_people_read_them() -> None:
    row = run_check(length_check, case(thread_length_m=0.020, wear_limit_m=0.0125))
    assert (row.title, row.unit, row.value, row.limit, row.margin) == ("A length", "mm", 20.0, 12.5, 7.5)
    assert row.inputs["thread_length"]["value"] == 20.0
    assert row.inputs["thread_length"]["unit"] == "mm"


def test_without_its_limit_a_value_is_shown_but_not_checked() -> None:
    row = run_check(length_check, case(thread_length_m=0.020))
    assert (row.verdict, row.value, row.limit, row.margin) == ("NOT CHECKED", 20.0, None, None)
    assert row.note == "needs nut.wear_limit"
    assert not row.counts


def test_the_design_replaces_a_limit_with_its_reason() -> None:
    typed = {"test.length": (Measure(3.0, "cm"), "bench test 12")}
    row = run_check(length_check, case(thread_length_m=0.020, limits=typed))
    assert (row.verdict, row.limit) == ("FAIL", 30.0)
    assert row.note == "limit replaced by the design: bench test 12"


def test_a_limit_of_another_dimension_is_refused() -> None:
    typed = {"test.length": (Measure(3.0, "N"), "x")}
    with pytest.raises(InputError, match=r"\"N\" does not convert to \"m\""):
        run_check(length_check, case(thread_length_m=0.020, limits=typed))


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_number_that_is_not_finite_never_leaves(bad: float) -> None:
    @check("test.bad", title="Bad", formula="x", source="x")
    def bad_check() -> Finding:
        return info(bad)

    @check("test.worse", title="Worse", formula="x", source="x", limit=1.0)
    def worse_check(limit: float = 1.0) -> Finding:
        return at_most(Band(0.0, 1.0, bad), limit)

    row, other = run_check(bad_check, case()), run_check(worse_check, case())
    assert (row.value, row.verdict) == (None, "NOT CHECKED")
    assert (other.value, other.margin) == (None, None)
    assert other.verdict == ("FAIL" if bad == math.inf else "NOT CHECKED")
    assert "no finite number" in row.note
    json.dumps([row.to_json(), other.to_json()], allow_nan=False)


def test_an_infinite_limit_is_dropped() -> None:
    @check("test.free", title="Free", formula="x", source="x", limit=math.inf)
    def free_check(limit: float = 1.0) -> Finding:
        return at_most(1.0, limit)

    row = run_check(free_check, case())
    assert (row.verdict, row.limit, row.margin) == ("PASS", None, None)


def test_a_ratio_needs_something_to_divide_by() -> None:
    @check("test.zero", title="Zero", formula="x", source="x", limit=1.0)
    def zero_check(limit: float = 1.0) -> Finding:
        return at_most(0.0, limit)

    row = run_check(zero_check, case())
    assert (row.verdict, row.margin) == ("PASS", None)


def test_not_checked_by_the_function_counts_unless_nothing_was_asked() -> None:
    @check("test.open", title="Open", formula="x", source="x")
    def open_check() -> Finding:
        return not_checked("a file is in the way")

    @check("test.idle", title="Idle", formula="x", source="x")
    def idle_check() -> Finding:
        return not_checked("no mass yet", asked=False)

    assert run_check(open_check, case()).counts
    assert not run_check(idle_check, case()).counts


def row(verdict: str, *, counts: bool = True) -> Result:
    return Result("a.b", "t", verdict, None, None, None, "", "none", {}, "f", "s", counts=counts)


def test_overall_is_the_worst_verdict_that_counts() -> None:
    order = ["INFO", "PASS", "WARN", "NOT PROVEN", "NOT CHECKED", "FAIL"]
    for worst in range(1, len(order)):
        assert overall(map(row, order[: worst + 1])) == order[worst]
    assert overall([row("INFO")]) == "PASS"
    assert overall([]) == "PASS"
    assert overall([row("WARN"), row("NOT CHECKED", counts=False)]) == "WARN"


def test_units_that_do_not_fit_are_refused_when_the_check_is_made() -> None:
    with pytest.raises(ValueError, match="no way to show"):
        check("test.units", title="x", unit="N", shown="mm", formula="x", source="x")


def test_every_check_asks_only_for_names_that_a_case_has() -> None:
    from calcs.case import known_names

    asked = [c.signature.names for c in known_checks()] + [
        d.signature.names for d in known_derivations().values()
    ]
    assert {name for names in asked for name in names} <= known_names()
    assert {c.limit for c in known_checks() if isinstance(c.limit, str)} <= known_names()


def test_an_unknown_name_is_our_own_mistake() -> None:
    with pytest.raises(KeyError, match="no value of a case"):
        case().find("no_such_thing_m")


def test_ids_are_dotted_and_rows_of_one_subject_stand_together() -> None:
    ids = [c.id for c in known_checks()]
    subjects = [i.split(".")[0] for i in ids]
    assert all("." in i and i == i.lower() for i in ids)
    assert subjects == sorted(subjects)


ADDED = '''
from calcs.check import check, derived
from calcs.finding import Finding, at_most


@derived("motion.mass")
def twice_the_mass_kg(carried_mass_kg: float) -> float:
    """Twice the mass."""
    return 2.0 * carried_mass_kg


@check("added.mass", unit="kg", formula="2 m", source="a test", limit=1.0)
def doubled(twice_the_mass_kg: float, limit: float = 1.0) -> Finding:
    """Twice the mass."""
    return at_most(twice_the_mass_kg, limit)
'''


@pytest.fixture
def added(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    name = "added_by_a_test"
    (tmp_path / f"{name}.py").write_text(ADDED, encoding="utf-8")
    monkeypatch.setattr(calcs.checks, "__path__", [*calcs.checks.__path__, str(tmp_path)])
    monkeypatch.delitem(sys.modules, f"calcs.checks.{name}", raising=False)
    yield "added.mass"
    sys.modules.pop(f"calcs.checks.{name}", None)
    vars(calcs.checks).pop(name, None)


def test_one_file_with_one_function_adds_a_check(added: str) -> None:
    assert added in {c.id for c in known_checks()}
    results = {r.id: r for r in run_checks(case_of(read(DEMO)))}
    assert (results[added].verdict, results[added].value) == ("PASS", 0.9)


def test_an_id_used_twice_is_refused(added: str, tmp_path: Path) -> None:
    (tmp_path / "added_again.py").write_text(ADDED, encoding="utf-8")
    try:
        with pytest.raises(ValueError, match="there twice"):
            known_checks()
    finally:
        sys.modules.pop("calcs.checks.added_again", None)
        vars(calcs.checks).pop("added_again", None)


def test_a_derived_value_remembers_its_fields_where_it_cannot_be_made() -> None:
    @derived("motor.resistance")
    def nothing() -> None:
        return None

    assert nothing.fields == ("motor.resistance",)
    assert nothing.name == "nothing"


def test_every_field_of_a_case_is_asked_for_by_something() -> None:
    functions = [*known_checks(), *known_derivations().values()]
    asked = {name for f in functions for name in f.signature.names}
    asked |= {c.limit for c in known_checks() if isinstance(c.limit, str)}
    assert set(FIELDS) <= asked


def test_a_value_that_cannot_be_made_is_missing_even_where_no_field_would_help() -> None:
    case = case_of(read(DEMO))
    case._values["screw_solid"] = None
    assert case.missing(["screw_solid"]) == ("a screw of our own shape, not screw.shape",)
    case._values["turns"] = None
    assert case.missing(["turns"]) == ("what gives turns",)
    assert {r.id: r for r in run_checks(case)}["mass.screw"].verdict == "NOT CHECKED"


def test_no_two_inputs_of_a_row_share_their_bare_name() -> None:
    for known in known_checks():
        names = [bare(name) for name in known.signature.names]
        assert len(names) == len(set(names)), known.id

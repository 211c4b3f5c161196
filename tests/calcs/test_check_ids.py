"""What [limits] and [[accepted]] say of checks: every wrong word is told when the file is read."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from calcs.check_ids import did_you_mean, read_design, wrong_ids
from geometry.design_rules import Clash
from geometry.design_sections import Accepted, Limit
from geometry.errors import InputError
from geometry.units import Measure

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"


def replaced(value: float, unit: str) -> Limit:
    return Limit.model_construct(limit=Measure(value, unit), reason="bench test 12")


def accepted(check: str) -> Accepted:
    return Accepted.model_construct(check=check, evidence="held for 48 h")


def wrong(*, limits: dict[str, Limit] | None = None, rows: tuple[Accepted, ...] = ()) -> list[Clash]:
    return list(wrong_ids({"limits": limits or {}, "accepted": rows}, {}))


def test_known_checks_with_limits_in_their_units_are_not_wrong() -> None:
    limits = {"drive.holding": replaced(1.2, ""), "motor.winding": replaced(80.0, "degC")}
    assert wrong(limits=limits, rows=(accepted("life.wear"),)) == []


def test_each_unknown_check_is_told_where_it_stands() -> None:
    found = wrong(
        limits={"drive.holdin": replaced(1.0, "")}, rows=(accepted("life.wear"), accepted("zzz.yyy"))
    )
    assert found == [
        Clash("limits.drive.holdin", "no check is called drive.holdin", "did you mean drive.holding?"),
        Clash("accepted[1].check", "no check is called zzz.yyy", "`strokebox known checks` lists them"),
    ]


def test_a_check_that_holds_nothing_against_a_limit_takes_none_in_whatever_unit() -> None:
    (found,) = wrong(limits={"drive.lead_angle": replaced(1.0, "mm")})
    message = "drive.lead_angle holds nothing against a limit"
    assert found == Clash("limits.drive.lead_angle", message, "leave it out")


@pytest.mark.parametrize(
    ("id", "repair"),
    [("travel.stopping", "write it in mm"), ("drive.holding", "write a plain number")],
)
def test_a_limit_in_another_dimension_is_told_with_the_unit_of_the_row(id: str, repair: str) -> None:
    (found,) = wrong(limits={id: replaced(3.0, "N")})
    assert (found.field, found.repair) == (f"limits.{id}.limit", repair)
    assert "N" in found.message


@pytest.mark.parametrize("limit", [0.0, -1.0])
def test_a_limit_that_leaves_no_ratio_is_refused(limit: float) -> None:
    (found,) = wrong(limits={"drive.holding": replaced(limit, "")})
    message = f"a limit of {limit:g} gives no margin: drive.holding is held against a ratio of it"
    assert found == Clash("limits.drive.holding.limit", message, "write a limit above 0")
    below = {"travel.order": replaced(-1.0, "mm"), "motor.winding": replaced(-5.0, "degC")}  # differences
    assert wrong(limits=below) == []


def test_the_nearest_id_is_one_of_the_same_words_in_another_subject() -> None:
    known = {"life.wear", "nut.beat", "motor.winding"}
    assert did_you_mean("nut.wear", known) == "did you mean life.wear?"
    assert did_you_mean("motor.windin", known) == "did you mean motor.winding?"
    assert did_you_mean("zzz", known) == "`strokebox known checks` lists them"


def test_an_id_without_its_subject_is_found_too() -> None:
    assert did_you_mean("holding", {"drive.holding", "life.wear"}) == "did you mean drive.holding?"


def test_a_file_is_read_with_its_unknown_checks_beside_its_other_problems(tmp_path: Path) -> None:
    file = tmp_path / "lift.toml"
    text = DEMO.read_text(encoding="utf-8").replace('thread = "Tr8x1.5"', 'thread = "Tr8x1.6"')
    file.write_text(
        f'{text}\n[limits]\n"drive.holdin" = {{ limit = 1.2, reason = "x" }}\n'
        '[[accepted]]\ncheck = "nut.wear"\nevidence = "replaced each year"\n',
        encoding="utf-8",
    )
    with pytest.raises(InputError) as error:
        read_design(file)
    last = text.count("\n")
    assert [(p.field, p.line - last) for p in error.value.problems if p.line > last] == [
        ("limits.drive.holdin", 3),
        ("accepted[0].check", 5),
    ]
    assert "screw.thread" in {p.field for p in error.value.problems}


def test_a_design_that_speaks_of_no_check_loads_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["calcs.check_ids"], "known_checks", None)
    assert wrong() == []

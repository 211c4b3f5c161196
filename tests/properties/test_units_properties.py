"""Whatever is typed, a quantity is either read as the number it says or refused with a repair."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry import units
from geometry.errors import InputError
from geometry.unit_table import factors
from geometry.units import KINDS

NUMBERS = st.floats(-1e9, 1e9, allow_nan=False).filter(lambda x: x == 0 or abs(x) > 1e-9)
WITH_UNIT = sorted(kind for kind in KINDS if KINDS[kind].unit)
UNIT_NAMES = [spelling for _, spellings, _ in units.known_units() for spelling in spellings]


@given(NUMBERS, st.sampled_from(WITH_UNIT))
def test_a_number_in_the_kinds_own_unit_comes_back_unchanged(number: float, kind: str) -> None:
    assert units.quantity(f"{number!r} {KINDS[kind].unit}", kind) == number


@given(NUMBERS, st.sampled_from(WITH_UNIT))
def test_there_and_back_is_the_same_number(number: float, kind: str) -> None:
    typed, kept = KINDS[kind].typed_unit, KINDS[kind].unit
    there = units.convert(number, typed, kept)
    assert math.isclose(units.convert(there, kept, typed), number, rel_tol=1e-12, abs_tol=1e-9)


@given(NUMBERS, NUMBERS)
def test_a_range_is_read_low_first_or_refused_with_itself_turned_round(one: float, other: float) -> None:
    text = f"{one!r}..{other!r} mm"
    if one <= other:
        assert units.span(text, "length") == (one, other)
        assert units.band(text, "length").low == one
        return
    with pytest.raises(InputError) as caught:
        units.span(text, "length")
    repair = caught.value.problems[0].repair.removeprefix("write ").strip('"')
    assert units.span(repair, "length") == (other, one)


@given(st.sampled_from(UNIT_NAMES), st.sampled_from(UNIT_NAMES), st.sampled_from("*/"))
def test_a_unit_is_read_as_pint_reads_it(one: str, other: str, sign: str) -> None:
    names = dict.fromkeys(("degree_Celsius", "degC", "degree_Fahrenheit", "degF"))
    assume(one not in names and other not in names)
    registry = units._registry()
    left, right = registry.Quantity(3, registry.Unit(one)), registry.Quantity(1, registry.Unit(other))
    expected = left * right if sign == "*" else left / right
    fitting = [kind for kind in WITH_UNIT if units._fits(factors(f"{one}{sign}{other}"), kind)]
    for kind in fitting:
        value = units.quantity(f"3 {one}{sign}{other}", kind)
        target = units.Q(f"1 {KINDS[kind].unit}").units
        assert math.isclose(value, expected.to(target).magnitude, rel_tol=1e-12)


@settings(max_examples=300)
@given(st.text("0123456789.,-+±/*^ eEnaimNgs·²°µ()[]'\"\n", max_size=24), st.sampled_from(sorted(KINDS)))
def test_any_text_is_a_finite_number_or_a_refusal_with_a_repair(text: str, kind: str) -> None:
    repairs: list[str] = []
    for read in (units.quantity, units.span, units.band, units.toleranced):
        try:
            found = read(text, kind)
        except InputError as error:
            repairs += [problem.repair for problem in error.problems]
            continue
        numbers = found if isinstance(found, tuple) else (found,)
        assert all(number is None or math.isfinite(number) for number in numbers)
    assert all(repair.startswith("write ") for repair in repairs)

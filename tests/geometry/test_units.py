import math
import subprocess
import sys
from itertools import pairwise

import pytest

from geometry import units
from geometry.errors import InputError
from geometry.unit_table import factors, product
from geometry.units import KINDS, Band, Measure, Span, Toleranced


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("25 mm/s", "speed", 25.0),
        ("1 inch/s", "speed", 25.4),
        ("1in/s", "speed", 25.4),
        ("  -24 mm ", "length", -24.0),
        ("−24 mm", "length", -24.0),  # the typographic minus
        ("1.5e-3 m", "length", 1.5),
        ("12 µm", "length", 0.012),  # U+00B5
        ("12 μm", "length", 0.012),  # U+03BC
        ("1 ft", "length", 304.8),
        ("250 mm/s^2", "acceleration", 250.0),
        ("0.25 m/s²", "acceleration", 250.0),
        ("1 cm³", "volume", 1000.0),
        ("1 rpm", "rotation", math.pi / 30),
        ("1 rev/s", "rotation", 2 * math.pi),
        ("90 °", "angle", 90.0),
        ("30 arcmin", "angle", 0.5),
        ("60 mN·m", "torque", 0.06),
        ("60 mN m", "torque", 0.06),
        ("11.4 mN*m/A", "torque_constant", 0.0114),
        ("11.4 mV*s/rad", "torque_constant", 0.0114),
        ("1.0 g·cm²", "inertia", 1e-7),
        ("1 lbf", "force", 4.4482216152605),
        ("200 N/mm", "stiffness", 200_000.0),
        ("5 MPa", "pressure", 5e6),
        ("5 N/mm²", "pressure", 5e6),
        ("0.1 MPa*m/s", "pv", 1e5),
        ("1e-15 m2/N", "wear", 1e-15),
        ("9.5 Ω", "resistance", 9.5),  # Greek capital omega
        ("9.5 \N{OHM SIGN}", "resistance", 9.5),
        ("35 °C", "temperature", 35.0),
        ("77 degF", "temperature", 25.0),
        ("298.15 K", "temperature", 25.0),
        ("0.15", "number", 0.15),
        (3, "number", 3.0),
    ],
)
def test_reads_a_quantity_into_its_kinds_unit(text: object, kind: str, value: float) -> None:
    assert units.quantity(text, kind) == pytest.approx(value, rel=1e-13)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_reads_its_own_example(kind: str) -> None:
    assert units.quantity(KINDS[kind].example, kind) > 0


@pytest.mark.parametrize(
    ("text", "kind", "said", "repair"),
    [
        ("1,5 mm", "length", "decimal comma", 'write "1.5 mm"'),
        ("1,000 mm", "length", "decimal comma", 'write "1.000 mm" or "1000 mm"'),
        ("1 1/8 in", "length", "fraction", 'write "1.125 in"'),
        ("1/4 in", "length", "fraction", 'write "0.25 in"'),
        ("1/0 in", "length", "not one number", 'write "20 mm"'),
        ("mm", "length", "does not start with a number", 'write "20 mm"'),
        ("", "length", "does not start with a number", 'write "20 mm"'),
        ("nan mm", "length", "not a finite number", 'write "20 mm"'),
        ("inf", "length", "not a finite number", 'write "20 mm"'),
        ("1e999 mm", "length", "not a finite number", 'write "20 mm"'),
        (math.nan, "number", "not a finite number", "write 0.15"),
        (10**400, "number", "not a finite number", "write 0.15"),
        (10**400, "length", "not a finite number", 'write "20 mm"'),
        ("1e40 mm", "length", "beyond any size", 'write "20 mm"'),
        ("1e-40 mm", "length", "beyond any size", 'write "20 mm"'),
        ("٣ mm", "length", "does not start with a number", 'write "20 mm"'),
        ("9**9**8 mm", "length", "not one number with one unit", 'write "20 mm"'),
        ("__import__('os') mm", "length", "does not start with a number", 'write "20 mm"'),
        ("1 mm; 2 mm", "length", "not one number with one unit", 'write "20 mm"'),
        ("1" * 200 + " mm", "length", "a text of 203 characters", 'write "20 mm"'),
        ("25", "speed", "has no unit, a speed is expected", 'write "25 mm/s"'),
        (25, "speed", "25 has no unit, a speed is expected", 'write "25 mm/s"'),
        (True, "length", "not a quantity", 'write "20 mm"'),
        ("25 mm", "speed", "is a length, a speed is expected", 'write "25 mm/s"'),
        ("12 mJ", "torque", "is an energy, a torque is expected", 'write "60 mN*m"'),
        ("5 N*m/rad", "torque", "is a torsional stiffness, a torque", 'write "60 mN*m"'),
        ("0.45 kg", "force", "is a mass (it weighs 4.413 N), a force is expected", 'write "8 N"'),
        ("50 Hz", "rotation", "is a frequency", 'write "4000 rpm"'),
        ("4000 rpm", "frequency", "is a speed of rotation", 'write "50 Hz"'),
        ("3 kg*A", "force", "is of another dimension", 'write "8 N"'),
        ("8 K/degC", "thermal_resistance", "multiplies or divides a temperature", "write K for a difference"),
        ("25 MM", "length", 'the unit "MM" is not known', 'write "25 mm"'),
        ("25 mmm/s", "speed", 'the unit "mmm" is not known', 'write "25 mm/s"'),
        ("25 furlong", "length", 'the unit "furlong" is not known', "write one of `strokebox known units`"),
        ("0.5 mm", "number", "has a unit, a plain number is expected", "write 0.5"),
        ("85 %", "number", "is a percentage", "write 0.85"),
        ("0..4 mm", "length", "is a range, one value is expected", 'write "20 mm"'),
    ],
)
def test_refuses_and_says_what_to_write(text: object, kind: str, said: str, repair: str) -> None:
    with pytest.raises(InputError) as caught:
        units.quantity(text, kind)
    (problem,) = caught.value.problems
    assert said in problem.message
    assert problem.repair == repair


def test_reads_ranges() -> None:
    assert units.span("-24..24 mm", "length") == Span(-24.0, 24.0)
    assert units.span("-1.5 .. 61.5 mm", "length") == Span(-1.5, 61.5)
    assert units.span("5..35 °C", "temperature") == Span(5.0, 35.0)
    assert units.span("1e-15..1e-14 m2/N", "wear") == Span(1e-15, 1e-14)


@pytest.mark.parametrize(
    ("text", "said", "repair"),
    [
        ("4..0 mm", "runs backwards", 'write "0..4 mm"'),
        ("4 mm", "is one value, a range is expected", 'write "0..20 mm"'),
        ("-4..64", "has no unit", 'write "-4..64 mm"'),
        ("-4 mm..64 mm", "has a unit on both ends", 'write "-4..64 mm"'),
        ("5-35 mm", "is not a range", 'write "5..35 mm"'),
        ("5 to 35 mm", "is not a range", 'write "5..35 mm"'),
        ("0..4 kg", "is a mass, a length is expected", 'write "20 mm"'),
    ],
)
def test_refuses_what_is_no_range(text: str, said: str, repair: str) -> None:
    with pytest.raises(InputError) as caught:
        units.span(text, "length")
    (problem,) = caught.value.problems
    assert said in problem.message
    assert problem.repair == repair


def test_a_band_of_two_values_has_its_nominal_in_the_middle() -> None:
    assert units.band("0.08..0.20", "number") == Band(0.08, 0.14, 0.2)
    assert units.band("0.08..0.15..0.20", "number") == Band(0.08, 0.15, 0.2)
    assert units.band("10.8..12..13.2 V", "voltage") == Band(10.8, 12.0, 13.2)
    assert units.band(0.01, "number") == Band(0.01, 0.01, 0.01)
    with pytest.raises(InputError, match="not in the order"):
        units.band("0.08..0.25..0.20", "number")


@pytest.mark.parametrize(
    ("text", "upper", "lower"),
    [
        ("20 +-0.1 mm", 0.1, -0.1),
        ("20 ±0.1 mm", 0.1, -0.1),
        ("20 +/-0.1 mm", 0.1, -0.1),
        ("20 +0.1/-0.2 mm", 0.1, -0.2),
        ("20 +0.2/+0.1 mm", 0.2, 0.1),
        ("20 0/-0.1 mm", 0.0, -0.1),
        ("2 ±0.01 cm", 0.1, -0.1),
        ("20 mm", None, None),
    ],
)
def test_reads_tolerances(text: str, upper: float | None, lower: float | None) -> None:
    assert units.toleranced(text, "length") == Toleranced(20.0, upper, lower)


@pytest.mark.parametrize("text", ["20 -0.1/+0.1 mm", "20 +--0.1 mm", "20 +-0.1 kg", "20 +- mm"])
def test_refuses_what_is_no_tolerance(text: str) -> None:
    with pytest.raises(InputError):
        units.toleranced(text, "length")


def test_a_temperatures_deviation_is_a_difference() -> None:
    assert units.toleranced("298.15 +-5 K", "temperature") == Toleranced(25.0, 5.0, -5.0)


def test_a_measure_keeps_its_unit() -> None:
    assert units.measure(1.3) == Measure(1.3, "")
    assert units.measure("0.4 mN·m") == Measure(0.4, "mN*m")
    with pytest.raises(InputError, match="not known"):
        units.measure("0.4 foo")


def test_converts_between_known_units() -> None:
    assert units.convert(1, "inch", "mm") == 25.4
    assert units.convert(25.4, "mm", "in") == 1.0
    assert units.convert(100, "degC", "degF") == pytest.approx(212, rel=1e-12)
    assert units.convert(0.3, "", "") == 0.3
    for bad in (("mm", "kg"), ("mm", "foo"), ("mm", "")):
        with pytest.raises(InputError):
            units.convert(1, *bad)


def test_conversions_leave_no_dust() -> None:
    assert units.quantity("11.4 mN*m", "torque") == 0.0114
    assert units.quantity("2.536 g*cm2", "inertia") == 2.536e-7


def test_our_definitions_agree_with_pints_own_units() -> None:
    import pint

    full = pint.UnitRegistry()
    ours = {"revolutions_per_minute": "revolution / minute"}
    for name, _, _ in units.known_units():
        theirs = full.Quantity(1, ours.get(name, name)).to_base_units()
        mine = units.Q(f"1 {name}").to_base_units()
        assert mine.magnitude == pytest.approx(theirs.to(str(mine.units)).magnitude, rel=1e-12), name


def test_pint_reads_our_definitions_as_we_do() -> None:
    for name, spellings, _ in units.known_units():
        unit = product(factors(name))
        base = units.Q(f"1 {spellings[-1]}").to_base_units()
        assert unit.factor + unit.offset == pytest.approx(base.magnitude, rel=1e-14), name
        powers = dict(base.dimensionality)
        order = ("[length]", "[mass]", "[time]", "[current]", "[temperature]")
        assert unit.dimension == tuple(powers.pop(one, 0) for one in order), name
        assert not powers, name


def test_known_units_name_what_they_measure() -> None:
    known = {name: (spellings, measures) for name, spellings, measures in units.known_units()}
    assert known["millimeter"] == (("millimeter", "mm"), "a length")
    assert known["joule"][1] == "an energy"
    assert known["newton"][1] == "a force"
    assert known["revolutions_per_minute"][1] == "a speed of rotation"
    assert {measures for _, measures in known.values()} <= {kind.noun for kind in KINDS.values()}


def test_a_quantity_at_a_prompt() -> None:
    assert units.Q("25 mm/s").to("m/s").magnitude == pytest.approx(0.025)
    assert units.Q("0.3").dimensionless
    with pytest.raises(InputError):
        units.Q("1,5 mm")


def test_reading_a_quantity_needs_no_pint() -> None:
    code = "import sys, geometry.units as u; u.quantity('1 N', 'force'); assert 'pint' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True)


def test_the_spellings_are_unique() -> None:
    spellings = sorted(spelling for _, names, _ in units.known_units() for spelling in names)
    assert all(one != other for one, other in pairwise(spellings))

"""What a person types at a bench; conversions against pint (an independent table of units)."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import AmbiguousNumber, UnitDoesNotFit, UnknownUnit, WrongEntry
from lees.quantity.entry import DecimalSign, Qualifier, parse_entry, parse_number
from lees.quantity.units import convert, symbols, unit

TYPED = [
    ("0.38 mm", "length", 0.38, "mm"),
    (".38mm", "length", 0.38, "mm"),
    ("52 1/2 in", "length", 1333.5, "mm"),
    ('52-1/2"', "length", 1333.5, "mm"),
    ("52½ in", "length", 1333.5, "mm"),
    ("1/2 in", "length", 12.7, "mm"),
    ("2' 3 1/4\"", "length", 27.25 * 25.4, "mm"),
    ("2 ft 3 in", "length", 27 * 25.4, "mm"),
    ("15 thou", "length", 0.381, "mm"),
    ("15 mil", "length", 0.381, "mm"),
    ("−0.02 mm", "length", -0.02, "mm"),
    ("12 840 mi", "length", 12840 * 1.609344, "km"),
    ("12,840.5 mi", "length", 12840.5 * 1.609344, "km"),
    ("1 569 ppm", "content", 1569, "mg/kg"),
    ("1'569 ppm", "content", 1569, "mg/kg"),
    ("1.569,5 mg/kg", "content", 1569.5, "mg/kg"),
    ("1,569.5 mg/kg", "content", 1569.5, "mg/kg"),
    ("1,234,567 ppm", "content", 1234567, "mg/kg"),
    ("0,123 %", "content", 1230, "mg/kg"),
    ("7,9 mm²/s", "kinematic_viscosity", 7.9, "mm²/s"),
    ("10.4 cSt", "kinematic_viscosity", 10.4, "mm²/s"),
    ("395 F", "temperature", (395 - 32) * 5 / 9, "°C"),
    ("201.7 °C", "temperature", 201.7, "°C"),
    ("8.4 mg KOH/g", "base_or_acid_number", 8.4, "mgKOH/g"),
    ("0.5 qt", "volume", 0.473176473, "L"),
    ("402 h", "time", 402, "h"),
    ("1.2e3 km", "length", 1200, "km"),
    ("12 psi", "pressure", 82.7371, "kPa"),
]


@pytest.mark.parametrize(("text", "kind", "value", "shown"), TYPED)
def test_entries_are_understood_exactly_and_kept(text, kind, value, shown):
    entry = parse_entry(text, kind)
    assert entry.to(shown) == pytest.approx(value, rel=1e-6)
    assert entry.text == text


@pytest.mark.parametrize(
    ("text", "qualifier", "value"),
    [
        ("<1 ppm", Qualifier.BELOW, 1),
        ("< 1 ppm", Qualifier.BELOW, 1),
        ("> 2.0 %", Qualifier.ABOVE, 2),
        ("trace", Qualifier.TRACE, 0),
        ("nil", Qualifier.ABSENT, 0),
    ],
)
def test_qualifiers(text, qualifier, value):
    entry = parse_entry(text, "content")
    assert (entry.qualifier, entry.value) == (qualifier, value)


def test_an_ambiguous_number_is_asked_about_unless_the_sign_is_declared():
    with pytest.raises(AmbiguousNumber, match=r"1234 or 1\.234"):
        parse_entry("1,234 ppm", "content")
    assert parse_entry("1,234 ppm", "content", decimal=DecimalSign.POINT).value == 1234
    assert parse_entry("1,234 ppm", "content", decimal=DecimalSign.COMMA).value == 1.234
    assert parse_entry("1.234 mm", "length", decimal=DecimalSign.COMMA).value == 1234
    assert parse_entry("1.234 mm", "length").value == 1.234


@pytest.mark.parametrize(
    ("text", "kind", "error"),
    [
        ("", "length", WrongEntry),
        ("wide", "length", WrongEntry),
        ("12", "length", UnitDoesNotFit),
        ("12 h", "length", UnitDoesNotFit),
        ("12 furlongs", "length", UnknownUnit),
        ("1,23,4 ppm", "content", WrongEntry),
        ("1.2.3,4.5 ppm", "content", WrongEntry),
        ("1/0 in", "length", WrongEntry),
        ("5\x1b[31m mm", "length", WrongEntry),
        ("9" * 80 + " mm", "length", WrongEntry),
        ("2' 3 kg", "length", WrongEntry),
        ("1..2 mm", "length", WrongEntry),
    ],
)
def test_nonsense_gets_one_clear_line(text, kind, error):
    with pytest.raises(error) as caught:
        parse_entry(text, kind)
    assert "\n" not in str(caught.value)
    assert str(caught.value).isprintable()


def test_a_default_unit_serves_an_entry_without_one():
    assert parse_entry(".38", "length", default="mm").to("mm") == 0.38


def test_a_laboratory_day_of_conversions_agrees_with_pint():
    registry = pint.UnitRegistry()
    pairs = [
        ("in", "mm", "inch", "millimeter"),
        ("mi", "km", "mile", "kilometer"),
        ("nmi", "km", "nautical_mile", "kilometer"),
        ("qt", "L", "quart", "liter"),
        ("gal", "L", "gallon", "liter"),
        ("imp gal", "L", "imperial_gallon", "liter"),
        ("fl oz", "mL", "fluid_ounce", "milliliter"),
        ("oz", "g", "ounce", "gram"),
        ("psi", "kPa", "psi", "kilopascal"),
        ("bar", "psi", "bar", "psi"),
        ("mPa·s", "Pa·s", "millipascal * second", "pascal * second"),
        ("months", "h", "month", "hour"),
    ]
    for ours, to, theirs, theirs_to in pairs:
        expected = registry.Quantity(7.3, theirs).to(theirs_to).magnitude
        assert convert(7.3, ours, to) == pytest.approx(expected, rel=1e-6), ours
    assert convert(210, "°F", "°C") == pytest.approx(98.8889, abs=5e-5)


@given(st.decimals(-10000, 10000, places=3), st.sampled_from([".", ","]))
def test_a_number_written_out_is_read_back_exactly(number, mark):
    text = f"{number:.4f}".replace(".", mark)
    assert float(parse_number(text).value) == float(text.replace(",", "."))


@given(st.integers(1000, 10**9), st.sampled_from(" '\u202f\u00a0"))
def test_groups_of_three_are_read_back_exactly(number, group):
    text = f"{number:,}".replace(",", group)
    assert parse_number(text).value == number


@given(st.text(max_size=70))
def test_no_text_gives_anything_but_a_number_or_a_line(text):
    try:
        entry = parse_entry(text, "length", default="mm")
    except WrongEntry as error:
        shown = str(error)
    else:
        shown = str(entry.value)
        assert math.isfinite(entry.value)
    assert shown.isprintable()


@given(st.sampled_from(["length", "volume", "temperature", "content", "pressure"]), st.data())
def test_conversion_there_and_back_changes_nothing(kind, data):
    one = data.draw(st.sampled_from(symbols(kind)))
    other = data.draw(st.sampled_from(symbols(kind)))
    value = data.draw(st.floats(-1e6, 1e6))
    assert convert(convert(value, one, other), other, one) == pytest.approx(value, abs=1e-6)
    assert unit(one).dimension.name == kind

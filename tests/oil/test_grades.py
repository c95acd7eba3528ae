"""SAE J300: limits, bands that overlap, and the probability of being in grade."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import OutOfRange, UnitDoesNotFit, WrongEntry
from lees.oil.grades import bands, grade, kv100_from_seconds, probability_in_grade
from lees.oil.precision import Laboratory, precision, standard_uncertainty
from lees.quantity.measured import Measured


@pytest.mark.parametrize(
    ("kv100", "expected"),
    [
        (12.49, ("30",)),
        (12.50, ("40",)),
        (16.30, ("50",)),
        (7.0, ("12", "16", "20")),
        (8.2, ("20",)),
        (26.1, ()),
        (3.9, ()),
        (5.0, ("8", "12")),
        (6.1, ("12", "16")),
        (6.9, ("12", "16", "20")),
    ],
)
def test_bands(kv100, expected):
    assert bands(kv100) == expected


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("5W-30", "5W-30"),
        ("5w30", "5W-30"),
        ("SAE 10W/40", "10W-40"),
        ("0W–16", "0W-16"),
        (" SAE 50 ", "50"),
        ("30", "30"),
        ("25W", "25W"),
        ("SAE-5W-30", "5W-30"),
    ],
)
def test_spellings(written, name):
    assert grade(written).name == name


@pytest.mark.parametrize(
    "written", ["", "7W-30", "5W-35", "75W-90", "80", "abc", "5W-30-40", "W30", "25W-20", "25W-8"]
)
def test_what_is_no_grade_is_refused(written):
    with pytest.raises(WrongEntry, match="J300"):
        grade(written)


def test_a_multigrade_keeps_the_higher_of_both_lower_limits():
    assert grade("25W-30").kv100_min_mm2_s == 9.3
    assert grade("15W-8").kv100_min_mm2_s == 5.6
    assert grade("0W-8").kv100_min_mm2_s == 4.0
    assert grade("5W").kv100_max_mm2_s is None
    assert grade("5W-30").winter.cranking_max_mpa_s == 6600
    assert "2015" in grade("5W-30").edition


def test_a_used_oil_below_its_grade_is_named_by_its_band():
    kv100 = standard_uncertainty(precision("kv100", "D445", 9.1, "mm²/s"), Laboratory.DIFFERENT)
    found = probability_in_grade(kv100, grade("5W-30"))
    assert found.bands == ("20",)
    assert found.below > 0.99
    assert found.below == pytest.approx(
        0.5 * math.erfc(-(9.3 - 9.1) / (0.003361 * 9.1**1.4633 / 2.77) / math.sqrt(2))
    )


@given(st.floats(3, 30), st.floats(0, 3), st.sampled_from(["0W-20", "5W-30", "15W-40", "5W"]))
def test_the_probabilities_add_up_to_one(value, uncertainty, name):
    found = probability_in_grade(Measured(value, uncertainty, "mm²/s", "drawn"), grade(name))
    assert found.below + found.within + found.above == pytest.approx(1)
    assert min(found.below, found.within, found.above) >= 0


def test_on_the_limit_it_is_even_and_a_sure_result_is_sure():
    on_it = probability_in_grade(Measured(12.5, 0.1, "mm²/s", "x"), grade("40"))
    assert on_it.below == pytest.approx(0.5)
    sure = probability_in_grade(Measured(12.5, 0.0, "mm²/s", "x"), grade("30"))
    assert (sure.below, sure.within, sure.above) == (0.0, 0.0, 1.0)


def test_few_degrees_of_freedom_widen():
    wide = probability_in_grade(Measured(9.4, 0.06, "mm²/s", "x", 3), grade("5W-30"))
    narrow = probability_in_grade(Measured(9.4, 0.06, "mm²/s", "x"), grade("5W-30"))
    assert wide.below > narrow.below


def test_by_saybolt_seconds_at_210_f():
    found = kv100_from_seconds(Measured(60.0, 0.2, "SUS", "x"), viscosity_index=160)
    # 60 s at 210 °F are 10.2185 mm²/s there, and less at 100 °C.
    assert 9.9 < found.value < 10.05
    # The time rises by about 3.6 s for each mm²/s there.
    assert found.uncertainty == pytest.approx(0.2 / 3.6, rel=0.03)
    assert probability_in_grade(found, grade("5W-30")).within > 0.99


def test_bad_input():
    with pytest.raises(OutOfRange):
        bands(math.nan)
    with pytest.raises(OutOfRange):
        probability_in_grade(Measured(-1, 0.1, "mm²/s", "x"), grade("30"))
    with pytest.raises(UnitDoesNotFit):
        probability_in_grade(Measured(10, 0.1, "SUS", "x"), grade("30"))

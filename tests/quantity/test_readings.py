"""Readings against published worked values: JCGM 100, NIST e-Handbook 1.3.5.17.1."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import OutOfRange
from lees.quantity.measured import Measured
from lees.quantity.readings import (
    Doubt,
    Instrument,
    Plausible,
    common_shift,
    farthest_reading,
    grubbs_critical,
    measure,
)

CALIPER = Instrument("caliper", "mm", 0.01, 0.02, zero=0.0)
# NIST/SEMATECH e-Handbook, 1.3.5.17.1: uranium isotope readings, outlier 245.57.
NIST_READINGS = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]


def doubts(measurement):
    return [remark.doubt for remark in measurement.remarks]


def test_the_value_and_budget_of_five_readings():
    # JCGM 100, 4.2.3, 4.3.7, F.2.2.1, G.4.1, worked by hand; a zero reading adds its resolution.
    result = measure("diameter", [10.02, 10.00, 10.03, 10.01, 10.02], CALIPER)
    assert result.value.value == pytest.approx(10.016, abs=1e-12)
    parts = {part.name: part.uncertainty for part in result.budget.components}
    assert parts["scatter of the readings"] == pytest.approx(0.0050990, abs=5e-8)
    assert parts["resolution of the instrument"] == pytest.approx(0.0028868, abs=5e-8)
    expected = math.hypot(0.005099019514, 0.0028867513, 0.02 / math.sqrt(3), 0.0028867513)
    assert result.value.uncertainty == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize(("zero", "best"), [(0.03, 20.12), (-0.02, 20.17)])
def test_the_zero_is_taken_off_with_its_sign(zero, best):
    # corrected = reading − zero, the classic sign trap (common practice, no source).
    caliper = Instrument("caliper", "mm", 0.01, 0.02, zero=zero)
    assert measure("length", [20.15], caliper).value.value == pytest.approx(best)


def test_grubbs_statistic_of_the_published_example():
    # NIST prints G = 2.4687 and, one-sided at 5 %, a critical value of 2.032 for n = 8.
    assert farthest_reading(NIST_READINGS) == 7
    assert grubbs_critical(8, risk=0.10) == pytest.approx(2.032, abs=5e-4)


def test_a_mistyped_reading_is_asked_about_and_kept():
    result = measure("wall", [0.38, 0.39, 0.83], CALIPER)
    assert Doubt.FAR_FROM_FELLOWS in doubts(result)
    assert result.readings == (0.38, 0.39, 0.83)
    assert result.value.value == pytest.approx((0.38 + 0.39 + 0.83) / 3)


def test_steps_of_the_display_are_no_outliers():
    assert Doubt.FAR_FROM_FELLOWS not in doubts(measure("wall", [0.38, 0.38, 0.38, 0.39], CALIPER))


def test_a_value_outside_the_customary_range_is_asked_about():
    wall = Plausible(0.3, 0.4, "common practice, no source")
    assert Doubt.IMPLAUSIBLE in doubts(measure("wall", [0.81, 0.82], CALIPER, plausible=wall))
    assert Doubt.IMPLAUSIBLE not in doubts(measure("wall", [0.38, 0.37], CALIPER, plausible=wall))


def test_a_caliper_that_nobody_zeroed_says_so():
    caliper = Instrument("caliper", "mm", 0.01, 0.02)
    assert Doubt.ZERO_UNKNOWN in doubts(measure("wall", [0.38, 0.38], caliper))


def test_no_reading_and_no_number_are_refused():
    with pytest.raises(OutOfRange, match="The number of readings of wall is 0"):
        measure("wall", [], CALIPER)
    with pytest.raises(OutOfRange, match="finite"):
        measure("wall", [math.nan], CALIPER)


def off(value, uncertainty):
    return Measured(value, uncertainty, "mm", "test")


def test_quantities_off_by_one_amount_point_to_the_zero():
    found = common_shift([off(0.46, 0.03), off(0.44, 0.05), off(0.47, 0.08)], reach=2)
    assert found is not None
    assert found.shift.value == pytest.approx(0.456, abs=0.01)


def test_quantities_that_disagree_or_agree_with_no_shift_point_to_nothing():
    assert common_shift([off(0.46, 0.03), off(-0.44, 0.05)], reach=2) is None
    assert common_shift([off(0.01, 0.03), off(-0.02, 0.05)], reach=2) is None
    assert common_shift([off(0.46, 0.03)], reach=2) is None


@given(
    st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=20),
    st.floats(-5, 5),
    st.floats(-1e3, 1e3),
)
def test_a_shift_of_readings_and_zero_together_changes_nothing(readings, zero, shift):
    one = measure("x", readings, Instrument("caliper", "mm", 0.01, 0.02, zero=zero))
    other = measure(
        "x",
        [reading + shift for reading in readings],
        Instrument("caliper", "mm", 0.01, 0.02, zero=zero + shift),
    )
    assert other.value.value == pytest.approx(one.value.value, abs=1e-9)


@pytest.mark.parametrize(("reading", "asked"), [(100.47, False), (100.53, True)])
def test_parts_are_uneven_by_half_a_percent(reading, asked):
    measurement = measure("height", [100.00, 100.01, 99.99, 100.00, reading], CALIPER)
    assert (Doubt.FAR_FROM_FELLOWS in doubts(measurement)) is asked


@pytest.mark.parametrize(("mean", "found"), [(0.229, False), (0.240, True)])
def test_a_common_shift_is_ten_times_likelier_than_none(mean, found):
    # Two differences of 0.1 each: 10 lg(√(2π) σ/(2·2)) + 4.343 (m/σ)²/2 with σ = 0.1/√2 is 10 at
    # m = 0.233.
    two = [off(mean, 0.1), off(mean, 0.1)]
    assert (common_shift(two, reach=2) is not None) is found


@pytest.mark.parametrize(("half", "agree"), [(0.177, True), (0.187, False)])
def test_quantities_agree_on_a_shift_unless_chance_is_under_a_hundredth(half, agree):
    # χ² with one degree of freedom is 6.635 at 1 % (tables); here it is 2 (half/0.1)².
    two = [off(1 + half, 0.1), off(1 - half, 0.1)]
    assert (common_shift(two, reach=2) is not None) is agree

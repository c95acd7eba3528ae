"""The decision rules of ISO 4259-2."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import OutOfRange
from lees.oil.decision import ONE_SIDED_95, Side, breach, difference
from lees.oil.precision import Laboratory, precision


def test_iron_12_and_16_differ_in_one_laboratory_but_not_across_two():
    asked = {"unit": "mg/kg", "method": "ASTM D5185"}
    same = difference("Fe", (12, 16), laboratory=Laboratory.SAME, **asked)
    apart = difference("Fe", (12, 16), laboratory=Laboratory.DIFFERENT, **asked)
    assert same.is_real
    assert not apart.is_real
    assert apart.allowed == pytest.approx(4.29, abs=5e-3)


def test_a_viscosity_is_condemned_below_12_42_not_below_12_50():
    at_limit = precision("kv100", "ASTM D445", 12.5, "mm²/s")
    assert at_limit.reproducibility == pytest.approx(0.1354, abs=5e-5)
    assert pytest.approx(0.5939, abs=5e-5) == ONE_SIDED_95
    assert breach(12.45, at_limit, side=Side.MINIMUM).fails is False
    failing = breach(12.41, at_limit, side=Side.MINIMUM)
    assert failing.fails
    assert failing.fails_beyond == pytest.approx(12.42, abs=5e-3)
    assert failing.probability > 0.95


def test_the_difference_that_is_just_allowed_has_a_chance_of_one_in_twenty():
    at_mean = precision("flash", "D92", 220, "°C")
    found = difference("flash", (216, 224), unit="°C", method="D92", laboratory=Laboratory.SAME)
    assert found.allowed == at_mean.repeatability == 8
    assert found.probability_by_chance == pytest.approx(0.05, abs=2e-3)


@given(st.floats(150, 250), st.floats(-60, 60))
def test_minimum_and_maximum_mirror_each_other(limit, past):
    at_limit = precision("flash", "D92", limit, "°C")
    low = breach(limit - past, at_limit, side=Side.MINIMUM)
    high = breach(limit + past, at_limit, side=Side.MAXIMUM)
    assert low.fails == high.fails
    assert low.probability == pytest.approx(high.probability, abs=1e-9)
    assert low.fails == (low.probability > 0.95) or abs(low.probability - 0.95) < 1e-3


def test_bad_input():
    at_limit = precision("flash", "D92", 200, "°C")
    with pytest.raises(OutOfRange):
        breach(math.nan, at_limit, side=Side.MINIMUM)
    with pytest.raises(OutOfRange):
        difference("Fe", (12, -1), unit="mg/kg", method=None, laboratory=Laboratory.SAME)

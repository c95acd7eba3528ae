"""Flash points: blending indices, cups that may not be compared, and known blends."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import NotComparable, OutOfRange, ShapesDiffer
from lees.oil.flash import (
    Cup,
    FlashPoint,
    blend_flash,
    blend_flash_hu_burns,
    effective_flash,
    flash_drop,
    flash_from_index,
    flash_index,
)
from lees.oil.precision import Laboratory


def test_open_and_closed_cup_are_refused_together():
    with pytest.raises(NotComparable, match="open"):
        flash_drop(
            FlashPoint(230, "ASTM D92"),
            FlashPoint(190, "EN ISO 2719:2016"),
            laboratory=Laboratory.SAME,
        )


def test_an_unknown_cup_is_said():
    found = flash_drop(FlashPoint(230, "D92"), FlashPoint(190), laboratory=Laboratory.DIFFERENT)
    assert found.cup is Cup.OPEN
    assert found.warnings[0].startswith("Only one flash point's cup is known")
    neither = flash_drop(FlashPoint(230), FlashPoint(190), laboratory=Laboratory.SAME)
    assert neither.cup is None
    assert neither.warnings[0].startswith("Neither")


def test_the_drop_carries_both_uncertainties():
    found = flash_drop(
        FlashPoint(230, cup=Cup.OPEN), FlashPoint(195, "D92"), laboratory=Laboratory.DIFFERENT
    )
    assert found.drop.value == 35
    assert found.drop.uncertainty == pytest.approx(18 / 2.77 * math.sqrt(2))
    assert not found.warnings


@given(st.floats(-50, 350))
def test_the_index_comes_back(flash):
    assert float(flash_from_index(flash_index(flash))) == pytest.approx(flash, abs=1e-8)


@given(st.floats(-40, 120), st.floats(-40, 120), st.floats(0, 1))
def test_a_blend_flashes_between_its_parts(first, second, share):
    for rule in (blend_flash, blend_flash_hu_burns):
        blend = float(rule([first, second], [share, 1 - share]))
        assert min(first, second) - 1e-6 <= blend <= max(first, second) + 1e-6


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 1))
def test_hu_burns_is_the_same_in_kelvin_and_in_rankine(first, second, share):
    power = 1 / -0.06

    def in_rankine(celsius):
        return (celsius + 273.15) * 1.8

    summed = share * in_rankine(first) ** power + (1 - share) * in_rankine(second) ** power
    expected = summed**-0.06 / 1.8 - 273.15
    ours = float(blend_flash_hu_burns([first, second], [share, 1 - share]))
    assert ours == pytest.approx(expected, abs=1e-8)


def test_the_plain_rule_is_absurd_for_fuel_in_oil_and_the_effective_flash_is_not():
    assert float(blend_flash([-43, 230], [0.02, 0.98])) == pytest.approx(-14.5, abs=0.05)
    # Published: 5 % by mass of petrol brings the oil to about 150 °C, not below zero.
    effective = effective_flash(230, 150, 0.0573)
    assert float(blend_flash([effective, 230], [0.0573, 0.9427])) == pytest.approx(150, abs=1e-6)
    assert effective > 80


def test_bad_input():
    for bad in (math.nan, math.inf, 900.0):
        with pytest.raises(OutOfRange):
            flash_index(bad)
        with pytest.raises(OutOfRange):
            flash_drop(FlashPoint(bad, "D92"), FlashPoint(190, "D92"), laboratory=Laboratory.SAME)
    with pytest.raises(ShapesDiffer):
        blend_flash([40, 50], [1.0])
    with pytest.raises(OutOfRange, match="sum of the shares"):
        blend_flash_hu_burns([40, 50], [0.6, 0.6])
    with pytest.raises(OutOfRange):
        effective_flash(150, 160, 0.05)
    with pytest.raises(OutOfRange):
        flash_from_index(0.0)

"""A value is written to two digits of its uncertainty (JCGM 100, 7.2.6), and its doubt is a doubt."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import OutOfRange
from lees.quantity.measured import Measured, rounded, significant


@pytest.mark.parametrize(
    ("value", "doubt", "shown"),
    [
        (2060.0, 303.0, "2060 ± 300 mm"),
        (9312.4, 1234.0, "9300 ± 1200 mm"),
        (1.23456, 0.0996, "1.23 ± 0.10 mm"),
        (40.0, 9.97, "40 ± 10 mm"),
        (-8.04, 1.72, "-8.0 ± 1.7 mm"),
        (10.0, 0.0, "10 ± 0 mm"),
    ],
)
def test_two_digits_of_doubt_and_no_more(value: float, doubt: float, shown: str) -> None:
    assert str(Measured(value, doubt, "mm", "made up")) == shown


@given(st.floats(1e-12, 1e12))
def test_what_is_written_is_within_half_of_the_second_digit(doubt: float) -> None:
    text = significant(doubt)
    assert float(text) == pytest.approx(doubt, rel=0.05)
    assert len(text.replace(".", "").strip("0")) <= 2
    assert abs(float(rounded(123.456, doubt)) - 123.456) <= 0.051 * doubt


@pytest.mark.parametrize("freedom", [0, -3, math.nan])
def test_degrees_of_freedom_are_above_zero(freedom: float) -> None:
    with pytest.raises(OutOfRange, match="freedom"):
        Measured(1.0, 0.1, "mm", "made up", freedom)

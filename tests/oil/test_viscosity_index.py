"""ASTM D2270 against its printed examples and the table of `chemicals`."""

import math

import numpy as np
import pytest
from chemicals.viscosity import VI_Hs, VI_Ls, VI_nus
from chemicals.viscosity import viscosity_index as reference
from hypothesis import assume, given
from hypothesis import strategies as st

from lees.errors import OutOfRange, ShapesDiffer
from lees.oil.viscosity_index import (
    kv40_for_viscosity_index,
    reported_index,
    viscosity_index,
    viscosity_index_by_polynomials,
)
from lees.quantity.data import rows


@given(st.floats(2, 200), st.floats(1.5, 30))
def test_agrees_with_chemicals(kv100, ratio):
    assume(kv100 != 70)  # the standard still reads its table at 70, chemicals its equations
    kv40 = kv100 * ratio
    ours = float(viscosity_index(kv40, kv100))
    assert ours == pytest.approx(reference(kv40 * 1e-6, kv100 * 1e-6), rel=1e-9, abs=1e-7)


def test_the_table_is_that_of_chemicals():
    table = rows("oil", "d2270_table1")
    assert [float(row["kv100_mm2_s"]) for row in table] == list(VI_nus)
    assert [float(row["l_mm2_s"]) for row in table] == list(VI_Ls)
    assert [float(row["h_mm2_s"]) for row in table] == list(VI_Hs)


@given(st.floats(2, 70), st.floats(0, 200))
def test_polynomials_stay_within_half_a_unit_of_the_table(kv100, index):
    kv40 = kv40_for_viscosity_index(index, kv100)
    table, fitted = viscosity_index(kv40, kv100), viscosity_index_by_polynomials(kv40, kv100)
    assert float(fitted) == pytest.approx(float(table), abs=0.4)


@given(st.floats(3, 60), st.floats(0, 300))
def test_the_inverse_comes_back(kv100, index):
    kv40 = kv40_for_viscosity_index(index, kv100)
    assert float(viscosity_index(kv40, kv100)) == pytest.approx(index, abs=1e-7)


def test_both_procedures_meet_at_100():
    high = kv40_for_viscosity_index(100.0, 10.0)
    assert float(high) == pytest.approx(82.87, abs=1e-9)
    assert float(viscosity_index(high, 10.0)) == pytest.approx(100, abs=1e-9)


def test_a_half_is_rounded_to_the_even_number():
    assert list(reported_index([91.5, 92.5, 156.42])) == [92, 92, 156]


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 0.0, -5.0])
def test_impossible_viscosities_are_refused(bad):
    for pair in ((bad, 10), (60, bad)):
        with pytest.raises(OutOfRange):
            viscosity_index(*pair)


def test_other_bad_input():
    with pytest.raises(OutOfRange, match="D2270"):
        viscosity_index(5, 1.99)
    with pytest.raises(OutOfRange, match="swapped"):
        viscosity_index(10, 60)
    with pytest.raises(ShapesDiffer):
        viscosity_index(np.array([60.0, 61.0]), np.array([10.0, 10.0, 10.0]))
    with pytest.raises(OutOfRange, match="thins as it warms"):
        kv40_for_viscosity_index(5000, 10)

"""Top-ups: the curve against SciPy's integration of the balance, and what it says of the loss."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from lees.errors import OutOfRange
from lees.oil.base_number import Reserve
from lees.oil.replenishment import ReplenishedLoss, replenished, replenished_loss_of
from lees.quantity.measured import Measured


def reserve(fresh=8.0, present=5.0, run=10.0):
    def known(value):
        return Measured(value, 0.1, "mgKOH/g", "drawn")

    return Reserve(known(fresh), known(present), run)


@pytest.mark.parametrize(("start", "rate", "renewal"), [(8, 0.3, 0.02), (10, 0.5, 0.1)])
def test_the_curve_is_that_of_the_integrated_balance(start, rate, renewal):
    def balance(_x, b):
        return -rate + renewal * (start - b)

    solved = solve_ivp(balance, (0, 20), [start], rtol=1e-10, atol=1e-12)
    curve = ReplenishedLoss(start, rate, renewal)
    assert float(curve.value_at(20)) == pytest.approx(solved.y[0, -1], rel=1e-7)


@given(st.floats(5, 12), st.floats(0.5, 4.9), st.floats(0.01, 1.5))
def test_it_goes_through_both_values_and_hides_about_half_the_top_up(fresh, present, share):
    curve = replenished_loss_of(reserve(fresh, present), topped_up_share=share)
    assert float(curve.value_at(10)) == pytest.approx(present, rel=1e-9)
    assert curve.run_at(present) == pytest.approx(10, rel=1e-6)
    factor = curve.rate * 10 / (fresh - present)
    assert factor == pytest.approx(share / (1 - math.exp(-share)))
    assert float(curve.without_top_up.value_at(10)) < present


def test_the_factor_of_a_mass_balance():
    # u / (1 − e^−u) at u = 0.2, 0.4, 0.8 (closed form, tabulated).
    for share, factor in ((0.2, 1.10333), (0.4, 1.21330), (0.8, 1.45277)):
        curve = replenished_loss_of(reserve(), topped_up_share=share)
        assert curve.rate * 10 / 3 == pytest.approx(factor, abs=5e-6)


def test_a_floor_that_top_ups_keep_away_is_never_reached():
    curve = replenished_loss_of(reserve(8, 7.5), topped_up_share=1.0)
    assert curve.run_at(2.0) == math.inf
    assert curve.run_at(9.0) == 0.0
    assert replenished_loss_of(reserve(5, 6), topped_up_share=0.1).run_at(4) == math.inf


def test_doubt_of_values_and_volumes_against_monte_carlo():
    # JCGM 101 on the closed form, the results' shared bias drawn too.
    of_one_laboratory = Reserve(
        Measured(8.0, 0.1, "mgKOH/g", "drawn"), Measured(5.0, 0.1, "mgKOH/g", "drawn"), 10.0, 0.5,
        ("said before",),
    )  # fmt: skip
    found = replenished(
        of_one_laboratory,
        top_up=Measured(1.0, 0.1, "L", "drawn"),
        sump=Measured(5.0, 0.1, "L", "drawn"),
    )
    draw, n = np.random.default_rng(5), 400_000
    bias, share = draw.normal(0, 0.5, n), draw.normal(1.0, 0.1, n) / draw.normal(5.0, 0.1, n)
    fresh, present = draw.normal(8.0, 0.1, n) + bias, draw.normal(5.0, 0.1, n) + bias
    lost = (fresh - present) * share / (1 - np.exp(-share))
    assert found.lost.result.value == pytest.approx(3.30999, abs=5e-6)
    assert found.lost.result.uncertainty == pytest.approx(lost.std(), rel=0.02)
    without = found.without_top_up.result
    assert without.value == pytest.approx(8 - 3.30999, abs=5e-6)
    assert without.uncertainty == pytest.approx((fresh - lost).std(), rel=0.02)
    assert found.lost.warnings == found.without_top_up.warnings == ("said before",)


def test_bad_input():
    for added, full in ((0, 5), (-1, 5), (1, 0)):
        with pytest.raises(OutOfRange):
            replenished(
                reserve(), top_up=Measured(added, 0, "L", "x"), sump=Measured(full, 0, "L", "x")
            )
    for bad in (0.0, -0.1, math.nan):
        with pytest.raises(OutOfRange):
            replenished_loss_of(reserve(), topped_up_share=bad)
    with pytest.raises(OutOfRange):
        replenished_loss_of(reserve(), topped_up_share=0.2).value_at(-1)

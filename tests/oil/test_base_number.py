"""Loss of reserve: curves, odds against SciPy's bivariate normal and against drawn truth."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import multivariate_normal

from lees.errors import NotComparable, NotHeld, OutOfRange
from lees.oil.base_number import (
    Loss,
    Reserve,
    loss_of,
    odds_of_crossing,
    reserve_at,
    run_at_odds,
)
from lees.oil.precision import Laboratory
from lees.oil.replenishment import replenished_loss_of
from lees.oil.titration import (
    ALLOWANCE,
    Titration,
    acid_number_rise,
    base_number_reserve,
    margin_over_acid,
)
from lees.quantity.measured import Measured


def known(value, uncertainty=0.1, unit="mgKOH/g"):
    return Measured(value, uncertainty, unit, "drawn")


def test_both_curves_go_through_both_values():
    reserve = Reserve(known(8), known(5), 10_000)
    for loss in Loss:
        curve = loss_of(reserve, loss)
        assert float(curve.value_at(0)) == pytest.approx(8)
        assert float(curve.value_at(10_000)) == pytest.approx(5)
        assert float(curve.value_at(curve.run_at(4))) == pytest.approx(4)


def test_a_reserve_that_does_not_fall_never_gets_there():
    rising = Reserve(known(5), known(6), 10_000)
    for loss in Loss:
        assert loss_of(rising, loss).run_at(4) == math.inf
        assert loss_of(rising, loss).run_at(5.5) == 0
    falling = Reserve(known(8), known(5), 10_000)
    assert loss_of(falling, Loss.EXPONENTIAL).run_at(0) == math.inf
    assert run_at_odds(0.5, reserve=rising, floor=1, loss=Loss.EXPONENTIAL) == math.inf


@settings(deadline=None)
@given(
    st.floats(6, 12),
    st.floats(0.05, 1),
    st.floats(0.05, 1),
    st.floats(0, 0.5),
    st.floats(0.1, 4),
)
def test_odds_equal_the_bivariate_normal_of_scipy(start, u0, u1, shared, share):
    reserve = Reserve(known(start, u0), known(5, u1), 10, shared)
    ours = float(odds_of_crossing(10 * share, reserve=reserve, floor=4, loss=Loss.LINEAR))
    spread = np.array([[u0, 0, shared], [(1 - share) * u0, share * u1, shared]])
    covariance = spread @ spread.T
    means = np.array([start - 4, (1 - share) * start + share * 5 - 4])
    both = multivariate_normal(np.zeros(2), covariance, allow_singular=True).cdf(means)
    assert ours == pytest.approx(1 - both, abs=2e-5)


def test_odds_equal_those_of_drawn_truth():
    rng = np.random.default_rng(20)
    fresh = rng.normal(8, 0.4, 400_000)
    present = rng.normal(5, 0.5, 400_000)
    reserve = Reserve(known(8, 0.4), known(5, 0.5), 10_000)
    for run in (5_000, 10_000, 14_000, 20_000):
        at_run = fresh + (present - fresh) * run / 10_000
        drawn = np.mean((fresh <= 4) | (at_run <= 4))
        ours = float(odds_of_crossing(run, reserve=reserve, floor=4, loss=Loss.LINEAR))
        assert ours == pytest.approx(drawn, abs=0.003)
        at_run = np.exp(np.log(fresh) + np.log(np.maximum(present, 1e-9) / fresh) * run / 10_000)
        drawn = np.mean((fresh <= 4) | (at_run <= 4))
        ours = float(odds_of_crossing(run, reserve=reserve, floor=4, loss=Loss.EXPONENTIAL))
        assert ours == pytest.approx(drawn, abs=0.02)  # logarithms are only nearly normal


@given(st.floats(4, 12), st.floats(1, 12), st.floats(0, 1), st.floats(0, 1), st.sampled_from(Loss))
def test_odds_never_fall_as_the_run_grows(start, present, u0, u1, loss):
    reserve = Reserve(known(start, u0), known(present, u1), 10)
    odds = odds_of_crossing(np.linspace(0, 60, 200), reserve=reserve, floor=3.5, loss=loss)
    assert (np.diff(odds) >= -1e-9).all()
    assert ((odds >= 0) & (odds <= 1)).all()


def test_sure_values_cross_where_the_curve_does():
    reserve = Reserve(known(8, 0), known(5, 0), 10_000)
    odds = odds_of_crossing([13_332, 13_334], reserve=reserve, floor=4, loss=Loss.LINEAR)
    assert list(odds) == [0.0, 1.0]


def test_odds_turned_round_come_back():
    reserve = Reserve(known(8, 0.3), known(5, 0.4), 10_000, 0.2)
    for loss in Loss:
        run = run_at_odds(0.1, reserve=reserve, floor=4, loss=loss)
        assert float(odds_of_crossing(run, reserve=reserve, floor=4, loss=loss)) == pytest.approx(
            0.1, abs=1e-9
        )
    assert run_at_odds(0.5, reserve=reserve, floor=9, loss=Loss.LINEAR) == 0


def test_the_value_at_a_run_carries_both_uncertainties():
    reserve = Reserve(known(8, 0.3), known(5, 0.4), 10)
    found = reserve_at(20, reserve=reserve, loss=Loss.LINEAR)
    assert found.value == pytest.approx(2)
    assert found.uncertainty == pytest.approx(math.hypot(0.3, 0.8))
    at_present = reserve_at(10, reserve=reserve, loss=Loss.EXPONENTIAL)
    assert at_present.uncertainty == pytest.approx(0.4)


def test_the_methods_are_not_mixed_unless_asked():
    fresh, used = Titration(8.0, "ASTM D2896-21"), Titration(3.5, "ASTM D4739")
    with pytest.raises(NotComparable, match="not comparable"):
        base_number_reserve(fresh, used, run=10, laboratory=Laboratory.DIFFERENT)
    found = base_number_reserve(
        fresh, used, run=10, laboratory=Laboratory.DIFFERENT, allowance=ALLOWANCE
    )
    assert found.fresh.value == pytest.approx(6.0)
    assert found.fresh.uncertainty > ALLOWANCE.uncertainty
    assert "from memory" in found.warnings[0]
    turned = base_number_reserve(
        used, fresh, run=10, laboratory=Laboratory.DIFFERENT, allowance=ALLOWANCE
    )
    assert turned.fresh.value == pytest.approx(5.5)


def test_two_methods_share_no_bias_even_in_one_laboratory():
    fresh, used = Titration(8.0, "ASTM D2896"), Titration(3.5, "ASTM D4739")
    one, two = (
        base_number_reserve(fresh, used, run=10, laboratory=where, allowance=ALLOWANCE)
        for where in Laboratory
    )
    assert one.shared_uncertainty == 0.0
    assert one.fresh.uncertainty == two.fresh.uncertainty


@pytest.mark.parametrize("loss", Loss)
def test_a_floor_that_is_no_number_has_no_run(loss):
    reserve = Reserve(Measured(8, 0.1, "mgKOH/g", "x"), Measured(5, 0.1, "mgKOH/g", "x"), 10)
    for curve in (loss_of(reserve, loss), replenished_loss_of(reserve, topped_up_share=0.2)):
        with pytest.raises(OutOfRange):
            curve.run_at(math.nan)


def test_one_laboratory_takes_the_repeatability_and_shares_the_rest():
    fresh, used = Titration(8.0, "D2896"), Titration(5.0, "D2896")
    same = base_number_reserve(fresh, used, run=10, laboratory=Laboratory.SAME)
    apart = base_number_reserve(fresh, used, run=10, laboratory=Laboratory.DIFFERENT)
    assert same.present.uncertainty == pytest.approx(0.03 * 5 / 2.77)
    assert apart.present.uncertainty == pytest.approx(0.07 * 5 / 2.77)
    assert math.hypot(same.present.uncertainty, same.shared_uncertainty) == pytest.approx(
        apart.present.uncertainty
    )
    assert apart.shared_uncertainty == 0


def test_a_method_named_once_is_taken_for_both_and_said():
    found = base_number_reserve(
        Titration(8.0, "D4739"), Titration(5.0), run=10, laboratory=Laboratory.SAME
    )
    assert "Only the fresh oil's method" in found.warnings[0]


def test_base_and_acid_number_cross_where_the_lines_do():
    # A published trend: 8.92 − 0.41 x against 1 + 0.2 x.
    base = Reserve(known(8.92), known(4.82), 10)
    acid = Reserve(known(1.0), known(3.0), 10)
    margin = margin_over_acid(base, acid)
    crossing = loss_of(margin, Loss.LINEAR).run_at(0)
    assert crossing == pytest.approx(12.9836, abs=5e-5)
    assert float(
        odds_of_crossing(crossing, reserve=margin, floor=0, loss=Loss.LINEAR)
    ) == pytest.approx(0.5, abs=1e-6)
    with pytest.raises(NotComparable):
        margin_over_acid(base, Reserve(known(1), known(3), 11))


def test_the_acid_number_of_a_used_oil():
    found = acid_number_rise(
        Titration(1.0, "D664"), Titration(2.5, "D664"), run=10, laboratory=Laboratory.DIFFERENT
    )
    assert found.present.uncertainty == pytest.approx(0.397, abs=5e-4)


def test_bad_input():
    with pytest.raises(OutOfRange):
        Reserve(known(8), known(5), 0)
    with pytest.raises(NotComparable):
        Reserve(known(8), known(5, unit="%"), 10)
    reserve = Reserve(known(8), known(5), 10)
    with pytest.raises(OutOfRange):
        odds_of_crossing(-1, reserve=reserve, floor=4, loss=Loss.LINEAR)
    with pytest.raises(OutOfRange):
        odds_of_crossing(math.nan, reserve=reserve, floor=4, loss=Loss.LINEAR)
    with pytest.raises(OutOfRange):
        odds_of_crossing(1, reserve=reserve, floor=0, loss=Loss.EXPONENTIAL)
    with pytest.raises(OutOfRange):
        loss_of(Reserve(known(8), known(0), 10), Loss.EXPONENTIAL)
    with pytest.raises(OutOfRange):
        run_at_odds(1.0, reserve=reserve, floor=4, loss=Loss.LINEAR)
    with pytest.raises(OutOfRange):
        base_number_reserve(Titration(-1), Titration(3), run=10, laboratory=Laboratory.SAME)
    with pytest.raises(NotHeld):
        base_number_reserve(
            Titration(8, "D9999"), Titration(3, "D9999"), run=10, laboratory=Laboratory.SAME
        )

"""Paths to a limit against closed forms, SciPy's distributions and drawn truth."""

import math

import numpy as np
import pytest
from scipy.stats import invgauss, lognorm, weibull_min

from lees.judge.next_fill_filter import weibull_odds
from lees.judge.next_fill_paths import (
    Form,
    Pace,
    Path,
    crossing_odds,
    pooled_pace,
    quantiles,
)
from lees.oil.base_number import Loss, Reserve, odds_of_crossing
from lees.quantity.measured import Measured


def known(value, uncertainty=0.0):
    return Measured(value, uncertainty, "1", "example")


def odds(path, runs):
    return crossing_odds(np.asarray(runs, dtype=float), path).mean(axis=0)


def test_a_random_pace_gives_a_log_normal_crossing():
    """X = b t, b log-normal: T is log-normal with ln D − μ and s (closed form).

    D 100, μ ln 0.01, s 0.3: 5/50/95 % at 6105/10 000/16 380.
    """
    path = Path(
        Reserve(known(0.0), known(100.0), 10_000.0), 100.0, True, (Form.STRAIGHT,), Pace(0.0, 0.3)
    )
    runs = np.linspace(0, 30_000, 6001)
    low, middle, high = quantiles(runs, odds(path, runs), (0.05, 0.5, 0.95))
    # Forty-one equally likely paces stand for the continuous one: without any doubt of the results
    # to smooth them, the ends come out three per cent too near.
    assert (low, middle, high) == pytest.approx((6105, 10_000, 16_380), rel=0.035)
    grid = np.linspace(6000, 17_000, 12)
    expected = lognorm(0.3, scale=10_000).cdf(grid)
    assert odds(path, np.r_[0.0, grid])[1:] == pytest.approx(expected, abs=0.02)


def test_a_straight_path_through_known_ends_crosses_where_the_line_does():
    """Base number 8.92 with a slope of −0.41 crosses 4.0 at 12.000 (closed form)."""
    path = Path(Reserve(known(8.92), known(8.92 - 4.1), 10.0), 4.0, False, (Form.STRAIGHT,))
    runs = np.linspace(0, 20, 20001)
    (at,) = quantiles(runs, odds(path, runs), (0.5,))
    assert at == pytest.approx(12.0, abs=0.002)


def test_a_proportional_path_crosses_where_the_exponential_does():
    path = Path(Reserve(known(8.0), known(4.0), 10.0), 2.0, False, (Form.PROPORTIONAL,))
    runs = np.linspace(0, 40, 20001)
    (at,) = quantiles(runs, odds(path, runs), (0.5,))
    assert at == pytest.approx(20.0, abs=0.003)


@pytest.mark.parametrize("form", [Form.STRAIGHT, Form.PROPORTIONAL])
@pytest.mark.parametrize("start", [8.0, 4.3])
def test_the_doubt_of_two_results_is_that_of_the_bivariate_normal(form, start):
    reserve = Reserve(known(start, 0.25), known(0.6 * start, 0.2), 10.0, 0.1)
    path = Path(reserve, 4.0 if start > 5 else 2.5, False, (form,))
    loss = Loss.LINEAR if form is Form.STRAIGHT else Loss.EXPONENTIAL
    runs = np.linspace(0, 30, 61)
    expected = odds_of_crossing(runs, reserve=reserve, floor=path.limit, loss=loss)
    assert odds(path, runs) == pytest.approx(expected, abs=2e-4)


def test_a_rising_path_is_a_falling_one_turned_round():
    falling = Path(
        Reserve(known(8.0, 0.2), known(5.0, 0.3), 10.0), 3.0, False, (Form.STRAIGHT,), Pace(0, 0.2)
    )
    rising = Path(
        Reserve(known(0.0, 0.2), known(3.0, 0.3), 10.0), 5.0, True, (Form.STRAIGHT,), Pace(0, 0.2)
    )
    runs = np.linspace(0, 40, 81)
    assert odds(falling, runs) == pytest.approx(odds(rising, runs), abs=1e-12)


def test_the_wear_out_of_a_filter_is_weibulls():
    """η 10 000, β 2.5: B10 4065.10, median 8636.35 (closed form)."""
    shape, scale = 2.5, 10_000.0
    runs = np.linspace(500, 20_000, 40)
    found = weibull_odds(runs, at=4065.10, odds=0.1, shape=shape)
    assert found == pytest.approx(weibull_min(shape, scale=scale).cdf(runs), abs=1e-6)
    assert float(weibull_odds(np.array([8636.35]), at=4065.10, odds=0.1, shape=shape)[0]) == (
        pytest.approx(0.5, abs=1e-6)
    )


def test_a_wandering_loss_is_covered_at_the_inverse_gaussians_odds():
    """Base number 8 to 4 at 4e-4 per km, wandering by σ per √km: first passage inverse Gaussian.

    With σ 0.004 the wander over a fill is 0.4: its mean is D/v = 10 000 km and its deviation
    √(Dσ²/v³) = 1000 km. A pace that scatters by as much says the same within three per cent.
    """
    distance, drift, sigma = 4.0, 4e-4, 0.004
    mean, shape = distance / drift, distance**2 / sigma**2
    exact = invgauss(mean / shape, scale=shape)
    assert exact.std() == pytest.approx(1000, rel=1e-6)
    path = Path(
        Reserve(known(8.0), known(4.0), 10_000.0), 4.0, False, (Form.STRAIGHT,), Pace(0.0, 0.1)
    )
    runs = np.linspace(7000, 13_500, 40)
    assert odds(path, np.r_[0.0, runs])[1:] == pytest.approx(exact.cdf(runs), abs=0.03)


def test_one_fill_alone_leaves_its_own_scatter_and_the_next_ones():
    pace = pooled_pace(known(0.0), [], 1.0)
    assert pace.deviation == pytest.approx(0.15 * math.sqrt(2))


def test_pooling_moves_the_pace_to_the_engines_own_and_narrows_it():
    pace = pooled_pace(known(0.2, 0.05), [known(0.0, 0.05)] * 6, 1.0)
    assert -0.2 < pace.middle < -0.1
    assert pace.deviation < 0.17


def interval_coverage(rng, *, fills, cases=4000):
    """Return how often a 90 % crossing interval holds the next fill's true crossing."""
    inside = 0
    runs = np.linspace(0, 60_000, 1201)
    for _ in range(cases):
        floor, fresh = 2.0, rng.uniform(7, 10)
        engine = np.log(rng.uniform(2.5e-4, 4.5e-4))
        rates = np.exp(engine + rng.normal(0, 0.15, fills + 1))
        ran = rng.uniform(8_000, 12_000, fills)
        straight = rng.random() < 0.5

        def left(rate, run, straight=straight, fresh=fresh):
            return fresh - rate * run if straight else fresh * math.exp(-rate * run / fresh)

        seen = fresh + rng.normal(0, 0.1)
        results = [left(r, x) + rng.normal(0, 0.1) for r, x in zip(rates[:-1], ran, strict=True)]
        here = Reserve(known(seen, 0.1), known(results[-1], 0.1), float(ran[-1]))
        logs = [
            Measured(math.log((seen - y) / x), 0.14 / (seen - y), "1", "fill")
            for y, x in zip(results, ran, strict=True)
        ]
        pace = pooled_pace(logs[-1], logs[:-1], 1.0)
        if fills > 1:
            here = Reserve(here.fresh, known(results[-1]), here.run)
        path = Path(here, floor, False, (Form.STRAIGHT, Form.PROPORTIONAL), pace)
        low, high = quantiles(runs, odds(path, runs), (0.05, 0.95))
        true = (
            (fresh - floor) / rates[-1] if straight else fresh * math.log(fresh / floor) / rates[-1]
        )
        inside += low <= true <= (math.inf if high is None else high)
    return inside / cases


@pytest.mark.parametrize("fills", [1, 4])
def test_crossing_intervals_of_ninety_per_cent_hold_the_truth_in_ninety(fills):
    """Drawn apart from the model: the form, the pace and the results are drawn, then judged."""
    found = interval_coverage(np.random.default_rng(811 + fills), fills=fills, cases=1200)
    assert 0.87 <= found <= 0.95

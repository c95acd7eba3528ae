"""The likelihood of rounded readings: lifelines' fits, numerical derivatives, limits, bad input."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize
from scipy.stats import norm

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers
from lees.wear.censored import STRAY_WIDTH, interval_likelihood, interval_of, with_strays


def fit(low: Numbers, high: Numbers) -> tuple[float, float]:
    """Return mean and deviation of the logarithm that our likelihood makes likeliest."""

    def minus(theta: Numbers) -> float:
        found = interval_likelihood(low, high, centre=theta[0], deviation=np.exp(theta[1]))
        return -float(np.sum(found.value))

    best = minimize(minus, np.array([1.0, -0.5]), method="Nelder-Mead",
                    options={"xatol": 1e-9, "fatol": 1e-10, "maxiter": 4000})  # fmt: skip
    return float(best.x[0]), float(np.exp(best.x[1]))


@pytest.mark.filterwarnings("ignore")
def test_rounded_readings_fit_as_lifelines_fits_them() -> None:
    """As lifelines' LogNormalFitter.fit_interval_censoring, to four digits, `0` and all."""
    from lifelines import LogNormalFitter

    rng = np.random.default_rng(5)
    printed = np.round(np.exp(rng.normal(1.2, 0.9, 900)))
    low, high = np.where(printed > 0, printed - 0.5, 1e-6), printed + 0.5
    theirs = LogNormalFitter().fit_interval_censoring(low, high)
    mu, sigma = fit(np.log(low), np.log(high))
    assert mu == pytest.approx(theirs.mu_, rel=1e-4)
    assert sigma == pytest.approx(theirs.sigma_, rel=1e-4)


@pytest.mark.filterwarnings("ignore")
def test_below_a_limit_of_detection_as_lifelines() -> None:
    """Ammonium in precipitation, 46 of 102 values printed `<0.006` (lifelines' data set NH4)."""
    from lifelines import LogNormalFitter
    from lifelines.datasets import load_nh4

    data = load_nh4()
    value = data["NH4.mg.per.L"].to_numpy(float)
    below = data["Censored"].to_numpy(bool)
    theirs = LogNormalFitter().fit_left_censoring(value, ~below)
    mu, sigma = fit(np.where(below, -np.inf, np.log(value)), np.log(value))
    assert mu == pytest.approx(theirs.mu_, rel=1e-4)
    assert sigma == pytest.approx(theirs.sigma_, rel=1e-4)
    assert (mu, sigma) == (pytest.approx(-4.71451, abs=6e-5), pytest.approx(1.25335, abs=6e-5))


@pytest.mark.parametrize("strays", [0.0, 0.03])
def test_slope_and_weight_are_the_derivatives(strays: float) -> None:
    low = np.array([-0.2, -np.inf, 1.0, 0.4, -3.0, 2.0])
    high = np.array([0.1, -1.0, np.inf, 0.4, 3.0, 2.01])
    step = 1e-4

    def value(centre: float) -> Numbers:
        return with_strays(low, high, centre=centre, deviation=0.7, strays=strays).value

    found = with_strays(low, high, centre=0.3, deviation=0.7, strays=strays)
    slope = (value(0.3 + step) - value(0.3 - step)) / (2 * step)
    bent = (value(0.3 + step) - 2 * value(0.3) + value(0.3 - step)) / step**2
    assert found.slope == pytest.approx(slope, rel=1e-5, abs=1e-7)
    if strays:
        assert np.all(found.weight >= -bent - 1e-6)
    else:
        assert found.weight == pytest.approx(-bent, rel=2e-4, abs=1e-6)


def test_far_out_in_the_tails_nothing_is_lost() -> None:
    found = interval_likelihood([40.0, -41.0], [41.0, -40.0], centre=0.0, deviation=1.0)
    assert found.value[0] == found.value[1] == pytest.approx(norm.logsf(40), abs=1e-9)
    assert np.all(np.isfinite(found.slope))
    assert np.all(found.weight > 0)


def test_a_narrow_interval_tends_to_the_density() -> None:
    exact = interval_likelihood(0.4, 0.4, centre=0.1, deviation=0.5)
    narrow = interval_likelihood(0.4 - 5e-6, 0.4 + 5e-6, centre=0.1, deviation=0.5)
    assert float(narrow.value - np.log(1e-5)) == pytest.approx(float(exact.value), abs=1e-8)
    assert float(narrow.weight) == pytest.approx(float(exact.weight), rel=1e-4)


def test_strays_are_a_mixture_that_integrates_to_one() -> None:
    def density(y: float) -> float:
        return float(np.exp(with_strays(y, y, centre=0.0, deviation=1.0, strays=0.1).value))

    assert quad(density, -60, 60, points=[-5, 0, 5])[0] == pytest.approx(1.0, abs=1e-7)
    tail = with_strays(6.0, np.inf, centre=0.0, deviation=1.0, strays=0.1).value
    assert float(np.exp(tail)) == pytest.approx(
        0.9 * norm.sf(6) + 0.1 * norm.sf(6 / STRAY_WIDTH), rel=1e-9
    )


@pytest.mark.parametrize(
    ("printed", "low", "high"),
    [
        ((12, None, 1), 11.5, 12.5),
        ((0, None, 1), 0.0, 0.5),
        ((0, None, 0), 0.0, 0.5),
        ((1, "<", 1), 0.0, 1.0),
        ((0, "trace", 0), 0.0, 1.0),
        ((0, "absent", 0.1), 0.0, 0.1),
        ((50, ">", 1), 50.0, np.inf),
        ((3.4, None, 0), 3.4, 3.4),
    ],
)
def test_what_a_printed_reading_stands_for(
    printed: tuple[float, str | None, float], low: float, high: float
) -> None:
    value, qualifier, step = printed
    found = interval_of(value, qualifier, step)
    assert (float(found.low), float(found.high)) == (low, pytest.approx(high))


@pytest.mark.parametrize("value", [-1.0, float("nan"), float("inf")])
def test_what_is_no_reading_is_refused(value: float) -> None:
    with pytest.raises(OutOfRange):
        interval_of(value)


def test_a_stray_spreads_five_times_as_widely() -> None:
    """The mixture's density written out: 0.9 φ(y) + 0.1 φ(y/5)/5."""
    y = np.linspace(-12, 12, 49)
    found = with_strays(y, y, centre=0.0, deviation=1.0, strays=0.1).value
    assert np.exp(found) == pytest.approx(0.9 * norm.pdf(y) + 0.1 * norm.pdf(y, scale=5))

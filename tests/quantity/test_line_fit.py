"""Straight lines against statsmodels and drawn truth, crossings against root finding."""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import t as student

from lees.errors import NotComparable, OutOfRange, ShapesDiffer
from lees.quantity.line_fit import crossing, line_between, line_fit, weighted_line_fit

PLACES = [2.0, 4.0, 6.0, 8.0, 10.0]
BASE = line_fit(PLACES, [8.1, 7.3, 6.4, 5.7, 4.8]).line

readings = st.lists(
    st.tuples(st.floats(-100, 100), st.floats(-100, 100), st.floats(0.1, 10)),
    min_size=3,
    max_size=20,
    unique_by=lambda one: round(one[0], 1),
)


@given(readings)
def test_plain_fit_against_statsmodels(rows: list[tuple[float, float, float]]) -> None:
    x, y, _ = map(np.array, zip(*rows, strict=True))
    found, reference = line_fit(x, y), sm.OLS(y, sm.add_constant(x)).fit()
    line = found.line
    scale = 1e-9 * (1 + float(np.abs(y).max()))
    assert (line.intercept, line.slope) == pytest.approx(tuple(reference.params), abs=scale)
    doubts = (line.intercept_uncertainty, line.slope_uncertainty)
    assert doubts == pytest.approx(tuple(reference.bse), rel=1e-6, abs=scale)
    assert found.residual_deviation == pytest.approx(math.sqrt(reference.mse_resid), abs=scale)
    spread = reference.get_prediction([1.0, 3.0]).se_mean[0]
    assert float(line.uncertainty_at(3.0)) == pytest.approx(spread, rel=1e-6, abs=scale)


@given(readings)
def test_weighted_fit_against_statsmodels(rows: list[tuple[float, float, float]]) -> None:
    x, y, u = map(np.array, zip(*rows, strict=True))
    line = weighted_line_fit(x, y, uncertainty=u).line
    reference = sm.WLS(y, sm.add_constant(x), weights=1 / u**2).fit(cov_type="fixed scale")
    assert (line.intercept, line.slope) == pytest.approx(tuple(reference.params), abs=1e-7)
    doubts = (line.intercept_uncertainty, line.slope_uncertainty)
    assert doubts == pytest.approx(tuple(reference.bse), rel=1e-7)


@pytest.mark.parametrize("level", [6.0, 4.0, -20.0])
def test_limits_of_a_crossing_against_root_finding(level: float) -> None:
    found = crossing(BASE, level)
    factor = float(student.ppf(0.975, 3))

    def edge(x: float) -> float:
        return (float(BASE.value_at(x)) - level) ** 2 - (
            factor * float(BASE.uncertainty_at(x))
        ) ** 2

    assert found.low == pytest.approx(brentq(edge, found.at - 50, found.at, xtol=1e-12))
    assert found.high == pytest.approx(brentq(edge, found.at, found.at + 50, xtol=1e-12))
    assert found.low < found.at < found.high


def test_the_difference_of_two_lines_is_that_of_their_covariances() -> None:
    """Lines with different centres, against the covariance matrices of intercept and slope."""
    other = line_fit([3.0, 5.0, 9.0, 11.0], [1.4, 1.9, 2.6, 3.3]).line
    both = line_between(BASE, other)
    matrix = sum(
        sm.OLS(y, sm.add_constant(np.array(x))).fit().cov_params()
        for x, y in (
            (PLACES, [8.1, 7.3, 6.4, 5.7, 4.8]),
            ([3.0, 5.0, 9.0, 11.0], [1.4, 1.9, 2.6, 3.3]),
        )
    )
    for x in (0.0, 4.0, 13.0):
        assert float(both.value_at(x)) == pytest.approx(
            float(BASE.value_at(x)) - float(other.value_at(x))
        )
        variance = np.array([1.0, x]) @ matrix @ np.array([1.0, x])
        assert float(both.uncertainty_at(x)) == pytest.approx(math.sqrt(variance))
    assert (both.from_x, both.to_x, both.degrees_of_freedom) == (3.0, 10.0, 2)


def test_limits_of_a_crossing_hold_the_truth_as_often_as_stated() -> None:
    """Drawn truth: 8 − 0.4 x with a scatter of 0.15; a floor of 4 is crossed at 10."""
    generator = np.random.default_rng(2)
    held = 0
    for _ in range(2000):
        y = 8 - 0.4 * np.array(PLACES) + generator.normal(0, 0.15, 5)
        found = crossing(line_fit(PLACES, y).line, 4.0)
        held += found.low <= 10.0 <= found.high
    assert held / 2000 == pytest.approx(0.95, abs=3 * math.sqrt(0.95 * 0.05 / 2000))


def test_readings_that_do_not_scatter_are_said() -> None:
    exact = line_fit(PLACES, [1.4, 1.8, 2.2, 2.6, 3.0]).line
    assert "nothing of their doubt" in exact.warnings[0]
    assert BASE.warnings == ()


def test_large_offsets_cost_no_digits() -> None:
    far = line_fit(np.array(PLACES) + 1e8, [8.1, 7.3, 6.4, 5.7, 4.8]).line
    assert far.slope == pytest.approx(BASE.slope, rel=1e-12)
    assert crossing(far, 4.0).at - 1e8 == pytest.approx(crossing(BASE, 4.0).at, abs=1e-6)


def test_a_crossing_beyond_the_readings_is_said() -> None:
    assert "beyond the readings" in crossing(BASE, 4.0).warnings[0]
    assert crossing(BASE, 6.0).warnings == ()


def test_a_slope_that_may_be_zero_bounds_nothing() -> None:
    found = crossing(line_fit([1, 2, 3, 4], [5.0, 5.3, 4.9, 5.1]).line, 4.0)
    assert (found.low, found.high) == (-math.inf, math.inf)
    assert "may never cross" in found.warnings[-1]


def test_scatter_beyond_the_stated_uncertainties_is_said() -> None:
    found = weighted_line_fit(PLACES, [8.1, 7.9, 6.0, 5.9, 4.2], uncertainty=0.05)
    assert found.probability < 1e-6
    assert "straight" in crossing(found.line, 6.0).warnings[0]
    two = weighted_line_fit([1, 2], [3, 4], uncertainty=[0.1, 0.2])
    assert (two.line.slope, two.probability, two.line.warnings) == (pytest.approx(1.0), 1.0, ())


@pytest.mark.parametrize(
    "call",
    [
        lambda: line_fit([1, 2], [3, 4]),
        lambda: line_fit([], []),
        lambda: line_fit([1, 1, 1], [3, 4, 5]),
        lambda: line_fit([1, 2, float("nan")], [3, 4, 5]),
        lambda: line_fit([1, 2, 3], [3, float("inf"), 5]),
        lambda: line_fit([[1, 2, 3]], [[3, 4, 5]]),
        lambda: weighted_line_fit([1], [3], uncertainty=1),
        lambda: weighted_line_fit([1, 2], [3, 4], uncertainty=0),
        lambda: weighted_line_fit([1, 2], [3, 4], uncertainty=[1, -1]),
        lambda: crossing(BASE, float("nan")),
        lambda: crossing(BASE, 4.0, coverage=1.0),
        lambda: crossing(line_fit([1, 2, 3], [4, 4, 4]).line, 4.0),
        lambda: BASE.value_at(float("inf")),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_what_does_not_belong_together_is_refused() -> None:
    with pytest.raises(ShapesDiffer):
        line_fit([1, 2, 3], [3, 4])
    with pytest.raises(ShapesDiffer):
        weighted_line_fit([1, 2, 3], [3, 4, 5], uncertainty=[1, 2])
    with pytest.raises(NotComparable):
        line_between(BASE, line_fit([20, 21, 22], [1, 2, 4]).line)

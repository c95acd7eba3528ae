"""First-order propagation and Monte Carlo: against the GUM, GTC, and each other."""

from __future__ import annotations

import math

import GTC
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import OutOfRange
from lees.quantity.budget import Budget, Component, Spread, type_a
from lees.quantity.measured import Measured
from lees.quantity.propagation import Between, propagated, simulated


def known(value: float, uncertainty: float, dof: float = math.inf) -> Measured:
    return Measured(value, uncertainty, "1", "made up", dof)


MODELS = [
    (lambda a, b: a * b / 100, (1830.0, 58.0), (1.5, 0.1)),
    (lambda a, b: a / b, (12.0, 7.5), (0.3, 0.05)),
    (lambda a, b: a**0.5 * b**2, (3.0, 1.2), (0.01, 0.003)),
    (lambda a, b: a - b, (2413.1, 2398.0), (0.2, 0.2)),
]


@pytest.mark.parametrize(("model", "values", "doubts"), MODELS)
def test_first_order_agrees_with_gtc(model, values, doubts) -> None:
    """GTC 1.5 differentiates automatically; ours numerically over ± one standard uncertainty."""
    found = propagated(
        model,
        {str(k): known(v, u, 7 + k) for k, (v, u) in enumerate(zip(values, doubts, strict=True))},
        unit="1",
        source="test",
    ).result
    reference = model(
        *(GTC.ureal(v, u, 7 + k) for k, (v, u) in enumerate(zip(values, doubts, strict=True)))
    )
    assert found.value == pytest.approx(reference.x, rel=1e-12)
    assert found.uncertainty == pytest.approx(reference.u, rel=2e-4)
    assert found.degrees_of_freedom == pytest.approx(reference.df, rel=2e-3)


@pytest.mark.parametrize(("model", "values", "doubts"), MODELS)
def test_monte_carlo_agrees_with_first_order(model, values, doubts) -> None:
    inputs = {str(k): known(v, u) for k, (v, u) in enumerate(zip(values, doubts, strict=True))}
    first = propagated(model, inputs, unit="1", source="test").result
    drawn = simulated(model, inputs, unit="1", generator=np.random.default_rng(20))
    low, high = first.interval(0.95)
    assert drawn.mean == pytest.approx(first.value, abs=0.02 * first.uncertainty)
    assert drawn.uncertainty == pytest.approx(first.uncertainty, rel=0.02)
    assert drawn.low == pytest.approx(low, abs=0.05 * first.uncertainty)
    assert drawn.high == pytest.approx(high, abs=0.05 * first.uncertainty)


def test_given_sensitivities_replace_numerical_ones() -> None:
    inputs = {"a": known(3.0, 0.1), "b": known(4.0, 0.2)}
    numerical = propagated(lambda a, b: a * b, inputs, unit="1", source="test")
    given_ = propagated(
        lambda a, b: a * b, inputs, unit="1", source="test", sensitivities={"a": 4.0, "b": 3.0}
    )
    assert given_.result.uncertainty == pytest.approx(numerical.result.uncertainty, rel=1e-12)


def test_jcgm_101_sum_of_four_normals() -> None:
    """JCGM 101:2008, 9.2.2: standard uncertainty 2.00, 95 % interval ± 3.92."""
    parts = {str(k): known(0.0, 1.0) for k in range(4)}
    total = simulated(
        lambda *x: sum(x), parts, unit="1", generator=np.random.default_rng(3), draws=1_000_000
    )
    assert total.uncertainty == pytest.approx(2.00, abs=0.005)
    assert (total.low, total.high) == pytest.approx((-3.92, 3.92), abs=0.015)


def test_jcgm_101_sum_of_four_rectangulars() -> None:
    """JCGM 101:2008, 9.2.3: standard uncertainty 2.00, 95 % interval ± 3.88."""
    parts = {str(k): Between(-math.sqrt(3), math.sqrt(3)) for k in range(4)}
    total = simulated(
        lambda *x: sum(x), parts, unit="1", generator=np.random.default_rng(4), draws=1_000_000
    )
    assert total.uncertainty == pytest.approx(2.00, abs=0.005)
    assert (total.low, total.high) == pytest.approx((-3.88, 3.88), abs=0.015)


def test_two_equal_rectangulars_make_a_triangle() -> None:
    """The 95 % half-width of the triangle on ± 2√3 is 2√3 (1 − √0.05) in closed form."""
    parts = {str(k): Between(-math.sqrt(3), math.sqrt(3)) for k in range(2)}
    total = simulated(
        lambda *x: sum(x), parts, unit="1", generator=np.random.default_rng(5), draws=1_000_000
    )
    exact = 2 * math.sqrt(3) * (1 - math.sqrt(0.05))
    assert (total.low, total.high) == pytest.approx((-exact, exact), abs=0.01)


@pytest.mark.parametrize(
    ("spread", "divisor"),
    [(Spread.RECTANGULAR, 3), (Spread.TRIANGULAR, 6), (Spread.U_SHAPED, 2)],
)
def test_bounds_are_spread_as_the_gum_says(spread: Spread, divisor: int) -> None:
    """JCGM 100, 4.3.7, 4.3.9 and F.2.2: half-width over √3, √6, √2."""
    drawn = simulated(
        lambda x: x,
        {"x": Between(2.0, 6.0, spread)},
        unit="1",
        generator=np.random.default_rng(6),
    )
    assert drawn.mean == pytest.approx(4.0, abs=0.02)
    assert drawn.uncertainty == pytest.approx(2 / math.sqrt(divisor), rel=0.01)
    assert 2.0 <= drawn.low < drawn.high <= 6.0


def test_few_degrees_of_freedom_widen_the_draws() -> None:
    """JCGM 101, 6.4.9.5: Student's t has the standard deviation u √(ν/(ν − 2))."""
    drawn = simulated(
        lambda x: x, {"x": known(0.0, 1.0, 9)}, unit="1", generator=np.random.default_rng(7)
    )
    assert drawn.uncertainty == pytest.approx(math.sqrt(9 / 7), rel=0.01)


@pytest.mark.parametrize("dof", [4, 20])
def test_stated_uncertainty_covers_the_real_error(dof: int) -> None:
    """Areas of strips with a known truth, from a few readings each: 95 % must mean 95 %."""
    generator = np.random.default_rng(8)
    length, width, held, tries = 1830.0, 58.0, 0, 1500
    for _ in range(tries):
        sides = []
        for truth, scatter in ((length, 1.5), (width, 0.1)):
            readings = truth + scatter * generator.standard_normal(dof + 1)
            part = type_a("scatter", list(readings))
            mean = float(readings.mean())
            sides.append(Measured(mean, part.uncertainty, "mm", "drawn", part.degrees_of_freedom))
        area = propagated(
            lambda a, b: a * b,
            {"length": sides[0], "width": sides[1]},
            unit="mm²",
            source="drawn",
        ).result
        low, high = area.interval(0.95)
        held += low <= length * width <= high
    assert 0.93 <= held / tries <= 0.985


def test_model_without_an_answer_is_refused() -> None:
    with pytest.raises(OutOfRange):
        propagated(
            lambda a: math.nan if a > 1 else a, {"a": known(1, 0.1)}, unit="1", source="test"
        )
    with np.errstate(invalid="ignore"), pytest.raises(OutOfRange, match="share of draws"):
        simulated(np.sqrt, {"a": known(0, 1)}, unit="1", generator=np.random.default_rng(1))


def test_too_few_draws_and_crossed_bounds_are_refused() -> None:
    with pytest.raises(OutOfRange, match="draws"):
        simulated(
            lambda a: a, {"a": known(0, 1)}, unit="1", generator=np.random.default_rng(1), draws=10
        )
    with pytest.raises(OutOfRange, match="upper bound"):
        Between(2.0, 1.0)


@given(
    st.floats(0.1, 1e3),
    st.floats(0.1, 1e3),
    st.floats(0.001, 0.1),
    st.floats(0.001, 0.1),
    st.floats(0.01, 100),
)
def test_scale_of_an_input_scales_the_result(a, b, u, w, factor) -> None:
    """Change of unit: an input in other units changes nothing but the result's unit."""
    first = propagated(
        lambda x, y: x * y, {"a": known(a, u * a), "b": known(b, w * b)}, unit="1", source="test"
    ).result
    other = propagated(
        lambda x, y: x * y,
        {"a": known(a * factor, u * a * factor), "b": known(b, w * b)},
        unit="1",
        source="test",
    ).result
    assert other.value == pytest.approx(first.value * factor, rel=1e-9)
    assert other.uncertainty == pytest.approx(first.uncertainty * factor, rel=1e-9)


def test_budget_prints_largest_first() -> None:
    found = propagated(
        lambda a, b: a * b, {"small": known(3, 0.01), "large": known(4, 0.5)}, unit="1", source="t"
    )
    lines = found.table().splitlines()
    assert lines[0].startswith("large")
    assert lines[-1].startswith("combined")


def test_gum_h1_end_gauge() -> None:
    """JCGM 100, H.1: u 32 nm, ν_eff 16 or 17, U₉₉ 93 nm; sub-results of H.1.3 (from memory)."""
    difference = Budget(
        (Component("indication", 5.8), Component("random", 3.9), Component("systematic", 6.7)), "nm"
    )
    assert difference.combined == pytest.approx(9.7, abs=0.05)
    parts = (
        Component("standard", 25.0, degrees_of_freedom=18),
        Component("difference", 9.7, degrees_of_freedom=25.6),
        Component("temperature", 2.9, degrees_of_freedom=50),
        Component("expansion", 16.6, degrees_of_freedom=2),
    )
    whole = Budget(parts, "nm")
    assert round(whole.combined) == 32
    assert math.floor(whole.degrees_of_freedom) == 16
    assert round(whole.expanded(0.99)) == 93


@pytest.mark.parametrize(
    ("readings", "deviation"),
    [
        ([10000001, 10000003, 10000002], 1.0),
        ([1.2] + [1.1, 1.3] * 500, 0.1),
        ([1000000.2] + [1000000.1, 1000000.3] * 500, 0.1),
        ([10000000.2] + [10000000.1, 10000000.3] * 500, 0.1),
    ],
    ids=["NumAcc1", "NumAcc2", "NumAcc3", "NumAcc4"],
)
def test_scatter_keeps_its_digits(readings: list[float], deviation: float) -> None:
    """NIST Statistical Reference Datasets, univariate: NumAcc1 to NumAcc4, certified deviation."""
    found = type_a("scatter", readings).uncertainty * math.sqrt(len(readings))
    assert found == pytest.approx(deviation, rel=1e-8)

"""The mass balance of the sump against SciPy's integration and a simulation in batches."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from lees.errors import OutOfRange, ShapesDiffer
from lees.wear.balance import (
    Response,
    TopUp,
    content_at_start,
    exchanges,
    no_loss,
    steady_evaporation,
    steady_loss_with_oil,
    top_ups_evaporated,
    top_ups_lost_with_oil,
)

START, FRESH, SHED = 3.0, 1.5, 25.0


def integrated(rate: Callable[[float], float]) -> float:
    """Integrate the metal in a full charge of 1 over the run."""
    return solve_ivp(lambda s, y: rate(y[0]), (0, 1), [START], rtol=1e-10, atol=1e-12).y[0, -1]


@pytest.mark.parametrize("u", [0.05, 0.2, 0.8, 2.0])
def test_steady_loss_against_integration(u: float) -> None:
    expected = integrated(lambda metal: SHED + u * FRESH - u * metal)
    assert float(steady_loss_with_oil(u).content(START, FRESH, SHED)) == pytest.approx(expected)


@pytest.mark.parametrize("u", [0.05, 0.2, 0.8])
def test_steady_evaporation_against_integration(u: float) -> None:
    expected = integrated(lambda metal: SHED + u * FRESH)
    assert float(steady_evaporation(u).content(START, FRESH, SHED)) == pytest.approx(expected)


TOP_UPS = [TopUp(0.3, 0.08), TopUp(0.55, 0.12), TopUp(0.9, 0.05)]
MISSING = 0.04


def stepwise(with_metal: bool) -> float:
    """Integrate metal and oil between top-ups, the oil lost evenly with or without its metal."""
    metal, oil, before = START, 1.0, 0.0
    for end, lost, added in [*((t.at, t.share, t.share) for t in TOP_UPS), (1.0, MISSING, 0.0)]:
        q = lost / (end - before)
        solved = solve_ivp(
            lambda s, y, q=q: (SHED - (q * y[0] / y[1] if with_metal else 0.0), -q),
            (before, end),
            [metal, oil],
            rtol=1e-10,
            atol=1e-12,
        )
        metal, oil = solved.y[0, -1] + FRESH * added, solved.y[1, -1] + added
        before = end
    return metal / oil


def test_top_ups_lost_with_oil_against_integration() -> None:
    found = top_ups_lost_with_oil(TOP_UPS, MISSING).content(START, FRESH, SHED)
    assert float(found) == pytest.approx(stepwise(True))


def test_top_ups_evaporated_against_integration() -> None:
    found = top_ups_evaporated(TOP_UPS, MISSING).content(START, FRESH, SHED)
    assert float(found) == pytest.approx(stepwise(False))


def test_exchanges_against_a_simulation_in_batches() -> None:
    """Four times 25 mg into 5 L, then 0.25 L of it replaced by oil without metal."""
    metal_mg, volume_l = 0.0, 5.0
    for _ in range(4):
        metal_mg = (metal_mg + 25.0) * (1 - 0.25 / volume_l)
    quarters = [TopUp(k / 4, 0.05) for k in (1, 2, 3, 4)]
    found = exchanges(quarters)
    content = float(found.content(0, 0, 100.0 / volume_l))
    assert content == pytest.approx(metal_mg / volume_l, rel=1e-12)
    assert float(found.shed_per_charge(content, 0, 0)) == pytest.approx(20.0)
    # The formula for steady top-up comes near, and errs to the safe side of none at all.
    steady = float(steady_loss_with_oil(0.2).shed_per_charge(content, 0, 0))
    assert content < steady < 20.0
    assert steady == pytest.approx(19.443, abs=5e-4)


def test_many_small_top_ups_become_steady() -> None:
    n = 2000
    many = [TopUp((k + 1) / n, 0.4 / n) for k in range(n)]
    for found in (top_ups_lost_with_oil(many), exchanges(many)):
        steady = steady_loss_with_oil(0.4)
        assert float(found.shed) == pytest.approx(float(steady.shed), rel=1e-3)
        assert float(found.carry) == pytest.approx(float(steady.carry), rel=1e-3)
        assert float(found.fresh) == pytest.approx(float(steady.fresh), rel=1e-3)


@given(st.floats(0, 3), st.floats(0, 50), st.floats(0, 10), st.floats(0, 200))
def test_what_was_shed_comes_back_out(u: float, start: float, fresh: float, shed: float) -> None:
    for response in (no_loss(), steady_loss_with_oil(u), steady_evaporation(u)):
        end = response.content(start, fresh, shed)
        assert float(response.shed_per_charge(end, start, fresh)) == pytest.approx(shed, abs=1e-9)


@given(st.floats(0.001, 2), st.floats(1, 50))
def test_loss_by_evaporation_is_the_lower_bound(u: float, content: float) -> None:
    """The same reading means more wear where the metals left with the oil (fresh oil clean)."""
    with_oil = steady_loss_with_oil(u).shed_per_charge(content, 0, 0)
    evaporated = steady_evaporation(u).shed_per_charge(content, 0, 0)
    assert float(with_oil) > float(evaporated)


def test_no_top_up_is_no_loss() -> None:
    for found in (steady_loss_with_oil(0), top_ups_lost_with_oil([]), exchanges([])):
        assert [float(x) for x in (found.carry, found.fresh, found.shed)] == [1.0, 0.0, 1.0]


def test_vectorised() -> None:
    found = steady_loss_with_oil(np.linspace(0, 1, 1000))
    assert isinstance(found, Response)
    assert found.shed.shape == (1000,)


@pytest.mark.parametrize(
    "call",
    [
        lambda: steady_loss_with_oil(-0.1),
        lambda: steady_loss_with_oil(float("nan")),
        lambda: steady_evaporation(float("inf")),
        lambda: top_ups_lost_with_oil([TopUp(0.5, 0.1), TopUp(0.4, 0.1)]),
        lambda: top_ups_lost_with_oil([TopUp(1.5, 0.1)]),
        lambda: top_ups_lost_with_oil([TopUp(0.5, 1.0)]),
        lambda: top_ups_evaporated([], missing_share=1.0),
        lambda: content_at_start(80, 0, residual_share=1.2),
        lambda: content_at_start(-1, 0, residual_share=0.1),
        lambda: steady_loss_with_oil(0.2).content(float("nan"), 0, 10),
        lambda: steady_loss_with_oil(0.2).shed_per_charge(float("inf"), 0, 0),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()


@pytest.mark.parametrize(
    "call",
    [
        lambda: content_at_start([80, 90, 70], 0, residual_share=[0.1, 0.2]),
        lambda: steady_loss_with_oil([0.1, 0.2]).content([1, 2, 3], 0, 10),
        lambda: steady_loss_with_oil([0.1, 0.2]).shed_per_charge([1, 2, 3], 0, 0),
    ],
)
def test_unequal_lengths_are_refused(call) -> None:
    with pytest.raises(ShapesDiffer):
        call()

"""The bypass valve: against root finding and integration with SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from filtration.made_up import MEDIA, of
from lees.errors import OutOfRange
from lees.filtration.bypass import (
    WarmUp,
    cold_start,
    opening_temperature,
    opening_viscosity,
    share_past_open_valve,
)
from lees.filtration.flowing import Oil, dynamic_viscosity
from lees.filtration.pressure_drop import pressure_drop
from lees.oil.viscosity import kinematic_viscosity_at, walther_line
from lees.quantity.propagation import propagated, simulated

LINE = walther_line((40.0, 100.0), (100.0, 14.4))
OPENING = opening_viscosity(
    of(100, "kPa", 10), of(20, "L/min", 1), media=MEDIA, density=of(880, "kg/m³", 5)
)


def test_at_the_opening_viscosity_the_media_cost_the_opening_pressure() -> None:
    oil = Oil(OPENING.result, of(880, "kg/m³"))
    lost = pressure_drop(of(20, "L/min"), MEDIA, dynamic_viscosity(oil).result)
    assert lost.result.value == pytest.approx(100)


def test_opening_temperature_against_root_finding() -> None:
    found = opening_temperature(OPENING, LINE)
    expected = brentq(
        lambda t: (
            float(kinematic_viscosity_at(t, kv40_mm2_s=100, kv100_mm2_s=14.4))
            - OPENING.result.value
        ),
        -30,
        60,
    )
    assert found.result.value == pytest.approx(expected, abs=0.01)
    assert any("media alone" in warning for warning in found.warnings)
    assert any("indicative" in warning for warning in found.warnings)


def test_opening_temperature_budget_against_monte_carlo() -> None:
    inputs = {
        "pressure": of(100, "kPa", 10),
        "permeability": of(4.826, "m²", 0.5),
    }

    def temperature(pressure, permeability):
        from lees.oil.viscosity import temperature_on

        nu = pressure * 1e3 * permeability * 1e-11 * 0.1 / (880 * 8e-4 * 20 / 60e3) * 1e6
        return temperature_on(LINE, nu).value

    drawn = simulated(temperature, inputs, unit="°C", generator=np.random.default_rng(2))
    exact = opening_viscosity(
        of(100, "kPa", 10),
        of(20, "L/min"),
        media=type(MEDIA)(of(1000, "cm²"), of(0.8, "mm"), of(4.826e-11, "m²", 5e-12)),
        density=of(880, "kg/m³"),
    )
    first = opening_temperature(exact, LINE).result
    assert drawn.mean == pytest.approx(first.value, abs=0.3)
    assert drawn.uncertainty == pytest.approx(first.uncertainty, rel=0.05)


def test_heavier_load_opens_the_valve_warmer() -> None:
    more_flow = opening_viscosity(
        of(100, "kPa"), of(40, "L/min"), media=MEDIA, density=of(880, "kg/m³")
    )
    warmer = opening_temperature(more_flow, LINE).result.value
    assert warmer > opening_temperature(OPENING, LINE).result.value


def typed_temperature(value: float, uncertainty: float = 1.0):
    return propagated(lambda t: t, {"t": of(value, "°C", uncertainty)}, unit="°C", source="made up")


def test_cold_start_against_integration() -> None:
    warm_up = WarmUp(of(-15, "°C"), of(90, "°C"), of(8, "min", 1))
    found = cold_start(typed_temperature(0.0), warm_up, LINE)

    def reached(t, y):
        return y[0] - 0.0

    reached.terminal = True
    solved = solve_ivp(
        lambda t, y: (90 - y[0]) / 8, (0, 60), [-15.0], events=reached, rtol=1e-10, atol=1e-10,
        dense_output=True,
    )  # fmt: skip
    assert found.minutes.result.value == pytest.approx(solved.t_events[0][0], rel=1e-6)

    def kv(t: float) -> float:
        return float(kinematic_viscosity_at(t, kv40_mm2_s=100, kv100_mm2_s=14.4))

    end = solved.t_events[0][0]
    mean = quad(lambda t: 1 - kv(0.0) / kv(solved.sol(t)[0]), 0, end)[0] / end
    assert found.share == pytest.approx(mean, abs=2e-3)


def test_warm_start_keeps_the_valve_closed() -> None:
    warm_up = WarmUp(of(20, "°C"), of(90, "°C"), of(8, "min"))
    found = cold_start(typed_temperature(0.0), warm_up, LINE)
    assert (found.minutes.result.value, found.share) == (0.0, 0.0)


def test_oil_that_never_gets_warm_is_refused() -> None:
    with pytest.raises(OutOfRange, match="final oil temperature"):
        cold_start(typed_temperature(60.0), WarmUp(of(0, "°C"), of(50, "°C"), of(8, "min")), LINE)


def test_share_past_the_valve() -> None:
    """At four times the opening viscosity the media pass a quarter at the held pressure."""
    assert share_past_open_valve([10, 1000, 4000], 1000).tolist() == [0.0, 0.0, 0.75]


@pytest.mark.parametrize(
    "call",
    [
        lambda: opening_viscosity(
            of(0, "kPa"), of(20, "L/min"), media=MEDIA, density=of(880, "kg/m³")
        ),
        lambda: share_past_open_valve(0, 10),
        lambda: share_past_open_valve(float("nan"), 10),
        lambda: cold_start(
            typed_temperature(0.0), WarmUp(of(-5, "°C"), of(90, "°C"), of(0, "min")), LINE
        ),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()

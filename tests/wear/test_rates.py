"""Rates of wear: published examples, the budget against GTC, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import GTC
import numpy as np
import pytest

from lees.errors import OutOfRange, ShapesDiffer, UnitDoesNotFit
from lees.quantity.measured import Measured
from lees.wear.balance import content_at_start, no_loss, steady_evaporation, steady_loss_with_oil
from lees.wear.rates import (
    compared_at_rate,
    content_by_mass,
    content_rate,
    rate_of,
    wear_rate,
)
from lees.wear.shed import Charge, shed_bounds, shed_metal


def mg_kg(value: float, uncertainty: float = 0.0) -> Measured:
    return Measured(value, uncertainty, "mg/kg", "made up")


OIL = Charge(
    Measured(4.5, 0.1, "L", "poured"),
    Measured(0.86, 0.005, "g/mL", "data sheet"),
    fresh=mg_kg(2, 0.3),
    previous=mg_kg(22, 1.0),
    residual=Measured(0.1, 0.05, "1", "assumed"),
)


def test_residual_oil_feigns_wear() -> None:
    """A published example: 80 mg/kg left at 15 % give 12 at the start, 1.2 per h after ten hours."""
    start = float(content_at_start(80, 0, residual_share=0.15))
    assert start == pytest.approx(12.0)
    assert float(content_rate(start, 10)) == pytest.approx(1.2)


def test_shed_is_carried_by_mass_and_not_by_volume() -> None:
    """1 mg/kg in 4.5 L of 0.86 kg/L is 3.87 mg; forgetting the density makes it 4.5."""
    charge = Charge(Measured(4.5, 0, "L", "poured"), Measured(860, 0, "kg/m³", "sheet"), mg_kg(0))
    assert shed_metal(mg_kg(1), charge, no_loss()).result.value == pytest.approx(3.87)
    assert float(content_by_mass(0.86, 0.86)) == pytest.approx(1.0)


def test_content_by_volume_is_refused_without_a_density() -> None:
    with pytest.raises(UnitDoesNotFit):
        shed_metal(Measured(20, 1, "mg/L", "laboratory"), OIL, no_loss())


def test_budget_agrees_with_gtc() -> None:
    u = 0.2
    found = shed_metal(mg_kg(20, 0.8), OIL, steady_loss_with_oil(u)).result
    c, cf, previous = GTC.ureal(20, 0.8), GTC.ureal(2, 0.3), GTC.ureal(22, 1.0)
    v, rho, f = GTC.ureal(4.5, 0.1), GTC.ureal(0.86, 0.005), GTC.ureal(0.1, 0.05)
    c0 = f * previous + (1 - f) * cf
    gone = 1 - math.exp(-u)
    reference = rho * v * (c - math.exp(-u) * c0 - gone * cf) / (gone / u)
    assert found.value == pytest.approx(reference.x)
    assert found.uncertainty == pytest.approx(reference.u, rel=1e-4)


def test_bounds_enclose() -> None:
    bounds = shed_bounds(
        mg_kg(20, 0.8),
        OIL,
        with_oil=steady_loss_with_oil(0.3),
        evaporated=steady_evaporation(0.3),
    )
    assert bounds.evaporated.result.value < bounds.lost_with_oil.result.value


def test_no_wear_shown_is_said() -> None:
    found = shed_metal(mg_kg(4.2, 0.8), OIL, no_loss())
    assert any("no wear can be shown" in warning for warning in found.warnings)


def test_rate_takes_distance_or_hours() -> None:
    shed = Measured(95.0, 4.0, "mg", "balance")
    by_distance = wear_rate(shed, Measured(7456.454, 1, "mi", "log")).result
    assert by_distance.unit == "mg/1000 km"
    assert by_distance.value == pytest.approx(95 / 12, rel=1e-6)
    by_time = wear_rate(shed, Measured(402, 1, "h", "log")).result
    assert by_time.unit == "mg/h"
    with pytest.raises(UnitDoesNotFit):
        wear_rate(shed, Measured(5, 0, "L", "poured"))


def test_unknown_fresh_oil_is_said() -> None:
    run = Measured(10_000, 10, "km", "log")
    assert rate_of(mg_kg(20, 1), run).warnings
    assert not rate_of(mg_kg(20, 1), run, mg_kg(2)).warnings


def test_comparison_at_another_distance() -> None:
    """Twice the content at three times the run is two thirds of the rate, and the gap is said."""
    found = compared_at_rate(
        mg_kg(18, 1),
        Measured(24_000, 10, "km", "log"),
        mean=mg_kg(9, 0.5),
        mean_run=Measured(8_000, 10, "km", "peers"),
    )
    assert found.ratio.result.value == pytest.approx(2 / 3)
    assert any("factor of 3" in warning for warning in found.ratio.warnings)


@pytest.mark.parametrize(
    "call",
    [
        lambda: content_rate(-1, 10),
        lambda: content_rate(1, 0),
        lambda: content_rate(float("nan"), 10),
        lambda: content_by_mass(1, 0),
        lambda: wear_rate(Measured(1, 0, "mg", "x"), Measured(0, 0, "km", "x")),
        lambda: shed_metal(mg_kg(-1), OIL, no_loss()),
        lambda: shed_metal(mg_kg(9), replace(OIL, residual=None), no_loss()),
        lambda: shed_metal(mg_kg(9), replace(OIL, volume=Measured(0, 0, "L", "x")), no_loss()),
        lambda: compared_at_rate(
            mg_kg(5),
            Measured(1, 0, "h", "x"),
            mean=mg_kg(5),
            mean_run=Measured(1, 0, "km", "x"),
        ),
        lambda: compared_at_rate(
            mg_kg(5),
            Measured(1, 0, "h", "x"),
            mean=mg_kg(2),
            mean_run=Measured(1, 0, "h", "x"),
            fresh=mg_kg(3),
        ),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_arrays_of_unequal_length_are_refused() -> None:
    with pytest.raises(ShapesDiffer):
        content_rate(np.ones(3), np.ones(4))

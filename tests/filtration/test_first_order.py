"""Every derived quantity of filtration and wear: first order and Monte Carlo give the same answer.

Each function's own model and inputs are drawn from (JCGM 101, clause 7) beside its first-order
result; the doubts here are small enough that both apply.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from filtration.made_up import of
from lees.filtration import (
    bubble_point,
    bypass,
    can,
    debris,
    flowing,
    leaks,
    media,
    permeability,
    ports,
    pressure_drop,
    retention,
)
from lees.oil.viscosity import walther_line
from lees.quantity.propagation import propagated, simulated
from lees.wear import rates, shed
from lees.wear.balance import steady_loss_with_oil

SHEET = pressure_drop.Media(of(1000, "cm²", 10), of(0.8, "mm", 0.01), of(4.8e-11, "m²", 1e-12))
OIL = flowing.Oil(of(200, "mm²/s", 3), of(880, "kg/m³", 4))
LINE = walther_line((40.0, 100.0), (100.0, 14.4))
MODULES = (bubble_point, bypass, can, flowing, leaks, media, permeability, ports, pressure_drop, retention,
           rates, shed, debris)  # fmt: skip


def typed(value: float, unit: str, uncertainty: float) -> Any:
    return propagated(lambda x: x, {"x": of(value, unit, uncertainty)}, unit=unit, source="made up")


CALLS = {
    "strip": lambda: media.strip_area(of(1830, "mm", 2), of(58, "mm", 0.2)),
    "pleats": lambda: media.pleats_area(of(55, "1", 0.3), of(12, "mm", 0.2), of(70, "mm", 0.3)),
    "spacing": lambda: media.pleat_spacing(
        of(55, "1"),
        outer_diameter=of(64, "mm", 0.3),
        inner_diameter=of(38, "mm", 0.3),
        thickness=of(0.6, "mm", 0.02),
    ),
    "area left": lambda: media.area_left(
        of(1830, "mm", 2), of(58, "mm", 0.2), seam_overlap=of(12, "mm", 1), glued_edge=of(2, "mm", 0.2)
    ),
    "hoop stress": lambda: can.hoop_stress(
        of(1, "MPa", 0.02), diameter=of(76, "mm", 0.2), wall=of(0.38, "mm", 0.01)
    ),
    "yield": lambda: can.wall_yield_pressure(
        of(200, "MPa", 10), diameter=of(76, "mm", 0.2), wall=of(0.38, "mm", 0.01)
    ),
    "holes": lambda: ports.open_area_of_holes(of(8, "1"), of(5, "mm", 0.1)),
    "louvres": lambda: ports.open_area_of_louvres(of(60, "1"), of(8, "mm", 0.2), of(0.5, "mm", 0.02)),
    "speed": lambda: ports.port_speed(of(20, "L/min", 1), of(157, "mm²", 3)),
    "loss": lambda: ports.port_loss(
        of(30, "L/min", 0.3), of(157, "mm²", 1), oil=OIL, opening=of(5, "mm"), discharge=of(0.62, "1", 0.005)
    ),
    "solidity": lambda: permeability.solidity(
        of(130, "g/m²", 2), of(0.6, "mm", 0.01), of(1500, "kg/m³", 20)
    ),
    "air": lambda: permeability.permeability_from_air(
        of(200, "mm/s", 4), of(200, "Pa", 3), of(0.6, "mm", 0.01)
    ),
    "dynamic viscosity": lambda: flowing.dynamic_viscosity(OIL),
    "pressure drop": lambda: pressure_drop.pressure_drop(
        of(20, "L/min", 0.5), SHEET, of(170, "mPa·s", 4)
    ),
    "loaded": lambda: pressure_drop.loaded(SHEET, blocked=of(0.3, "1", 0.02), layer=of(2, "1", 0.05)),
    "opening": lambda: bypass.opening_temperature(
        bypass.opening_viscosity(
            of(100, "kPa", 3), of(40, "L/min", 1), media=SHEET, density=of(880, "kg/m³", 4)
        ),
        LINE,
    ),
    "cold start": lambda: bypass.cold_start(
        typed(20, "°C", 0.5),
        bypass.WarmUp(of(-5, "°C", 0.5), of(90, "°C", 2), of(8, "min", 0.3)),
        LINE,
    ),
    "slit": lambda: leaks.slit_leak_share(
        of(20, "mm", 0.5), of(0.3, "mm", 0.006), depth=of(0.8, "mm", 0.02), media=SHEET
    ),
    "hole": lambda: leaks.hole_leak_share(
        of(3, "mm", 0.05), of(20, "L/min", 0.5), media=SHEET, oil=OIL, discharge=of(0.6, "1", 0.02)
    ),
    "leak": lambda: retention.efficiency_with_leak(of(0.95, "1", 0.01), of(0.05, "1", 0.01)),
    "retained": lambda: debris.expected_retained_mass(
        of(40, "mg", 2),
        efficiency=of(0.02, "1", 4e-4),
        flow=of(0.5, "L/min", 0.01),
        volume=of(5, "L", 0.1),
        run=of(10, "h", 0.1),
    ),
    "washed": lambda: debris.washed_debris(
        of(2.4131, "g", 2e-4), of(2.398, "g", 2e-4), of(1.2, "mg", 0.3)
    ),
    "pore": lambda: bubble_point.pore(of(2000, "Pa", 30), of(21.7, "mN/m", 0.2)),
    "shed": lambda: shed.shed_metal(
        of(20, "mg/kg", 0.8),
        shed.Charge(
            of(5, "L", 0.1), of(860, "kg/m³", 5), of(2, "mg/kg", 0.3), of(25, "mg/kg", 1),
            of(0.1, "1", 0.02),
        ),
        steady_loss_with_oil(0.2),
    ),
    "wear rate": lambda: rates.wear_rate(of(95, "mg", 4), of(12000, "km", 100)),
    "comparison": lambda: rates.compared_at_rate(
        of(22, "mg/kg", 0.5), of(19000, "km", 50), mean=of(12, "mg/kg", 0.3),
        mean_run=of(11000, "km", 100), fresh=of(1, "mg/kg", 0.2),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CALLS)
def test_first_order_and_monte_carlo_agree(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []

    def both(model: Any, inputs: Any, *, unit: str, source: str) -> Any:
        first = propagated(model, inputs, unit=unit, source=source)
        drawn = simulated(model, inputs, unit=unit, generator=np.random.default_rng(9))
        seen.append((first.result, drawn))
        return first

    for module in MODULES:
        monkeypatch.setattr(module, "propagated", both)
    CALLS[name]()
    assert seen
    for first, drawn in seen:
        doubt = first.uncertainty
        assert doubt > 0
        assert math.isclose(drawn.mean, first.value, abs_tol=0.1 * doubt)
        assert math.isclose(drawn.uncertainty, doubt, rel_tol=0.03)
        low, high = first.interval()
        assert math.isclose(drawn.low, low, abs_tol=0.15 * doubt)
        assert math.isclose(drawn.high, high, abs_tol=0.15 * doubt)

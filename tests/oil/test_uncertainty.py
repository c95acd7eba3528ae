"""First order and Monte Carlo agree on the oil's formulas (JCGM 101, clause 8)."""

import numpy as np
import pytest

from lees.oil.blending import added_fraction
from lees.oil.saybolt import kinematic_from_saybolt
from lees.oil.viscosity import kinematic_viscosity_at
from lees.oil.viscosity_index import viscosity_index
from lees.quantity.measured import Measured
from lees.quantity.propagation import propagated, simulated

KV40 = Measured(60.0, 0.3, "mm²/s", "drawn")
KV100 = Measured(10.0, 0.03, "mm²/s", "drawn")
MODELS = {
    "index": (viscosity_index, {"u": KV40, "y": KV100}),
    "viscosity at 20 °C": (
        lambda u, y: kinematic_viscosity_at(20.0, kv40_mm2_s=u, kv100_mm2_s=y).value,
        {"u": KV40, "y": KV100},
    ),
    "viscosity of seconds": (
        lambda s: kinematic_from_saybolt(s, temperature_f=210.0),
        {"s": Measured(60.0, 0.4, "SUS", "drawn")},
    ),
    "fuel": (
        lambda used, fresh: added_fraction(
            used, base_kv_mm2_s=fresh, added_kv_mm2_s=0.45, rule="Walther"
        ),
        {
            "used": Measured(9.3, 0.05, "mm²/s", "drawn"),
            "fresh": Measured(10.5, 0.05, "mm²/s", "x"),
        },
    ),
}


@pytest.mark.parametrize("name", MODELS)
def test_first_order_and_monte_carlo_agree(name):
    model, inputs = MODELS[name]
    first = propagated(model, inputs, unit="1", source="test").result
    drawn = simulated(model, inputs, unit="1", generator=np.random.default_rng(5))
    assert drawn.mean == pytest.approx(first.value, abs=0.05 * first.uncertainty)
    assert drawn.uncertainty == pytest.approx(first.uncertainty, rel=0.02)
    low, high = first.interval()
    assert (drawn.low, drawn.high) == pytest.approx((low, high), abs=0.05 * first.uncertainty)

"""Leaks beside the media: against the published slit formula and root finding with SciPy."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from scipy.optimize import brentq

from filtration.made_up import COLD, MEDIA, WARM, of
from lees.errors import OutOfRange
from lees.filtration.flowing import Oil, dynamic_viscosity
from lees.filtration.leaks import hole_leak_share, slit_leak_share
from lees.filtration.ports import hole_flow_l_min
from lees.filtration.pressure_drop import pressure_drop


def test_slit_against_the_published_slit_formula() -> None:
    """Q = w h³ ΔP/(12 μ L): 20 × 0.05 × 0.8 mm at 50 kPa and 12 mPa·s leak 0.0651 L/min."""
    slit = 20e-3 * (0.05e-3) ** 3 * 50e3 / (12 * 0.012 * 0.8e-3) * 60e3
    assert slit == pytest.approx(0.0651, abs=5e-5)
    through = 4.826e-11 * 0.1 * 50e3 / (0.012 * 0.8e-3) * 60e3
    found = slit_leak_share(of(20, "mm"), of(0.05, "mm"), depth=of(0.8, "mm"), media=MEDIA)
    assert found.result.value == pytest.approx(slit / (slit + through))


@pytest.mark.parametrize(("gap", "warned"), [(0.079, False), (0.081, True)])
def test_slit_wide_for_its_depth_is_an_upper_bound(gap: float, warned: bool) -> None:
    """Hasimoto 1958: a slit in a thin wall passes w π h² ΔP/(32 μ), as 0.85 h of depth would."""
    found = slit_leak_share(of(20, "mm"), of(gap, "mm"), depth=of(0.8, "mm"), media=MEDIA)
    assert any("upper bound" in warning for warning in found.warnings) is warned
    slit, thin = gap**3 / (12 * 0.8), math.pi * gap**2 / 32
    over = slit * (1 / slit + 1 / thin)
    assert (over > 1.085) is warned


@pytest.mark.parametrize(("flow", "warned"), [(6.0, True), (7.0, False)])
def test_slow_flow_through_a_hole_is_an_upper_bound(flow: float, warned: bool) -> None:
    """With media that pass nothing, Re = 4 Q/(π d ν): 3000 in 3 mm and 15.2 mm²/s at 6.45 L/min."""
    oil = Oil(of(15.2, "mm²/s"), of(850, "kg/m³"))
    media = replace(MEDIA, permeability=of(1e-18, "m²"))
    found = hole_leak_share(
        of(3, "mm"), of(flow, "L/min"), media=media, oil=oil, discharge=of(0.62, "1")
    )
    assert found.result.value == pytest.approx(1, abs=1e-3)
    assert any("upper bound" in warning for warning in found.warnings) is warned


@pytest.mark.parametrize("oil", [WARM, COLD])
def test_hole_against_root_finding(oil: Oil) -> None:
    """One pressure drives both streams: solved for the pressure with SciPy's root finder."""
    mu = dynamic_viscosity(oil).result

    def surplus(pressure_kpa: float) -> float:
        hole = float(hole_flow_l_min(pressure_kpa, 3, density_kg_m3=oil.density.value))
        per_flow = pressure_drop(of(1, "L/min"), MEDIA, mu).result.value
        return hole + pressure_kpa / per_flow - 20

    pressure = brentq(surplus, 1e-9, 1e4)
    hole = float(hole_flow_l_min(pressure, 3, density_kg_m3=oil.density.value))
    found = hole_leak_share(
        of(3, "mm"), of(20, "L/min"), media=MEDIA, oil=oil, discharge=of(0.62, "1")
    )
    assert found.result.value == pytest.approx(hole / 20, rel=1e-6)


@pytest.mark.parametrize(
    "call",
    [
        lambda: slit_leak_share(of(0, "mm"), of(0.1, "mm"), depth=of(1, "mm"), media=MEDIA),
        lambda: hole_leak_share(
            of(3, "mm"), of(0, "L/min"), media=MEDIA, oil=WARM, discharge=of(0.6, "1")
        ),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()

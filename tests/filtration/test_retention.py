"""What a filter catches: against integration, plain loops and GTC."""

from __future__ import annotations

import math

import GTC
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from filtration.made_up import of
from lees.errors import OutOfRange, ShapesDiffer
from lees.filtration.bubble_point import CAUTION, capillary_pore, empirical_pore, pore
from lees.filtration.debris import expected_retained_mass, washed_debris
from lees.filtration.retention import (
    beta_from_efficiency,
    content_after_passes,
    efficiency_from_beta,
    efficiency_left,
    efficiency_with_leak,
    passes_to_share,
    share_in_suspension,
)


@given(st.floats(1, 1e6))
def test_beta_and_efficiency_are_inverse(beta: float) -> None:
    assert float(beta_from_efficiency(efficiency_from_beta(beta))) == pytest.approx(beta, rel=1e-6)


@given(st.floats(1, 1e9), st.floats(0.01, 1))
def test_a_leak_bounds_beta(beta: float, leak: float) -> None:
    """With a share b past the media, β of the whole stays at or below 1/b."""
    left = efficiency_left(efficiency_from_beta(beta), leak)
    assert float(beta_from_efficiency(left)) <= 1 / leak * (1 + 1e-9)


def test_leak_by_counting_particles() -> None:
    """10 000 particles, 5 % of the flow past the media, which hold 95 %: count what comes out."""
    behind = 10_000 * 0.05 + 10_000 * 0.95 * 0.05
    assert float(efficiency_left(0.95, 0.05)) == pytest.approx(1 - behind / 10_000)


def test_leak_budget_against_gtc() -> None:
    found = efficiency_with_leak(of(0.95, "1", 0.01), of(0.05, "1", 0.02)).result
    reference = (1 - GTC.ureal(0.05, 0.02)) * GTC.ureal(0.95, 0.01)
    assert (found.value, found.uncertainty) == pytest.approx((reference.x, reference.u))


def test_clean_up_against_integration() -> None:
    solved = solve_ivp(lambda t, n: -0.5 * 20 / 5 * n, (0, 1), [1.0], rtol=1e-10, atol=1e-12)
    found = share_in_suspension(1, efficiency=0.5, flow_l_min=20, volume_l=5)
    assert float(found) == pytest.approx(solved.y[0, -1])


def test_passes_against_a_loop() -> None:
    content = 0.0
    for n in range(1, 30):
        content = content * (1 - 0.3) + 2.0
        assert float(content_after_passes(n, removal=0.3, production=2.0)) == pytest.approx(content)
    passes = float(passes_to_share(0.99, 0.3))
    limit = float(content_after_passes(1e6, removal=0.3, production=2.0))
    at = float(content_after_passes(passes, removal=0.3, production=2.0))
    assert at == pytest.approx(0.99 * limit)


def test_retained_mass_against_integration() -> None:
    ingress, e, q, v, t = 40.0, 0.02, 0.5, 5.0, 600.0
    solved = solve_ivp(
        lambda x, y: [ingress / t - e * q / v * y[0], e * q / v * y[0]],
        (0, t),
        [0.0, 0.0],
        rtol=1e-10,
        atol=1e-12,
    )
    found = expected_retained_mass(
        of(ingress, "mg"),
        efficiency=of(e, "1"),
        flow=of(q, "L/min"),
        volume=of(v, "L"),
        run=of(t / 60, "h"),
    )
    assert found.result.value == pytest.approx(solved.y[1, -1], rel=1e-6)


def test_washed_debris_budget_against_gtc() -> None:
    found = washed_debris(of(2.4131, "g", 2e-4), of(2.398, "g", 2e-4), of(1.2, "mg", 0.3)).result
    reference = GTC.ureal(2413.1, 0.2) - GTC.ureal(2398.0, 0.2) - GTC.ureal(1.2, 0.3)
    assert (found.value, found.uncertainty) == pytest.approx((reference.x, reference.u))


def test_what_the_scale_cannot_tell_is_said() -> None:
    close = washed_debris(of(2.4001, "g", 2e-4), of(2.4, "g", 2e-4), of(0, "mg"))
    assert "cannot tell" in close.warnings[0]
    no_blank = washed_debris(of(2.42, "g", 2e-4), of(2.4, "g", 2e-4))
    assert "blank" in no_blank.warnings[0]
    with pytest.raises(OutOfRange, match="dry and weigh again"):
        washed_debris(of(2.40, "g", 2e-4), of(2.42, "g", 2e-4))


def test_bubble_point_carries_the_standards_caution() -> None:
    both = pore(of(8, "inH2O", 0.1), of(21.3, "mN/m"))
    for one in (both.capillary, both.empirical):
        assert CAUTION in one.warnings
    ratio = both.empirical.result.value / both.capillary.result.value
    assert 0.42 <= ratio <= 0.435


def test_empirical_rule_spans_its_published_range() -> None:
    """Filter texts: 143 to 149 µm·inH₂O, so that 8 inH₂O stand for 17.9 to 18.6 µm."""
    found = empirical_pore(of(8, "inH2O")).result
    half = found.uncertainty * math.sqrt(3)
    assert found.value - half == pytest.approx(17.9, abs=0.05)
    assert found.value + half == pytest.approx(18.6, abs=0.05)


@pytest.mark.parametrize(("pressure", "diameter"), [(1000, 85.2), (2000, 42.6), (5000, 17.0)])
def test_capillary_formula_in_isopropanol(pressure: float, diameter: float) -> None:
    """Young and Laplace by hand: 4 × 21.3 mN/m over the pressure."""
    found = capillary_pore(of(pressure, "Pa"), surface_tension=of(21.3, "mN/m")).result
    assert found.value == pytest.approx(diameter, abs=0.05)


def test_head_of_liquid_is_taken_off() -> None:
    """20 mm of isopropanol, 785 kg/m³, are 154 Pa."""
    bare = capillary_pore(of(1000, "Pa"), surface_tension=of(21.7, "mN/m")).result.value
    deep = capillary_pore(
        of(1000 + 785 * 9.80665 * 0.02, "Pa"),
        surface_tension=of(21.7, "mN/m"),
        immersion=of(20, "mm"),
        liquid_density=of(785, "kg/m³"),
    ).result.value
    assert deep == pytest.approx(bare)


@pytest.mark.parametrize(
    "call",
    [
        lambda: efficiency_from_beta(0.9),
        lambda: efficiency_from_beta(float("inf")),
        lambda: beta_from_efficiency(1.0),
        lambda: beta_from_efficiency(-0.1),
        lambda: efficiency_left(1.1, 0.1),
        lambda: efficiency_with_leak(of(95, "1"), of(0.1, "1")),
        lambda: share_in_suspension(-1, efficiency=0.5, flow_l_min=1, volume_l=1),
        lambda: content_after_passes(3, removal=0, production=1),
        lambda: passes_to_share(1.0, 0.5),
        lambda: passes_to_share(0.5, 1.0),
        lambda: washed_debris(of(0, "g"), of(1, "g")),
        lambda: capillary_pore(of(0, "Pa"), surface_tension=of(21.7, "mN/m")),
        lambda: capillary_pore(of(1, "Pa"), surface_tension=of(21.7, "mN/m"), contact_angle_deg=95),
        lambda: capillary_pore(
            of(1, "Pa"), surface_tension=of(21.7, "mN/m"), immersion=of(1, "mm")
        ),
        lambda: capillary_pore(
            of(100, "Pa"),
            surface_tension=of(21.7, "mN/m"),
            immersion=of(20, "mm"),
            liquid_density=of(785, "kg/m³"),
        ),
        lambda: empirical_pore(of(-1, "Pa")),
        lambda: expected_retained_mass(
            of(1, "mg"),
            efficiency=of(0, "1"),
            flow=of(1, "L/min"),
            volume=of(1, "L"),
            run=of(1, "h"),
        ),
    ],
)
def test_bad_input_is_refused(call) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_unequal_lengths_are_refused() -> None:
    with pytest.raises(ShapesDiffer):
        efficiency_left(np.full(3, 0.9), np.full(2, 0.1))

"""The thin-wall formula against Lamé's exact solution, and the words that go with it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from filtration.made_up import of
from lees.errors import OutOfRange, UnitDoesNotFit
from lees.filtration.can import hoop_stress, wall_yield_pressure


@given(st.floats(60, 120), st.floats(0.2, 1.2))
def test_hoop_stress_against_lame(diameter: float, wall: float) -> None:
    """Lamé's greatest hoop stress, p (b² + a²)/(b² − a²) at the inner face; 0.3 % from r/t = 10."""
    outer, inner = diameter / 2, diameter / 2 - wall
    exact = 2.0 * (outer**2 + inner**2) / (outer**2 - inner**2)
    found = hoop_stress(of(2.0, "MPa"), diameter=of(diameter, "mm"), wall=of(wall, "mm"))
    assert found.result.value == pytest.approx(exact, rel=3e-3)


def test_yield_pressure_is_the_stress_turned_round() -> None:
    sides = {"diameter": of(76, "mm"), "wall": of(0.38, "mm")}
    pressure = wall_yield_pressure(of(200, "MPa"), **sides).result
    assert hoop_stress(pressure, **sides).result.value == pytest.approx(200)


def test_it_is_an_upper_bound_and_says_so() -> None:
    found = wall_yield_pressure(of(200, "MPa", 20), diameter=of(76, "mm"), wall=of(0.38, "mm"))
    words = " ".join(found.warnings).lower()
    assert "upper bound" in words
    assert "seam" in words
    assert "burst" not in words + found.result.source


@pytest.mark.parametrize(
    ("pressure", "diameter", "wall"), [(0, 76, 0.38), (1, 0, 0.38), (1, 76, 0), (1, 10, 0.5)]
)
def test_bad_input_is_refused(pressure: float, diameter: float, wall: float) -> None:
    with pytest.raises(OutOfRange):
        hoop_stress(of(pressure, "MPa"), diameter=of(diameter, "mm"), wall=of(wall, "mm"))


def test_wrong_dimension_is_refused() -> None:
    with pytest.raises(UnitDoesNotFit):
        hoop_stress(of(5, "mm"), diameter=of(76, "mm"), wall=of(0.38, "mm"))

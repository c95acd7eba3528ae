"""ASTM D341 against published points, CoolProp's reference fluids and its own inverse."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import LeesError, OutOfRange, ShapesDiffer
from lees.oil.one_point import kinematic_viscosity_from_one_point
from lees.oil.viscosity import (
    kinematic_viscosity_at,
    kinematic_viscosity_from_z,
    kinematic_viscosity_on,
    temperature_on,
    walther_line,
    walther_z,
)


def test_constants_of_the_published_example_with_273_instead_of_273_15():
    # The printed example takes T = t + 273; 0.15 K less in °C brings our T there.
    line = walther_line((39.85, 99.85), (32, 5.4))
    assert float(line.a) == pytest.approx(9.5259, abs=5e-5)
    assert float(line.b) == pytest.approx(3.7449, abs=5e-5)
    assert float(kinematic_viscosity_on(line, 79.85)) == pytest.approx(8.533, abs=5e-4)


@pytest.mark.parametrize(
    ("fluid", "fitted_c", "asked_c", "error_percent"),
    [
        ("n-Dodecane", (20, 100), 60, 0.59),
        ("n-Dodecane", (0, 40), 100, -1.19),
        ("n-Decane", (20, 60), 120, -1.5),
        ("n-Heptane", (20, 100), 60, -0.8),
    ],
)
def test_low_viscosities_agree_with_reference_fluids(fluid, fitted_c, asked_c, error_percent):
    from CoolProp.CoolProp import PropsSI

    def reference(t_c):
        at = ("T", t_c + 273.15, "P", 3e5, fluid)
        return 1e6 * PropsSI("V", *at) / PropsSI("D", *at)

    line = walther_line(fitted_c, tuple(reference(t) for t in fitted_c))
    ours = float(kinematic_viscosity_on(line, asked_c))
    error = 100 * (ours / reference(asked_c) - 1)
    assert error == pytest.approx(error_percent, abs=0.06)


@given(st.floats(0.3, 1e6))
def test_the_inverse_of_the_standard_comes_back_within_its_own_error(kv):
    assert float(kinematic_viscosity_from_z(walther_z(kv))) == pytest.approx(kv, rel=2.5e-4)


@given(st.floats(3, 100), st.floats(2, 9), st.floats(0, 150))
def test_temperature_and_viscosity_are_inverse(kv100, ratio, t):
    line = walther_line((40, 100), (kv100 * ratio, kv100))
    kv = kinematic_viscosity_on(line, t)
    if float(kv) > 3:  # below, the standard's inverse is its own approximation
        assert float(temperature_on(line, kv.value)) == pytest.approx(t, abs=0.01)


@given(st.floats(3, 60), st.floats(60, 250), st.floats(20, 120))
def test_one_point_and_its_own_index_find_the_oil_again(kv100, index, known_at):
    from lees.oil.viscosity_index import kv40_for_viscosity_index

    kv40 = float(kv40_for_viscosity_index(index, kv100))
    kv = float(kinematic_viscosity_at(known_at, kv40_mm2_s=kv40, kv100_mm2_s=kv100))
    found = kinematic_viscosity_from_one_point(
        100, known_at_c=known_at, kv_mm2_s=kv, viscosity_index=index
    )
    assert float(found) == pytest.approx(kv100, rel=1e-3)
    assert "assumed" in found.warnings[0]


def test_arrays_are_taken_whole_and_equal_the_single_values():
    kv40, kv100 = np.array([60.0, 100.0, 150.0]), np.array([10.0, 14.4, 19.0])
    together = kinematic_viscosity_at(20, kv40_mm2_s=kv40, kv100_mm2_s=kv100).value
    alone = [
        float(kinematic_viscosity_at(20, kv40_mm2_s=u, kv100_mm2_s=y))
        for u, y in zip(kv40, kv100, strict=True)
    ]
    assert together == pytest.approx(alone, rel=1e-14)


def test_210_fahrenheit_is_not_100_celsius():
    at_210_f = float(kinematic_viscosity_at(98.8889, kv40_mm2_s=100, kv100_mm2_s=14.4))
    assert at_210_f == pytest.approx(14.776, abs=5e-4)


def test_a_far_extrapolation_carries_a_warning_and_a_near_one_none():
    assert not kinematic_viscosity_at(20, kv40_mm2_s=60, kv100_mm2_s=10).warnings
    far = kinematic_viscosity_at(-10, kv40_mm2_s=60, kv100_mm2_s=10)
    assert "indicative only" in far.warnings[0]
    many = kinematic_viscosity_at([-10, 20, 160], kv40_mm2_s=60, kv100_mm2_s=10)
    assert many.warnings[0].startswith("2 values")


@pytest.mark.parametrize("bad", [math.nan, math.inf, 0, -3])
def test_impossible_viscosities_are_refused(bad):
    with pytest.raises(OutOfRange):
        kinematic_viscosity_at(20, kv40_mm2_s=bad, kv100_mm2_s=10)
    with pytest.raises(OutOfRange):
        kinematic_viscosity_at(20, kv40_mm2_s=60, kv100_mm2_s=bad)


def test_swapped_viscosities_are_named():
    with pytest.raises(OutOfRange, match="swapped"):
        kinematic_viscosity_at(20, kv40_mm2_s=10, kv100_mm2_s=60)
    with pytest.raises(OutOfRange, match="swapped"):
        kinematic_viscosity_at(20, kv40_mm2_s=[60, 10], kv100_mm2_s=[10, 60])


def test_other_bad_input():
    with pytest.raises(ShapesDiffer):
        kinematic_viscosity_at(20, kv40_mm2_s=[60, 70], kv100_mm2_s=[10, 11, 12])
    with pytest.raises(OutOfRange):
        kinematic_viscosity_at(math.nan, kv40_mm2_s=60, kv100_mm2_s=10)
    with pytest.raises(OutOfRange):
        walther_line((40, 40), (60, 10))
    with pytest.raises(ShapesDiffer):
        kinematic_viscosity_at([20, 30, 40], kv40_mm2_s=[60, 70], kv100_mm2_s=[10, 11])
    with pytest.raises(ShapesDiffer):
        temperature_on(walther_line((40, 100), ([60, 70], [10, 11])), [20, 30, 40])
    with pytest.raises(OutOfRange, match="between -100 and 400"):
        temperature_on(walther_line((40, 100), (100, 99.9)), 1.0)
    with pytest.raises(OutOfRange, match="still flows"):
        kinematic_viscosity_at(-95, kv40_mm2_s=2000, kv100_mm2_s=20)
    with pytest.raises(OutOfRange, match="ends at"):
        kinematic_viscosity_at(300, kv40_mm2_s=0.5, kv100_mm2_s=0.3)
    with pytest.raises(LeesError):
        kinematic_viscosity_from_one_point(100, known_at_c=40, kv_mm2_s=0.5, viscosity_index=100)


@pytest.mark.parametrize(
    ("kv40", "kv100", "nominal_20"),
    [(18, 3.9, 44), (54, 7.2, 170), (180, 17, 640), (520, 32, 2400)],
)
def test_nominal_viscosity_standards_lie_near_the_line(kv40, kv100, nominal_20):
    # ASTM D2162's nominal oils S20 to S600, two digits each (from memory).
    ours = float(kinematic_viscosity_at(20, kv40_mm2_s=kv40, kv100_mm2_s=kv100))
    assert ours == pytest.approx(nominal_20, rel=0.07)


@given(st.floats(0.25, 50))
def test_the_short_form_of_z_agrees_with_the_full_one(kv):
    # ASTM D341's full form with its terms C to H (constants from memory).
    terms = (
        (1, -1.14883, -2.65868),
        (-1, -0.0038138, -12.5645),
        (1, 5.46491, -37.6289),
        (-1, 13.0458, -74.6851),
        (1, 37.4619, -192.643),
        (-1, 80.4945, -400.468),
    )
    full = kv + 0.7 + sum(sign * math.exp(a + b * kv) for sign, a, b in terms)
    # On a fine grid the two differ most at 0.266 mm²/s, by 0.487 %.
    assert float(walther_z(kv)) == pytest.approx(full, rel=0.0049)

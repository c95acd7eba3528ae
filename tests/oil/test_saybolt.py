"""ASTM D2161 against `chemicals`, printed conversions and its own inverse."""

import math

import numpy as np
import pytest
from chemicals.viscosity import viscosity_converter
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import OutOfRange, ShapesDiffer
from lees.oil.one_point import kinematic_viscosity_from_one_point
from lees.oil.saybolt import kinematic_from_saybolt, kv100_from_saybolt_at_210_f, saybolt_seconds


@given(st.floats(2, 500))
def test_agrees_with_chemicals_at_100_fahrenheit(kv):
    theirs = viscosity_converter(kv * 1e-6, "kinematic viscosity", "saybolt universal")
    assert float(saybolt_seconds(kv, temperature_f=100)) == pytest.approx(theirs, rel=1e-12)
    back = viscosity_converter(theirs, "saybolt universal", "kinematic viscosity")
    assert float(kinematic_from_saybolt(theirs, temperature_f=100)) * 1e-6 == pytest.approx(
        back, rel=1e-9
    )


@given(st.floats(1.85, 1e5), st.floats(0, 350))
def test_there_and_back(kv, temperature_f):
    if temperature_f < 100:
        kv += 0.1
    seconds = saybolt_seconds(kv, temperature_f=temperature_f)
    again = kinematic_from_saybolt(seconds, temperature_f=temperature_f)
    assert float(again) == pytest.approx(kv, rel=1e-12)


@given(st.floats(31.95, 1e6))
def test_back_and_there(seconds):
    kv = kinematic_from_saybolt(seconds, temperature_f=210)
    assert float(saybolt_seconds(kv, temperature_f=210)) == pytest.approx(seconds, rel=1e-12)


def test_the_plain_factors_of_the_standard_far_up():
    assert float(saybolt_seconds(1000, temperature_f=100)) / 1000 == pytest.approx(4.632, abs=5e-4)
    assert float(saybolt_seconds(1000, temperature_f=210)) / 1000 == pytest.approx(4.664, abs=6e-4)


@pytest.mark.parametrize(
    ("kv40", "copied_s"),
    [(28.8, 135), (35.2, 164), (41.4, 191), (50.6, 234), (19.8, 96), (24.2, 115)],
)
def test_a_widely_copied_table_ignores_the_temperature(kv40, copied_s):
    # The table states SUS at 100 °F for viscosities at 40 °C: it only fits if 40 °C is 100 °F.
    ignored = float(saybolt_seconds(kv40, temperature_f=100))
    at_100_f = kinematic_viscosity_from_one_point(
        (100 - 32) / 1.8, known_at_c=40, kv_mm2_s=kv40, viscosity_index=95
    )
    proper = float(saybolt_seconds(at_100_f.value, temperature_f=100))
    assert ignored == pytest.approx(copied_s, abs=2.2)
    assert proper > copied_s * 1.08


def test_seconds_at_210_f_become_the_viscosity_at_100_c():
    seconds = saybolt_seconds(14.776, temperature_f=210)
    found = kv100_from_saybolt_at_210_f(seconds, viscosity_index=148.29)
    assert float(found) == pytest.approx(14.4, abs=5e-4)
    assert "assumed" in found.warnings[0]


@pytest.mark.parametrize("bad", [math.nan, math.inf, 0, -60, 31.9])
def test_impossible_seconds_are_refused(bad):
    with pytest.raises(OutOfRange):
        kinematic_from_saybolt(bad, temperature_f=210)


def test_other_bad_input():
    with pytest.raises(OutOfRange, match="32 s"):
        saybolt_seconds(1.5, temperature_f=210)
    with pytest.raises(OutOfRange, match="°F"):
        saybolt_seconds(10, temperature_f=-40)
    with pytest.raises(ShapesDiffer):
        saybolt_seconds(np.array([10.0, 11.0]), temperature_f=np.array([100.0, 210.0, 300.0]))


@pytest.mark.parametrize(
    ("seconds", "rounded_kv", "tolerance"),
    [(35, 2.56, 0.06), (40, 4.30, 0.06), (100, 20.6, 0.01), (150, 32.1, 0.01), (200, 43.2, 0.01)],
)
def test_a_rounded_handbook_table_agrees_as_far_as_it_can(seconds, rounded_kv, tolerance):
    # Hydraulic Institute, Engineering Data Book, 1990, as carried by `chemicals`: rounded, and
    # made before the present equation.
    ours = float(kinematic_from_saybolt(seconds, temperature_f=100))
    assert ours == pytest.approx(rounded_kv, rel=tolerance)

"""The mixing rules: published blends, inverses, and what they must all obey."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import OutOfRange, ShapesDiffer
from lees.oil.blending import (
    RULES,
    added_fraction,
    blend_viscosity,
    mixing_rule,
)
from lees.oil.fractions import mass_fraction, volume_fraction

PUBLISHED_CHARTS = [(160, 137, 3.0, 3.0), (184.02, 163.39, 3.33, 2.0)]


@pytest.mark.parametrize(("fresh", "used", "fuel", "chart_percent"), PUBLISHED_CHARTS)
def test_published_charts_lie_between_walther_and_arrhenius(fresh, used, fuel, chart_percent):
    def percent(rule):
        return 100 * float(
            added_fraction(used, base_kv_mm2_s=fresh, added_kv_mm2_s=fuel, rule=rule)
        )

    assert percent("Walther") < chart_percent < percent("Arrhenius")


@given(st.sampled_from(sorted(RULES)), st.floats(3, 300), st.floats(0.3, 2.5), st.floats(0.0, 0.6))
def test_the_share_of_a_blend_comes_back(rule, base, added, share):
    blend = blend_viscosity([base, added], [1 - share, share], rule=rule)
    again = added_fraction(blend, base_kv_mm2_s=base, added_kv_mm2_s=added, rule=rule)
    assert float(again) == pytest.approx(share, abs=2e-4)


@given(st.sampled_from(sorted(RULES)), st.floats(0.5, 300), st.floats(0, 1))
def test_a_liquid_mixed_with_itself_stays_what_it_is(rule, kv, share):
    blend = blend_viscosity([kv, kv], [share, 1 - share], rule=rule)
    assert float(blend) == pytest.approx(kv, rel=3e-4)


@given(st.sampled_from(sorted(RULES)), st.floats(5, 300), st.floats(0.5, 4), st.floats(0.01, 0.99))
def test_a_blend_lies_between_its_parts(rule, base, added, share):
    blend = float(blend_viscosity([base, added], [1 - share, share], rule=rule))
    assert added * 0.999 < blend < base * 1.001


def test_the_rules_disagree_by_what_is_said():
    shares = {
        rule: float(added_fraction(12.5, base_kv_mm2_s=14.4, added_kv_mm2_s=1.2, rule=rule))
        for rule in ("Walther", "Arrhenius")
    }
    assert 1.5 < shares["Arrhenius"] / shares["Walther"] < 2.0


def test_three_parts_and_arrays():
    one = blend_viscosity([10, 20, 100], [0.2, 0.3, 0.5], rule="Refutas")
    two = blend_viscosity([np.array([10, 10]), 20, 100], [0.2, 0.3, 0.5], rule="refutas")
    assert two == pytest.approx([float(one)] * 2)


@given(st.floats(0, 1), st.floats(700, 900), st.floats(800, 950))
def test_mass_and_volume_are_inverse(share, added, base):
    densities = {"added_density_kg_m3": added, "base_density_kg_m3": base}
    again = mass_fraction(volume_fraction(share, **densities), **densities)
    assert float(again) == pytest.approx(share, abs=1e-12)


def test_an_unknown_rule_is_refused_with_the_known_ones():
    with pytest.raises(OutOfRange, match="Walther, Refutas"):
        mixing_rule("magic")


@pytest.mark.parametrize("bad", [math.nan, math.inf, 0, -1])
def test_impossible_viscosities_are_refused(bad):
    with pytest.raises(OutOfRange):
        blend_viscosity([bad, 10], [0.5, 0.5], rule="Walther")
    with pytest.raises(OutOfRange):
        added_fraction(10, base_kv_mm2_s=14, added_kv_mm2_s=bad, rule="Arrhenius")


def test_other_bad_input():
    with pytest.raises(OutOfRange, match="sum of the shares"):
        blend_viscosity([5, 10], [0.5, 0.6], rule="Walther")
    with pytest.raises(OutOfRange):
        blend_viscosity([5, 10], [-0.5, 1.5], rule="Walther")
    with pytest.raises(ShapesDiffer):
        blend_viscosity([5, 10], [1.0], rule="Walther")
    with pytest.raises(ShapesDiffer):
        blend_viscosity([[5, 6], [10, 11, 12]], [0.5, 0.5], rule="Walther")
    with pytest.raises(OutOfRange, match="Refutas"):
        blend_viscosity([0.2, 10], [0.5, 0.5], rule="Refutas")
    with pytest.raises(OutOfRange, match="another than"):
        added_fraction(9, base_kv_mm2_s=10, added_kv_mm2_s=10, rule="Walther")
    with pytest.raises(OutOfRange):
        volume_fraction(1.2, added_density_kg_m3=745, base_density_kg_m3=860)

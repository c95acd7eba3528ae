"""Values of one report against each other: what fits, and whether the stated odds are true."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lees.errors import AmbiguousNumber, OutOfRange, WrongEntry
from lees.oil import misprints
from lees.oil.consistency import (
    index_against_viscosities,
    saybolt_against_kinematic,
    zinc_against_phosphorus,
)
from lees.oil.misprints import AnotherReason, Printed, judged, slips
from lees.oil.one_point import kinematic_viscosity_from_one_point
from lees.oil.saybolt import saybolt_seconds
from lees.oil.viscosity_index import viscosity_index


@given(st.floats(4, 25), st.booleans())
def test_both_readings_of_saybolt_seconds_are_accepted_and_told_apart(kv100, at_210_f):
    text = f"{kv100:.1f}"
    kv = float(text)
    if at_210_f:
        kv = kinematic_viscosity_from_one_point(
            98.8889, known_at_c=100, kv_mm2_s=kv, viscosity_index=160
        ).value
    seconds = f"{float(saybolt_seconds(kv, temperature_f=210)):.1f}"
    found = saybolt_against_kinematic(seconds, text)
    assert found.verdict.consistent > 0.95
    if kv100 > 8:  # below, rounding to a tenth hides the difference
        assert found.fits == ("at 210 °F" if at_210_f else "converted straight from 100 °C")


def test_a_slip_is_named_with_what_was_meant():
    found = index_against_viscosities("153", "66.0", "10.0")
    assert found.verdict.misprint > 0.9
    moved = saybolt_against_kinematic("75.6", "1.44")
    assert moved.expected is None
    assert moved.verdict.likeliest_slip[0] == "kv100"
    assert moved.verdict.likeliest_slip[1].intended.text == "14.4"
    swapped = index_against_viscosities("153", "10", "60")
    assert swapped.verdict.likeliest_slip[1].kind == "swapped with kv100"


def test_zinc_without_phosphorus_to_match_is_rather_another_additive():
    found = zinc_against_phosphorus("600", "810")
    assert found.verdict.other > 0.8
    assert found.fits == "not one additive alone"


def test_the_stated_odds_of_a_misprint_are_true(monkeypatch):
    monkeypatch.setattr(misprints, "SLIP_BEFOREHAND", 0.1)
    rng = np.random.default_rng(7)
    happened, stated = [], []
    for _ in range(300):
        kv100 = rng.uniform(8, 18)
        kv40 = kv100 * rng.uniform(5.5, 8)
        texts = {"kv40": f"{kv40:.1f}", "kv100": f"{kv100:.2f}"}
        index = float(viscosity_index(kv40, kv100)) + rng.normal(0, 0.3)
        texts["vi"] = f"{index:.0f}"
        slipped = rng.uniform() < 0.3
        if slipped:
            name = str(rng.choice(["kv40", "kv100", "vi"]))
            choices = slips(Printed.of(texts[name]))
            weights = [one.weight for one in choices]
            chosen = choices[rng.choice(len(choices), p=weights)]
            texts[name] = chosen.intended.text
        try:
            found = index_against_viscosities(texts["vi"], texts["kv40"], texts["kv100"])
        except OutOfRange:
            continue
        happened.append(slipped)
        stated.append(found.verdict.misprint)
    happened, stated = np.array(happened), np.array(stated)
    # The stated odds add up to the number that happened, and tell the two apart.
    assert stated.mean() == pytest.approx(happened.mean(), abs=0.08)
    assert stated[happened].mean() > 0.7
    assert stated[~happened].mean() < 0.12


@given(st.sampled_from(["104", "10.4", "0.5", "153", "1890", "7"]))
def test_slips_weigh_one_and_never_repeat_what_was_printed(text):
    found = slips(Printed.of(text))
    assert sum(one.weight for one in found) == pytest.approx(1)
    assert all(one.intended.text != text for one in found)
    assert all(one.intended.value > 0 for one in found)


def test_a_decimal_comma_is_read():
    assert Printed.of("10,4").value == 10.4
    assert saybolt_against_kinematic("75,6", "14,4").verdict.consistent > 0.95


def test_bad_input():
    for bad in ("", "none", "abc"):
        with pytest.raises(WrongEntry):
            saybolt_against_kinematic(bad, "14.4")
    with pytest.raises(OutOfRange, match="index"):
        saybolt_against_kinematic("75.6", "14.4", index=float("nan"))
    with pytest.raises(OutOfRange):
        zinc_against_phosphorus("0", "810")
    with pytest.raises(OutOfRange):
        zinc_against_phosphorus("-890", "810")
    with pytest.raises(AmbiguousNumber):
        zinc_against_phosphorus("1,890", "810")


def test_values_too_far_apart_for_any_slip_are_apart_for_another_reason():
    found = index_against_viscosities("1.0000", "43.0000", "2.0000")
    assert found.verdict.other == 1.0
    assert found.verdict.likeliest_slip is None


def test_a_conversion_is_held_to_a_fifth_of_a_percent():
    # Printed to so many digits that nothing is rounded: 0.6 % apart are three deviations of 0.2 %.
    straight = float(saybolt_seconds(14.4, temperature_f=210.0))
    found = saybolt_against_kinematic(f"{straight * math.exp(-0.006):.9f}", "14.400000000")
    assert found.apart == pytest.approx(-3, abs=1e-4)


def test_a_slip_is_half_a_percent_likely_in_each_value_and_each_pair():
    # Where every value is as likely as every other, nothing is learnt: two values and one pair.
    values = {"a": Printed.of("104"), "b": Printed.of("98")}
    found = judged(values, lambda _: 1.0, AnotherReason(0.02, 1.0))
    assert found.misprint == pytest.approx(3 * 0.005)
    assert found.consistent == pytest.approx(1 - 0.02 - 3 * 0.005)

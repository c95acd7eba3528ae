"""Precision of the methods: worked levels, assumed methods, and what is not held."""

import math

import pytest

from lees.errors import NotHeld, OutOfRange, WrongEntry
from lees.oil.precision import (
    Laboratory,
    methods_held,
    precision,
    standard_uncertainty,
)
from lees.oil.precision_table import Tag
from lees.quantity.data import rows
from lees.quantity.measurands import measurand

ELEMENTS = [row for row in rows("oil", "precision") if row["method"] == "ASTM D5185"]


@pytest.mark.parametrize(
    ("asked", "r", "big_r"),
    [
        (("kv100", "D445", 14.4, "mm²/s"), 0.0498, 0.1665),
        (("kv40", "D445", 100, "mm²/s"), 0.648, 1.651),
        (("an", "D664", 2.5, "mgKOH/g"), 0.2925, 1.10),
        (("flash", "D93 A", 200, "°C"), 5.8, 14.2),
        (("Fe", "D5185", 14, "mg/kg"), 1.07, 4.29),
        (("Si", "D5185", 20, "mg/kg"), 2.83, 9.33),
        (("fuel", "D3525", 2, "%"), 0.28, 1.64),
    ],
)
def test_worked_levels(asked, r, big_r):
    found = precision(*asked)
    assert found.repeatability == pytest.approx(r, rel=4e-3)
    assert found.reproducibility == pytest.approx(big_r, rel=4e-3)


@pytest.mark.parametrize("row", ELEMENTS, ids=[row["measurand"] for row in ELEMENTS])
def test_two_laboratories_agree_less_well_than_one_at_every_level_of_d5185(row):
    low, high = float(row["low"]), float(row["high"])
    for level in (low, math.sqrt(low * high), high):
        found = precision(row["measurand"], "ASTM D5185", level, "mg/kg")
        assert found.reproducibility > found.repeatability


@pytest.mark.parametrize(
    ("element", "low"), [("Si", 8), ("Na", 7), ("Al", 6), ("Ba", 0.5), ("B", 4), ("Pb", 10)]
)
def test_the_lowest_level_is_about_ten_standard_deviations(element, low):
    # ASTM D5185, 1.6: the low limits were set at ten repeatability standard deviations.
    deviation = precision(element, "D5185", low, "mg/kg").repeatability / 2.77
    assert 10 * deviation == pytest.approx(low, rel=0.25)


def test_every_row_names_a_measurand_and_has_sane_figures():
    for row in rows("oil", "precision"):
        assert measurand(row["measurand"])
        assert float(row["low"]) < float(row["high"])
        assert {row["r_tag"], row["R_tag"]} <= {"published", "memory"}
    for key in {row["measurand"] for row in rows("oil", "precision")}:
        assert precision(key, None, 50, measurand(key).unit).warnings


def test_a_method_not_named_is_assumed_and_said():
    found = precision("flash", None, 220, "°C")
    assert found.method == "ASTM D92"
    assert "names no method" in found.warnings[0]
    assert not precision("flash", "ASTM D92-18", 220, "°C").warnings


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("ASTM D 5185M-18", "ASTM D5185"),
        ("d5185", "ASTM D5185"),
        ("D5185 (ICP)", "ASTM D5185"),
    ],
)
def test_spellings_of_a_method(written, meant):
    assert precision("Fe", written, 20, "mg/kg").method == meant


def test_the_iso_twin_of_a_method_is_known():
    assert precision("kv100", "EN ISO 3104:2020", 10, "mm²/s").method == "ASTM D445"
    assert precision("bn", "ISO 3771", 8, "mgKOH/g").method == "ASTM D2896"
    assert precision("bn", "D2896 back titration", 8, "mgKOH/g").repeatability == 0.24 * 8


def test_unresolved_versions_give_the_wider_from_memory():
    found = precision("bn", "ASTM D4739", 8, "mgKOH/g")
    older = 0.42 * (8 + 0.0268) ** 0.79
    newer = 1.53 * 8**0.47
    assert found.reproducibility == pytest.approx(max(older, newer))
    assert found.repeatability == pytest.approx(max(0.11 * 8.0268**0.79, 0.22 * 8**0.47))
    assert found.tag is Tag.FROM_MEMORY
    assert "disagree" in found.warnings[0]


def test_outside_the_levels_it_says_so_and_never_promises_certainty():
    nothing = precision("Fe", "D5185", 0, "mg/kg")
    assert nothing.repeatability == precision("Fe", "D5185", 2, "mg/kg").repeatability > 0
    assert "below the levels" in nothing.warnings[0]
    much = precision("Mo", "D5185", 800, "mg/kg")
    assert "extrapolated" in much.warnings[0]
    assert much.repeatability > precision("Mo", "D5185", 200, "mg/kg").repeatability


def test_units_are_followed():
    assert precision("flash", "D92", 395, "°F").repeatability == pytest.approx(14.4)
    in_percent = precision("water", "D6304", 0.1, "%")
    in_mg_kg = precision("water", "D6304", 1000, "mg/kg")
    assert in_percent.repeatability * 1e4 == pytest.approx(in_mg_kg.repeatability)


def test_insolubles_change_law_at_one_percent():
    assert precision("insolubles", "D893", 1.0, "%").repeatability == 0.07
    assert precision("insolubles", "D893", 2.0, "%").repeatability == pytest.approx(0.2)


def test_saybolt_seconds_take_the_precision_of_the_viscosity_behind_them():
    found = precision("sus210", None, 60, "SUS")
    kv = precision("kv100", "D445", 10.2185, "mm²/s")
    assert found.repeatability / kv.repeatability == pytest.approx(
        (60.01 - 59.99) / (10.22193 - 10.21507), rel=0.3
    )
    assert "ASTM D445" in found.source


def test_standard_uncertainty_by_laboratory():
    found = precision("kv100", "D445", 14.4, "mm²/s")
    same = standard_uncertainty(found, Laboratory.SAME)
    apart = standard_uncertainty(found, Laboratory.DIFFERENT)
    assert same.uncertainty == pytest.approx(found.repeatability / 2.77)
    assert apart.uncertainty == pytest.approx(found.reproducibility / 2.77)
    assert "from memory" in apart.source


def test_what_is_not_held_is_said():
    with pytest.raises(NotHeld, match="D7593"):
        precision("fuel", "D7593", 2, "%")
    for key in ("soot", "oxidation", "Cd", "vi", "glycol"):
        with pytest.raises(NotHeld):
            precision(key, None, 1, measurand(key).unit)
    assert methods_held("soot") == ()


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0])
def test_impossible_results_are_refused(bad):
    with pytest.raises(OutOfRange):
        precision("Fe", "D5185", bad, "mg/kg")


def test_an_unknown_key_or_unit_is_refused():
    with pytest.raises(WrongEntry):
        precision("Unobtainium", None, 1, "mg/kg")
    with pytest.raises(WrongEntry):
        precision("Fe", None, 1, "mm")

"""Fuel in oil: stated odds against drawn truth, and what the evidence must do to the answer."""

import math

import numpy as np
import pytest

from lees.errors import OutOfRange
from lees.oil.blending import blend_viscosity
from lees.oil.dilution import (
    Beforehand,
    Evidence,
    ReportedFuel,
    ViscosityDrop,
    fuel_dilution,
    fuel_from_viscosity_alone,
)
from lees.oil.flash import FlashPoint, effective_flash, flash_drop
from lees.oil.fractions import volume_fraction
from lees.oil.fuels import fuel
from lees.oil.precision import Laboratory
from lees.quantity.measured import Measured


def kv(value, uncertainty=0.05):
    return Measured(value, uncertainty, "mm²/s", "drawn")


def drop(fresh, used, temperature_c=100.0):
    return ViscosityDrop(kv(fresh), kv(used), temperature_c)


def test_intervals_cover_truth_drawn_from_the_model():
    rng = np.random.default_rng(41)
    gasoline, inside, trials = fuel("gasoline"), 0, 400
    for _ in range(trials):
        x = min(rng.exponential(0.02), 0.2)
        change = -rng.exponential(0.05) + rng.exponential(0.03)
        share = rng.uniform()
        walther, arrhenius = (
            float(blend_viscosity([10.5, gasoline.kv100_mm2_s], [1 - x, x], rule=rule))
            for rule in ("Walther", "Arrhenius")
        )
        used = walther ** (1 - share) * arrhenius**share * math.exp(change) * rng.normal(1, 0.005)
        reported = ReportedFuel(100 * x + rng.normal(0, 0.6), 0.6, "D3525")
        found = fuel_dilution(Evidence(viscosity=drop(10.5, used), reported=reported), of=gasoline)
        inside += found.quantile_percent(0.05) <= 100 * x <= found.quantile_percent(0.95)
    assert inside / trials == pytest.approx(0.90, abs=0.045)  # 3 standard deviations of the count


def test_the_range_between_the_rules_is_shown():
    found = fuel_dilution(Evidence(viscosity=drop(14.4, 12.5)), of=fuel("diesel"))
    alone = found.from_viscosity_alone
    assert alone["Walther"] == pytest.approx(3.55, abs=0.005)
    assert alone["Arrhenius"] == pytest.approx(5.69, abs=0.005)
    assert found.by_rule["Walther"] < found.by_rule["Arrhenius"]
    # Shear-down explains a part of it.
    assert found.quantile_percent(0.5) < alone["Arrhenius"]
    assert found.shear_down_percent > Beforehand().shear_down_percent * 0.4


def test_the_laboratorys_own_figure_takes_precedence():
    thin = drop(10.5, 9.3)
    reported = ReportedFuel(0.2, 0.1, "ASTM D3525-20")
    found = fuel_dilution(Evidence(viscosity=thin, reported=reported), of=fuel("gasoline"))
    assert found.quantile_percent(0.95) < 0.6
    assert found.shear_down_percent > 8  # then something else has thinned it
    assert found.probability_above(2) < 1e-6


def test_a_less_than_is_a_bound():
    none_known = fuel_dilution(Evidence(), of=fuel("gasoline"))
    less = fuel_dilution(
        Evidence(reported=ReportedFuel(1.0, 0.2, "D3525", below=True)), of=fuel("gasoline")
    )
    assert none_known.mean_percent == pytest.approx(2.0, abs=0.01)
    assert less.quantile_percent(0.95) < 1.2
    assert less.probability_above(1.0) > 0.005


def test_without_evidence_the_answer_is_what_was_taken_beforehand():
    found = fuel_dilution(Evidence(), of=fuel("diesel"), beforehand=Beforehand(fuel_percent=1.0))
    assert found.quantile_percent(0.5) == pytest.approx(math.log(2), abs=0.01)
    assert found.shear_down_percent is None


def test_a_fallen_flash_point_speaks_for_fuel():
    def flash(used):
        return flash_drop(
            FlashPoint(230, "D92"), FlashPoint(used, "D92"), laboratory=Laboratory.DIFFERENT
        )

    kept = fuel_dilution(Evidence(flash=flash(228)), of=fuel("gasoline"))
    fallen = fuel_dilution(Evidence(flash=flash(150)), of=fuel("gasoline"))
    assert kept.mean_percent < 0.7
    # Published: 5 % by mass of petrol brings an engine oil to about 150 °C.
    assert fallen.quantile_percent(0.1) < 5 < fallen.quantile_percent(0.95)


def test_a_flash_point_is_not_counted_twice_nor_by_closed_cup():
    fallen = flash_drop(FlashPoint(230, "D92"), FlashPoint(190, "D92"), laboratory=Laboratory.SAME)
    unnamed = fuel_dilution(
        Evidence(flash=fallen, reported=ReportedFuel(2.0, 0.6)), of=fuel("gasoline")
    )
    alone = fuel_dilution(Evidence(reported=ReportedFuel(2.0, 0.6)), of=fuel("gasoline"))
    assert unnamed.mean_percent == pytest.approx(alone.mean_percent)
    assert "not counted again" in unnamed.warnings[0]
    closed = flash_drop(FlashPoint(210, "D93"), FlashPoint(160, "D93"), laboratory=Laboratory.SAME)
    found = fuel_dilution(Evidence(flash=closed), of=fuel("gasoline"))
    assert found.mean_percent == pytest.approx(2.0, abs=0.01)
    assert "closed-cup" in found.warnings[0]


def test_a_thickened_oil_speaks_for_little_fuel():
    found = fuel_dilution(Evidence(viscosity=drop(10.5, 11.5)), of=fuel("gasoline"))
    assert found.from_viscosity_alone == {"Walther": 0.0, "Arrhenius": 0.0}
    assert found.mean_percent < 1.0
    assert found.thickening_percent > 8


def test_very_much_fuel_reaches_the_end_of_the_model_and_is_said():
    found = fuel_dilution(
        Evidence(reported=ReportedFuel(24, 3, "D3524")),
        of=fuel("diesel"),
        beforehand=Beforehand(fuel_percent=20),
    )
    assert "not excluded" in found.warnings[-1]


def test_bad_input():
    with pytest.raises(OutOfRange, match="gasoline or diesel"):
        fuel("kerosene")
    with pytest.raises(OutOfRange, match="40 or 100"):
        fuel_from_viscosity_alone(drop(10.5, 9.3, 50.0), of=fuel("diesel"))
    with pytest.raises(OutOfRange):
        fuel_dilution(Evidence(viscosity=drop(10.5, -1.0)), of=fuel("diesel"))
    with pytest.raises(OutOfRange):
        fuel_dilution(Evidence(reported=ReportedFuel(1, 0)), of=fuel("diesel"))
    for percent in (math.nan, math.inf, -3.0, 101.0):
        with pytest.raises(OutOfRange, match="laboratory"):
            fuel_dilution(Evidence(reported=ReportedFuel(percent, 0.6)), of=fuel("diesel"))
    for percent in (math.nan, -1.0, 30.0):  # the model ends at 25 %
        with pytest.raises(OutOfRange, match="limit"):
            fuel_dilution(Evidence(), of=fuel("diesel")).probability_above(percent)
    with pytest.raises(OutOfRange):
        fuel_dilution(Evidence(), of=fuel("diesel"), beforehand=Beforehand(fuel_percent=0))
    with pytest.raises(OutOfRange):
        fuel_dilution(Evidence(), of=fuel("diesel")).quantile_percent(1.5)


@pytest.mark.parametrize(("percent", "said"), [(22.6, True), (21.4, False)])
def test_more_than_the_model_holds_is_excluded_at_three_deviations(percent, said):
    # A normal density is down to 0.01 of its top at 3.03 standard deviations.
    reported = ReportedFuel(percent, 1.0, "D3525")
    flat = Beforehand(fuel_percent=1e6)
    found = fuel_dilution(Evidence(reported=reported), of=fuel("gasoline"), beforehand=flat)
    assert any("not excluded" in warning for warning in found.warnings) is said


def test_petrol_acts_with_the_flash_point_of_a_published_blend():
    # 5 % of petrol by mass bring an engine oil of 230 °C to about 150 °C (one published blend).
    petrol = fuel("gasoline")
    volume = float(
        volume_fraction(0.05, added_density_kg_m3=petrol.density_kg_m3, base_density_kg_m3=870)
    )
    assert effective_flash(230, 150, volume) == pytest.approx(petrol.effective_flash_c, abs=3)

"""The next fill against closed forms of a straight and a proportional loss."""

import math

import numpy as np
import pytest

from judge.judge_cases import LONG_RUN, facts
from lees.judge.next_fill import _rounded_down
from lees.judge.verdict import verdict
from lees.oil.precision import Laboratory, precision, standard_uncertainty


def next_fill(source):
    return verdict(facts(source), made_with="test").next_fill


def test_the_median_lies_between_the_two_forms_of_loss():
    # Straight: (8 − 2)/(4/12000) = 18 000; proportional: 12000 ln(4)/ln(2) = 24 000 (closed forms).
    filled = next_fill(LONG_RUN)
    runs, odds = np.array(filled.runs), np.array(filled.curves[0].odds)
    assert filled.curves[0].limit == "base number"
    assert np.interp(17_000, runs, odds) < 0.1
    assert np.interp(21_000, runs, odds) == pytest.approx(0.5, abs=0.03)
    # At 24 000 the straight form is past certain doubt and the proportional one at its median.
    assert np.interp(24_000, runs, odds) == pytest.approx(0.75, abs=0.01)


def test_the_advice_never_goes_beyond_the_makers_schedule_unless_asked():
    assert next_fill(LONG_RUN).advised == 10_000
    asked = next_fill(LONG_RUN + "[inspector]\nbeyond_maker = true\n")
    assert asked.advised > 12_000
    assert "as asked" in asked.reason


def test_without_a_schedule_the_advice_is_no_more_than_this_fill_ran():
    filled = next_fill(LONG_RUN.replace('maker_interval = "10 000 mi"', ""))
    assert filled.advised == 12_000
    assert "unknown" in filled.bound


def test_a_smaller_risk_and_a_higher_floor_shorten_the_advice():
    far = LONG_RUN + "[inspector]\nbeyond_maker = true\nrisk = {}\n"
    runs = [next_fill(far.replace("{}", risk)).advised for risk in ("0.01", "0.10", "0.40")]
    assert runs == sorted(runs)
    floor = (
        '[inspector]\nbeyond_maker = true\nbase_number_floor = { value = "4.5", method = "D2896" }'
    )
    assert next_fill(LONG_RUN + floor).advised < 12_000


def test_the_laboratorys_advice_is_put_on_the_same_curve():
    filled = next_fill(LONG_RUN.replace("15 000 mi", "24 000 mi"))
    laboratory = next(p for p in filled.proposals if p.who == "the laboratory's advice")
    assert laboratory.odds > 0.66
    assert laboratory.run == pytest.approx(24_000)


def test_methods_that_are_not_comparable_give_no_curve_and_say_why():
    source = LONG_RUN.replace(
        'methods = { bn = "D2896", flash = "D92" }\nadvised', 'methods = { bn = "D4739" }\nadvised'
    )
    findings = verdict(facts(source), made_with="test")
    assert all(curve.limit != "base number" for curve in findings.next_fill.curves)
    assert any("not comparable" in line for line in findings.not_judged)


def test_the_uncertainty_of_the_result_is_that_of_its_method():
    used = standard_uncertainty(precision("bn", "D2896", 4.0, "mgKOH/g"), Laboratory.SAME)
    assert used.uncertainty == pytest.approx(0.03 * 4.0 / 2.77, rel=0.01)


@pytest.mark.parametrize(
    ("length", "unit", "cut"),
    [
        (14_999, "mi", 14_000),
        (4_800, "km", 4_500),
        (950, "km", 900),
        (262, "h", 250),
        (148, "h", 125),
        (33, "h", 30),
    ],
)
def test_runs_are_cut_to_customary_steps(length, unit, cut):
    assert _rounded_down(length, unit) == cut


def test_hours_work_like_distance():
    hours = (
        LONG_RUN.replace(" mi", " h")
        .replace('"12 000 h"', '"120 h"')
        .replace('"10 000 h"', '"250 h"')
    )
    hours = hours.replace('"6 000 h"', '"100 h"').replace('"15 000 h"', '"200 h"')
    filled = next_fill(hours)
    assert filled.unit == "h"
    assert 150 <= filled.advised < 180  # the straight form crosses at 180 h
    assert math.isfinite(filled.proposals[0].odds)

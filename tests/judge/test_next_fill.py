"""The next fill against closed forms of a straight and a proportional loss."""

import datetime
import math

import numpy as np
import pytest

from judge.judge_cases import LONG_RUN, facts
from lees.case.records import ReportRead, Result, SampleRead
from lees.judge.next_fill import _rounded_down
from lees.judge.verdict import verdict
from lees.oil.precision import Laboratory, precision, standard_uncertainty


def next_fill(source):
    return verdict(facts(source), made_with="test").next_fill


def test_the_median_lies_between_the_two_forms_of_loss():
    # Straight: (8 − 2)/(4/12000) = 18 000; proportional: 12000 ln(4)/ln(2) = 24 000 (closed forms).
    filled = next_fill(LONG_RUN)
    curve = filled.curves[0]
    assert curve.limit == "base number"
    assert np.interp(14_000, filled.runs, curve.odds) < 0.1
    assert 18_000 < curve.middle < 24_000
    assert curve.low < 18_000
    # At 24 000 the proportional form is at its median and the straight one well past it.
    assert 0.65 < np.interp(24_000, filled.runs, curve.odds) < 0.75


def test_harder_duty_shortens_the_run_and_easier_lengthens_it():
    middles = [
        next_fill(LONG_RUN + f'[inspector]\nnext_duty = "{duty}"\n').curves[0].middle
        for duty in ("harder", "as this fill", "easier")
    ]
    # The pace enters as a factor on the run: 1.25 and 0.8 (judgement).
    assert middles[0] == pytest.approx(middles[1] / 1.25, rel=0.01)
    assert middles[2] is None or middles[2] == pytest.approx(middles[1] / 0.8, rel=0.01)


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


def test_methods_that_are_not_comparable_give_no_share_left_and_a_wide_curve():
    source = LONG_RUN.replace(
        'methods = { bn = "D2896", flash = "D92" }\nadvised', 'methods = { bn = "D4739" }\nadvised'
    )
    findings = verdict(facts(source), made_with="test")
    assert any("not comparable" in line for line in findings.not_judged)
    assert "% of fresh" not in findings.statement("oil.bn").text
    assert "another method" in findings.statement("oil.bn").text
    wide = next(c for c in findings.next_fill.curves if c.limit == "base number")
    assert wide.low < next_fill(LONG_RUN).curves[0].low


def test_a_fresh_value_that_nobody_knows_is_judged_and_said():
    source = LONG_RUN.replace(', bn = "8.0 mgKOH/g" }', " }")
    findings = verdict(facts(source), made_with="test")
    assert "is not known and is taken as" in findings.statement("oil.bn").text
    assert any("no fresh value is known" in line for line in findings.not_judged)


def sample(distance_km, date, **results):
    return SampleRead(
        date=datetime.date(*date),
        oil_distance_km=distance_km,
        results={
            key: Result(value, "mgKOH/g", 0.1, text=str(value), method="D2896")
            for key, value in results.items()
        },
    )


def test_several_fills_of_one_engine_are_pooled():
    """Earlier fills that lost base number at the same pace make the next one surer."""
    here = sample(19312.1, (2026, 8, 1), bn=4.0)
    alone = verdict(facts(LONG_RUN, report=ReportRead("r", samples=(here,))), made_with="t")
    past = tuple(sample(16093.4, (2025, k, 1), bn=4.7) for k in (1, 4, 7, 10))
    pooled = verdict(facts(LONG_RUN, report=ReportRead("r", samples=(here, *past))), made_with="t")
    one, other = alone.next_fill.curves[0], pooled.next_fill.curves[0]
    assert other.low > one.low
    faster = tuple(sample(16093.4, (2025, k, 1), bn=2.7) for k in (1, 4, 7, 10))
    fast = verdict(facts(LONG_RUN, report=ReportRead("r", samples=(here, *faster))), made_with="t")
    assert fast.next_fill.curves[0].middle < other.middle


@pytest.mark.parametrize(
    ("more", "limit"),
    [
        ('fuel = "3.5 %"', "fuel"),
        ('soot = "3 %"', "soot"),
        ('insolubles = "0.8 %"', "insolubles"),
        ('oxidation = "20 A/cm"', "oxidation"),
        ('nitration = "20 A/cm"', "nitration"),
        ('an = "3.2 mgKOH/g"', "acid and base crossing"),
    ],
)
def test_every_property_with_a_limit_has_its_curve(more, limit):
    curves = next_fill(
        LONG_RUN.replace('results = { Fe = "18', f'results = {{ {more}, Fe = "18')
    ).curves
    assert limit in [curve.limit for curve in curves]
    for curve in curves:
        assert all(0 <= one <= 1 for one in curve.odds)
        assert list(curve.odds) == sorted(curve.odds)


def test_a_limit_printed_on_the_report_goes_before_a_customary_one():
    here = SampleRead(oil_distance_km=19312.1, results={"Fe": Result(90.0, "mg/kg", 1.0)})
    limits = {"Fe": Result(100.0, "mg/kg", 1.0)}
    source = LONG_RUN.replace('Fe = "18 ppm", ', "")
    report = ReportRead("r", samples=(here,), limits=limits)
    curves = verdict(facts(source, report=report), made_with="t").next_fill.curves
    iron = next(curve for curve in curves if curve.limit == "iron")
    # A straight path of 90 at 12 000 mi comes to 100 at 13 333 mi; gathering a little before.
    assert iron.middle == pytest.approx(13_150, rel=0.03)


FILTER = """
[filter]
run = "12 000 mi"
claims = { run = "10 000 mi" }
media = { condition = "full" }
"""


def test_the_filters_own_life_is_judged_apart():
    findings = verdict(facts(LONG_RUN + FILTER), made_with="t")
    assert findings.filter_life.odds > 0.5
    assert "beyond" in findings.filter_life.sentence
    assert any(curve.limit == "full filter" for curve in findings.next_fill.curves)
    loaded = verdict(facts(LONG_RUN + FILTER.replace('"full"', '"loaded"')), made_with="t")
    assert loaded.filter_life.odds < 0.2
    unseen = verdict(
        facts(LONG_RUN + FILTER.replace('media = { condition = "full" }', "")), made_with="t"
    )
    # One in ten full at the claim, Weibull of shape 3: 1 − 0.9^(1.2³) at 1.2 times the claim.
    assert unseen.filter_life.odds == pytest.approx(1 - 0.9 ** (1.2**3), abs=1e-9)


def test_costs_are_a_second_view_and_leave_the_advice_alone():
    costs = "[inspector]\ncosts = { oil = 40, filter = 10, analysis = 30, early_failure = 2000 }\n"
    plain, told = next_fill(LONG_RUN), next_fill(LONG_RUN + costs)
    assert plain.cost is None
    assert told.advised == plain.advised
    assert len(told.cost.per_run) == len(told.runs)
    k = 60
    expected = 1000 * (80 + 2000 * told.first[k]) / told.runs[k]
    assert told.cost.per_run[k] == pytest.approx(expected, rel=1e-9)
    assert 5_000 < told.cost.cheapest < 20_000


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
    assert 125 <= filled.advised < 180  # the straight form crosses at 180 h
    assert math.isfinite(filled.proposals[0].odds)

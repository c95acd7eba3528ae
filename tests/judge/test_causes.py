"""Causes against SciPy's multivariate normal and a count integrated numerically."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm, poisson

from lees.judge.causes import (
    Evidence,
    Glitter,
    _log_count,
    causes,
    harm_probability,
    weigh,
)
from lees.quantity.data import table

QUIET = {"Fe": 0.0, "Cr": 0.0, "Al": 0.0, "Cu": 0.0, "Pb": 0.0, "Sn": 0.0, "Si": 0.0, "Na": 0.0}


def evidence(ratios=None, glitter=None, said="", coolant=None, wiped=None):
    ratios = QUIET if ratios is None else ratios
    return Evidence(
        log_ratio=ratios,
        log_uncertainty=dict.fromkeys(ratios, 0.1),
        deviation=0.45,
        glitter=glitter or Glitter(),
        standing_out=(),
        said=said,
        coolant_found=coolant,
        swarf_wiped=wiped,
    )


def probability(weighed, key):
    return next(one.probability for one in weighed if one.cause.key == key)


def test_the_posterior_equals_one_worked_with_scipy():
    ratios = {"Fe": 0.4, "Pb": 1.1, "Sn": 0.9, "Cu": 0.8}
    severity = table("judge", "causes")["severity"]
    keys = sorted(ratios)
    y = np.array([ratios[key] for key in keys])
    unnormalised = {}
    for cause in causes():
        pattern = np.array([cause.shift.get(key, 0.0) for key in keys])
        spread = 0.45**2 * (0.6 * np.eye(4) + 0.4 * np.ones((4, 4))) + 0.1**2 * np.eye(4)
        spread += severity["deviation"] ** 2 * np.outer(pattern, pattern)
        density = multivariate_normal(severity["middle"] * pattern, spread).pdf(y)
        unnormalised[cause.key] = cause.prior * density
    total = sum(unnormalised.values())
    for one in weigh(evidence(ratios)):
        assert one.probability == pytest.approx(unnormalised[one.cause.key] / total, rel=1e-9)


@pytest.mark.parametrize(
    ("count", "hundreds", "factor"), [(0, 1.0, 1.0), (7, 2.5, 4.0), (60, 3, 10)]
)
def test_a_count_equals_its_mixture_integrated_numerically(count, hundreds, factor):
    middle = 1.5 * factor * hundreds

    def integrand(z):
        rate = middle * math.exp(0.8 * z)
        return poisson.pmf(count, rate) * norm.pdf(z)

    expected, _ = quad(integrand, -8, 8, limit=400)
    assert math.exp(_log_count(count, hundreds, factor)) == pytest.approx(expected, rel=1e-7)


def test_quiet_oil_and_a_glittering_filter_point_to_metal_too_large_for_the_sample():
    weighed = weigh(evidence(glitter=Glitter(count=60, area_cm2=200), wiped=True))
    harmful = [one for one in weighed if one.cause.harm]
    assert harmful[0].cause.key == "large_metal"
    assert harm_probability(weighed) > 0.66


def test_the_same_glitter_unwiped_is_partly_explained_away_by_swarf():
    wiped = weigh(evidence(glitter=Glitter(count=30, area_cm2=200), wiped=True))
    unwiped = weigh(evidence(glitter=Glitter(count=30, area_cm2=200), wiped=False))
    assert probability(unwiped, "swarf") > probability(wiped, "swarf")
    assert harm_probability(unwiped) < harm_probability(wiped)


def test_silicon_with_aluminium_is_dust_and_alone_after_gasket_work_is_sealant():
    dust = weigh(evidence({**QUIET, "Si": 1.4, "Al": 0.7, "Fe": 0.5}))
    sealant = weigh(evidence({**QUIET, "Si": 1.4}, said="new sump gasket in May"))
    assert probability(dust, "dust") > probability(dust, "sealant")
    assert probability(sealant, "sealant") > probability(sealant, "dust")


def test_one_sample_never_makes_a_failure_certain():
    extreme = {**QUIET, "Pb": 5.0, "Sn": 4.0, "Cu": 4.0}
    weighed = weigh(evidence(extreme, Glitter(count=5000, area_cm2=100), wiped=True))
    assert harm_probability(weighed) <= 0.98


@given(
    st.dictionaries(st.sampled_from(sorted(QUIET)), st.floats(-6, 6)),
    st.one_of(st.none(), st.integers(0, 3000)),
    st.sampled_from([None, "none", "a few", "some", "much"]),
    st.sampled_from([None, True, False]),
)
def test_probabilities_add_up_to_one_whatever_is_seen(ratios, count, word, found):
    glitter = Glitter(count, 150.0 if count is not None else None, word)
    weighed = weigh(evidence(ratios, glitter, coolant=found, wiped=found))
    assert sum(one.probability for one in weighed) == pytest.approx(1, abs=1e-9)
    assert all(0 <= one.probability <= 1 for one in weighed)


def test_every_number_of_the_table_carries_a_tag():
    entries = table("judge", "causes")
    assert entries["severity"]["tag"] == entries["glitter"]["tag"] == "judgement"
    assert sum(cause.prior for cause in causes()) == pytest.approx(1.05, abs=0.051)

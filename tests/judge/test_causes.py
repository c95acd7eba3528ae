"""The causes weighed together: against enumeration with SciPy's densities, and what they must say."""

import copy
import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import multivariate_normal, nbinom

from lees.judge.causes import (
    Evidence,
    Glitter,
    Told,
    explanations,
    next_check,
    weigh,
    weigh_many,
)
from lees.judge.causes_table import judged_table, table_from
from lees.quantity.data import table

QUIET = {"Fe": 0.0, "Cr": 0.0, "Al": 0.0, "Cu": 0.0, "Pb": 0.0, "Sn": 0.0, "Si": 0.0, "Na": 0.0}


def evidence(ratios=None, glitter=None, circumstances=(), fluids=None, **signs):
    ratios = QUIET if ratios is None else ratios
    return Evidence(
        log_ratio=ratios,
        log_uncertainty=dict.fromkeys(ratios, 0.1),
        glitter=glitter or Glitter(),
        circumstances=frozenset(circumstances),
        fluids=fluids or {},
        signs=signs,
    )


def few(*keys):
    """Return the shipped table cut down to a few causes."""
    entries = copy.deepcopy(table("judge", "causes"))
    entries["cause"] = {key: entries["cause"][key] for key in keys}
    return table_from(entries)


SMALL = few("running_in", "dust", "overlay", "backing", "sheared", "fuel", "drain_back", "swarf")


def enumerated(case, cut):
    """Return each cause's probability by summing over every combination with SciPy's densities."""
    scale, causes = cut.scale, cut.causes
    keys = sorted(case.log_ratio)
    y = np.array([case.log_ratio[key] for key in keys])
    doubt = np.array([case.log_uncertainty[key] for key in keys])
    rho = scale["correlation"]
    base = case.deviation**2 * (
        (1 - rho) * np.eye(len(keys)) + rho * np.ones((len(keys), len(keys)))
    ) + np.diag(doubt**2)
    total, each = 0.0, np.zeros(len(causes))
    for combination in itertools.product((0, 1), repeat=len(causes)):
        on = [c for c, there in zip(causes, combination, strict=True) if there]
        p = 1.0
        for cause, there in zip(causes, combination, strict=True):
            off = (1 - cause.prior) * math.prod(1 - o.leads_to.get(cause.key, 0) for o in on)
            raised = math.prod(cause.odds[k] for k in case.circumstances if k in cause.odds)
            prior = (1 - off) * raised / (off + (1 - off) * raised)
            p *= prior if there else 1 - prior
        mean, spread = np.zeros(len(keys)), base.copy()
        for cause in on:
            pattern = np.array([cause.elements.get(key, 0.0) for key in keys])
            mean = mean + cause.severity[0] * pattern
            spread = spread + cause.severity[1] ** 2 * np.outer(pattern, pattern)
        p *= multivariate_normal(mean, spread).pdf(y)
        names = sorted(case.fluids)
        usual = {f.key: f for f in cut.fluids}
        mean = np.array([usual[n].usual for n in names])
        spread = np.diag([usual[n].deviation ** 2 + case.fluids[n].doubt ** 2 for n in names])
        for cause in on:
            pattern = np.array([cause.fluids.get(n, 0.0) for n in names])
            mean = mean + cause.severity[0] * pattern
            spread = spread + cause.severity[1] ** 2 * np.outer(pattern, pattern)
        p *= multivariate_normal(mean, spread).pdf([case.fluids[n].value for n in names])
        gain = 1 + sum(cause.glitter for cause in on)
        rate = cut.glitter["middle"] * gain * case.glitter.area_cm2 / 100
        shape, share = cut.glitter["shape"], cut.glitter["unexplained"]
        p *= (1 - share) * nbinom(shape, shape / (shape + rate)).pmf(case.glitter.count) + (
            share
        ) * nbinom(shape, shape / (shape + cut.glitter["unexplained_factor"] * rate)).pmf(
            case.glitter.count
        )
        for sign in cut.signs:
            if sign.key in case.signs and any(sign.key in c.signs for c in causes):
                under = np.cumsum(sign.usual)
                for cause in on:
                    under = under * np.cumsum(
                        cause.signs.get(sign.key, (1,) + (0,) * 9)[: len(under)]
                    )
                level = case.signs[sign.key]
                at = under[level] - (under[level - 1] if level else 0)
                p *= (1 - scale["mistaken"]) * at + scale["mistaken"] / len(under)
        total += p
        each += p * np.array(combination)
    return each / total


@pytest.mark.parametrize(
    "case",
    [
        evidence(
            {"Fe": 0.4, "Pb": 1.1, "Sn": 0.9, "Cu": 0.8},
            Glitter(14, 180.0),
            fluids={"viscosity": Told(-1.9, 0.3), "flash": Told(2.5, 0.4), "fuel": Told(1.2, 0.6)},
            magnet=1,
            drain_back=2,
            pressure=1,
            yellow=0,
        ),
        evidence(
            {"Fe": 0.9, "Si": 0.9, "Al": 0.6},
            Glitter(25, 250.0),
            ["swarf_not_wiped", "old_engine"],
            fluids={"viscosity": Told(-0.2, 0.1)},
            magnet=2,
            grit=0,
        ),
    ],
)
def test_the_inference_equals_enumeration_over_all_combinations(case):
    found = weigh(case, SMALL)
    expected = enumerated(case, SMALL)
    assert max(expected) < 0.98  # or the cap would hide a difference
    for cause, probability in zip(SMALL.causes, expected, strict=True):
        assert found.of(cause.key).probability == pytest.approx(probability, abs=1e-9)
    harmful = [i for i, c in enumerate(SMALL.causes) if c.harm]
    assert found.harm >= max(expected[i] for i in harmful) - 1e-9


def test_a_batch_gives_what_each_case_gives_by_itself():
    cases = [
        evidence(),
        evidence({**QUIET, "Si": 1.5, "Al": 0.8}),
        evidence(glitter=Glitter(40, 100.0), magnet=2),
        Evidence(),
        evidence({"Na": 2.0}, glycol=1),
        evidence({}, fluids={"viscosity": Told(-3.0, 0.2)}),
    ]
    together = weigh_many(cases)
    for case, one in zip(cases, together, strict=True):
        alone = weigh(case)
        assert one.harm == pytest.approx(alone.harm, abs=1e-12)
        for weighed in alone:
            assert one.of(weighed.cause.key).probability == pytest.approx(
                weighed.probability, abs=1e-12
            )


def test_evidence_of_one_cause_explains_another_away():
    """Silicon alone raises dust and sealant; crumbs of sealant then lower dust."""
    silicon = weigh(evidence({**QUIET, "Si": 1.6}))
    seen = weigh(evidence({**QUIET, "Si": 1.6}, silicone=1))
    assert seen.of("sealant").probability > silicon.of("sealant").probability
    assert seen.of("dust").probability < silicon.of("dust").probability
    metal = weigh(evidence(glitter=Glitter(40, 150.0)))
    chips = weigh(evidence(glitter=Glitter(40, 150.0), chips=1, magnet=2))
    assert chips.harm < metal.harm


def test_several_causes_at_once_are_told_together():
    both = weigh(
        evidence(
            {**QUIET, "Na": 2.2, "K": 2.2, "Si": 1.7, "Al": 0.9, "Fe": 0.6},
            glycol=1,
            grit=1,
        )
    )
    assert both.of("coolant").probability > 0.9
    assert both.of("dust").probability > 0.6


def test_quiet_oil_and_a_glittering_filter_point_to_metal_too_large_for_the_sample():
    weighed = weigh(evidence(glitter=Glitter(60, 200.0), circumstances=["swarf_wiped"]))
    harmful = [one for one in weighed if one.cause.harm]
    assert harmful[0].cause.key == "large_metal"
    assert weighed.harm > 0.4
    assert weighed.harm > 10 * weigh(evidence(glitter=Glitter(1, 200.0))).harm


def test_loud_oil_and_a_clean_filter_point_to_leaching_rather_than_to_a_bearing():
    copper = {**QUIET, "Cu": 1.6, "Pb": 0.4}
    clean = weigh(evidence(copper, Glitter(0, 400.0), yellow=0))
    glittering = weigh(evidence(copper, Glitter(80, 400.0), yellow=1))
    assert clean.of("cooler").probability > 0.6
    assert clean.of("backing").probability < 0.05
    assert glittering.of("backing").probability > 0.5
    assert glittering.harm > 0.8
    assert clean.harm < 0.2


def test_overlay_comes_before_lining():
    early = weigh(evidence({**QUIET, "Pb": 1.5, "Sn": 1.0}))
    late = weigh(evidence({**QUIET, "Pb": 1.2, "Sn": 0.7, "Cu": 1.5}, Glitter(90, 300.0), yellow=1))
    assert early.of("overlay").probability > 0.6 > early.of("backing").probability
    assert late.of("backing").probability > 0.8


def test_metal_left_from_an_unwiped_cut_is_partly_explained_away():
    wiped = weigh(evidence(glitter=Glitter(30, 200.0), circumstances=["swarf_wiped"]))
    unwiped = weigh(evidence(glitter=Glitter(30, 200.0), circumstances=["swarf_not_wiped"]))
    assert unwiped.of("swarf").probability > wiped.of("swarf").probability
    assert unwiped.harm < wiped.harm


def test_silicon_with_aluminium_is_dust_and_alone_after_gasket_work_is_sealant():
    dust = weigh(evidence({**QUIET, "Si": 1.4, "Al": 0.7, "Fe": 0.5}))
    sealant = weigh(evidence({**QUIET, "Si": 1.4}, circumstances=["sealed"]))
    assert dust.of("dust").probability > dust.of("sealant").probability
    assert sealant.of("sealant").probability > sealant.of("dust").probability


def test_an_engine_that_always_shows_this_much_is_held_against_itself():
    high = {**QUIET, "Fe": 0.9, "Cr": 0.8, "Al": 0.6}
    alone = weigh(evidence(high))
    case = evidence(high)
    always = Evidence(
        log_ratio=case.log_ratio,
        log_uncertainty=case.log_uncertainty,
        past={"Fe": (0.45, 0.4, 0.44), "Cr": (0.4, 0.45, 0.42), "Al": (0.45, 0.4, 0.4)},
    )
    fresh = Evidence(
        log_ratio=case.log_ratio,
        log_uncertainty=case.log_uncertainty,
        past={"Fe": (-0.3, -0.2, -0.3), "Cr": (-0.2, -0.3, -0.2), "Al": (-0.2, -0.2, -0.3)},
    )
    assert weigh(always).harm < alone.harm < weigh(fresh).harm


def test_one_absurd_figure_is_weighed_as_a_misprint():
    absurd = weigh(evidence({**QUIET, "Fe": 6.0}))
    assert absurd.of("misprint").probability > 0.8
    assert absurd.harm < 0.2


def test_one_sample_never_makes_a_failure_certain():
    extreme = {**QUIET, "Pb": 5.0, "Sn": 4.0, "Cu": 4.0}
    weighed = weigh(
        evidence(extreme, Glitter(5000, 100.0), circumstances=["swarf_wiped"], yellow=1)
    )
    assert weighed.harm <= 0.98
    assert all(one.probability <= 0.98 for one in weighed)
    assert all(one.likelihood.value != "virtually certain" for one in explanations(weighed))


def test_weights_are_what_leaving_a_piece_out_does_to_the_odds():
    case = evidence({"Pb": 1.3, "Sn": 0.9, "Cu": 0.6}, Glitter(20, 150.0), soft=1, magnet=1)
    found = weigh(case, SMALL).of("overlay")

    def odds(one):
        p = weigh(one, SMALL).of("overlay").probability
        return 10 * math.log10(p / (1 - p))

    without_soft = evidence(case.log_ratio, case.glitter, magnet=1)
    without_metal = evidence(case.log_ratio, soft=1, magnet=1)
    without_lead = evidence({"Sn": 0.9, "Cu": 0.6}, case.glitter, soft=1, magnet=1)
    for name, other in (
        ("dull grey metal that smears", without_soft),
        ("bright metal on the media", without_metal),
        ("lead", without_lead),
    ):
        assert found.weights_db[name] == pytest.approx(odds(case) - odds(other), abs=1e-6), name


def test_what_was_not_looked_at_is_named():
    weighed = weigh(evidence({**QUIET, "Pb": 1.6, "Sn": 1.0}))
    assert "whether the metal smears" in weighed.of("overlay").unseen
    assert "the media, for bright metal" in weighed.of("overlay").unseen
    seen = weigh(evidence({**QUIET, "Pb": 1.6, "Sn": 1.0}, soft=1))
    assert "whether the metal smears" not in seen.of("overlay").unseen


@pytest.mark.parametrize(
    ("case", "says"),
    [
        (evidence({**QUIET, "Si": 1.1, "Al": 0.5}), "air filter"),
        (evidence({**QUIET, "Na": 1.0, "K": 0.9}, water=0), "pressure-test"),
        (evidence({}, fluids={"viscosity": Told(-1.6, 0.2)}), "fuel by gas chromatography"),
        (evidence(glitter=Glitter(30, 200.0)), "shape"),
    ],
)
def test_the_check_worth_most_speaks_to_what_is_open(case, says):
    assert says in next_check(weigh(case)).name


def test_nothing_is_worth_a_check_where_all_is_quiet():
    assert next_check(weigh(evidence(glitter=Glitter(1, 300.0), magnet=0))) is None


def test_the_information_of_a_check_equals_that_of_enumeration():
    """Mutual information of a pressure test and coolant: two numbers, by hand."""
    weighed = weigh(evidence({**QUIET, "Na": 1.0, "K": 1.0}))
    p = weighed.of("coolant").probability
    found = next(one for one in weighed.checks if "pressure-test" in one.name)

    def entropy(x):
        return -x * math.log2(x) - (1 - x) * math.log2(1 - x)

    off, on = 0.03, 1 - 0.97 * 0.15
    shows = p * on + (1 - p) * off
    expected = entropy(shows) - p * entropy(on) - (1 - p) * entropy(off)
    assert found.bits == pytest.approx(expected, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(
    st.dictionaries(st.sampled_from([*sorted(QUIET), "K", "Ni"]), st.floats(-12, 12)),
    st.one_of(st.none(), st.integers(0, 100_000)),
    st.sampled_from([None, "none", "a few", "some", "much"]),
    st.dictionaries(
        st.sampled_from([s.key for s in judged_table().signs]), st.integers(0, 1), max_size=8
    ),
    st.dictionaries(
        st.sampled_from([f.key for f in judged_table().fluids]),
        st.floats(-300, 300).map(lambda v: Told(v, 0.2)),
    ),
)
def test_probabilities_stay_probabilities_whatever_is_seen(ratios, count, word, signs, fluids):
    glitter = Glitter(count, 150.0 if count is not None else None, word)
    weighed = weigh(evidence(ratios, glitter, fluids=fluids, **signs))
    for one in weighed:
        assert 0 <= one.probability <= 0.98
        assert all(math.isfinite(weight) for weight in one.weights_db.values())
    assert 0 <= weighed.harm <= 0.98
    assert all(math.isfinite(check.bits) for check in weighed.checks)
    explanations(weighed)


def test_every_entry_of_the_table_carries_a_tag_and_its_references_exist():
    entries = table("judge", "causes")
    for part in ("scale", "glitter", "additives"):
        assert "judgement" in entries[part]["tag"]
    told = set(entries["circumstance_name"])
    assert set(entries["circumstance"]) <= told
    for group in ("cause", "sign", "fluid", "check"):
        for key, entry in entries[group].items():
            assert "judgement" in entry["tag"], (group, key)
    for key, entry in entries["cause"].items():
        assert set(entry.get("signs", {})) <= set(entries["sign"]), key
        assert set(entry.get("fluids", {})) <= set(entries["fluid"]), key
        assert set(entry.get("leads_to", {})) <= set(entries["cause"]), key
        assert set(entry.get("odds", {})) <= told, key
    for key, entry in entries["check"].items():
        assert set(entry["shows"]) <= set(entries["cause"]), key
    for sign in judged_table().signs:
        for shares in (
            sign.usual,
            *(c.signs[sign.key] for c in judged_table().causes if sign.key in c.signs),
        ):
            assert len(shares) == len(sign.levels), sign.key
            assert sum(shares) == pytest.approx(1.0), sign.key

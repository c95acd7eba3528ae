"""The pooled fit: MixedLM where readings are exact, a brute-force sampler where they are not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers
from lees.wear.peer_fit import Prior, Priors, fitted
from lees.wear.pooling import Cells, Spreads, Start

FLAT = Priors(
    Start(2.0, 1e3),
    Prior(np.log(0.3), 1e2),
    Prior(np.log(0.3), 1e2),
    Prior(np.log(0.5), 1e2),
    Prior(1.0, 1e2),
)
WEAK = Priors(
    Start(1.0, 1.0),
    Prior(np.log(0.3), 0.5),
    Prior(np.log(0.3), 0.5),
    Prior(np.log(0.5), 0.5),
    Prior(0.9, 0.2),
)
TRUTH = Spreads(0.30, 0.35, 0.50, 0.85)


def drawn(
    families: int, engines: int, readings: int, seed: int, level: float = 2.0
) -> tuple[Numbers, Cells]:
    """Draw logarithms from the model itself and return them with cells that hold them exactly."""
    rng = np.random.default_rng(seed)
    family_of = np.repeat(np.arange(families), engines)
    engine = np.repeat(np.arange(families * engines), readings)
    log_run = rng.normal(0.0, 0.4, len(engine))
    family = level + TRUTH.families * rng.normal(size=families)
    own = TRUTH.engines * rng.normal(size=families * engines)
    y = (family[family_of] + own)[engine] + TRUTH.power * log_run
    y += TRUTH.scatter * rng.normal(size=len(y))
    return y, Cells(y, y, log_run, np.ones(len(y)), engine, family_of, families)


def rounded(y: Numbers, cells: Cells) -> Cells:
    """Return the cells after a laboratory has rounded to whole units."""
    printed = np.round(np.exp(y))
    low = np.log(np.maximum(printed - 0.5, 1e-300))
    return Cells(
        np.where(printed > 0, low, -np.inf), np.log(printed + 0.5), cells.log_run, cells.count,
        cells.engine, cells.family_of, cells.families,
    )  # fmt: skip


@pytest.mark.filterwarnings("ignore")
def test_exact_readings_fit_as_a_linear_mixed_model() -> None:
    """As statsmodels' MixedLM (restricted maximum likelihood), families and engines nested."""
    import pandas as pd
    import statsmodels.formula.api as smf

    y, cells = drawn(30, 10, 4, seed=1)
    ours = fitted(cells, FLAT)
    frame = pd.DataFrame(
        {"y": y, "x": cells.log_run, "f": cells.family_of[cells.engine], "e": cells.engine}
    )
    theirs = smf.mixedlm(
        "y ~ x", frame, groups="f", vc_formula={"e": "0 + C(e)"}, re_formula="1"
    ).fit(reml=True)
    assert ours.settled
    assert ours.levels.overall == pytest.approx(theirs.params["Intercept"], abs=1e-4)
    assert ours.spreads.power == pytest.approx(theirs.params["x"], abs=1e-4)
    assert ours.spreads.scatter == pytest.approx(theirs.scale**0.5, rel=1e-3)
    assert ours.spreads.engines == pytest.approx(theirs.vcomp[0] ** 0.5, rel=1e-3)
    assert ours.spreads.families == pytest.approx(float(theirs.cov_re.iloc[0, 0]) ** 0.5, rel=1e-3)
    assert np.sqrt(ours.covariance[3, 3]) == pytest.approx(theirs.bse["x"], rel=0.02)


def test_counts_are_as_good_as_rows() -> None:
    y, cells = drawn(8, 5, 3, seed=2)
    once = rounded(y, cells)
    twice = Cells(
        np.tile(once.low, 2), np.tile(once.high, 2), np.tile(once.log_run, 2),
        np.ones(2 * len(y)), np.tile(once.engine, 2), once.family_of, once.families,
    )  # fmt: skip
    counted = Cells(
        once.low, once.high, once.log_run, np.full(len(y), 2.0), once.engine, once.family_of, 8
    )
    one, other = fitted(twice, WEAK), fitted(counted, WEAK)
    assert one.spreads.scatter == pytest.approx(other.spreads.scatter, rel=1e-6)
    assert one.levels.family == pytest.approx(other.levels.family, abs=1e-6)


def test_no_readings_give_the_priors_back() -> None:
    none = np.empty(0)
    index = np.empty(0, dtype=np.intp)
    found = fitted(Cells(none, none, none, none, index, index, 0), WEAK)
    assert found.spreads.scatter == pytest.approx(0.3)
    assert found.levels.overall == 1.0
    assert found.levels.overall_variance == pytest.approx(1.0)


def test_all_zeros_stay_wide_and_finite() -> None:
    zeros = Cells(
        np.full(6, -np.inf), np.full(6, np.log(0.5)), np.zeros(6), np.ones(6),
        np.arange(6), np.zeros(6, dtype=np.intp), 1,
    )  # fmt: skip
    found = fitted(zeros, WEAK)
    assert found.levels.family[0] < np.log(0.5)
    assert found.levels.family_variance[0] > 0.1


def test_a_stray_reading_hardly_moves_the_spreads() -> None:
    y, cells = drawn(10, 8, 4, seed=3)
    clean = rounded(y, cells)
    y = y.copy()
    y[::40] += np.log(10)
    dirty = rounded(y, cells)
    robust = replace(WEAK, strays=Prior(-4.0, 0.7))
    plain, moved = fitted(clean, WEAK), fitted(dirty, WEAK)
    held = fitted(dirty, robust)
    assert moved.spreads.scatter > 1.3 * plain.spreads.scatter
    assert held.spreads.scatter == pytest.approx(plain.spreads.scatter, rel=0.1)
    assert 0.005 < held.spreads.strays < 0.06


def test_an_interval_upside_down_is_refused() -> None:
    y, cells = drawn(2, 2, 2, seed=4)
    wrong = Cells(y + 1, y, cells.log_run, cells.count, cells.engine, cells.family_of, 2)
    with pytest.raises(OutOfRange):
        fitted(wrong, WEAK)

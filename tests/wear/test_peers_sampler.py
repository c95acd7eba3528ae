"""The pooled fit against a long brute-force sampler of the same model, within Monte Carlo error."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtr, ndtri

from lees.quantity.arrays import Numbers
from lees.wear.peer_fit import fitted
from lees.wear.pooling import Cells
from wear.test_peer_fit import WEAK, drawn, rounded

KEPT, BURNT = 24_000, 3_000


def sampled(cells: Cells, seed: int) -> dict[str, Numbers]:
    """Draw from the posterior: data augmentation for rounding, Gibbs for levels, Metropolis for spreads.

    Each draw fills in the unrounded readings from truncated normals, then draws levels given them
    (conjugate), and last each spread on its logarithm by random-walk Metropolis.
    """
    rng = np.random.default_rng(seed)
    engines, families = len(cells.family_of), cells.families
    own, family, overall, power = np.zeros(engines), np.full(families, 1.0), 1.0, 0.9
    log_sd = np.log([0.3, 0.3, 0.5])
    priors = [WEAK.scatter, WEAK.engines, WEAK.families]
    per_engine = np.bincount(cells.engine, minlength=engines)
    per_family = np.bincount(cells.family_of, minlength=families)
    kept: dict[str, list[object]] = {k: [] for k in ("sd", "power", "overall", "family")}
    for turn in range(BURNT + KEPT):
        scatter, between, among = np.exp(log_sd)
        centre = (family[cells.family_of] + own)[cells.engine] + power * cells.log_run
        below, above = ndtr((cells.low - centre) / scatter), ndtr((cells.high - centre) / scatter)
        drawn_at = below + rng.random(len(centre)) * (above - below)
        y = centre + scatter * ndtri(np.clip(drawn_at, 1e-15, 1 - 1e-15))
        rest = y - power * cells.log_run
        # Engines' own, then families, then the level of all, then the power.
        residual = np.bincount(cells.engine, rest - family[cells.family_of][cells.engine], engines)
        precision = per_engine / scatter**2 + 1 / between**2
        own = residual / scatter**2 / precision + rng.normal(size=engines) / np.sqrt(precision)
        # The family's level is drawn with its engines' levels given: the hierarchy is centred.
        level = family[cells.family_of] + own
        precision = per_family / between**2 + 1 / among**2
        mean = np.bincount(cells.family_of, level, families) / between**2 + overall / among**2
        family = mean / precision + rng.normal(size=families) / np.sqrt(precision)
        own = level - family[cells.family_of]
        precision_all = families / among**2 + 1 / WEAK.level.deviation**2
        mean_all = family.sum() / among**2 + WEAK.level.level / WEAK.level.deviation**2
        overall = mean_all / precision_all + rng.normal() / np.sqrt(precision_all)
        t = cells.log_run
        left = y - level[cells.engine]
        precision_b = t @ t / scatter**2 + 1 / WEAK.power.deviation**2
        mean_b = t @ left / scatter**2 + WEAK.power.middle / WEAK.power.deviation**2
        power = mean_b / precision_b + rng.normal() / np.sqrt(precision_b)
        parts = [left - power * t, own, family - overall]
        for k, part in enumerate(parts):
            squares, number = float(part @ part), len(part)

            def log_density(
                x: float, k: int = k, squares: float = squares, n: int = number
            ) -> float:
                prior = ((x - priors[k].middle) / priors[k].deviation) ** 2
                return -n * x - 0.5 * squares * np.exp(-2 * x) - 0.5 * prior

            for _ in range(2):
                step = log_sd[k] + rng.normal() * 1.7 / np.sqrt(2 * number + 4)
                if np.log(rng.random()) < log_density(step) - log_density(log_sd[k]):
                    log_sd[k] = step
        if turn >= BURNT:
            kept["sd"].append(np.exp(log_sd))
            kept["power"].append(power)
            kept["overall"].append(overall)
            kept["family"].append(family.copy())
    return {name: np.array(values) for name, values in kept.items()}


@pytest.mark.long
@pytest.mark.parametrize(("seed", "level"), [(21, 2.0), (22, 0.3)])
def test_pooled_fit_agrees_with_a_sampler(seed: int, level: float) -> None:
    """At a level of 0.3 half of the readings are `0` or `1`: hard on any approximation."""
    y, cells = drawn(12, 8, 3, seed=seed, level=level)
    cells = rounded(y, cells)
    ours, draws = fitted(cells, WEAK), sampled(cells, seed)
    deviation = draws["sd"].std(axis=0)
    found = np.array([ours.spreads.scatter, ours.spreads.engines, ours.spreads.families])
    # The fit gives the likeliest spreads, the sampler their mean: a third of a deviation apart.
    assert np.all(np.abs(found - draws["sd"].mean(axis=0)) < 0.35 * deviation)
    assert ours.spreads.power == pytest.approx(
        draws["power"].mean(), abs=0.2 * draws["power"].std()
    )
    assert ours.levels.family == pytest.approx(
        draws["family"].mean(axis=0), abs=0.15 * draws["family"].std(axis=0).max()
    )
    assert np.sqrt(ours.levels.family_variance) == pytest.approx(
        draws["family"].std(axis=0), rel=0.15
    )
    assert ours.levels.overall == pytest.approx(
        draws["overall"].mean(), abs=0.15 * draws["overall"].std()
    )

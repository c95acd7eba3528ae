"""Stated uncertainty against real error: fleets drawn from physics, engines never seen before."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.stats import kstest

from lees.wear.peer_counts import peers_of
from lees.wear.placing import Asked, placed
from truth.fleet.counted import counted, reading
from truth.fleet.engines import ELEMENTS
from truth.fleet.reports import Fleet, Size, draw_fleet


@dataclass(frozen=True)
class Calibration:
    """What came out: coverage of unrounded and of rounded readings, and ranks for uniformity."""

    engines: int
    latent: float
    rounded: float
    own: float
    ranks: np.ndarray


def calibrate(fleet: Fleet, key: str, most: int, seed: int = 3) -> Calibration:
    """Fit on some engines and place one healthy sample each of others, of the same families."""
    rng = np.random.default_rng(seed)
    k = ELEMENTS.index(key)
    train = rng.random(len(fleet.engines.family)) < 0.5
    model = peers_of(counted(fleet, key, by_hours=False, engines=train))
    rows = np.flatnonzero(
        ~train[fleet.engine] & ~fleet.families.by_hours[fleet.family] & fleet.healthy
        & ~fleet.printed.stray[:, k]
    )  # fmt: skip
    rows = rng.permutation(rows)
    rows = rows[np.unique(fleet.engine[rows], return_index=True)[1]][:most]
    latent, around, own, ranks = [], [], [], []
    for row in rows:
        past = tuple(reading(fleet, key, q) for q in range(row - fleet.fill[row], row))
        family = fleet.families.name[fleet.family[row]]
        found = placed(model, Asked(reading(fleet, key, row), family, past=past))
        true, printed = fleet.printed.found[row, k], fleet.printed.value[row, k]
        half = fleet.printed.step[row, k] / 2
        latent.append(found.low <= true <= found.high)
        around.append(found.low <= printed + half and printed - half <= found.high)
        ranks.append(rng.uniform(found.ends.low, found.ends.high))
        if found.own is not None:
            own.append(found.own.low <= true <= found.own.high)
    return Calibration(
        len(rows),
        float(np.mean(latent)),
        float(np.mean(around)),
        float(np.mean(own)),
        np.array(ranks),
    )


@pytest.mark.long
@pytest.mark.parametrize("key", ["Fe", "Cu", "Si"])
def test_ninety_per_cent_intervals_cover_ninety(key: str) -> None:
    fleet = draw_fleet(7, Size(60, 120, 3))
    found = calibrate(fleet, key, 4000)
    assert found.engines >= 2000
    assert found.latent == pytest.approx(0.90, abs=0.02)
    assert found.own == pytest.approx(0.90, abs=0.03)
    assert found.rounded >= found.latent
    assert kstest(found.ranks, "uniform").statistic < 0.035


def test_a_small_fleet_is_covered_too() -> None:
    """Four hundred engines: three standard errors of a share of 0.9 are 4.5 %."""
    found = calibrate(draw_fleet(5, Size(25, 40, 3)), "Fe", 400)
    assert found.engines > 300
    assert found.latent == pytest.approx(0.90, abs=0.045)
    assert kstest(found.ranks, "uniform").pvalue > 0.001


def test_the_fleet_has_what_makes_it_hard() -> None:
    """Over-dispersion, slips, unequal engines, families from one engine up, faults that show."""
    fleet = draw_fleet(5, Size(40, 60, 3))
    per_family = np.bincount(fleet.engines.family)
    assert per_family.min() <= 3
    assert per_family.max() > 150
    assert 0.003 < fleet.printed.stray.mean() < 0.01
    assert 0.01 < (~fleet.healthy).mean() < 0.06
    iron = np.log(fleet.content[:, 0] / fleet.run)
    within = [np.std(iron[fleet.family == f]) for f in np.flatnonzero(per_family > 50)]
    assert min(within) > 0.35
    again = draw_fleet(5, Size(40, 60, 3))
    assert np.array_equal(fleet.printed.value, again.printed.value)

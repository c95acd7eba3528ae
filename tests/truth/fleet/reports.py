"""A fleet's oil reports: engines run fill after fill, and laboratories print what they find."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from truth.fleet.engines import (
    ALLOYS,
    ELEMENTS,
    FUELS,
    PAIRS,
    Engines,
    Families,
    Index,
    Numbers,
    draw_engines,
    draw_families,
)
from truth.fleet.faults import FAULTS, draw_faults
from truth.fleet.laboratory import Laboratories, Printed, draw_laboratories, printed_by

ALLOY = np.array([[ALLOYS[pair].get(key, 0.0) for key in ELEMENTS] for pair in PAIRS])
AT = {key: k for k, key in enumerate(ELEMENTS)}
DUST = {"Si": 0.34, "Al": 0.06, "K": 0.02, "Na": 0.02}
CRUST = np.array([DUST.get(key, 0.0) for key in ELEMENTS])


@dataclass(frozen=True)
class Fleet:
    """Samples of a fleet, one row each, in the order of engines and fills."""

    families: Families
    engines: Engines
    laboratories: Laboratories
    engine: Index
    fill: Index
    run: Numbers  # km or h, as the family counts
    top_up: Numbers  # share of the sump
    fresh: Numbers  # samples × elements
    content: Numbers  # the truth, samples × elements
    printed: Printed
    fault: Index
    starts: Numbers
    dust: Numbers

    @property
    def family(self) -> Index:
        """The family of each sample."""
        return self.engines.family[self.engine]

    @property
    def healthy(self) -> NDArray[np.bool_]:
        """Samples of engines with nothing wrong."""
        return self.fault == 0

    def fuel(self, sample: int) -> str:
        """Return what a sample's engine burns."""
        return FUELS[self.families.fuel[self.family[sample]]]


@dataclass(frozen=True)
class Size:
    """How large a fleet is: families, engines in each on average, fills of each on average."""

    families: int = 40
    engines: float = 30.0
    fills: float = 4.0


def draw_fleet(seed: int, size: Size = Size()) -> Fleet:
    """Draw a fleet and run it; families are of very unequal size, and so are histories."""
    rng = np.random.default_rng(seed)
    families = draw_families(rng, size.families)
    per_family = 1 + rng.negative_binomial(0.7, 0.7 / (0.7 + size.engines - 1), size.families)
    engines = draw_engines(rng, families, per_family)
    return run_fleet(rng, families, engines, size.fills)


def run_fleet(
    rng: np.random.Generator, families: Families, engines: Engines, mean_fills: float
) -> Fleet:
    """Run engines fill after fill: the balance of each sump goes on from the fill before."""
    count = len(engines.family)
    fills = 1 + np.minimum(rng.geometric(1 / mean_fills, count) - 1, int(6 * mean_fills))
    faults = draw_faults(rng, fills)
    laboratories = draw_laboratories(rng)
    fresh = _fresh_oils(rng)[engines.oil]
    sump, usual = families.sump_kg[engines.family], families.usual_run[engines.family]
    before, age = fresh + 0.0, engines.age.copy()
    rows: dict[str, list[np.ndarray]] = {}
    for k in range(int(fills.max())):
        here = np.flatnonzero(fills > k)
        run = usual[here] * engines.run[here] * rng.gamma(12.0, 1 / 12.0, len(here))
        run = np.maximum(run, 0.08 * usual[here])
        starts = engines.starts[here] * rng.gamma(8.0, 1 / 8.0, len(here))
        dust = engines.dust[here] * rng.gamma(5.0, 1 / 5.0, len(here))
        rate = _shed(
            families, engines, here, age=age[here], starts=starts, dust=dust, fault=faults[here, k]
        )
        # Additives tire and dirt gathers: the second half of a long run wears a little more.
        rate *= (1 + 0.12 * run / usual[here])[:, None]
        rate *= rng.gamma(25.0, 1 / 25.0, rate.shape)
        keeps = engines.keeps[here][:, None]
        start = keeps * before[here] + (1 - keeps) * fresh[here]
        lost = engines.loses[here] * run / usual[here] * rng.uniform(0.6, 1.4, len(here))
        content = _after(start, fresh[here], rate * (run / sump[here])[:, None], lost[:, None])
        added = np.array([[f.adds.get(key, 0.0) for key in ELEMENTS] for f in FAULTS])
        content += (
            added[faults[here, k]]
            * rng.gamma(2.0, 0.5, (len(here), 1))
            * (run / usual[here])[:, None]
        )
        before[here], age[here] = content, age[here] + run
        for name, value in {
            "engine": here, "fill": np.full(len(here), k), "run": run, "top_up": lost,
            "fresh": fresh[here], "content": content, "fault": faults[here, k],
            "starts": starts, "dust": dust,
        }.items():  # fmt: skip
            rows.setdefault(name, []).append(value)
    joined = {name: np.concatenate(parts) for name, parts in rows.items()}
    order = np.lexsort((joined["fill"], joined["engine"]))
    joined = {name: values[order] for name, values in joined.items()}
    engine = joined["engine"]
    by_hours = families.by_hours[engines.family[engine]]
    joined["run"] = np.round(joined["run"] * np.where(by_hours, 100.0, 1000.0))
    printed = printed_by(rng, laboratories, engines.laboratory[engine], joined["content"])
    return Fleet(families, engines, laboratories, printed=printed, **joined)


def _fresh_oils(rng: np.random.Generator) -> Numbers:
    """Return the fresh oils' contents, products × elements: silicon, sodium, a trace of the rest."""
    oils = np.zeros((8, len(ELEMENTS)))
    oils[:, AT["Si"]] = rng.uniform(3, 7, 8)
    oils[:, AT["Na"]] = rng.uniform(0.5, 3, 8)
    oils[:, AT["K"]] = rng.uniform(0.2, 1, 8)
    oils[:, AT["Fe"]] = rng.uniform(0.1, 0.8, 8)
    return oils


def _shed(
    families: Families, engines: Engines, here: Index, *, age: Numbers, starts: Numbers,
    dust: Numbers, fault: Index,
) -> Numbers:  # fmt: skip
    """Return what each engine sheds of each element, in mg per thousand km or hundred hours."""
    family = engines.family[here]
    running_in = 1 + 2.5 * np.exp(-age / 8.0)
    pairs = families.pair_mg[family] * engines.wear[here] * running_in[:, None]
    at_start = np.array([0.35, 0.25, 0.75, 0.30, 0.30])  # the part of wear that starts make
    pairs *= 1 - at_start + at_start * starts[:, None]
    # Dust laps rings and pistons.
    breathed = dust * np.array([f.dust for f in FAULTS])[fault]
    pairs[:, [0, 3]] *= (0.75 + 0.25 * breathed)[:, None]
    pairs *= np.array([[f.pairs.get(pair, 1.0) for pair in PAIRS] for f in FAULTS])[fault]
    shed = pairs @ ALLOY
    shed += (families.dust_mg[family] * breathed)[:, None] * CRUST
    shed[:, AT["Cu"]] += families.leach_mg[family] * (0.3 + 2.0 * np.exp(-age / 40.0))
    shed[:, AT["Na"]] += 0.15 * families.sump_kg[family] * starts
    shed[:, AT["K"]] += 0.08 * families.sump_kg[family] * starts
    return shed


def _after(start: Numbers, fresh: Numbers, shed: Numbers, lost: Numbers) -> Numbers:
    """Return contents at the end of a fill that lost oil with its metals and was kept full."""
    kept = np.exp(-lost)
    mean = np.where(lost > 1e-9, (1 - kept) / np.where(lost > 1e-9, lost, 1.0), 1.0)
    return kept * start + (1 - kept) * fresh + mean * shed

"""From counted readings of one measurand to its peers: which cells fit what, and what is kept.

The spreads are fitted on whole engines of all families up to a number of cells, since their own
doubt shrinks with the root of it; the levels of families are fitted on all cells. Cost grows with
cells, not with readings.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.special import ndtr

from lees.quantity.arrays import Numbers
from lees.wear.peer_fit import Fitted, fitted
from lees.wear.peers import MOST_MEMBERS, Diagnostics, FamilyKnown, MeasurandPeers, Member
from lees.wear.pooling import Cells, Index, Means, Pooled, pooled
from lees.wear.printed_mean import PrintedMean, mean_of_family
from lees.wear.starting import level_tag, reference_run, starting_priors, starting_spreads

CELLS_FOR_SPREADS = 6000


@dataclass(frozen=True, slots=True)
class Counted:
    """Counted readings of one measurand and kind of run.

    `cells` hold logarithms of what engines added, and of the run over the reference run.
    `engine_keys` name the engines by letters that tell nothing of whose they are; `sources` counts
    the samples of each family by where they came from.
    """

    key: str
    run_unit: str
    cells: Cells
    families: Sequence[str]
    engine_keys: Sequence[str]
    sources: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    means: Mapping[str, Sequence[PrintedMean]] = field(default_factory=dict)

    @property
    def digest(self) -> str:
        """A digest of all that the fit depends on, by which an unchanged measurand is known."""
        made = hashlib.sha256(repr((self.key, self.run_unit, CELLS_FOR_SPREADS)).encode())
        for name in ("low", "high", "log_run", "count", "engine", "family_of"):
            made.update(np.ascontiguousarray(getattr(self.cells, name)).tobytes())
        plain = {name: [repr(mean) for mean in means] for name, means in self.means.items()}
        sources = {name: dict(counts) for name, counts in self.sources.items()}
        made.update(repr((list(self.families), sorted(plain.items()))).encode())
        made.update(repr((list(self.engine_keys), sorted(sources.items()))).encode())
        return made.hexdigest()


def peers_of(counted: Counted) -> MeasurandPeers:
    """Return the peers of a measurand from its counted readings.

    Parameters
    ----------
    counted : Counted
        The readings; none at all gives the starting point.

    Returns
    -------
    MeasurandPeers
        Levels of all engines and of each family, spreads, and how well all are known.

    Notes
    -----
    *Valid for* contents that grow with the run: wear metals, dust, soot. *Not for* what the oil
    brings along, such as calcium.
    """
    priors = starting_priors(counted.key)
    means = _means(counted)
    # A power is known best at the middle of the runs: levels are fitted there, then moved.
    middle = _middle_run(counted.cells)
    cells = replace(counted.cells, log_run=counted.cells.log_run - middle)
    there = replace(
        priors,
        level=replace(priors.level, level=priors.level.level + priors.power.middle * middle),
    )
    moved = replace(means, level=means.level + priors.power.middle * middle)
    part = _thinned(cells)
    found = fitted(part, there, moved)
    levels = found.levels
    if len(part.engine) < len(cells.engine):
        levels = pooled(cells, found.spreads, start=there.level, means=moved)
    return _told(counted, found, levels, middle, part)


def _means(counted: Counted) -> Means:
    spreads = starting_spreads()
    listed = [
        (k, mean_of_family(list(counted.means[name]), spreads, counted.run_unit))
        for k, name in enumerate(counted.families)
        if counted.means.get(name)
    ]
    return Means(
        np.array([mean.level for _, mean in listed]),
        np.array([mean.deviation**2 for _, mean in listed]),
        np.array([k for k, _ in listed], dtype=np.intp),
    )


def _middle_run(cells: Cells) -> float:
    return float(np.average(cells.log_run, weights=cells.count)) if len(cells.log_run) else 0.0


def _thinned(cells: Cells, most: int = CELLS_FOR_SPREADS) -> Cells:
    """Return the cells of the first few engines of each family, up to a number of cells."""
    if len(cells.engine) <= most:
        return cells
    order = np.argsort(cells.family_of, kind="stable")
    first = np.searchsorted(cells.family_of[order], np.arange(cells.families))
    place = np.empty(len(order), dtype=np.intp)
    place[order] = np.arange(len(order)) - first[cells.family_of[order]]
    per_cell = place[cells.engine]
    by_place = np.cumsum(np.bincount(per_cell))
    quota = max(1, int(np.searchsorted(by_place, most, side="right")))
    kept = per_cell < quota
    engines = np.flatnonzero(place < quota)
    number = np.full(len(place), -1, dtype=np.intp)
    number[engines] = np.arange(len(engines))
    return Cells(
        cells.low[kept],
        cells.high[kept],
        cells.log_run[kept],
        cells.count[kept],
        number[cells.engine[kept]],
        cells.family_of[engines],
        cells.families,
    )


def _told(
    counted: Counted, found: Fitted, levels: Pooled, middle: float, part: Cells
) -> MeasurandPeers:
    cells, spreads = counted.cells, found.spreads
    power_deviation = math.sqrt(max(found.covariance[3, 3], 0.0))
    shift = spreads.power * middle
    per_engine = np.bincount(cells.engine, cells.count, len(cells.family_of))
    engines = np.bincount(cells.family_of, minlength=cells.families)
    samples = np.bincount(cells.family_of, per_engine, cells.families)
    members = _members(counted, levels, engines, shift)
    families = {
        name: FamilyKnown(
            level=float(levels.family[k]) - shift,
            deviation=math.sqrt(levels.family_variance[k]),
            samples=round(samples[k]),
            engines=int(engines[k]),
            sources=dict(counted.sources.get(name, {})),
            printed_means=len(set(counted.means.get(name, ()))),
            members=members.get(k, {}),
        )
        for k, name in enumerate(counted.families)
    }
    return MeasurandPeers(
        key=counted.key,
        run_unit=counted.run_unit,
        reference_run=reference_run(counted.run_unit),
        spreads=spreads,
        overall=levels.overall - shift,
        overall_deviation=math.sqrt(levels.overall_variance),
        power_deviation=power_deviation,
        degrees_of_freedom=_degrees_of_freedom(found),
        middle_log_run=middle,
        samples=round(float(cells.count.sum())),
        engines=len(cells.family_of),
        starting=level_tag(counted.key),
        families=families,
        diagnostics=_diagnostics(cells, found, levels, middle, part) if len(cells.low) else None,
        digest=counted.digest,
    )


def _members(
    counted: Counted, levels: Pooled, engines: Index, shift: float
) -> dict[int, dict[str, Member]]:
    """Return what each engine of a small family says of it."""
    found: dict[int, dict[str, Member]] = {}
    small = engines[counted.cells.family_of] <= MOST_MEMBERS
    for engine in np.flatnonzero(small).tolist():
        member = Member(
            float(levels.engine_level[engine]) - shift, float(levels.engine_precision[engine])
        )
        family = int(counted.cells.family_of[engine])
        found.setdefault(family, {})[counted.engine_keys[engine]] = member
    return found


def _degrees_of_freedom(found: Fitted) -> float:
    """Return how well the spread of one reading is known: 2 over the variance of ln s²."""
    spreads = found.spreads
    total = spreads.one_reading**2
    slope = np.zeros(len(found.covariance))
    slope[0], slope[1] = 2 * spreads.scatter**2 / total, 2 * spreads.engines**2 / total
    variance = float(slope @ found.covariance @ slope)
    return min(max(2 / variance, 3.0), 1e6) if variance > 0 else 1e6


def _diagnostics(
    cells: Cells, found: Fitted, levels: Pooled, middle: float, part: Cells
) -> Diagnostics:
    family = cells.family_of[cells.engine]
    centre = levels.family[family] + found.spreads.power * (cells.log_run - middle)
    deviation = np.sqrt(found.spreads.one_reading**2 + levels.family_variance[family])
    low, high = ndtr((cells.low - centre) / deviation), ndtr((cells.high - centre) / deviation)
    return Diagnostics(
        cells=len(cells.low),
        cells_for_spreads=len(part.low),
        evaluations=found.evaluations,
        settled=found.settled,
        bounded=float(np.average(np.isinf(cells.low) | np.isinf(cells.high), weights=cells.count)),
        inside_90=float(np.average(_overlap(low, high), weights=cells.count)),
    )


def _overlap(low: Numbers, high: Numbers) -> Numbers:
    """Return the share of each interval of probability that lies from 0.05 to 0.95."""
    width = np.maximum(high - low, 1e-12)
    inside = np.clip(np.minimum(high, 0.95) - np.maximum(low, 0.05), 0.0, None)
    middle = (low + high) / 2
    narrow = width < 1e-9
    return np.asarray(np.where(narrow, (middle >= 0.05) & (middle <= 0.95), inside / width))

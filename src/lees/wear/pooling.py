"""What engines and families tell of one another: a pooled fit at given spreads (Laplace's method).

The logarithm of a content is *family's level + engine's own + power · ln(run) + scatter*, each a
normal draw: engines borrow from their family, families from all engines (A. Gelman and J. Hill,
Data Analysis Using Regression and Multilevel/Hierarchical Models, 2007, ch. 12; from memory). The
tree of normal draws is solved by elimination, so that the cost grows with the readings alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.quantity.arrays import Numbers
from lees.wear.censored import Likelihood, with_strays

Index = NDArray[np.intp]
STEPS = 60
SETTLED = 1e-6
"""Newton's steps stop where one gains less log posterior than this: the next gains its square."""


@dataclass(frozen=True, slots=True)
class Cells:
    """Counted readings: ends of the interval in logarithms, the run's logarithm, and how many.

    `engine` numbers the engines from 0 in the cells' order, `family_of` gives each its family.
    """

    low: Numbers
    high: Numbers
    log_run: Numbers
    count: Numbers
    engine: Index
    family_of: Index
    families: int

    @property
    def middle(self) -> Numbers:
        """A finite logarithm to start from: the middle, or a little inside an open end."""
        low = np.where(np.isfinite(self.low), self.low, self.high - 1.0)
        high = np.where(np.isfinite(self.high), self.high, self.low + 1.0)
        return np.asarray((low + high) / 2)


@dataclass(frozen=True, slots=True)
class Means:
    """What printed population means say of families: level, its variance, and the family."""

    level: Numbers
    variance: Numbers
    family: Index


@dataclass(frozen=True, slots=True)
class Spreads:
    """The spreads of the model, as standard deviations of logarithms, and the power of the run."""

    scatter: float
    engines: float
    families: float
    power: float
    strays: float = 0.0

    @property
    def one_reading(self) -> float:
        """The deviation of one reading of an engine not seen before, in its family."""
        return math.hypot(self.scatter, self.engines)


@dataclass(frozen=True, slots=True)
class Start:
    """What is known of the level of all engines before any is counted: mean and deviation."""

    level: float
    deviation: float


@dataclass(frozen=True, slots=True)
class Pooled:
    """The pooled levels, at the run whose logarithm is zero, and how well the readings fit.

    `own` is each engine's departure from its family; `engine_precision` and `engine_level` are
    what each engine says of its family; `family_variance` counts the doubt of the overall level.
    """

    overall: float
    overall_variance: float
    family: Numbers
    family_variance: Numbers
    own: Numbers
    engine_precision: Numbers
    engine_level: Numbers
    log_likelihood: float


@dataclass(frozen=True, slots=True)
class _Levels:
    """The state of Newton's method, with the parts of Laplace's determinant."""

    overall: float
    family: Numbers
    own: Numbers
    overall_precision: float
    family_precision: Numbers
    engine_precision: Numbers
    engine_level: Numbers
    log_determinant: float


def pooled(
    cells: Cells, spreads: Spreads, *, start: Start, means: Means, near: Pooled | None = None
) -> Pooled:
    """Return the pooled levels of all engines, families and engines' own departures.

    Parameters
    ----------
    cells : Cells
        The counted readings.
    spreads : Spreads
        The spreads and the power of the run.
    start : Start
        What is known of the level before any engine is counted.
    means : Means
        What printed means say of the families.
    near : Pooled, optional
        The levels at spreads close by, to start from.

    Returns
    -------
    Pooled
        The most probable levels and Laplace's approximation to the log marginal likelihood.

    Notes
    -----
    Newton's method on the log-concave posterior: each step replaces a reading by a normal one of
    the same slope and curvature, and solves the tree exactly. *Valid for* any censoring; exact
    where readings are exact. *Not for* hardly informative readings alone, where Laplace's method
    understates the spreads somewhat (see the calibration in `docs/methods/peers.md`).

    References
    ----------
    .. [1] L. Tierney and J. B. Kadane, Accurate approximations for posterior moments and marginal
       densities, 1986, eq. 2.2 (from memory).
    """
    family, own = _starting_levels(cells, spreads, start, near)
    likely = _likelihood(cells, spreads, family, own)
    best = -math.inf
    for _ in range(STEPS):
        sites = _working(cells, spreads, likely, family, own)
        levels = _solved(cells, spreads, sites, start, means)
        likely = _likelihood(cells, spreads, levels.family, levels.own)
        height = _height(cells, spreads, levels, likely, start, means)
        # A full step overshoots only where a reading lies far out: then half of it is taken.
        share = 1.0
        while height < best - 1e-9 * abs(best) and share > 1e-3:
            share /= 2
            levels = _between(family, own, levels, share)
            likely = _likelihood(cells, spreads, levels.family, levels.own)
            height = _height(cells, spreads, levels, likely, start, means)
        family, own = levels.family, levels.own
        settled = abs(height - best) < SETTLED
        best = max(best, height)
        if settled:
            break
    return _told(spreads, levels, best)


def _starting_levels(
    cells: Cells, spreads: Spreads, start: Start, near: Pooled | None
) -> tuple[Numbers, Numbers]:
    engines = len(cells.family_of)
    if near is not None and len(near.family) == cells.families and len(near.own) == engines:
        return near.family, near.own
    family = np.full(cells.families, start.level)
    if len(cells.engine):
        level = cells.middle - spreads.power * cells.log_run
        where = cells.family_of[cells.engine]
        total = _summed(where, cells.count, cells.families)
        summed = _summed(where, cells.count * level, cells.families)
        family = np.where(total > 0, summed / np.where(total > 0, total, 1.0), family)
    return family, np.zeros(engines)


def _centre(cells: Cells, spreads: Spreads, family: Numbers, own: Numbers) -> Numbers:
    level = (family[cells.family_of] + own)[cells.engine]
    return np.asarray(level + spreads.power * cells.log_run)


def _likelihood(cells: Cells, spreads: Spreads, family: Numbers, own: Numbers) -> Likelihood:
    return with_strays(
        cells.low,
        cells.high,
        centre=_centre(cells, spreads, family, own),
        deviation=spreads.scatter,
        strays=spreads.strays,
    )


def _working(
    cells: Cells, spreads: Spreads, likely: Likelihood, family: Numbers, own: Numbers
) -> tuple[Numbers, Numbers]:
    """Return the precision and the precision times the level that each engine's readings give."""
    engines = len(cells.family_of)
    weight = np.maximum(likely.weight, 1e-8 / spreads.scatter**2) * cells.count
    level = (family[cells.family_of] + own)[cells.engine]
    pull = weight * level + likely.slope * cells.count
    return (
        _summed(cells.engine, weight, engines),
        _summed(cells.engine, pull, engines),
    )


def _solved(
    cells: Cells, spreads: Spreads, sites: tuple[Numbers, Numbers], start: Start, means: Means
) -> _Levels:
    """Solve the tree for normal readings of given precision, from the leaves up and back."""
    precision, pull = sites
    between, among = spreads.engines**2, spreads.families**2
    thinned = 1 + precision * between
    says = precision / thinned
    level = pull / np.where(precision > 0, precision, 1.0)
    counted = _summed(cells.family_of, says, cells.families)
    summed = _summed(cells.family_of, says * level, cells.families)
    counted = counted + _summed(means.family, 1 / means.variance, cells.families)
    summed = summed + _summed(means.family, means.level / means.variance, cells.families)
    spread = 1 + counted * among
    total = start.deviation**-2 + float(np.sum(counted / spread))
    overall = (start.level * start.deviation**-2 + float(np.sum(summed / spread))) / total
    family = (summed * among + overall) / spread
    own = (pull - precision * family[cells.family_of]) * between / thinned
    determinant = float(np.sum(np.log(thinned))) + float(np.sum(np.log(spread)))
    determinant += math.log(total * start.deviation**2)
    return _Levels(overall, family, own, total, counted, says, level, determinant)


def _height(
    cells: Cells,
    spreads: Spreads,
    levels: _Levels,
    likely: Likelihood,
    start: Start,
    means: Means,
) -> float:
    """Return the log posterior of the levels, up to a constant."""
    height = float(np.sum(cells.count * likely.value))
    height -= 0.5 * float(np.sum((means.level - levels.family[means.family]) ** 2 / means.variance))
    height -= 0.5 * _squares(levels.own, spreads.engines)
    height -= 0.5 * _squares(levels.family - levels.overall, spreads.families)
    return height - 0.5 * ((levels.overall - start.level) / start.deviation) ** 2


def _summed(where: Index, values: Numbers, size: int) -> Numbers:
    """Return the sums of values by the place that each belongs to."""
    return np.bincount(where, values, size).astype(np.float64)


def _squares(values: Numbers, deviation: float) -> float:
    return float(np.sum(values**2)) / deviation**2 if deviation > 0 else 0.0


def _between(family: Numbers, own: Numbers, levels: _Levels, share: float) -> _Levels:
    return _Levels(
        levels.overall,
        family + share * (levels.family - family),
        own + share * (levels.own - own),
        levels.overall_precision,
        levels.family_precision,
        levels.engine_precision,
        levels.engine_level,
        levels.log_determinant,
    )


def _told(spreads: Spreads, levels: _Levels, height: float) -> Pooled:
    among = spreads.families**2
    spread = 1 + levels.family_precision * among
    return Pooled(
        overall=levels.overall,
        overall_variance=1 / levels.overall_precision,
        family=levels.family,
        family_variance=among / spread + 1 / (spread**2 * levels.overall_precision),
        own=levels.own,
        engine_precision=levels.engine_precision,
        engine_level=levels.engine_level,
        log_likelihood=height - 0.5 * levels.log_determinant,
    )

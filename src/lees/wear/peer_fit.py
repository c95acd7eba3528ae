"""How widely engines, families and readings spread: the spreads that the counts make likeliest.

Laplace's approximation to the marginal likelihood (`lees.wear.pooling`), times weak priors on the
spreads, is climbed by a quasi-Newton method; its curvature at the top says how well the spreads
are known (L. Tierney and J. B. Kadane, 1986; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers
from lees.wear.pooling import Cells, Means, Pooled, Spreads, Start, pooled

NAMES = ("scatter", "engines", "families", "power", "strays")
_STEP, _WIDE_STEP = 1e-3, 0.02
NO_MEANS = Means(np.empty(0), np.empty(0), np.empty(0, dtype=np.intp))


@dataclass(frozen=True, slots=True)
class Prior:
    """What is held of one parameter beforehand: its middle and deviation on the fitted scale.

    Spreads are fitted as logarithms, the share of strays as a log odds, the power as it is. A
    deviation of nothing holds the parameter fast.
    """

    middle: float
    deviation: float


@dataclass(frozen=True, slots=True)
class Priors:
    """What is held beforehand of the level and of every spread; see `lees.wear.starting`."""

    level: Start
    scatter: Prior
    engines: Prior
    families: Prior
    power: Prior
    strays: Prior | None = None

    def listed(self) -> tuple[Prior, ...]:
        """Return the priors of the fitted parameters in the order of `NAMES`."""
        four = (self.scatter, self.engines, self.families, self.power)
        return four if self.strays is None else (*four, self.strays)


@dataclass(frozen=True, slots=True)
class Fitted:
    """The likeliest spreads, the levels at them, and the covariance of the fitted parameters.

    Parameters stand in the order of `NAMES`; one that was held fast has no variance.
    """

    spreads: Spreads
    levels: Pooled
    covariance: Numbers
    evaluations: int
    settled: bool


def fitted(cells: Cells, priors: Priors, means: Means = NO_MEANS) -> Fitted:
    """Return the likeliest spreads with the levels that follow from them.

    Parameters
    ----------
    cells : Cells
        The counted readings; none at all gives the priors back.
    priors : Priors
        What is held beforehand.
    means : Means
        What printed means say of the families.

    Returns
    -------
    Fitted
        Spreads, levels, and how well the spreads are known.

    Raises
    ------
    OutOfRange
        Where an interval is upside down or a count is below zero.

    Notes
    -----
    *Valid for* any mixture of exact, rounded and censored readings. Where readings are exact and
    priors flat this is the restricted maximum likelihood of a linear mixed model.

    References
    ----------
    .. [1] L. Tierney and J. B. Kadane, Accurate approximations for posterior moments and marginal
       densities, 1986 (from memory).
    """
    from scipy.optimize import minimize

    _checked(cells)
    listed = priors.listed()
    start = np.array([prior.middle for prior in listed])
    free = np.array([prior.deviation > 0 for prior in listed])
    climb = _Climb(cells, priors, means, start, free)
    if not len(cells.engine) or not free.any():
        covariance = np.diag([prior.deviation**2 for prior in listed])
        climb(start[free])
        assert climb.near is not None
        return Fitted(climb.spreads_at(start), climb.near, covariance, 1, settled=True)
    found = minimize(climb, start[free], method="BFGS", jac=climb.slope, options={"gtol": 0.02})
    best = climb.whole(found.x)
    bent = _curvature(climb, found.x)
    covariance = np.zeros((len(start), len(start)))
    covariance[np.ix_(free, free)] = _inverse(bent, np.array([p.deviation for p in listed])[free])
    value = climb(found.x)
    assert climb.near is not None
    settled = bool(np.isfinite(value)) and _is_flat(climb, found.x, covariance[np.ix_(free, free)])
    return Fitted(climb.spreads_at(best), climb.near, covariance, climb.evaluations, settled)


class _Climb:
    """Minus the log posterior of the fitted parameters, remembering the levels to start from."""

    def __init__(
        self, cells: Cells, priors: Priors, means: Means, start: Numbers, free: Numbers
    ) -> None:
        self.cells, self.priors, self.means = cells, priors, means
        self.start, self.free = start, free
        self.near: Pooled | None = None
        self.evaluations = 0

    def whole(self, values: Numbers) -> Numbers:
        """Return all parameters from the free ones."""
        result = self.start.copy()
        result[self.free] = values
        return result

    def spreads_at(self, theta: Numbers) -> Spreads:
        """Return the spreads that parameters stand for."""
        strays = 1 / (1 + math.exp(-theta[4])) if len(theta) > 4 else 0.0
        scatter, engines, families = (math.exp(value) for value in theta[:3])
        return Spreads(scatter, engines, families, float(theta[3]), strays)

    def __call__(self, values: Numbers) -> float:
        theta = self.whole(values)
        if np.max(np.abs(theta)) > 25:
            return math.inf
        self.evaluations += 1
        self.near = pooled(
            self.cells,
            self.spreads_at(theta),
            start=self.priors.level,
            means=self.means,
            near=self.near,
        )
        height = self.near.log_likelihood
        for prior, value in zip(self.priors.listed(), theta, strict=True):
            if prior.deviation > 0:
                height -= 0.5 * ((value - prior.middle) / prior.deviation) ** 2
        return -height

    def slope(self, values: Numbers) -> Numbers:
        """Return the slope by central differences."""
        result = np.empty(len(values))
        for k in range(len(values)):
            step = np.zeros(len(values))
            step[k] = _STEP
            result[k] = (self(values + step) - self(values - step)) / (2 * _STEP)
        return result


def _curvature(climb: _Climb, at: Numbers) -> Numbers:
    """Return the second derivatives by differences of the height."""
    size = len(at)
    step = _WIDE_STEP * np.eye(size)
    top = climb(at)
    up = [climb(at + step[k]) for k in range(size)]
    down = [climb(at - step[k]) for k in range(size)]
    bent = np.empty((size, size))
    for k in range(size):
        bent[k, k] = up[k] + down[k] - 2 * top
        for other in range(k):
            both, neither = climb(at + step[k] + step[other]), climb(at - step[k] - step[other])
            mixed = both + neither - up[k] - up[other] - down[k] - down[other] + 2 * top
            bent[k, other] = bent[other, k] = mixed / 2
    return bent / _WIDE_STEP**2


def _inverse(bent: Numbers, deviations: Numbers) -> Numbers:
    """Return the covariance from the curvature, never wider than the priors allow."""
    values, vectors = np.linalg.eigh(bent)
    floor = 1 / np.max(deviations) ** 2
    return np.asarray((vectors / np.maximum(values, floor)) @ vectors.T)


def _is_flat(climb: _Climb, at: Numbers, covariance: Numbers) -> bool:
    """Tell whether the slope left would move the parameters by less than a tenth of their doubt."""
    left = climb.slope(at)
    return bool(left @ covariance @ left < 0.1**2 * len(left))


def _checked(cells: Cells) -> None:
    if np.any(cells.high < cells.low):
        raise OutOfRange("An interval", "upside down", "from its low end to its high end")
    if np.any(cells.count < 0):
        raise OutOfRange("A count", float(cells.count.min()), "zero or above")

"""How fast an oil loses its base number, and with what odds it has crossed a floor by a distance.

The two models of loss are the customary ones of the trade (straight, and in proportion to what is
left: common practice, no source); the odds follow from the results' uncertainty (JCGM 100).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from lees.errors import NotComparable, OutOfRange
from lees.quantity.arrays import Numbers, finite, not_negative, positive
from lees.quantity.measured import Measured


class Loss(StrEnum):
    """How the reserve falls with distance or time."""

    LINEAR = "linear"
    EXPONENTIAL = "exponential"


@dataclass(frozen=True, slots=True)
class Reserve:
    """A reserve as it was fresh and as it is now, after a run in any unit of distance or time.

    `shared_uncertainty` is the standard uncertainty that both results have in common, such as one
    laboratory's bias against all others: it cancels in the loss, not against a fixed floor.
    """

    fresh: Measured
    present: Measured
    run: float
    shared_uncertainty: float = 0.0
    warnings: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        positive("The run", self.run)
        not_negative("The shared uncertainty", self.shared_uncertainty)
        if self.fresh.unit != self.present.unit:
            raise NotComparable(
                f"The fresh value is in {self.fresh.unit}, the present one in "
                f"{self.present.unit}; convert one of them."
            )


@dataclass(frozen=True, slots=True)
class LinearLoss:
    """A reserve that loses the same amount with every unit of the run."""

    start: float
    rate: float

    def value_at(self, run: ArrayLike) -> Numbers:
        """Return the reserve at a run."""
        return self.start - self.rate * not_negative("The run", run)

    def run_at(self, value: float) -> float:
        """Return the run at which the reserve is down to a value, infinite where it never is."""
        if finite("The value", value) >= self.start:
            return 0.0
        return (self.start - value) / self.rate if self.rate > 0 else math.inf


@dataclass(frozen=True, slots=True)
class ExponentialLoss:
    """A reserve that loses the same share of what is left with every unit of the run."""

    start: float
    rate: float

    def value_at(self, run: ArrayLike) -> Numbers:
        """Return the reserve at a run."""
        return self.start * np.exp(-self.rate * not_negative("The run", run))

    def run_at(self, value: float) -> float:
        """Return the run at which the reserve is down to a value, infinite where it never is."""
        if finite("The value", value) >= self.start:
            return 0.0
        if value <= 0 or self.rate <= 0:
            return math.inf
        return math.log(self.start / value) / self.rate


def loss_of(reserve: Reserve, loss: Loss) -> LinearLoss | ExponentialLoss:
    """Return the curve of a loss through the fresh and the present value.

    Parameters
    ----------
    reserve : Reserve
        The fresh and the present value and the run between them.
    loss : Loss
        How the reserve falls.

    Returns
    -------
    LinearLoss or ExponentialLoss
        The curve, in the reserve's unit by the unit of its run.

    Raises
    ------
    OutOfRange
        For an exponential loss of a value that is zero or below.

    Notes
    -----
    Linear ``B(x) = B₀ − k x``; exponential ``B(x) = B₀ e^(−k x)``.

    *Valid for* a fill without large top-ups. *Not for* extrapolating far past the run.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> fresh = Measured(8.0, 0.1, "mgKOH/g", "example")
    >>> present = Measured(5.0, 0.1, "mgKOH/g", "example")
    >>> curve = loss_of(Reserve(fresh, present, 10_000), Loss.LINEAR)
    >>> round(curve.run_at(4.0))
    13333
    """
    start, present = reserve.fresh.value, reserve.present.value
    if loss is Loss.LINEAR:
        return LinearLoss(start, (start - present) / reserve.run)
    positive("The fresh value", start)
    positive("The present value", present)
    return ExponentialLoss(start, math.log(start / present) / reserve.run)


def reserve_at(run: float, *, reserve: Reserve, loss: Loss) -> Measured:
    """Return the reserve at a run with the uncertainty that both results leave.

    Parameters
    ----------
    run : float
        The run asked about, in the unit of the reserve's [run].
    reserve : Reserve
        The fresh and the present value with their uncertainties.
    loss : Loss
        How the reserve falls.

    Returns
    -------
    Measured
        The reserve [in the reserve's unit].

    Raises
    ------
    OutOfRange
        For a negative run, or an exponential loss of a value that is zero or below.

    Notes
    -----
    First-order propagation of the two results and of what they share.

    *Valid for* a loss of one form. *Not for* the scatter of further use.

    References
    ----------
    .. [1] JCGM 100:2008, Evaluation of measurement data, Guide to the expression of uncertainty in
       measurement, 2008, 5.1.2.

    Examples
    --------
    >>> fresh = Measured(8.0, 0.1, "mgKOH/g", "example")
    >>> present = Measured(5.0, 0.1, "mgKOH/g", "example")
    >>> print(reserve_at(15_000, reserve=Reserve(fresh, present, 10_000), loss=Loss.LINEAR))
    3.50 ± 0.16 mgKOH/g
    """
    value = float(loss_of(reserve, loss).value_at(run))
    joint = _joint(np.asarray(run / reserve.run), reserve, loss)
    scale = 1.0 if loss is Loss.LINEAR else value
    source = f"{loss} loss through {reserve.fresh.source} and {reserve.present.source}"
    return Measured(value, scale * float(joint.deviation_then), reserve.fresh.unit, source)


def odds_of_crossing(run: ArrayLike, *, reserve: Reserve, floor: float, loss: Loss) -> Numbers:
    """Return the probability that the reserve has been at or under a floor by a run.

    Parameters
    ----------
    run : array_like
        The run asked about, in the unit of the reserve's [run].
    reserve : Reserve
        The fresh and the present value with their uncertainties.
    floor : float
        The value that should not be crossed [in the reserve's unit].
    loss : Loss
        How the reserve falls.

    Returns
    -------
    Numbers
        The probability, never falling as the run grows [1].

    Raises
    ------
    OutOfRange
        For a negative run, or for values or a floor at zero or below with an exponential loss.

    Notes
    -----
    The reserve has not crossed where it is over the floor both fresh and at the run. Its value at
    the run is ``(1 − s) B₀ + s B₁`` with s = run / (run so far) — of logarithms for an exponential
    loss — so that both are jointly normal, and the chance that both are over is a bivariate normal
    probability in closed form by Owen's T function.

    *Valid for* the uncertainty of two results and a loss of one form. *Not for* the scatter of
    further use: a harder duty than so far is not in these odds.

    References
    ----------
    .. [1] D. B. Owen, Tables for computing bivariate normal probabilities, Annals of Mathematical
       Statistics 27, 1956, 1075-1090, eq. 2.1.
    .. [2] The models of loss: common practice, no source.

    Examples
    --------
    >>> fresh = Measured(8.0, 0.1, "mgKOH/g", "example")
    >>> reserve = Reserve(fresh, Measured(5.0, 0.1, "mgKOH/g", "example"), 10_000)
    >>> runs = [10_000, 13_333, 15_000]
    >>> odds = odds_of_crossing(runs, reserve=reserve, floor=4, loss=Loss.LINEAR)
    >>> [round(float(p), 2) for p in odds]
    [0.0, 0.5, 1.0]
    """
    share = not_negative("The run", run) / reserve.run
    level = float(finite("The floor", floor))
    if loss is Loss.EXPONENTIAL:
        level = math.log(float(positive("The floor of an exponential loss", floor)))
    joint = _joint(share, reserve, loss)
    kept = _both_under(
        (joint.mean_fresh - level) / joint.deviation_fresh,
        (joint.mean_then - level) / joint.deviation_then,
        joint.correlation,
    )
    return np.clip(1.0 - kept, 0.0, 1.0)


def run_at_odds(probability: float, *, reserve: Reserve, floor: float, loss: Loss) -> float:
    """Return the run by which the reserve has crossed a floor with a given probability.

    Parameters
    ----------
    probability : float
        The odds that one is willing to take [1].
    reserve : Reserve
        The fresh and the present value with their uncertainties.
    floor : float
        The value that should not be crossed [in the reserve's unit].
    loss : Loss
        How the reserve falls.

    Returns
    -------
    float
        The run; zero where the odds are that high from the start, infinite where they are not
        reached within a thousand times the run so far [run].

    Raises
    ------
    OutOfRange
        For a probability outside 0 to 1, and as `odds_of_crossing`.

    Notes
    -----
    `odds_of_crossing` turned round by halving.

    *Valid for* what `odds_of_crossing` is valid for.

    References
    ----------
    .. [1] D. B. Owen, Tables for computing bivariate normal probabilities, Annals of Mathematical
       Statistics 27, 1956, 1075-1090, eq. 2.1.

    Examples
    --------
    >>> fresh = Measured(8.0, 0.1, "mgKOH/g", "example")
    >>> reserve = Reserve(fresh, Measured(5.0, 0.1, "mgKOH/g", "example"), 10_000)
    >>> round(run_at_odds(0.5, reserve=reserve, floor=4, loss=Loss.LINEAR))
    13333
    """
    if not 0 < probability < 1:
        raise OutOfRange("The odds", probability, "between 0 and 1")

    def odds(run: float) -> float:
        return float(odds_of_crossing(run, reserve=reserve, floor=floor, loss=loss))

    low, high = 0.0, 1000.0 * reserve.run
    if odds(low) >= probability:
        return 0.0
    if odds(high) < probability:
        return math.inf
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if odds(middle) < probability else (low, middle)
    return high


@dataclass(frozen=True, slots=True)
class _Joint:
    """The fresh value and that at a run as two correlated normals, of logarithms if exponential."""

    mean_fresh: float
    deviation_fresh: float
    mean_then: Numbers
    deviation_then: Numbers
    correlation: Numbers


def _joint(share: Numbers, reserve: Reserve, loss: Loss) -> _Joint:
    fresh, present = reserve.fresh.value, reserve.present.value
    scale = np.ones(2)
    means = np.array([fresh, present])
    if loss is Loss.EXPONENTIAL:
        positive("The fresh value", fresh)
        positive("The present value", present)
        scale, means = 1.0 / means, np.log(means)
    own = scale * np.array([reserve.fresh.uncertainty, reserve.present.uncertainty])
    shared = scale * reserve.shared_uncertainty
    together = (1.0 - share) * shared[0] + share * shared[1]
    smallest = 1e-9 * max(1.0, abs(float(means[0])))
    deviation_fresh = max(math.hypot(own[0], shared[0]), smallest)
    deviation_then = np.maximum(
        np.sqrt(((1.0 - share) * own[0]) ** 2 + (share * own[1]) ** 2 + together**2), smallest
    )
    covariance = (1.0 - share) * own[0] ** 2 + shared[0] * together
    return _Joint(
        float(means[0]),
        deviation_fresh,
        (1.0 - share) * means[0] + share * means[1],
        deviation_then,
        np.clip(covariance / (deviation_fresh * deviation_then), -1.0, 1.0),
    )


def _both_under(h: float, k: Numbers, correlation: Numbers) -> Numbers:
    """Return the probability that two correlated standard normals are under h and k."""
    from scipy.special import ndtr, owens_t

    tiny = 1e-15
    first = np.where(np.abs(h) < tiny, tiny, h)
    second = np.where(np.abs(k) < tiny, tiny, k)
    apart = np.sqrt(np.maximum(1.0 - correlation**2, 1e-300))
    with np.errstate(over="ignore"):
        both = (
            0.5 * (ndtr(first) + ndtr(second))
            - owens_t(first, (second - correlation * first) / (first * apart))
            - owens_t(second, (first - correlation * second) / (second * apart))
            - np.where(first * second < 0, 0.5, 0.0)
        )
    as_one = ndtr(np.minimum(first, second))
    against = np.maximum(ndtr(first) + ndtr(second) - 1.0, 0.0)
    whole = np.where(correlation > 0, as_one, against)
    return np.asarray(np.where(1.0 - np.abs(correlation) < 1e-12, whole, both), np.float64)

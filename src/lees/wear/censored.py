"""How likely a rounded reading is: the log-likelihood of an interval and its derivatives.

A reading of a log-normal content is an interval of its logarithm, because laboratories round and
print `0`, `<1` or `trace`; its likelihood is the probability of that interval (W. Q. Meeker and
L. A. Escobar, Statistical Methods for Reliability Data, 1998, 2.4.3; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import log_ndtr

from lees.errors import OutOfRange
from lees.quantity.arrays import Numbers, alike, finite, positive

STRAY_WIDTH = 5.0
"""A stray reading spreads by this many times the ordinary deviation (judgement)."""
LOG_ROOT_2_PI = 0.5 * np.log(2 * np.pi)
TRACE = 1.0
"""What `trace` and a bare `0` without a step are taken to lie below, in the measurand's unit."""


@dataclass(frozen=True, slots=True)
class Interval:
    """Readings as intervals of content: above `low`, at most `high`; zero and infinity are open."""

    low: Numbers
    high: Numbers


@dataclass(frozen=True, slots=True)
class Likelihood:
    """Log-likelihood of each reading, its slope in the centre, and its weight.

    The weight is minus the curvature, or a bound on it: see `with_strays`.
    """

    value: Numbers
    slope: Numbers
    weight: Numbers


def interval_of(value: float, qualifier: str | None = None, step: float = 0.0) -> Interval:
    """Return the interval of content that a printed reading stands for.

    Parameters
    ----------
    value : float
        The number printed, or the bound where it is qualified. [mg/kg]
    qualifier : str, optional
        `<`, `>`, `trace` or `absent`, as printed.
    step : float
        One unit of the last digit printed; 0 where the value is exact. [mg/kg]

    Returns
    -------
    Interval
        From half a step below to half a step above; from nothing for `0`, `<`, `trace`, `absent`.

    Raises
    ------
    OutOfRange
        Where the value is below zero or is no number.

    Notes
    -----
    `0` means below half a step, `<1` below 1, and `trace` and `absent` below the bound printed
    with them, or below 1 where there is none (common practice, no source).

    Examples
    --------
    >>> interval_of(12, step=1)
    Interval(low=array(11.5), high=array(12.5))
    >>> interval_of(1, "<").high
    array(1.)
    """
    if not (np.isfinite(value) and value >= 0 and np.isfinite(step) and step >= 0):
        raise OutOfRange("A reading", value, "a number, zero or above")
    half = step / 2
    if qualifier in ("<", "trace", "absent"):
        low, high = 0.0, value or step or TRACE
    elif qualifier == ">":
        low, high = value, np.inf
    elif value == 0:
        low, high = 0.0, half or TRACE / 2
    else:
        low, high = max(value - half, 0.0), value + half
    return Interval(np.asarray(low, dtype=float), np.asarray(high, dtype=float))


def interval_likelihood(
    low: ArrayLike, high: ArrayLike, *, centre: ArrayLike, deviation: ArrayLike
) -> Likelihood:
    """Return the log-likelihood of intervals of a normal quantity, with its derivatives.

    Parameters
    ----------
    low : ArrayLike
        The lower end of each interval; minus infinity where it is open. [1]
    high : ArrayLike
        The upper end; infinity where it is open. An interval of no width is an exact value. [1]
    centre : ArrayLike
        The mean of the quantity. [1]
    deviation : ArrayLike
        Its standard deviation, above zero. [1]

    Returns
    -------
    Likelihood
        *ln(Φ(b) − Φ(a))*, or the logarithm of the density where *a = b*. [1]

    Raises
    ------
    OutOfRange
        Where an end is no number or above the other, the centre not finite, or the deviation not
        above zero.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    With *a, b* the ends in standard deviations from the centre: slope *(φ(a) − φ(b))/(P σ)*, minus
    the curvature *slope² + (b φ(b) − a φ(a))/(P σ²)*, both exact far out in the tails.

    References
    ----------
    .. [1] W. Q. Meeker and L. A. Escobar, Statistical Methods for Reliability Data, 1998, 2.4.3
       (from memory).

    Examples
    --------
    >>> found = interval_likelihood([-1.0, -np.inf], [1.0, 0.0], centre=0.0, deviation=1.0)
    >>> np.exp(found.value).round(5)
    array([0.68269, 0.5    ])
    """
    sigma, middle = positive("The deviation", deviation), finite("The centre", centre)
    under, over = _end("lower", low, open_at=-np.inf), _end("upper", high, open_at=np.inf)
    alike(low=under, high=over, centre=middle, deviation=sigma)
    if (over < under).any():
        raise OutOfRange("The upper end", "below the lower one", "the same or above")
    a, b = (under - middle) / sigma, (over - middle) / sigma
    shape = np.broadcast(a, b).shape
    a, b = np.broadcast_to(a, shape), np.broadcast_to(b, shape)
    exact = a == b
    # Both ends are measured from the nearer tail, where the difference loses no digits.
    flipped = a + b > 0
    near, far = np.where(flipped, -a, b), np.where(flipped, -b, a)
    top, bottom = log_ndtr(near), log_ndtr(far)
    with np.errstate(divide="ignore", invalid="ignore"):
        value = top + np.log(-np.expm1(bottom - top))
        low_share, high_share = _share(a, value), _share(b, value)
        slope = low_share - high_share
        weight = slope**2 + _moment(b, high_share) - _moment(a, low_share)
    at = np.where(exact, a, 0.0)
    density = -0.5 * at**2 - LOG_ROOT_2_PI - np.log(sigma)
    return Likelihood(
        np.where(exact, density, value),
        np.where(exact, at, slope) / sigma,
        np.where(exact, 1.0, weight) / sigma**2,
    )


def with_strays(
    low: ArrayLike, high: ArrayLike, *, centre: ArrayLike, deviation: ArrayLike, strays: float
) -> Likelihood:
    """Return the log-likelihood of intervals where a share of the readings are stray.

    Parameters
    ----------
    low : ArrayLike
        The lower end of each interval. [1]
    high : ArrayLike
        The upper end. [1]
    centre : ArrayLike
        The mean of the quantity. [1]
    deviation : ArrayLike
        Its standard deviation for readings that are not stray. [1]
    strays : float
        The share of readings that spread `STRAY_WIDTH` times as widely. [1]

    Returns
    -------
    Likelihood
        Of the mixture of two normal quantities with one centre. [1]

    Raises
    ------
    OutOfRange
        As `interval_likelihood`, or where the share of strays is not from 0 to below 1.
    ShapesDiffer
        Where arrays have different lengths.

    Notes
    -----
    The weight is each kind's own, in the shares in which the reading may belong to it: never below
    minus the curvature, so that steps taken by it always climb (the EM algorithm's bound).

    References
    ----------
    .. [1] J. W. Tukey, A survey of sampling from contaminated distributions, 1960 (from memory).
    """
    if not 0 <= strays < 1:
        raise OutOfRange("The share of stray readings", strays, "from 0 to below 1")
    plain = interval_likelihood(low, high, centre=centre, deviation=deviation)
    if strays == 0:
        return plain
    wide = interval_likelihood(
        low, high, centre=centre, deviation=np.asarray(deviation) * STRAY_WIDTH
    )
    first, second = np.log1p(-strays) + plain.value, np.log(strays) + wide.value
    value = np.logaddexp(first, second)
    ordinary, stray = np.exp(first - value), np.exp(second - value)
    slope = ordinary * plain.slope + stray * wide.slope
    return Likelihood(value, slope, ordinary * plain.weight + stray * wide.weight)


def _end(which: str, values: ArrayLike, *, open_at: float) -> Numbers:
    """Return the ends of intervals, each a number or open."""
    ends = np.asarray(values, dtype=np.float64)
    finite(f"The {which} end", np.where(ends == open_at, 0.0, ends))
    return ends


def _share(end: Numbers, log_probability: Numbers) -> Numbers:
    """Return the density at an end over the probability of the interval."""
    return np.asarray(np.exp(-0.5 * end**2 - LOG_ROOT_2_PI - log_probability))


def _moment(end: Numbers, share: Numbers) -> Numbers:
    return np.asarray(np.where(np.isfinite(end), end, 0.0) * share)

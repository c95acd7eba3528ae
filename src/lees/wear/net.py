"""What of a reading the engine added: the fresh oil's content and the topping up taken out.

The balance of a sump kept full (`lees.wear.balance`), applied to the ends of a rounded interval.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.quantity.arrays import Numbers, alike, finite
from lees.wear.balance import steady_loss_with_oil
from lees.wear.censored import Interval


@dataclass(frozen=True, slots=True)
class Ground:
    """What a reading stands on: the fresh oil's content, its last digit, and the share topped up.

    Unknown is nothing: no fresh oil is subtracted then, and no top-up put right.
    """

    fresh: ArrayLike = 0.0
    fresh_step: ArrayLike = 0.0
    top_up: ArrayLike = 0.0

    @property
    def thinning(self) -> Numbers:
        """What is left of what was shed, after topping up."""
        return np.asarray(steady_loss_with_oil(self.top_up).shed)


def added(reading: Interval, ground: Ground) -> Interval:
    """Return the interval of what the engine added over the fill, had none been lost.

    Parameters
    ----------
    reading : Interval
        Contents as read.
    ground : Ground
        What they stand on.

    Returns
    -------
    Interval
        Contents above the fresh oil's, put right for topping up; open below where the reading
        does not clearly exceed the fresh oil's.

    Notes
    -----
    *(C − C_f)/s* with *s = (1 − e⁻ᵘ)/u*; the fresh oil's own last digit widens the interval, and
    an interval never ends below one digit above the fresh oil.

    Examples
    --------
    >>> from lees.wear.censored import interval_of
    >>> net = added(interval_of(9, step=1), Ground(fresh=5, fresh_step=1))
    >>> float(net.low), float(net.high)
    (3.0, 5.0)
    """
    half = np.asarray(ground.fresh_step, dtype=float) / 2
    fresh = np.asarray(ground.fresh, dtype=float)
    low, high = reading.low - fresh - half, reading.high - fresh + half
    bounded = np.isfinite(reading.high)
    digit = np.where(bounded, np.where(bounded, reading.high, 0.0) - reading.low, 0.0)
    digit = np.maximum(np.maximum(digit, 2 * half), 1e-6)
    return Interval(
        np.maximum(low, 0.0) / ground.thinning, np.maximum(high, digit) / ground.thinning
    )


def contents(net: ArrayLike, ground: Ground) -> Numbers:
    """Return what would be read of what an engine added: `added` the other way round.

    Parameters
    ----------
    net : ArrayLike
        Contents that the engine added, had no oil been lost. [mg/kg]
    ground : Ground
        The fresh oil and the topping up.

    Returns
    -------
    Numbers
        Contents of the used oil. [mg/kg]

    Raises
    ------
    OutOfRange
        Where a content is not a finite number.
    ShapesDiffer
        Where arrays have different lengths.
    """
    shed, fresh = finite("The content added", net), finite("The fresh oil's", ground.fresh)
    alike(net=shed, fresh=fresh, top_up=ground.thinning)
    return np.asarray(shed * ground.thinning + fresh)


def log_ends(interval: Interval) -> tuple[Numbers, Numbers]:
    """Return the ends of an interval as natural logarithms, open ends as infinities.

    Parameters
    ----------
    interval : Interval
        Contents, zero or above.

    Returns
    -------
    tuple of Numbers
        The logarithms of its ends. [1]
    """
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(interval.low)), np.asarray(np.log(interval.high))

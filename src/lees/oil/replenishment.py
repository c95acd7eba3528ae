"""How fast a base number really falls where fresh oil was topped up at a steady rate.

A balance of the sump (textbook mass balance): what the oil loses against what the top-up brings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lees.oil.base_number import LinearLoss, Reserve
from lees.quantity.arrays import Numbers, finite, not_negative, positive
from lees.quantity.checks import above_zero
from lees.quantity.measured import Measured
from lees.quantity.propagation import Derived, propagated


@dataclass(frozen=True, slots=True)
class ReplenishedLoss:
    """A reserve that loses the same with every unit of the run while top-ups renew the oil.

    `rate` is the loss itself, `renewal` the share of the sump topped up by a unit of the run.
    """

    start: float
    rate: float
    renewal: float

    def value_at(self, run: ArrayLike) -> Numbers:
        """Return the reserve at a run."""
        x = not_negative("The run", run)
        return self.start - self.rate / self.renewal * -np.expm1(-self.renewal * x)

    def run_at(self, value: float) -> float:
        """Return the run at which the reserve is down to a value, infinite where it never is."""
        if finite("The value", value) >= self.start:
            return 0.0
        left = 1.0 - (self.start - value) * self.renewal / self.rate if self.rate > 0 else 0.0
        return -math.log(left) / self.renewal if left > 0 else math.inf

    @property
    def without_top_up(self) -> LinearLoss:
        """The same loss where nothing is topped up."""
        return LinearLoss(self.start, self.rate)


@dataclass(frozen=True, slots=True)
class Replenished:
    """What a reserve lost over the run, and what it would be now had nothing been topped up."""

    lost: Derived
    without_top_up: Derived


def replenished_loss_of(reserve: Reserve, *, topped_up_share: float) -> ReplenishedLoss:
    """Return the loss behind a fresh and a present value when oil was topped up meanwhile.

    Parameters
    ----------
    reserve : Reserve
        The fresh and the present value and the run between them.
    topped_up_share : float
        The volume topped up over the run, steadily and with the same oil, by that of the sump [1].

    Returns
    -------
    ReplenishedLoss
        The curve, in the reserve's unit by the unit of its run.

    Raises
    ------
    OutOfRange
        For a share that is not above zero.

    Notes
    -----
    ``dB/dx = −k + (q/V)(B₀ − B)`` gives ``B(x) = B₀ − (k V/q)(1 − e^(−q x/V))``; with u = q x/V the
    loss is ``k x = (B₀ − B) u / (1 − e^(−u))``: about u/2 more than it looks.

    *Valid for* steady top-ups of the same oil, lost with the used oil. *Not for* loss by
    evaporation, which concentrates the reserve instead.

    References
    ----------
    .. [1] Balance of a stirred vessel, for example O. Levenspiel, Chemical Reaction Engineering,
       3rd ed., 1999, chapter 5 (chapter from memory).

    Examples
    --------
    >>> fresh = Measured(8.0, 0.1, "mgKOH/g", "example")
    >>> reserve = Reserve(fresh, Measured(5.0, 0.1, "mgKOH/g", "example"), 10_000)
    >>> curve = replenished_loss_of(reserve, topped_up_share=0.2)
    >>> round(float(curve.value_at(10_000)), 6), round(curve.rate * 10_000, 4)
    (5.0, 3.31)
    """
    u = float(positive("The share topped up", topped_up_share))
    lost = (reserve.fresh.value - reserve.present.value) * u / -math.expm1(-u)
    return ReplenishedLoss(reserve.fresh.value, lost / reserve.run, u / reserve.run)


def replenished(reserve: Reserve, *, top_up: Measured, sump: Measured) -> Replenished:
    """Return the loss behind a fresh and a present value, with the doubt of values and volumes.

    Parameters
    ----------
    reserve : Reserve
        The fresh and the present value and the run between them.
    top_up : Measured
        The volume topped up over the run, steadily and with the same oil.
    sump : Measured
        The oil in the sump.

    Returns
    -------
    Replenished
        The loss and the value without top-up, each with its budget and the reserve's warnings.

    Raises
    ------
    OutOfRange
        Where a volume is not above zero.

    Notes
    -----
    As `replenished_loss_of`. What both results share, such as one laboratory's bias, cancels in
    the loss and stays in the value.

    References
    ----------
    .. [1] Balance of a stirred vessel, for example O. Levenspiel, Chemical Reaction Engineering,
       3rd ed., 1999, chapter 5 (chapter from memory); JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> fresh = Measured(8.0, 0.1, "mgKOH/g", "example")
    >>> reserve = Reserve(fresh, Measured(5.0, 0.1, "mgKOH/g", "example"), 10_000)
    >>> found = replenished(reserve, top_up=Measured(1.0, 0.05, "L", "jug"),
    ...                     sump=Measured(5.0, 0.1, "L", "poured"))
    >>> print(found.lost.result, "/", found.without_top_up.result)
    3.31 ± 0.16 mgKOH/g / 4.69 ± 0.11 mgKOH/g
    """
    inputs = {
        "fresh": reserve.fresh,
        "present": reserve.present,
        "top-up": above_zero("volume topped up", top_up, "L"),
        "sump": above_zero("oil in the sump", sump, "L"),
    }
    unit = reserve.fresh.unit
    shared = Measured(0.0, reserve.shared_uncertainty, unit, "shared by both results")
    source = "balance of a stirred sump, steady top-up of the same oil"

    def lost(fresh: float, present: float, added: float, full: float) -> float:
        u = added / full
        return (fresh - present) * u / -math.expm1(-u)

    def left(fresh: float, present: float, added: float, full: float, both: float) -> float:
        return fresh - lost(fresh, present, added, full) + both

    return Replenished(
        propagated(lost, inputs, unit=unit, source=source).warned(*reserve.warnings),
        propagated(left, inputs | {"shared": shared}, unit=unit, source=source).warned(
            *reserve.warnings
        ),
    )

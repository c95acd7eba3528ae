"""What a population mean printed on a report says of a family: a level, known only so well.

A mean of log-normal contents lies above their middle by *exp(s²/2)* (J. Aitchison and J. A. C.
Brown, The Lognormal Distribution, 1957, 2.3; from memory). How far a laboratory's population may
lie from the family is judgement (`data/starting.toml`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lees.quantity.data import table
from lees.wear.pooling import Spreads


@dataclass(frozen=True, slots=True)
class PrintedMean:
    """A mean as printed: what it holds above the fresh oil, its last digit, run and number.

    The run is in km or h, as the family's runs are counted, and nothing where none is printed.
    """

    content: float
    step: float
    run: float | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class MeanSays:
    """The level at the reference run that a mean speaks for, and its standard uncertainty."""

    level: float
    deviation: float


def mean_says(mean: PrintedMean, spreads: Spreads, *, reference_run: float) -> MeanSays:
    """Return what one printed mean says of the level of its family.

    Parameters
    ----------
    mean : PrintedMean
        The mean.
    spreads : Spreads
        How widely readings of the family spread.
    reference_run : float
        The run at which levels stand. [km or h, as the mean's]

    Returns
    -------
    MeanSays
        *ln C̄ − s²/2 − p ln(x̄/x₀)*, with the doubt of the population, its number, the rounding, and
        the run where it is not printed.

    Notes
    -----
    A mean printed as 0 is taken as a quarter of its last digit, give or take a factor of three.

    References
    ----------
    .. [1] J. Aitchison and J. A. C. Brown, The Lognormal Distribution, 1957, 2.3 (from memory).
    """
    entries = table("wear", "starting")["printed_mean"]
    s = spreads.one_reading
    step = mean.step or 1.0
    content, rounding = mean.content, step / math.sqrt(12) / max(mean.content, step)
    if content <= 0:
        content, rounding = step / 4, math.log(3)
    level = math.log(content) - s**2 / 2
    variance = entries["deviation"] ** 2 + s**2 / (mean.count or entries["count"]) + rounding**2
    if mean.run is not None and mean.run > 0:
        level -= spreads.power * math.log(mean.run / reference_run)
    else:
        variance += (spreads.power * entries["run_unknown"]) ** 2
    return MeanSays(level, math.sqrt(variance))


def mean_of_family(means: Sequence[PrintedMean], spreads: Spreads, run_unit: str) -> MeanSays:
    """Return what all the means printed for a family say: as much as one of them, and no more.

    Parameters
    ----------
    means : sequence of PrintedMean
        The means; one printed on many reports counts once.
    spreads : Spreads
        How widely readings spread.
    run_unit : str
        `km` or `h`.

    Returns
    -------
    MeanSays
        The mean of their levels with the smallest of their doubts: they may well be drawn from the
        same population.

    References
    ----------
    .. [1] J. Aitchison and J. A. C. Brown, The Lognormal Distribution, 1957, 2.3 (from memory).
    """
    reference = float(table("wear", "starting")["reference"][run_unit])
    # A set keeps no order: sorted, so that the same means give the same digits.
    distinct = sorted(set(means), key=lambda m: (m.content, m.step, m.run or 0.0, m.count or 0))
    said = [mean_says(mean, spreads, reference_run=reference) for mean in distinct]
    return MeanSays(sum(one.level for one in said) / len(said), min(one.deviation for one in said))

"""With what odds a property has crossed its limit by a run of the next fill.

Straight, proportional, levelling and gathering paths through what the oil was fresh and is now
(common practice, no source); the results' doubt after JCGM 100; the pace of the next fill scatters
about this engine's own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy.special import ndtr, ndtri

from lees.oil.base_number import Loss, Reserve, odds_of_crossing
from lees.quantity.arrays import Numbers
from lees.quantity.data import table
from lees.quantity.measured import Measured

NODES = 41
START_IN_DOUBT = 1e-4
"""Above this chance that the fresh oil is beyond the limit already, both ends are reckoned."""


class Form(StrEnum):
    """How a property goes with the run."""

    STRAIGHT = "straight"
    PROPORTIONAL = "proportional"
    LEVELLING = "levelling"
    GATHERING = "gathering"


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast the next fill goes against this one: the logarithm's middle and deviation."""

    middle: float = 0.0
    deviation: float = 0.0

    def factors(self) -> Numbers:
        """Return equally likely factors on the pace, from the slowest to the fastest."""
        steps = ndtri((np.arange(NODES) + 0.5) / NODES)
        return np.asarray(np.exp(self.middle + self.deviation * steps))


@dataclass(frozen=True, slots=True)
class Path:
    """A property between two results, the limit it goes to, and the forms it may take.

    `rising` tells on which side the limit lies; forms are taken as alike likely.
    """

    reserve: Reserve
    limit: float
    rising: bool
    forms: tuple[Form, ...]
    pace: Pace = Pace()


def crossing_odds(runs: Numbers, path: Path) -> Numbers:
    """Return the odds of having crossed a limit by each run, for each pace of the next fill.

    Parameters
    ----------
    runs : Numbers
        Runs, ascending from nought [run].
    path : Path
        The property, its limit and its forms.

    Returns
    -------
    Numbers
        Odds of shape (paces, runs); their mean over paces are the odds at each run [1].

    Notes
    -----
    The value at a run is ``(1 − g) X₀ + g X₁`` with ``g = g(pace · run / run so far)``, of
    logarithms for a proportional path; X₀ and X₁ are normal about the results. *Valid for* a next
    fill of the same oil. *Not for* leaks and failures: those are causes, not paths.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2 (uncertainty of a sum).
    .. [2] The forms: common practice, no source.
    """
    found = [_of_form(runs, path, form) for form in path.forms if _allowed(path, form)]
    return np.asarray(np.mean(found, axis=0))


def quantiles(runs: Numbers, odds: Numbers, shares: Sequence[float]) -> tuple[float | None, ...]:
    """Return by which runs the odds reach some shares; nothing where they are not reached.

    Parameters
    ----------
    runs : Numbers
        Runs, ascending [run].
    odds : Numbers
        The odds at each, never falling [1].
    shares : sequence of float
        The shares asked for [1].

    Returns
    -------
    tuple of float or None
        The runs, between points in a straight line [run].

    References
    ----------
    .. [1] JCGM 101:2008, 5.3.2 (quantiles of a distribution function held as points).
    """
    found: list[float | None] = []
    for share in shares:
        beyond = np.flatnonzero(odds >= share)
        if not len(beyond):
            found.append(None)
            continue
        after = int(beyond[0])
        if after == 0:
            found.append(float(runs[0]))
            continue
        low, high = odds[after - 1], odds[after]
        part = (share - low) / (high - low)
        found.append(float(runs[after - 1] + part * (runs[after] - runs[after - 1])))
    return tuple(found)


def pooled_pace(now: Measured, past: Sequence[Measured], factor: float) -> Pace:
    """Return the pace of the next fill against this one's, from this engine's fills together.

    Parameters
    ----------
    now : Measured
        The logarithm of this fill's rate [1].
    past : sequence of Measured
        The logarithms of earlier fills' rates [1].
    factor : float
        By how much the next fill's duty is harder than this one's [1].

    Returns
    -------
    Pace
        Middle and deviation of the logarithm of next over this.

    Notes
    -----
    Rates of one engine's fills are log-normal about its own. Their scatter is a judged one,
    believed for so many fills, and the fills' own, pooled; the engine's middle is the mean weighted
    by scatter and doubt. With one fill alone the next differs from it by √2 times the scatter.

    References
    ----------
    .. [1] A. Gelman et al., Bayesian Data Analysis, 3rd edition, 2013, 2.6 and 5.4 (scaled inverse
       chi-square, normal means); from memory.
    """
    entry = table("judge", "limits")["scatter"]
    usual, believed = float(entry["between_fills"]) ** 2, float(entry["believed"])
    logs = np.array([now.value, *(one.value for one in past)])
    doubts = np.array([now.uncertainty, *(one.uncertainty for one in past)]) ** 2
    about = logs - logs.mean()
    excess = max(float(about @ about) - float(doubts.sum()) * (1 - 1 / len(logs)), 0.0)
    scatter = (believed * usual + excess) / (believed + len(logs) - 1)
    if len(logs) == 1:
        return Pace(math.log(factor), math.sqrt(2 * scatter))
    weights = 1 / (scatter + doubts)
    middle = float(weights @ logs / weights.sum())
    return Pace(
        middle - now.value + math.log(factor), math.sqrt(scatter + 1 / float(weights.sum()))
    )


def _allowed(path: Path, form: Form) -> bool:
    """Return whether a form fits: a proportional path needs values and a limit above nought."""
    least = min(path.reserve.fresh.value, path.reserve.present.value, path.limit)
    return form is not Form.PROPORTIONAL or least > 0


def _of_form(runs: Numbers, path: Path, form: Form) -> Numbers:
    used = path.pace.factors()[:, None] * (runs / path.reserve.run)
    share = _shape(used, form)
    reserve = path.reserve if not path.rising else _mirrored(path.reserve, path.limit, form)
    limit = path.limit if not path.rising else (1.0 if form is Form.PROPORTIONAL else 0.0)
    if form is Form.PROPORTIONAL:
        start, now = math.log(reserve.fresh.value / limit), math.log(reserve.present.value / limit)
        scale = (1 / reserve.fresh.value, 1 / reserve.present.value)
    else:
        start, now = reserve.fresh.value - limit, reserve.present.value - limit
        scale = (1.0, 1.0)
    own = (scale[0] * reserve.fresh.uncertainty, scale[1] * reserve.present.uncertainty)
    shared = tuple(one * reserve.shared_uncertainty for one in scale)
    at_start = ndtr(-start / max(math.hypot(own[0], shared[0]), 1e-12))
    if at_start > START_IN_DOUBT:
        loss = Loss.EXPONENTIAL if form is Form.PROPORTIONAL else Loss.LINEAR
        unit_run = Reserve(reserve.fresh, reserve.present, 1.0, reserve.shared_uncertainty)
        return odds_of_crossing(share, reserve=unit_run, floor=limit, loss=loss)
    mean = (1 - share) * start + share * now
    together = (1 - share) * shared[0] + share * shared[1]
    deviation = np.sqrt(((1 - share) * own[0]) ** 2 + (share * own[1]) ** 2 + together**2)
    odds = ndtr(-mean / np.maximum(deviation, 1e-9 * max(1.0, abs(start))))
    return np.asarray(np.maximum.accumulate(odds, axis=1))


def _mirrored(reserve: Reserve, limit: float, form: Form) -> Reserve:
    """Return what is left to a ceiling, for the same sum turned round."""

    def left(value: Measured) -> Measured:
        if form is Form.PROPORTIONAL:
            share = limit / value.value
            return Measured(share, share * value.uncertainty / value.value, "1", value.source)
        return Measured(limit - value.value, value.uncertainty, value.unit, value.source)

    return Reserve(
        left(reserve.fresh), left(reserve.present), reserve.run, reserve.shared_uncertainty
    )


def _shape(used: Numbers, form: Form) -> Numbers:
    """Return which share of the change so far has come by so much of the run so far."""
    entry = table("judge", "limits")["form"]
    if form is Form.LEVELLING:
        bend = float(entry["levelling"])
        return np.asarray(np.expm1(-bend * used) / math.expm1(-bend))
    if form is Form.GATHERING:
        return np.asarray(used ** float(entry["gathering"]))
    return used

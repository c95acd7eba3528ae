"""The filter's own life: whether it was full, and with what odds the next one will be by a run.

Wear-out by W. Weibull's distribution (A statistical distribution function of wide applicability,
Journal of Applied Mechanics, 1951; from memory); its shape is judged.
"""

from __future__ import annotations

import numpy as np

from lees.case.records import Facts
from lees.judge.causes import Weighing
from lees.judge.causes_evidence import Evidence
from lees.judge.findings import About, Action, FilterLife, Statement
from lees.judge.likelihood import likelihood
from lees.judge.next_fill_limits import MOST_SURE, Limit
from lees.judge.notes import Notes
from lees.judge.run import FillRun
from lees.judge.words import run_text
from lees.quantity.arrays import Numbers
from lees.quantity.data import table

LEAST_ODDS = 0.005
"""No filter is taken as surer than this to have had room left."""


def weibull_odds(runs: Numbers, *, at: float, odds: float, shape: float) -> Numbers:
    """Return the odds of having worn out by each run, given those at one run.

    Parameters
    ----------
    runs : Numbers
        The runs asked about [run].
    at : float
        A run, above nought [run].
    odds : float
        The odds of having worn out by then [1].
    shape : float
        The distribution's shape, above one for things that wear out [1].

    Returns
    -------
    Numbers
        ``1 − (1 − p)^((r/r₁)^β)`` [1].

    References
    ----------
    .. [1] W. Weibull, A statistical distribution function of wide applicability, Journal of Applied
       Mechanics 18, 1951; from memory.

    Examples
    --------
    >>> weibull_odds(np.array([5_000.0, 1e4]), at=10_000, odds=0.1, shape=3.0).round(3).tolist()
    [0.013, 0.1]
    """
    return np.asarray(-np.expm1(np.log1p(-odds) * (np.asarray(runs) / at) ** shape))


def filter_life(
    facts: Facts, evidence: Evidence, weighing: Weighing, *, run: FillRun | None, notes: Notes
) -> tuple[FilterLife | None, Limit | None]:
    """Return what is known of the filter's life, and the limit it sets to the next fill.

    Parameters
    ----------
    facts : Facts
        What is known of the case.
    evidence : Evidence
        What was seen: whether the media's loading was looked at.
    weighing : Weighing
        The causes, full media among them.
    run : FillRun or None
        The fill's run.
    notes : Notes
        Where the statement is noted.

    Returns
    -------
    tuple
        The filter's life, and the limit; nothing where nothing was seen or claimed.
    """
    specimen = facts.case.filter
    if specimen is None or run is None:
        return None, None
    entry = table("judge", "limits")["filter"]
    shape = float(entry["shape"])
    ran = run.same_kind(specimen.run) or run.value
    claimed = run.same_kind(specimen.claims.run)
    if "loading" in evidence.signs:
        at, odds = ran, weighing.of("full").probability
        known = "by what the media shows"
    elif claimed:
        at, odds = claimed, float(entry["full_by_claim"])
        known = "by its maker's claim alone, since nobody said how full the media was"
    else:
        return None, None
    odds = min(max(odds, LEAST_ODDS), MOST_SURE)
    by_now = float(weibull_odds(np.array([ran]), at=at, odds=odds, shape=shape)[0])
    text = f"After {run_text(ran, run.unit)} it is {likelihood(by_now)} {known} that it was full"
    beyond = claimed is not None and ran > 1.05 * claimed
    if beyond and claimed is not None:
        text += f"; it ran beyond the {run_text(claimed, run.unit)} that its maker claims"
    text = f"The filter's own life: {text[:1].lower()}{text[1:]}."
    notes.state(
        Statement(
            id="filter.life",
            about=About.FILTER,
            text=text,
            action=Action.LOOK_CLOSER if by_now > 0.5 or beyond else Action.CARRY_ON,
            facts=(
                notes.fact("filter.run", "run of the filter", run_text(ran, run.unit), "typed"),
            ),
            formula="1 − (1 − p)^((r/r₁)^β), β = 3",
            sources=("Weibull 1951", "shape and odds at the claim: judgement"),
        )
    )

    def by(runs: Numbers) -> Numbers:
        return weibull_odds(runs, at=at, odds=odds, shape=shape)[None, :]

    life = FilterLife(ran, claimed, run.unit, by_now, likelihood(by_now), text)
    return life, Limit("full filter", by)

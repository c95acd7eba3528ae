"""What is held of engines before any is counted: wide priors from published and customary limits.

Values and their sources lie in `data/limits.csv` and `data/starting.toml`; what is judgement there
says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from functools import cache

from scipy.special import logit

from lees.quantity.data import rows, table
from lees.wear.peer_fit import Prior, Priors
from lees.wear.pooling import Spreads, Start

RUN_UNITS = ("km", "mi", "nmi", "h")


@dataclass(frozen=True, slots=True)
class PublishedLimit:
    """A limit as published or customary: from `low` to `high`, for which engines, by whom."""

    measurand: str
    engines: str
    low: float
    high: float
    unit: str
    source: str
    tag: str


@cache
def published_limits() -> tuple[PublishedLimit, ...]:
    """Return every limit held, each with its source."""
    return tuple(
        PublishedLimit(
            row["measurand"],
            row["engines"],
            float(row["low"]),
            float(row["high"]),
            row["unit"],
            row["source"],
            row["tag"],
        )
        for row in rows("wear", "limits")
    )


def limits_for(measurand: str, fuel: str | None = None) -> tuple[PublishedLimit, ...]:
    """Return the limits published for a measurand, for engines of a fuel or for any.

    Parameters
    ----------
    measurand : str
        Its contract key.
    fuel : str, optional
        `petrol` or `diesel`; without it, limits for either are returned.

    Returns
    -------
    tuple of PublishedLimit
        The limits, those for any engine first as listed; none where none is held.

    Examples
    --------
    >>> [(limit.low, limit.tag) for limit in limits_for("Sn")]
    [(10.0, 'common practice'), (10.0, 'common practice'), (5.0, 'from memory')]
    """
    kinds = ("any", fuel) if fuel else ("any", "petrol", "diesel")
    return tuple(
        limit
        for limit in published_limits()
        if limit.measurand == measurand and limit.engines in kinds
    )


def starting_priors(measurand: str) -> Priors:
    """Return what is held of a measurand before any engine is counted.

    Parameters
    ----------
    measurand : str
        Its contract key.

    Returns
    -------
    Priors
        The level at the reference run (10 000 km or 250 h) and the spreads, all wide.

    Notes
    -----
    Where limits are published, their geometric middle is taken as what one healthy engine in a
    hundred reaches (judgement). *Not for* a verdict: it is outweighed by a few dozen samples.

    Examples
    --------
    >>> import math
    >>> round(math.exp(starting_priors("Fe").level.level))
    21
    """
    entries = table("wear", "starting")
    spreads = {name: _of_logarithm(entries[name]) for name in ("scatter", "engines", "families")}
    power, strays = entries["power"], entries["strays"]
    return Priors(
        level=_level(measurand, starting_spreads()),
        **spreads,
        power=Prior(power["middle"], power["deviation"]),
        strays=Prior(float(logit(strays["middle"])), strays["log_odds_deviation"]),
    )


def starting_spreads() -> Spreads:
    """Return the middle of what is held of the spreads before any engine is counted."""
    entries = table("wear", "starting")
    return Spreads(
        **{field.name: float(entries[field.name]["middle"]) for field in fields(Spreads)}
    )


def reference_run(unit: str) -> float:
    """Return the run at which levels stand.

    Parameters
    ----------
    unit : str
        `km`, `mi`, `nmi` or `h`.

    Returns
    -------
    float
        The reference run, 10 000 km or 250 h. [in that unit]
    """
    return float(table("wear", "starting")["reference"][unit])


def level_tag(measurand: str) -> str:
    """Return how well the starting level of a measurand is known.

    Parameters
    ----------
    measurand : str
        Its contract key.

    Returns
    -------
    str
        Its source in words.
    """
    kind = "level" if limits_for(measurand) else "level_unknown"
    return str(table("wear", "starting")[kind]["tag"])


def _level(measurand: str, spreads: Spreads) -> Start:
    entries = table("wear", "starting")
    limits = limits_for(measurand)
    if not limits:
        unknown = entries["level_unknown"]
        return Start(math.log(unknown["middle"]), unknown["deviation"])
    logs = [math.log(limit.low * limit.high) / 2 for limit in limits]
    of_all = math.hypot(spreads.one_reading, spreads.families)
    below = float(entries["level"]["limit_at_deviations"]) * of_all
    return Start(sum(logs) / len(logs) - below, float(entries["level"]["deviation"]))


def _of_logarithm(entry: dict[str, float]) -> Prior:
    return Prior(math.log(entry["middle"]), entry["deviation"])

"""How unusual a reading is: among engines like this one, and for this engine itself.

Posterior predictive probabilities of the pooled model (A. Gelman and J. Hill, Data Analysis Using
Regression and Multilevel/Hierarchical Models, 2007, ch. 12; from memory), the spread's own doubt by
Student's t (JCGM 100:2008, G.4).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, stdtr, stdtrit

from lees.quantity.arrays import Numbers
from lees.quantity.data import table
from lees.wear.censored import Interval, with_strays
from lees.wear.net import Ground, added, contents, log_ends
from lees.wear.peers import FamilyKnown, MeasurandPeers
from lees.wear.printed_mean import PrintedMean, mean_says

POINTS = np.array([0.05, 0.50, 0.95])
NINETY = 1.6448536269514722
NOWHERE = Ground()


@dataclass(frozen=True, slots=True)
class OilReading:
    """One reading of an engine's oil: its interval of content, its run, what it stands on."""

    interval: Interval
    run: float | None
    ground: Ground = NOWHERE


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked: this reading of an engine, its family and key, its past, a printed mean.

    The printed mean is left out where the model already holds it.
    """

    now: OilReading
    family: str | None = None
    engine: str | None = None
    past: tuple[OilReading, ...] = ()
    mean: PrintedMean | None = None


@dataclass(frozen=True, slots=True)
class Ends:
    """The probabilities of a new reading below the two ends of a rounded one."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """The middle of the two, a rounded reading's place."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class OwnPast:
    """The engine's own past: this reading's place in it, and the 5, 50 and 95 % points now."""

    percentile: float
    ends: Ends
    low: float
    middle: float
    high: float
    readings: int


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a reading lies among its peers.

    `percentile` is its place (0 to 1); `known_from` to `known_to` the places it might have were
    the peers' middle 5 or 95 % out. `effective` is the number of independent engines that would
    pin the peers' middle as well. `low`, `middle`, `high` are the 5, 50 and 95 % points of content
    at this run. `spoke` names the sources behind the peers, the first the strongest.
    """

    percentile: float
    ends: Ends
    known_from: float
    known_to: float
    effective: float
    low: float
    middle: float
    high: float
    log_centre: float
    log_deviation: float
    own: OwnPast | None
    spoke: tuple[str, ...]
    samples: int
    engines: int


@dataclass(frozen=True, slots=True)
class _Level:
    """A normal level at the reference run."""

    level: float
    variance: float


def placed(model: MeasurandPeers, asked: Asked) -> Placed:
    """Return where a reading lies among its peers and in its engine's own past.

    Parameters
    ----------
    model : MeasurandPeers
        The peers of its measurand and kind of run.
    asked : Asked
        The reading and what goes with it.

    Returns
    -------
    Placed
        Percentiles, the peers' points at this run, and how well they are known.

    Notes
    -----
    The content added at run *x* is log-normal about *level + p ln(x/x₀)* with variance
    *s² + u²(level) + ln²(x/x_m) u²(p)*, *x_m* the middle run of the peers. An engine that is among
    the peers of a small family is taken out of them first. *Not for* contents that the oil brings
    along.

    References
    ----------
    .. [1] A. Gelman and J. Hill, Data Analysis Using Regression and Multilevel/Hierarchical
       Models, 2007, ch. 12 (from memory); JCGM 100:2008, G.4.
    """
    known = model.families.get(asked.family) if asked.family else None
    level = _family_level(model, known, asked.engine)
    if asked.mean is not None:
        said = mean_says(asked.mean, model.spreads, reference_run=model.reference_run)
        level = _joined(level, _Level(said.level, said.deviation**2))
    log_run, doubt = _log_run(model, asked.now.run)
    centre = level.level + model.spreads.power * log_run
    doubt += level.variance
    s = model.spreads.one_reading
    deviation = math.hypot(s, math.sqrt(doubt))
    net = added(asked.now.interval, asked.now.ground)
    low, high = (float(end) for end in log_ends(net))
    freedom = model.degrees_of_freedom
    ends = Ends(*(float(stdtr(freedom, (end - centre) / deviation)) for end in (low, high)))
    inner = _inner(low, high)
    off = NINETY * math.sqrt(doubt)
    points = np.exp(centre + deviation * stdtrit(freedom, POINTS))
    shown = contents(points, asked.now.ground)
    return Placed(
        percentile=ends.middle,
        ends=ends,
        known_from=float(ndtr((inner - centre - off) / s)),
        known_to=float(ndtr((inner - centre + off) / s)),
        effective=s**2 / doubt,
        low=float(shown[0]),
        middle=float(shown[1]),
        high=float(shown[2]),
        log_centre=centre,
        log_deviation=deviation,
        own=_own_past(model, asked, level, (low, high)) if asked.past else None,
        spoke=_spoke(known, asked),
        samples=known.samples if known else 0,
        engines=known.engines if known else 0,
    )


def _family_level(model: MeasurandPeers, known: FamilyKnown | None, engine: str | None) -> _Level:
    """Return the level of a family without the engine in question; all engines' if not known."""
    of_all = _Level(model.overall, model.overall_deviation**2 + model.spreads.families**2)
    if known is None:
        return of_all
    level = _Level(known.level, known.deviation**2)
    member = known.members.get(engine) if engine else None
    if member is None or member.precision <= 0:
        return level
    precision = 1 / level.variance - member.precision
    if precision <= 1 / of_all.variance:
        return of_all  # nothing but this engine spoke for the family
    without = (level.level / level.variance - member.precision * member.level) / precision
    return _Level(without, 1 / precision)


def _joined(one: _Level, other: _Level) -> _Level:
    precision = 1 / one.variance + 1 / other.variance
    return _Level(
        (one.level / one.variance + other.level / other.variance) / precision, 1 / precision
    )


def _log_run(model: MeasurandPeers, run: float | None) -> tuple[float, float]:
    """Return the run's logarithm and the doubt that it adds; an unknown run is the middle one."""
    if run is None or run <= 0:
        unknown = float(table("wear", "starting")["printed_mean"]["run_unknown"])
        return model.middle_log_run, (model.spreads.power * unknown) ** 2
    log_run = math.log(run / model.reference_run)
    return log_run, ((log_run - model.middle_log_run) * model.power_deviation) ** 2


def _inner(low: float, high: float) -> float:
    """Return a finite middle of an interval of logarithms."""
    if math.isinf(low):
        return high - math.log(2)
    return low + math.log(2) if math.isinf(high) else (low + high) / 2


def _own_past(
    model: MeasurandPeers, asked: Asked, level: _Level, ends: tuple[float, float]
) -> OwnPast:
    """Return this reading's place in the engine's own past, by sums over a grid of its level."""
    spreads = model.spreads
    wide = math.sqrt(level.variance + spreads.engines**2)
    own = level.level + wide * np.linspace(-6.0, 6.0, 401)
    log_weight = -0.5 * ((own - level.level) / wide) ** 2
    for reading in asked.past:
        low, high = log_ends(added(reading.interval, reading.ground))
        at, doubt = _log_run(model, reading.run)
        likely = with_strays(
            low,
            high,
            centre=own + spreads.power * at,
            deviation=math.hypot(spreads.scatter, math.sqrt(doubt)),
            strays=spreads.strays,
        )
        log_weight = log_weight + likely.value
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    at, doubt = _log_run(model, asked.now.run)
    scatter = math.hypot(spreads.scatter, math.sqrt(doubt))
    centres = own + spreads.power * at
    below = Ends(*(float(weight @ ndtr((end - centres) / scatter)) for end in ends))
    low, middle, high = contents(np.exp(_points(centres, weight, scatter)), asked.now.ground)
    return OwnPast(below.middle, below, float(low), float(middle), float(high), len(asked.past))


def _points(centres: Numbers, weight: Numbers, scatter: float) -> Numbers:
    """Return the 5, 50 and 95 % points of a mixture of normal quantities."""
    middle = float(weight @ centres)
    spread = math.sqrt(float(weight @ (centres - middle) ** 2) + scatter**2)
    at = middle + spread * np.linspace(-4.0, 4.0, 161)
    below = ndtr((at[:, None] - centres) / scatter) @ weight
    return np.asarray(np.interp(POINTS, below, at))


def _spoke(known: FamilyKnown | None, asked: Asked) -> tuple[str, ...]:
    """Return the sources that spoke for the peers, the strongest first."""
    spoke = []
    if known is not None:
        counted = sorted(known.sources.items(), key=lambda item: -item[1])
        spoke += [name for name, count in counted if count]
    if asked.mean is not None or (known is not None and known.printed_means):
        spoke.append("printed mean")
    return (*spoke, "starting point")

"""How far the next fill may run, and with what odds of having crossed which limit by then.

The limits and their paths lie in `next_fill_limits`. The advice is a low point of the distribution
of the first limit crossed, never beyond the maker's schedule unless the inspector says so, and
never an extension that nobody asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lees.case.model import Costs
from lees.case.records import Facts
from lees.judge.findings import About, Action, Cost, Curve, NextFill, Proposal, Statement
from lees.judge.likelihood import likelihood
from lees.judge.next_fill_limits import WORTH_SHOWING, Limit
from lees.judge.next_fill_paths import quantiles
from lees.judge.notes import Notes
from lees.judge.run import FillRun
from lees.judge.words import number, run_text
from lees.quantity.arrays import Numbers

POINTS = 121
FINE_POINTS = 601
"""Runs between which the risk is read off in a straight line."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """Runs that bound the advice, in the fill's unit: this fill's, the maker's, a closer look's."""

    this_fill: float
    maker: float | None
    may_exceed_maker: bool
    wish: float | None
    laboratory: float | None
    engine: Action


def next_fill(
    facts: Facts, run: FillRun | None, limits: tuple[Limit, ...], engine: Action, notes: Notes
) -> NextFill:
    """Return the advised next fill, the odds behind it, and what others propose on the curve."""
    if run is None:
        return _no_advice(facts, "The run of this fill is not known.")
    bounds = _bounds(facts, run, engine)
    if engine is Action.ACT_NOW:
        reason = "Have the engine checked before it runs on; then judge again."
    else:
        reason = ""
    longest = 1.25 * max(
        x for x in (2 * run.value / 1.25, bounds.maker, bounds.laboratory, bounds.wish) if x
    )
    runs = np.linspace(0.0, longest, POINTS)
    curves = tuple(_curves(limits, runs))
    first = _first(limits, runs)
    risk = facts.case.inspector.risk
    advised, bound = (None, None) if reason else _advice(limits, bounds, run, risk)
    if not reason:
        reason = _reason(advised, bound, limits, bounds, run)
    maker = facts.case.engine.maker_interval
    return NextFill(
        unit=run.unit,
        runs=_floats(runs),
        curves=curves,
        first=_floats(first) if limits else (),
        risk=risk,
        advised=advised,
        bound=bound,
        reason=reason,
        months=maker.months if maker else None,
        this_fill=run.value,
        maker=bounds.maker,
        proposals=_proposals(limits, bounds, run, notes),
        cost=_cost(facts.case.inspector.costs, runs, first, advised, run.unit) if limits else None,
    )


def _curves(limits: tuple[Limit, ...], runs: Numbers) -> list[Curve]:
    """Return the curves worth showing, each with the runs at its 5, 50 and 95 % points."""
    curves = []
    for limit in limits:
        odds = limit.by(runs)
        if limit.always or odds[-1] >= WORTH_SHOWING:
            low, middle, high = quantiles(runs, odds, (0.05, 0.5, 0.95))
            curves.append(Curve(limit.name, _floats(odds), low, middle, high))
    return curves


def _cost(
    costs: Costs | None, runs: Numbers, first: Numbers, advised: float | None, unit: str
) -> Cost | None:
    """Return what each run costs per distance, where the inspector has told what changes cost."""
    if costs is None or costs.oil + costs.filter + costs.analysis + costs.early_failure <= 0:
        return None
    scale = 100.0 if unit == "h" else 1000.0
    change = costs.oil + costs.filter + costs.analysis
    per = scale * (change + costs.early_failure * first[1:]) / runs[1:]
    cheapest = float(runs[1:][int(np.argmin(per))])
    at = None if advised is None else float(np.interp(advised, runs[1:], per))
    per_text = f"{scale:g} {unit}"
    least = f"{number(float(per.min()))} {costs.currency}".strip()
    text = f"Costs per {per_text} are least, {least}, at {run_text(cheapest, unit)}"
    if at is not None:
        text += f"; at the advised run they are {number(at)} {costs.currency}".rstrip()
    text += ". That is a view of costs, not the advice."
    return Cost(costs.currency, (None, *_floats(per)), cheapest, at, text)


def _first(limits: tuple[Limit, ...], runs: Numbers) -> Numbers:
    """Return the odds of having crossed any limit: one pace for all, else independent."""
    kept = np.ones((1, len(runs)))
    for limit in limits:
        kept = kept * (1.0 - limit.odds(runs))
    return np.asarray(1.0 - kept.mean(axis=0))


def _bounds(facts: Facts, run: FillRun, engine: Action) -> Bounds:
    case = facts.case
    typed = case.report.advised if case.report else None
    advised = run.same_kind(typed)
    if advised is None and facts.report:
        advised = run.from_km_or_h(facts.report.advised_distance_km, facts.report.advised_hours)
    return Bounds(
        this_fill=run.value,
        maker=run.same_kind(case.engine.maker_interval),
        may_exceed_maker=case.inspector.beyond_maker,
        wish=run.same_kind(case.owner.wish),
        laboratory=advised,
        engine=engine,
    )


def _advice(
    limits: tuple[Limit, ...], bounds: Bounds, run: FillRun, risk: float
) -> tuple[float | None, str | None]:
    """Return the advised run and what bounds it."""
    caps: list[tuple[float, str]] = []
    if bounds.maker is not None and not bounds.may_exceed_maker:
        caps.append((bounds.maker, "the maker's schedule"))
    if bounds.maker is None and not bounds.may_exceed_maker:
        caps.append((bounds.this_fill, "this fill's run, the maker's schedule being unknown"))
    if bounds.engine is Action.LOOK_CLOSER:
        caps.append((bounds.this_fill / 2, "an early look at the next filter"))
    if limits:
        reached = _run_at_risk(limits, bounds, risk)
        caps.append((reached, _nearest(limits, reached)))
    if not limits and bounds.maker is None:
        return None, None
    length, why = min(caps, key=lambda cap: cap[0])
    rounded = _rounded_down(length, run.unit)
    return (rounded, why) if rounded > 0 else (None, why)


def _run_at_risk(limits: tuple[Limit, ...], bounds: Bounds, risk: float) -> float:
    """Return the longest run at which the odds are still within the risk."""
    longest = 3.0 * max(
        x for x in (bounds.this_fill, bounds.maker, bounds.wish, bounds.laboratory) if x
    )
    runs = np.linspace(0.0, longest, FINE_POINTS)
    (reached,) = quantiles(runs, _first(limits, runs), (risk,))
    return longest if reached is None else reached


def _nearest(limits: tuple[Limit, ...], run: float) -> str:
    """Return the name of the limit that most likely comes first by a run."""
    return f"the {_likeliest(limits, run).name} limit"


def _likeliest(limits: tuple[Limit, ...], run: float) -> Limit:
    at = np.array([0.0, max(run, 1e-6)])
    return max(limits, key=lambda limit: float(limit.by(at)[1]))


def _odds_by(limits: tuple[Limit, ...], run: float) -> float:
    return float(_first(limits, np.array([0.0, run]))[1])


def _rounded_down(length: float, unit: str) -> float:
    """Return a run cut down to a customary step."""
    if unit == "h":
        step = 50.0 if length >= 200 else 25.0 if length >= 50 else 5.0
    else:
        step = 1000.0 if length >= 5000 else 500.0 if length >= 1000 else 100.0
    return math.floor(length / step + 1e-9) * step


def _reason(
    advised: float | None,
    bound: str | None,
    limits: tuple[Limit, ...],
    bounds: Bounds,
    run: FillRun,
) -> str:
    if advised is None and bound is None:
        return "The case says too little of the oil, and the maker's schedule is not known."
    if advised is None:
        return f"No run is short enough: {bound} stands at its limit already."
    if not limits:
        return "The oil's own limits could not be judged; this is the maker's schedule."
    odds = _odds_by(limits, advised)
    text = (
        f"By then it is {likelihood(odds)} that a limit of the oil has been crossed; "
        f"what bounds the run is {bound}."
    )
    if bounds.may_exceed_maker and bounds.maker is not None and advised > bounds.maker:
        text += f" It is beyond the maker's {run_text(bounds.maker, run.unit)}, as asked."
    return text


def _proposals(
    limits: tuple[Limit, ...], bounds: Bounds, run: FillRun, notes: Notes
) -> tuple[Proposal, ...]:
    if not limits:
        return ()
    told = []
    named = (
        ("the laboratory's advice", bounds.laboratory),
        ("the owner's wish", bounds.wish),
        ("the maker's schedule", bounds.maker),
        ("this fill again", bounds.this_fill),
    )
    for who, length in named:
        if not length:
            continue
        odds = _odds_by(limits, length)
        nearest = _likeliest(limits, length)
        likely = likelihood(odds)
        text = _proposal_sentence(who, run_text(length, run.unit), odds, nearest.name)
        told.append(Proposal(who, length, odds, likely, text))
        notes.state(
            Statement(
                id=f"next.{who.split()[1].strip(chr(39))}",
                about=About.NEXT_FILL,
                text=text,
                action=Action.CARRY_ON,
                facts=(notes.fact(f"run.{who}", who, f"{number(length)} {run.unit}", who),),
                formula="1 − Π(1 − odds of each limit)",
                sources=("odds curve of this case",),
            )
        )
    return tuple(told)


def _proposal_sentence(who: str, length: str, odds: float, limit: str) -> str:
    word = likelihood(odds)
    if odds > 0.33:
        return f"By {length}, {who}, it is {word} that the {limit} limit has been crossed."
    return f"By {length}, {who}, it is {word} that any limit of the oil has been crossed."


def _no_advice(facts: Facts, reason: str) -> NextFill:
    return NextFill(
        unit="km",
        runs=(),
        curves=(),
        first=(),
        risk=facts.case.inspector.risk,
        advised=None,
        bound=None,
        reason=reason,
        months=None,
        this_fill=None,
        maker=None,
        proposals=(),
    )


def _floats(values: Numbers) -> tuple[float, ...]:
    return tuple(float(value) for value in values)

"""How far the next fill may run, and with what odds of having crossed which limit by then.

Base number: straight and proportional loss averaged (common practice, no source), uncertainty from
the method's precision. Viscosity: a straight drift from fresh towards either end of the grade.
The advice is a low point of the distribution, never beyond the maker's schedule unless the
inspector says so, and never an extension that nobody asked for.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from lees.case.records import Facts
from lees.errors import LeesError
from lees.judge.findings import About, Action, Curve, NextFill, OilCondition, Proposal, Statement
from lees.judge.likelihood import likelihood
from lees.judge.notes import Notes
from lees.judge.reported import OilKnown
from lees.judge.run import FillRun
from lees.judge.words import exactly, number, run_text
from lees.oil.base_number import Loss, Reserve, odds_of_crossing
from lees.oil.titration import Titration, base_number_reserve
from lees.quantity.arrays import Numbers
from lees.quantity.measured import Measured

CUSTOMARY_FLOOR_MGKOH_G = 2.0
POINTS = 121
Odds = Callable[[Numbers], Numbers]


@dataclass(frozen=True, slots=True)
class Limit:
    """Something that ends an oil's life: its name, and the odds of having crossed it by a run."""

    name: str
    odds: Odds


@dataclass(frozen=True, slots=True)
class Bounds:
    """Runs that bound the advice, in the fill's unit: this fill's, the maker's, a closer look's."""

    this_fill: float
    maker: float | None
    may_exceed_maker: bool
    wish: float | None
    laboratory: float | None
    engine: Action


def limits_of_the_oil(
    facts: Facts, oil: OilKnown, condition: OilCondition, run: FillRun | None, notes: Notes
) -> tuple[Limit, ...]:
    """Return the limits that this case can be held to and note why others cannot."""
    if run is None:
        if oil.present:
            notes.not_judged.append(
                "The next fill: neither the case nor the report says how far this one ran."
            )
        return ()
    limits = [_base_number_limit(facts, oil, run, notes), *_viscosity_limits(oil, condition, run)]
    return tuple(limit for limit in limits if limit is not None)


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
    curves = tuple(Curve(one.name, _floats(one.odds(runs))) for one in limits)
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
    )


def _base_number_limit(facts: Facts, oil: OilKnown, run: FillRun, notes: Notes) -> Limit | None:
    used, fresh = oil.present.get("bn"), oil.fresh.get("bn")
    if used is None or fresh is None:
        lacking = "the report has none" if used is None else "no fresh value is known"
        notes.not_judged.append(f"The base number's loss: {lacking}.")
        return None
    try:
        reserve = base_number_reserve(
            Titration(fresh.value.value, fresh.method),
            Titration(used.value.value, used.method),
            run=run.value,
            laboratory=oil.laboratory,
        )
    except LeesError as error:
        notes.not_judged.append(f"The base number's loss: {error}")
        return None
    floor = facts.case.inspector.base_number_floor
    level = floor.value.value if floor else CUSTOMARY_FLOOR_MGKOH_G
    method = (floor.method if floor else None) or used.method or "the laboratory's method"
    whose = "the inspector's" if floor else "common practice, no source"

    def odds(runs: Numbers) -> Numbers:
        return _averaged(reserve, level, runs)

    now = float(odds(np.array([run.value]))[0])
    left = used.value.value / fresh.value.value if fresh.value.value else 0.0
    text = (
        f"The base number fell from {fresh.text} to {used.text}, {left * 100:.0f} % of fresh; "
        f"it is {likelihood(now)} that it has already crossed the floor of {exactly(level)} "
        f"mgKOH/g by {method}."
    )
    notes.state(
        Statement(
            id="oil.bn",
            about=About.OIL,
            text=text,
            action=Action.LOOK_CLOSER if now > 0.33 else Action.CARRY_ON,
            facts=(notes.reported(used), notes.reported(fresh, fresh=True)),
            formula="mean of straight and proportional loss through fresh and used, s = R/2.77",
            sources=(f"floor: {whose}", "loss models: common practice, no source", fresh.origin),
        )
    )
    return Limit("base number", odds)


def _averaged(reserve: Reserve, level: float, runs: Numbers) -> Numbers:
    """Return the odds of having crossed a level, the two forms of loss taken as alike likely."""
    straight = odds_of_crossing(runs, reserve=reserve, floor=level, loss=Loss.LINEAR)
    if level <= 0 or min(reserve.fresh.value, reserve.present.value) <= 0:
        return straight
    proportional = odds_of_crossing(runs, reserve=reserve, floor=level, loss=Loss.EXPONENTIAL)
    return 0.5 * (straight + proportional)


def _viscosity_limits(oil: OilKnown, condition: OilCondition, run: FillRun) -> list[Limit]:
    used, fresh = oil.present.get("kv100"), oil.fresh.get("kv100")
    if used is None or fresh is None or condition.grade_low_mm2_s is None:
        return []
    low, high = condition.grade_low_mm2_s, condition.grade_high_mm2_s
    reserve = Reserve(fresh.value, used.value, run.value)
    limits = [
        Limit(
            "low viscosity",
            lambda runs: odds_of_crossing(runs, reserve=reserve, floor=low, loss=Loss.LINEAR),
        )
    ]
    if high is not None:
        mirrored = Reserve(_less_than(high, fresh.value), _less_than(high, used.value), run.value)
        limits.append(
            Limit(
                "high viscosity",
                lambda runs: odds_of_crossing(runs, reserve=mirrored, floor=0.0, loss=Loss.LINEAR),
            )
        )
    return limits


def _less_than(high: float, value: Measured) -> Measured:
    """Return how far a value lies under a bound, for the same sum turned round."""
    return Measured(high - value.value, value.uncertainty, value.unit, value.source)


def _first(limits: tuple[Limit, ...], runs: Numbers) -> Numbers:
    """Return the odds of having crossed any limit, their doubts taken as independent."""
    kept = np.ones_like(runs)
    for limit in limits:
        kept = kept * (1.0 - limit.odds(runs))
    return 1.0 - kept


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
        caps.append((_run_at_risk(limits, bounds, risk), _nearest(limits, bounds, risk)))
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
    runs = np.linspace(0.0, longest, 3001)
    within = _first(limits, runs) <= risk
    return (
        float(runs[np.flatnonzero(~within)[0] - 1])
        if not within.all() and within[0]
        else (longest if within[0] else 0.0)
    )


def _nearest(limits: tuple[Limit, ...], bounds: Bounds, risk: float) -> str:
    """Return the name of the limit that most likely comes first at the run of that risk."""
    at = np.array([max(_run_at_risk(limits, bounds, risk), 1e-6)])
    return f"the {max(limits, key=lambda limit: float(limit.odds(at)[0])).name} limit"


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
    odds = float(_first(limits, np.array([advised]))[0])
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
        at = np.array([length])
        odds = float(_first(limits, at)[0])
        nearest = max(limits, key=lambda limit: float(limit.odds(at)[0]))
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

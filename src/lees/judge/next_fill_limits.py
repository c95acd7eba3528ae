"""The limits that this case can be held to, each with its path from fresh to the limit.

Method precision by ISO 4259-1; ceilings customary or printed on the report; forms averaged.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from lees.case.records import Facts
from lees.errors import LeesError
from lees.judge.findings import About, Action, OilCondition, Statement
from lees.judge.likelihood import likelihood
from lees.judge.next_fill_paths import Form, Path, crossing_odds, pooled_pace
from lees.judge.notes import Notes
from lees.judge.reported import Known, OilKnown, known
from lees.judge.run import FillRun
from lees.judge.wear import Wear
from lees.judge.words import exactly
from lees.oil.base_number import Reserve
from lees.oil.precision import Laboratory
from lees.oil.titration import (
    ALLOWANCE,
    Titration,
    acid_number_rise,
    base_number_reserve,
    margin_over_acid,
)
from lees.quantity.arrays import Numbers
from lees.quantity.data import table
from lees.quantity.measurands import measurand
from lees.quantity.measured import Measured

CUSTOMARY_FLOOR_MGKOH_G = 2.0
WORTH_SHOWING = 0.02
"""A limit is told of where the odds of crossing it get this high on the curve."""
MOST_SURE = 0.98

Odds = Callable[[Numbers], Numbers]


@dataclass(frozen=True, slots=True)
class Limit:
    """Something that ends an oil's life: its name, and the odds of having crossed it by a run.

    `odds` gives them for each pace of the next fill; `always` is shown even where they are low.
    """

    name: str
    odds: Odds
    always: bool = False

    def by(self, runs: Numbers) -> Numbers:
        """Return the odds by each run, over all paces."""
        return np.asarray(self.odds(runs).mean(axis=0))


def limits_of_the_oil(
    facts: Facts, oil: OilKnown, condition: OilCondition, *, run: FillRun | None, wear: Wear,
    notes: Notes,
) -> tuple[Limit, ...]:  # fmt: skip
    """Return the limits that this case can be held to and note why others cannot."""
    if run is None:
        if oil.present:
            notes.not_judged.append(
                "The next fill: neither the case nor the report says how far this one ran."
            )
        return ()
    held = _Held(facts, oil, run, notes)
    return (
        *_base_number(held),
        *_viscosity(held, condition),
        *_ceilings(held),
        *_elements(held, wear),
    )


@dataclass(frozen=True, slots=True)
class _Held:
    """What every limit is reckoned from."""

    facts: Facts
    oil: OilKnown
    run: FillRun
    notes: Notes

    @property
    def factor(self) -> float:
        """By how much the next fill's duty is harder than this one's."""
        entry = table("judge", "limits")["scatter"]
        wanted = self.facts.case.inspector.next_duty
        return float(entry[wanted]) if wanted in ("harder", "easier") else 1.0


def _limit(held: _Held, name: str, path: Path, key: str, *, always: bool = False) -> Limit:
    """Return a limit whose pace comes from this engine's fills together."""
    now = _log_rate(path.reserve, path.rising)
    past = list(_past_rates(held, key, path)) if now is not None else []
    pace = pooled_pace(now or Measured(0.0, 0.0, "1", "no change"), past, held.factor)
    reserve = path.reserve
    if past:  # the result's doubt is then in the pace
        here = Measured(reserve.present.value, 0.0, reserve.present.unit, reserve.present.source)
        reserve = replace(reserve, present=here, shared_uncertainty=0.0)
    paced = replace(path, reserve=reserve, pace=pace)
    return Limit(name, lambda runs: crossing_odds(runs, paced), always)


def _log_rate(reserve: Reserve, rising: bool) -> Measured | None:
    change = reserve.present.value - reserve.fresh.value
    change = change if rising else -change
    doubt = math.hypot(reserve.present.uncertainty, reserve.fresh.uncertainty)
    if change <= 0 or change < doubt:
        return None
    return Measured(math.log(change / reserve.run), doubt / change, "1", "this fill")


def _past_rates(held: _Held, key: str, path: Path) -> Iterator[Measured]:
    """Return the logarithms of this engine's earlier rates, taking the fresh oil as the same."""
    fresh = path.reserve.fresh
    for sample in held.oil.past:
        result = sample.results.get(key)
        earlier = held.run.from_km_or_h(sample.oil_distance_km, sample.oil_hours)
        made = known(key, result, result.method, "earlier sample") if result else None
        if made is None or not earlier or made.qualifier:
            continue
        reserve = Reserve(fresh, replace(made.value, unit=fresh.unit), earlier)
        rate = _log_rate(reserve, path.rising)
        if rate is not None:
            yield rate


def _base_number(held: _Held) -> Iterator[Limit]:
    oil, notes = held.oil, held.notes
    used = oil.present.get("bn")
    if used is None:
        notes.not_judged.append("The base number's loss: the report has none.")
        return
    try:
        reserve, told = _base_reserve(held, used)
    except LeesError as error:
        notes.not_judged.append(f"The base number's loss: {error}")
        return
    floor = held.facts.case.inspector.base_number_floor
    level = floor.value.value if floor else CUSTOMARY_FLOOR_MGKOH_G
    forms = (Form.STRAIGHT, Form.PROPORTIONAL)
    limit = _limit(held, "base number", Path(reserve, level, False, forms), "bn", always=True)
    method = (floor.method if floor else None) or used.method or "the laboratory's method"
    whose = "the inspector's" if floor else "common practice, no source"
    now = _by_now(Path(reserve, level, False, forms))
    facts = [notes.reported(used)]
    if (fresh := oil.fresh.get("bn")) is not None:
        facts.append(notes.reported(fresh, fresh=True))
    notes.state(
        Statement(
            id="oil.bn",
            about=About.OIL,
            text=(
                f"{told}; it is {likelihood(min(now, MOST_SURE))} that it has already crossed the "
                f"floor of {exactly(level)} mgKOH/g by {method}."
            ),
            action=Action.LOOK_CLOSER if now > 0.33 else Action.CARRY_ON,
            facts=tuple(facts),
            formula="mean of straight and proportional loss through fresh and used, s = R/2.77",
            sources=(
                f"floor: {whose}",
                "loss models: common practice, no source",
                reserve.fresh.source,
            ),
        )
    )
    yield limit
    yield from _acid_crossing(held, reserve)


def _by_now(path: Path) -> float:
    """Return the odds that a limit has been crossed in this fill, whose pace is known."""
    odds = crossing_odds(np.array([0.0, path.reserve.run]), path)
    return float(odds.mean(axis=0)[1])


def _base_reserve(held: _Held, used: Known) -> tuple[Reserve, str]:
    """Return the base number as a reserve, and what is told of it.

    A fresh value by another method is brought over with its doubt, an unknown one is judged; no
    share left is told of either.
    """
    fresh, run = held.oil.fresh.get("bn"), held.run.value
    if fresh is None:
        held.notes.not_judged.append(
            "The share of the base number that is left: no fresh value is known."
        )
        fuel = held.facts.case.engine.fuel
        entry = table("judge", "limits")["unknown_start"]["bn"]
        middle, deviation = entry.get(fuel or "other", entry["other"])
        middle = max(float(middle), used.value.value + 1.0)
        start = Measured(middle, float(deviation), "mgKOH/g", "a fresh value that is judged")
        told = (
            f"The base number is {used.text}; what it was when fresh is not known and is taken as "
            f"{exactly(round(middle, 1))} ± {exactly(round(2 * float(deviation), 1))} mgKOH/g"
        )
        return Reserve(start, used.value, run), told
    one = Titration(fresh.value.value, fresh.method)
    other = Titration(used.value.value, used.method)
    try:
        reserve = base_number_reserve(one, other, run=run, laboratory=held.oil.laboratory)
    except LeesError as error:
        held.notes.not_judged.append(f"The share of the base number that is left: {error}")
        reserve = base_number_reserve(
            one, other, run=run, laboratory=Laboratory.DIFFERENT, allowance=ALLOWANCE
        )
        told = (
            f"The base number is {used.text}; the fresh one was measured by another method and is "
            f"taken as {exactly(round(reserve.fresh.value, 1))} ± "
            f"{exactly(round(2 * reserve.fresh.uncertainty, 1))} mgKOH/g in this one"
        )
        return reserve, told
    left = used.value.value / fresh.value.value if fresh.value.value else 0.0
    told = f"The base number fell from {fresh.text} to {used.text}, {left * 100:.0f} % of fresh"
    return reserve, told


def _acid_crossing(held: _Held, base: Reserve) -> Iterator[Limit]:
    used, fresh = held.oil.present.get("an"), held.oil.fresh.get("an")
    if used is None:
        return
    try:
        if fresh is not None:
            acid = acid_number_rise(
                Titration(fresh.value.value, fresh.method),
                Titration(used.value.value, used.method),
                run=base.run,
                laboratory=held.oil.laboratory,
            )
        else:
            middle, deviation = table("judge", "limits")["unknown_start"]["an"]["other"]
            start = Measured(float(middle), float(deviation), "mgKOH/g", "judged")
            acid = Reserve(start, used.value, base.run)
        margin = margin_over_acid(base, acid)
    except LeesError as error:
        held.notes.not_judged.append(f"Where acid and base number cross: {error}")
        return
    path = Path(margin, 0.0, rising=False, forms=(Form.STRAIGHT,))
    yield _limit(held, "acid and base crossing", path, "margin")


def _viscosity(held: _Held, condition: OilCondition) -> Iterator[Limit]:
    used, fresh = held.oil.present.get("kv100"), held.oil.fresh.get("kv100")
    if used is None or fresh is None or condition.grade_low_mm2_s is None:
        return
    low, high = condition.grade_low_mm2_s, condition.grade_high_mm2_s
    reserve = Reserve(fresh.value, used.value, held.run.value)
    forms = (Form.STRAIGHT, Form.LEVELLING)
    path = Path(reserve, low, rising=False, forms=forms)
    yield _limit(held, "low viscosity", path, "kv100", always=True)
    if high is not None:
        forms = (Form.STRAIGHT, Form.GATHERING)
        path = Path(reserve, high, rising=True, forms=forms)
        yield _limit(held, "high viscosity", path, "kv100", always=True)


def _ceilings(held: _Held) -> Iterator[Limit]:
    printed = held.facts.report.limits if held.facts.report else {}
    for key, entry in table("judge", "limits")["limit"].items():
        used = held.oil.present.get(key)
        if used is None or used.qualifier == ">":
            continue
        ceiling = float(entry["ceiling"])
        told = printed.get(key)
        made = known(key, told, None, "limit printed on the report") if told else None
        if made is not None and made.value.value > 0:
            ceiling = made.value.value
        path = _rising(held, used, ceiling, entry)
        yield _limit(held, entry["name"], path, key)


def _elements(held: _Held, wear: Wear) -> Iterator[Limit]:
    """Return the ceilings of elements, where the peers or the report give one."""
    printed = held.facts.report.limits if held.facts.report else {}
    entry = table("judge", "limits")["wear"]
    for row in wear.rows:
        used, ceiling = held.oil.present[row.key], row.limit
        told = printed.get(row.key)
        made = known(row.key, told, None, "limit printed on the report") if told else None
        if ceiling is None and made is not None and made.value.value > 0:
            ceiling = made.value.value
        if ceiling is None or used.qualifier == ">":
            continue
        name = measurand(row.key).name.lower()
        yield _limit(held, name, _rising(held, used, ceiling, entry), row.key)


def _rising(held: _Held, used: Known, ceiling: float, entry: Mapping[str, Any]) -> Path:
    """Return the path of something that gathers in the oil from fresh to now."""
    fresh = held.oil.fresh.get(used.key)
    if fresh is not None and not fresh.qualifier:
        start = fresh.value
    else:
        middle, deviation = entry["start"]
        start = Measured(float(middle), float(deviation), used.value.unit, "judged")
    doubt = max(used.value.uncertainty, used.step / math.sqrt(12))
    now = Measured(used.middle, doubt, used.value.unit, used.origin)
    forms = tuple(Form(one) for one in entry["forms"])
    return Path(Reserve(start, now, held.run.value), ceiling, rising=True, forms=forms)

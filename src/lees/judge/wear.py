"""How fast each element comes into the oil, against the population mean at the same run.

A mean is a mean of engines that differ: their spread is log-normal and, until peers are counted,
its width is judged (`data/peers.toml`). Content grows with the run in a straight line from the
fresh oil's (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import ndtr

from lees.case.records import Facts
from lees.judge.findings import About, Action, ElementRow, Statement
from lees.judge.notes import Notes
from lees.judge.reported import Known, OilKnown, elements_of, known
from lees.judge.run import FillRun
from lees.judge.words import listed, number, run_text
from lees.quantity.data import table
from lees.quantity.measured import Measured

ADDITIVES = frozenset({"Mo", "B", "Ba", "Ca", "Mg", "P", "Zn", "S", "Li", "W", "Bi", "Sb"})
NINETY = 1.6449
"""Half of a 90 % interval in standard deviations."""


@dataclass(frozen=True, slots=True)
class Peers:
    """The middle of the peers at this run and the deviation of their logarithms."""

    middle: float
    deviation: float
    run_known: bool


@dataclass(frozen=True, slots=True)
class Wear:
    """The rows shown, and per element the logarithm of content over the peers' middle."""

    rows: tuple[ElementRow, ...]
    log_ratio: dict[str, float]
    log_uncertainty: dict[str, float]
    deviation: float


def wear_found(facts: Facts, oil: OilKnown, run: FillRun | None, notes: Notes) -> Wear:
    """Return every element's place among its peers and note what it says."""
    mean_run = _mean_run(facts, run)
    rows, ratios, doubts = [], {}, {}
    deviation = float(table("judge", "peers")["spread"]["log_deviation"])
    for key in elements_of(oil.present):
        used = oil.present[key]
        mean = oil.means.get(key)
        peers = _peers(mean, run, mean_run, oil.fresh.get(key)) if key not in ADDITIVES else None
        row = _row(used, mean, peers, run, _past(key, oil, run))
        rows.append(row)
        if peers:
            ratios[key] = math.log(used.middle / peers.middle)
            doubts[key] = max(used.value.uncertainty, used.step / math.sqrt(12)) / max(
                used.middle, used.step
            )
            deviation = max(deviation, peers.deviation)
    if oil.present and not ratios:
        notes.not_judged.append(
            "The pace of wear: the report prints no population mean to hold this engine against."
        )
    _note(rows, run, mean_run, notes, oil)
    return Wear(tuple(rows), ratios, doubts, deviation)


def _mean_run(facts: Facts, run: FillRun | None) -> float | None:
    """Return the run behind the printed means, in this run's unit, where it is known."""
    if run is None:
        return None
    typed = facts.case.report.means if facts.case.report else None
    if typed and (value := run.same_kind(typed.run)) is not None:
        return value
    if facts.report is None:
        return None
    return run.from_km_or_h(facts.report.means_run_km, facts.report.means_run_h)


def _peers(
    mean: Known | None, run: FillRun | None, mean_run: float | None, fresh: Known | None
) -> Peers | None:
    if mean is None or mean.middle <= 0:
        return None
    entries = table("judge", "peers")
    spread = float(entries["spread"]["log_deviation"])
    start = min(fresh.middle if fresh else 0.0, mean.middle)
    content, known_run = mean.middle, run is not None and mean_run is not None
    if run is not None and mean_run is not None:
        content = start + (mean.middle - start) * run.value / mean_run
        deviation = spread
    else:
        deviation = math.hypot(spread, float(entries["mean_run_unknown"]["log_deviation"]))
    return Peers(content * math.exp(-(spread**2) / 2), deviation, known_run)


def _row(
    used: Known,
    mean: Known | None,
    peers: Peers | None,
    run: FillRun | None,
    past: tuple[float, ...],
) -> ElementRow:
    rate, rate_unit = None, None
    if run is not None:
        per = 1000.0 if run.unit != "h" else 100.0
        rate_unit = f"{used.value.unit} per {per:g} {run.unit}"
        scale = per / run.value
        rate = Measured(used.middle * scale, used.value.uncertainty * scale, "mg/kg", "rate")
    low = middle = high = percentile = None
    if peers:
        half = NINETY * peers.deviation
        low, middle, high = (peers.middle * math.exp(step) for step in (-half, 0.0, half))
        percentile = float(ndtr(math.log(used.middle / peers.middle) / peers.deviation))
    note = "; ".join(used.remarks) or None
    return ElementRow(
        key=used.key,
        name=used.name,
        value=used.value,
        text=used.text,
        rate=rate,
        rate_unit=rate_unit,
        mean=mean.middle if mean else None,
        peers_low=low,
        peers_middle=middle,
        peers_high=high,
        past=past,
        percentile=percentile,
        note=note,
    )


def _past(key: str, oil: OilKnown, run: FillRun | None) -> tuple[float, ...]:
    """Return this engine's earlier contents, brought to this run in a straight line."""
    if run is None:
        return ()
    values = []
    for sample in oil.past:
        earlier = run.from_km_or_h(sample.oil_distance_km, sample.oil_hours)
        result = sample.results.get(key)
        made = known(key, result, result.method, "earlier sample") if result else None
        if earlier and made:
            values.append(made.middle * run.value / earlier)
    return tuple(values)


def _note(
    rows: list[ElementRow],
    run: FillRun | None,
    mean_run: float | None,
    notes: Notes,
    oil: OilKnown,
) -> None:
    placed = [row for row in rows if row.percentile is not None]
    if not placed:
        return
    at = f" at {run_text(run.value, run.unit)}" if run and mean_run else ""
    basis = (
        f"the report's means, taken at {run_text(mean_run, run.unit)} and brought to this run"
        if run and mean_run
        else "the report's means, whose distance is not printed"
    )
    high = [row for row in placed if (row.percentile or 0) > 0.95]
    facts = tuple(
        fact
        for row in placed
        for fact in (
            notes.reported(oil.present[row.key]),
            notes.reported(oil.means[row.key], mean=True),
        )
    )
    if high:
        told = listed([f"{row.name.lower()} ({row.text})" for row in high])
        text = f"Above what nineteen in twenty engines show{at}: {told}, held against {basis}."
        action = Action.LOOK_CLOSER
    else:
        text = f"No element stands out{at} against {basis}."
        action = Action.CARRY_ON
    notes.state(
        Statement(
            id="wear.peers",
            about=About.ENGINE,
            text=text,
            action=action,
            facts=facts,
            formula="Φ((ln C − ln C_middle)/σ), C_middle = mean · run/run of the mean · e^(−σ²/2)",
            sources=("report's population means", "σ = 0.45: judgement"),
        )
    )
    _iron(placed, run, mean_run, notes)


def _iron(
    placed: list[ElementRow], run: FillRun | None, mean_run: float | None, notes: Notes
) -> None:
    """Say in one sentence why a reading above the mean may be better than average."""
    iron = next((row for row in placed if row.key == "Fe"), None)
    if (
        iron is None
        or iron.mean is None
        or run is None
        or not mean_run
        or iron.peers_middle is None
    ):
        return
    at_this_run = iron.mean * run.value / mean_run
    ratio = iron.value.value / at_this_run if at_this_run else 0.0
    per = "1000 " + run.unit if run.unit != "h" else "100 h"
    scale = 1000 if run.unit != "h" else 100
    compare = (
        "slower than" if ratio < 0.9 else "faster than" if ratio > 1.1 else "at the same pace as"
    )
    text = (
        f"Iron of {iron.text} after {run_text(run.value, run.unit)} is "
        f"{number(iron.value.value / run.value * scale, 2)} mg/kg per {per}, against "
        f"{number(iron.mean / mean_run * scale, 2)} for the mean of {number(iron.mean)} mg/kg at "
        f"{run_text(mean_run, run.unit)}: this engine sheds iron {compare} its peers."
    )
    notes.state(
        Statement(
            id="wear.iron",
            about=About.ENGINE,
            text=text,
            facts=("used.Fe", "mean.Fe"),
            formula="C / run against mean / run of the mean",
            sources=("ASTM D7669-20 (rate as change over usage; from memory)",),
        )
    )

"""How well a reading agrees with the truth: field by field, right, missed, wrong or invented."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from lees.document.records import Report, Result, Sample
from lees.quantity.units import is_unit, unit
from truth.reports.truth import Printed, Truth, TruthSample


@dataclass
class Score:
    """Counts by outcome, the confidences of results, and notes on what went wrong."""

    counts: Counter[str] = field(default_factory=Counter)
    trust: list[tuple[float, bool]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def note(self, outcome: str, what: str) -> None:
        self.counts[outcome] += 1
        if outcome not in ("right", "right reviewed"):
            self.notes.append(f"{outcome}: {what}")

    def add(self, other: Score) -> None:
        self.counts += other.counts
        self.trust += other.trust
        self.notes += other.notes


def score(truth: Truth, report: Report) -> Score:
    """Return how a reading agrees with the truth of a report."""
    found = Score()
    pairs = _paired(truth, report)
    for told, sample in pairs:
        _sample(truth, told, sample, found)
    for extra in report.samples:
        if not any(sample is extra for _, sample in pairs):
            for key, result in extra.results.items():
                found.note(
                    "invented reviewed" if result.review else "invented",
                    f"sample {key} {result.text}",
                )
    if "mean" in truth.shown:
        _side(truth, "mean", truth.mean, report.reference, found)
    else:
        _side(truth, "mean", {}, report.reference, found)
    _side(truth, "own", truth.own if "own" in truth.shown else {}, report.own_mean, found)
    if "limits" in truth.shown:
        for key, (low, high) in truth.limits.items():
            got = report.limits.get(key)
            if got is None:
                found.note("missed", f"limit {key}")
            elif (got.low, got.high) != (low, high):
                found.note("wrong", f"limit {key} {got.low} {got.high} not {low} {high}")
            else:
                found.note("right", key)
    if "advised" in truth.shown:
        got_advice = report.advised_distance
        if got_advice is None:
            found.note("missed", f"advised {truth.advised}")
        elif (got_advice.value, got_advice.unit) != (truth.advised, truth.run_unit):
            found.note("wrong", f"advised {got_advice.value} {got_advice.unit} not {truth.advised}")
        else:
            found.note("right", "advised")
    elif report.advised_distance is not None:
        found.note("invented", f"advised {report.advised_distance.value}")
    for name in ("oil", "engine"):
        if name in truth.shown:
            got_text = getattr(report, name)
            want = getattr(truth, name)
            if got_text is None:
                found.note("missed", f"{name} {want}")
            else:
                found.note(
                    "right" if got_text == want else "wrong", f"{name} {got_text!r} not {want!r}"
                )
    return found


def _paired(truth: Truth, report: Report) -> list[tuple[TruthSample, Sample | None]]:
    free = list(report.samples)
    pairs: list[tuple[TruthSample, Sample | None]] = []
    for told in truth.samples:
        best, most = None, 0
        for sample in free:
            same = sum(
                1
                for key, one in told.values.items()
                if one.value is not None
                and key in sample.results
                and sample.results[key].value == one.value
            )
            same += 3 * (sample.label == told.label) + 3 * (sample.date == told.date.isoformat())
            if same > most:
                best, most = sample, same
        if best is not None:
            free.remove(best)
        pairs.append((told, best))
    return pairs


def _sample(truth: Truth, told: TruthSample, sample: Sample | None, found: Score) -> None:
    got = sample.results if sample else {}
    for key in truth.keys:
        want = told.values[key]
        printed = want.value is not None or want.qualifier is not None
        if "prose" in truth.shown and want.value is None:
            continue
        result = got.get(key)
        if not printed:
            if result is not None:
                found.note(
                    "invented reviewed" if result.review else "invented", f"{key} {result.text}"
                )
            continue
        _compare(key, want, result, found, units="no units" not in truth.shown)
    for key in set(got) - set(truth.keys):
        found.note("invented reviewed" if got[key].review else "invented", f"{key} {got[key].text}")
    if sample is None:
        return
    if "date" in truth.shown:
        _fact("date", told.date.isoformat(), sample.date, found)
    if "label" in truth.shown:
        _fact("label", told.label, sample.label, found)
    for name, shown in (("oil", "oil_run"), ("engine", "engine_run")):
        if shown in truth.shown:
            quantity = getattr(
                sample, f"{name}_hours" if truth.run_unit == "h" else f"{name}_distance"
            )
            want_run = told.oil_run if name == "oil" else told.engine_run
            _fact(
                shown,
                (want_run, truth.run_unit),
                quantity and (quantity.value, quantity.unit),
                found,
            )


def _fact(name: str, want: object, got: object, found: Score) -> None:
    if got is None:
        found.note("missed", f"{name} {want}")
    else:
        found.note("right" if got == want else "wrong", f"{name} {got} not {want}")


def _compare(key: str, want: Printed, result: Result | None, found: Score, *, units: bool) -> None:
    if result is None:
        found.note("missed", f"{key} {want.text}")
        return
    right = result.value == want.value and result.qualifier == want.qualifier
    if units and want.unit and right and want.value is not None:
        right = (
            result.unit is not None
            and is_unit(result.unit)
            and unit(result.unit).symbol == want.unit
        )
    found.trust.append((result.confidence, right))
    outcome = "right" if right else "wrong"
    if result.review:
        outcome += " reviewed"
    found.note(
        outcome,
        f"{key} {result.qualifier or ''}{result.value} {result.unit} not {want.text} {want.unit} {result.reasons}",
    )


def _side(
    truth: Truth, name: str, want: dict[str, Printed], got: dict[str, Result], found: Score
) -> None:
    for key, one in want.items():
        result = got.get(key)
        if result is None:
            found.note("missed", f"{name} {key} {one.text}")
        else:
            found.note(
                "right" if result.value == one.value else "wrong",
                f"{name} {key} {result.value} not {one.text}",
            )
    for key in set(got) - set(want):
        found.note("invented", f"{name} {key} {got[key].text}")

"""Physics and arithmetic as evidence on what was read: a contradiction sends both to review.

Viscosities: ASTM D2270 (index) and ASTM D2161 (Saybolt seconds). What is printed beside the
results is held against them: changes against differences, a mean against its samples.
"""

from __future__ import annotations

from collections.abc import Sequence

from lees.document.lexicon import plausible
from lees.document.records import Report, Result, Sample
from lees.errors import LeesError
from lees.oil.saybolt import saybolt_seconds
from lees.oil.viscosity_index import viscosity_index
from lees.quantity.measurands import measurand
from lees.quantity.units import convert, is_unit

_MOST = 0.7
"""The share of rows that must agree before a row that does not is held to be misread."""


def check(report: Report) -> None:
    """Lower the trust in results that contradict each other, raise it where they agree."""
    for sample in report.samples:
        for result in sample.results.values():
            _against_range(result)
        _index(sample)
        _seconds(sample)
        _antiwear(sample)
    for group in (report.reference, report.own_mean, report.fresh):
        for result in group.values():
            _against_range(result)
    _changes(report)
    _own_mean(report)


def _standard_value(result: Result) -> float | None:
    """Return a result in its measurand's own unit, or None where that cannot be told."""
    if result.value is None:
        return None
    one = measurand(result.key)
    unit = result.unit or one.unit
    try:
        return convert(result.value, unit, one.unit) if is_unit(unit) else None
    except LeesError:
        return result.value


def _against_range(result: Result) -> None:
    usual, value = plausible(result.key), _standard_value(result)
    if usual is None or value is None:
        return
    lowest, low, high, highest = usual
    if value < 0 or value > highest or (value < lowest and value != 0):
        result.doubt(0.4, f"{result.text} is outside what an engine oil can show.")
    elif not low <= value <= high:
        result.doubt(0.9 if result.seen else 0.98)


def _plain(sample: Sample, key: str) -> float | None:
    """Return a result without mark in its own unit."""
    result = sample.results.get(key)
    return None if result is None or result.qualifier else _standard_value(result)


def _index(sample: Sample) -> None:
    """Hold the viscosity index against the one of both viscosities."""
    kv40, kv100, index = (_plain(sample, key) for key in ("kv40", "kv100", "vi"))
    if kv40 is None or kv100 is None or not kv100 >= 2 or not kv40 > kv100:
        return
    trio = [sample.results[key] for key in ("kv40", "kv100")]
    try:
        found = [
            float(viscosity_index(kv40 * (1 + a), kv100 * (1 + b)))
            for a in (-0.002, 0.002)
            for b in (-0.002, 0.002)
        ]
    except LeesError:
        _contradict(trio, "The viscosities at 40 °C and 100 °C do not go together.")
        return
    if index is None:
        if not -50 <= min(found) <= max(found) <= 400:
            _contradict(trio, "The viscosities at 40 °C and 100 °C do not go together.")
        return
    trio.append(sample.results["vi"])
    if min(found) - 2 <= index <= max(found) + 2:
        _bear_out(trio)
    else:
        _contradict(
            trio,
            f"The viscosity index {index:g} does not follow from {kv40:g} and {kv100:g} mm²/s "
            f"(ASTM D2270 gives {sum(found) / 4:.0f}).",
        )


def _seconds(sample: Sample) -> None:
    """Hold Saybolt seconds against kv100: converted as it is, or from 210 °F, both are printed."""
    kv100, seconds = _plain(sample, "kv100"), _plain(sample, "sus210")
    if kv100 is None or seconds is None or kv100 < 2:
        return
    pair = [sample.results["kv100"], sample.results["sus210"]]
    low = float(saybolt_seconds(kv100 * 0.994, temperature_f=210))
    high = float(saybolt_seconds(kv100 * 1.036, temperature_f=210))
    if low <= seconds <= high:
        _bear_out(pair)
    else:
        _contradict(
            pair,
            f"{seconds:g} SUS and {kv100:g} mm²/s do not go together (ASTM D2161 gives "
            f"{float(saybolt_seconds(kv100, temperature_f=210)):.1f} SUS).",
        )


def _antiwear(sample: Sample) -> None:
    """Zinc and phosphorus of one antiwear additive come as about 1.1 to 1 by mass."""
    zinc, phosphorus = _plain(sample, "Zn"), _plain(sample, "P")
    if not zinc or not phosphorus or min(zinc, phosphorus) < 200:
        return
    if not 0.5 <= zinc / phosphorus <= 2.4:
        for key in ("Zn", "P"):
            seen = sample.results[key].seen
            sample.results[key].doubt(
                0.85 if seen else 0.985, "Zinc and phosphorus are far from the usual 1.1 to 1."
            )


def _changes(report: Report) -> None:
    """Hold printed changes against the differences between samples."""
    if len(report.samples) < 2:
        return
    agree: dict[str, list[Result]] = {}
    differ: dict[str, list[Result]] = {}
    for key, change in report.changes.items():
        pair = _pair_with_difference(report.samples, key, change)
        both = [one.results[key] for one in report.samples[:2] if key in one.results]
        if pair:
            agree[key] = pair
        elif len(both) == 2 and all(one.value is not None and not one.qualifier for one in both):
            differ[key] = both
    if len(agree) < 3 or len(agree) < _MOST * (len(agree) + len(differ)):
        return
    for pair in agree.values():
        _bear_out(pair)
    for key, both in differ.items():
        _contradict(both, f"The printed change {report.changes[key]:g} is not their difference.")


def _pair_with_difference(samples: Sequence[Sample], key: str, change: float) -> list[Result]:
    for first in samples:
        for second in samples:
            if first is second or key not in first.results or key not in second.results:
                continue
            a, b = first.results[key], second.results[key]
            if a.value is None or b.value is None or a.qualifier or b.qualifier:
                continue
            if abs((a.value - b.value) - change) < 1e-6 * max(1.0, abs(a.value)) + 1e-9:
                return [a, b]
    return []


def _own_mean(report: Report) -> None:
    """Hold this engine's own mean against the samples it may be the mean of."""
    agree: list[list[Result]] = []
    differ: list[list[Result]] = []
    for key, mean in report.own_mean.items():
        results = [one.results[key] for one in report.samples if key in one.results]
        values = [r.value for r in results if r.value is not None and not r.qualifier]
        if mean.value is None or len(values) < 2 or len(values) != len(report.samples):
            continue
        step = 10.0 ** -len(f"{mean.value:.6f}".rstrip("0").partition(".")[2])
        close = abs(sum(values) / len(values) - mean.value) <= 0.51 * max(step, 1e-3)
        (agree if close else differ).append([*results, mean])
    if len(agree) < 3 or len(agree) < _MOST * (len(agree) + len(differ)):
        return
    for group in agree:
        _bear_out(group)
    for group in differ:
        _contradict(group, "The mean printed for this engine is not that of its samples.")


def _contradict(results: Sequence[Result], reason: str) -> None:
    for result in results:
        result.doubt(0.5, reason)


def _bear_out(results: Sequence[Result]) -> None:
    for result in results:
        result.borne_out = True

"""Physics and arithmetic as evidence on what was read: a contradiction sends both to review."""

from __future__ import annotations

from lees.document.lexicon import plausible
from lees.document.records import Report, Result, Sample
from lees.errors import LeesError
from lees.quantity.measurands import measurand
from lees.quantity.units import convert, is_unit


def check(report: Report) -> None:
    """Lower the trust in results that contradict each other or what an oil can show."""
    for sample in report.samples:
        for result in sample.results.values():
            _against_range(result)
        _viscosities(sample)
        _phosphate(sample)
    for group in (report.reference, report.own_mean, report.fresh):
        for result in group.values():
            _against_range(result)


def standard_value(result: Result) -> float | None:
    """Return a result in its measurand's own unit, or None where that cannot be told.

    Parameters
    ----------
    result : Result
        The result as read.

    Returns
    -------
    float or None
        The value, in the unit of the measurand. [the measurand's]
    """
    if result.value is None:
        return None
    one = measurand(result.key)
    unit = result.unit or one.unit
    try:
        return convert(result.value, unit, one.unit) if is_unit(unit) else None
    except LeesError:
        return result.value


def _against_range(result: Result) -> None:
    usual, value = plausible(result.key), standard_value(result)
    if usual is None or value is None:
        return
    lowest, low, high, highest = usual
    shown = f"{result.text}"
    if value < 0 or value > highest or (value < lowest and value != 0):
        result.doubt(0.4, f"{shown} is outside what an engine oil can show; look at the page.")
    elif not low <= value <= high:
        result.doubt(0.96)


def _viscosities(sample: Sample) -> None:
    """Compare kv40, kv100 and the index (ASTM D2270), kv100 and Saybolt seconds (ASTM D2161)."""


def _phosphate(sample: Sample) -> None:
    """Zinc and phosphorus of an antiwear additive come together: Zn/P is near 1.1 by mass."""
    zinc, phosphorus = (
        standard_value(sample.results[key]) if key in sample.results else None
        for key in ("Zn", "P")
    )
    if zinc and phosphorus and not 0.5 <= zinc / phosphorus <= 2.4:
        for key in ("Zn", "P"):
            sample.results[key].doubt(0.97)

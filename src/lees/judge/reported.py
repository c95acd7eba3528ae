"""What is known of the oil: typed and read results brought to one unit, each with its doubt.

A typed result wins over a read one, and both are kept. The standard uncertainty is that of the
method's reproducibility, since peers, limits and data sheets are other laboratories' (ISO 4259-1),
with the rounding of the printed figure (JCGM 100, F.2.2.1).
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from lees.case.model import Case, Methods
from lees.case.records import Facts, ReportRead, Result, SampleRead
from lees.errors import LeesError
from lees.judge.words import exactly
from lees.oil.precision import Laboratory, precision, standard_uncertainty
from lees.quantity.entry import Entry
from lees.quantity.measurands import measurand, measurands
from lees.quantity.measured import Measured
from lees.quantity.units import convert, convert_difference, unit

OIL_DENSITY_KG_L = 0.86
FUEL_DENSITY_KG_L = 0.745
UNKNOWN_PRECISION = 0.10


@dataclass(frozen=True, slots=True)
class Known:
    """One reported value in the measurand's unit.

    `origin` says where it came from; `remarks` what was assumed about it. For a value that was
    only bounded, `qualifier` tells the side and `value` holds the bound.
    """

    key: str
    value: Measured
    step: float
    qualifier: str | None
    text: str
    method: str | None
    origin: str
    review: bool = False
    remarks: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The measurand's name."""
        return measurand(self.key).name

    @property
    def middle(self) -> float:
        """A value to reckon with: half of a bound from above, half a step for a zero."""
        if self.qualifier in ("<", "trace", "absent") or self.value.value == 0:
            bound = self.value.value or self.step or 1.0
            return bound / 2
        return self.value.value


@dataclass(frozen=True, slots=True)
class OilKnown:
    """The oil's present results, its fresh ones, the population means, and this engine's past."""

    present: Mapping[str, Known]
    fresh: Mapping[str, Known]
    means: Mapping[str, Known]
    past: tuple[SampleRead, ...]
    sample: SampleRead | None
    laboratory: Laboratory
    remarks: tuple[str, ...]


def oil_known(facts: Facts) -> OilKnown:
    """Return what is known of the oil from everything that was typed and read."""
    case = facts.case
    sample, past = _this_fill(facts)
    read = _from_sample(sample)
    typed = _from_entries(
        case.report.results if case.report else {},
        case.report.methods if case.report else Methods(),
        "typed from the report",
    )
    remarks = [
        f"{typed[key].name}: typed {typed[key].text}, read {read[key].text} "
        f"({read[key].origin}); the typed one is used."
        for key in typed
        if key in read and not _same(typed[key], read[key])
    ]
    laboratory = Laboratory.DIFFERENT
    if case.oil.fresh and case.oil.fresh.source == "same laboratory":
        laboratory = Laboratory.SAME
    return OilKnown(
        present={**read, **typed},
        fresh=_fresh(case),
        means=_means(facts),
        past=past,
        sample=sample,
        laboratory=laboratory,
        remarks=tuple(remarks),
    )


def known(key: str, result: Result, method: str | None, origin: str) -> Known | None:
    """Return a reported value in the measurand's unit; nothing where its unit cannot be brought."""
    wanted = measurand(key)
    remarks: tuple[str, ...] = ()
    found = _by_mass(key, result)
    if found is not result:
        remarks = (
            f"{wanted.name} is printed by volume; brought to mass with a density of "
            f"{OIL_DENSITY_KG_L:g} kg/L, assumed.",
        )
    try:
        value = convert(found.value, found.unit, wanted.unit)
        step = abs(convert_difference(found.step, found.unit, wanted.unit))
    except LeesError:
        return None
    uncertainty, more = _uncertainty(key, value, wanted.unit, method)
    text = result.text or f"{exactly(result.value)}"
    shown = text if any(c.isalpha() or c == "%" for c in text) else f"{text} {result.unit}".strip()
    return Known(
        key=key,
        value=Measured(value, math.hypot(uncertainty, step / math.sqrt(12)), wanted.unit, origin),
        step=step,
        qualifier=result.qualifier,
        text=_in_celsius_too(shown.removesuffix(" 1"), result.unit, value),
        method=method,
        origin=origin,
        review=result.review,
        remarks=(*remarks, *more),
    )


def _in_celsius_too(text: str, printed: str, celsius: float) -> str:
    """Return a flash point printed in °F with its value in °C beside it."""
    return f"{text} ({celsius:.0f} °C)" if printed == "°F" else text


def _uncertainty(
    key: str, value: float, unit_name: str, method: str | None
) -> tuple[float, tuple[str, ...]]:
    try:
        found = precision(key, method, max(value, 0.0), unit_name)
    except LeesError:
        return UNKNOWN_PRECISION * abs(value), (
            f"No precision is held here for {measurand(key).name.lower()}; "
            f"{UNKNOWN_PRECISION:.0%} is taken (judgement).",
        )
    return standard_uncertainty(found, Laboratory.DIFFERENT).uncertainty, ()


def _by_mass(key: str, result: Result) -> Result:
    """Return a result by volume as one by mass, others as they are."""
    dimension = unit(result.unit).dimension.name
    if dimension == "content_by_volume":
        mg_l = convert(result.value, result.unit, "mg/L")
        scale = mg_l / OIL_DENSITY_KG_L / result.value if result.value else 1.0
        return replace(
            result, value=mg_l / OIL_DENSITY_KG_L, step=result.step * scale, unit="mg/kg"
        )
    if dimension == "volume_fraction":
        ratio = FUEL_DENSITY_KG_L / OIL_DENSITY_KG_L if key == "fuel" else 1 / OIL_DENSITY_KG_L
        return replace(result, value=result.value * ratio, step=result.step * ratio, unit="%")
    return result


def _from_sample(sample: SampleRead | None) -> dict[str, Known]:
    if sample is None:
        return {}
    found = {}
    for key, result in sample.results.items():
        place = result.place
        origin = (
            f"{place.file}, page {place.page}"
            if place and place.page
            else (place.file if place else "report")
        )
        made = known(key, result, result.method, origin)
        if made is not None:
            found[key] = made
    return found


def _from_entries(entries: Mapping[str, Entry], methods: Methods, origin: str) -> dict[str, Known]:
    found = {}
    for key, entry in entries.items():
        qualifier = entry.qualifier.value if entry.qualifier else None
        result = Result(entry.value, entry.unit, entry.step, qualifier, entry.text)
        made = known(key, result, getattr(methods, key, None), origin)
        if made is not None:
            found[key] = made
    return found


def _fresh(case: Case) -> dict[str, Known]:
    fresh = case.oil.fresh
    if fresh is None:
        return {}
    origin = {
        "data sheet": "the oil's data sheet",
        "same laboratory": "a fresh sample, same laboratory",
        "other laboratory": "a fresh sample, other laboratory",
    }[fresh.source]
    return _from_entries(fresh.results, fresh.methods, origin)


def _means(facts: Facts) -> dict[str, Known]:
    read = facts.report.means if facts.report else {}
    found = {}
    for key, result in read.items():
        made = known(key, result, None, f"mean printed in {_file(facts.report)}")
        if made is not None:
            found[key] = made
    if facts.case.report and facts.case.report.means:
        found.update(
            _from_entries(facts.case.report.means.results, Methods(), "mean typed from the report")
        )
    return found


def _file(report: ReportRead | None) -> str:
    return report.file if report else "the report"


def _this_fill(facts: Facts) -> tuple[SampleRead | None, tuple[SampleRead, ...]]:
    """Return the sample that belongs to this fill and the earlier ones."""
    samples = list(facts.report.samples) if facts.report else []
    samples = [sample for sample in samples if sample.results]
    if not samples:
        return None, ()
    label = facts.case.sample.label
    chosen = next((s for s in samples if label and s.label == label), None)
    if chosen is None:
        dated = [sample for sample in samples if sample.date is not None]
        chosen = max(dated, key=_day) if len(dated) > 1 else samples[0]
    return chosen, tuple(
        sample
        for sample in samples
        if sample is not chosen and not (sample.date and chosen.date and sample.date > chosen.date)
    )


def _day(sample: SampleRead) -> datetime.date:
    return sample.date or datetime.date.min


def _same(one: Known, other: Known) -> bool:
    tolerance = max(one.step, other.step) / 2 + 1e-9 * abs(one.value.value)
    return abs(one.value.value - other.value.value) <= tolerance


def elements_of(values: Mapping[str, Known]) -> list[str]:
    """Return the elements among the keys, in the order of the table of measurands."""
    return [key for key, m in measurands().items() if m.is_element and key in values]

"""How far this fill and its filter ran, in the unit that the owner speaks."""

from __future__ import annotations

from dataclasses import dataclass

from lees.case.model import Run
from lees.case.records import Facts, SampleRead
from lees.quantity.measured import Measured
from lees.quantity.units import convert


@dataclass(frozen=True, slots=True)
class FillRun:
    """The run of the fill: its value in `unit` (`km`, `mi`, `nmi` or `h`) and its source."""

    value: float
    unit: str
    source: str

    @property
    def measured(self) -> Measured:
        """The run, known to one per cent of a distance (odometers; common practice, no source)."""
        share = 0.01 if self.unit != "h" else 0.005
        return Measured(self.value, share * self.value, self.unit, self.source)

    def same_kind(self, run: Run | None) -> float | None:
        """Return another run in this one's unit, where it is of the same kind."""
        if run is None:
            return None
        entry = run.hours if self.unit == "h" else run.distance
        return entry.to(self.unit) if entry else None

    def from_km_or_h(self, distance_km: float | None, hours: float | None) -> float | None:
        """Return a distance or hours in this run's unit, where it is of the same kind."""
        if self.unit == "h":
            return hours
        return convert(distance_km, "km", self.unit) if distance_km is not None else None


def fill_run(facts: Facts, sample: SampleRead | None) -> FillRun | None:
    """Return the run of the fill: as typed, else as printed on the report, else nothing.

    Where a distance and hours are both typed, the maker's schedule decides by which the engine is
    run, and the distance where there is none. A run of nothing is no run.
    """
    found = _stated_run(facts, sample)
    return found if found is not None and found.value > 0 else None


def _stated_run(facts: Facts, sample: SampleRead | None) -> FillRun | None:
    run = facts.case.fill.run
    by_hours = _by_hours(facts)
    if run is not None and run.hours is not None and (by_hours or run.distance is None):
        return FillRun(run.hours.to("h"), "h", "typed")
    if run is not None and run.distance is not None:
        symbol = run.distance.unit if run.distance.unit in ("mi", "nmi") else "km"
        return FillRun(run.distance.to(symbol), symbol, "typed")
    if sample is not None and sample.oil_hours and (by_hours or not sample.oil_distance_km):
        return FillRun(sample.oil_hours, "h", "printed on the report")
    if sample is not None and sample.oil_distance_km:
        return FillRun(sample.oil_distance_km, "km", "printed on the report")
    return None


def _by_hours(facts: Facts) -> bool:
    interval = facts.case.engine.maker_interval
    return interval is not None and interval.distance is None and interval.hours is not None

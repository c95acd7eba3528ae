"""Gather all that is known of one case: typed, read from the report, measured on the pictures.

What cannot be used becomes a warning in the findings; the rest goes on.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from typing import Any, TypeVar

from lees.case.model import Case, Filter, InstrumentSheet, Picture, PictureOf, Reading
from lees.case.readings_file import readings_from_csv
from lees.case.records import Facts, PictureKept, ReportRead, Seen
from lees.errors import LeesError, printable
from lees.filtration.parts import Measure, measure_named
from lees.quantity.data import table
from lees.quantity.entry import parse_entry
from lees.quantity.readings import Instrument, Measurement, Plausible, measure
from lees.quantity.units import convert, unit
from lees.work.bench import Bench
from lees.work.case_folder import CaseFolder
from lees.work.from_contract import particles_seen, pleats_seen, report_read, strip_seen
from lees.work.measure_picture import Asked, What, measure_picture_here
from lees.work.read_report import read_report_bytes
from lees.work.shown_picture import Shown, picture_for_publishing

T = TypeVar("T")
LARGEST_TEXT = 2_000_000


@dataclass(slots=True)
class Gathered:
    """The facts of a case and the pictures that may be shown, by file name."""

    facts: Facts
    pictures: dict[str, bytes] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Looked:
    """One picture looked at."""

    seen: Seen | None = None
    kept: PictureKept | None = None
    data: bytes = b""
    warnings: tuple[str, ...] = ()


@dataclass(slots=True)
class _Gathering:
    """Files of one case being opened: its folder, the bench, and what went wrong so far."""

    folder: CaseFolder
    bench: Bench
    warnings: list[str] = field(default_factory=list)

    def attempt(self, name: str, act: Callable[[], T]) -> T | None:
        """Do something with a file; a failure becomes a warning that names it."""
        try:
            return act()
        except LeesError as error:
            shown, line = printable(name), str(error)
            self.warnings.append(line if line.startswith(shown) else f"{shown}: {line}")
            return None

    def read(self, name: str) -> ReportRead:
        """Return what a report says."""
        content = self.folder.bytes_of(name)
        data = self.bench.cache.result(
            content,
            "read",
            lambda: read_report_bytes(content, self.bench.workers.run).to_contract(),
        )
        return report_read(data, name)

    def readings(self, name: str) -> tuple[Reading, ...]:
        """Return the readings in a file."""
        content = self.folder.bytes_of(name)[:LARGEST_TEXT]
        return readings_from_csv(content.decode("utf-8-sig", "replace"), file=name)

    def shown(self, picture: Picture) -> Shown:
        """Return a picture as it may be published."""
        content = self.folder.bytes_of(picture.file)
        kept = self.bench.cache.result(
            content,
            "picture for publishing",
            lambda: self.bench.workers.run(picture_for_publishing, content).to_plain(),
        )
        return Shown.from_plain(kept)

    def seen(self, picture: Picture) -> Seen | None:
        """Return what is measured on a picture, where its kind is one that is measured."""
        if picture.of not in _MEASURED:
            return None
        what, record = _MEASURED[picture.of]
        content = self.folder.bytes_of(picture.file)
        asked = Asked(what, picture.mm_per_px)
        data = self.bench.cache.result(
            content,
            f"photo {what} {picture.mm_per_px}",
            lambda: self.bench.workers.run(measure_picture_here, (content,), asked).contract,
        )
        return record(data, picture.file)


_MEASURED: dict[PictureOf, tuple[What, Callable[[Any, str], Seen | None]]] = {
    PictureOf.MEDIA: (What.PARTICLES, particles_seen),
    PictureOf.MICROSCOPE: (What.PARTICLES, particles_seen),
    PictureOf.STRIP: (What.STRIP, strip_seen),
    PictureOf.PLEATS: (What.PLEATS, pleats_seen),
}


def gather_facts(folder: CaseFolder, bench: Bench) -> Gathered:
    """Return all that is known of the case in a folder.

    Raises `UnusableInput` where there is no case, or `case.toml` cannot be parsed.
    """
    case = folder.read_case()
    gathering = _Gathering(folder, bench)
    with ThreadPoolExecutor(bench.workers.count) as together:
        reading = together.submit(_report, case, folder, bench)
        looking = [together.submit(_picture, p, folder, bench) for p in case.picture]
        report, warned = reading.result()
        gathering.warnings.extend(warned)
        measured = _measured(case.filter, case.instruments, gathering) if case.filter else ()
        looked = [one.result() for one in looking]
    gathering.warnings.extend(line for one in looked for line in one.warnings)
    facts = Facts(
        case=case,
        report=report,
        measured=measured,
        seen=tuple(one.seen for one in looked if one.seen is not None),
        pictures=tuple(one.kept for one in looked if one.kept is not None),
        warnings=tuple(gathering.warnings),
    )
    return Gathered(facts, {one.kept.file: one.data for one in looked if one.kept is not None})


def _report(
    case: Case, folder: CaseFolder, bench: Bench
) -> tuple[ReportRead | None, tuple[str, ...]]:
    """Return what the report says, and what went wrong."""
    if case.report is None or case.report.file is None:
        return None, ()
    name = case.report.file
    bench.progress(f"reading {printable(name)}")
    gathering = _Gathering(folder, bench)
    report = gathering.attempt(name, lambda: gathering.read(name))
    return report, tuple(gathering.warnings)


def _picture(picture: Picture, folder: CaseFolder, bench: Bench) -> _Looked:
    """Return a picture as it may be shown, what is measured on it, and what went wrong."""
    bench.progress(f"measuring {printable(picture.file)}")
    gathering = _Gathering(folder, bench)
    small = gathering.attempt(picture.file, lambda: gathering.shown(picture))
    if small is None:
        return _Looked(warnings=tuple(gathering.warnings))
    seen = gathering.attempt(picture.file, lambda: gathering.seen(picture))
    kept = PictureKept(picture.file, picture.of, picture.caption, small.width_px, small.height_px)
    return _Looked(seen, kept, small.data, tuple(gathering.warnings))


def _measured(
    specimen: Filter, sheets: dict[str, InstrumentSheet], gathering: _Gathering
) -> tuple[Measurement, ...]:
    readings = specimen.measured
    if name := specimen.measured_file:
        readings += gathering.attempt(name, lambda: gathering.readings(name)) or ()
    return tuple(
        made
        for reading in readings
        if (made := gathering.attempt(reading.what, partial(measurement, reading, sheets)))
    )


def measurement(reading: Reading, sheets: dict[str, InstrumentSheet]) -> Measurement:
    """Return a measurement from readings as typed and the sheet of the instrument they name.

    Raises `LeesError` where a reading is no number or its unit does not fit.
    """
    known = measure_named(reading.what)
    shown = known[1].unit if known else reading.unit
    kind, default = unit(shown).dimension.name, shown if shown == "1" else reading.unit
    values = [
        parse_entry(str(value), kind, default=default).to(shown) for value in reading.readings
    ]
    plausible = None
    if known:
        plausible = _plausible(known[1])
    used = instrument(reading.instrument, sheets.get(reading.instrument), shown)
    return measure(reading.what, values, used, plausible=plausible)


def _plausible(measure_of: Measure) -> Plausible:
    """Return where such a size is customarily found, with half as much again on either side."""
    low, high = measure_of.low, measure_of.high
    if measure_of.usual:
        margin = (measure_of.usual[1] - measure_of.usual[0]) / 2
        low, high = measure_of.usual[0] - margin, measure_of.usual[1] + margin
    return Plausible(round(low, 9), round(high, 9), measure_of.tag)


def instrument(name: str, sheet: InstrumentSheet | None, shown: str) -> Instrument:
    """Return an instrument in a unit; what its sheet leaves out is customary for its kind."""
    if shown == "1":
        return Instrument(name, shown, 0.0, 0.0, zero=0.0)
    usual = _customary(name, sheet)
    alike = unit(usual["unit"]).dimension == unit(shown).dimension
    scale = convert(1.0, usual["unit"], shown) if alike else 1.0
    step, limit = usual["resolution"] * scale, usual["limit_of_error"] * scale
    unread = None if usual["has_zero"] else 0.0
    if sheet is None:
        return Instrument(name, shown, step, limit, unread, assumed=True)
    return Instrument(
        name=name,
        unit=shown,
        resolution=sheet.resolution.to(shown) if sheet.resolution else step,
        limit_of_error=sheet.limit_of_error.to(shown) if sheet.limit_of_error else limit,
        zero=sheet.zero.to(shown) if sheet.zero else unread,
        checked=sheet.checked,
        assumed=sheet.limit_of_error is None,
    )


def _customary(name: str, sheet: InstrumentSheet | None) -> dict[str, Any]:
    kinds = table("quantity", "instruments")
    named = next((kind for kind in kinds if kind in name.casefold()), "caliper")
    kind = sheet.kind if sheet and sheet.kind else named
    entry: dict[str, Any] = kinds[kind]
    return entry

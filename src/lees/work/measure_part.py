"""Measure the parts of a specimen: one reading at a time, each taken exactly once.

A caliper that types sends readings as fast as they are keyed, and over a connection that drops
they are sent again; each carries a key of its own, kept in the history in the same transaction, by
which one that came twice is known.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError
from sqlalchemy import exists, select

from lees.archive.archive import Archive, Turn
from lees.archive.cases import Stored, case_from, files_of, open_row, rewrite
from lees.archive.history import Act
from lees.archive.tables import history
from lees.case.model import Case, Reading
from lees.errors import LeesError, OutOfRange, printable
from lees.filtration.parts import Measure, Part, measure_named, parts
from lees.quantity.entry import parse_entry
from lees.quantity.readings import Doubt, Measurement
from lees.quantity.units import is_unit
from lees.work.enter import line_of_error
from lees.work.gather import measurement

KEY = re.compile(r"[0-9A-Za-z-]{8,64}")
MOST_READINGS = 200
_SPEAKS = (Doubt.FAR_FROM_FELLOWS, Doubt.IMPLAUSIBLE)


class WrongReading(LeesError):
    """A reading that cannot be taken as it stands."""


@dataclass(frozen=True, slots=True)
class NewReading:
    """One reading as typed: of what, with which instrument, and the unit where none was typed."""

    what: str
    text: str
    unit: str = "mm"
    instrument: str = "caliper"


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing to measure: its part, its measure, and what is customarily measured with."""

    part: Part
    measure: Measure
    instrument: str

    @property
    def what(self) -> str:
        """The words by which a case names it."""
        return f"{self.part.key} {self.measure.key}".replace("_", " ")


@dataclass(frozen=True, slots=True)
class Taken:
    """What was measured so far of one thing: readings as typed, and what they give.

    `measured` is nothing where a reading cannot be understood, and `trouble` says why.
    """

    texts: tuple[str, ...] = ()
    measured: Measurement | None = None
    trouble: str | None = None

    @property
    def speaks_up(self) -> str | None:
        """What ought to be said at once: a reading out of its family, or an unlikely size."""
        if self.measured is None:
            return self.trouble
        said = [one.text for one in self.measured.remarks if one.doubt in _SPEAKS]
        return said[0] if said else None


def things_to_measure() -> tuple[Thing, ...]:
    """Return what is measured at a bench, from the can inwards, each with its usual instrument."""
    return tuple(
        Thing(part, measure, _instrument_for(part, measure))
        for part in parts().values()
        for measure in part.measures
        if measure.unit in ("mm", "1")
    )


def taken(case: Case) -> dict[str, Taken]:
    """Return what was measured of each thing by its words in the case."""
    found: dict[str, Taken] = {}
    for reading in case.filter.measured if case.filter else ():
        texts = tuple(_as_typed(value) for value in reading.readings)
        try:
            made, trouble = measurement(reading, case.instruments), None
        except LeesError as error:
            made, trouble = None, str(error)
        found[_words_of(reading.what)] = Taken(texts, made, trouble)
    return found


def take_reading(archive: Archive, ref: str, new: NewReading, *, key: str) -> Stored:
    """Take one reading; one that came before under the same key is not taken again.

    Raises `WrongReading` or what an entry raises where it cannot be understood.
    """

    def change(document: dict[str, Any]) -> None:
        text = _text_of(new)
        readings = _readings(document)
        entry = _entry_for(readings, new)
        if len(entry["readings"]) >= MOST_READINGS:
            raise WrongReading(f"{new.what} has {MOST_READINGS} readings already; that is enough.")
        shown = text if entry["unit"] == new.unit else f"{text} {new.unit}"
        entry["readings"].append(text if _has_unit(text) else shown)

    _refuse_what_is_no_number(new)
    return _once(archive, ref, key, change)


def check_zero(archive: Archive, ref: str, new: NewReading, *, key: str) -> Stored:
    """Note what an instrument shows when it should show nothing, with today's date."""

    def change(document: dict[str, Any]) -> None:
        text = _text_of(new)
        sheet = document.setdefault("instruments", {}).setdefault(new.instrument, {})
        sheet["zero"] = text if _has_unit(text) else f"{text} {new.unit}"
        sheet["checked"] = archive.now()[:10]

    shown = parse_entry(_text_of(new), "length", default=new.unit)
    if abs(shown.to("mm")) > _LARGEST_ZERO_MM:
        raise WrongReading(
            f"“{printable(new.text)}” is too far from zero for closed jaws; close them, wipe them, "
            "and read again."
        )
    return _once(archive, ref, key, change)


_LARGEST_ZERO_MM = 5.0
"""A caliper that shows more with its jaws closed is being used for something else."""


def take_out_reading(archive: Archive, ref: str, what: str, place: int, text: str) -> Stored:
    """Take one reading out again, named by its place and its text so that no other goes."""

    def change(document: dict[str, Any]) -> None:
        for entry in _readings(document):
            readings = entry["readings"]
            if _words_of(entry["what"]) != _words_of(what):
                continue
            if place < len(readings) and _as_typed(readings[place]) == text:
                del readings[place]
                if not readings:
                    _readings(document).remove(entry)
                return
        raise WrongReading(f"“{printable(text)}” is not among the readings of {what} any more.")

    return archive.write(lambda turn: changed(turn, ref, change, Act("reading taken out")))


def changed(turn: Turn, ref: str, change: Callable[[dict[str, Any]], None], act: Act) -> Stored:
    """Change a case's document within a writer's turn, so that nobody's change is lost."""
    row = open_row(turn.connection, ref)
    document = json.loads(row.entered)
    change(document)
    try:
        case = case_from(document)
    except ValidationError as error:
        raise WrongReading(line_of_error(error)) from None
    return rewrite(turn, row, case, files_of(turn.connection, row.id), act)


def _once(archive: Archive, ref: str, key: str, change: Callable[[dict[str, Any]], None]) -> Stored:
    if not KEY.fullmatch(key):
        raise WrongReading("A reading needs a key of its own: 8 to 64 letters, digits or hyphens.")
    act = Act(f"reading {key}")

    def write(turn: Turn) -> Stored:
        row = open_row(turn.connection, ref)
        mine = (history.c.kind == "case") & (history.c.ref == ref) & (history.c.act == act.name)
        if turn.connection.execute(select(exists().where(mine))).scalar():
            return Stored(ref, row.version, added=False)
        return changed(turn, ref, change, act)

    return archive.write(write)


def _refuse_what_is_no_number(new: NewReading) -> None:
    known = measure_named(new.what)
    if known is None:
        raise WrongReading(f"“{printable(new.what)}” is nothing that is measured on a filter.")
    if not is_unit(new.unit):
        raise WrongReading(f"“{printable(new.unit)}” is no unit; write mm or in.")
    one = Reading(what=new.what, readings=(_text_of(new),), unit=new.unit)
    value = measurement(one, {}).readings[0]
    if value <= 0:
        raise OutOfRange(f"A reading of {new.what}", new.text, "above zero")


def _text_of(new: NewReading) -> str:
    text = " ".join(new.text.split())
    if not text or len(text) > 40 or not text.isprintable():
        raise WrongReading("That reading is empty or too long; take it again.")
    return text


def _as_typed(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:.10g}"


def _has_unit(text: str) -> bool:
    return any(letter.isalpha() or letter in "\"'′″”’" for letter in text)


def _readings(document: dict[str, Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = document.setdefault("filter", {}).setdefault("measured", [])
    return found


def _entry_for(readings: list[dict[str, Any]], new: NewReading) -> dict[str, Any]:
    """Return the entry of the same thing measured with the same instrument, made if need be."""
    for entry in readings:
        same = _words_of(entry["what"]) == _words_of(new.what)
        if same and entry.get("with", "caliper") == new.instrument:
            entry.setdefault("unit", "mm")
            return entry
    made: dict[str, Any] = {
        "what": new.what,
        "readings": [],
        "unit": new.unit,
        "with": new.instrument,
    }
    readings.append(made)
    return made


def _words_of(what: str) -> str:
    """Return one form of all the ways to name a measure."""
    known = measure_named(what)
    return f"{known[0].key} {known[1].key}".replace("_", " ") if known else what.casefold()


def _instrument_for(part: Part, measure: Measure) -> str:
    if measure.unit == "1":
        return "counting"
    if part.key == "media" and measure.key in ("length", "width"):
        return "tape" if measure.key == "length" else "rule"
    return "caliper"

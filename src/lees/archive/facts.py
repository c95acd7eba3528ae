"""A case flattened into facts: each field with its text as entered and a number to sort by.

Numbers are in one unit a field (a distance in km, iron in mg/kg), so that cases can be sorted and
compared whatever unit each was typed in. An entry in a unit of another kind than the field's
(a share by volume among shares by mass) keeps its text and has no number.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any

from pydantic import BaseModel

from lees.archive.words import key_of
from lees.case.model import Case, Picture, Reading
from lees.errors import WrongEntry
from lees.quantity.entry import DecimalSign, Entry, parse_entry
from lees.quantity.measurands import measurands
from lees.quantity.units import symbols, unit

_LONGEST_TEXT = 400
_UNIT_OF = {"distance": "km", "hours": "h", "months": "months"}
# What tells the members of a list apart, by the name of the list.
_NAMED_BY = {"measured": "what", "parts": "part"}


@dataclass(frozen=True, slots=True)
class Fact:
    """One field of a case; `ordinal` counts where a field has several values."""

    field: str
    ordinal: int
    entered: str
    number: float | None = None
    unit: str | None = None
    step: float | None = None
    qualifier: str | None = None

    @property
    def key(self) -> str | None:
        """The form a text is sorted by; numbers have none."""
        return None if self.number is not None else key_of(self.entered)


def facts_of(case: Case) -> tuple[Fact, ...]:
    r"""Return every fact of a case, each field in the order entered.

    >>> from lees.case.toml import read_case
    >>> case = read_case('title = "Launch"\n[fill]\nrun = "9 300 mi"')
    >>> [(fact.field, fact.number, fact.unit) for fact in facts_of(case)][-1]
    ('fill.run.distance', 14966.8992, 'km')
    """
    seen: dict[str, int] = {}
    found = []
    for fact in _Walk(case.decimal).of("", case):
        ordinal = seen.get(fact.field, 0)
        seen[fact.field] = ordinal + 1
        found.append(replace(fact, ordinal=ordinal))
    return tuple(found)


def texts_of(case: Case) -> tuple[str, ...]:
    """Return every text of a case that a person may search for, long ones whole."""
    return tuple(_texts(case))


@dataclass(frozen=True, slots=True)
class _Walk:
    """A way through a case, with the decimal sign that it declares."""

    decimal: DecimalSign

    def of(self, name: str, value: Any) -> Iterator[Fact]:
        if value is None or isinstance(value, Picture):
            return
        if isinstance(value, Entry):
            yield _entry(name, value)
        elif isinstance(value, BaseModel):
            yield from self._part(name, value)
        elif isinstance(value, dict):
            for key, item in value.items():
                yield from self.of(f"{name}.{key}", item)
        elif isinstance(value, tuple):
            names = _NAMED_BY.get(name.rpartition(".")[2], "")
            for item in value:
                label = getattr(item, names, None)
                yield from self.of(f"{name}.{label}" if label else name, item)
        else:
            yield from _plain(name, value)

    def _part(self, name: str, part: BaseModel) -> Iterator[Fact]:
        for field, described in type(part).model_fields.items():
            value = getattr(part, field)
            if field in _NAMED_BY.values() or value == described.default:
                continue
            label = described.alias or field
            if isinstance(part, Reading) and field == "readings":
                yield from self._readings(name, part)
            else:
                yield from self.of(f"{name}.{label}" if name else label, value)

    def _readings(self, name: str, part: Reading) -> Iterator[Fact]:
        """Return each reading of an instrument under its quantity's own name."""
        for reading in part.readings:
            try:
                kind = unit(part.unit).dimension.name
                yield _entry(
                    name,
                    parse_entry(str(reading), kind, decimal=self.decimal, default=part.unit),
                )
            except WrongEntry:
                yield Fact(name, 0, str(reading))


def _entry(name: str, entry: Entry) -> Fact:
    wanted = _unit_for(name, entry)
    try:
        number, step = entry.to(wanted), abs(_step(entry, wanted))
    except WrongEntry:
        return Fact(name, 0, entry.text, unit=wanted, qualifier=entry.qualifier)
    if not math.isfinite(number):
        return Fact(name, 0, entry.text, unit=wanted, qualifier=entry.qualifier)
    return Fact(name, 0, entry.text, number, wanted, step, entry.qualifier)


def _step(entry: Entry, wanted: str) -> float:
    source, target = unit(entry.unit), unit(wanted)
    return entry.step * float(source.factor / target.factor)


def _unit_for(name: str, entry: Entry) -> str:
    last = name.rpartition(".")[2]
    if ".results." in name:
        return measurands()[last].unit
    dimension = unit(entry.unit).dimension.name
    wanted = _UNIT_OF.get(last)
    if wanted and unit(wanted).dimension.name == dimension:
        return wanted
    return symbols(dimension)[0]


def _plain(name: str, value: object) -> Iterator[Fact]:
    if isinstance(value, bool):
        yield Fact(name, 0, "yes" if value else "no")
    elif isinstance(value, Enum):
        yield Fact(name, 0, str(value.value))
    elif isinstance(value, int | float):
        yield Fact(name, 0, repr(value), float(value), _UNIT_OF.get(name.rpartition(".")[2], "1"))
    elif isinstance(value, datetime.date):
        yield Fact(name, 0, value.isoformat())
    else:
        yield Fact(name, 0, str(value)[:_LONGEST_TEXT])


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, BaseModel):
        for field in type(value).model_fields:
            yield from _texts(getattr(value, field))
    elif isinstance(value, dict):
        for key, item in value.items():
            if not isinstance(item, Entry):
                yield str(key)
            yield from _texts(item)
    elif isinstance(value, tuple):
        for item in value:
            yield from _texts(item)
    elif isinstance(value, Enum):
        return
    elif isinstance(value, str):
        yield value
    elif isinstance(value, datetime.date):
        yield value.isoformat()

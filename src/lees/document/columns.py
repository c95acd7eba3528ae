"""Which column is a sample, which a mean, a limit, a range, a change: by heading and by content."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from lees.document.dates import PrintedDate, read_date
from lees.document.items import Item
from lees.document.labels import read_label
from lees.document.roles import (
    CHANGE,
    FRESH,
    LOWER,
    MEAN,
    NUMERIC,
    OWN,
    RANGE,
    SAMPLE,
    SPREAD,
    UPPER,
    role_of,
)
from lees.document.tables import Column, Row, Table
from lees.document.values import unit_of

_CODE = re.compile(r"^(?=[^\s]*\d)[A-Za-z0-9][A-Za-z0-9\-/_.#]{2,24}$")
_NUMBERED = re.compile(
    r"^(?:no|nr|n|#|sample|probe|muestra|echantillon)?\W{0,3}\d{1,12}$", re.IGNORECASE
)


@dataclass(slots=True, eq=False)
class Slot:
    """A column with its role, and what identifies it where it is a sample."""

    table: Table
    column: Column
    role: str
    sure: float
    heading: str = ""
    date: PrintedDate | None = None
    label: str | None = None
    unit: tuple[str, str] | None = None
    facts: list[tuple[str, Row, Item]] = field(default_factory=list)


def slots_of(table: Table, before: Sequence[Slot]) -> list[Slot]:
    """Return the columns of a table with their roles; a table without heading takes `before`'s."""
    found = [_slot(table, column) for column in table.columns]
    numeric = [slot for slot in found if slot.role in NUMERIC or slot.role == "unknown"]
    unknown = [slot for slot in numeric if slot.role == "unknown"]
    if unknown and not any(slot.heading for slot in numeric):
        _continue(unknown, before)
    _settle(found)
    return found


def _continue(unknown: Sequence[Slot], before: Sequence[Slot]) -> None:
    """Take over the roles of the table that this one continues."""
    earlier = [slot for slot in before if slot.role in NUMERIC]
    if not earlier or earlier[0].table.across != unknown[0].table.across:
        return
    for slot in unknown:
        near = max(earlier, key=lambda one: _shared(one.column, slot.column))
        if _shared(near.column, slot.column) > 0:
            slot.role, slot.sure = near.role, min(near.sure, 0.97)
            slot.date, slot.label = near.date, near.label
            slot.heading = near.heading


def _shared(a: Column, b: Column) -> float:
    return min(a.x1, b.x1) - max(a.x0, b.x0)


def _slot(table: Table, column: Column) -> Slot:
    heading = column.heading.strip()
    kind = _content(table, column)
    said = role_of(heading)
    role, sure = (column.role, 1.0) if column.role else _role(said, kind, heading)
    slot = Slot(table, column, role, sure, heading)
    for item in column.headings:
        if item.unit:
            slot.unit = item.unit
        if slot.date is None:
            slot.date = item.date or read_date(item.text)
    slot.date = slot.date or read_date(heading)
    if slot.unit is None:
        slot.unit = unit_in_heading(heading)
    slot.label = _label(column, heading) or _free_label(column, said)
    if role == "unknown" and (slot.date or slot.label):
        slot.role, slot.sure = SAMPLE, 0.98
    return slot


def unit_in_heading(heading: str) -> tuple[str, str] | None:
    """Return a unit in brackets or at the end of a heading: as printed, and its symbol.

    >>> unit_in_heading("Result (mg/kg)")
    ('mg/kg', 'mg/kg')
    """
    for match in re.finditer(r"[(\[]([^()\[\]]+)[)\]]", heading):
        if found := unit_of(match[1]):
            return found
    parts = heading.split()
    for count in (1, 2, 3):
        if len(parts) >= count and (found := unit_of(" ".join(parts[-count:]).lstrip("/,;-–: "))):
            return found
    return None


def _texts(column: Column) -> list[tuple[str, Item]]:
    """Return the headings whole, as printed, each once."""
    found: list[tuple[str, Item]] = []
    for item in column.headings:
        text = (item.whole or item.cell).text.strip()
        if not any(text == other for other, _ in found):
            found.append((text, item))
    return found


def _label(column: Column, heading: str) -> str | None:
    for text, item in _texts(column):
        if item.date or item.unit or item.method or read_date(text):
            continue
        if _CODE.match(text) and not re.fullmatch(r"\d{1,2}[.,]\d+|(?i:kv|v)\d+", text):
            return text
        head, _, tail = text.rpartition(" ")
        if head and _CODE.match(tail) and not read_date(tail):
            label = read_label(head.rstrip(":.# "))
            if label and label.key == "label" and len(tail) >= 5:
                return tail
            return text
    return None


def _free_label(column: Column, said: str | None) -> str | None:
    """Return the lowest heading as a label where it has a number and announces nothing else."""
    plain = [
        one
        for one in column.headings
        if not (one.date or one.unit or one.method or one.value or one.is_name)
    ]
    if said is not None or not plain:
        return None
    text = max(plain, key=lambda one: one.box.middle_y).text.strip()
    return text if re.search(r"\d", text) and len(text) <= 24 else None


def _content(table: Table, column: Column) -> str:
    """Say what a column holds: units, methods, ranges, signed changes, limits, numbers or text."""
    cells = [item for number, item in column.cells.items() if not _is_fact(table.rows[number])]
    told = [item for item in cells if not (item.value and item.value.kind == "missing")]
    if not told:
        return "missing" if cells else "facts"
    share = len(told)
    units = sum(1 for item in told if item.unit and not item.value)
    methods = sum(1 for item in told if item.method)
    ranges = sum(1 for item in told if item.value and item.value.kind == "range")
    numbers = [item for item in told if item.value and item.value.kind == "number"]
    words = sum(1 for item in told if item.value and item.value.kind == "word")
    if units > 0.5 * share:
        return "unit"
    if methods > 0.5 * share:
        return "method"
    if ranges and ranges >= 0.3 * share:
        return "range"
    if not numbers and not words:
        return "text"
    signed = sum(1 for item in numbers if item.value and item.value.sign in ("+", "-"))
    zero = sum(1 for item in numbers if item.value and item.value.numeral.strip("0.,") == "")
    if signed and signed + zero >= 0.6 * max(1, len(numbers)) and signed >= 1:
        return "change"
    bounded = sum(1 for item in numbers if item.value and item.value.qualifier)
    if bounded >= 0.8 * share and len(numbers) >= 3:
        return "bounds"
    return "number"


def _is_fact(row: Row) -> bool:
    return row.name.label is not None and row.name.label.kind == "facts"


def _role(said: str | None, kind: str, heading: str) -> tuple[str, float]:
    if kind in ("unit", "method", "text", "missing", "facts"):
        return (said if kind == "missing" and said in NUMERIC else kind), 1.0
    if kind == "range":
        return (said, 1.0) if said in (UPPER, LOWER) else (RANGE, 1.0)
    if kind == "change":
        return (CHANGE, 1.0) if said != SAMPLE else (CHANGE, 0.9)
    if kind == "bounds":
        if said in (UPPER, LOWER, RANGE):
            return RANGE, 1.0
        if said in (SAMPLE, MEAN, OWN):
            return said, 1.0
        return "bounds", 0.9
    if said in NUMERIC:
        return said, 1.0
    return "unknown", 0.9 if said is None and heading else 0.95


def _settle(slots: list[Slot]) -> None:
    """Decide what headings left open by what the other columns are."""
    samples = [slot for slot in slots if slot.role == SAMPLE]
    unknown = [slot for slot in slots if slot.role == "unknown"]
    bounds = [slot for slot in slots if slot.role == "bounds"]
    for slot in bounds:
        alone = not samples and not unknown
        slot.role, slot.sure = (SAMPLE, 0.9) if alone else (RANGE, 0.95)
    if not unknown:
        return
    if samples:
        for slot in unknown:
            slot.role = SAMPLE if slot.heading and _alike(slot, samples) else "unclear"
            slot.sure = 0.9
        return
    if len(unknown) == 1:
        unknown[0].role, unknown[0].sure = SAMPLE, 0.985
        return
    first, *others = unknown
    first.role, first.sure = SAMPLE, 0.8
    for slot in others:
        slot.role, slot.sure = SAMPLE if slot.heading else "unclear", 0.6


def _alike(slot: Slot, samples: Sequence[Slot]) -> bool:
    """Tell whether a heading is built like those of known samples."""
    shape = re.sub(r"\d+", "0", slot.heading)
    return any(re.sub(r"\d+", "0", one.heading) == shape for one in samples)


__all__ = [
    "CHANGE",
    "FRESH",
    "LOWER",
    "MEAN",
    "OWN",
    "RANGE",
    "SAMPLE",
    "SPREAD",
    "UPPER",
    "Slot",
    "slots_of",
]

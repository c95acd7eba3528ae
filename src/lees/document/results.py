"""One proposed result from a name, a cell and a column: key, number, unit, method, first doubts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lees.document.columns import Slot
from lees.document.conventions import Conventions, conventions_in, number
from lees.document.items import Item
from lees.document.labels import method_in
from lees.document.printed_units import Note, unit_for
from lees.document.records import Limit, Result
from lees.document.roles import LOWER, UPPER
from lees.document.tables import Row
from lees.document.tokens import cleaned


@dataclass(frozen=True, slots=True)
class Entry:
    """A cell in a row and a column, with the units and methods that stand in its row."""

    row: Row
    item: Item
    slot: Slot
    units: list[Item]
    methods: list[Item]


def proposed(entry: Entry, conventions: Conventions, notes: Sequence[Note]) -> Result | None:
    """Return the result that a cell proposes, or None where it says nothing."""
    value, label = entry.item.value, entry.row.name.label
    conventions = conventions_in(entry.item, conventions)
    if value is None or label is None or value.kind in ("missing", "range"):
        return None
    key, sure_key = _key(entry, conventions)
    if key is None:
        return None
    unit = unit_for(key, entry.row, entry.slot, value, notes, entry.units)
    read, sure = (None, True)
    if value.kind == "number":
        read, sure = number(value.numeral, conventions, key)
        if read is None:
            return None
        if value.sign == "-":
            read = -read
    result = Result(
        key,
        read,
        unit.printed,
        cleaned(entry.item.text),
        entry.item.cell.page,
        entry.item.cell.place,
        qualifier=value.qualifier,
        method=_method(entry),
        unit_printed=unit.is_printed,
        confidence=entry.item.cell.confidence,
        seen=entry.item.cell.seen,
    )
    symbols = sum(
        1 for row in entry.slot.table.rows if row.name.label and row.name.label.symbol_only
    )
    if label.strength < 0.8 and not (label.symbol_only and symbols >= 3 and label.strength > 0.65):
        result.doubt(0.8, f"The name “{cleaned(entry.row.name.text)}” is not quite one known here.")
    if not sure_key:
        result.doubt(0.8, "The temperature of the viscosity is not printed beside it.")
    if not sure:
        result.doubt(0.8, f"“{value.numeral}” can be read as two numbers.")
    if unit.clash:
        result.doubt(0.5, f"Its unit “{value.unit_text}” does not fit it.")
    if value.sign:
        result.doubt(0.5, "A result with a sign may be a change instead.")
    if value.aside:
        result.doubt(0.97)
    if entry.slot.sure < 0.95:
        result.doubt(entry.slot.sure, "The heading of its column does not say what the column is.")
    return result


def limit_of(
    entry: Entry, conventions: Conventions, notes: Sequence[Note]
) -> tuple[str, Limit] | None:
    """Return the limit that a cell states, with its measurand's key."""
    value = entry.item.value
    if value is None or value.kind not in ("number", "range"):
        return None
    key, _ = _key(entry, conventions)
    if key is None:
        return None
    unit = unit_for(key, entry.row, entry.slot, value, notes, entry.units)
    conventions = conventions_in(entry.item, conventions)
    first, _ = number(value.numeral, conventions)
    text = cleaned(entry.item.text)
    if value.kind == "range":
        second, _ = number(value.second, conventions)
        return key, Limit(first, second, unit.printed, text)
    low = value.qualifier == ">" or (value.qualifier is None and entry.slot.role == LOWER)
    high = value.qualifier == "<" or (value.qualifier is None and entry.slot.role == UPPER)
    if low == high:
        return None
    return key, Limit(first if low else None, first if high else None, unit.printed, text)


def _key(entry: Entry, conventions: Conventions) -> tuple[str | None, bool]:
    """Return the contract's key; a viscosity without temperature is told by its unit and size."""
    label = entry.row.name.label
    if label is None or label.kind != "measurands":
        return None, False
    if label.key not in ("viscosity", "saybolt", "temperature"):
        return label.key, True
    value = entry.item.value
    symbols = {
        label.unit,
        value.unit if value else None,
        *(i.unit[1] for i in entry.units if i.unit),
    }
    if label.key == "temperature":
        return None, False
    read = number(value.numeral, conventions)[0] if value and value.numeral else None
    if read is None:
        return None, False
    if label.key == "saybolt" or "SUS" in symbols:
        return ("sus210" if read < 115 else "sus100f"), False
    return ("kv100" if read < 28 else "kv40"), False


def _method(entry: Entry) -> str | None:
    label = entry.row.name.label
    if label and label.method:
        return label.method
    for item in entry.methods:
        return method_in(item.text) or cleaned(item.text)
    for item in reversed(entry.row.section):
        if found := method_in(item.text):
            return found
    return method_in(entry.slot.heading) if entry.slot.heading else None

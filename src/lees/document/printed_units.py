"""The unit of a result: beside the number, in its row, in a heading, in a note, or implied."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from lees.document.columns import Slot, unit_in_heading
from lees.document.items import Item
from lees.document.labels import read_label
from lees.document.lexicon import listed, unit_phrases
from lees.document.tables import Row
from lees.document.tokens import folded, words_of
from lees.document.values import Value, unit_of
from lees.quantity.measurands import measurand
from lees.quantity.units import is_unit, unit

_FITS = {
    "content": ("content", "volume_fraction", "content_by_volume"),
    "absorbance": ("absorbance", "content"),
}


@dataclass(frozen=True, slots=True)
class Note:
    """A unit that a line of the page declares for a class of measurands."""

    about: str
    printed: str
    symbol: str


@dataclass(frozen=True, slots=True)
class FoundUnit:
    """A unit as printed, the symbol it stands for, and whether it is printed at all."""

    printed: str | None
    symbol: str | None
    is_printed: bool = True
    clash: bool = False


def fits(key: str, symbol: str) -> bool:
    """Tell whether a unit can belong to a measurand.

    >>> fits("Fe", "mg/kg"), fits("flash", "mg/kg")
    (True, False)
    """
    wanted = measurand(key).dimension
    if symbol == "K":
        return False  # a column of symbols says potassium, no laboratory a flash point in kelvin
    return unit(symbol).dimension.name in _FITS.get(wanted, (wanted,))


def notes_of(texts: Sequence[str]) -> list[Note]:
    """Return the units that running lines declare, such as `Elements in mg/kg`."""
    found: list[Note] = []
    for text in texts:
        plain = folded(text)
        if len(text) > 220:
            continue
        kinds = [
            about
            for about in ("elements", "viscosities", "all")
            if any(
                re.search(rf"(?<!\w){re.escape(word)}(?!\w)", plain)
                for word in listed("notes", about)
            )
        ]
        for printed, symbol in _units_in(text) if kinds else ():
            found += [Note(about, printed, symbol) for about in kinds]
        for clause in re.split(r"[;,]\s|\.\s|\.$", text):
            label = read_label(clause)
            if label and label.kind == "measurands" and label.unit and label.unit_text:
                found.append(Note(label.key, label.unit_text, label.unit))
    return found


def _units_in(text: str) -> list[tuple[str, str]]:
    """Return the units in a text, longest spelling first."""
    parts = text.replace("(", " ").replace(")", " ").replace(";", " ").replace(",", " , ").split()
    found: list[tuple[str, str]] = []
    at = 0
    while at < len(parts):
        for count in (4, 3, 2, 1):
            piece = " ".join(parts[at : at + count]).strip(".,:;[]")
            if (
                len(parts) - at >= count
                and unit_phrases().get(words_of(piece))
                and (one := unit_of(piece))
            ):
                found.append(one)
                at += count - 1
                break
        at += 1
    return found


def unit_for(
    key: str,
    row: Row,
    slot: Slot | None,
    value: Value,
    notes: Sequence[Note],
    units: Sequence[Item],
) -> FoundUnit:
    """Return the unit of a result from the nearest place that declares a fitting one."""
    candidates: list[tuple[str, str]] = []
    if value.unit and value.unit_text:
        candidates.append((value.unit_text, value.unit))
    elif value.flag in ("C", "F") and key == "flash":
        candidates.append((value.flag, "°" + value.flag))
    own = bool(candidates)
    candidates += [item.unit for item in units if item.unit]
    label = row.name.label
    if label and label.unit and label.unit_text:
        candidates.append((label.unit_text, label.unit))
    candidates += [
        (item.label.unit_text, item.label.unit)
        for item in row.items
        if item.label and item.label.unit and item.label.unit_text
    ]
    if slot is not None and slot.unit:
        candidates.append(slot.unit)
    for item in reversed(row.section):
        if item.is_name or re.search(r"\d\s*°", item.text):
            continue  # the temperature of a viscosity is no unit for what stands below
        if found := (item.unit or unit_in_heading(item.text)):
            candidates.append(found)
    if slot is not None:
        for item in slot.table.captions:
            if found := (item.unit or unit_in_heading(item.text)):
                candidates.append(found)
    for printed, symbol in candidates:
        if fits(key, symbol):
            first = candidates[0]
            return FoundUnit(
                shown(printed, symbol), symbol, clash=own and first != (printed, symbol)
            )
    if own or key == "vi":
        return FoundUnit(None, None, is_printed=False, clash=own)
    return _noted(key, notes, value)


def _noted(key: str, notes: Sequence[Note], value: Value) -> FoundUnit:
    one = measurand(key)
    about = (
        "elements"
        if one.is_element
        else ("viscosities" if one.dimension.endswith("viscosity") else "")
    )
    for wanted in (key, about, "all"):
        for note in notes:
            if note.about == wanted and wanted and fits(key, note.symbol):
                return FoundUnit(shown(note.printed, note.symbol), note.symbol)
    if one.dimension == "number":
        return FoundUnit(None, None, is_printed=False)
    implied = _implied_by_size(key, value) or one.unit
    return FoundUnit(implied, implied, is_printed=False)


def _implied_by_size(key: str, value: Value) -> str | None:
    """Return the unit that only the size of a number tells, where no unit is printed at all."""
    digits = re.match(r"\d+", re.sub(r"[^\d](?=\d{3}(?!\d))", "", value.numeral))
    size = int(digits.group()) if digits else 0
    if key == "flash" and 290 < size < 520:
        return "°F"
    return "mg/kg" if key == "water" and size >= 20 else None


def shown(printed: str, symbol: str) -> str:
    """Return a unit as printed where a person would know it again, else its symbol.

    >>> shown("ppm", "mg/kg"), shown("mg_kg", "mg/kg"), shown("CST", "mm²/s")
    ('ppm', 'mg/kg', 'cSt')
    """
    if printed in ("C", "F"):
        return symbol
    if "_" in printed:
        return symbol
    if printed.casefold() == "cst":
        return "cSt"
    return printed if is_unit(printed) and unit(printed).symbol == symbol else symbol

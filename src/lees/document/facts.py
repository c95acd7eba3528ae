"""Facts about a sample: dates, distances, hours, label, oil, grade and engine as printed."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from lees.document.conventions import Conventions, conventions_in, number
from lees.document.dates import PrintedDate, read_compact_date, read_date
from lees.document.items import Item
from lees.document.records import Quantity
from lees.document.tables import Row
from lees.document.tokens import cleaned, opened_camel, words_of
from lees.document.values import read_value
from lees.quantity.units import unit

_GRADE = re.compile(r"(?<![\d.,])(\d{1,2})\s?W\s?[-–/ ]?\s?(\d{2})(?!\d)", re.IGNORECASE)
_MONO = re.compile(r"\bSAE\s?-?\s?(\d{1,2})\b(?!\s?W)", re.IGNORECASE)
_DISTANCES = ("oil_distance", "engine_distance")
_HOURS = ("oil_hours", "engine_hours")
QUANTITIES = (*_DISTANCES, *_HOURS)
_WORDS = {
    "km": "km", "kms": "km", "kilometre": "km", "kilometres": "km", "kilometer": "km",
    "kilometers": "km", "kilometerstand": "km", "kilometros": "km", "kilometraje": "km",
    "kilometrage": "km", "kilometres_": "km", "mi": "mi", "miles": "mi", "mile": "mi",
    "millas": "mi", "meilen": "mi", "hours": "h", "hour": "h", "hrs": "h", "h": "h",
    "stunden": "h", "horas": "h", "heures": "h", "betriebsstunden": "h", "bh": "h", "std": "h",
    "gesamtkilometer": "km", "cuentakilometros": "km", "kilometrique": "km",
}  # fmt: skip


@dataclass(slots=True)
class Facts:
    """Facts found for one sample or for the whole document."""

    dates: list[PrintedDate] = field(default_factory=list)
    weak_dates: list[PrintedDate] = field(default_factory=list)
    labels: list[str] = field(default_factory=list)
    quantities: dict[str, Quantity] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    advised: list[Quantity] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)

    def read(
        self, row: Row, item: Item, page: int, conventions: Conventions, usual: str | None
    ) -> None:
        """Take in what stands beside the name of a fact."""
        key = row.key
        text = cleaned(item.text)
        if key in ("date", "date_weak", "date_other"):
            self._date(key, item, text)
        elif key in QUANTITIES or key == "advised":
            self._quantity(key, row, item, page, conventions, usual)
        elif key == "label":
            if text and not item.unit and (item.value is None or item.value.kind != "missing"):
                self.labels.append(_label(text))
                if found := read_date(text):
                    self.weak_dates.append(found)
        elif key in ("oil", "grade", "engine") and text and not item.is_name:
            self._text(key, item, text)

    def _text(self, key: str, item: Item, text: str) -> None:
        if item.value is None or item.value.kind == "number":
            self.texts.setdefault(key, text)

    def _date(self, key: str, item: Item, text: str) -> None:
        found = item.date or read_date(text) or read_compact_date(text)
        if found is None or key == "date_other":
            return
        (self.dates if key == "date" else self.weak_dates).append(found)

    def _quantity(
        self, key: str, row: Row, item: Item, page: int, conventions: Conventions, usual: str | None
    ) -> None:
        value = item.value or read_value(item.text)
        if value is None or value.kind != "number" or value.sign:
            return
        read, _ = number(value.numeral, conventions_in(item, conventions))
        if read is None:
            return
        symbol, printed = value.unit, value.unit_text
        if symbol is None and value.flag.casefold() in ("h", "mi"):
            symbol = printed = value.flag.casefold()
        if symbol is None:
            beside = next((one.unit for one in row.items if one.unit), None)
            label = row.name.label
            if beside:
                printed, symbol = beside
            elif label and label.unit:
                printed, symbol = label.unit_text, label.unit
            else:
                symbol = printed = unit_word(opened_camel(row.name.text)) or (
                    usual if key in _DISTANCES else None
                )
        if symbol is None or printed is None:
            self.warnings.append(
                f"“{row.name.text} {item.text}” has no unit; it may be a distance or a time."
            )
            return
        kind = unit(symbol).dimension.name
        if kind not in ("length", "time") or symbol not in ("km", "mi", "h"):
            return
        if kind == "time" and key in _DISTANCES:
            key = key.replace("distance", "hours")
        if kind == "length" and key in _HOURS:
            key = key.replace("hours", "distance")
        found = Quantity(read, symbol, cleaned(item.text), page, item.cell.place)
        if key == "advised":
            self.advised.append(found)
        else:
            self.quantities.setdefault(key, found)


def _label(text: str) -> str:
    """Cut off what follows a sample's label behind a comma or before a date."""
    return re.split(r"[,;]\s|\s[(–-]\s?", text)[0].strip() or text


def unit_word(name: str) -> str | None:
    """Return the unit that the words of a name say, such as mi for `Miles on oil`.

    >>> unit_word("Miles on oil"), unit_word("Kilometerstand"), unit_word("Odometer")
    ('mi', 'km', None)
    """
    for word in words_of(name):
        if word in _WORDS:
            return _WORDS[word]
    return None


def grade_in(text: str) -> str | None:
    """Return the viscosity grade in a text (written as in SAE J300).

    >>> grade_in("Quayside Blend 5w30"), grade_in("SAE 30"), grade_in("30 litres")
    ('5W-30', '30', None)
    """
    if match := _GRADE.search(text):
        return f"{int(match[1])}W-{match[2]}"
    match = _MONO.search(text)
    return match[1] if match else None

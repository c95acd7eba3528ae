"""Cells with all that each could mean by itself; the table around it decides later."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from lees.document.dates import PrintedDate, read_date
from lees.document.labels import Label, is_method, read_label
from lees.document.lines import part_of
from lees.document.records import Box, Cell
from lees.document.roles import FRESH, LOWER, MEAN, OWN, RANGE, UPPER, role_of
from lees.document.values import Value, read_value, unit_of

_SYMBOL_MISREAD = re.compile(r"(?<![^\W_])([ASNT])([I1l|])(?![^\W_])")
_LIKE = {"I": "l", "1": "l", "l": "i", "|": "l"}
"""A recogniser takes the l of Al for a capital I, and the i of Si for an l."""
_ASIDE = re.compile(r"^([^()]*\d[^()]*?)\s*[(\[]([^()\[\]]*\d[^()\[\]]*)[)\]]\s*$")
_ROLE_AND_VALUE = re.compile(r"^([^\W\d_][^\d<>≤≥]{1,40}?)\s*[:=]?\s*([<>≤≥]?\s?[\d.,].{0,30})$")


@dataclass(frozen=True, slots=True, eq=False)
class Item:
    """A cell and its possible meanings."""

    cell: Cell
    label: Label | None = None
    value: Value | None = None
    unit: tuple[str, str] | None = None
    date: PrintedDate | None = None
    method: bool = False
    whole: Cell | None = None
    role: str | None = None

    @property
    def box(self) -> Box:
        """Where it stands."""
        return self.cell.box

    @property
    def text(self) -> str:
        """What is printed."""
        return self.cell.text

    @property
    def is_name(self) -> bool:
        """Tell whether it names a measurand, another test or a fact."""
        return self.label is not None and self.date is None and not self.is_temperature

    @property
    def is_temperature(self) -> bool:
        """Tell whether it is a temperature alone, which may belong to a viscosity's name."""
        return self.label is not None and self.label.key == "temperature"

    @property
    def is_number(self) -> bool:
        """Tell whether it holds a number."""
        return self.value is not None and self.value.kind == "number" and self.date is None

    @property
    def fills_a_place(self) -> bool:
        """Tell whether it stands where a value, a unit or a method would stand."""
        return bool(self.value or self.unit or self.date or self.method)


def item_of(cell: Cell) -> Item:
    """Return a cell with its meanings."""
    value = read_value(cell.text)
    label = read_label(cell.text)
    if label is None and cell.seen:
        label = read_label(_SYMBOL_MISREAD.sub(lambda match: match[1] + _LIKE[match[2]], cell.text))
    date = read_date(cell.text) if len(cell.text) <= 30 else None
    if date is not None and (
        value is None or value.kind != "number" or value.numeral.count(".") > 1
    ):
        value = None
    unit = unit_of(cell.text)
    if (
        unit is not None
        and label is not None
        and not (label.symbol_only and cell.text.strip(" :") in ("K", "V", "S", "C", "F"))
    ):
        label = None if label.kind == "measurands" and label.key != "saybolt" else label
    if label is not None and label.kind == "facts" and role_of(cell.text) == "unit":
        label = None
    if label is not None and value is not None and value.kind in ("number", "range"):
        label = label if label.key == "temperature" else None
    return Item(cell, label, value, unit, date, is_method(cell.text))


def items_of(cells: Sequence[Cell]) -> list[Item]:
    """Return cells as items; a cell that holds a name and its value comes apart into both."""
    return [part for item in _parted_items(cells) for part in _without_aside(item)]


def _without_aside(item: Item) -> list[Item]:
    """Part `12 ppm (fleet mean 9)` into the value and the value that says what it is."""
    if item.value is not None or item.label is not None or item.date is not None:
        return [item]
    match = _ASIDE.match(item.text)
    if match is None or read_value(match[1]) is None:
        return [item]
    cell = item.cell
    aside = _with_role(replace(cell, text=match[2]))
    if aside is None:
        return [item]
    share = len(match[1]) / len(item.text)
    border = cell.box.x0 + share * cell.box.width
    value = item_of(replace(cell, text=match[1], box=replace(cell.box, x1=border), words=()))
    place = replace(cell, text=match[2], box=replace(cell.box, x0=border), words=())
    return [replace(value, whole=item.whole), replace(aside, cell=place, whole=item.whole)]


def _parted_items(cells: Sequence[Cell]) -> list[Item]:
    found: list[Item] = []
    running: list[Cell] = []
    for cell in cells:
        if _is_running(cell) or any(_goes_on(above, cell) for above in running[-3:]):
            running.append(cell)
            found.append(Item(cell))
            continue
        item = item_of(cell)
        if item.date is not None and len(cell.text) > len(item.date.text) + 2:
            pieces = _parted(item)
            found += pieces if len(pieces) > 1 and pieces[0].is_name else [item]
        elif item.is_name and re.search(r":\s*\S", cell.text):
            pieces = _parted_by_colon(item)
            found += pieces
        elif item.is_name or item.fills_a_place:
            found.append(item)
        elif (aside := _with_role(cell)) is not None:
            found.append(aside)
        else:
            found.extend(_parted(item))
    return found


def _is_running(cell: Cell) -> bool:
    """Tell whether a cell is running text with several numbers, to be read as sentences."""
    text = cell.text
    parts = re.findall(r"[,;.]\s", text)
    return len(text) >= 50 and len(parts) >= 2 and len(re.findall(r"\d+", text)) >= 2


def _goes_on(above: Cell, cell: Cell) -> bool:
    """Tell whether a cell is the next line of running text."""
    gap = cell.box.y0 - above.box.y1
    high = above.box.height
    return -0.6 * high < gap < 0.8 * high and abs(cell.box.x0 - above.box.x0) < 0.5 * high


def _with_role(cell: Cell) -> Item | None:
    """Read `fleet mean 9 ppm` or `limit < 30`: a kind of column and its value in one cell."""
    match = _ROLE_AND_VALUE.match(cell.text.strip(" ()[]"))
    if match is None:
        return None
    role = role_of(match[1])
    value = read_value(match[2])
    if role not in (MEAN, OWN, FRESH, UPPER, LOWER, RANGE) or value is None:
        return None
    if value.kind not in ("number", "range") or read_label(match[1]) is not None:
        return None
    return Item(cell, value=value, role=role)


def _parted(item: Item) -> list[Item]:
    """Part `Iron: 12 ppm`, `Fe 12 Cu 4` or `Odometer: 84,120 mi` at the borders of names."""
    cell = item.cell
    if len(cell.words) < 2:
        return _parted_by_colon(item)
    pieces: list[Item] = []
    at = 0
    while at < len(cell.words):
        piece = _piece(cell, at)
        if piece is None:
            return _parted_by_colon(item)
        length, one = piece
        pieces.append(replace(one, whole=cell))
        at += length
    names = [one for one in pieces if one.is_name]
    if not names and not _numbers_in_a_row(pieces):
        return [item]
    return pieces


def _numbers_in_a_row(pieces: Sequence[Item]) -> bool:
    return len(pieces) > 1 and all(one.fills_a_place for one in pieces)


def _piece(cell: Cell, at: int) -> tuple[int, Item] | None:
    """Return the longest name or value that starts at a word."""
    for length in range(min(8, len(cell.words) - at), 0, -1):
        one = item_of(part_of(cell, cell.words[at : at + length]))
        if one.date is not None and len(one.text) > len(one.date.text) + 2:
            continue
        if one.fills_a_place and not (one.label and one.unit is None):
            return length, one
        ends_well = one.text[-1:] not in "<>≤≥(~±=+"
        if one.label is not None and one.label.strength >= 0.6 and ends_well:
            return length, one
    return None


def _parted_by_colon(item: Item) -> list[Item]:
    """Part `Oil: Quayside Blend 5W-30` behind the colon of a known name."""
    cell = item.cell
    head, colon, tail = cell.text.partition(":")
    if not colon or not tail.strip() or len(head) > 60:
        return [item]
    label = read_label(head)
    if label is None:
        return [item]
    count = len(cell.words)
    left = next((i + 1 for i, word in enumerate(cell.words) if ":" in word.text), 0)
    if not 0 < left < count or not cell.words[left - 1].text.endswith(":"):
        share = (len(head) + 1) / max(1, len(cell.text))
        border = cell.box.x0 + share * cell.box.width
        first = replace(cell, text=head + ":", box=replace(cell.box, x1=border), words=())
        second = replace(cell, text=tail.strip(), box=replace(cell.box, x0=border), words=())
        return [
            Item(first, label=label, whole=cell),
            *(replace(one, whole=cell) for one in _behind_colon(second)),
        ]
    first = part_of(cell, cell.words[:left])
    return [
        Item(first, label=label, whole=cell),
        *(replace(one, whole=cell) for one in _behind_colon(part_of(cell, cell.words[left:]))),
    ]


def _behind_colon(cell: Cell) -> list[Item]:
    """Return what follows a colon: one value, or several names and values again."""
    item = item_of(cell)
    if item.fills_a_place or item.is_name:
        return [item]
    later = re.search(r"\s(\S[^:]{1,40}):", cell.text)
    if later is None or len(cell.words) < 3:
        return [item]
    for start in range(1, len(cell.words)):
        rest = part_of(cell, cell.words[start:])
        head = rest.text.partition(":")[0]
        if ":" in rest.text and (label := read_label(head)) and label.strength >= 0.6:
            return [
                item_of(part_of(cell, cell.words[:start])),
                *_parted_by_colon(item_of(rest)),
            ]
    return [item]

"""Names with their values under (or over) them: tables with measurands across, and tiles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lees.document.dates import read_date
from lees.document.items import Item
from lees.document.records import Box
from lees.document.tables import Column, Row, Sheet, Table

_FIRST_GAP = 3.2
_NEXT_GAP = 3.0


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of items with its top and bottom."""

    items: list[Item]
    y0: float
    y1: float


def tables_across(sheet: Sheet, *, least: int) -> list[Table]:
    """Return the tables whose names stand over (or under) their values, `least` names in a line."""
    lines = [
        _Line(items, min(i.box.y0 for i in items), max(i.box.y1 for i in items))
        for items in ([item for item in row if sheet.free(item)] for row in sheet.rows)
        if items
    ]
    heads = [at for at, line in enumerate(lines) if len(_bare(line.items)) >= least]
    ends = [at for at, line in enumerate(lines) if at in heads or _is_head(line.items)]
    below = [_table(sheet, lines, at, ends, step=1) for at in heads]
    above = [_table(sheet, lines, at, ends, step=-1) for at in heads]
    chosen = below if _filled(below) >= _filled(above) else above
    found = [table for table in chosen if table is not None and _is_full(table, least)]
    for table in found:
        for row in table.rows:
            sheet.take(row.name, *row.items)
        for column in table.columns:
            sheet.take(*column.headings)
    return found


def continued(sheet: Sheet, before: Table | None) -> list[Table]:
    """Return the rows at a page's top that go on with a table of the page before, without names."""
    if before is None or before.page != sheet.page - 1 or not sheet.rows:
        return []
    names = [row.name for row in before.rows]
    names = [
        replace(name, cell=replace(name.cell, box=_extent(name, row)))
        for name, row in zip(names, before.rows, strict=True)
    ]
    top = sheet.rows[0][0].box.y0
    head = _Line(list(names), top - 2 * sheet.letters, top - sheet.letters)
    rows = [Row(name, replace(name.box, y0=head.y0, y1=head.y1), []) for name in names]
    columns: list[Column] = []
    for items in sheet.rows:
        line = _Line(items, min(i.box.y0 for i in items), max(i.box.y1 for i in items))
        measured = sum(1 for item in items if item.is_number and not item.is_name)
        if _is_head(items) or measured < 2 or any(_measurands([i]) for i in items):
            break
        column = _column(line, names, rows, head, {})
        if column is None or len(column.cells) < 0.5 * len(items):
            break
        columns.append(column)
    if not columns:
        return []
    for row in rows:
        sheet.take(*row.items)
    for column in columns:
        sheet.take(*column.headings)
    return [Table(sheet.page, rows, columns, across=True)]


def _extent(name: Item, row: Row) -> Box:
    """Return the place of a name, as wide as all that stands under it."""
    left = min([name.box.x0, *(item.box.x0 for item in row.items)])
    right = max([name.box.x1, *(item.box.x1 for item in row.items)])
    return replace(name.box, x0=left, x1=right)


def _bare(items: Sequence[Item]) -> list[Item]:
    """Return the measurands of a line that have no value to their right."""
    found = []
    for at, item in enumerate(items):
        follow = items[at + 1] if at + 1 < len(items) else None
        if item in _measurands(items) and not (follow and follow.value and not follow.is_name):
            found.append(item)
    return found


def _is_head(items: Sequence[Item]) -> bool:
    """Tell whether a line holds names and no values."""
    values = any(item.value and not item.is_name for item in items)
    return bool(_measurands(items)) and not values


def _is_full(table: Table, least: int) -> bool:
    """Tell whether values stand under enough of the names to be meant for them."""
    named = [
        number
        for number, row in enumerate(table.rows)
        if row.name.label and row.name.label.kind != "facts"
    ]
    filled = [number for number in named if any(number in c.cells for c in table.columns)]
    return len(filled) >= max(1, 0.5 * len(named)) if least > 1 else bool(filled)


def _measurands(items: Sequence[Item]) -> list[Item]:
    return [
        item
        for item in items
        if item.is_name and item.label and item.label.kind != "facts" and not item.date
    ]


def _filled(tables: Sequence[Table | None]) -> int:
    return sum(len(column.cells) for table in tables if table for column in table.columns)


def _table(
    sheet: Sheet, lines: Sequence[_Line], at: int, heads: Sequence[int], *, step: int
) -> Table | None:
    head = lines[at]
    names = _distinct([item for item in head.items if item.is_name])
    rows = [Row(name, name.box, []) for name in names]
    columns: list[Column] = []
    asides: dict[str, Column] = {}
    edge, position, first = (head.y1 if step > 0 else head.y0), at + step, True
    while 0 <= position < len(lines):
        line = lines[position]
        gap = line.y0 - edge if step > 0 else edge - line.y1
        if gap > (_FIRST_GAP if first else _NEXT_GAP) * sheet.letters:
            break
        if position in heads and not _repeats(names, line.items):
            break
        before = sum(len(one.cells) for one in asides.values())
        column = _column(line, names, rows, head, asides)
        if column is not None:
            columns.append(column)
            first = False
        elif sum(len(one.cells) for one in asides.values()) > before:
            pass
        elif not first and step < 0:
            break
        edge = line.y1 if step > 0 else line.y0
        position += step
        if step < 0 and not first:
            break
    if step < 0 and columns and at + 1 < len(lines):
        _asides_below(lines[at + 1], names, head, asides)
    columns += asides.values()
    usable = [column for column in columns if any(i.value for i in column.cells.values())]
    if not usable:
        return None
    if not any(
        rows[number].name.label and rows[number].name.label.kind != "facts"  # type: ignore[union-attr]
        for column in usable
        for number, item in column.cells.items()
        if item.value
    ):
        return None
    return Table(sheet.page, rows, columns, across=True)


def _distinct(names: list[Item]) -> list[Item]:
    """Leave out a symbol that follows its own full name."""
    kept: list[Item] = []
    for name in names:
        if kept and kept[-1].label and name.label and kept[-1].label.key == name.label.key:
            continue
        kept.append(name)
    return kept


def _repeats(names: Sequence[Item], items: Sequence[Item]) -> bool:
    """Tell whether a line only says the same names again, such as symbols under full names."""
    again = _measurands(items)
    keys = {name.label.key for name in names if name.label}
    return bool(again) and all(item.label and item.label.key in keys for item in again)


def _asides_below(
    line: _Line, names: Sequence[Item], head: _Line, asides: dict[str, Column]
) -> None:
    """Take what stands under the names of tiles whose values stand over them."""
    for item in line.items:
        number = _under(item, names, head)
        if item.role is not None and number is not None:
            _aside(asides, item, number, line)


def _aside(asides: dict[str, Column], item: Item, number: int, line: _Line) -> None:
    """Put a value that says itself what it is into the column of its kind."""
    role = item.role or ""
    column = asides.setdefault(role, Column(line.y0, line.y1, role=role))
    column.cells.setdefault(number, item)


def _column(
    line: _Line,
    names: Sequence[Item],
    rows: Sequence[Row],
    head: _Line,
    asides: dict[str, Column],
) -> Column | None:
    """Read one line under the names as one column of the table."""
    column = Column(line.y0, line.y1)
    for item in _whole(line.items):
        number = _under(item, names, head)
        if item.role is not None and number is not None:
            if line.y0 > head.y0:
                _aside(asides, item, number, line)
            continue
        fact = number is not None and _is_fact(names[number])
        if number is None or (not item.fills_a_place and not fact):
            column.headings.append(item)
            continue
        if number in column.cells:
            continue
        column.cells[number] = item
        rows[number].items.append(item)
        if fact and (not item.is_number or rows[number].key in ("label", "date", "date_weak")):
            column.headings.append(item)
    filled = [
        number
        for number, item in column.cells.items()
        if item.fills_a_place and not _is_fact(names[number])
    ]
    if not filled:
        for number, item in column.cells.items():
            rows[number].items.remove(item)
        return None
    return column


def _whole(items: Sequence[Item]) -> list[Item]:
    """Put together again what was parted after a fact's name, such as `Bottle 3-09`."""
    found: list[Item] = []
    for item in items:
        if found and item.whole is not None and found[-1].whole is item.whole:
            first = found[-1]
            if (first.label and first.label.kind == "facts") or first.cell is first.whole:
                found[-1] = Item(item.whole, date=read_date(item.whole.text), whole=item.whole)
                continue
        found.append(item)
    return found


def _is_fact(name: Item) -> bool:
    return name.label is not None and name.label.kind == "facts"


def _under(item: Item, names: Sequence[Item], head: _Line) -> int | None:
    """Return the name that an item stands under, or None where it stands under none."""
    shared = [
        (min(item.box.x1, one.box.x1) - max(item.box.x0, one.box.x0), one) for one in head.items
    ]
    best, over = max(shared, key=lambda pair: pair[0])
    if best <= 0:
        away = -best
        pitch = min(
            (abs(one.box.middle_x - over.box.middle_x) for one in head.items if one is not over),
            default=6 * over.box.height,
        )
        if away > 0.35 * pitch or away > 3 * over.box.height:
            return None
    for number, name in enumerate(names):
        if name is over:
            return number
    return None

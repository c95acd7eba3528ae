"""Tables with one result a row: the rows parted by what identifies their sample."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lees.document.items import Item
from lees.document.labels import Label
from lees.document.tables import Column, Row, Sheet, Table


def parted(table: Table, sheet: Sheet) -> list[tuple[Table, list[tuple[Row, Item]]]]:
    """Return a table parted by sample, each part with the facts that its rows repeat.

    A table whose names do not repeat comes back whole.
    """
    keys = [row.key for row in table.rows if row.key != "other"]
    heads = _heads(table, sheet)
    if table.across or not heads or (len(keys) == len(set(keys)) and not _constant(table, heads)):
        return [(table, [])]
    parts: dict[tuple[str, ...], list[int]] = {}
    for number, row in enumerate(table.rows):
        parts.setdefault(_identity(row, number, table, heads), []).append(number)
    if len(parts) > max(1, len(table.rows) // 2):
        return [(table, [])]
    found = []
    for numbers in parts.values():
        first = table.rows[numbers[0]]
        facts = [
            (_fact_row(head, first), item) for head, item in _told(first, numbers[0], table, heads)
        ]
        found.append((_part(table, numbers, heads), facts))
    return found


def _heads(table: Table, sheet: Sheet) -> list[Item]:
    """Return the headings over the table that name facts, each over a column of the rows."""
    top = min(row.box.y0 for row in table.rows)
    above = [
        line
        for line in sheet.rows
        if line and max(item.box.y1 for item in line) <= top + 0.4 * sheet.letters
    ]
    for line in reversed(above[-4:]):
        heads = [
            item
            for item in line
            if item.label
            and item.label.kind == "facts"
            and item.label.key != "advised"
            and sheet.free(item)
        ]
        if heads:
            return heads
    return []


def _constant(table: Table, heads: Sequence[Item]) -> bool:
    """Tell whether the facts' columns repeat one content in every row."""
    told = [
        [item.text for _, item in _told(row, n, table, heads)] for n, row in enumerate(table.rows)
    ]
    return len(told) > 2 and bool(told[0]) and all(one == told[0] for one in told)


def _told(row: Row, number: int, table: Table, heads: Sequence[Item]) -> list[tuple[Item, Item]]:
    beside = [*row.left, *row.items]
    beside += [
        c.cells[number]
        for c in table.columns
        if number in c.cells and c.cells[number] not in beside
    ]
    found = []
    for head in heads:
        item = next((one for one in beside if one.box.overlap_x(head.box) > 0), None)
        if item is not None and not item.unit:
            found.append((head, item))
    return found


def _identity(row: Row, number: int, table: Table, heads: Sequence[Item]) -> tuple[str, ...]:
    return tuple(item.text for _, item in _told(row, number, table, heads))


def _fact_row(head: Item, row: Row) -> Row:
    label = head.label or Label("facts", "other", 0.5)
    return Row(replace(head, label=label), head.box, [])


def _part(table: Table, numbers: Sequence[int], heads: Sequence[Item]) -> Table:
    columns = []
    for column in table.columns:
        if any(min(column.x1, head.box.x1) > max(column.x0, head.box.x0) for head in heads):
            continue
        cells = {
            at: column.cells[number] for at, number in enumerate(numbers) if number in column.cells
        }
        columns.append(Column(column.x0, column.x1, cells, list(column.headings)))
    return Table(table.page, [table.rows[n] for n in numbers], columns, list(table.captions))

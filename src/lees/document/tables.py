"""Names with their values on the same line, grouped into tables with columns and headings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from statistics import median

from lees.document.items import Item, item_of, items_of
from lees.document.labels import Label, read_label
from lees.document.lexicon import symbols
from lees.document.lines import letter_height, rows_of
from lees.document.records import Box, Page
from lees.document.roles import NUMERIC, role_of

_HEADING_LINES = 7


@dataclass(slots=True, eq=False)
class Row:
    """A name, where it stands, and the items beside it."""

    name: Item
    box: Box
    items: list[Item]
    section: list[Item] = field(default_factory=list)
    left: list[Item] = field(default_factory=list)

    @property
    def key(self) -> str:
        """The measurand or fact that the name stands for."""
        return self.name.label.key if self.name.label else ""


@dataclass(slots=True, eq=False)
class Column:
    """A column of a table: its extent, its items by row, its headings."""

    x0: float
    x1: float
    cells: dict[int, Item] = field(default_factory=dict)
    headings: list[Item] = field(default_factory=list)
    role: str | None = None

    @property
    def heading(self) -> str:
        """All its headings as one text, from the top."""
        ordered = sorted(self.headings, key=lambda one: (one.box.middle_y, one.box.x0))
        return " ".join(one.text for one in ordered)


@dataclass(slots=True, eq=False)
class Table:
    """Rows of names with columns of values."""

    page: int
    rows: list[Row]
    columns: list[Column]
    captions: list[Item] = field(default_factory=list)
    across: bool = False


@dataclass(slots=True, eq=False)
class Sheet:
    """A page's items by rows, and which of them tables have taken."""

    page: int
    height: float
    rows: list[list[Item]]
    taken: set[int] = field(default_factory=set)
    letters: float = 1.0
    headings: set[int] = field(default_factory=set)

    def take(self, *items: Item) -> None:
        """Mark items as understood."""
        self.taken.update(id(item) for item in items)

    def free(self, item: Item) -> bool:
        """Tell whether an item is still to be understood."""
        return id(item) not in self.taken


def sheet_of(page: Page) -> Sheet:
    """Return a page's items by rows, with names joined that run over two or three lines."""
    items = items_of(page.cells)
    height = letter_height(page.cells)
    items = _without_flags(_symbols_by_company(_joined_names(items, height)))
    return Sheet(page.number, page.height, _item_rows(items), letters=height)


def tables_beside(sheet: Sheet) -> list[Table]:
    """Return the tables of a page whose names stand left of their values."""
    rows: list[Row] = []
    for at, line in enumerate(sheet.rows):
        free = [item for item in line if sheet.free(item)]
        rows += _rows_of_line(_named_by_temperature(free, sheet.rows[max(0, at - 6) : at]))
    groups = _groups(rows, sheet.letters)
    tables = []
    for group in groups:
        _bound(group, groups)
    for group in groups:
        tables += [Table(sheet.page, run, _columns(run)) for run in _runs(group, sheet)]
    for table in tables:
        for row in table.rows:
            sheet.take(row.name, *row.items)
    for table in tables:
        _headings(table, sheet)
        _sections(table, sheet)
    return tables


def _item_rows(items: Sequence[Item]) -> list[list[Item]]:
    by_cell = {id(item.cell): item for item in items}
    return [[by_cell[id(cell)] for cell in row] for row in rows_of([item.cell for item in items])]


def _symbols_by_company(items: list[Item]) -> list[Item]:
    """Take a lone letter for a symbol where at least four others stand on the page."""
    shown = [item for item in items if item.label and item.label.symbol_only]
    if len(shown) < 4:
        return items
    found = []
    for item in items:
        text = item.text.strip(" :*")
        key = text.capitalize()
        if len(text) == 1 and key in symbols() and item.label is None and item.value is None:
            label = Label("measurands", key, 0.8, symbol_only=True)
            found.append(replace(item, label=label, unit=None))
        else:
            found.append(item)
    return found


def _without_flags(items: list[Item]) -> list[Item]:
    """Take lone letters in a column of flags for no symbols: W, B, S stand for words there.

    A flag stands right of a name on its line; in its column there are no names of other kinds, or
    the same letter comes again.
    """
    lone = [i for i in items if i.label and i.label.symbol_only and len(i.text.strip(" *")) == 1]
    flags = set()
    for item in lone:
        row = [i for i in items if i.box.overlap_y(item.box) > 0.5 * item.box.height]
        column = [i for i in items if i.box.overlap_x(item.box) > 0 and i is not item]
        after = any(i.is_name and i not in lone and i.box.x1 <= item.box.x0 for i in row)
        others = {i.label.key for i in column if i.is_name and i.label and i not in lone}
        again = any(i.text == item.text for i in column)
        if after and (again or not others) and any(i.is_number for i in row):
            flags.add(id(item))
    return [replace(i, label=None) if id(i) in flags else i for i in items]


def _joined_names(items: list[Item], height: float) -> list[Item]:
    """Join a text with the one right under it where only together they make a name."""
    joined = list(items)
    for upper in items:
        if upper.fills_a_place or (
            upper.is_name and upper.label and upper.label.key != "viscosity"
        ):
            continue
        for lower in items:
            gap = lower.box.y0 - upper.box.y1
            if lower is upper or not -0.3 * height <= gap <= 0.45 * height:
                continue
            if upper.box.overlap_x(lower.box) <= 0.5 * min(upper.box.width, lower.box.width):
                continue
            if lower not in joined or upper not in joined or len(upper.text) > 60:
                continue
            text = f"{upper.text} {lower.text}"
            label = read_label(text)
            if label is None or label.strength < 0.9 or label.kind != "measurands":
                continue
            if lower.is_name and lower.label and lower.label.key != "viscosity":
                continue
            if lower.value and not (lower.is_temperature and _lacks_temperature(upper)):
                continue
            cell = replace(
                upper.cell,
                text=text,
                box=upper.box.joined(lower.box),
                words=upper.cell.words + lower.cell.words,
            )
            joined[joined.index(upper)] = item_of(cell)
            joined.remove(lower)
            break
    return joined


def _named_by_temperature(line: list[Item], above: Sequence[Sequence[Item]]) -> list[Item]:
    """Join a viscosity's name with the temperature beside it or, in its first cell, over it."""
    joined: list[Item] = []
    for at, item in enumerate(line):
        if not item.is_temperature:
            joined.append(item)
            continue
        before = joined[-1] if joined else None
        if before is None and len(line) > at + 1:
            before = next(
                (
                    one
                    for row in reversed(above)
                    for one in row
                    if one.box.x0 <= item.box.x1 and _lacks_temperature(one)
                ),
                None,
            )
            if before is not None and (label := read_label(f"{before.text} {item.text}")):
                joined.append(replace(item, label=label, value=None))
                continue
        elif before is not None and _lacks_temperature(before):
            label = read_label(f"{before.text} {item.text}")
            box = before.box.joined(item.box)
            joined[-1] = replace(before, cell=replace(before.cell, box=box), label=label)
            continue
        joined.append(item)
    return joined


def _lacks_temperature(item: Item) -> bool:
    return item.label is not None and item.label.key in ("viscosity", "saybolt")


def _rows_of_line(line: Sequence[Item]) -> list[Row]:
    """Cut a line into names with what stands beside each up to the next name."""
    names = _name_places(line)
    bare = sum(
        1
        for at, (start, end) in enumerate(names)
        if not any(
            item.fills_a_place
            for item in line[end : names[at + 1][0] if at + 1 < len(names) else len(line)]
        )
    )
    alternate = all(
        end < (names[at + 1][0] if at + 1 < len(names) else len(line))
        for at, (_, end) in enumerate(names)
    )
    found = []
    for at, (start, end) in enumerate(names):
        until = names[at + 1][0] if at + 1 < len(names) else len(line)
        beside = list(line[end:until])
        name = line[start]
        pairs = alternate or name.text.endswith(":")
        if not _has_content(name, beside, 0 if pairs else bare):
            continue
        box = name.box
        for other in line[start + 1 : end]:
            box = box.joined(other.box)
        left = list(line[:start]) if at == 0 else []
        found.append(Row(name, box, beside, left=left))
    return found


def _name_places(line: Sequence[Item]) -> list[tuple[int, int]]:
    """Return where names start and end; a symbol right after its full name belongs to it."""
    places: list[tuple[int, int]] = []
    for at, item in enumerate(line):
        if not item.is_name or (item.value and item.value.kind == "missing" and places):
            continue
        if places and places[-1][1] == at and _same_name(line[places[-1][0]], item):
            places[-1] = (places[-1][0], at + 1)
            continue
        places.append((at, at + 1))
    return places


def _same_name(first: Item, second: Item) -> bool:
    return bool(first.label and second.label and first.label.key == second.label.key)


def _has_content(name: Item, beside: Sequence[Item], bare: int) -> bool:
    values = [item for item in beside if item.value or item.date]
    if name.label and name.label.kind == "facts":
        if values or name.label.key not in ("label", "oil", "grade", "engine"):
            return bool(values)
        return bool(beside) and bare < 3 and not beside[0].unit and not beside[0].method
    return bool(values)


def _groups(rows: list[Row], height: float) -> list[list[Row]]:
    """Group rows whose names stand under each other."""
    groups: list[list[Row]] = []
    for row in sorted(rows, key=lambda one: one.box.middle_y):
        best: tuple[float, list[Row]] | None = None
        for group in groups:
            last = group[-1]
            gap = row.box.y0 - last.box.y1
            if gap > 6 * height or row.box.overlap_y(last.box) > 0.5 * min(
                row.box.height, last.box.height
            ):
                continue
            off = min(
                abs(row.box.x0 - median(one.box.x0 for one in group)),
                abs(row.box.x1 - median(one.box.x1 for one in group)) + 0.2 * height,
                abs(row.box.x0 - last.box.x0),
            )
            if off < 1.6 * height and (best is None or off < best[0]):
                best = (off, group)
        if best:
            best[1].append(row)
        else:
            groups.append([row])
    return groups


def _runs(group: list[Row], sheet: Sheet) -> list[list[Row]]:
    """Part facts from measurands, and tables under each other that have headings of their own."""
    runs: list[list[Row]] = []
    for row in group:
        before = runs[-1][-1] if runs else None
        if before and _is_fact(before) == _is_fact(row) and not _headed(before, row, group, sheet):
            runs[-1].append(row)
        else:
            runs.append([row])
    return runs


def _headed(upper: Row, lower: Row, group: Sequence[Row], sheet: Sheet) -> bool:
    """Tell whether a line of headings stands between two rows."""
    if lower.box.y0 - upper.box.y1 < 0.5 * sheet.letters:
        return False
    right = max(row.box.x1 for row in group)
    for line in sheet.rows:
        top, bottom = min(i.box.y0 for i in line), max(i.box.y1 for i in line)
        if not upper.box.middle_y < (top + bottom) / 2 < lower.box.middle_y:
            continue
        if line[0] in (upper.name, lower.name):
            continue
        told = [
            item
            for item in line
            if item.box.x0 > right - 2 * sheet.letters
            and (
                item.date
                or (item.label and item.label.key == "label")
                or role_of(item.text) in NUMERIC
            )
        ]
        if told:
            return True
    return False


def _is_fact(row: Row) -> bool:
    return row.name.label is not None and row.name.label.kind == "facts"


def _bound(group: list[Row], groups: list[list[Row]]) -> None:
    """Drop items that stand beyond the next group of names to the right."""
    right = max(row.box.x1 for row in group)
    for other in groups:
        start = min(row.box.x0 for row in other)
        if other is group or start <= right:
            continue
        top, bottom = other[0].box.y0, other[-1].box.y1
        for row in group:
            if top <= row.box.middle_y <= bottom:
                row.items = [item for item in row.items if item.box.x0 < start]


def _columns(group: Sequence[Row]) -> list[Column]:
    """Return the columns that values of several rows stand in."""
    placed: list[tuple[int, Item]] = []
    for number, row in enumerate(group):
        placed += [(number, item) for item in row.items if item.fills_a_place or _is_fact(row)]
    columns = _columns_of_their_own(placed)
    own = {id(item) for column in columns for item in column.cells.values()}
    placed = [(number, item) for number, item in placed if id(item) not in own]
    for number, item in sorted(placed, key=lambda pair: pair[1].box.width):
        fits = [
            column
            for column in columns
            if min(column.x1, item.box.x1) - max(column.x0, item.box.x0)
            > 0.1 * min(item.box.width, column.x1 - column.x0)
        ]
        fits = [column for column in fits if number not in column.cells] or fits
        if fits:
            column = max(fits, key=lambda one: min(one.x1, item.box.x1) - max(one.x0, item.box.x0))
            if number in column.cells:
                continue
            if len(fits) == 1:
                column.x0, column.x1 = min(column.x0, item.box.x0), max(column.x1, item.box.x1)
        else:
            column = Column(item.box.x0, item.box.x1)
            columns.append(column)
        column.cells[number] = item
    return sorted(columns, key=lambda one: one.x0)


def _columns_of_their_own(placed: Sequence[tuple[int, Item]]) -> list[Column]:
    """Return columns that do not depend on place: values that say their kind, and only values.

    In a list of `name: value` the values start wherever the names end; where no row has two of
    them, they are one column.
    """
    columns: dict[str, Column] = {}
    plain = [(n, item) for n, item in placed if item.value and not item.role and not item.unit]
    numbers = [n for n, _ in plain]
    if len(numbers) == len(set(numbers)) and len(numbers) > 1:
        for number, item in plain:
            column = columns.setdefault("", Column(item.box.x0, item.box.x1))
            column.cells[number] = item
            column.x0, column.x1 = min(column.x0, item.box.x0), max(column.x1, item.box.x1)
    for number, item in placed:
        if item.role:
            column = columns.setdefault(item.role, Column(item.box.x0, item.box.x1, role=item.role))
            column.cells.setdefault(number, item)
    return list(columns.values())


def _headings(table: Table, sheet: Sheet) -> None:
    """Give each column the words that stand above it."""
    top = table.rows[0].box.y0
    left = min(row.box.x0 for row in table.rows)
    columns = table.columns
    if not columns:
        return
    right = max(column.x1 for column in columns)
    edge = top
    lines = [
        line
        for line in sheet.rows
        if line and max(item.box.y1 for item in line) <= top + 0.4 * sheet.letters
    ]
    blank = _usual_blank(table.rows)
    for count, line in enumerate(reversed(lines)):
        bottom = max(item.box.y1 for item in line)
        if count >= _HEADING_LINES or edge - bottom > max(1.5 * sheet.letters, 2.4 * blank):
            break
        inside = [
            item
            for item in line
            if item.box.x1 > left - sheet.letters and item.box.x0 < right + sheet.letters
        ]
        if not inside:
            continue
        usable = [item for item in inside if sheet.free(item)]
        over = _stands_over(inside, columns)
        if len(usable) < len(inside) and not over and not _is_fact_line(inside, left, sheet):
            break
        if _is_sentence(inside):
            break
        if _is_fact_line(inside, left, sheet) and not _identifies(inside[0]):
            inside = usable = []
        for item in inside if over else usable:
            _give(item, columns, table, sheet.letters)
            sheet.headings.add(id(item))
        edge = min(item.box.y0 for item in line)


def _usual_blank(rows: Sequence[Row]) -> float:
    """Return the usual blank between two rows."""
    gaps = [b.box.y0 - a.box.y1 for a, b in pairwise(rows)]
    return max(0.0, median(gaps)) if gaps else 0.0


def _is_fact_line(line: Sequence[Item], left: float, sheet: Sheet) -> bool:
    """Tell whether a line is a fact in the table's own column of names."""
    first = line[0]
    return (
        first.label is not None
        and first.label.kind == "facts"
        and abs(first.box.x0 - left) < 1.6 * sheet.letters
    )


def _identifies(name: Item) -> bool:
    """Tell whether a fact says which sample a column is."""
    return name.label is not None and name.label.key in ("label", "date", "date_weak")


def _stands_over(line: Sequence[Item], columns: Sequence[Column]) -> bool:
    """Tell whether a line of names and values is a heading: two or more of them over columns."""
    over: list[int] = []
    for item in line:
        whole = item.whole.box if item.whole else item.box
        hit = [at for at, column in enumerate(columns) if _shared(whole, column) > 0]
        if len(hit) == 1:
            over.append(hit[0])
        elif len(hit) > 1:
            return False
    apart = any(
        a.is_name and a.whole is None and not b.is_name and a.box.x1 > columns[0].x0
        for a, b in pairwise(line)
    )
    return len(set(over)) >= 2 and not apart


def _is_sentence(line: Sequence[Item]) -> bool:
    return any(len(item.text) > 70 or item.text.count(" ") > 11 for item in line)


def _shared(box: Box, column: Column) -> float:
    return min(box.x1, column.x1) - max(box.x0, column.x0)


def _give(item: Item, columns: Sequence[Column], table: Table, height: float) -> None:
    left = min(row.box.x0 for row in table.rows)
    right = max(row.box.x1 for row in table.rows)
    if item.box.x0 < left + 0.35 * (right - left):
        table.captions.append(item)
        return
    under = [column for column in columns if _shared(item.box, column) > 0]
    if not under:
        nearest = min(columns, key=lambda one: -_shared(item.box, one))
        away = -_shared(item.box, nearest)
        names_right = max(row.box.x1 for row in table.rows)
        if away < 2.5 * height and item.box.middle_x > names_right:
            under = [nearest]
    if not under:
        table.captions.append(item)
    for column in under:
        column.headings.append(item)


def _sections(table: Table, sheet: Sheet) -> None:
    """Give each row the headings within the table that stand over it."""
    left = min(row.box.x0 for row in table.rows)
    right = max(row.box.x1 for row in table.rows)
    texts = [
        item
        for line in sheet.rows
        for item in line
        if sheet.free(item)
        and item.box.x0 < right
        and item.box.x0 > left - 4 * sheet.letters
        and not item.value
    ]
    for row in table.rows:
        above = [
            item
            for item in texts
            if item.box.middle_y < row.box.y0 + 0.2 * sheet.letters
            and item.box.y0 > table.rows[0].box.y0 - 4.5 * sheet.letters
        ]
        row.section = sorted(above, key=lambda one: one.box.middle_y)[-2:]

"""From a document's cells to a proposed report: tables, columns, samples, units, facts, remarks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from lees.document.across import continued, tables_across
from lees.document.advice import advised_in
from lees.document.checks import check
from lees.document.columns import Slot, slots_of
from lees.document.conventions import Conventions, conventions_of, with_languages
from lees.document.facts import QUANTITIES, Facts, grade_in
from lees.document.items import Item
from lees.document.longform import parted
from lees.document.printed_units import Note, notes_of
from lees.document.prose import prose_results
from lees.document.prose_facts import facts_in_prose
from lees.document.records import Document, Limit, Quantity, Report, Result, Sample
from lees.document.results import Entry, limit_of, proposed
from lees.document.roles import CHANGE, FRESH, LOWER, MEAN, OWN, RANGE, SAMPLE, UPPER, role_of
from lees.document.samples import Gathered, current, gathered
from lees.document.tables import Row, Sheet, Table, sheet_of, tables_beside
from lees.document.trust import settle, unlike_a_report


@dataclass(slots=True)
class _Reading:
    """What the pages hold, before it becomes a report."""

    document: Document
    conventions: Conventions
    notes: list[Note]
    usual_distance: str | None
    facts: Facts = field(default_factory=Facts)
    slots: list[list[Slot]] = field(default_factory=list)
    across: Table | None = None


def understand(document: Document) -> Report:
    """Return what a document proposes, each result with its place and the trust it deserves."""
    sheets = [sheet_of(page) for page in document.pages]
    items = [item for sheet in sheets for line in sheet.rows for item in line]
    texts = [cell.text for page in document.pages for cell in page.cells]
    conventions = with_languages(conventions_of(items), " ".join(texts))
    reading = _Reading(document, conventions, notes_of(_note_lines(sheets)), _usual_distance(items))
    report = Report(document.kind, warnings=list(document.warnings))
    for sheet in sheets:
        _read_tables(sheet, reading)
    samples = gathered([[slot for slot in slots if slot.role == SAMPLE] for slots in reading.slots])
    _read_prose(sheets, reading, report, samples)
    told = facts_in_prose(sheets, conventions)
    reading.facts.dates += [] if reading.facts.dates else told.dates
    reading.facts.quantities = {**told.quantities, **reading.facts.quantities}
    _fill(report, samples, reading)
    report.advised_distance = _advised(sheets, reading, report)
    if reason := unlike_a_report(report, texts):
        return Report(document.kind, warnings=[*document.warnings, reason])
    check(report)
    settle(report)
    report.warnings += [one for one in reading.facts.warnings if one not in report.warnings]
    return report


def _note_lines(sheets: Sequence[Sheet]) -> list[str]:
    """Return the lines that hold no table, joined, for notes on units."""
    lines = []
    for sheet in sheets:
        for line in sheet.rows:
            lines += [" ".join(i.text for i in line)] * (not any(i.is_number for i in line))
    return lines


def _usual_distance(items: Iterable[Item]) -> str | None:
    """Return the unit of distance that the document uses, where it uses only one."""
    found = set()
    for item in items:
        for unit in (item.value.unit if item.value else None, item.unit[1] if item.unit else None):
            if unit in ("km", "mi"):
                found.add(unit)
        if item.label and item.label.kind == "facts" and item.label.unit in ("km", "mi"):
            found.add(item.label.unit)
    return found.pop() if len(found) == 1 else None


def _read_tables(sheet: Sheet, reading: _Reading) -> None:
    across = tables_across(sheet, least=3)
    if not across or min(row.box.y0 for table in across for row in table.rows) > 0:
        across = [*continued(sheet, reading.across), *across]
    beside = tables_beside(sheet)
    across += tables_across(sheet, least=1)
    reading.across = across[-1] if across else reading.across
    facts = [table for table in beside if _holds_facts(table)]
    measured = [table for table in (*beside, *across) if not _holds_facts(table)]
    measured.sort(key=lambda one: (min(row.box.y0 for row in one.rows), one.rows[0].box.x0))
    here: list[Slot] = []
    for table in measured:
        for part, told in parted(table, sheet):
            before = here or (reading.slots[-1] if reading.slots else [])
            slots = slots_of(part, before)
            for slot in slots:
                for row, item in told:
                    _tell(slot, row, item)
            _facts_in_table(part, slots)
            reading.slots.append(slots)
            here = here + slots
    for table in facts:
        if all(id(row.name) in sheet.headings for row in table.rows):
            continue
        columns = _columns_of_facts(table, here)
        if columns:
            reading.slots.append(columns)
        else:
            _read_facts(table, here, reading)


def _columns_of_facts(table: Table, here: Sequence[Slot]) -> list[Slot]:
    """Return the columns of a table of facts alone, where each is about a sample of its own."""
    wide = [column for column in table.columns if column.cells]
    full = [row for row in table.rows if sum(1 for i in row.items if i.value or i.date) >= 2]
    if len(wide) < 2 or not full or any(_slot_over(i, here) for row in full for i in row.items):
        return []
    slots = [slot for slot in slots_of(table, []) if len(slot.column.cells) >= 0.5 * len(full)]
    if len(slots) < 2 or sum(1 for slot in slots if slot.date or slot.label) < 2:
        for slot in slots:
            for number, item in slot.column.cells.items():
                if table.rows[number].key in ("label", "date", "date_weak"):
                    _tell(slot, table.rows[number], item)
    if sum(1 for slot in slots if slot.date or slot.label) < 2:
        return []
    for slot in slots:
        slot.role = SAMPLE
        slot.facts.clear()
        for number, item in slot.column.cells.items():
            if item.value or item.date or table.rows[number].key == "label":
                _tell(slot, table.rows[number], item)
    return slots


def _holds_facts(table: Table) -> bool:
    return all(row.name.label and row.name.label.kind == "facts" for row in table.rows)


def _facts_in_table(table: Table, slots: Sequence[Slot]) -> None:
    """Give each column the facts that stand in it."""
    for slot in slots:
        for number, item in slot.column.cells.items():
            row = table.rows[number]
            if row.name.label and row.name.label.kind == "facts":
                _tell(slot, row, item)


def _tell(slot: Slot, row: Row, item: Item) -> None:
    """Give a column a fact, which may say which sample it is or that it is none."""
    slot.facts.append((row.key, row, item))
    if row.key in ("date", "date_weak"):
        slot.date = slot.date or item.date
    elif row.key == "label":
        role = role_of(item.text)
        if role in (MEAN, OWN, UPPER, LOWER, FRESH):
            slot.role = role
        elif not item.date and slot.label is None:
            slot.label = item.text.strip()


def _read_facts(table: Table, here: Sequence[Slot], reading: _Reading) -> None:
    """Give facts to the samples they stand in line with, or to the whole document."""
    samples = [slot for slot in here if slot.role == SAMPLE and not slot.table.across]
    for row in table.rows:
        hits = [(item, _slot_over(item, samples)) for item in row.items]
        hits = [(item, slot) for item, slot in hits if slot is not None]
        if len(hits) >= 2 or (len(hits) == 1 and _adjoins(row, hits[0][1])):
            for item, slot in hits:
                if slot is not None:
                    _tell(slot, row, item)
        elif row.items:
            item = next((one for one in row.items if one.value or one.date), row.items[0])
            if row.key in ("oil", "engine", "label", "grade"):
                item = row.items[0]
            reading.facts.read(row, item, table.page, reading.conventions, reading.usual_distance)


def _slot_over(item: Item, samples: Sequence[Slot]) -> Slot | None:
    over = [
        slot
        for slot in samples
        if min(slot.column.x1, item.box.x1) - max(slot.column.x0, item.box.x0) > 0
    ]
    return over[0] if len(over) == 1 else None


def _adjoins(row: Row, slot: Slot | None) -> bool:
    """Tell whether a fact stands in the same table as a column of results."""
    if slot is None:
        return False
    rows = slot.table.rows
    near = min(abs(row.box.y0 - rows[-1].box.y1), abs(rows[0].box.y0 - row.box.y1))
    aligned = abs(row.box.x0 - rows[0].box.x0) < 1.6 * row.box.height
    return aligned and near < 2.2 * row.box.height


def _read_prose(
    sheets: Sequence[Sheet], reading: _Reading, report: Report, samples: list[Gathered]
) -> None:
    """Read results in running text where tables have none of them."""
    known = {row.key for slots in reading.slots for slot in slots for row in slot.table.rows}
    found, means = prose_results(sheets, reading.conventions, reading.notes)
    fresh = {key: one for key, one in found.items() if key not in known}
    if fresh and len(samples) <= 1 and (len(fresh) >= 2 or samples):
        if not samples:
            samples.append(Gathered())
        report.samples = [Sample(results=fresh)]
        report.reference = {key: one for key, one in means.items() if key not in known}


def _fill(report: Report, samples: Sequence[Gathered], reading: _Reading) -> None:
    prose = report.samples[0].results if report.samples else {}
    report.samples = []
    for sample in samples:
        one = Sample()
        for slot in sample.slots:
            for entry in _entries(slot):
                _add(one, proposed(entry, reading.conventions, reading.notes))
            for _, row, item in slot.facts:
                sample.facts.read(
                    row, item, slot.table.page, reading.conventions, reading.usual_distance
                )
        report.samples.append(one)
    if samples:
        main = current(samples)
        for one, sample in zip(report.samples, samples, strict=True):
            _state(one, sample.facts, sample, reading)
            if sample is main:
                one.results = {**prose, **one.results}
                _state(one, reading.facts, sample, reading)
    for slots in reading.slots:
        for slot in slots:
            _fill_beside(report, slot, reading)
    _name(report, reading)
    report.samples = [one for one in report.samples if one.results] or report.samples[:0]


def _entries(slot: Slot) -> list[Entry]:
    found = []
    for number, item in slot.column.cells.items():
        row = slot.table.rows[number]
        label = row.name.label
        if label is None or label.kind != "measurands" or item.value is None:
            continue
        found.append(
            Entry(row, item, slot, _beside(slot, number, "unit"), _beside(slot, number, "method"))
        )
    return found


def _beside(slot: Slot, number: int, what: str) -> list[Item]:
    """Return the units or methods that stand in the row of a result."""
    row = slot.table.rows[number]
    items = (
        row.items
        if not slot.table.across
        else [column.cells[number] for column in slot.table.columns if number in column.cells]
    )
    if what == "unit":
        return [item for item in items if item.unit and not item.value]
    return [item for item in items if item.method]


def _add(sample: Sample, result: Result | None) -> None:
    if result is None:
        return
    if result.key not in sample.results:
        sample.results[result.key] = result
        return
    first = sample.results[result.key]
    if (first.value, first.qualifier, first.unit) == (result.value, result.qualifier, result.unit):
        return
    if first.method == result.method:
        first.doubt(0.6, f"The page gives it twice: {first.text} and {result.text}.")
    sample.also.append(result)


def _fill_beside(report: Report, slot: Slot, reading: _Reading) -> None:
    groups = {MEAN: report.reference, OWN: report.own_mean, FRESH: report.fresh}
    for entry in _entries(slot):
        if slot.role in groups:
            result = proposed(entry, reading.conventions, reading.notes)
            if result is not None and result.value is not None:
                groups[slot.role].setdefault(result.key, result)
        elif slot.role == CHANGE:
            value = entry.item.value
            change = proposed(entry, reading.conventions, reading.notes)
            if (
                change is not None
                and change.value is not None
                and value
                and not value.percent_change
            ):
                report.changes.setdefault(change.key, change.value)
        elif slot.role in (UPPER, LOWER, RANGE):
            limit = limit_of(entry, reading.conventions, reading.notes)
            if limit is not None:
                key, bound = limit
                report.limits[key] = (
                    bound if key not in report.limits else _joined(report.limits[key], bound)
                )


def _joined(one: Limit, other: Limit) -> Limit:
    low = one.low if other.low is None else other.low
    high = one.high if other.high is None else other.high
    text = one.text if other.text in one.text else f"{one.text} … {other.text}"
    return replace(one, low=low, high=high, text=text)


def _state(sample: Sample, facts: Facts, gathered_: Gathered, reading: _Reading) -> None:
    """Write facts into a sample where it has none yet."""
    order = reading.conventions.day_order
    if sample.date is None:
        printed = (
            gathered_.printed_dates()
            if facts is gathered_.facts
            else [*facts.dates, *facts.weak_dates]
        )
        if printed:
            day = printed[0].settled(order)
            if day is not None:
                sample.date = day.isoformat()
            else:
                swapped = " or ".join(one.isoformat() for one in printed[0].readings)
                reading.facts.warnings.append(
                    f"The date {printed[0].text} can be read as {swapped}; type the right one."
                )
    if sample.label is None:
        names = gathered_.names() if facts is gathered_.facts else facts.labels
        sample.label = names[0] if names else None
    for name in QUANTITIES:
        if getattr(sample, name) is None and name in facts.quantities:
            setattr(sample, name, facts.quantities[name])
    for name in ("oil", "engine"):
        if getattr(sample, name) is None and name in facts.texts:
            setattr(sample, name, facts.texts[name])
    if sample.grade is None:
        sample.grade = next(
            (
                g
                for t in (facts.texts.get("grade", ""), facts.texts.get("oil", ""))
                if (g := grade_in(t))
            ),
            None,
        )


def _name(report: Report, reading: _Reading) -> None:
    facts = reading.facts
    for name in ("oil", "grade", "engine"):
        said = next((getattr(one, name) for one in report.samples if getattr(one, name)), None)
        setattr(report, name, said if said is not None else facts.texts.get(name))
    if report.grade and (short := grade_in(report.grade)):
        report.grade = short
    if report.grade is None:
        grades = {
            grade
            for page in reading.document.pages
            for cell in page.cells
            if (grade := grade_in(cell.text)) and "W" in grade
        }
        report.grade = grades.pop() if len(grades) == 1 else None


def _advised(sheets: Sequence[Sheet], reading: _Reading, report: Report) -> Quantity | None:
    found, warning = advised_in(sheets, reading.facts.advised, reading.conventions)
    if warning:
        report.warnings.append(warning)
    return found

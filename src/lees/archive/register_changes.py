"""What is kept of an engine, an owner, an oil, a filter or an instrument, apart from its cases."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel
from sqlalchemy import Connection, Row, func, insert, select, update

from lees.archive.archive import Archive, Turn, written
from lees.archive.cases import Stored, case_row
from lees.archive.changes import State, applied, differences, overlap, taken_back
from lees.archive.errors import CannotUndo, ChangedMeanwhile, NotFound
from lees.archive.history import Act, Deed, Subject, changes_since, record
from lees.archive.tables import REGISTERS, cases, instruments, zero_checks
from lees.archive.words import key_of
from lees.case.model import Consent, Engine, Filter, InstrumentSheet, Oil, Owner
from lees.errors import LeesError, printable
from lees.quantity.entry import parse_entry

MODELS: dict[str, type[BaseModel]] = {
    "engine": Engine,
    "owner": Owner,
    "oil": Oil,
    "filter": Filter,
    "instrument": InstrumentSheet,
}


class NameStays(LeesError):
    """A register's name is what its cases call it by, and is changed there."""

    def __init__(self, kind: str) -> None:
        super().__init__(
            f"The name of an {kind} is what its cases call it by; change it in the cases."
            if kind[0] in "aeiou"
            else f"The name of a {kind} is what its cases call it by; change it in the cases."
        )


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing of a register, with the number of its cases on the shelf."""

    kind: str
    ref: str
    name: str
    entered: dict[str, Any]
    version: int
    changed_at: str
    cases: int


@dataclass(frozen=True, slots=True)
class ZeroCheck:
    """What an instrument showed at zero, and when; `case` where it was noted with a case."""

    checked: str
    zero: str
    zero_mm: float | None
    case: str | None


def entries(archive: Archive, kind: str) -> tuple[Entry, ...]:
    """Return the things of a register by name, each with the number of its cases."""
    table = REGISTERS[kind]
    query = select(table, _cases_of(kind)).order_by(table.c.key)
    with archive.database.reading() as connection:
        return tuple(_entry(kind, row) for row in connection.execute(query))


def entry(archive: Archive, kind: str, name: str) -> Entry:
    """Return one thing of a register by its name or reference; raise `NotFound`."""
    with archive.database.reading() as connection:
        row = _row(connection, kind, name)
        number = connection.execute(
            select(_cases_of(kind)).where(REGISTERS[kind].c.id == row.id)
        ).scalar_one()
        return Entry(
            kind, row.ref, row.name, json.loads(row.entered), row.version, row.changed_at, number
        )


def change_entry(
    archive: Archive, kind: str, name: str, changes: Mapping[str, Any], *, seen: int
) -> Stored:
    """Change what is kept of a thing, as `change_case` does with a case."""
    if any(overlap(path, "/name") for path in changes):
        raise NameStays(kind)

    def act(turn: Turn) -> Stored:
        row = _row(turn.connection, kind, name, lock=True)
        if row.version != seen:
            for later in changes_since(turn.connection, kind, row.ref, seen):
                for change in later.changes:
                    for path in changes:
                        if overlap(change.path, path):
                            field = path.strip("/").replace("/", ".")
                            raise ChangedMeanwhile(field, later.who, later.at)
        return _rewrite(
            turn, kind, row, applied(json.loads(row.entered), changes.items()), Act("changed")
        )

    return archive.write(act)


def undo_register(turn: Turn, done: Deed, act: Act) -> Stored:
    """Take back a change of a register's thing within a writer's turn."""
    row = _row(turn.connection, done.kind, done.ref, lock=True)
    if not done.changes:
        raise CannotUndo(f"Line {done.id} of the history changed no field.")
    state = taken_back(json.loads(row.entered), done.changes)
    return _rewrite(turn, done.kind, row, state, act)


def note_zero(archive: Archive, instrument: str, zero: str, *, checked: str) -> None:
    """Note what an instrument shows at zero on a date, apart from any case."""
    entry_ = parse_entry(zero, "length", default="mm")

    def act(turn: Turn) -> None:
        row = _row(turn.connection, "instrument", instrument, lock=True)
        values = {
            "instrument_id": row.id,
            "checked": checked,
            "zero": zero,
            "zero_mm": entry_.to("mm"),
        }
        turn.connection.execute(insert(zero_checks).values(values))
        record(turn, Act(f"zero {printable(zero)}"), Subject("instrument", row.ref, row.version))

    archive.write(act)


def zeros(archive: Archive, instrument: str) -> tuple[ZeroCheck, ...]:
    """Return the zero checks of an instrument over time, oldest first."""
    with archive.database.reading() as connection:
        row = _row(connection, "instrument", instrument)
        found = connection.execute(
            select(zero_checks.c.checked, zero_checks.c.zero, zero_checks.c.zero_mm, cases.c.ref)
            .outerjoin(cases, cases.c.id == zero_checks.c.case_id)
            .where(zero_checks.c.instrument_id == row.id)
            .order_by(zero_checks.c.checked, zero_checks.c.id)
        )
        return tuple(ZeroCheck(*zero) for zero in found)


def consent(archive: Archive, ref: str) -> Consent:
    """Return what may be shown of a case: what it says, or less where its owner took it back."""
    with archive.database.reading() as connection:
        row = case_row(connection, ref)
        given = Consent.model_validate(json.loads(row.entered).get("owner", {}).get("consent", {}))
        owners = REGISTERS["owner"]
        kept = connection.execute(
            select(owners.c.entered).where(owners.c.id == row.owner_id)
        ).scalar()
    said = json.loads(kept).get("consent") if kept else None
    if said is None:
        return given
    owners_own = Consent.model_validate(said)
    return Consent(
        name=given.name and owners_own.name,
        pictures=given.pictures and owners_own.pictures,
        plate=given.plate and owners_own.plate,
    )


def _rewrite(turn: Turn, kind: str, row: Row[Any], entered: State, act: Act) -> Stored:
    model = MODELS[kind].model_validate(entered)
    after = model.model_dump(mode="json", by_alias=True, exclude_unset=True)
    changes = differences(json.loads(row.entered), after)
    if not changes:
        return Stored(row.ref, row.version, added=False)
    table = REGISTERS[kind]
    turn.connection.execute(
        update(table)
        .where(table.c.id == row.id)
        .values(entered=written(after), version=row.version + 1, changed_at=turn.now)
    )
    record(turn, act, Subject(kind, row.ref, row.version + 1), changes)
    return Stored(row.ref, row.version + 1, added=False)


def _row(connection: Connection, kind: str, name: str, *, lock: bool = False) -> Row[Any]:
    table = REGISTERS[kind]
    query = select(table).where((table.c.ref == name) | (table.c.key == key_of(name)))
    row = connection.execute(query.with_for_update() if lock else query).first()
    if row is None:
        raise NotFound(kind, name)
    return row


def _cases_of(kind: str) -> Any:
    """Return the count of the cases on the shelf that point to a row."""
    table = REGISTERS[kind]
    if table is instruments:
        of_checks = zero_checks.c.instrument_id == table.c.id
        counted = select(func.count(func.distinct(zero_checks.c.case_id))).where(of_checks)
    else:
        points = cases.c[f"{kind}_id"] == table.c.id
        counted = select(func.count(cases.c.id)).where(points, cases.c.binned_at.is_(None))
    return counted.scalar_subquery().label("cases")


def _entry(kind: str, row: Row[Any]) -> Entry:
    return Entry(
        kind, row.ref, row.name, json.loads(row.entered), row.version, row.changed_at, row.cases
    )

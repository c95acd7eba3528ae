"""Who changed what and when: written with each change in its transaction, never rewritten."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, Select, insert, select

from lees.archive.archive import Archive, Turn, written
from lees.archive.changes import Change, from_json
from lees.archive.errors import NotFound
from lees.archive.tables import history, users


@dataclass(frozen=True, slots=True)
class Deed:
    """One line of the history."""

    id: int
    at: str
    who: str
    act: str
    kind: str
    ref: str
    version: int
    changes: tuple[Change, ...]
    undoes: int | None


@dataclass(frozen=True, slots=True)
class Act:
    """What is done, in a word, and which line of the history it takes back, if it does."""

    name: str
    undoes: int | None = None


@dataclass(frozen=True, slots=True)
class Subject:
    """What something is done to, and its version afterwards."""

    kind: str
    ref: str
    version: int


def record(turn: Turn, act: Act, subject: Subject, changes: Iterable[Change] = ()) -> None:
    """Write a line into the history."""
    turn.connection.execute(
        insert(history),
        {
            "at": turn.now,
            "user_id": turn.archive.user.id,
            "act": act.name,
            "kind": subject.kind,
            "ref": subject.ref,
            "version": subject.version,
            "changes": written([change.as_json() for change in changes]),
            "undoes": act.undoes,
        },
    )


def deeds(
    archive: Archive, *, kind: str | None = None, ref: str | None = None, limit: int = 50
) -> tuple[Deed, ...]:
    """Return the latest lines of the history, the latest first; of one thing where it is named."""
    query = _lines().order_by(history.c.id.desc()).limit(limit)
    if kind is not None:
        query = query.where(history.c.kind == kind)
    if ref is not None:
        query = query.where(history.c.ref == ref)
    with archive.database.reading() as connection:
        return _read(connection, query)


def deed(connection: Connection, line: int) -> Deed:
    """Return one line of the history; raise `NotFound`."""
    found = _read(connection, _lines().where(history.c.id == line))
    if not found:
        raise NotFound("line of the history", str(line))
    return found[0]


def changes_since(connection: Connection, kind: str, ref: str, version: int) -> tuple[Deed, ...]:
    """Return what was done to one thing after a version of it, oldest first."""
    query = _lines().where(
        history.c.kind == kind, history.c.ref == ref, history.c.version > version
    )
    return _read(connection, query.order_by(history.c.version))


def _lines() -> Select[tuple[object, ...]]:
    return select(history, users.c.name).join(users, users.c.id == history.c.user_id)


def _read(connection: Connection, query: Select[tuple[object, ...]]) -> tuple[Deed, ...]:
    return tuple(
        Deed(
            row.id,
            row.at,
            row.name,
            row.act,
            row.kind,
            row.ref,
            row.version,
            tuple(from_json(change) for change in json.loads(row.changes)),
            row.undoes,
        )
        for row in connection.execute(query)
    )

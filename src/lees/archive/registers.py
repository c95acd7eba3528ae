"""Engines, owners, oils, filters and instruments: things that many cases share, known by name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel
from sqlalchemy import Connection, Table, select
from sqlalchemy.dialects import postgresql, sqlite

from lees.archive.archive import Turn, written
from lees.archive.tables import REGISTERS
from lees.archive.words import key_of
from lees.case.model import Case


@dataclass(frozen=True, slots=True)
class Named:
    """A thing of a register as a case names it."""

    kind: str
    name: str
    entered: dict[str, Any]


def named_in(case: Case) -> tuple[Named, ...]:
    """Return what a case names, in the order in which registers are always written.

    One order for all writers: two of them that store cases of the same engines and oils wait for
    each other in turn and never in a ring.
    """
    found = [
        _named("engine", case.engine.name, case.engine),
        _named("owner", case.owner.name, case.owner, without=("consent",)),
        _named("oil", case.oil.name, case.oil),
    ]
    if case.filter is not None:
        found.append(_named("filter", case.filter.name, case.filter, only=("name", "claims")))
    found += [
        _named("instrument", name, sheet, without=("zero", "checked"))
        for name, sheet in sorted(case.instruments.items(), key=lambda item: key_of(item[0]))
    ]
    return tuple(one for one in found if one is not None)


def enter(turn: Turn, named: Named) -> int:
    """Return the row of a thing, made from this case where it is the first that names it."""
    table = REGISTERS[named.kind]
    key = key_of(named.name)
    query = select(table.c.id).where(table.c.key == key)
    found = turn.connection.execute(query).scalar()
    if found is None:
        row = {
            "ref": turn.archive.hands.token(),
            "name": named.name,
            "key": key,
            "entered": written(named.entered),
            "version": 1,
            "added_at": turn.now,
            "changed_at": turn.now,
        }
        insert_if_new(turn.connection, table, row)
        found = turn.connection.execute(query).scalar_one()
    return int(found)


def insert_if_new(connection: Connection, table: Table, rows: Any) -> None:
    """Insert rows, leaving out those that are there already."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    connection.execute(dialect.insert(table).on_conflict_do_nothing(), rows)


def _named(
    kind: str,
    name: str | None,
    part: BaseModel,
    *,
    only: tuple[str, ...] = (),
    without: tuple[str, ...] = (),
) -> Named | None:
    if not name or not key_of(name):
        return None
    entered = part.model_dump(
        mode="json",
        by_alias=True,
        exclude_defaults=True,
        include=set(only) or None,
        exclude=set(without) or None,
    )
    return Named(kind, name, entered)

"""Several cases, engines, oils or filters side by side, field by field, with every value."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, select

from lees.archive.archive import Archive
from lees.archive.errors import NotFound
from lees.archive.tables import REGISTERS, cases, facts, fields
from lees.archive.words import key_of

COMPARED = ("case", "engine", "oil", "filter", "owner")


@dataclass(frozen=True, slots=True)
class Value:
    """One entry in a comparison: its case, the text as typed, its number in the row's unit."""

    case: str
    entered: str
    number: float | None
    qualifier: str | None


@dataclass(frozen=True, slots=True)
class Row:
    """One field of a comparison: for each thing compared all its values, none where it has none."""

    field: str
    unit: str | None
    values: tuple[tuple[Value, ...], ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Things side by side; `names` stand over the values of each row."""

    kind: str
    names: tuple[str, ...]
    cases: tuple[int, ...]
    rows: tuple[Row, ...]


def compare(archive: Archive, kind: str, names: tuple[str, ...]) -> Comparison:
    """Put cases (by reference), engines, oils, filters or owners (by name) side by side.

    Raises `NotFound` for a thing that is not there.
    """
    with archive.database.reading() as connection:
        groups: dict[int, int] = {}
        titles = []
        for place, name in enumerate(names):
            title, members = _members(connection, kind, name)
            titles.append(title)
            groups |= dict.fromkeys(members, place)
        query = (
            select(
                facts.c.case_id,
                cases.c.ref,
                fields.c.name,
                fields.c.unit,
                facts.c.entered,
                facts.c.number,
                facts.c.qualifier,
            )
            .join(fields, fields.c.id == facts.c.field_id)
            .join(cases, cases.c.id == facts.c.case_id)
            .where(facts.c.case_id.in_(groups))
            .order_by(fields.c.name, facts.c.case_id, facts.c.ordinal)
        )
        table: dict[tuple[str, str | None], list[list[Value]]] = defaultdict(
            lambda: [[] for _ in names]
        )
        for row in connection.execute(query):
            value = Value(row.ref, row.entered, row.number, row.qualifier)
            table[row.name, row.unit][groups[row.case_id]].append(value)
    rows = tuple(
        Row(field, unit, tuple(tuple(column) for column in columns))
        for (field, unit), columns in table.items()
    )
    counts = tuple(sum(1 for place in groups.values() if place == k) for k in range(len(names)))
    return Comparison(kind, tuple(titles), counts, rows)


def _members(connection: Connection, kind: str, name: str) -> tuple[str, list[int]]:
    """Return a thing's name and the cases on the shelf that it stands for."""
    if kind == "case":
        row = connection.execute(
            select(cases.c.id, cases.c.title).where(cases.c.ref == name)
        ).one_or_none()
        if row is None:
            raise NotFound(kind, name)
        return row.title, [row.id]
    table = REGISTERS[kind]
    thing = connection.execute(
        select(table.c.id, table.c.name).where(
            (table.c.key == key_of(name)) | (table.c.ref == name)
        )
    ).first()
    if thing is None:
        raise NotFound(kind, name)
    of_thing = select(cases.c.id).where(
        cases.c[f"{kind}_id"] == thing.id, cases.c.binned_at.is_(None)
    )
    return thing.name, list(connection.execute(of_thing).scalars())

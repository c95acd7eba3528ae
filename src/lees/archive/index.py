"""What a case is found by, written beside it in the same transaction: facts, fill, words, zeros."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, Text, bindparam, cast, delete, func, insert, select
from sqlalchemy.dialects.postgresql import ARRAY

from lees.archive.archive import Turn
from lees.archive.database import Database, Field
from lees.archive.facts import Fact, facts_of, texts_of
from lees.archive.registers import enter, insert_if_new, named_in
from lees.archive.tables import facts, fields, fills, search_postgresql, search_sqlite, zero_checks
from lees.archive.words import key_of, words_of
from lees.case.model import Case


@dataclass(frozen=True, slots=True)
class Links:
    """The rows of the registers that a case points to."""

    engine_id: int | None
    owner_id: int | None
    oil_id: int | None
    filter_id: int | None
    instruments: dict[str, int]

    def columns(self) -> dict[str, int | None]:
        """Return the links as columns of the table of cases."""
        return {
            "engine_id": self.engine_id,
            "owner_id": self.owner_id,
            "oil_id": self.oil_id,
            "filter_id": self.filter_id,
        }


def links_of(turn: Turn, case: Case) -> Links:
    """Return the rows that a case points to, made where they are new."""
    one: dict[str, int] = {}
    instruments: dict[str, int] = {}
    for named in named_in(case):
        row = enter(turn, named)
        if named.kind == "instrument":
            instruments[named.name] = row
        else:
            one[named.kind] = row
    return Links(
        one.get("engine"), one.get("owner"), one.get("oil"), one.get("filter"), instruments
    )


def write_index(turn: Turn, case_id: int, case: Case, links: Links) -> None:
    """Write all that a case is found by."""
    connection = turn.connection
    connection.execute(insert(fills), _fill(case_id, case, links))
    found = facts_of(case)
    known = _fields(connection, turn.archive.database, found)
    if found:
        connection.execute(insert(facts), [_row(case_id, known, fact) for fact in found])
    zeros = list(_zeros(case_id, case, links))
    if zeros:
        connection.execute(insert(zero_checks), zeros)
    write_words(connection, case_id, texts_of(case))


def clear_index(connection: Connection, case_id: int) -> None:
    """Take away all that a case is found by."""
    for table in (fills, facts, zero_checks):
        connection.execute(delete(table).where(table.c.case_id == case_id))
    postgresql = connection.dialect.name == "postgresql"
    words = search_postgresql if postgresql else search_sqlite
    key = words.c.case_id if postgresql else words.c.rowid
    connection.execute(delete(words).where(key == case_id))


def write_words(connection: Connection, case_id: int, texts: Iterable[str]) -> None:
    """Write the words by which a case is searched."""
    words = words_of(*texts)
    if connection.dialect.name == "postgresql":
        vector = func.array_to_tsvector(cast(list(words), ARRAY(Text)))
        row = insert(search_postgresql).values(case_id=case_id, words=vector)
    else:
        row = insert(search_sqlite).values(rowid=case_id, words=" ".join(words))
    connection.execute(row)


def _fill(case_id: int, case: Case, links: Links) -> dict[str, Any]:
    run = case.fill.run
    return {
        "case_id": case_id,
        "engine_id": links.engine_id,
        "oil_id": links.oil_id,
        "poured": case.fill.poured.isoformat() if case.fill.poured else None,
        "drained": case.fill.drained.isoformat() if case.fill.drained else None,
        "distance_km": run.distance_km if run else None,
        "hours": run.engine_hours if run else None,
        "months": run.months if run else None,
    }


def _fields(
    connection: Connection, database: Database, found: tuple[Fact, ...]
) -> dict[str, Field]:
    """Return the fields by name; what was committed earlier is remembered."""
    known = database.fields
    wanted = {fact.field: fact.unit for fact in found if fact.field not in known}
    if wanted:
        query = select(fields.c.name, fields.c.id, fields.c.unit).where(
            fields.c.name.in_(bindparam("names", expanding=True))
        )
        names = {"names": sorted(wanted)}
        known.update(_known(connection.execute(query, names)))
        new = [{"name": n, "unit": u} for n, u in sorted(wanted.items()) if n not in known]
        if new:
            insert_if_new(connection, fields, new)
            known.update(_known(connection.execute(query, names)))
    return known


def _known(rows: Iterable[Any]) -> Iterator[tuple[str, Field]]:
    return ((row.name, Field(row.id, row.unit)) for row in rows)


def _row(case_id: int, known: dict[str, Field], fact: Fact) -> dict[str, Any]:
    """Return a fact's row; a number in another unit than its field's is not one to sort by."""
    field = known[fact.field]
    comparable = fact if fact.unit == field.unit else replace(fact, number=None, step=None)
    return {
        "case_id": case_id,
        "field_id": field.id,
        "ordinal": fact.ordinal,
        "entered": fact.entered,
        "number": comparable.number,
        "step": comparable.step,
        "qualifier": fact.qualifier,
        "key": comparable.key,
    }


def _zeros(case_id: int, case: Case, links: Links) -> Iterable[dict[str, Any]]:
    """Give the zero readings that a case records, dated by its check or by its draining."""
    for name, sheet in case.instruments.items():
        when = sheet.checked or case.fill.drained
        if sheet.zero is None or when is None or not key_of(name):
            continue
        yield {
            "case_id": case_id,
            "instrument_id": links.instruments[name],
            "checked": when.isoformat(),
            "zero": sheet.zero.text,
            "zero_mm": sheet.zero.to("mm"),
        }

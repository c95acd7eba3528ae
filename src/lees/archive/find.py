"""Which cases there are: listed, searched, filtered and sorted by any field, a page at a time.

A page is found by walking an index from where the last one ended, so that the first and the
thousandth page of a hundred thousand cases cost the same.
"""

from __future__ import annotations

import operator
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    and_,
    cast,
    exists,
    func,
    literal,
    select,
    text,
    tuple_,
)
from sqlalchemy.dialects.postgresql import TSQUERY

from lees.archive.archive import Archive
from lees.archive.errors import NotAField
from lees.archive.tables import (
    case_files,
    cases,
    engines,
    facts,
    fields,
    fills,
    filters,
    oils,
    search_postgresql,
    search_sqlite,
)
from lees.archive.words import key_of, words_of
from lees.errors import LeesError, WrongEntry, printable
from lees.quantity.entry import parse_entry
from lees.quantity.units import unit


class WrongFilter(LeesError):
    """A condition that cannot be understood."""


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition on a field, such as `fill.run.distance >= 10 000 mi`.

    `sign` is one of `=`, `<`, `<=`, `>`, `>=`, `~` (contains), `?` (is there).
    """

    field: str
    sign: str
    value: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of the shelf: words, conditions, an order, and where the last page ended.

    `sort` is a field, `changed` or `added`; a leading `-` turns the order round. Cases without the
    field come last.
    """

    words: str = ""
    conditions: tuple[Condition, ...] = ()
    sort: str = "-changed"
    after: tuple[Any, ...] | None = None
    limit: int = 50
    binned: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """One case on the shelf; `sorted_by` is its entry in the field that the shelf is sorted by."""

    ref: str
    title: str
    engine: str | None
    oil: str | None
    filter: str | None
    drained: str | None
    distance_km: float | None
    hours: float | None
    pictures: int
    changed_at: str
    sorted_by: str | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """A page of the shelf; `next` is where the following one starts, or nothing at the end."""

    cases: tuple[Found, ...]
    next: tuple[Any, ...] | None


@dataclass(frozen=True, slots=True)
class Place:
    """Where a case stands in an order, and its entry in the field of that order."""

    where: tuple[Any, ...]
    case_id: int
    entered: str | None = None


WITH, WITHOUT = "with", "without"
SIGNS = {
    "=": operator.eq,
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}
_COLUMNS = {"changed": cases.c.changed_at, "added": cases.c.id}


def find(archive: Archive, question: Question) -> Page:
    """Return a page of the cases that a question asks for."""
    with archive.database.reading() as connection:
        name = question.sort.lstrip("-")
        if question.words.strip() and question.sort == "-changed":
            rows = _by_words(connection, question)
        elif name in _COLUMNS:
            rows = _by_column(connection, question, _COLUMNS[name])
        else:
            rows = _by_field(connection, question, _field(connection, name))
        return _page(connection, rows, question)


def count(archive: Archive, question: Question) -> int:
    """Return how many cases a question asks for."""
    with archive.database.reading() as connection:
        query = select(func.count()).select_from(cases).where(*_where(connection, question))
        return int(connection.execute(query).scalar_one())


def field_names(archive: Archive) -> tuple[tuple[str, str | None], ...]:
    """Return every field that cases have, with its unit."""
    with archive.database.reading() as connection:
        rows = connection.execute(select(fields.c.name, fields.c.unit).order_by(fields.c.name))
        return tuple((row.name, row.unit) for row in rows)


def condition(text_: str) -> Condition:
    """Understand a condition as typed.

    >>> condition("fill.run.distance >= 10 000 mi")
    Condition(field='fill.run.distance', sign='>=', value='10 000 mi')
    """
    for sign in ("<=", ">=", "=", "<", ">", "~"):
        field, found, value = text_.partition(sign)
        if found and field.strip() and value.strip():
            return Condition(field.strip(), sign, value.strip())
    if text_.strip().endswith("?"):
        return Condition(text_.strip()[:-1].strip(), "?")
    raise WrongFilter(
        f"“{printable(text_)}” is no condition; write for example “fill.run.distance >= 10000 km”, "
        "“oil.name ~ quay” or “report?”."
    )


def _where(connection: Connection, question: Question) -> list[ColumnElement[bool]]:
    binned = cases.c.binned_at
    where: list[ColumnElement[bool]] = [
        binned.is_not(None) if question.binned else binned.is_(None)
    ]
    if words := words_of(question.words):
        where.append(cases.c.id.in_(_matching(connection, words)))
    where += [_holds(connection, condition) for condition in question.conditions]
    return where


def _matching(connection: Connection, words: tuple[str, ...]) -> Select[tuple[int]]:
    """Return the cases that have words beginning with each of some."""
    if connection.dialect.name == "postgresql":
        query = " & ".join(f"'{word}':*" for word in words)
        rows = search_postgresql.c
        return select(rows.case_id.label("id")).where(
            rows.words.op("@@")(cast(literal(query), TSQUERY))
        )
    query = " AND ".join(f'"{word}"*' for word in words)
    match = text("search MATCH :words").bindparams(words=query)
    return select(search_sqlite.c.rowid.label("id")).where(match)


def _holds(connection: Connection, condition: Condition) -> ColumnElement[bool]:
    row = _field(connection, condition.field)
    fact = facts.alias().c
    mine = exists().where(fact.case_id == cases.c.id, fact.field_id == row.id).correlate(cases)
    if condition.sign == "?":
        return mine
    if condition.sign == "~":
        return mine.where(fact.key.contains(key_of(condition.value), autoescape=True))
    compare = SIGNS[condition.sign]
    if row.unit is not None:
        return mine.where(compare(fact.number, _number(condition.value, row.unit)))
    return mine.where(compare(fact.key, key_of(condition.value)))


def _number(value: str, symbol: str) -> float:
    """Return a condition's number in its field's unit; a bare number is in that unit."""
    try:
        return parse_entry(value, unit(symbol).dimension.name, default=symbol).to(symbol)
    except WrongEntry as error:
        raise WrongFilter(str(error)) from None


def _field(connection: Connection, name: str) -> Any:
    query = select(fields.c.id, fields.c.unit).where(fields.c.name == name)
    row = connection.execute(query).one_or_none()
    if row is None:
        raise NotAField(name)
    return row


def _by_words(connection: Connection, question: Question) -> list[Place]:
    """Walk the cases that have the words, the latest stored first.

    The full-text index of SQLite gives them in this order by itself and is left after a page.
    """
    matched = _matching(connection, words_of(question.words)).subquery()
    others = replace(question, words="")
    query = (
        select(cases.c.id)
        .join(matched, matched.c.id == cases.c.id)
        .where(*_where(connection, others))
        .order_by(matched.c.id.desc())
        .limit(question.limit + 1)
    )
    if question.after is not None:
        query = query.where(matched.c.id < question.after[-1])
    return [Place((row.id,), row.id) for row in connection.execute(query)]


def _by_column(
    connection: Connection, question: Question, column: ColumnElement[Any]
) -> list[Place]:
    """Walk the cases along one of their own columns."""
    down = question.sort.startswith("-")
    query = select(cases.c.id, column.label("place")).where(*_where(connection, question))
    if question.after is not None:
        query = query.where(_beyond((column, cases.c.id), question.after, down=down))
    order = (column.desc(), cases.c.id.desc()) if down else (column, cases.c.id)
    rows = connection.execute(query.order_by(*order).limit(question.limit + 1))
    return [Place((row.place, row.id), row.id) for row in rows]


def _by_field(connection: Connection, question: Question, field: Any) -> list[Place]:
    """Walk the cases along one of their fields; those without it come last, latest first."""
    value = facts.c.number if field.unit is not None else facts.c.key
    has_value = and_(facts.c.field_id == field.id, facts.c.ordinal == 0, value.is_not(None))
    found: list[Place] = []
    if question.after is None or question.after[0] == WITH:
        down = question.sort.startswith("-")
        query = (
            select(facts.c.case_id, value.label("place"), facts.c.entered)
            .join(cases, cases.c.id == facts.c.case_id)
            .where(has_value, *_where(connection, question))
        )
        if question.after is not None:
            here = (value, facts.c.case_id)
            query = query.where(_beyond(here, question.after[1:], down=down))
        order = (value.desc(), facts.c.case_id.desc()) if down else (value, facts.c.case_id)
        rows = connection.execute(query.order_by(*order).limit(question.limit + 1))
        found = [Place((WITH, row.place, row.case_id), row.case_id, row.entered) for row in rows]
    if len(found) > question.limit:
        return found
    without = select(cases.c.id).where(
        ~exists().where(has_value, facts.c.case_id == cases.c.id).correlate(cases),
        *_where(connection, question),
    )
    if question.after is not None and question.after[0] == WITHOUT:
        without = without.where(cases.c.id < question.after[1])
    limit = question.limit + 1 - len(found)
    rows = connection.execute(without.order_by(cases.c.id.desc()).limit(limit))
    return found + [Place((WITHOUT, row.id), row.id) for row in rows]


def _beyond(
    here: tuple[ColumnElement[Any], ...], last: tuple[Any, ...], *, down: bool
) -> ColumnElement[bool]:
    places = tuple_(*here)
    end = tuple_(*(literal(value, column.type) for value, column in zip(last, here, strict=True)))
    return places < end if down else places > end


def _page(connection: Connection, places: list[Place], question: Question) -> Page:
    """Return a page from where its cases stand, with what the shelf shows of each."""
    shown = places[: question.limit]
    more = places[question.limit - 1].where if len(places) > question.limit else None
    pictures = (
        select(func.count())
        .where(case_files.c.case_id == cases.c.id, case_files.c.role == "picture")
        .scalar_subquery()
    )
    query = (
        select(
            cases.c.id,
            cases.c.ref,
            cases.c.title,
            engines.c.name.label("engine"),
            oils.c.name.label("oil"),
            filters.c.name.label("filter"),
            fills.c.drained,
            fills.c.distance_km,
            fills.c.hours,
            pictures.label("pictures"),
            cases.c.changed_at,
        )
        .join(fills, fills.c.case_id == cases.c.id)
        .outerjoin(engines, engines.c.id == cases.c.engine_id)
        .outerjoin(oils, oils.c.id == cases.c.oil_id)
        .outerjoin(filters, filters.c.id == cases.c.filter_id)
        .where(cases.c.id.in_([place.case_id for place in shown]))
    )
    rows = {row.pop("id"): row for row in map(dict, connection.execute(query).mappings())}
    found = (Found(**rows[place.case_id], sorted_by=place.entered) for place in shown)
    return Page(tuple(found), more)

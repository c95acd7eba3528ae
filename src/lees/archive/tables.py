"""The tables of an archive, one description for both databases.

A case as entered is one document (`cases.entered`), and that is the truth; `fills`, `facts`,
`case_files` and the search words are an index of it, written in the same transaction, and can be
made again from it. Times are texts in UTC (ISO 8601, "2026-08-19T07:30:00.000Z"): alike in both
databases, sorted by time as they stand.
"""

from __future__ import annotations

from sqlalchemy import (
    REAL,
    BigInteger,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    column,
    table,
    text,
)
from sqlalchemy.dialects.postgresql import TSVECTOR
from sqlalchemy.types import TypeEngine

KEY = BigInteger().with_variant(Integer(), "sqlite")
NUMBER: TypeEngine[float] = Double().with_variant(REAL(), "sqlite")
PLAIN = Text().with_variant(Text(collation="C"), "postgresql")
NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
tables = MetaData(naming_convention=NAMING)

about = Table(
    "about",
    tables,
    Column("name", PLAIN, primary_key=True),
    Column("value", PLAIN, nullable=False),
    sqlite_strict=True,
)

users = Table(
    "users",
    tables,
    Column("id", KEY, primary_key=True),
    Column("name", PLAIN, nullable=False),
    Column("key", PLAIN, nullable=False, unique=True),
    Column("role", PLAIN, CheckConstraint("role IN ('reads', 'works')", "role"), nullable=False),
    Column("password_hash", PLAIN),
    Column("added_at", PLAIN, nullable=False),
    Column("left_at", PLAIN),
    sqlite_strict=True,
)


def _register(name: str) -> Table:
    """Return a table of things that several cases share, each known by its name."""
    return Table(
        name,
        tables,
        Column("id", KEY, primary_key=True),
        Column("ref", PLAIN, nullable=False, unique=True),
        Column("name", PLAIN, nullable=False),
        Column("key", PLAIN, nullable=False, unique=True),
        Column("entered", PLAIN, nullable=False),
        Column("version", Integer, nullable=False),
        Column("added_at", PLAIN, nullable=False),
        Column("changed_at", PLAIN, nullable=False),
        Column("binned_at", PLAIN),
        sqlite_strict=True,
    )


engines = _register("engines")
owners = _register("owners")
oils = _register("oils")
filters = _register("filters")
instruments = _register("instruments")
REGISTERS = {
    "engine": engines,
    "owner": owners,
    "oil": oils,
    "filter": filters,
    "instrument": instruments,
}

cases = Table(
    "cases",
    tables,
    Column("id", KEY, primary_key=True),
    Column("ref", PLAIN, nullable=False, unique=True),
    Column("title", PLAIN, nullable=False),
    Column("entered", PLAIN, nullable=False),
    Column("digest", PLAIN, nullable=False, index=True),
    Column("engine_id", KEY, ForeignKey("engines.id"), index=True),
    Column("owner_id", KEY, ForeignKey("owners.id"), index=True),
    Column("oil_id", KEY, ForeignKey("oils.id"), index=True),
    Column("filter_id", KEY, ForeignKey("filters.id"), index=True),
    Column("version", Integer, nullable=False),
    Column("added_at", PLAIN, nullable=False),
    Column("changed_at", PLAIN, nullable=False),
    Column("changed_by", KEY, ForeignKey("users.id"), nullable=False),
    Column("binned_at", PLAIN),
    Index("ix_cases_changed_at", "changed_at", "id"),
    Index("ix_cases_title", "title"),
    sqlite_strict=True,
)

fills = Table(
    "fills",
    tables,
    Column("case_id", KEY, ForeignKey("cases.id"), primary_key=True, autoincrement=False),
    Column("engine_id", KEY, ForeignKey("engines.id")),
    Column("oil_id", KEY, ForeignKey("oils.id"), index=True),
    Column("poured", PLAIN),
    Column("drained", PLAIN),
    Column("distance_km", NUMBER),
    Column("hours", NUMBER),
    Column("months", NUMBER),
    Index("ix_fills_engine_id_drained", "engine_id", "drained"),
    sqlite_strict=True,
)

files = Table(
    "files",
    tables,
    Column("sha256", PLAIN, primary_key=True),
    Column("size_bytes", KEY, nullable=False),
    Column("kept_at", PLAIN, nullable=False),
    sqlite_strict=True,
)

case_files = Table(
    "case_files",
    tables,
    Column("case_id", KEY, ForeignKey("cases.id"), primary_key=True, autoincrement=False),
    Column("name", PLAIN, primary_key=True),
    Column("sha256", PLAIN, ForeignKey("files.sha256"), nullable=False, index=True),
    Column(
        "role",
        PLAIN,
        CheckConstraint("role IN ('source', 'picture', 'report', 'readings', 'other')", "role"),
        nullable=False,
    ),
    Column("shows", PLAIN),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)

reports = Table(
    "reports",
    tables,
    Column("case_id", KEY, ForeignKey("cases.id"), primary_key=True, autoincrement=False),
    Column("read", PLAIN, nullable=False),
    Column("made_with", PLAIN, nullable=False),
    Column("made_at", PLAIN, nullable=False),
    sqlite_strict=True,
)

findings = Table(
    "findings",
    tables,
    Column("id", KEY, primary_key=True),
    Column("case_id", KEY, ForeignKey("cases.id"), nullable=False, index=True),
    Column("case_version", Integer, nullable=False),
    Column("document", PLAIN, nullable=False),
    Column("sha256", PLAIN, nullable=False),
    Column("made_with", PLAIN, nullable=False),
    Column("made_at", PLAIN, nullable=False),
    sqlite_strict=True,
)

peers = Table(
    "peers",
    tables,
    Column("id", KEY, primary_key=True),
    Column("name", PLAIN, nullable=False, index=True),
    Column("document", PLAIN, nullable=False),
    Column("sha256", PLAIN, nullable=False),
    Column("made_with", PLAIN, nullable=False),
    Column("made_at", PLAIN, nullable=False),
    sqlite_strict=True,
)

zero_checks = Table(
    "zero_checks",
    tables,
    Column("id", KEY, primary_key=True),
    Column("instrument_id", KEY, ForeignKey("instruments.id"), nullable=False),
    Column("case_id", KEY, ForeignKey("cases.id"), index=True),
    Column("checked", PLAIN, nullable=False),
    Column("zero", PLAIN, nullable=False),
    Column("zero_mm", NUMBER),
    Index("ix_zero_checks_instrument_id_checked", "instrument_id", "checked"),
    sqlite_strict=True,
)

fields = Table(
    "fields",
    tables,
    Column("id", KEY, primary_key=True),
    Column("name", PLAIN, nullable=False, unique=True),
    Column("unit", PLAIN),
    sqlite_strict=True,
)

facts = Table(
    "facts",
    tables,
    Column("case_id", KEY, ForeignKey("cases.id"), primary_key=True, autoincrement=False),
    Column("field_id", KEY, ForeignKey("fields.id"), primary_key=True, autoincrement=False),
    Column("ordinal", Integer, primary_key=True, autoincrement=False),
    Column("entered", PLAIN, nullable=False),
    Column("number", NUMBER),
    Column("step", NUMBER),
    Column("qualifier", PLAIN),
    Column("key", PLAIN),
    Index(
        "ix_facts_field_id_number",
        "field_id",
        "number",
        "case_id",
        sqlite_where=text("number IS NOT NULL"),
        postgresql_where=text("number IS NOT NULL"),
    ),
    Index(
        "ix_facts_field_id_key",
        "field_id",
        "key",
        "case_id",
        sqlite_where=text("key IS NOT NULL"),
        postgresql_where=text("key IS NOT NULL"),
    ),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)

history = Table(
    "history",
    tables,
    Column("id", KEY, primary_key=True),
    Column("at", PLAIN, nullable=False),
    Column("user_id", KEY, ForeignKey("users.id"), nullable=False),
    Column("act", PLAIN, nullable=False),
    Column("kind", PLAIN, nullable=False),
    Column("ref", PLAIN, nullable=False),
    Column("version", Integer, nullable=False),
    Column("changes", PLAIN, nullable=False),
    Column("undoes", KEY, ForeignKey("history.id")),
    Index("ix_history_kind_ref", "kind", "ref", "version"),
    sqlite_strict=True,
)

# The words of each case: in SQLite a full-text table (FTS5) whose rowid is the case, in PostgreSQL
# a table with a tsvector. The first migration lays them, each by its database's own statement.
search_sqlite = table("search", column("rowid", KEY), column("words", PLAIN))
search_postgresql = table("search", column("case_id", KEY), column("words", TSVECTOR))

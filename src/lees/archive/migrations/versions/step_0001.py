"""The first tables: registers, cases with their files and facts, history, search words.

Revision ID: 0001
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
NUMBER: sa.types.TypeEngine[float] = sa.Double().with_variant(sa.REAL(), "sqlite")
PLAIN = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Lay the tables; a register comes before the cases that point to it."""
    _people_and_files()
    for name in ("engines", "owners", "oils", "filters", "instruments"):
        _register(name)
    _cases()
    _index()
    _history()
    _search()


def _register(name: str) -> None:
    op.create_table(
        name,
        sa.Column("id", KEY, nullable=False),
        sa.Column("ref", PLAIN, nullable=False),
        sa.Column("name", PLAIN, nullable=False),
        sa.Column("key", PLAIN, nullable=False),
        sa.Column("entered", PLAIN, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("added_at", PLAIN, nullable=False),
        sa.Column("changed_at", PLAIN, nullable=False),
        sa.Column("binned_at", PLAIN, nullable=True),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sa.UniqueConstraint("key", name=f"uq_{name}_key"),
        sa.UniqueConstraint("ref", name=f"uq_{name}_ref"),
        sqlite_strict=True,
    )


def _search() -> None:
    """Lay the full-text table, each database's own."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            "CREATE VIRTUAL TABLE search USING fts5(words, prefix='1 2 3', detail=none, "
            "columnsize=0, tokenize='unicode61 remove_diacritics 0')"
        )
        return
    op.execute(
        "CREATE TABLE search (case_id BIGINT NOT NULL PRIMARY KEY REFERENCES cases (id), "
        "words TSVECTOR NOT NULL)"
    )
    op.execute("CREATE INDEX ix_search_words ON search USING gin (words)")


def _people_and_files() -> None:
    """Lay what belongs to nobody's case."""
    op.create_table(
        "about",
        sa.Column("name", PLAIN, nullable=False),
        sa.Column("value", PLAIN, nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_about"),
        sqlite_strict=True,
    )
    op.create_table(
        "users",
        sa.Column("id", KEY, nullable=False),
        sa.Column("name", PLAIN, nullable=False),
        sa.Column("key", PLAIN, nullable=False),
        sa.Column("role", PLAIN, nullable=False),
        sa.Column("password_hash", PLAIN, nullable=True),
        sa.Column("added_at", PLAIN, nullable=False),
        sa.Column("left_at", PLAIN, nullable=True),
        sa.CheckConstraint("role IN ('reads', 'works')", name="ck_users_role"),
        sa.PrimaryKeyConstraint("id", name="pk_users"),
        sa.UniqueConstraint("key", name="uq_users_key"),
        sqlite_strict=True,
    )
    op.create_table(
        "files",
        sa.Column("sha256", PLAIN, nullable=False),
        sa.Column("size_bytes", KEY, nullable=False),
        sa.Column("kept_at", PLAIN, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_files"),
        sqlite_strict=True,
    )
    op.create_table(
        "peers",
        sa.Column("id", KEY, nullable=False),
        sa.Column("name", PLAIN, nullable=False),
        sa.Column("document", PLAIN, nullable=False),
        sa.Column("sha256", PLAIN, nullable=False),
        sa.Column("made_with", PLAIN, nullable=False),
        sa.Column("made_at", PLAIN, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_peers"),
        sqlite_strict=True,
    )
    op.create_index("ix_peers_name", "peers", ["name"])


def _cases() -> None:
    """Lay the cases, their fills, files and what was read and found."""
    op.create_table(
        "cases",
        sa.Column("id", KEY, nullable=False),
        sa.Column("ref", PLAIN, nullable=False),
        sa.Column("title", PLAIN, nullable=False),
        sa.Column("entered", PLAIN, nullable=False),
        sa.Column("digest", PLAIN, nullable=False),
        sa.Column("engine_id", KEY, nullable=True),
        sa.Column("owner_id", KEY, nullable=True),
        sa.Column("oil_id", KEY, nullable=True),
        sa.Column("filter_id", KEY, nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("added_at", PLAIN, nullable=False),
        sa.Column("changed_at", PLAIN, nullable=False),
        sa.Column("changed_by", KEY, nullable=False),
        sa.Column("binned_at", PLAIN, nullable=True),
        sa.ForeignKeyConstraint(["changed_by"], ["users.id"], name="fk_cases_changed_by_users"),
        sa.ForeignKeyConstraint(["engine_id"], ["engines.id"], name="fk_cases_engine_id_engines"),
        sa.ForeignKeyConstraint(["filter_id"], ["filters.id"], name="fk_cases_filter_id_filters"),
        sa.ForeignKeyConstraint(["oil_id"], ["oils.id"], name="fk_cases_oil_id_oils"),
        sa.ForeignKeyConstraint(["owner_id"], ["owners.id"], name="fk_cases_owner_id_owners"),
        sa.PrimaryKeyConstraint("id", name="pk_cases"),
        sa.UniqueConstraint("ref", name="uq_cases_ref"),
        sqlite_strict=True,
    )
    op.create_index("ix_cases_changed_at", "cases", ["changed_at", "id"])
    op.create_index("ix_cases_digest", "cases", ["digest"])
    op.create_index("ix_cases_engine_id", "cases", ["engine_id"])
    op.create_index("ix_cases_filter_id", "cases", ["filter_id"])
    op.create_index("ix_cases_oil_id", "cases", ["oil_id"])
    op.create_index("ix_cases_owner_id", "cases", ["owner_id"])
    op.create_table(
        "fills",
        sa.Column("case_id", KEY, autoincrement=False, nullable=False),
        sa.Column("engine_id", KEY, nullable=True),
        sa.Column("oil_id", KEY, nullable=True),
        sa.Column("poured", PLAIN, nullable=True),
        sa.Column("drained", PLAIN, nullable=True),
        sa.Column("distance_km", NUMBER, nullable=True),
        sa.Column("hours", NUMBER, nullable=True),
        sa.Column("months", NUMBER, nullable=True),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name="fk_fills_case_id_cases"),
        sa.ForeignKeyConstraint(["engine_id"], ["engines.id"], name="fk_fills_engine_id_engines"),
        sa.ForeignKeyConstraint(["oil_id"], ["oils.id"], name="fk_fills_oil_id_oils"),
        sa.PrimaryKeyConstraint("case_id", name="pk_fills"),
        sqlite_strict=True,
    )
    op.create_index("ix_fills_engine_id_drained", "fills", ["engine_id", "drained"])
    op.create_index("ix_fills_oil_id", "fills", ["oil_id"])
    op.create_table(
        "case_files",
        sa.Column("case_id", KEY, autoincrement=False, nullable=False),
        sa.Column("name", PLAIN, nullable=False),
        sa.Column("sha256", PLAIN, nullable=False),
        sa.Column("role", PLAIN, nullable=False),
        sa.Column("shows", PLAIN, nullable=True),
        sa.CheckConstraint(
            "role IN ('source', 'picture', 'report', 'readings', 'other')",
            name="ck_case_files_role",
        ),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name="fk_case_files_case_id_cases"),
        sa.ForeignKeyConstraint(["sha256"], ["files.sha256"], name="fk_case_files_sha256_files"),
        sa.PrimaryKeyConstraint("case_id", "name", name="pk_case_files"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_case_files_sha256", "case_files", ["sha256"])
    op.create_table(
        "reports",
        sa.Column("case_id", KEY, autoincrement=False, nullable=False),
        sa.Column("read", PLAIN, nullable=False),
        sa.Column("made_with", PLAIN, nullable=False),
        sa.Column("made_at", PLAIN, nullable=False),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name="fk_reports_case_id_cases"),
        sa.PrimaryKeyConstraint("case_id", name="pk_reports"),
        sqlite_strict=True,
    )
    op.create_table(
        "findings",
        sa.Column("id", KEY, nullable=False),
        sa.Column("case_id", KEY, nullable=False),
        sa.Column("case_version", sa.Integer(), nullable=False),
        sa.Column("document", PLAIN, nullable=False),
        sa.Column("sha256", PLAIN, nullable=False),
        sa.Column("made_with", PLAIN, nullable=False),
        sa.Column("made_at", PLAIN, nullable=False),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name="fk_findings_case_id_cases"),
        sa.PrimaryKeyConstraint("id", name="pk_findings"),
        sqlite_strict=True,
    )
    op.create_index("ix_findings_case_id", "findings", ["case_id"])
    op.create_table(
        "zero_checks",
        sa.Column("id", KEY, nullable=False),
        sa.Column("instrument_id", KEY, nullable=False),
        sa.Column("case_id", KEY, nullable=True),
        sa.Column("checked", PLAIN, nullable=False),
        sa.Column("zero", PLAIN, nullable=False),
        sa.Column("zero_mm", NUMBER, nullable=True),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name="fk_zero_checks_case_id_cases"),
        sa.ForeignKeyConstraint(
            ["instrument_id"], ["instruments.id"], name="fk_zero_checks_instrument_id_instruments"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_zero_checks"),
        sqlite_strict=True,
    )
    op.create_index("ix_zero_checks_case_id", "zero_checks", ["case_id"])
    op.create_index(
        "ix_zero_checks_instrument_id_checked", "zero_checks", ["instrument_id", "checked"]
    )


def _index() -> None:
    """Lay what cases are found by."""
    op.create_table(
        "fields",
        sa.Column("id", KEY, nullable=False),
        sa.Column("name", PLAIN, nullable=False),
        sa.Column("unit", PLAIN, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_fields"),
        sa.UniqueConstraint("name", name="uq_fields_name"),
        sqlite_strict=True,
    )
    op.create_table(
        "facts",
        sa.Column("case_id", KEY, autoincrement=False, nullable=False),
        sa.Column("field_id", KEY, autoincrement=False, nullable=False),
        sa.Column("ordinal", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("entered", PLAIN, nullable=False),
        sa.Column("number", NUMBER, nullable=True),
        sa.Column("step", NUMBER, nullable=True),
        sa.Column("qualifier", PLAIN, nullable=True),
        sa.Column("key", PLAIN, nullable=True),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name="fk_facts_case_id_cases"),
        sa.ForeignKeyConstraint(["field_id"], ["fields.id"], name="fk_facts_field_id_fields"),
        sa.PrimaryKeyConstraint("case_id", "field_id", "ordinal", name="pk_facts"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(
        "ix_facts_field_id_key",
        "facts",
        ["field_id", "key", "case_id"],
        sqlite_where=sa.text("key IS NOT NULL"),
        postgresql_where=sa.text("key IS NOT NULL"),
    )
    op.create_index(
        "ix_facts_field_id_number",
        "facts",
        ["field_id", "number", "case_id"],
        sqlite_where=sa.text("number IS NOT NULL"),
        postgresql_where=sa.text("number IS NOT NULL"),
    )


def _history() -> None:
    """Lay the record of who changed what."""
    op.create_table(
        "history",
        sa.Column("id", KEY, nullable=False),
        sa.Column("at", PLAIN, nullable=False),
        sa.Column("user_id", KEY, nullable=False),
        sa.Column("act", PLAIN, nullable=False),
        sa.Column("kind", PLAIN, nullable=False),
        sa.Column("ref", PLAIN, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("changes", PLAIN, nullable=False),
        sa.Column("undoes", KEY, nullable=True),
        sa.ForeignKeyConstraint(["undoes"], ["history.id"], name="fk_history_undoes_history"),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name="fk_history_user_id_users"),
        sa.PrimaryKeyConstraint("id", name="pk_history"),
        sqlite_strict=True,
    )
    op.create_index("ix_history_kind_ref", "history", ["kind", "ref", "version"])

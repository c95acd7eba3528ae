"""Runs the steps on the connection that it is handed (read by Alembic)."""

from __future__ import annotations

from alembic import context

from lees.archive.tables import tables

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=tables,
    transaction_per_migration=False,
    render_as_batch=True,
)
context.run_migrations()

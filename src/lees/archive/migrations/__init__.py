"""The steps that brought the tables of an archive to what they are, oldest first (Alembic)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, inspect, text

REVISIONS = ("0001", "0002")
HEAD = REVISIONS[-1]


def revision_of(connection: Connection) -> str | None:
    """Return the step that a database is at, or nothing where it holds no archive."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def upgrade(connection: Connection) -> None:
    """Bring the tables to the latest step, within the transaction that is open."""
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    settings = Config()
    settings.set_main_option("script_location", str(Path(__file__).parent))
    settings.set_main_option("path_separator", "os")
    steps = ScriptDirectory.from_config(settings)

    def to_head(found: Any, _context: object) -> Any:
        return steps._upgrade_revs(HEAD, found)  # as Alembic's cookbook does

    with EnvironmentContext(settings, steps, fn=to_head) as environment:
        environment.configure(connection=connection, transaction_per_migration=False)
        environment.run_migrations()

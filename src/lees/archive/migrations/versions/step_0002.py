"""Find cases by their titles, so that a folder stored again is not taken for another case.

Revision ID: 0002
"""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Lay the index."""
    op.create_index("ix_cases_title", "cases", ["title"])

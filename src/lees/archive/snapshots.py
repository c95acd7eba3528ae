"""What was computed, kept as it was with the version that made it: readings, findings, peers.

A snapshot is never changed. It can be computed again from the facts; it is kept because a letter
was signed on it.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import delete, insert, select

from lees.archive.archive import Archive, Turn
from lees.archive.cases import case_row
from lees.archive.history import Act, Subject, record
from lees.archive.tables import findings, peers, reports
from lees.errors import UnusableInput


class NotASnapshot(UnusableInput):
    """A document that does not say which version made it."""


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A document as it was made; `case_version` is the state of the case that it was made from."""

    document: str
    made_with: str
    made_at: str
    case_version: int | None = None


def keep_findings(archive: Archive, ref: str, document: str) -> None:
    """Keep the findings of a case, a JSON document with `made_with`, byte for byte."""
    made_with = made_with_of(document)

    def act(turn: Turn) -> None:
        row = case_row(turn.connection, ref, lock=True)
        values = snapshot_row(document, made_with, turn.now)
        values |= {"case_id": row.id, "case_version": row.version}
        turn.connection.execute(insert(findings), values)
        record(turn, Act("findings kept"), Subject("case", ref, row.version))

    archive.write(act)


def findings_of(archive: Archive, ref: str) -> tuple[Snapshot, ...]:
    """Return every kept findings of a case, the latest first."""
    with archive.database.reading() as connection:
        row = case_row(connection, ref)
        rows = connection.execute(
            select(findings).where(findings.c.case_id == row.id).order_by(findings.c.id.desc())
        )
        return tuple(
            Snapshot(row.document, row.made_with, row.made_at, row.case_version) for row in rows
        )


def keep_peers(archive: Archive, name: str, document: str) -> None:
    """Keep a reference population as it was fitted, a JSON document with `made_with`."""
    made_with = made_with_of(document)

    def act(turn: Turn) -> None:
        values = snapshot_row(document, made_with, turn.now) | {"name": name}
        turn.connection.execute(insert(peers), values)
        record(turn, Act("peers kept"), Subject("peers", name, 1))

    archive.write(act)


def peers_named(archive: Archive, name: str) -> Snapshot | None:
    """Return the latest kept population of a name, if there is one."""
    query = select(peers).where(peers.c.name == name).order_by(peers.c.id.desc()).limit(1)
    with archive.database.reading() as connection:
        row = connection.execute(query).one_or_none()
    return None if row is None else Snapshot(row.document, row.made_with, row.made_at)


def keep_reading(archive: Archive, ref: str, document: str) -> None:
    """Keep what was read from a case's report, over what was read before."""
    made_with = made_with_of(document)

    def act(turn: Turn) -> None:
        row = case_row(turn.connection, ref, lock=True)
        turn.connection.execute(delete(reports).where(reports.c.case_id == row.id))
        values = {
            "case_id": row.id,
            "read": document,
            "made_with": made_with,
            "made_at": turn.now,
        }
        turn.connection.execute(insert(reports), values)
        record(turn, Act("report read"), Subject("case", ref, row.version))

    archive.write(act)


def reading_of(archive: Archive, ref: str) -> Snapshot | None:
    """Return what was read from a case's report, if it was."""
    with archive.database.reading() as connection:
        row = case_row(connection, ref)
        found = connection.execute(select(reports).where(reports.c.case_id == row.id)).one_or_none()
    return None if found is None else Snapshot(found.read, found.made_with, found.made_at)


def snapshot_row(document: str, made_with: str, now: str) -> dict[str, Any]:
    """Return the columns that all snapshots have."""
    return {
        "document": document,
        "sha256": hashlib.sha256(document.encode()).hexdigest(),
        "made_with": made_with,
        "made_at": now,
    }


def made_with_of(document: str) -> str:
    """Return the version that a document says it was made with; raise `NotASnapshot`."""
    try:
        made_with = json.loads(document)["made_with"]
    except (ValueError, KeyError, TypeError, RecursionError):
        made_with = None
    if not isinstance(made_with, str) or not made_with:
        raise NotASnapshot(
            "The document does not say under “made_with” which version of Lees made it; "
            "make it again with this version."
        )
    return made_with

"""Is everything there, and is it as it was stored: every file, every reference, the database."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Row, exists, func, inspect, select, text
from sqlalchemy.exc import DBAPIError

from lees.archive.archive import Archive
from lees.archive.backup import Progress, no_progress
from lees.archive.cases import KeptFile, digest_of, with_files
from lees.archive.errors import ArchiveOutOfReach, FileMissing
from lees.archive.tables import (
    case_files,
    cases,
    files,
    fills,
    findings,
    peers,
    search_postgresql,
    search_sqlite,
)
from lees.archive.trouble import reason
from lees.errors import LeesError, UnusableInput, printable

_AT_ONCE = 2  # one hashes while the other waits for the disk
_MOST_NAMED = 200


@dataclass(slots=True)
class Checked:
    """What a check saw: `problems` need somebody, `notes` are worth knowing."""

    cases: int = 0
    files: int = 0
    bytes: int = 0
    problems: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def is_clean(self) -> bool:
        """Tell whether everything is there and as it was stored."""
        return not self.problems


def check(archive: Archive, progress: Progress = no_progress) -> Checked:
    """Look at everything in an archive; problems are listed, never mended and never raised."""
    checked = Checked()
    wanted: dict[str, int] = {}
    try:
        with archive.database.reading() as connection:
            checked.problems += _database(connection)
            checked.problems += _documents(connection, checked)
            checked.problems += _references(connection)
            for row in connection.execute(select(files)):
                wanted[row.sha256] = row.size_bytes
    except UnusableInput as error:
        checked.problems.append(str(error))
    _check_files(archive, wanted, checked, progress)
    if len(checked.problems) > _MOST_NAMED:
        more = len(checked.problems) - _MOST_NAMED
        checked.problems[_MOST_NAMED:] = [f"There are {more} more of this kind."]
    return checked


def _database(connection: Connection) -> Iterator[str]:
    """Have the database look at itself."""
    if connection.dialect.name == "postgresql":
        for table in inspect(connection).get_table_names():
            # Reading every value makes the server look at every page and its checksum.
            statement = f'SELECT coalesce(sum(length(t::text)), 0) FROM "{table}" t'  # noqa: S608
            yield from _tried(connection, statement, f"The table {table} cannot be read")
        return
    for row in connection.execute(text("PRAGMA integrity_check(20)")):
        if row[0] != "ok":
            yield f"The database is damaged: {printable(row[0])}; restore the latest backup."
    for row in connection.execute(text("PRAGMA foreign_key_check")):
        yield (
            f"A row of {row[0]} points to one of {row[2]} that is not there; "
            "restore the latest backup."
        )


def _tried(connection: Connection, statement: str, what: str) -> Iterator[str]:
    try:
        with connection.begin_nested():
            connection.execute(text(statement))
    except DBAPIError as error:
        yield f"{what}: {reason(error, 'of the archive')}"


def _documents(connection: Connection, checked: Checked) -> Iterator[str]:
    """Hold every case against the digest that it was stored with, and every snapshot too."""
    held = connection.execution_options(yield_per=1000).execute(
        select(case_files, files.c.size_bytes)
        .join(files, files.c.sha256 == case_files.c.sha256)
        .order_by(case_files.c.case_id, case_files.c.name)
    )
    grouped = groupby(held, key=lambda row: row.case_id)
    current: tuple[int, list[Row[Any]]] = (0, [])
    rows = connection.execution_options(yield_per=1000).execute(select(cases).order_by(cases.c.id))
    for row in rows:
        checked.cases += 1
        while current[0] < row.id:
            following = next(grouped, None)
            current = (following[0], list(following[1])) if following else (1 << 62, [])
        mine = current[1] if current[0] == row.id else []
        kept = [KeptFile(f.name, f.sha256, f.size_bytes, f.role) for f in mine]
        if not _is_as_stored(row, kept):
            yield f"The case {row.ref} is not as it was stored; restore the latest backup."
    for table, name in ((findings, "findings"), (peers, "peers")):
        query = select(table.c.id, table.c.document, table.c.sha256)
        for kept_row in connection.execution_options(yield_per=200).execute(query):
            if hashlib.sha256(kept_row.document.encode()).hexdigest() != kept_row.sha256:
                yield f"No. {kept_row.id} of the {name} is not as it was kept."


def _is_as_stored(row: Row[Any], kept: list[KeptFile]) -> bool:
    try:
        return bool(digest_of(with_files(json.loads(row.entered), kept)) == row.digest)
    except (ValueError, LeesError):
        return False


def _references(connection: Connection) -> Iterator[str]:
    """See that every case has what it is found by."""
    postgresql = connection.dialect.name == "postgresql"
    words = search_postgresql.c.case_id if postgresql else search_sqlite.c.rowid
    for column, what in ((fills.c.case_id, "fill"), (words, "search words")):
        without = ~exists(select(column).where(column == cases.c.id))
        number = connection.execute(
            select(func.count()).select_from(cases).where(without)
        ).scalar_one()
        if number:
            yield f"{number} cases have no {what}; run lees archive reindex."


def _check_files(
    archive: Archive, wanted: dict[str, int], checked: Checked, progress: Progress
) -> None:
    """Hash every file that a row names, and name those that no row does."""
    total, done = sum(wanted.values()), 0
    with ThreadPoolExecutor(_AT_ONCE) as pool:
        names = sorted(wanted)
        for sha256, problem in zip(
            names, pool.map(lambda name: _file(archive, name), names), strict=True
        ):
            done += wanted[sha256]
            checked.files += 1
            checked.bytes += wanted[sha256]
            if problem:
                checked.problems.append(_used_by(archive, sha256, problem))
            progress(done, total)
    spare = [size for sha256, size in archive.files.each() if sha256 not in wanted]
    if spare and not checked.problems:
        checked.notes.append(
            f"{len(spare)} files ({sum(spare):,} bytes) belong to no case: they were kept and "
            "their case was then not stored, or was never handed in. They do no harm."
        )
    if unfinished := archive.files.unfinished():
        checked.notes.append(
            f"{unfinished} files were left half-kept in “incoming” by a program that was stopped; "
            "they do no harm and may be deleted."
        )


def _file(archive: Archive, sha256: str) -> str | None:
    """Return what is wrong with a file, if anything is."""
    try:
        found = archive.files.digest(sha256)
    except FileMissing:
        return "is gone"
    except (OSError, ArchiveOutOfReach) as error:
        return f"cannot be read ({printable(str(error))})"
    return None if found == sha256 else "has been altered"


def _used_by(archive: Archive, sha256: str, problem: str) -> str:
    query = (
        select(case_files.c.name, cases.c.ref)
        .join(cases, cases.c.id == case_files.c.case_id)
        .where(case_files.c.sha256 == sha256)
        .limit(1)
    )
    with archive.database.reading() as connection:
        row = connection.execute(query).first()
    what = f"{printable(row.name)} of the case {row.ref}" if row else f"The file {sha256[:12]}…"
    return f"{what} {problem} ({sha256[:12]}…); fetch it from the latest backup."

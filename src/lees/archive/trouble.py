"""What a database says when it fails, turned into one line for the bench."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError

from lees.archive.errors import (
    ArchiveBusy,
    ArchiveOutOfReach,
    ArchiveReadOnly,
    Clash,
    DamagedArchive,
    DatabaseTrouble,
    DiskFull,
)
from lees.errors import LeesError, printable

_Line = tuple[type[LeesError], str]
_RESTORE = "restore the latest backup into a new place (lees archive restore)"
# Result codes of SQLite.
_SQLITE: dict[int, _Line] = {
    sqlite3.SQLITE_BUSY: (
        ArchiveBusy,
        "Others have been writing to {place} without a pause; wait a moment and try again.",
    ),
    sqlite3.SQLITE_FULL: (
        DiskFull,
        "The disk of {place} is full; make room and try again. What was stored is safe.",
    ),
    sqlite3.SQLITE_CORRUPT: (
        DamagedArchive,
        f"The database in {{place}} is damaged ({{said}}); {_RESTORE}.",
    ),
    sqlite3.SQLITE_NOTADB: (
        DamagedArchive,
        f"The database in {{place}} is damaged ({{said}}); {_RESTORE}.",
    ),
    sqlite3.SQLITE_READONLY: (
        ArchiveReadOnly,
        "{place} is read-only; give yourself the right to write there, or copy it elsewhere.",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        ArchiveReadOnly,
        "The database in {place} cannot be opened; the folder must exist and be writable.",
    ),
    sqlite3.SQLITE_IOERR: (
        DamagedArchive,
        "The disk of {place} failed while reading or writing ({said}); "
        "check the disk, then run lees archive check.",
    ),
}
_SQLITE[sqlite3.SQLITE_LOCKED] = _SQLITE[sqlite3.SQLITE_BUSY]
_REFUSED: _Line = (DatabaseTrouble, "The database {place} refused: {said}.")
_UNREACHED: _Line = (ArchiveOutOfReach, "The database {place} cannot be reached: {said}.")
_READ_ONLY: _Line = (ArchiveReadOnly, "The database {place} may not be written to: {said}.")
_MET: _Line = (Clash, "{said}")
# SQLSTATEs of PostgreSQL (Appendix A of its manual), whole or by class.
_POSTGRESQL: dict[str, _Line] = {
    "40001": _MET,
    "40P01": _MET,
    "55P03": _MET,
    "53100": _SQLITE[sqlite3.SQLITE_FULL],
    "25006": _READ_ONLY,
    "42501": _READ_ONLY,
    "XX001": _SQLITE[sqlite3.SQLITE_CORRUPT],
    "XX002": _SQLITE[sqlite3.SQLITE_CORRUPT],
    "08": _UNREACHED,
    "28": _UNREACHED,
    "3D": _UNREACHED,
    "53": _UNREACHED,
    "57": _UNREACHED,
}


@contextlib.contextmanager
def understood(shown: str) -> Iterator[None]:
    """Turn a database's error into the archive's own; `shown` is the archive's address."""
    try:
        yield
    except DBAPIError as error:
        raise reason(error, shown) from error


def reason(error: DBAPIError, shown: str) -> LeesError:
    """Return what a database's error means to the person at the bench."""
    origin = error.orig
    said = printable(" ".join(str(origin).split()), 200).rstrip(".")
    if isinstance(origin, sqlite3.Error):
        code = getattr(origin, "sqlite_errorcode", 0) & 0xFF
        kind, line = _SQLITE.get(code, _REFUSED)
    else:
        state = getattr(origin, "sqlstate", None) or ""
        unreached = not state and isinstance(error, OperationalError | InterfaceError)
        kind, line = _POSTGRESQL.get(
            state, _POSTGRESQL.get(state[:2], _UNREACHED if unreached else _REFUSED)
        )
    return kind(line.format(place=printable(shown), said=said))

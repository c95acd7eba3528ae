"""A database as one file, consistent while others write, and a file as a database again."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import subprocess
from pathlib import Path

from sqlalchemy import inspect

from lees.archive.address import Address
from lees.archive.database import Database
from lees.archive.errors import (
    ArchiveOutOfReach,
    DamagedArchive,
    NotABackup,
    PlaceTaken,
    ToolMissing,
)
from lees.archive.files import speaking_of
from lees.archive.trouble import understood
from lees.errors import printable


def dump_database(database: Database, target: Path) -> None:
    """Write a database into a file: SQLite by its backup call, PostgreSQL by `pg_dump`."""
    if database.is_postgresql:
        _tool("pg_dump", database.address, "--format=custom", "--no-owner", f"--file={target}")
        return
    with (
        understood(database.shown),
        speaking_of(str(target.parent)),
        database.engine.connect() as connection,
        contextlib.closing(sqlite3.connect(target)) as copy,
    ):
        held = connection.connection.driver_connection
        if held is None:
            raise DamagedArchive(f"The database in {printable(database.shown)} cannot be read.")
        try:
            held.backup(copy)
            found = copy.execute("PRAGMA quick_check(1)").fetchone()[0]
        except sqlite3.DatabaseError as error:
            found = str(error)
    if found != "ok":
        raise DamagedArchive(
            f"The database in {printable(database.shown)} is damaged "
            f"({printable(found)}), so that no backup was made of it; run lees archive check."
        )


def restore_sqlite(dump: Path, shown: str) -> None:
    """See that a file is a whole SQLite database; raise `NotABackup` where it is not."""
    try:
        with contextlib.closing(sqlite3.connect(dump)) as copy:
            found = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
    except sqlite3.DatabaseError as error:
        found = str(error)
    if found != "ok":
        raise NotABackup(
            f"The database in the backup {printable(shown)} is damaged ({printable(found)}); "
            "take an earlier backup."
        )


def restore_postgresql(dump: Path, address: Address) -> None:
    """Fill a database that is there and empty."""
    database = Database(address)
    try:
        with database.reading() as connection:
            if inspect(connection).get_table_names():
                raise PlaceTaken(address.shown)
    finally:
        database.close()
    flags = ("--no-owner", "--exit-on-error", "--single-transaction")
    _tool("pg_restore", address, *flags, after=(str(dump),))


def program(name: str) -> str:
    """Return where a program of PostgreSQL is; raise `ToolMissing`."""
    found = shutil.which(name)
    if found is None:
        own = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
        found = str(own[-1]) if own else None
    if found is None:
        raise ToolMissing(name)
    return found


def _tool(name: str, address: Address, *flags: str, after: tuple[str, ...] = ()) -> None:
    """Run a program of PostgreSQL; the password comes from where the database's clients look."""
    command = [program(name), "--no-password", f"--dbname={address.shown}", *flags, *after]
    done = subprocess.run(command, capture_output=True, text=True)  # noqa: S603  (an argument list)
    if done.returncode != 0:
        said = printable(" ".join(done.stderr.split()) or f"status {done.returncode}", 300)
        raise ArchiveOutOfReach(f"{name} could not do its work on {address.shown}: {said}.")

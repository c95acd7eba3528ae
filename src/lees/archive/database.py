"""Connections to an archive's database: how it is opened, how transactions begin, and retries.

Settings of SQLite follow its documentation ("PRAGMA Statements", "Write-Ahead Logging"): with
`synchronous=FULL` a transaction that was acknowledged survives a loss of power; `docs/archive.md`
says why.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine, create_engine, event

from lees.archive.address import Address
from lees.archive.errors import ArchiveBusy, Clash, DatabaseTrouble
from lees.archive.trouble import understood

T = TypeVar("T")
WAIT_S = 60.0
RETRIES = 8
OLDEST_SQLITE = (3, 37, 0)  # strict tables
_SQLITE_SETTINGS = (
    "PRAGMA synchronous = FULL",
    "PRAGMA fullfsync = ON",  # what a Mac needs for the same promise; nothing elsewhere
    "PRAGMA checkpoint_fullfsync = ON",
    "PRAGMA foreign_keys = ON",
    "PRAGMA trusted_schema = OFF",
    "PRAGMA temp_store = MEMORY",
    "PRAGMA cache_size = -16000",
)


@dataclass(frozen=True, slots=True)
class Field:
    """A field's row, and the one unit its numbers are in."""

    id: int
    unit: str | None


class Database:
    """One archive's database, of either kind."""

    def __init__(self, address: Address) -> None:
        self.address = address
        self.shown = address.shown
        self.engine = _engine(address)
        self.fields: dict[str, Field] = {}

    @property
    def is_postgresql(self) -> bool:
        """Tell which of the two databases this is."""
        return self.engine.dialect.name == "postgresql"

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one consistent state as long as it is held."""
        options: dict[str, Any] = {}
        if self.is_postgresql:
            options = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        with understood(self.shown), self.engine.connect() as bare:
            connection = bare.execution_options(**options)
            with connection.begin():
                yield connection

    def write(self, act: Callable[[Connection], T]) -> T:
        """Do an act in one transaction: wholly or not at all, again where two writers met."""
        for attempt in range(RETRIES):
            try:
                with understood(self.shown), self.engine.connect() as bare:
                    connection = bare.execution_options(lees_writes=True)
                    with connection.begin():
                        return act(connection)
            except BaseException as error:
                self.fields.clear()  # some may have been taken back
                if not isinstance(error, Clash):
                    raise
                time.sleep(0.01 * 2**attempt)
        raise ArchiveBusy(
            f"Others kept changing the same things in {self.shown}; wait a moment and try again."
        )

    def use_log(self) -> None:
        """Have SQLite write ahead into a log, so that readers and a writer do not wait.

        The file itself remembers it; a file that is no archive is not touched before this.
        """
        if self.is_postgresql:
            return
        with understood(self.shown), self.engine.connect() as connection:
            held: Any = connection.connection.driver_connection
            (mode,) = held.execute("PRAGMA journal_mode").fetchone()
            if mode != "wal":
                (mode,) = held.execute("PRAGMA journal_mode = WAL").fetchone()
        if mode != "wal":
            raise DatabaseTrouble(
                f"The disk of {self.shown} cannot hold an archive (no write-ahead log); "
                "keep it on a disk of this machine."
            )

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()


def _engine(address: Address) -> Engine:
    if address.is_postgresql:
        return create_engine(
            address.database, pool_pre_ping=True, connect_args={"connect_timeout": 10}
        )
    engine = create_engine(
        address.database, connect_args={"timeout": WAIT_S, "check_same_thread": False}
    )
    event.listen(engine, "connect", _settle)
    event.listen(engine, "begin", _begin)
    return engine


def _settle(connection: Any, _record: object) -> None:
    connection.isolation_level = None  # transactions begin where we say, see `_begin`
    for setting in _SQLITE_SETTINGS:
        connection.execute(setting)


def _begin(connection: Connection) -> None:
    """Take the writers' place at once, so that no transaction has to turn writer half-way."""
    writes = connection.get_execution_options().get("lees_writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

"""An archive that is open: its database, its files, and what it was handed: clock, tokens, user."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import Connection

from lees.archive.database import Database
from lees.archive.errors import MayOnlyRead
from lees.archive.files import FileStore
from lees.errors import UnusableInput

T = TypeVar("T")


class NotStorable(UnusableInput):
    """A value that an archive cannot keep as it is."""


READS, WORKS = "reads", "works"


@dataclass(frozen=True, slots=True)
class Hands:
    """What an archive cannot make itself: the time, and tokens that nobody else has drawn."""

    clock: Callable[[], datetime.datetime]
    token: Callable[[], str]


@dataclass(frozen=True, slots=True)
class User:
    """Somebody who works with the archive, and what they may do: `reads` or `works`."""

    id: int
    name: str
    role: str


@dataclass(frozen=True, slots=True)
class Archive:
    """An open archive, as one user sees it."""

    database: Database
    files: FileStore
    hands: Hands
    user: User

    def now(self) -> str:
        """Return the time as the archive writes it."""
        return timestamp(self.hands.clock())

    def write(self, act: Callable[[Turn], T]) -> T:
        """Do an act in one transaction, if the user may."""
        if self.user.role != WORKS:
            raise MayOnlyRead(self.user.name)
        return self.database.write(lambda connection: act(Turn(connection, self, self.now())))

    def close(self) -> None:
        """Give all connections back."""
        self.database.close()


@dataclass(frozen=True, slots=True)
class Turn:
    """A writer's turn: the transaction that is open, the archive, and the time of the act."""

    connection: Connection
    archive: Archive
    now: str

    @property
    def is_postgresql(self) -> bool:
        """Tell which of the two databases this is."""
        return self.connection.dialect.name == "postgresql"


def timestamp(moment: datetime.datetime) -> str:
    """Return a time as text in UTC, to the millisecond.

    >>> timestamp(datetime.datetime(2026, 8, 19, 7, 30, tzinfo=datetime.UTC))
    '2026-08-19T07:30:00.000Z'
    """
    utc = moment.astimezone(datetime.UTC)
    return utc.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def written(document: Any) -> str:
    """Return a document as the archive writes it: JSON, in one form only.

    >>> written({"b": 1, "a": "µm"})
    '{"a":"µm","b":1}'
    """
    try:
        text = json.dumps(
            document, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
        )
    except ValueError:
        raise NotStorable("It holds a number that is none (nan or infinite); correct it.") from None
    if "\\u0000" in text:
        raise NotStorable("It holds a NUL character, which no text has; take it out.")
    return text

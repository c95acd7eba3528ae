"""Where things are wired: clock, chance, archive, cache and progress are made here alone."""

from __future__ import annotations

import datetime
import secrets
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from lees.settings import (
    archive_address,
    backups_folder,
    cache_folder,
    lees_version,
    user_name,
)

if TYPE_CHECKING:
    from lees.archive.archive import Archive, Hands
    from lees.work.bench import Bench

_LETTERS = "0123456789abcdefghjkmnpqrstvwxyz"  # none that is taken for another
_TOKEN_LENGTH = 12


def token() -> str:
    """Return a reference that nobody else has drawn: 60 bits of chance."""
    return "".join(secrets.choice(_LETTERS) for _ in range(_TOKEN_LENGTH))


def hands() -> Hands:
    """Return the clock and the tokens that an archive is handed."""
    from lees.archive.archive import Hands

    return Hands(clock=lambda: datetime.datetime.now(datetime.UTC), token=token)


def open_archive(address: str | None = None, user: str | None = None) -> Archive:
    """Open the archive at an address, or the one that the settings name."""
    from lees.archive.address import address_of
    from lees.archive.opening import open_archive as opened

    place = address_of(address or archive_address())
    return opened(place, hands(), user=user or user_name(), backups=backups_folder())


def create_archive(address: str | None = None, user: str | None = None) -> Archive:
    """Make an archive at an address, or open the one that is there."""
    from lees.archive.address import address_of
    from lees.archive.opening import create_archive as created

    place = address_of(address or archive_address())
    return created(place, hands(), user=user or user_name(), backups=backups_folder())


def bench() -> Bench:
    """Return what the acts on a case need."""
    from lees.work.bench import Bench
    from lees.work.cache import Cache
    from lees.work.worker import Limits, Worker

    version = lees_version()
    worker = Worker(Limits(seconds=30, memory_mb=1500))
    return Bench(version, Cache(cache_folder(), version), worker, progress())


def progress() -> Callable[[str], None]:
    """Return what tells of progress: a line on a terminal, nothing where nobody looks."""
    if not sys.stderr.isatty():
        return lambda text: None
    return lambda text: print(f"  {text} …", file=sys.stderr)

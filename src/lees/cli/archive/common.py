"""What all commands of the archive share: where it is, who asks, and progress on long work."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from cyclopts import App, Parameter

if TYPE_CHECKING:
    from lees.archive.archive import Archive


@Parameter(name="*")
@dataclass(frozen=True, slots=True)
class Where:
    """Which archive, and who asks."""

    archive: Annotated[str | None, Parameter(help="Folder, or postgresql://USER@HOST/NAME.")] = None
    user: Annotated[
        str | None, Parameter(name="--as", help="Your name in the archive; else LEES_USER.")
    ] = None


HERE = Where()


def command(name: str) -> App:
    """Return an app for one command of the archive."""
    return App(name=name, result_action="return_value")


def holdings(cases: int, files: int) -> str:
    """Return how much there is, in words.

    >>> holdings(6, 1)
    '6 cases, 1 file'
    """
    return f"{counted(cases, 'case')}, {counted(files, 'file')}"


def counted(number: int, what: str) -> str:
    """Return a number with its noun.

    >>> counted(1, "case"), counted(0, "file")
    ('1 case', '0 files')
    """
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


@contextmanager
def opened(where: Where) -> Iterator[Archive]:
    """Open the archive for as long as a command needs it."""
    from lees.app import open_archive

    archive = open_archive(where.archive, where.user)
    try:
        yield archive
    finally:
        archive.close()


class Shown:
    """Progress on standard error, where a person watches; a few times a second at most."""

    def __init__(self, what: str, unit: str = "MB", size: int = 1_000_000) -> None:
        self._what, self._unit, self._size = what, unit, size
        self._watched = sys.stderr.isatty()
        self._last = 0.0

    def __call__(self, done: int, total: int) -> None:
        """Show how much is done."""
        now = time.monotonic()
        if not self._watched or (done < total and now - self._last < 0.2):
            return
        self._last = now
        parts = f"{done / self._size:,.0f} of {total / self._size:,.0f} {self._unit}"
        end = "\n" if done >= total else ""
        print(f"\r{self._what}: {parts}", end=end, file=sys.stderr, flush=True)

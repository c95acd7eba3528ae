"""`lees archive backup|restore|switch|check|reindex`: that nothing is lost, and that it is seen."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from lees.cli.archive.common import HERE, Shown, Where, command, counted, holdings, opened
from lees.errors import printable

backup_app = command("backup")
restore_app = command("restore")
switch_app = command("switch")
check_app = command("check")
reindex_app = command("reindex")


@backup_app.default
def backup(
    file: Path,
    *,
    without_pictures: Annotated[bool, Parameter(negative="")] = False,
    where: Where = HERE,
) -> int:
    """Write the whole archive into one new file, consistent while others work.

    Parameters
    ----------
    file
        A file that is not there yet, such as /media/disk/lees-2026-08-19.tar.
    without_pictures
        Leave pictures and documents out; the backup then says so.
    """
    from lees.archive.backup import back_up, back_up_without_files

    with opened(where) as archive:
        if without_pictures:
            made = back_up_without_files(archive.database, file, archive.now())
        else:
            made = back_up(archive, file, Shown("Backing up"))
    print(
        f"{printable(str(made.path), 300)}: {holdings(made.cases, made.files)}, "
        f"{made.size_bytes / 1e6:,.1f} MB; pictures and documents {made.pictures}."
    )
    return _told(made.troubles)


@restore_app.default
def restore(file: Path, into: str) -> int:
    """Make an archive of a backup, in a new folder or an empty database.

    Parameters
    ----------
    file
        The backup.
    into
        A folder that is not there yet, or postgresql://USER@HOST/NAME?files=PLACE.
    """
    from lees.archive.address import address_of
    from lees.archive.restore import restore as make

    address = address_of(into)
    done = make(file, address, Shown("Restoring"))
    print(
        f"{printable(done.shown, 300)} is the archive of {done.made_at[:16]}: "
        f"{holdings(done.cases, done.files)}."
    )
    status = _told(done.missing)
    if address.folder is not None:
        print(f"Look at it with --archive {printable(into, 300)}; then: lees archive switch {into}")
    return status


@switch_app.default
def switch(restored: Path, *, where: Where = HERE) -> None:
    """Put a restored folder in the place of the archive, which is moved aside and kept.

    Parameters
    ----------
    restored
        The folder that lees archive restore made.
    """
    from lees.app import hands
    from lees.archive.address import address_of
    from lees.archive.archive import timestamp
    from lees.archive.errors import NotAnAddress
    from lees.archive.restore import switch as put
    from lees.settings import archive_address

    current = address_of(where.archive or archive_address()).folder
    if current is None:
        raise NotAnAddress("A database is switched by giving its new address to everybody.")
    aside = put(restored.absolute(), current, timestamp(hands().clock()))
    print(f"{printable(str(current), 300)} is now the restored archive.")
    print(f"The former one is kept in {printable(str(aside), 300)}.")


@check_app.default
def check(*, where: Where = HERE) -> int:
    """See that every file, every reference and the database itself are as they were stored."""
    from lees.archive.check import check as look

    with opened(where) as archive:
        found = look(archive, Shown("Checking"))
    for note in found.notes:
        print(f"Note: {note}")
    if found.is_clean:
        print(f"All is there: {holdings(found.cases, found.files)}, {found.bytes:,} bytes.")
    return _told(tuple(found.problems))


@reindex_app.default
def reindex(*, where: Where = HERE) -> None:
    """Make again what cases are found by, from what was entered."""
    from lees.archive.reindex import reindex as make

    with opened(where) as archive:
        number = make(archive, Shown("Indexing", "cases", 1))
    print(f"{counted(number, 'case')} can be found.")


def _told(problems: tuple[str, ...]) -> int:
    """Print problems, a line each, and return the status that they leave with."""
    for problem in problems:
        print(f"lees: {problem}", file=sys.stderr)
    return 3 if problems else 0

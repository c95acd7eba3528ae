"""Making an archive, opening it, and bringing an older one up to date after a backup."""

from __future__ import annotations

import contextlib
from pathlib import Path

from sqlalchemy import Connection, insert, inspect, select

from lees.archive.address import BACKUPS_FOLDER, DATABASE_FILE, FILES_FOLDER, Address
from lees.archive.archive import WORKS, Archive, Hands, User, timestamp
from lees.archive.backup import back_up_without_files
from lees.archive.database import Database
from lees.archive.errors import (
    DamagedArchive,
    NewerArchive,
    NoArchive,
    NotAnAddress,
    PlaceTaken,
    UnknownUser,
)
from lees.archive.files import FileStore, FolderFiles, speaking_of
from lees.archive.migrations import HEAD, REVISIONS, revision_of, upgrade
from lees.archive.tables import about, files, users
from lees.archive.words import key_of
from lees.errors import printable

MARKER = "lees-files.txt"
"""Says in a shared folder whose files these are."""


def create_archive(
    address: Address, hands: Hands, *, user: str, backups: Path | None = None
) -> Archive:
    """Make an archive where there is none, with one user who works; an existing one is opened."""
    if address.folder is not None:
        with speaking_of(str(address.folder)):
            address.folder.mkdir(parents=True, exist_ok=True)
    database = Database(address)
    try:
        if _revision(database) is None:
            _need_a_place_for_files(address)
            _need_no_leavings(address)
            database.use_log()
            database.write(lambda connection: _lay(connection, address, hands, user))
    finally:
        database.close()
    return open_archive(address, hands, user=user, backups=backups)


def open_archive(
    address: Address,
    hands: Hands,
    *,
    user: str,
    backups: Path | None = None,
) -> Archive:
    """Open an archive; an older one is brought up to date, after a backup of its database.

    That backup goes into the folder `backups`, or the archive's own folder of that name.

    Raises `NoArchive`, `NewerArchive`, `DamagedArchive`, `UnknownUser` and what else a database
    may say, each in one line.
    """
    if address.folder is not None and not (address.folder / DATABASE_FILE).is_file():
        raise NoArchive(
            f"There is no archive in {printable(address.shown)}; "
            "make one with lees archive create, or give its place with --archive."
        )
    database = Database(address)
    try:
        _bring_up_to_date(database, hands, backups)
        database.use_log()
        with database.reading() as connection:
            known = {row.name: row.value for row in connection.execute(select(about))}
            person = user_named(connection, user)
    except BaseException:
        database.close()
        raise
    store = file_store(address.files or known["files"])
    if address.is_postgresql and isinstance(store, FolderFiles):
        _need_the_right_folder(database, store.folder, known["archive"])
    return Archive(database, store, hands, person)


def file_store(place: str) -> FileStore:
    """Return where files are kept: a folder, or a bucket (`s3://bucket/folder`)."""
    if place.startswith("s3://"):
        from lees.archive.bucket import bucket_files

        return bucket_files(place)
    return FolderFiles(Path(place).expanduser())


def user_named(connection: Connection, name: str) -> User:
    """Return a user by their name; raise `UnknownUser`."""
    row = connection.execute(
        select(users.c.id, users.c.name, users.c.role).where(
            users.c.key == key_of(name), users.c.left_at.is_(None)
        )
    ).one_or_none()
    if row is None:
        raise UnknownUser(name)
    return User(row.id, row.name, row.role)


def _need_the_right_folder(database: Database, folder: Path, archive: str) -> None:
    """See that a shared folder is the archive's own, and not the empty place of one not mounted."""
    marker = folder / MARKER
    with speaking_of(str(folder)):
        if marker.is_file():
            is_ours = marker.read_text(encoding="utf-8").strip() == archive
        else:
            with database.reading() as connection:
                is_new = connection.execute(select(files.c.sha256).limit(1)).first() is None
            is_ours = is_new or (folder.is_dir() and any(folder.iterdir()))
            if is_ours:
                folder.mkdir(parents=True, exist_ok=True)
                marker.write_text(f"{archive}\n", encoding="utf-8")
    if not is_ours:
        database.close()
        raise NoArchive(
            f"{printable(str(folder))} does not hold this archive's pictures and documents; "
            "is the shared folder connected? Give its place with ?files= at the end of the address."
        )


def _need_a_place_for_files(address: Address) -> None:
    if not address.files:
        raise NotAnAddress(
            "A new archive in a database needs a place for its pictures and documents; "
            "add ?files=/a/folder/all/can/reach or ?files=s3://bucket/folder to the address."
        )


def _need_no_leavings(address: Address) -> None:
    """See that a folder without a database is new, and not an archive that lost its own."""
    if address.folder is None or not (address.folder / FILES_FOLDER).is_dir():
        return
    if any(len(shelf.name) == 2 for shelf in (address.folder / FILES_FOLDER).iterdir()):
        raise DamagedArchive(
            f"{printable(address.shown)} holds the pictures of an archive and an empty database; "
            "restore the latest backup into a new folder (lees archive restore)."
        )


def _lay(connection: Connection, address: Address, hands: Hands, user: str) -> None:
    """Lay the tables of a new archive, unless another did so while we waited for our turn."""
    if inspect(connection).has_table("about"):
        return
    upgrade(connection)
    place = "" if address.folder is not None else address.files
    connection.execute(
        insert(about),
        [
            {"name": "archive", "value": hands.token()},
            {"name": "made_at", "value": timestamp(hands.clock())},
            {"name": "files", "value": place},
        ],
    )
    connection.execute(
        insert(users).values(
            name=user, key=key_of(user), role=WORKS, added_at=timestamp(hands.clock())
        )
    )


def _revision(database: Database) -> str | None:
    with database.reading() as connection:
        return revision_of(connection)


def _bring_up_to_date(database: Database, hands: Hands, backups: Path | None) -> None:
    found = _revision(database)
    if found == HEAD:
        return
    if found is None:
        raise NoArchive(
            f"The database {printable(database.shown)} holds no archive; "
            "make one with lees archive create."
        )
    if found not in REVISIONS:
        raise NewerArchive(found)
    folder = database.address.folder
    place = folder / BACKUPS_FOLDER if folder is not None else backups
    if place is None:
        raise NoArchive(
            f"The archive {printable(database.shown)} is at an earlier step, and there is no "
            "folder for the backup that is made before it is brought up to date; "
            "open it once with lees archive check."
        )
    now = timestamp(hands.clock())
    stamp = now.replace(":", "").replace(".", "")
    with contextlib.suppress(PlaceTaken):  # another program, opening it this very moment, did
        back_up_without_files(database, place / f"before-{HEAD}-{stamp}.tar", now)
    database.write(upgrade)

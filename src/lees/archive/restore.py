"""A backup made into an archive again: in a new place, seen to be whole, and only then switched."""

from __future__ import annotations

import hashlib
import json
import os
import re
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import update

from lees.archive.address import DATABASE_FILE, FILES_FOLDER, Address
from lees.archive.backup import (
    ABOUT,
    FORMAT,
    INCLUDED,
    MANIFEST,
    POSTGRESQL_MEMBER,
    SQLITE_MEMBER,
    Progress,
    no_progress,
)
from lees.archive.database import Database
from lees.archive.dump import restore_postgresql, restore_sqlite
from lees.archive.errors import NewerArchive, NoArchive, NotABackup, NotAnAddress, PlaceTaken
from lees.archive.fetch import new_folder
from lees.archive.files import PIECE, FileStore, FolderFiles, flush, flush_folder, speaking_of
from lees.archive.migrations import REVISIONS
from lees.archive.opening import file_store
from lees.archive.tables import about
from lees.errors import printable

_FILE = re.compile(r"files/([0-9a-f]{2})/([0-9a-f]{62})")
_LARGEST_TEXT = 1 << 30


@dataclass(frozen=True, slots=True)
class Restored:
    """What came out of a backup; `missing` are files that were not in it, in one line each."""

    shown: str
    made_at: str
    cases: int
    files: int
    pictures: str
    missing: tuple[str, ...]


def restore(backup: Path, address: Address, progress: Progress = no_progress) -> Restored:
    """Make an archive of a backup, in a folder or a database that is new.

    Raises `NotABackup` where the backup is damaged or only half there, and `PlaceTaken` where the
    place is not new. The place is left as it was in either case.
    """
    if address.folder is not None:
        return _into_folder(backup, address.folder, progress)
    return _into_postgresql(backup, address, progress)


def switch(restored: Path, current: Path, stamp: str) -> Path:
    """Put a restored folder in the place of the current one, which is moved aside and kept.

    Returns where the former archive is now.
    """
    for folder in (restored, current):
        if not (folder / DATABASE_FILE).is_file():
            raise NoArchive(f"There is no archive in {printable(str(folder))}; nothing was moved.")
    aside = current.with_name(f"{current.name}.before-restore-{re.sub('[^0-9TZ]', '', stamp)}")
    if aside.exists():
        raise PlaceTaken(str(aside))
    with speaking_of(str(current.parent)):
        current.rename(aside)
        try:
            restored.rename(current)
        except OSError:
            aside.rename(current)
            raise
        flush_folder(current.parent)
    return aside


def _into_folder(backup: Path, folder: Path, progress: Progress) -> Restored:
    with new_folder(folder) as room:
        said, manifest = _unpack(
            backup, room / "dump", FolderFiles(room / FILES_FOLDER), progress, "sqlite"
        )
        restore_sqlite(room / "dump", str(backup))
        (room / "dump").rename(room / DATABASE_FILE)
        flush_folder(room)
    return _restored(str(folder), said, manifest)


def _into_postgresql(backup: Path, address: Address, progress: Progress) -> Restored:
    if not address.files:
        raise NotAnAddress(
            "Say where the pictures and documents go: add ?files=/a/folder/all/can/reach or "
            "?files=s3://bucket/folder to the address."
        )
    room = backup.parent / f".{backup.name}.{os.getpid()}.dump"
    try:
        store = file_store(address.files)
        said, manifest = _unpack(backup, room, store, progress, "postgresql")
        restore_postgresql(room, address)
    finally:
        room.unlink(missing_ok=True)
    database = Database(address)
    try:
        here = update(about).where(about.c.name == "files").values(value=address.files)
        database.write(lambda connection: connection.execute(here))
    finally:
        database.close()
    return _restored(address.shown, said, manifest)


def _unpack(
    backup: Path, dump: Path, store: FileStore, progress: Progress, wanted: str
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Take a backup apart, every member held against the manifest at its end."""
    seen: dict[str, str] = {}
    said: dict[str, Any] = {}
    with _opened(backup) as tar:
        total = backup.stat().st_size
        for member in tar:
            if MANIFEST in seen or not member.isreg():
                raise _not_one(backup, "it has a member that no backup has")
            stream = tar.extractfile(member)
            assert stream is not None
            if member.name == ABOUT:
                content = stream.read(_LARGEST_TEXT)
                seen[ABOUT] = hashlib.sha256(content).hexdigest()
                said = _about(backup, content, wanted)
            elif not said:
                raise _not_one(backup, "it does not begin as one")
            elif member.name in (SQLITE_MEMBER, POSTGRESQL_MEMBER):
                seen[member.name] = _copied(stream, dump)
            elif member.name == MANIFEST:
                manifest = _parsed(backup, stream.read(_LARGEST_TEXT))
                seen[MANIFEST] = ""
            elif name := _FILE.fullmatch(member.name):
                seen[member.name], _ = store.keep(stream)  # type: ignore[arg-type]
                if seen[member.name] != name[1] + name[2]:
                    raise _not_one(backup, f"{member.name} in it has been altered")
            else:
                raise _not_one(backup, f"it has a member “{printable(member.name)}”")
            progress(min(tar.offset, total), total)
    if seen.pop(MANIFEST, None) is None:
        raise _half(backup)
    for name, kept in manifest["members"].items():
        if seen.get(name) != kept["sha256"]:
            raise _not_one(backup, f"{printable(str(name))} in it is missing or altered")
    return said, manifest


@contextmanager
def _opened(backup: Path) -> Iterator[tarfile.TarFile]:
    if not backup.is_file():
        raise NotABackup(f"There is no file {printable(str(backup))}; name a backup.")
    try:
        with tarfile.open(backup, mode="r:") as tar:
            yield tar
    except (tarfile.TarError, EOFError) as error:
        raise _half(backup) from error


def _about(backup: Path, content: bytes, wanted: str) -> dict[str, Any]:
    said = _parsed(backup, content)
    if said.get("format") != FORMAT:
        raise _not_one(backup, "it was written by a newer version of Lees; bring Lees up to date")
    if said.get("step") not in REVISIONS:
        raise NewerArchive(str(said.get("step")))
    if said.get("database") != wanted:
        raise NotAnAddress(
            f"This is a backup of a {said.get('database')} database; restore it into one of its "
            "kind, then use lees archive export and import to change over."
        )
    return said


def _parsed(backup: Path, content: bytes) -> dict[str, Any]:
    try:
        document = json.loads(content)
    except (ValueError, RecursionError):
        document = None
    if not isinstance(document, dict):
        raise _not_one(backup, "what it says of itself cannot be read")
    return document


def _copied(stream: Any, target: Path) -> str:
    digest = hashlib.sha256()
    with speaking_of(str(target.parent)), target.open("xb") as out:
        while piece := stream.read(PIECE):
            digest.update(piece)
            out.write(piece)
        flush(out)
    return digest.hexdigest()


def _restored(shown: str, said: dict[str, Any], manifest: dict[str, Any]) -> Restored:
    missing = list(manifest.get("missing", ()))
    if said["pictures"] != INCLUDED:
        missing.append(
            "Pictures and documents were left out of this backup; put the former folder "
            f"“{FILES_FOLDER}” in its place."
        )
    number = sum(1 for name in manifest["members"] if _FILE.fullmatch(name))
    return Restored(shown, said["made_at"], said["cases"], number, said["pictures"], tuple(missing))


def _half(backup: Path) -> NotABackup:
    return NotABackup(
        f"{printable(str(backup))} is only half there, or is no backup of Lees; copy it again, or "
        "take another one. Nothing was restored."
    )


def _not_one(backup: Path, why: str) -> NotABackup:
    return NotABackup(
        f"{printable(str(backup))} cannot be used: {why}; take another backup. "
        "Nothing was restored."
    )

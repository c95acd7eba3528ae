"""A backup: one file with the whole database and, unless left out, every picture and document.

The file is a tar archive (POSIX.1-2001, pax), so that it can be opened without Lees. It begins with
`backup.json`, which says what it is, and ends with `MANIFEST.json`, which lists every member with
its hash: a backup without it is only half there.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import tarfile
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import func, select

from lees.archive.archive import Archive
from lees.archive.database import Database
from lees.archive.dump import dump_database
from lees.archive.errors import FileAltered, FileMissing, PlaceTaken
from lees.archive.files import flush, flush_folder, speaking_of
from lees.archive.migrations import revision_of
from lees.archive.tables import about, cases, files

FORMAT = 1
ABOUT, MANIFEST = "backup.json", "MANIFEST.json"
SQLITE_MEMBER, POSTGRESQL_MEMBER = "archive.sqlite", "archive.dump"
INCLUDED, LEFT_OUT = "included", "left out"

Progress = Callable[[int, int], None]
"""Called with the bytes done and the bytes there are."""


@dataclass(frozen=True, slots=True)
class BackupMade:
    """What went into a backup; `troubles` are files that could not be, in one line each."""

    path: Path
    size_bytes: int
    cases: int
    files: int
    pictures: str
    troubles: tuple[str, ...]


def no_progress(_done: int, _total: int) -> None:
    """Show nothing."""


def back_up(archive: Archive, target: Path, progress: Progress = no_progress) -> BackupMade:
    """Write a backup with all files into one new file."""
    return _write(archive.database, archive, target, archive.now(), progress)


def back_up_without_files(database: Database, target: Path, now: str) -> BackupMade:
    """Write a backup of the database alone, saying so in it."""
    return _write(database, None, target, now, no_progress)


def _write(
    database: Database, archive: Archive | None, target: Path, now: str, progress: Progress
) -> BackupMade:
    with new_file(target) as part, tempfile.TemporaryDirectory(dir=part.parent) as room:
        dump = Path(room) / "dump"
        dump_database(database, dump)
        # Read after the dump: files are only ever added, so that none of the dump's is left out.
        said = _about(database, now, pictures=LEFT_OUT if archive is None else INCLUDED)
        wanted = [] if archive is None else _files(database)
        total = dump.stat().st_size + sum(size for _, size in wanted)
        with (
            part.open("wb") as out,
            tarfile.open(fileobj=out, mode="w", format=tarfile.PAX_FORMAT) as tar,
        ):
            writer = _Writer(tar, progress, total)
            writer.add(ABOUT, _json(said))
            member = POSTGRESQL_MEMBER if database.is_postgresql else SQLITE_MEMBER
            writer.add_file(member, dump)
            troubles = []
            for sha256, _ in wanted:
                assert archive is not None
                try:
                    content = archive.files.fetch(sha256)
                except (FileMissing, FileAltered) as error:
                    troubles.append(str(error))
                    continue
                writer.add(f"files/{sha256[:2]}/{sha256[2:]}", content)
            writer.add(MANIFEST, _json({"members": writer.members, "missing": troubles}))
            tar.close()
            flush(out)
        size = part.stat().st_size
    kept = len(wanted) - len(troubles)
    return BackupMade(target, size, said["cases"], kept, said["pictures"], tuple(troubles))


@contextmanager
def new_file(target: Path) -> Iterator[Path]:
    """Give a temporary name beside a new file, which takes its own name only when it is whole."""
    if target.exists():
        raise PlaceTaken(str(target))
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    with speaking_of(str(target.parent)):
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            yield part
            if target.exists():
                raise PlaceTaken(str(target))
            part.replace(target)
            flush_folder(target.parent)
        finally:
            part.unlink(missing_ok=True)


class _Writer:
    """Adds members to a tar archive and remembers their hashes."""

    def __init__(self, tar: tarfile.TarFile, progress: Progress, total: int) -> None:
        self.members: dict[str, dict[str, Any]] = {}
        self._tar, self._progress, self._total, self._done = tar, progress, total, 0

    def add(self, name: str, content: bytes) -> None:
        """Add a member that is at hand."""
        self._note(name, hashlib.sha256(content).hexdigest(), len(content))
        self._tar.addfile(self._member(name, len(content)), io.BytesIO(content))

    def add_file(self, name: str, path: Path) -> None:
        """Add a member that may be large."""
        with path.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            file.seek(0)
            size = path.stat().st_size
            self._tar.addfile(self._member(name, size), file)
        self._note(name, sha256, size)

    def _member(self, name: str, size: int) -> tarfile.TarInfo:
        member = tarfile.TarInfo(name)
        member.size, member.mode = size, 0o644
        return member

    def _note(self, name: str, sha256: str, size: int) -> None:
        self.members[name] = {"sha256": sha256, "bytes": size}
        self._done += size
        self._progress(self._done, max(self._total, self._done))


def _about(database: Database, now: str, *, pictures: str) -> dict[str, Any]:
    with database.reading() as connection:
        known = {row.name: row.value for row in connection.execute(select(about))}
        number = connection.execute(select(func.count()).select_from(cases)).scalar_one()
        return {
            "what": "A backup of a Lees archive; restore it with: lees archive restore",
            "format": FORMAT,
            "made_at": now,
            "archive": known["archive"],
            "step": revision_of(connection),
            "database": "postgresql" if database.is_postgresql else "sqlite",
            "pictures": pictures,
            "cases": number,
        }


def _files(database: Database) -> list[tuple[str, int]]:
    with database.reading() as connection:
        rows = connection.execute(
            select(files.c.sha256, files.c.size_bytes).order_by(files.c.sha256)
        )
        return [(row.sha256, row.size_bytes) for row in rows]


def _json(document: dict[str, Any]) -> bytes:
    return json.dumps(document, indent=1, ensure_ascii=False).encode() + b"\n"

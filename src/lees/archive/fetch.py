"""A case as a folder again: its files, and its `case.toml` as typed where nobody changed it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lees.archive.archive import Archive
from lees.archive.cases import SOURCE, KeptCase, KeptFile, get_case
from lees.archive.errors import FileAltered, FileMissing, PlaceTaken
from lees.archive.files import FileStore, flush_folder, speaking_of
from lees.case.toml import UnreadableCase, read_case, write_case


def fetch_case(archive: Archive, ref: str, folder: Path) -> tuple[str, ...]:
    """Write a case into a new folder; return what could not be written, a line each."""
    kept = get_case(archive, ref)
    with new_folder(folder) as room:
        return write_folder(archive.files, kept, room)


def write_folder(store: FileStore, kept: KeptCase, folder: Path) -> tuple[str, ...]:
    """Write a case into a folder that is there and empty."""
    (folder / SOURCE).write_bytes(case_toml(store, kept))
    missing = []
    for file in kept.files:
        if file.role == "source":
            continue
        target = folder / file.name
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            target.write_bytes(store.fetch(file.sha256))
        except (FileMissing, FileAltered) as error:
            missing.append(f"{file.name}: {error}")
    return tuple(missing)


def case_toml(store: FileStore, kept: KeptCase) -> bytes:
    """Return a case's `case.toml`: the bytes as typed, or written anew where it was changed."""
    typed = typed_source(store, kept)
    return typed if typed is not None else write_case(kept.case).encode()


def typed_source(store: FileStore, kept: KeptCase) -> bytes | None:
    """Return the `case.toml` as it was typed, where it still says what the case says."""
    source = source_of(kept)
    if source is None:
        return None
    try:
        typed = store.fetch(source.sha256)
        said = read_case(typed.decode("utf-8-sig"))
    except (FileMissing, FileAltered, UnreadableCase, UnicodeDecodeError):
        return None
    return typed if said == kept.case else None


def source_of(kept: KeptCase) -> KeptFile | None:
    """Return the file that a case was typed in, where there is one."""
    return next((file for file in kept.files if file.role == "source"), None)


@contextmanager
def new_folder(folder: Path) -> Iterator[Path]:
    """Give a folder beside a new one, which takes its name only when it is whole."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise PlaceTaken(str(folder))
    folder = folder.absolute()
    room = folder.with_name(f".{folder.name}.{os.getpid()}.part")
    with speaking_of(str(folder.parent)):
        room.mkdir(parents=True)
        try:
            yield room
            if folder.exists():
                folder.rmdir()
            room.rename(folder)
            flush_folder(folder.parent)
        finally:
            shutil.rmtree(room, ignore_errors=True)

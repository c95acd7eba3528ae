"""Put a case folder into the archive: what was entered, and the files that it names."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from lees.archive.archive import Archive, Turn
from lees.archive.cases import (
    CHANGED,
    SOURCE,
    KeptFile,
    Stored,
    add_case,
    checked_files,
    files_named,
    open_row,
    rewrite,
    titled,
)
from lees.case.model import Case
from lees.case.toml import CASE_FILE
from lees.errors import UnusableInput, printable
from lees.work.case_folder import CaseFolder, UnusableFile

_Act = Callable[[Turn, Case, tuple[KeptFile, ...]], Stored]


class TitleIsThere(UnusableInput):
    """A case of that title is in the archive with other content; which is meant must be said."""

    def __init__(self, title: str, ref: str) -> None:
        self.title, self.ref = title, ref
        super().__init__(
            f"“{printable(title)}” is in the archive as {ref}, with other content; "
            f"say --changes {ref} if this is that case, or --new if it is another."
        )


@dataclass(frozen=True, slots=True)
class CaseStored:
    """What became of a folder: its case, and the files that it names and that could not be kept."""

    stored: Stored
    title: str
    warnings: tuple[str, ...]


def store_case(archive: Archive, folder: Path) -> CaseStored:
    """Store a case folder; the very same one, stored again, is there once.

    A case of the same title with other content is not guessed at: `TitleIsThere`.
    """

    def act(turn: Turn, case: Case, held: tuple[KeptFile, ...]) -> Stored:
        stored = add_case(turn, case, held)
        others = [ref for ref in titled(turn.connection, case.title) if ref != stored.ref]
        if stored.added and others:
            raise TitleIsThere(case.title, others[0])
        return stored

    return _store(archive, folder, act)


def store_new_case(archive: Archive, folder: Path) -> CaseStored:
    """Store a case folder as a case of its own, also where another has its title."""
    return _store(archive, folder, add_case)


def store_changed_case(archive: Archive, folder: Path, ref: str) -> CaseStored:
    """Store a case folder as the next state of a case that is there."""

    def act(turn: Turn, case: Case, held: tuple[KeptFile, ...]) -> Stored:
        return rewrite(turn, open_row(turn.connection, ref), case, held, CHANGED)

    return _store(archive, folder, act)


def _store(archive: Archive, folder: Path, act: _Act) -> CaseStored:
    place = CaseFolder(folder)
    case = place.read_case()
    held, warnings = _kept(archive, place, case)
    stored = archive.write(lambda turn: act(turn, case, held))
    return CaseStored(stored, case.title, warnings)


def _kept(
    archive: Archive, place: CaseFolder, case: Case
) -> tuple[tuple[KeptFile, ...], tuple[str, ...]]:
    """Keep a folder's files; those that cannot be kept are named in warnings."""
    held = [_keep(archive, SOURCE, (place.path / CASE_FILE).read_bytes(), "source")]
    warnings = []
    for name, role in files_named(case).items():
        try:
            held.append(_keep(archive, name, place.bytes_of(name), role))
        except UnusableFile as error:
            warnings.append(str(error))
    return checked_files(held), tuple(warnings)


def _keep(archive: Archive, name: str, content: bytes, role: str) -> KeptFile:
    sha256, size = archive.files.keep(io.BytesIO(content))
    return KeptFile(name, sha256, size, role)

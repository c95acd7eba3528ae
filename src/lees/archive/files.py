"""Pictures and documents, kept as they came and named by their content (SHA-256, FIPS 180-4).

A file is written under a temporary name, flushed to the disk, renamed, and its folder flushed; only
then may a row of the database name it. So a row never names a file that a loss of power could take.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO, Protocol

from lees.archive.errors import ArchiveReadOnly, DiskFull, FileAltered, FileMissing
from lees.errors import UnusableInput, printable

PIECE = 1 << 20
SHA256 = re.compile(r"[0-9a-f]{64}")


class FileStore(Protocol):
    """Where files are kept by their content; the same contract in a folder and in a bucket."""

    @property
    def place(self) -> str:
        """Where the files are, as it may be shown."""
        ...

    def keep(self, source: BinaryIO) -> tuple[str, int]:
        """Keep a file's content; return its hash and its size; keeping it twice is as once."""
        ...

    def fetch(self, sha256: str) -> bytes:
        """Return a kept file; raise `FileMissing` or `FileAltered`."""
        ...

    def pieces(self, sha256: str) -> Iterator[bytes]:
        """Give a kept file piece by piece, unchecked; raise `FileMissing`."""
        ...

    def digest(self, sha256: str) -> str:
        """Return the hash of what lies under a name now; raise `FileMissing`."""
        ...

    def each(self) -> Iterator[tuple[str, int]]:
        """Give the hash and the size of every file that is there."""
        ...

    def unfinished(self) -> int:
        """Return how many files were left half-kept by a program that was stopped."""
        ...


class FolderFiles:
    """Files in a folder of this machine or on a share: `ab/cdef…`, by the hash's first two."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @property
    def place(self) -> str:
        """The folder."""
        return str(self.folder)

    def path_of(self, sha256: str) -> Path:
        """Return where a file is kept."""
        if not SHA256.fullmatch(sha256):
            raise FileMissing(sha256, self.place)
        return self.folder / sha256[:2] / sha256[2:]

    def keep(self, source: BinaryIO) -> tuple[str, int]:
        """Keep a file's content; return its hash and its size."""
        with speaking_of(self.place):
            incoming = self.folder / "incoming"
            incoming.mkdir(parents=True, exist_ok=True)
            temporary = incoming / f"{os.getpid()}-{os.urandom(8).hex()}"
            try:
                sha256, size = _copied(source, temporary)
                self._settle(temporary, sha256)
            finally:
                temporary.unlink(missing_ok=True)
        return sha256, size

    def fetch(self, sha256: str) -> bytes:
        """Return a kept file."""
        content = b"".join(self.pieces(sha256))
        if hashlib.sha256(content).hexdigest() != sha256:
            raise FileAltered(sha256, self.place)
        return content

    def pieces(self, sha256: str) -> Iterator[bytes]:
        """Give a kept file piece by piece, unchecked."""
        try:
            with self.path_of(sha256).open("rb") as file:
                while piece := file.read(PIECE):
                    yield piece
        except (FileNotFoundError, NotADirectoryError):
            raise FileMissing(sha256, self.place) from None

    def digest(self, sha256: str) -> str:
        """Return the hash of what lies under a name now."""
        try:
            with self.path_of(sha256).open("rb", buffering=0) as file:
                if hasattr(os, "posix_fadvise"):
                    os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_SEQUENTIAL)
                return hashlib.file_digest(file, "sha256").hexdigest()
        except (FileNotFoundError, NotADirectoryError):
            raise FileMissing(sha256, self.place) from None

    def each(self) -> Iterator[tuple[str, int]]:
        """Give the hash and the size of every file that is there."""
        if not self.folder.is_dir():
            return
        for shelf in sorted(self.folder.iterdir()):
            if len(shelf.name) != 2 or not shelf.is_dir():
                continue
            with os.scandir(shelf) as entries:
                for entry in sorted(entries, key=lambda entry: entry.name):
                    if SHA256.fullmatch(shelf.name + entry.name):
                        yield shelf.name + entry.name, entry.stat().st_size

    def unfinished(self) -> int:
        """Return how many files were left half-kept by a program that was stopped."""
        incoming = self.folder / "incoming"
        return sum(1 for _ in incoming.iterdir()) if incoming.is_dir() else 0

    def _settle(self, temporary: Path, sha256: str) -> None:
        """Give a file its place, over one that is there already: the same, or a damaged one."""
        target = self.path_of(sha256)
        new_shelf = not target.parent.exists()
        target.parent.mkdir(exist_ok=True)
        temporary.replace(target)
        flush_folder(target.parent)
        if new_shelf:
            flush_folder(self.folder)


def _copied(source: BinaryIO, target: Path) -> tuple[str, int]:
    digest, size = hashlib.sha256(), 0
    with target.open("xb") as file:
        while piece := source.read(PIECE):
            digest.update(piece)
            file.write(piece)
            size += len(piece)
        flush(file)
    return digest.hexdigest(), size


def flush(file: BinaryIO) -> None:
    """Bring a file's content to the disk itself, as far as the system lets us."""
    file.flush()
    if sys.platform == "darwin":
        import fcntl

        fcntl.fcntl(file.fileno(), fcntl.F_FULLFSYNC)
    else:
        os.fsync(file.fileno())


def flush_folder(folder: Path) -> None:
    """Bring a folder's names to the disk; Windows does so by itself and offers no call."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextlib.contextmanager
def speaking_of(place: str) -> Iterator[None]:
    """Turn what the system says of a folder into one line for the bench."""
    shown = printable(place)
    try:
        yield
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EDQUOT):
            raise DiskFull(f"The disk of {shown} is full; make room and store it again.") from error
        if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
            raise ArchiveReadOnly(
                f"{shown} is read-only; give yourself the right to write there, or choose "
                "another folder."
            ) from error
        raise UnusableInput(
            f"{shown} cannot be used: {printable(error.strerror or str(error))}; look at the disk."
        ) from error

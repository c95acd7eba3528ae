"""Pictures and documents in an S3-compatible bucket, by the same contract as in a folder.

Keys and the region come from the environment (AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY, AWS_REGION,
AWS_ENDPOINT_URL), never from the address. A file is put only where none of its name is, which the
bucket decides in one step, so that two who keep the same picture do not disturb each other.
"""

from __future__ import annotations

import contextlib
import hashlib
import tempfile
from collections.abc import Iterator
from typing import Any, BinaryIO

from lees.archive.errors import ArchiveOutOfReach, FileAltered, FileMissing, NotAnAddress
from lees.archive.files import PIECE, SHA256
from lees.errors import printable

_IN_MEMORY = 16 * PIECE


class BucketFiles:
    """Files in a bucket: `ab/cdef…`, by the hash's first two, as in a folder."""

    def __init__(self, store: Any, place: str) -> None:
        self._store = store
        self._place = place

    @property
    def place(self) -> str:
        """The bucket and the folder in it."""
        return self._place

    def keep(self, source: BinaryIO) -> tuple[str, int]:
        """Keep a file's content; return its hash and its size."""
        import obstore

        digest, size = hashlib.sha256(), 0
        with tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY) as spool, self._speaking():
            while piece := source.read(PIECE):
                digest.update(piece)
                spool.write(piece)
                size += len(piece)
            spool.seek(0)
            sha256 = digest.hexdigest()
            with contextlib.suppress(obstore.exceptions.AlreadyExistsError):
                obstore.put(self._store, _key(sha256), spool, mode="create")
        return sha256, size

    def fetch(self, sha256: str) -> bytes:
        """Return a kept file."""
        content = b"".join(self.pieces(sha256))
        if hashlib.sha256(content).hexdigest() != sha256:
            raise FileAltered(sha256, self.place)
        return content

    def pieces(self, sha256: str) -> Iterator[bytes]:
        """Give a kept file piece by piece, unchecked."""
        import obstore

        if not SHA256.fullmatch(sha256):
            raise FileMissing(sha256, self.place)
        with self._speaking():
            try:
                found = obstore.get(self._store, _key(sha256))
            except FileNotFoundError:
                raise FileMissing(sha256, self.place) from None
            for piece in found.stream(min_chunk_size=PIECE):
                yield bytes(piece)

    def digest(self, sha256: str) -> str:
        """Return the hash of what lies under a name now."""
        digest = hashlib.sha256()
        for piece in self.pieces(sha256):
            digest.update(piece)
        return digest.hexdigest()

    def each(self) -> Iterator[tuple[str, int]]:
        """Give the hash and the size of every file that is there."""
        import obstore

        with self._speaking():
            for page in obstore.list(self._store):
                for item in page:
                    sha256 = item["path"].replace("/", "")
                    if SHA256.fullmatch(sha256):
                        yield sha256, item["size"]

    def unfinished(self) -> int:
        """Return zero: a bucket shows a file only when it is whole."""
        return 0

    @contextlib.contextmanager
    def _speaking(self) -> Iterator[None]:
        import obstore

        try:
            yield
        except obstore.exceptions.BaseError as error:
            raise ArchiveOutOfReach(
                f"The bucket {printable(self.place)} does not answer as it should: "
                f"{printable(str(error).splitlines()[0], 160)}."
            ) from error


def bucket_files(address: str) -> BucketFiles:
    """Return the files of a bucket, `s3://bucket/folder`; needs the extra `s3`."""
    try:
        from obstore.store import S3Store
    except ImportError:
        raise NotAnAddress(
            f"{printable(address)} is a bucket, and the part of Lees that speaks to buckets is not "
            "installed; install lees[s3]."
        ) from None
    return BucketFiles(S3Store.from_url(address), address)


def _key(sha256: str) -> str:
    return f"{sha256[:2]}/{sha256[2:]}"

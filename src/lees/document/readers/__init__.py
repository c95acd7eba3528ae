"""Readers of files, one a kind: each says how sure it is that a file is its own, or declines."""

from __future__ import annotations

from typing import Protocol

from lees.document.records import Document
from lees.document.seen import Ocr
from lees.errors import UnusableInput


class Reader(Protocol):
    """A reader of one kind of file."""

    name: str
    version: int

    def score(self, data: bytes) -> float | None:
        """Return how sure it is that the file is of its kind, from 0 to 1, or None to decline."""

    def read(self, data: bytes, ocr: Ocr | None = None) -> Document:
        """Return the file's pages as cells."""


class NotReadable(UnusableInput):
    """A file of no kind known here, or one that is broken or locked."""


class NeedsEyes(NotReadable):
    """A picture, where no recogniser of letters was handed in."""


def readers() -> list[Reader]:
    """Return all readers."""
    from lees.document.readers.data_file import DataFile
    from lees.document.readers.delimited import Delimited
    from lees.document.readers.pdf import Pdf
    from lees.document.readers.picture import PictureFile
    from lees.document.readers.plain import Plain
    from lees.document.readers.spreadsheet import Spreadsheet
    from lees.document.readers.webpage import Webpage

    return [Pdf(), PictureFile(), Spreadsheet(), Webpage(), DataFile(), Delimited(), Plain()]


def reader_for(data: bytes) -> Reader:
    """Return the reader that is surest of a file, by its content alone.

    Raises `NotReadable` for an empty file and for one that every reader declines.
    """
    if not data.strip(b"\x00 \t\r\n"):
        raise NotReadable("The file is empty; choose the laboratory's report again.")
    scored = [(score, one) for one in readers() if (score := one.score(data)) is not None]
    if not scored:
        raise NotReadable(
            "The file is of no kind known here; give a PDF, a picture, a table, a page or text."
        )
    return max(scored, key=lambda pair: pair[0])[1]


__all__ = ["NeedsEyes", "NotReadable", "Ocr", "Reader", "reader_for", "readers"]

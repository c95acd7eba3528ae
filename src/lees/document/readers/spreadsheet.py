"""Workbooks in Office Open XML (ISO/IEC 29500): every sheet a page, numbers as they are kept."""

from __future__ import annotations

import datetime
import io
import zipfile
from typing import Any

from lees.document.readers import NotReadable, Ocr
from lees.document.readers.grid import MOST_COLUMNS, MOST_ROWS, Typed, page_of_rows
from lees.document.records import Document

_MOST_BYTES = 150 * 1024 * 1024
_MOST_PARTS = 2_000
_MOST_SHEETS = 20


class Spreadsheet:
    """Reads XLSX workbooks."""

    name, version = "spreadsheet", 1

    def score(self, data: bytes) -> float | None:
        """Look for a workbook inside a zip archive."""
        if not data.startswith(b"PK\x03\x04"):
            return None
        return 0.99 if b"xl/workbook" in data or b"xl/worksheets" in data else None

    def read(self, data: bytes, ocr: Ocr | None = None) -> Document:
        """Return each sheet's cells as one page."""
        import openpyxl

        _refuse_bombs(data)
        try:
            book = openpyxl.load_workbook(
                io.BytesIO(data), read_only=True, data_only=True, keep_links=False
            )
            pages = []
            for number, sheet in enumerate(book.worksheets[:_MOST_SHEETS], start=1):
                rows = sheet.iter_rows(max_row=MOST_ROWS, max_col=MOST_COLUMNS)
                pages.append(page_of_rows([[shown(c) for c in row] for row in rows], number))
            book.close()
        except MemoryError:
            raise
        except Exception as error:
            raise NotReadable(
                f"The workbook cannot be opened ({type(error).__name__}); save it as XLSX again."
            ) from error
        return Document("xlsx", tuple(pages), is_grid=True)


def _refuse_bombs(data: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as error:
        raise NotReadable("The workbook is broken or cut short; save it again.") from error
    if len(parts) > _MOST_PARTS or sum(part.file_size for part in parts) > _MOST_BYTES:
        raise NotReadable("The workbook unpacks to far more than a report holds; it is not opened.")


def shown(cell: Any) -> str:
    """Return what a cell shows: dates by ISO 8601, percentages as such, numbers in full."""
    value = cell.value
    if value is None or isinstance(value, bool):
        return ""
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, int | float):
        if "%" in str(getattr(cell, "number_format", "")):
            return Typed(number_text(round(value * 100, 10)) + " %")
        return number_text(value)
    return str(value)


def number_text(value: float) -> str:
    """Write a number so that it can be read in one way only.

    Parameters
    ----------
    value : float
        The number. [1]

    Returns
    -------
    str
        Its digits with a point, never exactly three of them behind it.

    Examples
    --------
    >>> number_text(1569.0), number_text(12.5), number_text(1.569)
    ('1569', '12.5', '1.5690')
    """
    if value == int(value) and abs(value) < 1e15:
        return Typed(int(value))
    text = repr(round(float(value), 10))
    whole, _, part = text.partition(".")
    return Typed(f"{whole}.{part}0" if len(part) == 3 and part.isdigit() else text)

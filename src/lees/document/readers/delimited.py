"""Tables as text: comma, semicolon, tab or bar between the fields (RFC 4180 and its relatives)."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter

from lees.document.readers import NotReadable, Ocr
from lees.document.readers.grid import MOST_ROWS, page_of_rows
from lees.document.records import Document

_MARKS = (";", "\t", ",", "|")


def decoded(data: bytes) -> str | None:
    """Return a file's text: by its byte-order mark, UTF-8 or Windows-1252; None if binary."""
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if data.startswith(mark):
            return _as(data, encoding)
    sample = data[:4096]
    if sample.count(0) > 0.2 * len(sample):
        return _as(
            data, "utf-16-le" if sample[1::2].count(0) > sample[::2].count(0) else "utf-16-be"
        )
    strange = sum(1 for byte in sample if byte < 9 or 13 < byte < 27 or 27 < byte < 32)
    if strange > 0.02 * len(sample) + 1:
        return None
    text = _as(data, "utf-8")
    return text if text is not None else _as(data, "cp1252") or data.decode("latin-1")


def _as(data: bytes, encoding: str) -> str | None:
    try:
        return data.decode(encoding)
    except (UnicodeDecodeError, UnicodeError):
        return None


def delimiter_of(lines: list[str]) -> tuple[str, float] | None:
    """Return the mark between fields and how regular the lines are with it.

    Parameters
    ----------
    lines : list of str
        The first lines of the file.

    Returns
    -------
    tuple of str and float, or None
        The mark, and a score from 0 to 1. [1]
    """
    best: tuple[str, float] | None = None
    for mark in _MARKS:
        counts = Counter(len(_fields(line, mark)) for line in lines)
        counts.pop(1, None)
        if not counts:
            continue
        _, lines_so_wide = max(counts.items(), key=lambda pair: (pair[1], pair[0]))
        if lines_so_wide < 2 and sum(counts.values()) < 2:
            continue
        share = sum(n for w, n in counts.items() if w >= 2) / max(1, len(lines))
        regular = lines_so_wide / max(1, len(lines))
        score = 0.5 * share + 0.5 * regular + (0.1 if mark in ";\t|" else 0)
        if mark == "," and not _parts_fields(lines):
            score -= 0.6
        if best is None or score > best[1]:
            best = (mark, score)
    return best


def _parts_fields(lines: list[str]) -> bool:
    """Tell commas between fields from those of sentences and of decimals."""
    with_commas = [line for line in lines if "," in line]
    parting = [line for line in with_commas if re.search(r"[^\d\s],\S|\S,[^\d\s]|,,|,$|^,", line)]
    spaced = [line for line in with_commas if re.search(r"\S {2,}\S", line.replace(",", ""))]
    return len(parting) >= 0.5 * len(with_commas) and len(spaced) < 0.5 * len(with_commas)


def _fields(line: str, mark: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=mark), [])
    except csv.Error:
        return line.split(mark)


class Delimited:
    """Reads text whose lines are fields."""

    name, version = "table", 1

    def score(self, data: bytes) -> float | None:
        """Say how regular the lines are."""
        if data[:5] in (b"%PDF-", b"PK\x03\x04"):
            return None
        text = decoded(data[:200_000])
        if text is None or text.lstrip()[:1] in ("<", "{", "["):
            return None
        lines = [line for line in text.splitlines() if line.strip()][:200]
        found = delimiter_of(lines)
        return None if found is None or found[1] < 0.45 else min(0.95, found[1])

    def read(self, data: bytes, ocr: Ocr | None = None) -> Document:
        """Return the fields as one page."""
        text = decoded(data)
        if text is None:
            raise NotReadable("The table is not text; save it as CSV again.")
        text = text.replace("\x00", "")
        lines = [line for line in text.splitlines() if line.strip()][:400]
        found = delimiter_of(lines)
        mark = found[0] if found else ","
        limit = csv.field_size_limit()
        rows: list[list[str]] = []
        try:
            for row in csv.reader(io.StringIO(text), delimiter=mark):
                rows.append(row)
                if len(rows) >= MOST_ROWS:
                    break
        except csv.Error:
            rows = [line[:limit].split(mark) for line in text.splitlines()[:MOST_ROWS]]
        return Document("csv", (page_of_rows(rows),), is_grid=True)

"""Data files in JSON (RFC 8259) of any shape, laid out as names beside values and as tables."""

from __future__ import annotations

import json
from typing import Any

from lees.document.readers import NotReadable, Ocr
from lees.document.readers.delimited import decoded
from lees.document.readers.grid import MOST_ROWS, page_of_rows
from lees.document.readers.spreadsheet import number_text
from lees.document.records import Document

_DEEPEST = 60
_ENVELOPES = frozenset(("value", "val", "result", "measured", "amount", "reading"))


class DataFile:
    """Reads JSON."""

    name, version = "json", 1

    def score(self, data: bytes) -> float | None:
        """Look for the opening of an object or a list."""
        start = data[:200].lstrip(b"\xef\xbb\xbf \t\r\n")
        if start[:1] not in (b"{", b"["):
            return None
        return 0.97 if b'"' in data[:20_000] or start[:1] == b"{" else 0.5

    def read(self, data: bytes, ocr: Ocr | None = None) -> Document:
        """Return objects as names beside values, lists of objects as tables."""
        try:
            content = json.loads(decoded(data) or "")
        except (ValueError, RecursionError) as error:
            raise NotReadable("The JSON is broken or cut short; export it again.") from error
        rows: list[list[str]] = []
        _lay(content, rows, 0)
        return Document("json", (page_of_rows(rows[:MOST_ROWS]),), is_grid=True)


def _lay(content: Any, rows: list[list[str]], depth: int) -> None:
    if depth > _DEEPEST or len(rows) > MOST_ROWS:
        return
    if isinstance(content, dict):
        _lay_object(content, rows, depth)
    elif isinstance(content, list):
        records = [one for one in content if isinstance(one, dict)]
        if records:
            _lay_records(records, rows, depth)
        for one in content:
            if not isinstance(one, dict):
                _lay(one, rows, depth + 1)


def _lay_object(content: dict[str, Any], rows: list[list[str]], depth: int) -> None:
    later = []
    for key, value in content.items():
        if isinstance(value, dict | list):
            if isinstance(value, dict) and (field := _enveloped(value)):
                rows.append([key, *field])
            else:
                later.append((key, value))
        else:
            rows.append([key, _scalar(value)])
    for key, value in later:
        rows.append([])
        rows.append([str(key)])
        _lay(value, rows, depth + 1)


def _enveloped(value: dict[str, Any]) -> list[str] | None:
    """Return the fields of an object that only wraps one value with its unit."""
    if any(isinstance(one, dict | list) for one in value.values()):
        return None
    for name, content in value.items():
        if name.casefold() in _ENVELOPES:
            units = [_scalar(one) for key, one in value.items() if key.casefold() == "unit"]
            return [_scalar(content), *units]
    return None


def _lay_records(records: list[dict[str, Any]], rows: list[list[str]], depth: int) -> None:
    """Lay a list of objects as a table; a list inside an object repeats the object's own fields."""
    table: list[dict[str, str]] = []
    for record in records[:MOST_ROWS]:
        table += _flattened(record, depth)
    heads: dict[str, None] = {}
    for line in table:
        heads.update(dict.fromkeys(line))
    rows.append([])
    rows.append(list(heads))
    rows += [[line.get(head, "") for head in heads] for line in table[:MOST_ROWS]]
    rows.append([])


def _flattened(record: dict[str, Any], depth: int) -> list[dict[str, str]]:
    if depth > _DEEPEST:
        return []
    own: dict[str, str] = {}
    inner: list[dict[str, str]] = []
    for key, value in record.items():
        if isinstance(value, dict):
            if field := _enveloped(value):
                own[key] = " ".join(part for part in field if part)
            else:
                for line in _flattened(value, depth + 1)[:1]:
                    own.update(line)
        elif isinstance(value, list):
            for one in value:
                if isinstance(one, dict):
                    inner += _flattened(one, depth + 1)
        else:
            own[str(key)] = _scalar(value)
    if not inner:
        return [own]
    return [{**own, **line} for line in inner[:MOST_ROWS]]


def _scalar(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return ""
    if isinstance(value, int | float):
        return number_text(value) if abs(value) < 1e15 else ""
    return str(value)[:400]

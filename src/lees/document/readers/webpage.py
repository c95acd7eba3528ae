"""Saved web pages (HTML): tables keep their rows and columns, everything else its lines."""

from __future__ import annotations

import re
from html.parser import HTMLParser

from lees.document.readers import Ocr
from lees.document.readers.delimited import decoded
from lees.document.readers.grid import MOST_COLUMNS, MOST_ROWS, page_of_rows
from lees.document.records import Document

_BLOCKS = frozenset(
    (
        "p div h1 h2 h3 h4 h5 h6 li ul ol dl dt section article header footer br hr pre blockquote "
        "form fieldset legend body main aside figure figcaption caption small label b strong "
        "address details summary output"
    ).split()
)
_SILENT = frozenset(("script style template noscript head svg iframe object select").split())


class Webpage:
    """Reads HTML; nothing that a page names is ever fetched."""

    name, version = "html", 1

    def score(self, data: bytes) -> float | None:
        """Look for the tags of a page."""
        start = data[:4000].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
        if start.startswith((b"<!doctype html", b"<html")):
            return 0.98
        tags = (b"<table", b"<body", b"<div", b"<td", b"<p>", b"<h1")
        return 0.9 if start.startswith(b"<") and any(tag in data.lower() for tag in tags) else None

    def read(self, data: bytes, ocr: Ocr | None = None) -> Document:
        """Return the page's rows as cells."""
        parser = _Rows()
        parser.feed((decoded(data) or data.decode("latin-1")).replace("\x00", ""))
        parser.close()
        parser.flush()
        return Document("html", (page_of_rows(parser.rows),), is_grid=True)


class _Rows(HTMLParser):
    """Collects rows: of tables by cells, of other text by blocks."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.rows: list[list[str]] = []
        self._text: list[str] = []
        self._row: list[str] | None = None
        self._silent = 0
        self._depth = 0
        self._span = 1
        self._in_cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _SILENT:
            self._silent += 1
        elif tag == "table":
            self.flush()
            self._depth += 1
        elif tag == "tr":
            self._end_row()
            self._row, self._text = [], []
        elif tag in ("td", "th"):
            self._end_cell()
            if self._row is None:
                self._row = []
            self._span = max(1, min(_number(attrs, "colspan"), MOST_COLUMNS))
            self._text, self._in_cell = [], True
        elif tag == "dd":
            self._text.append("\t")
        elif tag in _BLOCKS:
            if self._row is None:
                self.flush()
            else:
                self._text.append(" ")

    def handle_endtag(self, tag: str) -> None:
        if tag in _SILENT:
            self._silent = max(0, self._silent - 1)
        elif tag in ("td", "th"):
            self._end_cell()
        elif tag == "tr":
            self._end_row()
        elif tag == "table":
            self._end_row()
            self._depth = max(0, self._depth - 1)
            self.rows.append([])
        elif tag in _BLOCKS and self._row is None:
            self.flush()

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self._text.append(data)

    def flush(self) -> None:
        """End a block of text outside a table as a row; a tab parts a term from its meaning."""
        lines = "".join(self._text)
        self._text = []
        for line in lines.splitlines():
            fields = [" ".join(field.split()) for field in re.split(r"\t+", line)]
            if any(fields) and len(self.rows) < MOST_ROWS:
                self.rows.append([field for field in fields if field])

    def _end_cell(self) -> None:
        if self._row is None or not self._in_cell:
            return
        text = " ".join("".join(self._text).split())
        self._row += [text] + [""] * (self._span - 1)
        self._text, self._span, self._in_cell = [], 1, False

    def _end_row(self) -> None:
        if self._row is not None:
            self._end_cell()
            if self._row and len(self.rows) < MOST_ROWS:
                self.rows.append(self._row[:MOST_COLUMNS])
        self._row = None


def _number(attrs: list[tuple[str, str | None]], name: str) -> int:
    text = next((value for key, value in attrs if key == name), None) or "1"
    return int(text) if text.isascii() and text.isdigit() and len(text) < 5 else 1

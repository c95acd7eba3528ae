"""Plain text as pasted or mailed: columns by the places of letters, as in type of one width."""

from __future__ import annotations

import re

from lees.document.lines import cells_of
from lees.document.readers import NotReadable, Ocr
from lees.document.readers.delimited import decoded
from lees.document.records import Box, Document, Page, Word

_WIDE, _HIGH, _PITCH = 6.0, 10.0, 13.0
_MOST_LINES = 3_000
_QUOTE = re.compile(r"^(?:>\s?)+")


class Plain:
    """Reads any text that nothing else claims."""

    name, version = "text", 1

    def score(self, data: bytes) -> float | None:
        """Accept whatever is text, after all others."""
        return None if decoded(data[:200_000]) is None else 0.3

    def read(self, data: bytes, ocr: Ocr | None = None) -> Document:
        """Return the lines as a page."""
        text = decoded(data)
        if text is None:
            raise NotReadable("The file is not text.")
        lines = text.replace("\x00", "").expandtabs(8).splitlines()[:_MOST_LINES]
        words = [
            Word(
                match.group(),
                Box(
                    match.start() * _WIDE,
                    number * _PITCH,
                    match.end() * _WIDE,
                    number * _PITCH + _HIGH,
                ),
            )
            for number, line in enumerate(lines)
            for match in re.finditer(r"\S+", _QUOTE.sub("", line)[:1000])
        ]
        width = max((word.box.x1 for word in words), default=1.0)
        page = Page(1, width, max(1, len(lines)) * _PITCH, cells_of(words, 1))
        return Document("text", (page,))

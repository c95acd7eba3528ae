"""Rows and columns of a file laid out as cells on a page, so that one understanding serves all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lees.document.records import Box, Cell, Page

_WIDE, _FILLED, _PITCH, _HIGH = 100.0, 90.0, 10.0, 8.0
MOST_ROWS, MOST_COLUMNS = 5_000, 400


def page_of_rows(rows: Iterable[Sequence[str]], number: int = 1) -> Page:
    """Return rows of fields as a page whose cells stand in line, `number` being the sheet's."""
    cells = []
    count = widest = 0
    for row in rows:
        if count >= MOST_ROWS:
            break
        for column, text in enumerate(row[:MOST_COLUMNS]):
            if text and text.strip():
                x0, y0 = column * _WIDE, count * _PITCH
                cells.append(
                    Cell(text.strip()[:400], Box(x0, y0, x0 + _FILLED, y0 + _HIGH), number)
                )
                widest = max(widest, column + 1)
        count += 1
    return Page(number, max(1, widest) * _WIDE, max(1, count) * _PITCH, tuple(cells))

"""Rows and columns of a file laid out as cells on a page, so that one understanding serves all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lees.document.lines import cell_of
from lees.document.records import Box, Cell, Page, Word

_WIDE, _FILLED, _PITCH, _HIGH = 100.0, 90.0, 10.0, 8.0
MOST_ROWS, MOST_COLUMNS = 5_000, 400
_LONGEST = 3_000


class Typed(str):
    """The text of a number that the file keeps as a number."""

    __slots__ = ()


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
                box = Box(x0, y0, x0 + _FILLED, y0 + _HIGH)
                cells.append(_cell(text.strip()[:_LONGEST], box, number, isinstance(text, Typed)))
                widest = max(widest, column + 1)
        count += 1
    return Page(number, max(1, widest) * _WIDE, max(1, count) * _PITCH, tuple(cells))


def _cell(text: str, box: Box, number: int, typed: bool) -> Cell:
    """Return a cell whose words share its place, so that it can come apart like one on a page."""
    parts = text.split()
    if len(parts) < 2:
        return Cell(text, box, number, typed=typed)
    step, words, at = box.width / len(text), [], 0
    for part in parts:
        x0 = box.x0 + step * text.index(part, at)
        at = text.index(part, at) + len(part)
        words.append(Word(part, Box(x0, box.y0, x0 + step * len(part), box.y1)))
    one = cell_of(words, number)
    return Cell(text, box, number, one.confidence, one.words)

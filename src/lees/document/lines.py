"""Words of a page to lines and cells, by geometry alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from statistics import median

from lees.document.records import Cell, Word

_CELL_GAP = 0.55
"""The blank between two cells in heights of the letters; blanks between words are under 0.5."""
_LETTER_GAP = 1.3
"""The same in widths of the letters: in type of one width a blank is a whole letter wide."""


def lines_of(words: Sequence[Word]) -> list[list[Word]]:
    """Return the words as lines from top to bottom, each from left to right.

    A word joins the line whose middle it overlaps by half its height; so a slightly slanted or
    wavy line stays whole as long as neighbours overlap.
    """
    lines: list[list[Word]] = []
    for word in sorted(words, key=lambda one: (one.box.middle_y, one.box.x0)):
        for line in reversed(lines[-6:]):
            near = min(line, key=lambda one: abs(one.box.middle_x - word.box.middle_x))
            shared = near.box.overlap_y(word.box)
            if shared > 0.5 * min(near.box.height, word.box.height):
                line.append(word)
                break
        else:
            lines.append([word])
    return [sorted(line, key=lambda one: one.box.x0) for line in lines]


def cells_of(words: Sequence[Word], page: int) -> tuple[Cell, ...]:
    """Return words joined into cells wherever no more than a word's blank parts them."""
    found: list[Cell] = []
    for line in lines_of([word for word in words if word.text.strip()]):
        run: list[Word] = []
        for word in line:
            if run and _apart(run[-1], word):
                found.append(cell_of(run, page))
                run = []
            run.append(word)
        if run:
            found.append(cell_of(run, page))
    return tuple(found)


def part_of(cell: Cell, words: Iterable[Word]) -> Cell:
    """Return some words of a cell as a cell of their own."""
    one = cell_of(words, cell.page)
    return replace(one, seen=cell.seen, shown=cell.shown, typed=cell.typed)


def cell_of(words: Iterable[Word], page: int) -> Cell:
    """Return one cell of some words."""
    run = tuple(words)
    box = run[0].box
    for word in run[1:]:
        box = box.joined(word.box)
    return Cell(
        " ".join(word.text for word in run),
        box,
        page,
        min(word.confidence for word in run),
        run,
    )


def rows_of(cells: Sequence[Cell]) -> list[list[Cell]]:
    """Return cells as rows from top to bottom, each from left to right."""
    rows: list[list[Cell]] = []
    for cell in sorted(cells, key=lambda one: (one.box.middle_y, one.box.x0)):
        for row in reversed(rows[-4:]):
            near = min(row, key=lambda one: abs(one.box.middle_x - cell.box.middle_x))
            if near.box.overlap_y(cell.box) > 0.5 * min(near.box.height, cell.box.height):
                row.append(cell)
                break
        else:
            rows.append([cell])
    return [sorted(row, key=lambda one: one.box.x0) for row in rows]


def letter_height(cells: Iterable[Cell]) -> float:
    """Return the usual height of the page's letters; 1 where there is nothing.

    Parameters
    ----------
    cells : iterable of Cell
        The page's cells.

    Returns
    -------
    float
        The median height. [points or pixels]
    """
    heights = [cell.box.height for cell in cells if cell.text.strip()]
    return median(heights) if heights else 1.0


def _apart(left: Word, right: Word) -> bool:
    gap = right.box.x0 - left.box.x1
    height = min(left.box.height, right.box.height)
    letters = len(left.text) + len(right.text)
    wide = (left.box.width + right.box.width) / max(1, letters)
    return gap > max(_CELL_GAP * height, min(_LETTER_GAP * wide, 1.2 * height))

"""The scale card as a PDF to print: two cards on one sheet, markers 0–3 and 4–7."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from lees.picture.card import MARKER_MM, MARKERS_PER_CARD, marker_corners_mm

_CELLS = 6
_TITLE = "Scale card for photographs"
_LINE = "50.0 mm: check with a rule"
_STEPS = (
    "Print at 100 %, not fitted to the page, on white matt paper. Hold a steel rule to the line: "
    "from outer edge to outer edge it must be 50.0 mm within 0.1 mm. If it is not, print again.",
    "Cut at the corner marks and keep the white rim: each marker needs 4 mm of white around it.",
    "Lay card 0–3 flat beside the media, in the same plane, with three or four markers in view. "
    "Lay card 4–7 at the far end of a long strip.",
)


class Paper(StrEnum):
    """The sheet in the printer."""

    A4 = "a4"
    LETTER = "letter"


def scale_card_pdf(paper: Paper) -> bytes:
    """Return the sheet with both cards as a PDF."""
    from lees.publish.press import press
    from lees.quantity.data import text

    width = {Paper.A4: 210.0, Paper.LETTER: 215.9}[paper]
    left = (width - 90.0) / 2
    data = {
        "title": _TITLE,
        "paper": {Paper.A4: "a4", Paper.LETTER: "us-letter"}[paper],
        "greys": [10, 30, 50, 80],
        "line": _LINE,
        "steps": _STEPS,
        "text_left": 30,
        "text_top": 18,
        "cards": [_card(0, left, 62.0), _card(MARKERS_PER_CARD, left, 160.0)],
    }
    pdf: bytes = press().pages(text("picture", "scale_card.typ"), {}, data, format="pdf")
    return pdf


def _card(first: int, left: float, top: float) -> dict[str, Any]:
    squares, cells = [], []
    for number in range(first, first + MARKERS_PER_CARD):
        x, y = (float(v) for v in marker_corners_mm(number)[0])
        squares.append({"x": x, "y": y, "side": MARKER_MM})
        cells += _white_cells(number, x, y)
    return {
        "left": left,
        "top": top,
        "name": f"scale card {first}–{first + MARKERS_PER_CARD - 1}",
        "squares": squares,
        "cells": cells,
    }


def _white_cells(number: int, left: float, top: float) -> list[dict[str, float]]:
    """Return a marker's white cells, joined in rows and in columns so that no seam shows."""
    import cv2

    book = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    bits = cv2.aruco.generateImageMarker(book, number, _CELLS) > 0
    cell = MARKER_MM / _CELLS
    joined = []
    for row in range(_CELLS):
        for start, end in _runs([bool(bit) for bit in bits[row]]):
            joined.append((start, row, end - start, 1))
    for column in range(_CELLS):
        for start, end in _runs([bool(bit) for bit in bits[:, column]]):
            joined.append((column, start, 1, end - start))
    return [
        {"x": left + x * cell, "y": top + y * cell, "w": w * cell, "h": h * cell}
        for x, y, w, h in joined
    ]


def _runs(bits: list[bool]) -> list[tuple[int, int]]:
    """Return where runs of true begin and end."""
    found, start = [], None
    for i, bit in enumerate([*bits, False]):
        if bit and start is None:
            start = i
        elif not bit and start is not None:
            found.append((start, i))
            start = None
    return found

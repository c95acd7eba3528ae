"""Which way up a picture of print is: letters stand in lines, and only upright they can be read."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lees.document.seen import Ocr, Picture, Seen

_SIDE = 1000
_STRIP = (0.34, 0.2)
"""Width and height of the piece that is read for a trial, as shares of the picture."""
_SURE = 0.93


def turned_upright(smaller: Picture, picture: Picture, ocr: Ocr) -> Picture:
    """Return a picture of print upright; only a piece of it is read to find out.

    A piece with many letters is read. Lines that are higher than wide lie on their side; print
    upside down gives letters that the recogniser itself hardly believes. `smaller` is the picture
    in the size it is read in.
    """
    x0, y0, x1, y1 = _piece(smaller)
    turns = 0
    piece = np.ascontiguousarray(smaller[y0:y1, x0:x1])
    first = ocr(piece)
    if stand_on_end(first):
        turns = 1
        piece = np.ascontiguousarray(np.rot90(piece))
        first = ocr(piece)
    legible = _legibility(first)
    if 0 < legible < _SURE:
        flipped = ocr(np.ascontiguousarray(np.rot90(piece, 2)))
        turns += 2 if _legibility(flipped) > legible else 0
    return np.ascontiguousarray(np.rot90(picture, turns)) if turns else picture


def stand_on_end(seen: Sequence[Seen]) -> bool:
    """Tell whether most recognised lines are higher than wide: the picture lies on its side."""
    tall = wide = 0
    for one in seen:
        if len(one.text.strip()) < 3:
            continue
        corners = np.array(one.corners)
        width, height = np.ptp(corners[:, 0]), np.ptp(corners[:, 1])
        tall += int(height > 1.3 * width)
        wide += int(width > 1.3 * height)
    return tall > wide


def _legibility(seen: Sequence[Seen]) -> float:
    """Return the mean trust in a piece's letters, 0 where there are hardly any."""
    letters = sum(len(one.text) for one in seen)
    if letters < 12:
        return 0.0
    return sum(one.confidence * len(one.text) for one in seen) / letters


def _piece(picture: Picture) -> tuple[int, int, int, int]:
    """Return where most letters are: left, top, right, bottom of a piece of the picture."""
    high, wide = picture.shape[:2]
    span_x, span_y = _STRIP[0] * wide, _STRIP[1] * high
    middles = _letters(picture)
    best, most = (0.33 * wide, 0.4 * high), -1
    for x in np.linspace(0.06 * wide, 0.94 * wide - span_x, 7):
        for y in np.linspace(0.06 * high, 0.94 * high - span_y, 9):
            inside = (middles[:, 0] > x) & (middles[:, 0] < x + span_x)
            count = int((inside & (middles[:, 1] > y) & (middles[:, 1] < y + span_y)).sum())
            if count > most:
                best, most = (float(x), float(y)), count
    x0, y0 = int(best[0]), int(best[1])
    return x0, y0, int(x0 + span_x), int(y0 + span_y)


def _letters(picture: Picture) -> NDArray[np.float64]:
    """Return the middles of what could be letters: small, dark, and on something bright."""
    import cv2

    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    scale = min(1.0, _SIDE / max(grey.shape))
    if scale < 1:
        grey = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    ink = cv2.adaptiveThreshold(
        grey, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, 25, 18
    )
    ink[cv2.blur(grey, (25, 25)) < np.median(grey) * 0.75] = 0
    _, _, stats, middles = cv2.connectedComponentsWithStats(ink, connectivity=8)
    wide, high, area = (stats[1:, k] for k in (2, 3, 4))
    large = np.maximum(wide, high)
    usable = (area >= 5) & (large >= 4) & (large <= 40) & (area > 0.12 * wide * high)
    found: NDArray[np.float64] = np.asarray(middles[1:][usable], dtype=np.float64) / scale
    return found

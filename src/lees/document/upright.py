"""Which way up a picture of print is: letters stand in lines, and only upright they can be read."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lees.document.seen import Ocr, Picture, Seen

_SIDE = 1400
_FEWEST = 40
_STRIP = (0.34, 0.2)
"""Width and height of the piece that is read for a trial, as shares of the picture."""
_SURE = 0.93


def turned_upright(picture: Picture, ocr: Ocr) -> Picture:
    """Return a picture of print upright; only a small piece of it is read to find out.

    Letters stand closer to their neighbours in a line than to the next line, which tells lying
    from standing lines. A piece with many letters is then read, and once more upside down unless
    it reads well; print upside down gives letters that the recogniser itself hardly believes.
    """
    boxes = _letters(picture)
    if len(boxes) < _FEWEST:
        return picture
    beside = _neighbours(boxes)
    lying = (np.abs(beside[:, 0]) > np.abs(beside[:, 1])).mean() < 0.5
    upright = np.ascontiguousarray(np.rot90(picture)) if lying else picture
    if lying:
        boxes = _letters(upright)
    piece = _piece(upright, boxes)
    first = _legibility(ocr(piece))
    if first >= _SURE:
        return upright
    second = _legibility(ocr(np.ascontiguousarray(np.rot90(piece, 2))))
    return np.ascontiguousarray(np.rot90(upright, 2)) if second > first else upright


def _legibility(seen: list[Seen]) -> float:
    """Return the mean trust in a piece's letters, 0 where there are hardly any."""
    letters = sum(len(one.text) for one in seen)
    if letters < 12:
        return 0.0
    return sum(one.confidence * len(one.text) for one in seen) / letters


def _piece(picture: Picture, boxes: NDArray[np.float64]) -> Picture:
    """Return the piece of a picture that holds most letters."""
    high, wide = picture.shape[:2]
    scale = max(picture.shape[:2]) / min(_SIDE, max(picture.shape[:2]))
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2 * scale
    span_x, span_y = _STRIP[0] * wide, _STRIP[1] * high
    best, most = (0.0, 0.0), -1
    for x in np.linspace(0, wide - span_x, 7):
        for y in np.linspace(0, high - span_y, 9):
            inside = (middles[:, 0] > x) & (middles[:, 0] < x + span_x)
            count = int((inside & (middles[:, 1] > y) & (middles[:, 1] < y + span_y)).sum())
            if count > most:
                best, most = (float(x), float(y)), count
    x0, y0 = int(best[0]), int(best[1])
    return np.ascontiguousarray(picture[y0 : int(y0 + span_y), x0 : int(x0 + span_x)])


def _letters(picture: Picture) -> NDArray[np.float64]:
    """Return the boxes of what could be letters: left, top, right, bottom, in a smaller picture."""
    import cv2

    grey = picture if picture.ndim == 2 else cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    scale = _SIDE / max(grey.shape)
    if scale < 1:
        grey = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    ink = cv2.adaptiveThreshold(
        grey, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, 31, 14
    )
    _, _, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    x, y, wide, high, area = (stats[1:, k].astype(np.float64) for k in range(5))
    small, large = np.minimum(wide, high), np.maximum(wide, high)
    usable: NDArray[np.bool_] = (area >= 6) & (large >= 5) & (large <= 60) & (small >= 2)
    usable &= area > 0.12 * wide * high
    boxes: NDArray[np.float64] = np.stack([x, y, x + wide, y + high], axis=1)[usable]
    return boxes[:: len(boxes) // 3000] if len(boxes) > 6000 else boxes


def _neighbours(boxes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the way from each letter to the nearest."""
    from scipy.spatial import cKDTree

    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    _, order = cKDTree(middles).query(middles, k=2)
    found: NDArray[np.float64] = middles[order[:, 1]] - middles
    return found

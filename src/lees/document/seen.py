"""Words recognised in a picture, put straight by the lie of their own lines.

The recogniser gives each line of letters with its four corners. Their slopes, fitted over the page,
say how it lies; the places of words are corrected by that, the picture itself is left as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.document.records import Box, Word

Picture = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Seen:
    """A recognised line: its text, its corners clockwise from the top left, trust from 0 to 1."""

    text: str
    corners: tuple[
        tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]
    ]
    confidence: float


Ocr = Callable[[Picture], list[Seen]]
"""What recognises the letters of an upright picture (rows × columns × 3, red first)."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A recognised line with its place put straight and its place in the picture."""

    words: tuple[Word, ...]
    shown: Box


def straightened(seen: Sequence[Seen]) -> list[Placed]:
    """Return recognised lines with the places they would have on a flat and upright page."""
    if not seen:
        return []
    corners = np.array([one.corners for one in seen], dtype=np.float64)
    level = _level(corners)
    plumb = _plumb(level)
    return [
        Placed(_words(one, flat), _bounds(given))
        for one, flat, given in zip(seen, plumb, corners, strict=True)
    ]


def _level(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return corners with lines made level.

    The usual slope of wide lines comes first; then places are linked into rows again and again,
    and what bends all rows alike (slope, perspective, curl) is fitted and taken out.
    """
    left = (corners[:, 0] + corners[:, 3]) / 2
    right = (corners[:, 1] + corners[:, 2]) / 2
    run = right[:, 0] - left[:, 0]
    high = float(np.median(np.linalg.norm(corners[:, 3] - corners[:, 0], axis=1)))
    wide = run > 3 * high
    if wide.sum() < 3 or len(corners) < 6:
        return corners
    slope = float(np.median((right[wide, 1] - left[wide, 1]) / run[wide]))
    size = max(1.0, float(corners.max()))
    middle = corners.mean(axis=1) / size
    x, y = middle[:, 0], middle[:, 1]
    ends = np.stack([left[:, 0], right[:, 0]], axis=1) / size
    factors = np.array([slope, 0.0, 0.0, 0.0])
    for reach in (0.6, 0.5, 0.45, 0.4, 0.4):
        flat = y - _bends(x, y) @ factors
        rows = _rows(ends, flat, reach * high / size)
        inside = np.bincount(rows)[rows] > 1
        if inside.sum() < 8:
            break
        terms = _bends(x, y)
        count = np.bincount(rows).astype(np.float64)
        means = np.stack([np.bincount(rows, terms[:, k]) / count for k in range(4)], axis=1)
        spread = (terms - means[rows])[inside]
        rise = (y - (np.bincount(rows, y) / count)[rows])[inside]
        ridge = np.diag([1e-6, 1e-4, 1e-4, 1e-3]) * inside.sum()
        factors = np.linalg.solve(
            spread.T @ spread + ridge * spread.var(axis=0).max(), spread.T @ rise
        )
    px, py = corners[..., 0] / size, corners[..., 1] / size
    rise = np.stack([_bends(px[:, k], py[:, k]) @ factors for k in range(4)], axis=1)
    found = corners.copy()
    found[..., 1] = (py - rise) * size
    found[..., 0] = (px + factors[0] * py) * size
    return found


def _bends(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what bends a row: slope, slope that changes down the page, curl of two orders."""
    return np.stack([x, x * y, x**2, x**3], axis=1)


def _rows(ends: NDArray[np.float64], flat: NDArray[np.float64], reach: float) -> NDArray[np.int64]:
    """Return the row of each place: each is linked to the nearest one on its right."""
    parent = np.arange(len(flat))
    for one in np.argsort(ends[:, 0]):
        beyond = (ends[:, 0] >= ends[one, 1] - reach) & (np.abs(flat - flat[one]) < reach)
        beyond[one] = False
        if beyond.any():
            near = np.flatnonzero(beyond)
            parent[near[np.argmin(ends[near, 0] + 2 * np.abs(flat[near] - flat[one]))]] = one
    roots = parent.copy()
    for _ in range(len(flat)):
        further = parent[roots]
        if (further == roots).all():
            break
        roots = further
    _, found = np.unique(roots, return_inverse=True)
    return np.asarray(found, dtype=np.int64)


def _plumb(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return corners with columns made plumb: the lean under which most edges stand in line.

    Lean and fan (columns that run together upwards or downwards) are tried over a coarse grid and
    then over finer ones around the best.
    """
    edges = np.concatenate([corners[:, [0, 3]].mean(axis=1), corners[:, [1, 2]].mean(axis=1)])
    if len(edges) < 12:
        return corners
    size = max(1.0, float(corners[..., 1].max()))
    wide = max(1.0, float(edges[:, 0].max()))
    step = max(2.0, float(np.median(corners[:, 3, 1] - corners[:, 0, 1])) / 4)
    x, y = edges[:, 0] / wide - 0.5, edges[:, 1] / size - 0.5
    best, lean, fan = -np.inf, 0.0, 0.0
    for reach, count in (((0.16, 0.36), 17), ((0.02, 0.045), 9), ((0.005, 0.011), 9)):
        middle = (lean, fan)
        for tilt in middle[0] + np.linspace(-reach[0], reach[0], count):
            for spread in middle[1] + np.linspace(-reach[1], reach[1], count):
                moved = (x - (tilt + spread * x) * y + 1.5) * wide / step
                counts = np.bincount(np.maximum(0, moved).astype(np.int64)).astype(np.float64)
                score = float(((counts[:-1] + counts[1:]) ** 2).sum())
                score -= 0.4 * len(x) * (abs(tilt) + 0.5 * abs(spread))
                if score > best:
                    best, lean, fan = score, float(tilt), float(spread)
    found = corners.copy()
    high = corners[..., 1] / size - 0.5
    across = corners[..., 0] / wide - 0.5
    found[..., 0] = (across - (lean + fan * across) * high + 0.5) * wide
    return found


def _bounds(corners: NDArray[np.float64]) -> Box:
    low, high = corners.min(axis=0), corners.max(axis=0)
    return Box(float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def _words(one: Seen, corners: NDArray[np.float64]) -> tuple[Word, ...]:
    """Return the words of a line, its width shared out by their letters."""
    x0, x1 = corners[[0, 3], 0].mean(), corners[[1, 2], 0].mean()
    y0, y1 = corners[[0, 1], 1].mean(), corners[[2, 3], 1].mean()
    text = one.text
    step = (x1 - x0) / max(1, len(text))
    words, at = [], 0
    for part in text.split():
        start = text.index(part, at)
        at = start + len(part)
        box = Box(float(x0 + start * step), float(y0), float(x0 + at * step), float(y1))
        words.append(Word(part, box, one.confidence))
    return tuple(words)

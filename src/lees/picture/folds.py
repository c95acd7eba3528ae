"""The lines that folds draw across the media, told from particles by how far they run on.

A fold runs straight across the sheet; a median along its direction, over more than any particle's
length, keeps the fold and loses the particle. The direction is that of the strongest projection
(Radon, Berichte der Sächsischen Akademie 69 (1917) 262–277).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lees.picture.flat import flat_view
from lees.picture.plane import Plane

_ALONG_MM = 17.0
_COARSE_SIDE = 260
_STANDS_OUT = 2.2


def fold_tone(
    rise: NDArray[np.float32], weight: NDArray[np.float32], plane: Plane, scale: float
) -> NDArray[np.float32]:
    """Return the part of the media's tone that runs along its folds.

    Parameters
    ----------
    rise : ndarray of shape (M, N)
        What is left of a smaller picture after its smooth tone [1].
    weight : ndarray of shape (M, N)
        One on the media, zero elsewhere [1].
    plane
        The plane of the full picture.
    scale : float
        The smaller picture's size over the full one's [1].

    Returns
    -------
    ndarray of shape (M, N)
        Zero where there are no folds [1].

    References
    ----------
    .. [1] J. Radon, Über die Bestimmung von Funktionen durch ihre Integralwerte längs gewisser
       Mannigfaltigkeiten, 1917.
    """
    import cv2

    rows, columns = np.nonzero(weight[::4, ::4])
    if rows.size < 50:
        return np.zeros_like(rise)
    outline = np.asarray((np.column_stack([columns, rows]) * 4 + 0.5) / scale - 0.5, np.float64)
    span = np.ptp(plane.to_mm(outline), axis=0)
    coarse = flat_view(plane, outline, px_per_mm=_COARSE_SIDE / float(span.max()))
    maps = coarse.maps(plane, scale)
    usual = float(np.median(np.abs(rise[weight > 0]))) + 0.3
    clipped = np.clip(rise, -5 * usual, 5 * usual) * weight
    flat = cv2.remap(clipped, *maps, cv2.INTER_AREA)
    on = cv2.remap(weight, *maps, cv2.INTER_AREA)
    degrees = _direction(flat, on)
    if degrees is None:
        return np.zeros_like(rise)
    fine = flat_view(
        plane, outline, px_per_mm=min(max(rise.shape) / float(span.max()), 40.0), degrees=degrees
    )
    maps = fine.maps(plane, scale)
    flat = cv2.remap(rise * weight, *maps, cv2.INTER_LINEAR)
    on = cv2.remap(weight, *maps, cv2.INTER_LINEAR)
    lines = _median_along(flat, on, fine.px_per_mm)
    back = cv2.remap(lines, *fine.maps_back(plane, scale, rise.shape), cv2.INTER_LINEAR)
    return np.asarray(back * weight, np.float32)


def _direction(flat: NDArray[np.float32], on: NDArray[np.float32]) -> float | None:
    """Return the turn that stands the folds upright, or None where nothing runs straight on."""
    coarse = np.arange(0.0, 180.0, 3.0)
    strength = np.array([_upright_strength(flat, on, d) for d in coarse])
    best = float(coarse[strength.argmax()])
    if strength.max() < _STANDS_OUT * np.median(strength):
        return None
    fine = np.arange(best - 3, best + 3.1, 0.5)
    return float(fine[np.argmax([_upright_strength(flat, on, d) for d in fine])])


def _upright_strength(flat: NDArray[np.float32], on: NDArray[np.float32], degrees: float) -> float:
    """Return how much the columns of a turned view differ."""
    import cv2

    size = int(np.hypot(*flat.shape)) + 1
    middle = ((flat.shape[1] - 1) / 2, (flat.shape[0] - 1) / 2)
    move = cv2.getRotationMatrix2D(middle, degrees, 1.0)
    move[:, 2] += (size - 1) / 2 - np.array(middle)
    total = cv2.reduce(cv2.warpAffine(flat, move, (size, size)), 0, cv2.REDUCE_SUM)[0]
    count = cv2.reduce(cv2.warpAffine(on, move, (size, size)), 0, cv2.REDUCE_SUM)[0]
    good = count > 0.35 * count.max()
    if good.sum() < 12:
        return 0.0
    profile = total[good] / count[good]
    trend = np.convolve(np.pad(profile, 6, mode="edge"), np.ones(13) / 13, "valid")
    # Noise averages out over a column; longer columns would else seem calmer.
    return float(((profile - trend) ** 2 * count[good]).mean())


def _median_along(
    flat: NDArray[np.float32], on: NDArray[np.float32], px_per_mm: float
) -> NDArray[np.float32]:
    """Return the running median down the columns, over `_ALONG_MM`."""
    import cv2

    rows, columns = flat.shape
    steps = max(round(rows / px_per_mm), 3)
    total = cv2.resize(flat, (columns, steps), interpolation=cv2.INTER_AREA)
    share = cv2.resize(on, (columns, steps), interpolation=cv2.INTER_AREA)
    mean = np.where(share > 0.4, total / np.maximum(share, 0.1), np.nan).astype(np.float32)
    half = min(int(_ALONG_MM / 2), max(steps // 2, 1))
    padded = np.pad(mean, ((half, half), (0, 0)), constant_values=np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1, axis=0)
    known = np.isfinite(windows).sum(axis=2)
    ordered = np.sort(windows, axis=2)  # NaN sorts last
    middle = np.take_along_axis(ordered, np.maximum(known // 2, 0)[..., None], axis=2)[..., 0]
    middle = np.where(known >= half, middle, 0.0).astype(np.float32)
    return np.asarray(cv2.resize(middle, (columns, rows), interpolation=cv2.INTER_LINEAR))

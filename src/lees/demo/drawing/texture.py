"""Random surfaces: clouds for stains and unevenness, felt for the fibres of a filter medium."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.float32]
"""One number a pixel: a height, a share, an albedo of one colour."""


FIBRE_PX_PER_MM = 8.0
"""Below this many pixels a millimetre no fibre can be told from the next."""


def clouds(shape: tuple[int, int], cell_px: float, chance: np.random.Generator) -> Plane:
    """Return smooth noise of mean zero and standard deviation one, in spots of about one cell."""
    coarse_px = max(cell_px / 3, 1.0)
    rows, columns = (int(size / coarse_px) + 9 for size in shape)
    white = chance.standard_normal((rows, columns), dtype=np.float32)
    coarse = cv2.GaussianBlur(white, (0, 0), 0.45 * cell_px / coarse_px)
    across = np.array([[coarse_px, 0, -4 * coarse_px], [0, coarse_px, -4 * coarse_px]], np.float32)
    fine = cv2.warpAffine(coarse, across, (shape[1], shape[0]), flags=cv2.INTER_CUBIC)
    return np.asarray((fine - fine.mean()) / (fine.std() + 1e-9), np.float32)


def billows(shape: tuple[int, int], cell_px: float, chance: np.random.Generator) -> Plane:
    """Return clouds upon clouds: four sizes, each half of the one before in size and height."""
    total = np.zeros(shape, np.float32)
    for octave in range(4):
        total += clouds(shape, max(cell_px / 2**octave, 1.5), chance) / 2**octave
    return np.asarray(total / total.std(), np.float32)


def felt(shape: tuple[int, int], px_per_mm: float, chance: np.random.Generator) -> Plane:
    """Return the height of a mat of fibres, 0 to about 1: each some 2 mm long and bent a little."""
    if px_per_mm < FIBRE_PX_PER_MM:
        return np.asarray(0.45 + 0.15 * clouds(shape, 1.6, chance), np.float32)
    canvas = np.zeros(shape, np.uint8)
    area_mm2 = shape[0] * shape[1] / px_per_mm**2
    count = int(area_mm2 * 9)
    start = chance.random((count, 2)) * (shape[1], shape[0])
    angle = chance.random(count) * 2 * np.pi
    bend = chance.normal(0, 0.35, (count, 3))
    step = chance.gamma(4, 0.14, count) * px_per_mm
    tone = chance.integers(40, 255, count)
    points = np.empty((count, 4, 2))
    points[:, 0] = start
    for k in range(3):
        angle = angle + bend[:, k]
        points[:, k + 1] = points[:, k] + step[:, None] * np.stack(
            [np.cos(angle), np.sin(angle)], axis=1
        )
    lines = np.round(points * 16).astype(np.int32)
    for line, value in zip(lines, tone, strict=True):
        cv2.polylines(canvas, [line], False, int(value), 1, cv2.LINE_AA, 4)
    height = canvas.astype(np.float32) / 255
    return np.asarray(0.6 * height + 0.4 * cv2.GaussianBlur(height, (0, 0), 1.5), np.float32)

"""What the media would look like without particles: its smooth tone and how much it varies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.picture.decode import Pixels
from lees.picture.folds import fold_tone
from lees.picture.plane import Plane
from lees.picture.sheet import Sheet

_LONG_SIDE = 1100
_CLIPPED = 30.0
_MEAN_TO_SIGMA = 1.2533  # a Gaussian's sigma over its mean absolute value


@dataclass(frozen=True, slots=True)
class Ground:
    """Tone and spread of one channel, each as an image smaller than the channel by `scale`.

    `folds` is the part of the tone that runs along straight lines.
    """

    tone: NDArray[np.float32]
    folds: NDArray[np.float32]
    sigma: NDArray[np.float32]
    scale: float

    def tone_at(self, shape: tuple[int, int]) -> Pixels:
        """Return the tone drawn out to a shape, in 8 bits."""
        import cv2

        return np.asarray(
            cv2.resize(np.clip(np.rint(self.tone), 0, 255).astype(np.uint8), shape[::-1])
        )

    def patch(self, corner: tuple[int, int], shape: tuple[int, int]) -> NDArray[np.float32]:
        """Return the tone under a window of the channel at full precision."""
        import cv2

        left, top = corner
        shift = (left + 0.5) * self.scale - 0.5, (top + 0.5) * self.scale - 0.5
        move = np.array([[self.scale, 0, shift[0]], [0, self.scale, shift[1]]])
        how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        return np.asarray(
            cv2.warpAffine(self.tone, move, shape[::-1], flags=how, borderMode=cv2.BORDER_REPLICATE)
        )

    def sigma_at(self, x: float, y: float) -> float:
        """Return the spread at a pixel of the channel."""
        row, column = self._place(x, y)
        return float(self.sigma[row, column])

    def fold_at(self, x: float, y: float) -> float:
        """Return the tone of a fold at a pixel of the channel, the strongest nearby."""
        row, column = self._place(x, y)
        near = self.folds[max(row - 2, 0) : row + 3, max(column - 2, 0) : column + 3]
        return float(near.flat[int(np.abs(near).argmax())])

    def _place(self, x: float, y: float) -> tuple[int, int]:
        row = min(max(int((y + 0.5) * self.scale), 0), self.sigma.shape[0] - 1)
        column = min(max(int((x + 0.5) * self.scale), 0), self.sigma.shape[1] - 1)
        return row, column


def ground_of(
    channel: Pixels, sheet: Sheet, plane: Plane, *, window_px: float, zoom: float
) -> Ground:
    """Return the media's tone under and between its particles.

    Parameters
    ----------
    channel : ndarray of shape (M, N)
        One channel of the picture.
    sheet : Sheet
        Where the media is.
    plane
        The plane of the full picture.
    window_px : float
        The side of the window whose median is taken: over twice the largest particle [px].
    zoom : float
        The channel's size over the full picture's [1].

    Returns
    -------
    Ground
        Its tone and its spread, particles left out.
    """
    import cv2

    scale = min(1.0, _LONG_SIDE / max(channel.shape))
    small = cv2.resize(channel, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    shape = small.shape[::-1]
    media = cv2.resize(sheet.mask, shape, interpolation=cv2.INTER_NEAREST)
    filled = _filled_outside(small, media)
    side = int(np.clip(window_px * scale, 9, 201)) | 1
    rough = cv2.medianBlur(filled, side)
    tone = cv2.GaussianBlur(rough.astype(np.float32), (0, 0), max(side / 8, 1.0))
    weight = (media > 0).astype(np.float32)
    folds = fold_tone(small.astype(np.float32) - tone, weight, plane, scale * zoom)
    tone = tone + folds
    full = cv2.resize(np.clip(np.rint(tone), 0, 255).astype(np.uint8), channel.shape[::-1])
    apart = cv2.resize(
        cv2.min(cv2.absdiff(channel, full), _CLIPPED), shape, interpolation=cv2.INTER_AREA
    ).astype(np.float32)
    return Ground(tone, folds, _spread(apart, weight, side), scale)


def _spread(
    apart: NDArray[np.float32], weight: NDArray[np.float32], side: int
) -> NDArray[np.float32]:
    """Return the local spread: a median that particles do not move, raised where lines lie."""
    import cv2

    usual = float(np.median(apart[weight > 0])) if weight.any() else 1.0
    filled = np.where(weight > 0, apart, usual)
    finer = 6.0
    eight = np.clip(np.rint(filled * finer), 0, 255).astype(np.uint8)
    size = min(2 * side, 255) | 1
    middle = cv2.medianBlur(eight, size).astype(np.float32) / finer
    mean = cv2.blur(np.minimum(filled, 4 * middle + 0.5), (size, size))
    return np.asarray(np.maximum(_MEAN_TO_SIGMA * np.maximum(middle, 0.8 * mean), 0.6), np.float32)


def _filled_outside(small: Pixels, media: Pixels) -> Pixels:
    """Carry the media's own tone over its edges, so that card and table do not pull the median."""
    import cv2

    if media.all():
        return small
    weight = (media > 0).astype(np.float32)
    filled = small.astype(np.float32)
    for sigma in (6.0, 18.0, 60.0, 240.0):
        total = cv2.blur(filled * weight, (int(sigma) | 1,) * 2)
        count = cv2.blur(weight, (int(sigma) | 1,) * 2)
        reach = (weight == 0) & (count > 0.02)
        filled = np.where(reach, total / np.maximum(count, 1e-3), filled)
        weight = np.where(reach, np.float32(1), weight).astype(np.float32)
    return np.asarray(np.clip(np.rint(filled), 0, 255).astype(np.uint8))

"""How sharp a picture is, and whether its grey or its light was spread, from printed edges."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.picture.card import MARKER_MM, FoundCard
from lees.picture.plane import Plane

_SAMPLING_BLUR = 0.15  # variance that reading between pixels adds to an edge [px²]
_TONES = np.linspace(1.0, 2.4, 15)
_LEAST_SHIFT_PX = 0.04


@dataclass(frozen=True, slots=True)
class Focus:
    """The blur as a Gaussian's sigma, and the exponent from grey to light.

    A lens spreads light and not grey: read at half its grey, a black mark then looks smaller than
    it is, by an amount that tells the camera's tone curve. `tone` 1 means that grey itself was
    spread, as after sharpening or in a drawing; 2.2 means light.
    """

    blur_px: float
    tone: float = 1.0

    def light(self, grey: NDArray[np.generic]) -> NDArray[np.float32]:
        """Return what was spread, on a scale of 0 to 255, from grey values."""
        values = np.asarray(grey, np.float32)
        if self.tone == 1.0:
            return values
        return np.asarray(255 * (np.maximum(values, 0) / 255) ** np.float32(self.tone), np.float32)


def focus_of(cards: tuple[FoundCard, ...], plane: Plane) -> Focus | None:
    """Return blur and tone as the cards' printed edges tell them.

    Parameters
    ----------
    cards : tuple of FoundCard
        The cards in the picture.
    plane
        The plane that they define.

    Returns
    -------
    Focus or None
        None where no edge could be read.
    """
    curves = [card.edge for card in cards if card.edge is not None]
    if not curves:
        return None
    outside = -_spread_px(cards, plane)
    # The exponent at which the printed edges lie where they truly are.
    shifts = [
        float(np.median([c.middle_px(tone) - c.middle_px(1.0) for c in curves])) for tone in _TONES
    ]
    tone = float(np.interp(outside, shifts, _TONES)) if outside > _LEAST_SHIFT_PX else 1.0
    blur = float(np.median([curve.blur_px(tone) for curve in curves]))
    return Focus(math.sqrt(max(blur**2 - _SAMPLING_BLUR, 0.2)), tone)


def _spread_px(cards: tuple[FoundCard, ...], plane: Plane) -> float:
    """Return how far the markers' sides lie outside their true places."""
    outward = []
    for card in cards:
        for marker in card.markers:
            corners = plane.to_mm(marker.corners_px)
            side = np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1).mean()
            scale = plane.mm_per_px(marker.corners_px.mean(axis=0)[None])[0]
            outward.append((side - MARKER_MM) / 2 / scale)
    return float(np.median(outward))

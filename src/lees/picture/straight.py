"""Whether a long spot goes on beyond its ends, as a fold, a seam or a scratch does."""

from __future__ import annotations

import numpy as np

from lees.picture.decode import Pixels
from lees.picture.outline import Outline
from lees.quantity.arrays import Numbers

_SHARE = 0.3


def runs_on(grey: Pixels, outline: Outline) -> bool:
    """Tell whether a line continues beyond the ends of a long spot.

    Parameters
    ----------
    grey : ndarray of shape (M, N)
        The picture's grey values.
    outline : Outline
        The spot.

    Returns
    -------
    bool
        True where the grey along the spot's axis, beyond both of its ends, still differs from the
        grey to both sides by a good part of the spot's own height.
    """
    import cv2

    points = outline.contour - outline.centre
    _, _, axes = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)
    along, across = points @ axes[0], points @ axes[1]
    half = (along.min(), along.max())
    width = max(float(np.ptp(across)), 2.0)
    reach = min(max(half[1] - half[0], 20.0), 80.0)
    steps = np.arange(4.0, reach, 1.0)
    aside = np.array([-width - 2, -width / 2 - 2, 0.0, width / 2 + 2, width + 2])
    marks: list[float | None] = []
    for end, sign in ((half[0], -1.0), (half[1], 1.0)):
        t = end + sign * steps
        at = outline.centre + t[:, None, None] * axes[0] + aside[:, None] * axes[1]
        if (at < 0).any() or (at > np.array(grey.shape[::-1]) - 1).any():
            marks.append(None)
            continue
        at = at.astype(np.float32)
        seen = cv2.remap(grey, at[..., 0], at[..., 1], cv2.INTER_LINEAR).astype(np.float64)
        marks.append(_ridge(seen))
    known = [mark for mark in marks if mark is not None]
    return (
        bool(known)
        and all(abs(mark) > _SHARE * outline.height for mark in known)
        and (len({mark > 0 for mark in known}) == 1)
    )


def _ridge(seen: Numbers) -> float:
    """Return how far the middle line stands out from the lines to its sides."""
    middle = seen[:, 2]
    sides = (seen[:, 0] + seen[:, 1] + seen[:, 3] + seen[:, 4]) / 4
    return float(np.median(middle - sides))

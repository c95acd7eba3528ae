"""Where the end view of a pleat pack lies in a picture: its centre, its rim and its bore.

The legs of the pleats point at the centre; every steep edge votes for the points along its own
direction (Hough's transform for a point: Duda and Hart, Communications of the ACM 15 (1972) 11–15).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.errors import UnusableInput
from lees.picture.decode import Pixels
from lees.quantity.arrays import Numbers

_SMALL_SIDE = 640
_VOTERS = 9000
_SECTORS = 24
_PACK_SHARE = 0.42
ANGLES = 4096
RADII = 96


class NoPack(UnusableInput):
    """No ring of pleats in the picture."""


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack unrolled: `polar` holds one row for each radius, bore to rim, and wraps in angle.

    `centre` and `rim` (one radius for each angle) are in pixels of the full picture; `bore` is the
    inner radius as a share of the rim.
    """

    polar: NDArray[np.float32]
    centre: Numbers
    rim: Numbers
    bore: float
    depth: NDArray[np.float32]

    def to_px(self, angles: Numbers, share: float) -> Numbers:
        """Return the places at angles (in columns of `polar`) and a share of the rim's radius."""
        turn = angles / self.polar.shape[1] * 2 * np.pi
        radius = np.interp(angles, np.arange(self.rim.size), self.rim) * share
        return self.centre + np.column_stack([np.cos(turn), np.sin(turn)]) * radius[:, None]


def find_pack(grey: Pixels, left_out: tuple[Numbers, ...] = ()) -> Pack:
    """Return the pack of pleats in a picture, unrolled.

    Parameters
    ----------
    grey : ndarray of shape (M, N)
        The picture's grey values.
    left_out : tuple of ndarray of shape (K, 2)
        Outlines of cards [px].

    Returns
    -------
    Pack
        With its rim allowed to be an ellipse, as a tilted camera sees it.

    Raises
    ------
    NoPack
        Where no ring of radial edges is found.
    """
    import cv2

    scale = min(1.0, _SMALL_SIDE / max(grey.shape))
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    hidden = np.zeros(small.shape, np.uint8)
    for outline in left_out:
        cv2.fillPoly(hidden, [np.rint((outline + 0.5) * scale - 0.5).astype(np.int32)], 255)
    hidden = cv2.dilate(hidden, np.ones((9, 9), np.uint8))
    centre = _centre(small, hidden)
    for _ in range(2):
        rim, bore = _radii(small, hidden, centre)
        shift = _middle_of(rim)
        centre = centre + shift
        if np.hypot(*shift) < 0.5:
            break
    rim, bore = _radii(small, hidden, centre)
    centre_px, rim_px = (centre + 0.5) / scale - 0.5, rim / scale
    polar, depth = _unrolled(grey, centre_px, rim_px, bore)
    return Pack(polar, centre_px, rim_px, bore, depth)


def _centre(small: Pixels, hidden: Pixels) -> Numbers:
    import cv2

    smooth = cv2.GaussianBlur(small, (0, 0), 1.0)
    right = cv2.Scharr(smooth, cv2.CV_32F, 1, 0)
    down = cv2.Scharr(smooth, cv2.CV_32F, 0, 1)
    steep = np.hypot(right, down)
    steep[hidden > 0] = 0
    steep[:3], steep[-3:], steep[:, :3], steep[:, -3:] = 0, 0, 0, 0
    limit = np.quantile(steep[hidden == 0], 0.85)
    rows, columns = np.nonzero(steep > max(float(limit), 1.0))
    if rows.size < 200:
        raise NoPack(
            "No pleats are seen; photograph the end of the pack square on, filling the picture."
        )
    chosen = np.linspace(0, rows.size - 1, min(_VOTERS, rows.size)).astype(int)
    rows, columns = rows[chosen], columns[chosen]
    weight = np.minimum(steep[rows, columns], 4 * limit)
    normal = np.column_stack([right[rows, columns], down[rows, columns]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    along = np.column_stack([-normal[:, 1], normal[:, 0]])
    at = np.column_stack([columns, rows]).astype(np.float64)
    reach = np.arange(-0.5 * max(small.shape), 0.5 * max(small.shape), 2.0)
    reach = reach[np.abs(reach) > 12]
    cell = 4
    votes = np.zeros((small.shape[0] // cell + 1, small.shape[1] // cell + 1))
    points = at[:, None] + reach[:, None] * along[:, None]
    cells = (points / cell).astype(int)
    inside = (
        (cells >= 0).all(axis=2)
        & (cells[..., 0] < votes.shape[1])
        & (cells[..., 1] < votes.shape[0])
    )
    weights = np.broadcast_to(weight[:, None], inside.shape)[inside]
    flat = cells[inside]
    np.add.at(votes, (flat[:, 1], flat[:, 0]), weights)
    votes = cv2.GaussianBlur(votes, (0, 0), 1.5)
    row, column = np.unravel_index(int(votes.argmax()), votes.shape)
    centre = np.array([column, row], np.float64) * cell + cell / 2
    for limit_px in (0.12, 0.08, 0.06):
        offset = ((centre - at) * normal).sum(axis=1)
        distance = np.linalg.norm(at - centre, axis=1) + 1
        near = np.abs(offset) < limit_px * distance + 2
        pull = weight[near] / distance[near]
        matrix = (normal[near] * pull[:, None]).T @ normal[near]
        target = (normal[near] * pull[:, None]).T @ (normal[near] * at[near]).sum(axis=1)
        centre = np.linalg.solve(matrix + 1e-6 * np.eye(2), target)
    return centre


def _radii(small: Pixels, hidden: Pixels, centre: Numbers) -> tuple[Numbers, float]:
    """Return the rim's radius for every angle and the bore as a share of it."""
    import cv2

    corners = np.array([(0, 0), (small.shape[1], 0), (0, small.shape[0]), small.shape[::-1]])
    furthest = int(np.linalg.norm(corners - centre, axis=1).max())
    size = (furthest, 1440)
    polar = cv2.warpPolar(
        small, size, tuple(map(float, centre)), furthest, cv2.WARP_POLAR_LINEAR
    ).astype(np.float32)
    shown = np.full(small.shape, 255, np.uint8)
    shown[hidden > 0] = 0
    seen = cv2.warpPolar(shown, size, tuple(map(float, centre)), furthest, cv2.WARP_POLAR_LINEAR)
    around = np.abs(np.roll(polar, -2, axis=0) - np.roll(polar, 2, axis=0))
    around /= np.maximum(np.arange(furthest) * (4 * 2 * np.pi / 1440), 1.0)[None]
    known = (cv2.erode(seen, np.ones((9, 9), np.uint8)) == 255).astype(np.float32)
    around = np.minimum(around, np.quantile(around[known > 0], 0.995)) * known
    energy = around.sum(axis=0) / np.maximum(known.sum(axis=0), 1.0)
    energy[known.mean(axis=0) < 0.2] = 0
    shape = cv2.GaussianBlur(energy[None].astype(np.float32), (0, 0), 2.0)[0]
    shape[:4] = 0
    low, high = _run_round_peak(shape)
    if high - low < 8:
        raise NoPack("No ring of pleats is seen; photograph the end of the pack square on.")
    edges = []
    for rows in np.array_split(np.arange(len(around)), _SECTORS):
        part = around[rows].sum(axis=0) / np.maximum(known[rows].sum(axis=0), 1.0)
        profile = cv2.GaussianBlur(part[None].astype(np.float32), (0, 0), 2.0)[0]
        usual = float(np.median(profile[low:high]))
        window = profile[low : min(int(high * 1.25) + 4, furthest)]
        above = np.flatnonzero(window > 0.45 * usual)
        # The last radius before a lasting fall, not a far speck.
        edges.append(low + _last_of_run(above) if above.size else np.nan)
    rim = _round_curve(np.array(edges, np.float64))
    return rim, float(low / np.median(rim))


def _run_round_peak(shape: NDArray[np.float32]) -> tuple[int, int]:
    """Return the run of radii around the strongest whose energy stays up."""
    peak = int(shape.argmax())
    limit = _PACK_SHARE * float(np.quantile(shape, 0.98))
    low = high = peak
    while low > 0 and shape[low - 1] > limit:
        low -= 1
    while high < shape.size - 1 and shape[high + 1] > limit:
        high += 1
    return low, high


def _last_of_run(above: NDArray[np.int64]) -> float:
    gaps = np.flatnonzero(np.diff(above) > 6)
    return float(above[gaps[0]] if gaps.size and gaps[0] > 8 else above[-1])


def _round_curve(edges: Numbers) -> Numbers:
    """Return a smooth rim through the sectors' radii: a circle off centre, or an ellipse."""
    angle = (np.arange(_SECTORS) + 0.5) / _SECTORS * 2 * np.pi
    design = _harmonics(angle)
    good = np.isfinite(edges)
    good &= np.abs(edges - np.nanmedian(edges)) < 0.2 * np.nanmedian(edges)
    if good.sum() < 10:
        raise NoPack("The rim of the pack is not seen; photograph its whole end square on.")
    for _ in range(4):
        terms = np.linalg.lstsq(design[good], edges[good], rcond=None)[0]
        apart = np.abs(edges - design @ terms)
        limit = max(2.5 * 1.4826 * float(np.median(apart[good])), 1.0)
        kept = np.isfinite(edges) & (apart < limit)
        if kept.sum() < 10:
            break
        good = kept
    every = np.arange(ANGLES) / ANGLES * 2 * np.pi
    return np.asarray(_harmonics(every) @ terms)


def _harmonics(angle: Numbers) -> Numbers:
    return np.column_stack(
        [np.ones_like(angle), np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)]
    )


def _middle_of(rim: Numbers) -> Numbers:
    """Return how far the rim's middle lies from the centre it was measured from."""
    angle = np.arange(rim.size) / rim.size * 2 * np.pi
    return np.array([2 * (rim * np.cos(angle)).mean(), 2 * (rim * np.sin(angle)).mean()])


def _unrolled(
    grey: Pixels, centre: Numbers, rim: Numbers, bore: float
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    import cv2

    share = np.linspace(bore, 1.0, RADII)
    angle = np.arange(ANGLES) / ANGLES * 2 * np.pi
    radius = share[:, None] * rim[None]
    x = (centre[0] + radius * np.cos(angle)).astype(np.float32)
    y = (centre[1] + radius * np.sin(angle)).astype(np.float32)
    smooth = cv2.GaussianBlur(grey, (0, 0), 0.7)
    polar = cv2.remap(smooth, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return polar.astype(np.float32), share.astype(np.float32)

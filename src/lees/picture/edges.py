"""Where the straight sides of a dark square lie, to a small part of a pixel, and how sharp.

Each side is crossed by many short profiles; the place where a profile passes half its step is the
edge (ISO 12233:2017 reads a lens's sharpness from slanted edges in the same way).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lees.picture.decode import Pixels
from lees.quantity.arrays import Numbers

PROFILES_PER_SIDE = 32
_STEP_PX = 0.5
_CELLS_ACROSS = 6  # four by four bits and a border of one
_NORMAL_16_TO_84 = 2.0  # the distance from 15.9 % to 84.1 % of a Gaussian step, in sigmas


@dataclass(frozen=True, slots=True)
class EdgeCurve:
    """The mean profile across an edge: `level` from 0 to 1 at `places`, between two greys."""

    places: Numbers
    level: Numbers
    black: float
    white: float

    def blur_px(self, tone: float) -> float:
        """Return the blur as a Gaussian's sigma, from the edge's width at 15.9 % and 84.1 %.

        `tone` is the exponent that turns grey into light.
        """
        left, right = np.interp((0.1587, 0.8413), self._light(tone), self.places)
        return float(max((right - left) / _NORMAL_16_TO_84, 0.3))

    def middle_px(self, tone: float) -> float:
        """Return where the edge passes half its height, read in light of an exponent."""
        return float(np.interp(0.5, self._light(tone), self.places))

    def _light(self, tone: float) -> Numbers:
        low, high = max(self.black, 1.0) / 255, self.white / 255
        grey = low + (high - low) * np.clip(self.level, 0, None)
        return np.asarray((grey**tone - low**tone) / (high**tone - low**tone))


@dataclass(frozen=True, slots=True)
class RefinedQuads:
    """Corners of squares, the standard uncertainty of each square's corners, and their edge."""

    corners: Numbers
    sigma_px: Numbers
    curve: EdgeCurve | None


@dataclass(frozen=True, slots=True)
class _Profiles:
    """Samples across the sides: `values` of shape (squares, 4, profiles, samples)."""

    values: Numbers
    offsets: Numbers
    base: Numbers
    normal: Numbers


def refine_quads(grey: Pixels, quads: Numbers) -> RefinedQuads:
    """Return dark squares' corners from lines fitted to their sides.

    Parameters
    ----------
    grey : ndarray of shape (M, N)
        The picture's grey values [1].
    quads : ndarray of shape (K, 4, 2)
        Corners known to about a pixel, clockwise [px].

    Returns
    -------
    RefinedQuads
        Corners and their standard uncertainty [px], and the mean profile across the sides.

    Notes
    -----
    Valid for squares of 12 px a side and more with a quiet zone around them. The middle 76 % of a
    side is used: blur rounds the corners themselves.
    """
    corners = quads
    for _ in range(3):  # later passes cross the sides at right angles
        profiles = _sample(grey, corners)
        where = _half_crossings(profiles)
        corners, scatter = _intersections(profiles, where, corners)
    return RefinedQuads(corners, scatter, _edge_curve(profiles, where))


def _sample(grey: Pixels, quads: Numbers) -> _Profiles:
    import cv2

    start, end = quads, np.roll(quads, -1, axis=1)
    along = end - start
    length = np.linalg.norm(along, axis=2, keepdims=True)
    outward = np.stack([along[..., 1], -along[..., 0]], axis=2) / length
    reach = float(np.clip(0.8 * length.min() / _CELLS_ACROSS, 2.0, 12.0))
    offsets = np.arange(-reach, reach + _STEP_PX / 2, _STEP_PX)
    share = np.linspace(0.12, 0.88, PROFILES_PER_SIDE)
    base = start[:, :, None] + share[:, None] * along[:, :, None]
    points = base[..., None, :] + offsets[:, None] * outward[:, :, None, None]
    flat = points.reshape(-1, offsets.size, 2).astype(np.float32)
    values = cv2.remap(
        grey, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return _Profiles(
        np.asarray(values, np.float64).reshape(points.shape[:-1]), offsets, base, outward
    )


def _half_crossings(profiles: _Profiles) -> Numbers:
    """Return each profile's edge as an offset along the outward normal; NaN where there is none."""
    values = profiles.values
    ends = max(2, values.shape[-1] // 5)
    dark = np.median(values[..., :ends], axis=(2, 3))[..., None, None]
    light = np.median(values[..., -ends:], axis=(2, 3))[..., None, None]
    step = light - dark
    level = (values - dark) / np.where(step > 8, step, np.nan)
    above = level >= 0.5
    rising = above[..., 1:] & ~above[..., :-1]
    middle = (values.shape[-1] - 1) / 2
    distance = np.where(rising, np.abs(np.arange(rising.shape[-1]) + 0.5 - middle), np.inf)
    index = distance.argmin(axis=-1)[..., None]
    low = np.take_along_axis(level, index, -1)
    high = np.take_along_axis(level, index + 1, -1)
    with np.errstate(invalid="ignore", divide="ignore"):
        part = (0.5 - low) / (high - low)
    found = profiles.offsets[index] + part * _STEP_PX
    found = np.where(np.take_along_axis(rising, index, -1), found, np.nan)
    return np.asarray(found[..., 0])


def _intersections(profiles: _Profiles, where: Numbers, before: Numbers) -> tuple[Numbers, Numbers]:
    """Fit a line to each side and return the corners where neighbours meet."""
    points = profiles.base + where[..., None] * profiles.normal[:, :, None]
    squares = points.shape[0]
    lines = np.empty((squares, 4, 3))
    scatter = np.empty((squares, 4))
    for i in range(squares):
        for side in range(4):
            lines[i, side], scatter[i, side] = _line(points[i, side])
    corners = np.cross(np.roll(lines, 1, axis=1), lines)
    with np.errstate(invalid="ignore", divide="ignore"):
        corners = corners[..., :2] / corners[..., 2:]
    # A side that cannot be read (hidden, or not against a light ground) leaves the rough corner.
    side = np.linalg.norm(before - np.roll(before, 1, axis=1), axis=2).min()
    moved = np.linalg.norm(corners - before, axis=2)
    bad = ~np.isfinite(corners).all(axis=2) | (moved > max(3.0, 0.12 * side))
    corners = np.where(bad[..., None], before, corners)
    sigma = np.where(bad.any(axis=1), 0.5, np.nan_to_num(np.nanmax(scatter, axis=1), nan=0.5))
    return corners, np.maximum(sigma * 2 / np.sqrt(PROFILES_PER_SIDE), 0.01)


def _line(points: Numbers) -> tuple[Numbers, float]:
    """Return the line a·x + b·y + c = 0 through points, outliers left out, and their scatter."""
    kept = points[np.isfinite(points).all(axis=1)]
    if len(kept) < PROFILES_PER_SIDE // 3:
        return np.full(3, np.nan), np.nan
    scatter = 1.0
    for _ in range(3):
        centre = kept.mean(axis=0)
        _, _, axes = np.linalg.svd(kept - centre, full_matrices=False)
        normal = axes[1]
        apart = (kept - centre) @ normal
        scatter = float(apart.std())
        good = np.abs(apart) <= max(2.5 * scatter, 0.05)
        if good.all() or good.sum() < PROFILES_PER_SIDE // 3:
            break
        kept = kept[good]
    return np.array([normal[0], normal[1], -normal @ centre]), scatter


def _edge_curve(profiles: _Profiles, where: Numbers) -> EdgeCurve | None:
    """Return the mean profile across all sides: places, grey, and the grey of black and white.

    Every profile is laid on the straight line through its side's crossings, so that noise in one
    crossing does not sharpen the mean.
    """
    values = profiles.values
    along = np.linspace(-1, 1, values.shape[2])
    fitted = np.full_like(where, np.nan)
    for square in range(where.shape[0]):
        for side in range(4):
            line = where[square, side]
            good = np.isfinite(line)
            good &= np.abs(line - np.nanmedian(line)) < 1.0 if good.any() else False
            if good.sum() >= PROFILES_PER_SIDE // 2:
                slope = np.polynomial.Polynomial.fit(along[good], line[good], 1)
                fitted[square, side] = np.where(good, slope(along), np.nan)
    ends = max(2, values.shape[-1] // 5)
    dark, light = values[..., :ends].mean(axis=-1), values[..., -ends:].mean(axis=-1)
    level = (values - dark[..., None]) / np.maximum(light - dark, 8.0)[..., None]
    place = profiles.offsets - fitted[..., None]
    good = np.isfinite(place) & (light - dark > 8)[..., None]
    if good.sum() < 400:
        return None
    bins = np.arange(-profiles.offsets[-1], profiles.offsets[-1] + 0.126, 0.25)
    index = np.digitize(place[good], bins)
    total = np.bincount(index, weights=level[good], minlength=bins.size + 1)
    count = np.bincount(index, minlength=bins.size + 1)
    usable = count >= 8
    centres = (np.arange(bins.size + 1) - 0.5) * 0.25 + bins[0]
    used = np.isfinite(fitted)
    curve = np.maximum.accumulate(total[usable] / count[usable])
    return EdgeCurve(
        centres[usable], curve, float(np.median(dark[used])), float(np.median(light[used]))
    )

"""How many folds a strip of media carries: peaks and valleys along its length.

A fold shows as a line, as a step between two facets, or both. The energy of a pair of filters in
quadrature, the first and second derivative of a Gaussian, answers to either with one peak (Morrone
and Owens, Feature detection from local energy, Pattern Recognition Letters 6 (1987) 303–313).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.picture.decode import Pixels
from lees.picture.plane import Plane
from lees.picture.strip import Strip
from lees.quantity.arrays import Numbers

_SHEARS = np.linspace(-0.08, 0.08, 33)
_SCALES_MM = (0.6, 0.9, 1.3, 1.9)
_BANDS = 5
_RIM_MM = 1.5
_CLOSEST = 0.42  # of the usual spacing
_WEAK = 0.42  # of the usual height
_WIDE_GAP = 1.75  # of the usual spacing


@dataclass(frozen=True, slots=True)
class Folds:
    """The number of folds, or the numbers it may be, and where they lie along the strip.

    `count` is None where the picture cannot tell; `places` are columns of the strip's view.
    """

    count: int | None
    candidates: tuple[int, ...]
    places: Numbers
    quality: float


def count_folds(pixels: Pixels, plane: Plane, strip: Strip) -> Folds:
    """Return the folds along a strip.

    Parameters
    ----------
    pixels : ndarray of shape (M, N, 3)
        The picture.
    plane
        The plane of the scale cards.
    strip : Strip
        The strip as measured.

    Returns
    -------
    Folds
        Peaks and valleys together.

    Notes
    -----
    Bands across the strip are counted by themselves too; where they do not agree with the whole,
    or a gap could hide a fold, several candidates are returned.

    References
    ----------
    .. [1] M. C. Morrone, R. A. Owens, Feature detection from local energy, Pattern Recognition
       Letters 6 (1987) 303–313.
    """
    import cv2

    flat = cv2.remap(pixels, *strip.view.maps(plane, 1.0), cv2.INTER_LINEAR)
    grey = _evened(_straightened(flat, strip))
    grey = _unsheared(grey)
    pixels_per_mm = strip.view.px_per_mm
    best = max(
        (_found(grey.mean(axis=0), s * pixels_per_mm) for s in _SCALES_MM),
        key=lambda found: found.quality,
    )
    bands = [
        _found(part.mean(axis=0), best.scale).places.size
        for part in np.array_split(grey, _BANDS, axis=0)
    ]
    count = best.places.size
    return Folds(
        *_told(best, bands, count),
        best.places + strip.left + _RIM_MM * pixels_per_mm,
        round(best.quality, 3),
    )


@dataclass(frozen=True, slots=True)
class _Found:
    places: Numbers
    heights: Numbers
    spacing: float
    weakest: int
    quality: float
    scale: float


def _told(best: _Found, bands: list[int], count: int) -> tuple[int | None, tuple[int, ...]]:
    """Return the count where it is sure, and the candidates."""
    gaps = np.diff(best.places)
    doubtful_gaps = int((gaps > _WIDE_GAP * best.spacing).sum()) if gaps.size else 0
    weak = int((best.heights < 0.5 * np.median(best.heights)).sum()) if count else 0
    candidates = {count}
    if doubtful_gaps:
        candidates.add(count + doubtful_gaps)
    if best.weakest:
        candidates.add(count + best.weakest)
    if weak and best.quality < 3:
        candidates.add(count - weak)
    agreeing = sum(abs(band - count) <= 1 for band in bands)
    sure = len(candidates) == 1 and (agreeing >= 3 or best.quality > 4) and count >= 2
    if not sure and len(candidates) == 1:
        candidates |= {count - 1, count + 1}
    return (count if sure else None), tuple(sorted(int(c) for c in candidates if c >= 0))


def _straightened(flat: Pixels, strip: Strip) -> NDArray[np.float32]:
    """Return the strip alone, its long edges laid level and its rims cut off."""
    import cv2

    grey = cv2.cvtColor(flat, cv2.COLOR_BGR2GRAY)
    cut = _RIM_MM * strip.view.px_per_mm  # a cut end is no fold
    x = np.arange(round(strip.left + cut), round(strip.right - cut), dtype=np.float64)
    top = np.interp(x, strip.columns, strip.top)
    bottom = np.interp(x, strip.columns, strip.bottom)
    rows = max(int(np.median(bottom - top) * 0.8), 8)
    share = (np.arange(rows) + 0.5) / rows * 0.8 + 0.1
    down = (top + share[:, None] * (bottom - top)).astype(np.float32)
    across = np.broadcast_to(x.astype(np.float32), down.shape).copy()
    return np.asarray(cv2.remap(grey, across, down, cv2.INTER_LINEAR).astype(np.float32))


def _evened(grey: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the grey over its slow changes, with spots held down to what a fold may do."""
    import cv2

    slow = cv2.GaussianBlur(grey, (0, 0), max(grey.shape[1] / 40, 8.0))
    relative = grey / np.maximum(slow, 4.0) - 1
    spread = 1.4826 * float(np.median(np.abs(relative))) + 1e-4
    return np.asarray(np.clip(relative, -6 * spread, 6 * spread))


def _unsheared(grey: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the strip with its folds upright: the shear under which columns differ most."""
    import cv2

    best, strength = grey, -1.0
    middle = (grey.shape[0] - 1) / 2
    for shear in _SHEARS:
        move = np.array([[1.0, shear, -shear * middle], [0.0, 1.0, 0.0]])
        turned = cv2.warpAffine(
            grey, move, grey.shape[::-1], flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )
        slope = np.diff(turned.mean(axis=0))
        if (now := float((slope**2).sum())) > strength:
            best, strength = turned, now
    return best


def _found(profile: Numbers, scale_px: float) -> _Found:
    """Return the folds that a profile shows at one scale."""
    energy = _energy(profile, max(scale_px, 0.8))
    noise = 1.4826 * float(np.median(np.abs(energy - np.median(energy)))) + 1e-9
    peaks = np.flatnonzero((energy[1:-1] >= energy[:-2]) & (energy[1:-1] > energy[2:])) + 1
    if peaks.size < 3:
        return _Found(peaks.astype(float), energy[peaks], float(profile.size), 0, 0.0, scale_px)
    spacing = _spacing(energy)
    rim = 0.08 * spacing
    peaks = peaks[(peaks > rim) & (peaks < energy.size - 1 - rim)]
    order = peaks[np.argsort(-energy[peaks])]
    kept: list[int] = []
    for peak in order:
        if all(abs(peak - other) > _CLOSEST * spacing for other in kept):
            kept.append(int(peak))
    usual = float(np.median(energy[np.array(kept)[: max(3, int(0.8 * profile.size / spacing))]]))
    strong = np.sort([peak for peak in kept if energy[peak] > _WEAK * usual])
    weak = sum(0.3 * usual < energy[p] <= _WEAK * usual and _fits(p, strong, spacing) for p in kept)
    between = np.median(energy[(energy < np.median(energy))])
    quality = usual / (between + 0.2 * noise + 1e-9)
    heights = energy[strong] if strong.size else energy[:0]
    return _Found(strong.astype(np.float64), heights, spacing, weak, float(quality), scale_px)


def _fits(peak: int, strong: NDArray[np.int64], spacing: float) -> bool:
    """Tell whether a weak peak sits where a fold would be missing."""
    if not strong.size:
        return False
    return bool(np.abs(strong - peak).min() > 0.65 * spacing)


def _energy(profile: Numbers, sigma: float) -> Numbers:
    reach = int(4 * sigma) + 2
    t = np.arange(-reach, reach + 1) / sigma
    bell = np.exp(-(t**2) / 2)
    odd = -t * bell
    even = (1 - t**2) * bell
    even -= even.mean()
    odd /= np.sqrt((odd**2).sum())
    even /= np.sqrt((even**2).sum())
    padded = np.pad(profile, reach, mode="reflect")
    return np.asarray(
        np.hypot(np.convolve(padded, odd, "valid"), np.convolve(padded, even, "valid"))
    )


def _spacing(energy: Numbers) -> float:
    """Return the usual distance between folds: the first strong peak of the autocorrelation."""
    even = np.sqrt(energy) - np.sqrt(energy).mean()
    size = 1 << int(np.ceil(np.log2(2 * even.size)))
    power = np.abs(np.fft.rfft(even, size)) ** 2
    correlation = np.fft.irfft(power)[: even.size // 2]
    correlation /= correlation[0] + 1e-12
    # Past the first dip only: near zero everything is alike.
    dip = int(np.argmax(correlation < 0.1)) if (correlation < 0.1).any() else 3
    later = correlation[dip:]
    if later.size < 3:
        return float(energy.size) / 3
    peaks = np.flatnonzero((later[1:-1] >= later[:-2]) & (later[1:-1] > later[2:])) + 1
    if not peaks.size:
        return float(energy.size) / 3
    tallest = float(later[peaks].max())
    if tallest <= 0:
        return float(energy.size) / 3
    first = int(peaks[later[peaks] > 0.5 * tallest][0])
    return float(dip + first)

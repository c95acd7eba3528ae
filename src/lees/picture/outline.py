"""The outline of one spot at half the height of its edge, to a small part of a pixel.

The projected area is that inside the contour half-way between the media's tone and the spot's own;
sizes are those of ISO 13322-1:2014 and ISO 9276-6:2008 (equivalent circular diameter, greatest
Feret diameter, geodesic length and thickness).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.quantity.arrays import Numbers

_GAUSSIAN_SLOPE = math.sqrt(2 * math.pi)


@dataclass(frozen=True, slots=True)
class Outline:
    """One spot in a window of the picture, before anything is known of scale or blur.

    `contour` are points on the half-height contour; `aspect` is length over breadth from the second
    moments; `edge_blur` is the Gaussian sigma that the
    steepness along it speaks of, and `height` the step of grey at its edge.
    """

    contour: Numbers
    centre: Numbers
    area: float
    aspect: float
    perimeter: float
    height: float
    edge_blur: float
    filled: float
    at_border: bool


def trace(rise: NDArray[np.float32], peak: tuple[int, int], *, blur_px: float) -> Outline | None:
    """Return the outline of the spot around a peak.

    Parameters
    ----------
    rise : ndarray of shape (M, N)
        How far each pixel of a window stands out from the media [1].
    peak
        The row and column of a pixel inside the spot [px].
    blur_px : float
        The picture's blur as a Gaussian's sigma [px].

    Returns
    -------
    Outline or None
        None where nothing stands out there.

    Notes
    -----
    The half height is that of the spot's middle: the median of what blur from outside does not
    reach, which resists glints and grain, or the very middle of a small spot.

    References
    ----------
    .. [1] ISO 13322-1:2014, Particle size analysis, image analysis methods, part 1.
    """
    import cv2

    height = _height(rise, peak)
    if height <= 0:
        return None
    region = _region(rise, peak, height / 2)
    for _ in range(2):
        core = cv2.distanceTransform(region, cv2.DIST_L2, 3) > max(1.9 * blur_px, 1.5)
        if int(core.sum()) < 5:
            break
        height = min(max(float(np.median(rise[core])), 0.5 * height), 1.2 * height)
        region = _region(rise, peak, height / 2)
    rows, columns = np.flatnonzero(region.any(axis=1)), np.flatnonzero(region.any(axis=0))
    if not rows.size:
        return None
    top, bottom, left, right = rows[0], rows[-1], columns[0], columns[-1]
    at_border = top <= 0 or left <= 0 or bottom >= rise.shape[0] - 1 or right >= rise.shape[1] - 1
    box = (max(top - 3, 0), min(bottom + 4, rise.shape[0]), max(left - 3, 0),
           min(right + 4, rise.shape[1]))  # fmt: skip
    cut = np.ascontiguousarray(rise[box[0] : box[1], box[2] : box[3]])
    return _fine(cut, (peak[0] - box[0], peak[1] - box[2]), (box[2], box[0]), height, at_border)


def _height(rise: NDArray[np.float32], peak: tuple[int, int]) -> float:
    row, column = peak
    near = rise[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2].ravel()
    return float(np.sort(near)[-4:].mean())


def _region(rise: NDArray[np.float32], peak: tuple[int, int], level: float) -> NDArray[np.uint8]:
    """Return the connected region above a level that holds the peak."""
    import cv2

    above = (rise > level).astype(np.uint8)
    if not above[peak]:
        return np.zeros_like(above)
    cv2.floodFill(above, None, (peak[1], peak[0]), 2, flags=4)
    return np.asarray(above == 2).astype(np.uint8)


def _fine(
    cut: NDArray[np.float32],
    peak: tuple[int, int],
    corner: tuple[int, int],
    height: float,
    at_border: bool,
) -> Outline | None:
    """Trace the contour on the window drawn out by cubic interpolation."""
    import cv2

    finer = (
        6 if max(cut.shape) < 26 else 4 if max(cut.shape) < 60 else 2 if max(cut.shape) < 220 else 1
    )
    drawn = cv2.resize(cut, None, fx=finer, fy=finer, interpolation=cv2.INTER_CUBIC)
    seed = (min(peak[0] * finer + finer // 2, drawn.shape[0] - 1),
            min(peak[1] * finer + finer // 2, drawn.shape[1] - 1))  # fmt: skip
    region = _region(drawn, seed, height / 2)
    contours, _ = cv2.findContours(region, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return None
    contour = max(contours, key=len)[:, 0]
    # A contour of pixel centres leaves out half a pixel all around (Pick's theorem).
    enclosed = cv2.contourArea(contour) + len(contour) / 2 + 1
    moments = cv2.moments(region, binaryImage=True)
    centre = np.array([moments["m10"], moments["m01"]]) / moments["m00"]
    across = cv2.Sobel(drawn, cv2.CV_32F, 1, 0, scale=0.125)
    down = cv2.Sobel(drawn, cv2.CV_32F, 0, 1, scale=0.125)
    at = (contour[:, 1], contour[:, 0])
    slope = np.hypot(across[at], down[at]) * finer
    steep = float(np.quantile(slope, 0.6))
    origin = np.array(corner, np.float64)
    return Outline(
        contour=(contour + 0.5) / finer - 0.5 + origin,
        centre=(centre + 0.5) / finer - 0.5 + origin,
        area=float(enclosed) / finer**2,
        aspect=_aspect(moments),
        perimeter=_perimeter(contour) / finer,
        height=height,
        edge_blur=height / (_GAUSSIAN_SLOPE * steep) if steep > 0 else math.inf,
        filled=float(moments["m00"]) / float(enclosed),
        at_border=bool(at_border),
    )


def _aspect(moments: dict[str, float]) -> float:
    """Return length over breadth of the ellipse with the same second moments."""
    across, down, mixed = moments["mu20"], moments["mu02"], moments["mu11"]
    root = math.hypot(across - down, 2 * mixed)
    small = max(across + down - root, 1e-9)
    return math.sqrt((across + down + root) / small)


def _perimeter(contour: NDArray[np.int32]) -> float:
    """Return the length of a contour smoothed over its pixel steps."""
    if len(contour) < 8:
        return float(len(contour))
    window = max(3, min(9, len(contour) // 8))
    points = contour.astype(np.float64)
    padded = np.concatenate([points[-window:], points, points[:window]])
    kernel = np.ones(2 * (window // 2) + 1) / (2 * (window // 2) + 1)
    smooth = np.column_stack([np.convolve(padded[:, i], kernel, "same") for i in (0, 1)])
    smooth = smooth[window:-window]
    return float(np.linalg.norm(smooth - np.roll(smooth, 1, axis=0), axis=1).sum()) + math.pi


def greatest_feret(points: Numbers) -> float:
    """Return the greatest distance between two points of an outline.

    Parameters
    ----------
    points : ndarray of shape (N, 2)
        Points of the outline [any length].

    Returns
    -------
    float
        The greatest Feret diameter [same length].

    References
    ----------
    .. [1] ISO 13322-1:2014, Particle size analysis, image analysis methods, part 1.
    """
    import cv2

    hull = cv2.convexHull(points.astype(np.float32))[:, 0].astype(np.float64)
    apart = hull[:, None] - hull[None]
    return float(np.sqrt((apart**2).sum(axis=2).max()))


def length_and_thickness(area: float, perimeter: float) -> tuple[float, float]:
    """Return the sides of the rectangle with a spot's area and perimeter.

    Parameters
    ----------
    area : float
        The projected area [square of any length].
    perimeter : float
        The perimeter [same length].

    Returns
    -------
    tuple of float
        Geodesic length and thickness [same length].

    Notes
    -----
    For a compact spot, rounder than any rectangle, both are the square root of the area.

    References
    ----------
    .. [1] ISO 9276-6:2008, Representation of results of particle size analysis, part 6 (geodesic
       length and thickness, from memory).

    Examples
    --------
    >>> length_and_thickness(12.0, 16.0)
    (6.0, 2.0)
    """
    half = perimeter / 2
    root = half**2 / 4 - area
    if root <= 0:
        return math.sqrt(area), math.sqrt(area)
    return half / 2 + math.sqrt(root), half / 2 - math.sqrt(root)

"""Where the printable scale card lies in a picture, to a small part of a pixel.

The card carries four ArUco markers of DICT_4X4_50; its layout is this project's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from lees.picture.decode import Pixels
from lees.picture.edges import EdgeCurve, refine_quads
from lees.quantity.arrays import Numbers

MARKER_MM = 20.0
CARD_MM = (90.0, 60.0)
QUIET_MM = 4.0
CHECK_LINE_MM = 50.0
MARKERS_PER_CARD = 4
FEWEST_MARKERS = 2
_SEARCH_SIDES = (1800, 3600, 20000)


@dataclass(frozen=True, slots=True)
class FoundMarker:
    """One marker: its number and its four outer corners, clockwise from its own top left."""

    number: int
    corners_px: Numbers
    sigma_px: float


@dataclass(frozen=True, slots=True)
class FoundCard:
    """The markers of one card that are in view; `first` is its lowest number, 0 or 4."""

    first: int
    markers: tuple[FoundMarker, ...]
    edge: EdgeCurve | None

    @property
    def corners_px(self) -> Numbers:
        """All corners in the picture, one row each."""
        return np.concatenate([marker.corners_px for marker in self.markers])

    @property
    def corners_mm(self) -> Numbers:
        """The same corners on the card."""
        return np.concatenate([marker_corners_mm(marker.number) for marker in self.markers])


def marker_corners_mm(number: int) -> Numbers:
    """Return a marker's corners on its card.

    Parameters
    ----------
    number : int
        The marker's number, 0 to 7 [1].

    Returns
    -------
    ndarray of shape (4, 2)
        Clockwise from top left, from the card's outer corner of marker 0 or 4 [mm].

    Examples
    --------
    >>> marker_corners_mm(2)[2].tolist()
    [90.0, 60.0]
    """
    place = number % MARKERS_PER_CARD
    left = CARD_MM[0] - MARKER_MM if place in (1, 2) else 0.0
    top = CARD_MM[1] - MARKER_MM if place in (2, 3) else 0.0
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    return square * MARKER_MM + (left, top)


def find_cards(grey: Pixels) -> tuple[FoundCard, ...]:
    """Return the scale cards in a picture, the one with markers 0 to 3 first.

    Parameters
    ----------
    grey : ndarray of shape (M, N)
        The picture's grey values [1].

    Returns
    -------
    tuple of FoundCard
        Cards of which two markers or more are in view and agree with each other.

    Notes
    -----
    The search runs on the picture made smaller and goes to finer ones only while nothing is found;
    corners are then refined on the full picture from the straight sides of each marker.

    References
    ----------
    .. [1] S. Garrido-Jurado et al., Automatic generation and detection of highly reliable fiducial
       markers under occlusion, Pattern Recognition 47 (2014) 2280–2292.
    """
    best: dict[int, Numbers] = {}
    side = max(grey.shape)
    for limit in _SEARCH_SIDES:
        found = _detect(grey, min(1.0, limit / side))
        if len(found) > len(best):
            best = found
        if len(best) >= 3 or limit >= side:
            break
    cards = []
    for first in (0, MARKERS_PER_CARD):
        rough = {n: quad for n, quad in best.items() if first <= n < first + MARKERS_PER_CARD}
        agreed = _agreeing(rough)
        if len(agreed) >= FEWEST_MARKERS:
            cards.append(_refined(grey, first, agreed))
    return tuple(cards)


def _detect(grey: Pixels, scale: float) -> dict[int, Numbers]:
    import cv2

    small = (
        cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        if scale < 1
        else grey
    )
    settings = cv2.aruco.DetectorParameters()
    settings.minMarkerPerimeterRate = 0.02
    settings.adaptiveThreshWinSizeMax = 53
    settings.adaptiveThreshWinSizeStep = 10
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50), settings
    )
    quads, numbers, _ = detector.detectMarkers(small)
    if not len(quads):
        return {}
    found: dict[int, Numbers] = {}
    for quad, number in zip(quads, np.asarray(numbers).ravel(), strict=True):
        corners = (np.asarray(quad, np.float64).reshape(4, 2) + 0.5) / scale - 0.5
        known = found.get(int(number))
        if number < 2 * MARKERS_PER_CARD and (known is None or _size(corners) > _size(known)):
            found[int(number)] = corners
    return found


def _size(quad: Numbers) -> float:
    return float(np.ptp(quad, axis=0).sum())


def _agreeing(rough: dict[int, Numbers]) -> dict[int, Numbers]:
    """Keep the largest set of markers that one view of the card explains."""
    import cv2

    for count in range(len(rough), FEWEST_MARKERS - 1, -1):
        for chosen in combinations(sorted(rough), count):
            seen = np.concatenate([rough[n] for n in chosen])
            true = np.concatenate([marker_corners_mm(n) for n in chosen])
            matrix = np.asarray(cv2.findHomography(true, seen, 0)[0], np.float64)
            if matrix.shape != (3, 3):
                continue
            back = cv2.perspectiveTransform(true[None], matrix)[0]
            side = np.mean([_size(rough[n]) for n in chosen]) / 2
            if np.abs(back - seen).max() < 0.08 * side and np.linalg.det(matrix[:2, :2]) > 0:
                return {n: rough[n] for n in chosen}
    return {}


def _refined(grey: Pixels, first: int, rough: dict[int, Numbers]) -> FoundCard:
    numbers = sorted(rough)
    fine = refine_quads(grey, np.stack([rough[n] for n in numbers]))
    markers = tuple(
        FoundMarker(number, corners, float(sigma))
        for number, corners, sigma in zip(numbers, fine.corners, fine.sigma_px, strict=True)
    )
    return FoundCard(first, markers, fine.curve)

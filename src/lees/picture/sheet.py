"""Which part of a picture is the media, and which the card, the table or glare.

The media is looked for as the largest smooth, nearly rectangular region that stands out from what
surrounds it; where none does, the whole picture is taken as media and that is said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.picture.card import CARD_MM, QUIET_MM, FoundCard, marker_corners_mm
from lees.picture.decode import Pixels
from lees.picture.plane import Plane
from lees.quantity.arrays import Numbers

_LONG_SIDE = 900
_STEPS = (7.0, 11.0, 17.0, 26.0)  # differences of colour that part two regions [CIELAB]
_SMALLEST_SHARE = 0.015
_AROUND = 0.4  # of the frame's rim, from which on a region is the table
_RECTANGULAR = 0.8
_STANDS_OUT = 8.0
_GLARE_LEVEL = 250


@dataclass(frozen=True, slots=True)
class Sheet:
    """The media as a mask of a smaller picture.

    `mask` is 255 on media that can be examined; `scale` turns full pixels into the mask's; `whole`
    says that no edge of the media was seen; `glare_share` is the part lost to glare.
    """

    mask: Pixels
    scale: float
    whole: bool
    glare_share: float

    def holds(self, points_px: Numbers) -> NDArray[np.bool_]:
        """Tell for each point of the full picture whether it lies on examined media."""
        at = np.rint((points_px + 0.5) * self.scale - 0.5).astype(int)
        at = np.clip(at, 0, np.array(self.mask.shape[::-1]) - 1)
        return np.asarray(self.mask[at[:, 1], at[:, 0]] > 0)

    def area_mm2(self, plane: Plane) -> float:
        """Return the area examined, in the plane [mm²]."""
        step = max(1, max(self.mask.shape) // 150)
        rows, columns = np.mgrid[step // 2 : self.mask.shape[0] : step,
                                 step // 2 : self.mask.shape[1] : step]  # fmt: skip
        points = (np.column_stack([columns.ravel(), rows.ravel()]) + 0.5) / self.scale - 0.5
        pixel = np.abs(np.linalg.det(plane.jacobian(points))).reshape(rows.shape)
        # Shares of the mask under each cell carry the outline finer than the grid of scales.
        import cv2

        share = cv2.blur((self.mask > 0).astype(np.float32), (step, step))[rows, columns]
        cells = self.mask.size / rows.size
        whole = float((pixel * share).sum() * cells)
        counted = float(share.sum() * cells)
        exact = float((self.mask > 0).sum())
        return whole / self.scale**2 * (exact / counted if counted else 0.0)


def paper_outline(pixels: Pixels, plane: Plane, card: FoundCard) -> Numbers:
    """Return the outline of the paper that carries a card.

    Parameters
    ----------
    pixels : ndarray of shape (M, N, 3)
        The picture.
    plane
        The plane of this card's markers.
    card : FoundCard
        The card.

    Returns
    -------
    ndarray of shape (K, 2)
        Points around the paper, a little outside it [px].

    Notes
    -----
    From each side of the markers' outer rectangle the paper's edge is the first step of colour
    along most of that side within 30 mm; where there is none, the quiet zone alone is left out.
    """
    frame = _card_frame(plane, card)
    width, height = CARD_MM
    sides = (
        ((0.0, 0.0), (width, 0.0), (0.0, -1.0)),
        ((width, 0.0), (width, height), (1.0, 0.0)),
        ((width, height), (0.0, height), (0.0, 1.0)),
        ((0.0, height), (0.0, 0.0), (-1.0, 0.0)),
    )
    top, right, bottom, left = (
        _paper_edge(pixels, plane, frame, side) + 0.7 for side in sides
    )  # fmt: skip
    corners = np.array(
        [(-left, -top), (width + right, -top), (width + right, height + bottom),
         (-left, height + bottom)]
    )  # fmt: skip
    share = np.linspace(0, 1, 12, endpoint=False)[:, None]
    around = np.concatenate(
        [a + share * (b - a) for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    )
    return plane.to_px(around @ frame[:, :2].T + frame[:, 2])


def _card_frame(plane: Plane, card: FoundCard) -> Numbers:
    """Return the turn and shift from a card's millimetres to the plane's, of shape (2, 3)."""
    here = plane.to_mm(card.corners_px)
    there = np.concatenate([marker_corners_mm(m.number) for m in card.markers])
    a, b = there - there.mean(axis=0), here - here.mean(axis=0)
    angle = math.atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return np.column_stack([turn, here.mean(axis=0) - turn @ there.mean(axis=0)])


def _paper_edge(
    pixels: Pixels,
    plane: Plane,
    frame: Numbers,
    side: tuple[tuple[float, float], tuple[float, float], tuple[float, float]],
) -> float:
    """Return how far the paper reaches beyond one side of the markers [mm]."""
    import cv2

    start, end, outward = (np.array(point) for point in side)
    share = np.linspace(0.02, 0.98, 60)
    away = np.arange(1.0, 30.0, 0.25)
    points = (start + share[:, None] * (end - start))[:, None] + away[:, None] * outward
    at = plane.to_px(points.reshape(-1, 2) @ frame[:, :2].T + frame[:, 2])
    at = at.reshape(share.size, away.size, 2).astype(np.float32)
    inside = (
        (at[..., 0] > 2) & (at[..., 0] < pixels.shape[1] - 3)
        & (at[..., 1] > 2) & (at[..., 1] < pixels.shape[0] - 3)
    )  # fmt: skip
    seen = cv2.remap(
        pixels, at[..., 0], at[..., 1], cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE
    )
    colour = cv2.cvtColor(seen.astype(np.float32) / 255, cv2.COLOR_BGR2LAB)
    gap = 3
    change = np.linalg.norm(colour[:, 2 * gap :] - colour[:, : -2 * gap], axis=2)
    good = inside[:, gap:-gap]
    enough = good.sum(axis=0) >= 12
    stepped = ((change > 6.0) & good).sum(axis=0) / np.maximum(good.sum(axis=0), 1)
    # The step is read where it is strongest within the first run of places that most agree on.
    agreed = (stepped > 0.55) & enough & (away[gap:-gap] > QUIET_MM - 1.0)
    if not agreed.any():
        return QUIET_MM + 0.5
    first = int(np.argmax(agreed))
    run = first + int(np.argmin(np.append(agreed[first:], False)))
    middle = np.nanmedian(np.where(good, change, np.nan)[:, first:run], axis=0)
    return float(away[gap:-gap][first + int(np.argmax(middle))])


def find_sheet(pixels: Pixels, left_out: tuple[Numbers, ...]) -> Sheet:
    """Return the media in a picture.

    Parameters
    ----------
    pixels : ndarray of shape (M, N, 3)
        The picture.
    left_out : tuple of ndarray of shape (K, 2)
        Outlines of cards [px].

    Returns
    -------
    Sheet
        The media without the cards, glare and a margin along its edges.
    """
    import cv2

    scale = min(1.0, _LONG_SIDE / max(pixels.shape[:2]))
    small = cv2.resize(pixels, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    cards = np.zeros(small.shape[:2], np.uint8)
    for outline in left_out:
        inner = np.rint((outline + 0.5) * scale - 0.5).astype(np.int32)
        cv2.fillPoly(cards, [inner], 255)
    media, whole = _media(small, cards)
    glare = _glare(small) & (media > 0)
    share = float(glare.sum()) / max(float((media > 0).sum()), 1.0)
    media[glare] = 0
    if whole:
        examined = cv2.subtract(media, cards)
    else:
        padded = cv2.copyMakeBorder(media, 2, 2, 2, 2, cv2.BORDER_REPLICATE)
        inset = cv2.erode(padded, np.ones((5, 5), np.uint8))[2:-2, 2:-2]
        examined = cv2.subtract(inset, cards)
    return Sheet(examined, scale, whole, share)


def _media(small: Pixels, cards: Pixels) -> tuple[Pixels, bool]:
    """Return the mask of the media in the small picture, and whether it is all of it."""
    import cv2

    calm = cv2.medianBlur(cv2.medianBlur(small, 7), 5)
    colour = cv2.cvtColor(calm.astype(np.float32) / 255, cv2.COLOR_BGR2LAB)
    across = np.linalg.norm(colour[:, 4:] - colour[:, :-4], axis=2)
    down = np.linalg.norm(colour[4:] - colour[:-4], axis=2)
    change = np.zeros(small.shape[:2], np.float32)
    change[:, 2:-2] = across
    change[2:-2] = np.maximum(change[2:-2], down)
    best, best_score = None, 0.0
    for step in _STEPS:
        smooth = ((change < step) & (cards == 0)).astype(np.uint8)
        smooth = cv2.erode(smooth, np.ones((3, 3), np.uint8))
        count, labels, stats, _ = cv2.connectedComponentsWithStats(smooth, connectivity=4)
        if count < 2:
            continue
        large = np.flatnonzero(stats[1:, cv2.CC_STAT_AREA] > _SMALLEST_SHARE * smooth.size) + 1
        pieces = [np.asarray(labels == label).astype(np.uint8) * 255 for label in large]
        frame = np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])
        table = int(np.bincount(frame, minlength=2)[1:].argmax()) + 1
        if (frame == table).mean() > _AROUND:
            pieces += _off_the_table(labels == table, colour, cards, step)
        for piece in pieces:
            region = _filled(piece, cards)
            score = _score(region, cards, colour)
            if score > best_score:
                best, best_score = region, score
    if best is None:
        return np.full(small.shape[:2], 255, np.uint8), True
    return best, False


def _off_the_table(
    table: NDArray[np.bool_], colour: NDArray[np.float32], cards: Pixels, step: float
) -> list[Pixels]:
    """Return what differs from the table around it: media whose facets differ among themselves."""
    import cv2

    weight = table.astype(np.float32)
    side = (max(table.shape) // 5,) * 2
    share = cv2.blur(weight, side)[..., None]
    field = cv2.blur(colour * weight[..., None], side) / np.maximum(share, 1e-3)
    field = np.where(share > 0.02, field, np.median(colour[table], axis=0))
    off = (np.linalg.norm(colour - field, axis=2) > max(step, 8.0)) & (cards == 0) & ~table
    solid = cv2.morphologyEx(off.astype(np.uint8), cv2.MORPH_OPEN, np.ones((5, 5), np.uint8))
    solid = cv2.morphologyEx(solid, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8))
    solid = cv2.erode(solid, np.ones((5, 5), np.uint8))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(solid, connectivity=4)
    large = np.flatnonzero(stats[1:, cv2.CC_STAT_AREA] > _SMALLEST_SHARE * solid.size) + 1
    return [np.asarray(labels == label).astype(np.uint8) * 255 for label in large]


def _filled(region: Pixels, cards: Pixels) -> Pixels:
    """Grow a region back to its edge and fill what it encloses, cards included."""
    import cv2

    grown = cv2.dilate(region, np.ones((7, 7), np.uint8))
    joined = (
        cv2.bitwise_or(grown, cards)
        if (cv2.dilate(cards, np.ones((9, 9), np.uint8)) & grown).any()
        else grown
    )
    contours, _ = cv2.findContours(joined, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    filled = np.zeros_like(region)
    largest = max(contours, key=cv2.contourArea)
    cv2.drawContours(filled, [largest], -1, 255, cv2.FILLED)
    # A card that only touches the media from outside is no part of it.
    outside = cv2.bitwise_and(cards, filled)
    if outside.any() and not _mostly_surrounded(outside, grown):
        filled = cv2.bitwise_and(filled, cv2.bitwise_not(cards))
    return np.asarray(filled)


def _mostly_surrounded(cards: Pixels, region: Pixels) -> bool:
    import cv2

    ring = cv2.dilate(cards, np.ones((9, 9), np.uint8)) & ~cards
    return bool(ring.any()) and float((region[ring > 0] > 0).mean()) > 0.5


def _score(region: Pixels, cards: Pixels, colour: NDArray[np.float32]) -> float:
    """Return how much a region looks like a sheet of media on a table; 0 for not at all."""
    import cv2

    area = float((region > 0).sum())
    frame = np.concatenate([region[0], region[-1], region[:, 0], region[:, -1]]) > 0
    at_frame = float(frame.mean())
    if at_frame > 0.93:
        return 0.0
    contours, _ = cv2.findContours(region, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    hull = cv2.convexHull(max(contours, key=cv2.contourArea))
    # Seen at a tilt a rectangle is a quadrilateral: compare with the hull cut to four corners.
    box = cv2.boxPoints(cv2.minAreaRect(hull))
    rectangular = area / max(cv2.contourArea(_four_corners(hull)), cv2.contourArea(box) * 0.6)
    if rectangular < _RECTANGULAR:
        return 0.0
    outer = cv2.dilate(region, np.ones((9, 9), np.uint8)) & ~cv2.dilate(
        region, np.ones((5, 5), np.uint8)
    )
    inner = region & ~cv2.erode(region, np.ones((9, 9), np.uint8), borderValue=255)
    outer, inner = outer & ~cards, inner & ~cards
    if not outer.any() or not inner.any():
        return 0.0
    contrast = _across(colour, inner, outer)
    if np.median(contrast) < _STANDS_OUT or float((contrast > 5).mean()) < 0.7:
        return 0.0
    return area / region.size * (1 - at_frame) * rectangular**2


def _across(colour: NDArray[np.float32], inner: Pixels, outer: Pixels) -> Numbers:
    """Return the difference of colour over the outline, place by place."""
    import cv2

    means = []
    for ring in (inner, outer):
        weight = cv2.blur((ring > 0).astype(np.float32), (25, 25))
        masked = colour * (ring > 0)[..., None].astype(np.float32)
        means.append(cv2.blur(masked, (25, 25)) / np.maximum(weight, 1e-6)[..., None])
    return np.asarray(np.linalg.norm(means[0] - means[1], axis=2)[outer > 0], np.float64)


def _four_corners(hull: NDArray[np.int32]) -> NDArray[np.int32]:
    """Return a hull simplified to at most six corners."""
    import cv2

    length = cv2.arcLength(hull, True)
    outline = hull
    for share in (0.005, 0.01, 0.02, 0.03, 0.04):
        outline = cv2.approxPolyDP(hull, share * length, True)
        if len(outline) <= 6:
            break
    return np.asarray(outline, np.int32)


def _glare(small: Pixels) -> NDArray[np.bool_]:
    """Return where light is lost to glare: large patches without any tone left."""
    import cv2

    burnt = (small.min(axis=2) >= _GLARE_LEVEL).astype(np.uint8)
    core = cv2.erode(burnt, np.ones((9, 9), np.uint8))
    return np.asarray(cv2.dilate(core, np.ones((15, 15), np.uint8)) > 0)

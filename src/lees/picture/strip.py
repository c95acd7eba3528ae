"""How long and wide a strip of media is, from one photograph of it with a card at each end.

Edges are the half heights of the step from media to table, read in many places along each side; the
scale's own uncertainty between the two ends follows from the plane's covariance (JCGM 102:2011).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.errors import UnusableInput
from lees.picture.card import FoundCard
from lees.picture.decode import Pixels
from lees.picture.flat import FlatView, flat_view
from lees.picture.plane import Plane
from lees.picture.sheet import Sheet
from lees.quantity.arrays import Numbers
from lees.quantity.measured import Measured

_SHORTEST_RATIO = 2.0
_LEAST_SHARE = 0.6  # of the way between the cards' middles
_EDGE_PX = 0.15
_OUTWARD_PX = 24


class NoStrip(UnusableInput):
    """No strip of media with its edges in view."""


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip's length and width, and the square-on view it was measured in.

    `top`, `bottom` are the long edges' places down the view for each of `columns`; `left` and
    `right` the places of the ends across it.
    """

    length: Measured
    width: Measured
    view: FlatView
    columns: Numbers
    top: Numbers
    bottom: Numbers
    left: float
    right: float
    warnings: tuple[str, ...]


def measure_strip(pixels: Pixels, plane: Plane, sheet: Sheet) -> Strip:
    """Return a strip's length and width.

    Parameters
    ----------
    pixels : ndarray of shape (M, N, 3)
        The picture.
    plane
        The plane of the scale cards.
    sheet : Sheet
        Where the media is.

    Returns
    -------
    Strip
        Length along the middle line between its ends, and the mean width.

    Raises
    ------
    NoStrip
        Where no long sheet with its ends in view stands out from the table.

    Notes
    -----
    Valid for a strip that lies flat in the plane of the cards: one that stands 1 % of the camera's
    distance above it measures 1 % long.

    References
    ----------
    .. [1] JCGM 102:2011, Extension to any number of output quantities, 6.2.
    """
    if sheet.whole:
        raise NoStrip(
            "No edge of the media was seen; lay the strip on a table of another colour with its "
            "ends and a scale card at each end in view."
        )
    view = _along_view(plane, sheet)
    maps = view.maps(plane, 1.0)
    flat, on = _flattened(pixels, sheet, maps)
    columns, top, bottom = _long_edges(flat, on)
    left, right = _ends(flat, on, top, bottom)
    middle = (top + bottom) / 2
    inside = (columns >= left) & (columns <= right)
    path = _path_length(columns[inside], middle[inside], left, right)
    length_mm, width_mm = (
        path / view.px_per_mm,
        _width(columns, top, bottom, left, right) / (view.px_per_mm),
    )
    if length_mm < _SHORTEST_RATIO * width_mm:
        raise NoStrip(
            f"The media in view is {length_mm:.0f} × {width_mm:.0f} mm, no strip; "
            "lay out the whole media with both ends in view."
        )
    ends = _points(plane, view, np.array([[left, _at(columns, middle, left)],
                                          [right, _at(columns, middle, right)]]))  # fmt: skip
    centre = (left + right) / 2
    sides = _points(plane, view, np.array([[centre, _at(columns, top, centre)],
                                           [centre, _at(columns, bottom, centre)]]))  # fmt: skip
    edge = _EDGE_PX / view.px_per_mm
    u_length = math.hypot(plane.length_uncertainty(ends), 1.4 * edge, 0.0002 * length_mm)
    u_width = math.hypot(plane.length_uncertainty(sides), 1.4 * edge, 0.0015 * width_mm)
    return Strip(
        Measured(length_mm, u_length, "mm", plane.source),
        Measured(width_mm, u_width, "mm", plane.source),
        view, columns, top, bottom, left, right, _warnings(plane),
    )  # fmt: skip


def _along_view(plane: Plane, sheet: Sheet) -> FlatView:
    """Return the square-on view whose rows run along the strip, at the picture's own scale."""
    rows, columns = np.nonzero(sheet.mask)
    points_px = np.asarray((np.column_stack([columns, rows]) + 0.5) / sheet.scale - 0.5, np.float64)
    points = plane.to_mm(points_px[:: max(1, rows.size // 4000)])
    _, _, axes = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)
    axis = axes[0] * (1 if axes[0, 0] >= 0 else -1)
    degrees = math.degrees(math.atan2(axis[1], axis[0]))
    scale = float(np.median(plane.mm_per_px(points_px[:: max(1, rows.size // 50)])))
    return flat_view(plane, points_px, px_per_mm=1 / scale, degrees=degrees, margin_mm=14.0)


def _flattened(
    pixels: Pixels, sheet: Sheet, maps: tuple[NDArray[np.float32], NDArray[np.float32]]
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    import cv2

    flat = cv2.remap(pixels, *maps, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    across, down = (((m + 0.5) * sheet.scale - 0.5).astype(np.float32) for m in maps)
    on = cv2.remap(sheet.mask, across, down, cv2.INTER_NEAREST) > 0
    return flat.astype(np.float32), np.asarray(on)


def _long_edges(
    flat: NDArray[np.float32], on: NDArray[np.bool_]
) -> tuple[Numbers, Numbers, Numbers]:
    """Return the long edges' places for a row of columns, each from a band of columns."""
    band = max(8, flat.shape[1] // 160)
    filled = np.flatnonzero(on.any(axis=0))
    starts = np.arange(filled[0] + band, filled[-1] - 2 * band, band)
    columns, top, bottom = [], [], []
    for start in starts:
        part = np.median(flat[:, start : start + band], axis=1)
        held = on[:, start : start + band].mean(axis=1) > 0.5
        rows = np.flatnonzero(held)
        if rows.size < 6:
            continue
        above = _step(part[::-1], part.shape[0] - 1 - rows[0], rows.size)
        below = _step(part, int(rows[-1]), rows.size)
        columns.append(start + (band - 1) / 2)
        top.append(part.shape[0] - 1 - above)
        bottom.append(below)
    if len(columns) < 8:
        raise NoStrip("Too little of the strip's edges is in view; photograph the whole strip.")
    x = np.array(columns)
    return x, _smooth(x, np.array(top)), _smooth(x, np.array(bottom))


def _step(line: NDArray[np.float32], near: int, extent: int) -> float:
    """Return where a line of colours leaves the media, near a place just inside its edge.

    The line is walked from the table inwards: facets of the media differ among themselves, and the
    edge is where the first of them begins.
    """
    reach = int(np.clip(extent // 3, 8, 40))
    low, high = max(near - reach, 0), min(near + _OUTWARD_PX, len(line))
    part = line[low:high]
    if len(part) < reach:
        return np.nan
    outside = part[-min(7, len(part) // 4) :]
    table = np.median(outside, axis=0)
    apart = np.linalg.norm(part - table, axis=1)
    noise = float(np.median(apart[-len(outside) :]))
    away = apart > max(4 * noise, 8.0)
    lasting = away[:-2] & away[1:-1] & away[2:]
    if not lasting.any() or away[-1]:
        return np.nan
    edge = int(np.flatnonzero(lasting)[-1]) + 2
    inside = part[max(edge - 8, 0) : max(edge - 2, 1)]
    way = np.median(inside, axis=0) - table
    span = float(way @ way)
    if span < 36:
        return np.nan
    level = (part - table) @ way / span
    crossed = np.flatnonzero((level[:-1] >= 0.5) & (level[1:] < 0.5))
    if not crossed.size:
        return np.nan
    i = int(crossed[np.abs(crossed - edge).argmin()])
    return low + i + float((level[i] - 0.5) / (level[i] - level[i + 1]))


def _smooth(x: Numbers, y: Numbers) -> Numbers:
    """Return an edge as a cubic through its places, outliers left out."""
    good = np.isfinite(y)
    if good.sum() < 8:
        raise NoStrip("Too little of the strip's edges is in view; photograph the whole strip.")
    scaled = (x - x.mean()) / max(float(np.ptp(x)), 1.0)
    for _ in range(6):
        curve = np.polynomial.Polynomial.fit(scaled[good], y[good], 3)
        apart = y - curve(scaled)
        spread = 1.4826 * float(np.median(np.abs(apart[good])))
        kept = np.isfinite(y) & (np.abs(apart) < max(3 * spread, 0.6))
        if kept.sum() < 8 or (kept == good).all():
            break
        good = kept
    return np.asarray(curve(scaled), np.float64)


def _ends(
    flat: NDArray[np.float32], on: NDArray[np.bool_], top: Numbers, bottom: Numbers
) -> tuple[float, float]:
    """Return where the strip begins and ends, from rows across the middle 80 % of its width."""
    width = float(np.median(bottom - top))
    places: list[list[float]] = [[], []]
    centre = (float(top[0] + bottom[0]) / 2, float(top[-1] + bottom[-1]) / 2)
    filled = np.flatnonzero(on.any(axis=0))
    band = max(4, int(width / 24))
    for end in (0, 1):
        for share in np.linspace(-0.4, 0.4, 17):
            row = round(centre[end] + share * width)
            part = np.median(flat[max(row - band // 2, 0) : row + band // 2 + 1], axis=0)
            if not len(part):
                continue
            if end == 0:
                found = part.shape[0] - 1 - _step(part[::-1], part.shape[0] - 1 - filled[0], 60)
            else:
                found = _step(part, int(filled[-1]), 60)
            places[end].append(found)
    left, right = np.nanmedian(places[0]), np.nanmedian(places[1])
    if not (np.isfinite(left) and np.isfinite(right)):
        raise NoStrip("An end of the strip is not in view; photograph it whole, ends included.")
    return float(left), float(right)


def _path_length(columns: Numbers, middle: Numbers, left: float, right: float) -> float:
    x = np.linspace(left, right, 200)
    curve = np.polynomial.Polynomial.fit(columns, middle, 3)
    return float(np.hypot(np.diff(x), np.diff(curve(x))).sum())


def _width(columns: Numbers, top: Numbers, bottom: Numbers, left: float, right: float) -> float:
    inside = (columns > left) & (columns < right)
    slope = np.gradient((top + bottom) / 2, columns)
    return float(((bottom - top) / np.hypot(1, slope))[inside].mean())


def _at(columns: Numbers, curve: Numbers, place: float) -> float:
    return float(np.polynomial.Polynomial.fit(columns, curve, 3)(place))


def _points(plane: Plane, view: FlatView, places: Numbers) -> Numbers:
    return plane.to_px(view.to_plane(places))


def _warnings(plane: Plane) -> tuple[str, ...]:
    if " and " in plane.source:
        return ()
    return ("one scale card in view: lay the second (4–7) at the far end for a better length",)


def check_reaches_both_cards(strip: Strip, cards: tuple[FoundCard, ...], plane: Plane) -> None:
    """Refuse a strip much shorter than the way between the cards at its ends.

    Parameters
    ----------
    strip : Strip
        The strip as measured.
    cards : tuple of FoundCard
        The cards in the picture; with fewer than two nothing is known of the ends.
    plane : Plane
        The plane of the cards.

    Raises
    ------
    NoStrip
        Where another sheet, such as a slip of paper, was taken for the strip.
    """
    if len(cards) < 2:
        return
    middles = [plane.to_mm(card.corners_px).mean(axis=0) for card in cards[:2]]
    apart = float(np.linalg.norm(middles[0] - middles[1]))
    if strip.length.value < _LEAST_SHARE * apart:
        raise NoStrip(
            f"The longest sheet found has {strip.length.value:.0f} mm, and the cards lie "
            f"{apart:.0f} mm apart: it is not the strip. Lay the strip on a plain table that "
            "differs from it, with a card at each end and nothing else in view."
        )

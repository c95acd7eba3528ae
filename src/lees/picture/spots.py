"""Which spots stand out from the media, each with its outline: candidates for particles."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lees.picture.decode import Pixels
from lees.picture.focus import Focus
from lees.picture.ground import Ground, ground_of
from lees.picture.outline import Outline, trace
from lees.picture.plane import Plane
from lees.picture.sheet import Sheet

_SEEN_AT_FULL_SIZE = 16_000_000  # pixels; larger pictures are searched at half size
_HIGH = 5.0
_PEAK = 6.5
_FLOOR = 9.0
_MOST_SPOTS = 20_000


@dataclass(frozen=True, slots=True)
class Channel:
    """One channel of the picture: as searched, as measured, and its ground for each."""

    searched: Pixels
    measured: Pixels
    ground: Ground
    full_ground: Ground


@dataclass(frozen=True, slots=True)
class Spot:
    """A spot in the full picture: its outline, how it was seen and how its colour differs.

    `sign` is 1 for lighter and -1 for darker than the media in the channel measured; `rises` are
    the mean differences from the media in blue, green and red inside; `noise` is the spread of the
    media around it; `strength` its height in spreads; `fold` the tone of a fold running through it.
    """

    outline: Outline
    sign: int
    rises: tuple[float, float, float]
    tone: tuple[float, float, float]
    noise: float
    strength: float
    brightest: float
    fold: float


def channels_of(
    pixels: Pixels, sheet: Sheet, plane: Plane, *, window_px: float
) -> tuple[Channel, Channel]:
    """Return the two channels that are searched: grey, and blue, in which yellow shows.

    Parameters
    ----------
    pixels : ndarray of shape (M, N, 3)
        The picture.
    sheet : Sheet
        Where the media is.
    plane
        The plane of the picture.
    window_px : float
        The side of the window that tells media from spots [px].

    Returns
    -------
    tuple of Channel
        Grey and blue.
    """
    import cv2

    step = 2 if pixels.shape[0] * pixels.shape[1] > _SEEN_AT_FULL_SIZE else 1
    made = []
    for measured in (cv2.cvtColor(pixels, cv2.COLOR_BGR2GRAY), cv2.extractChannel(pixels, 0)):
        if step == 1:
            searched = cv2.GaussianBlur(measured, (3, 3), 0)
        else:
            searched = cv2.resize(
                measured, None, fx=1 / step, fy=1 / step, interpolation=cv2.INTER_AREA
            )
        ground = ground_of(searched, sheet, plane, window_px=window_px / step, zoom=1 / step)
        full = replace(ground, scale=ground.scale / step)
        made.append(Channel(searched, measured, ground, full))
    return made[0], made[1]


def find_spots(
    pixels: Pixels,
    sheet: Sheet,
    channels: tuple[Channel, Channel],
    *,
    largest_px: float,
    focus: Focus,
) -> tuple[Spot, ...]:
    """Return the spots that stand out from the media.

    Parameters
    ----------
    pixels : ndarray of shape (M, N, 3)
        The picture.
    sheet : Sheet
        Where the media is.
    channels : tuple of Channel
        The channels of the picture.
    largest_px : float
        The longest spot that is traced; anything longer is no particle [px].
    focus : Focus
        The picture's blur and tone.

    Returns
    -------
    tuple of Spot
        In no order; no two overlap.
    """
    import cv2

    shape = channels[0].searched.shape
    mask = cv2.resize(sheet.mask, shape[::-1], interpolation=cv2.INTER_NEAREST)
    step = pixels.shape[1] / shape[1]
    claimed = np.zeros(shape, np.uint8)
    spots = []
    for seed in _seeds(channels, mask, largest_px / step):
        if claimed[seed.row, seed.column]:
            continue
        spot = _measured(pixels, channels[seed.channel], seed, step=step, focus=focus)
        if spot is None:
            continue
        _claim(claimed, spot.outline, step)
        spots.append(spot)
        if len(spots) >= _MOST_SPOTS:
            break
    return tuple(spots)


@dataclass(frozen=True, slots=True)
class _Seed:
    row: int
    column: int
    box: tuple[int, int, int, int]
    channel: int
    sign: int
    strength: float


def _seeds(channels: tuple[Channel, Channel], mask: Pixels, largest: float) -> Iterator[_Seed]:
    """Yield the strongest pixel of each region that stands out, the strongest region first."""
    import cv2

    shape = mask.shape
    found: list[_Seed] = []
    tones = [channel.ground.tone_at(shape) for channel in channels]
    limits = [
        cv2.resize(
            np.minimum(np.maximum(_HIGH * c.ground.sigma, _FLOOR), 250).astype(np.uint8),
            shape[::-1],
        )
        for c in channels
    ]
    for sign in (1, -1):
        rises = [
            cv2.subtract(c.searched, tone) if sign > 0 else cv2.subtract(tone, c.searched)
            for c, tone in zip(channels, tones, strict=True)
        ]
        high = cv2.bitwise_or(
            *(cv2.compare(r, limit, cv2.CMP_GT) for r, limit in zip(rises, limits, strict=True))
        )
        high = cv2.bitwise_and(high, mask)
        count, labels, stats, _ = cv2.connectedComponentsWithStats(
            high, connectivity=8, ltype=cv2.CV_32S
        )
        for label in range(1, count):
            left, top, width, height, area = stats[label]
            if area < 2 or max(width, height) > largest:
                continue
            view = np.s_[top : top + height, left : left + width]
            here = labels[view] == label
            best = None
            for i, channel in enumerate(channels):
                part = np.where(here, rises[i][view], 0)
                at = int(part.argmax())
                row, column = top + at // width, left + at % width
                strength = float(part.flat[at]) / channel.ground.sigma_at(column, row)
                if best is None or strength > best.strength:
                    box = (int(left), int(top), int(width), int(height))
                    best = _Seed(int(row), int(column), box, i, sign, strength)
            if best is not None and best.strength >= _PEAK:
                found.append(best)
    yield from sorted(found, key=lambda seed: -seed.strength * (seed.box[2] + seed.box[3]))


def _measured(
    pixels: Pixels, channel: Channel, seed: _Seed, *, step: float, focus: Focus
) -> Spot | None:
    """Trace a seed's outline in the full picture."""
    left, top, width, height = (step * v for v in seed.box)
    row, column = (round((v + 0.5) * step - 0.5) for v in (seed.row, seed.column))
    outline: Outline | None = None
    for widen in (0.6, 1.6):
        margin = round(8 + widen * max(width, height))
        x0, y0 = max(round(left) - margin, 0), max(round(top) - margin, 0)
        x1 = min(round(left + width) + margin, pixels.shape[1])
        y1 = min(round(top + height) + margin, pixels.shape[0])
        window = channel.measured[y0:y1, x0:x1]
        ground = channel.full_ground.patch((x0, y0), window.shape)
        rise = focus.light(window) - focus.light(ground)
        if seed.sign < 0:
            rise = -rise
        rim = np.concatenate([rise[:2].ravel(), rise[-2:].ravel(), rise[:, :2].ravel(),
                              rise[:, -2:].ravel()])  # fmt: skip
        around = float(np.median(rim))
        rise -= around
        noise = max(1.4826 * float(np.median(np.abs(rim - around))), 0.5)
        outline = trace(rise, (row - y0, column - x0), blur_px=focus.blur_px)
        if outline is None:
            return None
        if not outline.at_border:
            break
    assert outline is not None
    rises, tone, brightest = _colour(pixels, outline, (x0, y0, x1, y1))
    corner = np.array([x0, y0], np.float64)
    moved = replace(outline, contour=outline.contour + corner, centre=outline.centre + corner)
    fold = seed.sign * channel.full_ground.fold_at(*moved.centre)
    return Spot(moved, seed.sign, rises, tone, noise, outline.height / noise, brightest, fold)


def _colour(
    pixels: Pixels, outline: Outline, box: tuple[int, int, int, int]
) -> tuple[tuple[float, float, float], tuple[float, float, float], float]:
    """Return the difference of colour inside from outside, the media's colour and the top tone."""
    import cv2

    x0, y0, x1, y1 = box
    window = pixels[y0:y1, x0:x1]
    inside = np.zeros(window.shape[:2], np.uint8)
    cv2.fillPoly(inside, [np.rint(outline.contour).astype(np.int32)], 255)
    core = cv2.erode(inside, np.ones((3, 3), np.uint8))
    use = core if core.any() else inside
    near = cv2.dilate(inside, np.ones((7, 7), np.uint8))
    ring = cv2.bitwise_and(cv2.dilate(near, np.ones((7, 7), np.uint8)), cv2.bitwise_not(near))
    if not ring.any() or not use.any():
        return (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), 0.0
    media = np.median(window[ring > 0], axis=0)
    body = window[use > 0]
    mean = body.mean(axis=0)
    top = float(np.quantile(body.mean(axis=1), 0.9)) - float(media.mean())
    rises = mean - media
    return (
        (float(rises[0]), float(rises[1]), float(rises[2])),
        (float(media[0]), float(media[1]), float(media[2])),
        top,
    )


def _claim(claimed: NDArray[np.uint8], outline: Outline, step: float) -> None:
    import cv2

    points = np.rint((outline.contour + 0.5) / step - 0.5).astype(np.int32)
    cv2.fillPoly(claimed, [points], 255)
    cv2.polylines(claimed, [points], True, 255, 1)

"""How many pleats a pack has, from its end view, or between which numbers it cannot tell.

Every pleat has two legs that lean to opposite sides; unrolled about the centre, rows laid over one
another at the legs' lean bring out one side's legs and blur the other's. The two sides must come by
turns, and where they do not, a leg is hidden.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lees.picture.pack import ANGLES, Pack
from lees.quantity.arrays import Numbers

_FEWEST, _MOST = 12, 160
_BAND = (0.2, 0.9)
_TIP_BAND = (0.86, 0.98)
_NEAREST = 0.42  # of a pitch
_STRONG = 0.3  # of the usual height
_FAINT = 0.1
_OPENS = 1


@dataclass(frozen=True, slots=True)
class Pleats:
    """The number of pleats, or the numbers it may be, and the angle of each outer tip.

    `count` is None where the picture cannot tell; `tips` are columns of the pack unrolled.
    """

    count: int | None
    candidates: tuple[int, ...]
    tips: Numbers
    warnings: tuple[str, ...]


def count_pleats(pack: Pack) -> Pleats:
    """Return the number of pleats of a pack.

    Parameters
    ----------
    pack : Pack
        The pack, unrolled.

    Returns
    -------
    Pleats
        Outer tips; several candidates where legs are hidden or counts do not agree.
    """
    even = _evened(pack.polar)
    wide, sign = _lean(even)
    pitch = 2 * wide
    profiles = [sign * _laid_over(even, lean) for lean in (wide, -wide)]
    for _ in range(4):
        legs, doubts = _by_turns([_legs(profile, pitch) for profile in profiles], pitch)
        count = len(legs) // 2
        closer = even.shape[1] / max(count, _FEWEST)
        if abs(closer - pitch) < 0.01 * pitch:
            break
        pitch = closer
    tips = _tip_count(sign * even, pitch)
    candidates = {count}
    if doubts:
        candidates |= {count - doubts, count}
    if abs(tips - count) in (1, 2) and doubts:
        candidates.add(tips)
    sure = not doubts or (tips == count and doubts == 1)
    if sure and tips != count and abs(tips - count) <= 1 and doubts:
        sure = False
    if sure:
        return Pleats(count, (count,), _tips(legs, pack.polar.shape[1]), ())
    numbers = tuple(sorted(c for c in candidates if c > 0))
    listed = " or ".join(map(str, numbers))
    return Pleats(
        None, numbers, _tips(legs, pack.polar.shape[1]),
        (f"cannot tell how many pleats: {listed}; count them by hand where no number stands",),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Leg:
    place: float
    height: float
    side: int


def _evened(polar: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the unrolled pack freed of shadow and glue: each place against its neighbours."""
    import cv2

    columns = polar.shape[1]
    padded = np.concatenate([polar[:, -columns // 8 :], polar, polar[:, : columns // 8]], axis=1)
    size = (columns // 24 | 1, 5)
    mean = cv2.blur(padded, size)
    spread = np.sqrt(np.maximum(cv2.blur((padded - mean) ** 2, size), 1.0))
    even = (padded - mean) / (spread + 2.0)
    return np.asarray(np.clip(even, -2.5, 2.5)[:, columns // 8 : -columns // 8 or None])


def _laid_over(even: NDArray[np.float32], lean: float) -> Numbers:
    """Return the mean over the radii, each row moved by its share of a lean [columns]."""
    rows, columns = even.shape
    share = (np.arange(rows) + 0.5) / rows
    chosen = np.flatnonzero((share > _BAND[0]) & (share < _BAND[1]))
    total = np.zeros(columns)
    grid = np.arange(columns)
    for row in chosen:
        move = lean * (share[row] - 0.5)
        total += np.interp(
            (grid + move) % columns, np.arange(columns + 1), np.append(even[row], even[row, 0])
        )
    return total / chosen.size


def _lean(even: NDArray[np.float32]) -> tuple[float, int]:
    """Return half a pitch in columns, by which a leg leans from bore to rim, and its polarity."""
    columns = even.shape[1]
    counts = np.geomspace(_FEWEST, _MOST, 70)
    quick = even[::3]
    power = np.array(
        [
            _sharpness(_laid_over(quick, columns / (2 * n)))
            + _sharpness(_laid_over(quick, -columns / (2 * n)))
            for n in counts
        ]
    )
    wide = columns / (2 * float(counts[power.argmax()]))
    both = np.concatenate([_laid_over(even, wide), _laid_over(even, -wide)])
    return wide, 1 if (both**3).mean() >= 0 else -1


def _sharpness(profile: Numbers) -> float:
    return float(((profile - profile.mean()) ** 2).mean())


def _smooth(profile: Numbers, sigma: float) -> Numbers:
    reach = max(int(3 * sigma), 1)
    t = np.arange(-reach, reach + 1) / max(sigma, 0.3)
    kernel = np.exp(-(t**2) / 2)
    kernel /= kernel.sum()
    padded = np.concatenate([profile[-reach:], profile, profile[:reach]])
    return np.convolve(padded, kernel, "valid")


def _legs(profile: Numbers, pitch: float) -> list[tuple[float, float]]:
    """Return places and heights of the peaks round a circular profile, a leg each."""
    smooth = _smooth(profile, pitch / 16)
    calm = smooth - _smooth(profile, pitch)
    before, after = np.roll(calm, 1), np.roll(calm, -1)
    peaks = np.flatnonzero((calm > before) & (calm >= after) & (calm > 0))
    kept: list[int] = []
    for peak in peaks[np.argsort(-calm[peaks])]:
        if all(_apart(peak, other, calm.size) > _NEAREST * pitch for other in kept):
            kept.append(int(peak))
    return [(float(peak), float(calm[peak])) for peak in kept]


def _apart(a: float, b: float, around: int) -> float:
    gap = abs(a - b) % around
    return min(gap, around - gap)


def _by_turns(leaning: list[list[tuple[float, float]]], pitch: float) -> tuple[list[_Leg], int]:
    """Return legs that lean left and right by turns, and how many had to be supposed."""
    strong: list[_Leg] = []
    faint: list[_Leg] = []
    for side, peaks in zip((1, -1), leaning, strict=True):
        usual = float(np.median([height for _, height in peaks])) if peaks else 0.0
        for place, height in peaks:
            leg = _Leg(place, height / max(usual, 1e-9), side)
            if leg.height > _STRONG:
                strong.append(leg)
            elif leg.height > _FAINT:
                faint.append(leg)
    legs = sorted(strong, key=lambda leg: leg.place)
    around = ANGLES
    changed, doubts = True, 0
    while changed and len(legs) > 3:
        changed = False
        for i, leg in enumerate(legs):
            following = legs[(i + 1) % len(legs)]
            if leg.side != following.side:
                continue
            gap = (following.place - leg.place) % around
            between = [
                f for f in faint
                if f.side != leg.side and 0.1 * gap < (f.place - leg.place) % around < 0.9 * gap
            ]  # fmt: skip
            if between:
                best = max(between, key=lambda f: f.height)
                legs.append(best)
                faint.remove(best)
            elif gap < 0.62 * pitch or min(leg.height, following.height) < 0.5:
                legs.remove(min(leg, following, key=lambda one: one.height))
            else:
                middle = (leg.place + gap / 2) % around
                legs.append(_Leg(middle, 0.0, -leg.side))
                doubts += 1
            legs.sort(key=lambda one: one.place)
            changed = True
            break
    return legs, doubts


def _tip_count(even: NDArray[np.float32], pitch: float) -> int:
    """Return the tips counted along the rim alone."""
    rows = even.shape[0]
    band = even[int(_TIP_BAND[0] * rows) : int(_TIP_BAND[1] * rows)].mean(axis=0)
    legs = _legs(np.asarray(band, np.float64), pitch)
    if not legs:
        return 0
    usual = float(np.median([height for _, height in legs]))
    return sum(height > 0.4 * usual for _, height in legs)


def _tips(legs: list[_Leg], columns: int) -> Numbers:
    """Return the angle of each outer tip: between a leg leaning on and the next leaning back."""
    tips = []
    for i, leg in enumerate(legs):
        following = legs[(i + 1) % len(legs)]
        if leg.side == _OPENS and following.side != leg.side:
            tips.append((leg.place + ((following.place - leg.place) % columns) / 2) % columns)
    return np.array(tips)

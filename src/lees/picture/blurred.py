"""What a spot's true area is behind blur that has made it look larger or smaller.

Blurring moves a smooth outline as its curvature flows: to first order it takes π σ² from the area
whatever the shape (Gage, Inventiones mathematicae 76 (1984) 357–364). Where a spot is not much
larger than the blur, its middle fades too and the outline at half that height swells: computed for
ellipses and tabulated, for bars in closed form.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from lees.quantity.arrays import Numbers, not_negative, positive
from lees.quantity.data import rows

_FAR = 8.0


def area_behind(area_px2: Numbers, blur_px: float, aspect: Numbers) -> Numbers:
    """Return the area of spots from that inside their outline at half the height of their middle.

    Parameters
    ----------
    area_px2 : ndarray
        The areas as outlined [px²].
    blur_px : float
        The blur as a Gaussian's sigma [px].
    aspect : ndarray
        Length over breadth of each outline, from its second moments [1].

    Returns
    -------
    ndarray
        The areas without blur; next to nothing where blur alone looks as large [px²].

    Notes
    -----
    Valid for ellipses up to five times as long as broad; longer ones go with `width_behind`.

    References
    ----------
    .. [1] M. E. Gage, Curve shortening makes convex curves circular, Inventiones mathematicae 76
       (1984) 357–364: dA/dt = -2π.

    Examples
    --------
    >>> area_behind(np.array([100.0, 1000.0]), 1.0, np.array([1.0, 2.0])).round(1)
    array([ 103.5, 1003.1])
    """
    area = not_negative("An outlined area", area_px2)
    blur = float(positive("The blur", blur_px))
    ratio = positive("A length over breadth", aspect)
    radius = np.sqrt(area / math.pi) / blur
    aspects, radii, lost = _table()
    across = np.interp(np.log(np.maximum(ratio, 1.0)), np.log(aspects), np.arange(aspects.size))
    down = np.interp(radius, radii, np.arange(radii.size))
    i, j = across.astype(int).clip(0, aspects.size - 2), down.astype(int).clip(0, radii.size - 2)
    p, q = across - i, down - j
    share = (
        lost[i, j] * (1 - p) * (1 - q)
        + lost[i + 1, j] * p * (1 - q)
        + lost[i, j + 1] * (1 - p) * q
        + lost[i + 1, j + 1] * p * q
    )
    share = np.where(radius > _FAR, 1.0, share)
    return np.asarray(np.maximum(area + share * math.pi * blur**2, 0.05 * area))


def width_behind(width_px: Numbers, blur_px: float) -> Numbers:
    """Return the width of long bars from that at half the height of their blurred middle.

    Parameters
    ----------
    width_px : ndarray
        The widths as outlined [px].
    blur_px : float
        The blur as a Gaussian's sigma [px].

    Returns
    -------
    ndarray
        The widths without blur [px].

    Notes
    -----
    A bar of half width *w* blurred by σ is ½ [erf((w-x)/σ√2) + erf((w+x)/σ√2)]; below 2.355 σ, the
    full width at half height of blur alone, nothing can be said and next to nothing is returned.

    References
    ----------
    .. [1] M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, 1964, 7.1.1.

    Examples
    --------
    >>> width_behind(np.array([2.4, 3.0, 10.0]), 1.0).round(2)
    array([ 0.68,  2.46, 10.  ])
    """
    width = not_negative("A width", width_px)
    blur = float(positive("The blur", blur_px))
    true, seen = _bars()
    ratio = width / 2 / blur
    inside = np.interp(ratio, seen, true, left=float(true[0]))
    return np.where(ratio > seen[-1], ratio, inside) * 2 * blur


@cache
def _table() -> tuple[Numbers, Numbers, Numbers]:
    table = rows("picture", "blurred_ellipses")
    aspects = np.array(sorted({float(row["aspect_seen"]) for row in table}))
    radii = np.array(sorted({float(row["radius_seen_sigmas"]) for row in table}))
    lost = np.array([float(row["area_lost_pi_sigma2"]) for row in table])
    return aspects, radii, lost.reshape(aspects.size, radii.size)


@cache
def _bars() -> tuple[Numbers, Numbers]:
    """Return half widths in sigmas and the half widths at half height that they show."""
    from scipy.special import erf

    true = np.concatenate([np.linspace(0.05, 3, 120), np.linspace(3.1, 6, 30)])
    half = erf(true / math.sqrt(2)) / 2
    low, high = np.zeros_like(true), true + 2.0
    for _ in range(50):
        x = (low + high) / 2
        here = (erf((true - x) / math.sqrt(2)) + erf((true + x) / math.sqrt(2))) / 2
        low, high = np.where(here > half, x, low), np.where(here > half, high, x)
    return true, np.maximum.accumulate(low)
